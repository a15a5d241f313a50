//! From a log's bytes to its entries.

use super::super::number::Number;
use super::super::text::Stands;
use super::{Entry, LogReader, Place, Step};
use crate::diagnostic::{Diagnostic, closest, codes::measured as codes};
use crate::library::model::{Characters, LogField};
use crate::quantity::{FileId, Length, Span};
use std::borrow::Cow;
use std::sync::Arc;

/// Most faults of one log that are told.
const MOST_FAULTS: usize = 20;

impl LogReader {
    /// The text of a log's bytes, for showing: spans point into it.
    pub fn text<'b>(&self, bytes: &'b [u8]) -> Cow<'b, str> {
        match self.characters {
            Characters::Latin1 => Cow::Owned(bytes.iter().map(|&byte| char::from(byte)).collect()),
            Characters::Ascii | Characters::Utf8 => String::from_utf8_lossy(bytes),
        }
    }

    /// Reads a log that [`LogReader::text`] has made a text of. Lines may end either way; empty
    /// ones say nothing. What cannot be read is told, line by line.
    pub fn read(&self, file: FileId, text: &str) -> Result<Vec<Entry>, Vec<Diagnostic>> {
        let (mut entries, mut found) = (Vec::new(), Vec::new());
        let mut at = 0;
        for whole in text.split_inclusive('\n') {
            let line = whole.strip_suffix('\n').unwrap_or(whole);
            let line = line.strip_suffix('\r').unwrap_or(line);
            let reading = Line { of: self, file, line, start: at };
            at += whole.len();
            if line.trim().is_empty() {
                continue;
            }
            let read = match whole.ends_with('\n') {
                true => reading.entry(),
                false => Err(reading.cut_short()),
            };
            match read {
                Ok(entry) => entries.extend(entry),
                Err(why) => found.push(*why),
            }
            if found.len() >= MOST_FAULTS {
                break;
            }
        }
        if found.is_empty() { Ok(entries) } else { Err(found) }
    }
}

/// What a line says.
#[derive(Default)]
struct Values {
    program: Option<Arc<str>>,
    file: Option<Arc<str>>,
    serial: Option<u32>,
    made: Option<u32>,
    at: Option<Place>,
}

struct Line<'a> {
    of: &'a LogReader,
    file: FileId,
    line: &'a str,
    /// Where it begins in the log.
    start: usize,
}

