//! Programs as a controller reads them: one description prints and reads.
//!
//! A shop describes its controller's format as data ([`Dialect`]). [`Invertible::prove`] shows
//! for one line that the description is a bijection between programs and the bytes it prints:
//! the records form a fixed tree and are told apart by what they begin with, every field ends
//! where the reader can see it, codes are one to one, numbers keep the line's grid apart, every
//! value has one spelling, and everything a program holds is written. The reader takes that
//! spelling and no other, so `read(b) = p` means `print(p) = b`, and any change to the bytes is
//! either refused or another program.
//!
//! ```text
//! program   run-begin event* run-end
//! event     stop | cut-piece | cut-scrap | mark
//! stop      with the list of its strokes in it, or followed by one stroke record or more, or by
//!           phases: stroke records, a wait, and where described a release for each stroke; where
//!           strokes say where they are it may have no record, and lasts while they say the same
//! ```
//!
//! At member level the controller is told members, and what is read is the program that it makes
//! of them as its model says ([`crate::library::model::Controller`]):
//!
//! ```text
//! program   run-begin part* run-end
//! part      member | scrap, followed by what is made on it: feature | mark
//! ```

mod code;
pub mod files;
pub mod log;
mod lower;
mod member;
mod number;
mod print;
mod prove;
mod read;
mod sample;
mod text;
mod times;

#[cfg(test)]
mod tests;

use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Characters, Dialect, Field, FileNaming, Limits, Line, LineEnd, Scope};
use crate::program::{Program, Serial};
use crate::quantity::{FileId, Length, Span};
use lower::{Op, Step};
use member::Model;
use std::ops::Range;
use std::sync::Arc;
use times::Times;

/// What each tool of the line is called in this dialect's programs.
pub fn tool_names(dialect: &Dialect, line: &Line) -> Result<Vec<String>, Vec<Diagnostic>> {
    code::tools(dialect, line).map(|codes| codes.words().map(str::to_string).collect())
}

/// What the description has a name for and the line has not: one note each.
pub fn not_on_the_line(dialect: &Dialect, line: &Line) -> Vec<Diagnostic> {
    code::strays(dialect, line)
}

/// A dialect that is proved to be read in one way only, on one line.
#[derive(Clone, Debug)]
pub struct Invertible {
    name: Arc<str>,
    characters: Characters,
    line_end: LineEnd,
    limits: Limits,
    files: Option<FileNaming>,
    /// Strip that a character takes of a text in ink, which is printed while the strip moves.
    pitch: Option<Length>,
    /// Whether strokes stand in a list inside their stop, not on lines of their own.
    lists: bool,
    /// Steps by scope; none for a scope that is not described.
    records: Vec<Vec<Step>>,
    times: Times,
    /// What the controller makes of members, at member level.
    model: Option<Model>,
}

/// The lines of one piece, or of one length of scrap: from after the cut before to its own cut; at
/// member level those of its member, which pieces that are alike have in common.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Block {
    /// The piece its cut drops; `None` for scrap.
    pub serial: Option<Serial>,
    /// Its first line in the file, from 1.
    pub first_line: u32,
    /// Its last line: the cut's.
    pub last_line: u32,
    /// Its bytes in the file, line ends included.
    pub bytes: Range<usize>,
}

/// A program as bytes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Printed {
    /// The file.
    pub bytes: Vec<u8>,
    /// Its pieces and scraps, in order. Head and end of the run belong to none, nor does what
    /// comes after the last cut.
    pub blocks: Vec<Block>,
}

/// A program read from bytes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Read {
    /// The program.
    pub program: Program,
    /// Where each event stands, in the text that [`Invertible::text`] makes of the bytes.
    pub spans: Vec<Span>,
    /// Its pieces and scraps, in order.
    pub blocks: Vec<Block>,
}

impl Invertible {
    /// Proves that `dialect` can print each program of `line` and read it back in one way only,
    /// or says why not, each reason at its place in the description.
    pub fn prove(dialect: &Dialect, line: &Line) -> Result<Invertible, Vec<Diagnostic>> {
        prove::prove(dialect, line)
    }

    /// The dialect's name.
    pub fn name(&self) -> &Arc<str> {
        &self.name
    }

    /// Writes a program, and reads it back from what it wrote. Refuses what the dialect has no
    /// spelling for, and what does not come back the same.
    pub fn print(&self, program: &Program) -> Result<Printed, Box<Diagnostic>> {
        let printed = print::print(self, program)?;
        // Nothing shows these spans: a file that does not read back is never seen.
        match self.read(FileId(u32::MAX), &printed.bytes) {
            Ok(read) if read.program == *program && read.blocks == printed.blocks => Ok(printed),
            other => Err(Box::new(not_read_back(program, other))),
        }
    }