impl Line<'_> {
    /// `None` for a line that says nothing.
    fn entry(&self) -> Result<Option<Entry>, Box<Diagnostic>> {
        let at = self.follow(&self.of.before, 0, &mut Values::default())?;
        let rest = self.line.get(at..).unwrap_or_default();
        if self.of.ignored.iter().any(|text| rest.starts_with(&**text)) {
            return Ok(None);
        }
        let leads = |steps: &[Step]| match steps.first() {
            Some(Step::Literal(text)) => rest.starts_with(&**text),
            _ => false,
        };
        let Some((happening, steps)) = self.of.lines.iter().find(|(_, steps)| leads(steps)) else {
            return Err(self.unknown(at));
        };
        let mut said = Values::default();
        let end = self.follow(steps, at, &mut said)?;
        if end < self.line.len() {
            return Err(self.unreadable(end, "the line goes on where it should be over"));
        }
        let Values { program, file, serial, made, at } = said;
        let span = self.span(0, self.line.len());
        Ok(Some(Entry { happening: *happening, program, file, serial, made, at, span }))
    }

    /// Goes along the parts of a line from `at`; where it comes to.
    fn follow(
        &self,
        steps: &[Step],
        mut at: usize,
        said: &mut Values,
    ) -> Result<usize, Box<Diagnostic>> {
        for step in steps {
            let rest = self.line.get(at..).unwrap_or_default();
            at += match step {
                Step::Literal(text) if rest.starts_with(&**text) => text.len(),
                Step::Literal(text) => {
                    return Err(self.unreadable(at, &format!("`{text}` should stand here")));
                }
                Step::Skip(characters) => {
                    let taken: usize = rest.chars().take(*characters).map(char::len_utf8).sum();
                    if rest.chars().nth(characters - 1).is_none() {
                        return Err(self.unreadable(at, "the line is over too soon"));
                    }
                    taken
                }
                Step::SkipTo(text) if text.is_empty() => rest.len(),
                Step::SkipTo(text) => match rest.find(&**text) {
                    Some(found) => found + text.len(),
                    None => {
                        return Err(self.unreadable(at, &format!("no `{text}` comes any more")));
                    }
                },
                Step::Number(field, number) => self.number(*field, number, at, said)?,
                Step::Text(field, text) => match text.read(rest) {
                    Stands::Text(length, text_said) => {
                        let text_said = Some(Arc::from(text_said));
                        match field {
                            LogField::File => said.file = text_said,
                            _ => said.program = text_said,
                        }
                        length
                    }
                    Stands::CutShort => {
                        return Err(self.unreadable(at, "the line is over too soon"));
                    }
                    Stands::Misspelled(from) => {
                        return Err(self.unreadable(at + from, "no text of this format has this"));
                    }
                },
            };
        }
        Ok(at)
    }

    fn number(
        &self,
        field: LogField,
        number: &Number,
        at: usize,
        said: &mut Values,
    ) -> Result<usize, Box<Diagnostic>> {
        let rest = self.line.get(at..).unwrap_or_default();
        let length = number.extent(rest).unwrap_or(rest.len());
        let spelled = rest.get(..length).unwrap_or_default();
        let wrong = || self.unreadable(at, &format!("`{spelled}` is no number for `{field}`"));
        let value = number.value(spelled).ok_or_else(wrong)?;
        let count = || u32::try_from(value).map_err(|_| wrong());
        match field {
            LogField::Serial => said.serial = Some(count()?),
            LogField::Made => said.made = Some(count()?),
            LogField::At if value.abs() <= super::super::number::FARTHEST => {
                let step = Length::from_nm(number.last_decimal_nm());
                said.at = Some(Place { at: Length::from_nm(value), step });
            }
            LogField::At | LogField::Program | LogField::File => return Err(wrong()),
        }
        Ok(length)
    }

    fn span(&self, from: usize, to: usize) -> Span {
        let at = |offset: usize| u32::try_from(self.start + offset).unwrap_or(u32::MAX);
        Span::new(self.file, at(from), at(to))
    }

    /// The rest of the line, or its last character where it is over.
    fn place(&self, at: usize) -> Span {
        let last = self.line.chars().next_back().map_or(0, char::len_utf8);
        let from = if at < self.line.len() { at } else { self.line.len() - last };
        self.span(from, self.line.len())
    }

    fn unknown(&self, at: usize) -> Box<Diagnostic> {
        let rest = self.line.get(at..).unwrap_or_default();
        let leads = || {
            self.of.lines.iter().filter_map(|(_, steps)| match steps.first() {
                Some(Step::Literal(text)) => Some(&**text),
                _ => None,
            })
        };
        let word: String = rest.chars().take_while(|c| !c.is_whitespace()).collect();
        let help = match closest(&word, leads().map(str::trim)) {
            Some(near) => format!("did the controller mean `{near}`? Describe the line, or list what it begins with under `ignore`"),
            None => "describe the line, or list what it begins with under `ignore` if it says nothing about what was made".to_string(),
        };
        let all: Vec<String> = leads().map(|lead| format!("`{lead}`")).collect();
        Box::new(
            Diagnostic::new(
                &codes::E0970,
                format!("no line of log `{}` is described that begins so", self.of.name),
            )
            .at(self.place(at), "unknown")
            .note(format!("described are {}", all.join(", ")))
            .note("a line that is not understood may be a piece that was made")
            .help(help),
        )
    }

    fn unreadable(&self, at: usize, why: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E0971, format!("this line of the log cannot be read: {why}"))
                .at(self.place(at), "not as described")
                .help(
                    "correct the description of the log; if the file is damaged, take it from the \
                     controller again",
                ),
        )
    }

    fn cut_short(&self) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E0971, "the last line of the log is not whole")
                .at(self.place(0), "no line end")
                .note("the controller was stopped while it wrote, or the copy broke off: what stands here may be half a number")
                .help(
                    "take the log again; if it really ends here, look at the run-out table, then \
                     end the line by hand or take it out",
                ),
        )
    }
}