    /// Reads a program. Takes exactly what [`Invertible::print`] writes; anything else is
    /// refused at its line and column. Never panics, in time linear in the bytes.
    pub fn read(&self, file: FileId, bytes: &[u8]) -> Result<Read, Box<Diagnostic>> {
        read::read(self, file, bytes)
    }

    /// A program that shows what the description writes on its line; no machine has to make a
    /// member of it.
    pub fn sample(&self, line: &Line) -> Program {
        let events = sample::sample(line);
        match &self.model {
            None => events,
            Some(model) => member::sample(self, model, line, events),
        }
    }

    /// The text of a program's bytes, for showing: the spans of [`Invertible::read`] point into
    /// it. Bytes outside the character set become U+FFFD.
    pub fn text(&self, bytes: &[u8]) -> String {
        match self.characters {
            Characters::Latin1 => bytes.iter().map(|&byte| char::from(byte)).collect(),
            Characters::Ascii | Characters::Utf8 => String::from_utf8_lossy(bytes).into_owned(),
        }
    }

    fn steps(&self, scope: Scope) -> &[Step] {
        self.records.get(scope as usize).map_or(&[], Vec::as_slice)
    }

    /// Whether a record of this scope is described.
    fn has(&self, scope: Scope) -> bool {
        !self.steps(scope).is_empty()
    }

    /// Whether a record of this scope holds this field.
    fn carries(&self, scope: Scope, field: Field) -> bool {
        let is = |step: &Step| matches!(step.op, Op::Field(had, _) if had == field);
        self.steps(scope).iter().any(is)
    }

    /// How many bytes a text takes in the file.
    fn bytes_of(&self, text: &str) -> usize {
        match self.characters {
            Characters::Latin1 => text.chars().count(),
            Characters::Ascii | Characters::Utf8 => text.len(),
        }
    }

    /// The first line that is longer than the limit, as a range of `text`.
    fn too_long(&self, text: &str) -> Option<Range<usize>> {
        let (most, _) = self.limits.line?;
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            let content = line.strip_suffix(self.line_end.text()).unwrap_or(line);
            if self.bytes_of(content) > most {
                return Some(start..start + content.len());
            }
            start += line.len();
        }
        None
    }
}

/// Cuts a file into blocks as events go by.
struct Blocks<'a> {
    text: &'a str,
    wide: bool,
    list: Vec<Block>,
    /// Where the block that is open began: in the text, in the file, and its line.
    text_start: usize,
    file_start: usize,
    line: u32,
}

impl<'a> Blocks<'a> {
    /// Starts after the head of the run, which takes `head` bytes of the text.
    fn after_head(of: &Invertible, text: &'a str, head: usize) -> Blocks<'a> {
        let before = text.get(..head).unwrap_or_default();
        // Only a character set with one byte a character writes other bytes than the text has.
        let wide = of.characters == Characters::Latin1 && !text.is_ascii();
        Blocks {
            text,
            wide,
            list: Vec::new(),
            text_start: head,
            file_start: if wide { before.chars().count() } else { head },
            line: 1 + lines(before),
        }
    }
    /// The records of a cut, that end at `end` of the text: of so many pieces that are alike.
    fn block(&mut self, serial: Option<Serial>, count: u32, end: usize) {
        let text = self.text.get(self.text_start..end).unwrap_or_default();
        let length = if self.wide { text.chars().count() } else { text.len() };
        let next_line = self.line + lines(text);
        for number in 0..count {
            self.list.push(Block {
                serial: serial.map(|Serial(first)| Serial(first.saturating_add(number))),
                first_line: self.line,
                last_line: next_line - 1,
                bytes: self.file_start..self.file_start + length,
            });
        }
        self.text_start = end;
        self.file_start += length;
        self.line = next_line;
    }
}

/// Line ends in a text.
fn lines(text: &str) -> u32 {
    // Sums of a chunk fit a byte, which lets the compiler count many bytes at a time.
    let chunk =
        |bytes: &[u8]| bytes.iter().map(|&b| u8::from(b == b'\n')).fold(0, u8::wrapping_add);
    text.as_bytes().chunks(255).map(|bytes| u32::from(chunk(bytes))).sum()
}

fn not_read_back(program: &Program, read: Result<Read, Box<Diagnostic>>) -> Diagnostic {
    let why = match read {
        Err(diagnostic) => diagnostic.message,
        Ok(read) => {
            let (wrote, got) = (&program.events, &read.program.events);
            match wrote.iter().zip(got).position(|(a, b)| a != b) {
                Some(index) => format!("event {} is another one", index + 1),
                None if wrote.len() != got.len() => {
                    format!("{} events were written, {} read", wrote.len(), got.len())
                }
                None => "the head or the end of the run is another one".to_string(),
            }
        }
    };
    Diagnostic::new(
        &codes::E0735,
        format!("program `{}` does not read back as it was written: {why}", program.id),
    )
    .help("report this with the dialect and the batch; nothing was written")
}
