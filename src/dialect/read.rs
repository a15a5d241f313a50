//! From bytes to a program: the canonical spelling and no other.

mod fault;
mod members;

use super::lower::{Coding, Op, Step};
use super::member::{Model, Part};
use super::number::{FARTHEST, Number};
use super::text::{Stands, Text};
use super::times::Dwell;
use super::{Blocks, Invertible, Read};
use crate::diagnostic::{Diagnostic, codes};
use crate::library::model::{Characters, Field, Scope, Slope, ToolId};
use crate::program::{Event, Program, Serial, Stroke};
use crate::quantity::{Advance, FileId, Length, Span};
use std::borrow::Cow;
use std::ops::Range;
use std::sync::Arc;

use codes::dialect as e;
use fault::COMPILE_AGAIN;

pub(super) fn read(of: &Invertible, file: FileId, bytes: &[u8]) -> Result<Read, Box<Diagnostic>> {
    if u32::try_from(bytes.len()).is_err() {
        let found = Diagnostic::new(&codes::files::E0903, "the program is larger than 4 GiB");
        return Err(Box::new(
            found.help("this is no program of Coilwright's: name the right file"),
        ));
    }
    let text = decode(of, file, bytes)?;
    let mut reader = Reader {
        of,
        file,
        text: &text,
        at: 0,
        previous: Advance::ZERO,
        scratch: String::new(),
        found: Found::default(),
        tools: Vec::new(),
        at_strokes: Vec::new(),
        scopes: scopes(of),
    };
    if let Some(line) = of.too_long(&text) {
        return Err(reader.line_too_long(line));
    }
    reader.record(Scope::RunBegin)?;
    let mut blocks = Blocks::after_head(of, &text, reader.at);
    let said = match &of.model {
        None => Said::Events(reader.events(&mut blocks)?),
        Some(model) => Said::Members(model, reader.parts(&mut blocks)?),
    };
    reader.record(Scope::RunEnd)?;
    if !reader.rest().is_empty() {
        let found = reader.fault(
            &e::E0756,
            format!("the program is over, and {} more bytes follow", reader.rest().len()),
            reader.at..text.len(),
            "the program ended before this",
        );
        return Err(Box::new(found.help("copy the file again, whole and alone")));
    }
    let (names, warm, end) = (&mut reader.found.names, reader.found.warm, reader.found.end);
    let mut name = |field| names.remove(field);
    let head = Program {
        id: name(Field::Program),
        batch: name(Field::Batch),
        line: name(Field::Line),
        profile: name(Field::Profile),
        coil: name(Field::Coil),
        warm,
        events: Vec::new(),
        end,
    };
    let (program, spans) = match said {
        Said::Events((events, spans)) => (Program { events, ..head }, spans),
        Said::Members(model, parts) => reader.executed(model, &parts, head)?,
    };
    Ok(Read { program, spans, blocks: blocks.list })
}

/// What stands between head and end of the run.
enum Said<'m> {
    Events((Vec<Event>, Vec<Span>)),
    Members(&'m Model, Vec<Part>),
}

/// The bytes as text.
fn decode<'a>(
    of: &Invertible,
    file: FileId,
    bytes: &'a [u8],
) -> Result<Cow<'a, str>, Box<Diagnostic>> {
    let valid = match of.characters {
        Characters::Latin1 => {
            return Ok(match std::str::from_utf8(bytes) {
                Ok(text) if text.is_ascii() => Cow::Borrowed(text),
                _ => Cow::Owned(of.text(bytes)),
            });
        }
        Characters::Ascii => bytes.iter().take_while(|byte| byte.is_ascii()).count(),
        Characters::Utf8 => match std::str::from_utf8(bytes) {
            Ok(text) => return Ok(Cow::Borrowed(text)),
            Err(error) => error.valid_up_to(),
        },
    };
    match std::str::from_utf8(bytes) {
        Ok(text) if valid == bytes.len() => Ok(Cow::Borrowed(text)),
        _ => {
            let at = u32::try_from(valid).unwrap_or(u32::MAX);
            let line = bytes.iter().take(valid).filter(|&&byte| byte == b'\n').count() + 1;
            let byte = bytes.get(valid).copied().unwrap_or(0);
            Err(Box::new(
                Diagnostic::new(
                    &e::E0758,
                    format!(
                        "line {line} holds the byte {byte:#04x}, which is not {}",
                        of.characters.word()
                    ),
                )
                .at(Span::new(file, at, at.saturating_add(1)), "here")
                .help("compile again, or copy the file again without conversion"),
            ))
        }
    }
}

/// Values of the record that is being read.
#[derive(Default)]
struct Found {
    names: Names,
    warm: bool,
    end: Advance,
    at: Advance,
    phase: u8,
    tool: u16,
    serial: u32,
    length: Length,
    quantity: u32,
    rise: i32,
    run: i32,
    text: Option<Arc<str>>,
}

/// Names of the run.
#[derive(Default)]
struct Names(Vec<(Field, Arc<str>)>);

impl Names {
    /// The proof made sure that each stands in the program.
    fn remove(&mut self, field: Field) -> Arc<str> {
        let at = self.0.iter().position(|(had, _)| *had == field);
        at.map(|at| self.0.swap_remove(at).1).unwrap_or_default()
    }
}

/// Records that may follow each other, the most frequent first.
const SCOPES: [Scope; 5] =
    [Scope::Stop, Scope::CutPiece, Scope::Mark, Scope::CutScrap, Scope::RunEnd];

/// Those that a description has: strokes begin their stop where it has no record of its own.
fn scopes(of: &Invertible) -> [Scope; 5] {
    SCOPES.map(|scope| match scope {
        Scope::Stop if !of.has(Scope::Stop) => Scope::Stroke,
        scope => scope,
    })
}

/// Whether `rest` begins with `text`. Leading texts often share their first characters, so the
/// last one is looked at first.
fn begins(rest: &str, text: &str) -> bool {
    let last = text.len().checked_sub(1);
    last.is_none_or(|at| rest.as_bytes().get(at) == text.as_bytes().get(at))
        && rest.starts_with(text)
}

struct Reader<'a> {
    of: &'a Invertible,
    file: FileId,
    text: &'a str,
    /// Bytes read.
    at: usize,
    /// Advance of the event before.
    previous: Advance,
    scratch: String,
    found: Found,
    /// Tools of the phase that is being read.
    tools: Vec<ToolId>,
    /// What the strokes of the stop that is being read say of where it is, and where they do.
    at_strokes: Vec<(Advance, Range<usize>)>,
    /// Records that may begin an event, or end the run.
    scopes: [Scope; 5],
}

impl<'a> Reader<'a> {
    fn rest(&self) -> &'a str {
        self.text.get(self.at..).unwrap_or_default()
    }

    /// Every stop, cut and mark up to the end record, and where each stands.
    fn events(
        &mut self,
        blocks: &mut Blocks<'_>,
    ) -> Result<(Vec<Event>, Vec<Span>), Box<Diagnostic>> {
        let (mut events, mut spans) = (Vec::new(), Vec::new());
        loop {
            let start = self.at;
            let scope = self.which()?;
            if scope == Scope::RunEnd {
                return Ok((events, spans));
            }
            let event = self.event(scope)?;
            self.previous = event.at();
            spans.push(self.line_span(start));
            if let Event::Cut { piece, .. } = &event {
                blocks.block(*piece, 1, self.at);
            }
            events.push(event);
        }
    }

    /// Which record begins here; their leading literals are prefix-free.
    fn which(&self) -> Result<Scope, Box<Diagnostic>> {
        let rest = self.rest();
        match self.scopes.into_iter().find(|&scope| begins(rest, self.lead(scope))) {
            Some(scope) => Ok(scope),
            None if self.begins_a_record(rest) => Err(self.truncated()),
            None => Err(self.unknown_record(&self.scopes)),
        }
    }

    /// Whether the file breaks off inside the first literal of a record.
    fn begins_a_record(&self, rest: &str) -> bool {
        let stroke = (!self.of.lists).then_some(Scope::Stroke);
        let wait = self.of.has(Scope::Wait).then_some(Scope::Wait);
        self.scopes
            .into_iter()
            .chain(stroke)
            .chain(wait)
            .any(|scope| self.lead(scope).starts_with(rest))
    }

    fn lead(&self, scope: Scope) -> &'a str {
        match self.of.steps(scope).first() {
            Some(Step { op: Op::Literal(text), .. }) => text,
            _ => "",
        }
    }

    fn event(&mut self, scope: Scope) -> Result<Event, Box<Diagnostic>> {
        let mut strokes = Vec::new();
        (self.found.rise, self.found.run) = (0, 1);
        let began = self.at;
        self.at_strokes.clear();
        if scope == Scope::Stroke {
            return self.stop_of_strokes();
        }
        self.steps(scope, &mut strokes)?;
        let at = self.found.at;
        Ok(match scope {
            Scope::CutPiece | Scope::CutScrap => {
                let piece = (scope == Scope::CutPiece).then_some(Serial(self.found.serial));
                Event::Cut { at, piece, slope: self.slope(began)? }
            }
            Scope::Mark => Event::Mark { at, text: self.found.text.take().unwrap_or_default() },
            _ => {
                if self.of.has(Scope::Wait) {
                    self.phases(&mut strokes)?;
                } else if !self.of.lists {
                    let lead = self.lead(Scope::Stroke);
                    // The first one must be there: a stop fires something.
                    while strokes.is_empty() || begins(self.rest(), lead) {
                        strokes.push(self.stroke()?);
                    }
                }
                if let Some((_, place)) = self.at_strokes.iter().find(|(said, _)| *said != at) {
                    return Err(self.another_place(at, place.clone()));
                }
                Event::Stop { at, strokes }
            }
        })
    }

    /// A stop that has no record of its own: strokes, as long as they say the same advance.
    fn stop_of_strokes(&mut self) -> Result<Event, Box<Diagnostic>> {
        let mut strokes = Vec::new();
        if self.of.has(Scope::Wait) {
            self.phases(&mut strokes)?;
        } else {
            while let Some(stroke) = self.stroke_here()? {
                strokes.push(stroke);
            }
        }
        let at = self.stands().unwrap_or_default();
        Ok(Event::Stop { at, strokes })
    }

    /// Where the stop that is being read is, as far as its strokes have said it.
    fn stands(&self) -> Option<Advance> {
        self.at_strokes.first().map(|(at, _)| *at)
    }

    /// The stroke that comes next, if it is of the stop that is being read.
    fn stroke_here(&mut self) -> Result<Option<Stroke>, Box<Diagnostic>> {
        let stands = self.stands();
        if stands.is_some() && !begins(self.rest(), self.lead(Scope::Stroke)) {
            return Ok(None);
        }
        let began = self.at;
        let stroke = self.stroke()?;
        // Where the stop has a record, its strokes are compared with it once all are read.
        if self.of.has(Scope::Stop) || stands.is_none() || self.said_last() == stands {
            return Ok(Some(stroke));
        }
        self.at = began;
        self.at_strokes.pop();
        Ok(None)
    }

    fn said_last(&self) -> Option<Advance> {
        self.at_strokes.last().map(|(at, _)| *at)
    }

    /// The slope of the cut whose record began there: its two figures are in lowest terms, so that
    /// one slope has one spelling.
    fn slope(&self, began: usize) -> Result<Slope, Box<Diagnostic>> {
        let (rise, run) = (self.found.rise, self.found.run);
        match Slope::new(rise, run) {
            Some(slope) if (slope.rise, slope.run) == (rise, run) => Ok(slope),
            _ => Err(self.not_lowest(rise, run, began)),
        }
    }

    /// Phases: strokes, a wait, and a release of each of them. At least one.
    fn phases(&mut self, strokes: &mut Vec<Stroke>) -> Result<(), Box<Diagnostic>> {
        let lead = self.lead(Scope::Stroke);
        let mut phase: u8 = 0;
        loop {
            self.tools.clear();
            while self.tools.is_empty() || begins(self.rest(), lead) {
                let began = self.at;
                let Some(Stroke { tool, .. }) = self.stroke_here()? else { break };
                // Strokes of one phase stand in one order: any other would be a second spelling.
                if self.tools.last().is_some_and(|last| *last > tool) {
                    return Err(self.out_of_order(began));
                }
                self.tools.push(tool);
                strokes.push(Stroke { phase, tool });
            }
            // A phase begins with a stroke: where none is left, the next is of another stop.
            if self.tools.is_empty() {
                return Ok(());
            }
            self.record(Scope::Wait)?;
            if self.of.has(Scope::Release) {
                for tool in std::mem::take(&mut self.tools) {
                    let began = self.at;
                    self.record(Scope::Release)?;
                    if ToolId(self.found.tool) != tool {
                        return Err(self.released_another(began));
                    }
                }
            }
            if !begins(self.rest(), lead) {
                return Ok(());
            }
            phase = phase.checked_add(1).ok_or_else(|| self.out_of_order(self.at))?;
        }
    }

    fn stroke(&mut self) -> Result<Stroke, Box<Diagnostic>> {
        self.record(Scope::Stroke)?;
        Ok(Stroke { phase: self.found.phase, tool: ToolId(self.found.tool) })
    }

    fn record(&mut self, scope: Scope) -> Result<(), Box<Diagnostic>> {
        self.steps(scope, &mut Vec::new())
    }

    fn steps(&mut self, scope: Scope, strokes: &mut Vec<Stroke>) -> Result<(), Box<Diagnostic>> {
        let of = self.of;
        let mut before: Option<&Text> = None;
        let mut derived: Vec<(Field, Range<usize>, &Number)> = Vec::new();
        for Step { op, span: _ } in of.steps(scope) {
            match op {
                Op::Literal(text) => self.literal(text, before)?,
                Op::Field(field, Coding::Number(number)) if field.is_derived() => {
                    let extent = number.extent(self.rest());
                    let length = extent.ok_or_else(|| self.truncated())?;
                    derived.push((*field, self.at..self.at + length, number));
                    self.advance(*field, length)?;
                }
                Op::Field(field, coding) => self.field(scope, *field, coding)?,
                Op::Strokes { separator } => loop {
                    strokes.push(self.stroke()?);
                    match self.rest().strip_prefix(&**separator) {
                        Some(_) => self.at += separator.len(),
                        None => break,
                    }
                },
            }
            before = match op {
                Op::Field(_, Coding::Text(text) | Coding::Quoted(text, _)) => Some(text),
                _ => None,
            };
        }
        // Once the record is read, so that a time may stand before what it is worked out from.
        for (field, range, number) in derived {
            self.check_time(scope, field, range, number)?;
        }
        Ok(())
    }

    /// What the line decides is written so, and no other way.
    fn check_time(
        &self,
        scope: Scope,
        field: Field,
        range: Range<usize>,
        number: &Number,
    ) -> Result<(), Box<Diagnostic>> {
        let times = &self.of.times;
        let time = match (field, scope) {
            (Field::Settle, _) => times.settle,
            (_, Scope::Wait) => times.dwell(Dwell::Tools(&self.tools)),
            (_, Scope::Stroke) => times.dwell(Dwell::Tools(&[ToolId(self.found.tool)])),
            _ => times.dwell(Dwell::Cut),
        };
        let spelled = self.text.get(range.clone()).unwrap_or_default();
        match number.time(time) {
            Some(wanted) if wanted == spelled => Ok(()),
            wanted => Err(self.another_time(field, range, wanted)),
        }
    }

    fn literal(&mut self, text: &str, before: Option<&Text>) -> Result<(), Box<Diagnostic>> {
        if begins(self.rest(), text) {
            self.at += text.len();
            Ok(())
        } else {
            Err(self.mismatch(text, before))
        }
    }

    fn field(
        &mut self,
        scope: Scope,
        field: Field,
        coding: &Coding,
    ) -> Result<(), Box<Diagnostic>> {
        let rest = self.rest();
        match coding {
            Coding::Number(number) => {
                let length = number.extent(rest).ok_or_else(|| self.truncated())?;
                let value = self.number(field, number, rest.get(..length).unwrap_or_default())?;
                self.advance(field, length)?;
                let at = Advance::at(Length::from_nm(value));
                match field {
                    Field::At if scope == Scope::Stroke => {
                        self.at_strokes.push((at, self.at - length..self.at));
                    }
                    Field::At => self.found.at = at,
                    Field::End => self.found.end = at,
                    Field::Length => self.found.length = Length::from_nm(value),
                    Field::Quantity => self.found.quantity = u32::try_from(value).unwrap_or(1),
                    Field::Phase => self.found.phase = u8::try_from(value).unwrap_or(0),
                    Field::Rise => self.found.rise = i32::try_from(value).unwrap_or(0),
                    Field::Run => self.found.run = i32::try_from(value).unwrap_or(0),
                    _ => self.found.serial = u32::try_from(value).unwrap_or(0),
                }
            }
            Coding::Text(text) => {
                let (length, said) = self.text(text, rest)?;
                self.advance(field, length)?;
                let said: Arc<str> = said.into();
                match field {
                    Field::Text => self.found.text = Some(said),
                    name => self.found.names.0.push((name, said)),
                }
            }
            Coding::Code(codes) => {
                let length = codes.extent(rest).ok_or_else(|| self.truncated())?;
                let word = rest.get(..length).unwrap_or_default();
                let index =
                    codes.index(word).ok_or_else(|| self.unknown_code(field, word, length))?;
                self.advance(field, length)?;
                match field {
                    Field::Warm => self.found.warm = index != 0,
                    _ => self.found.tool = index,
                }
            }
            Coding::Quoted(text, codes) => {
                let (length, word) = self.text(text, rest)?;
                let index =
                    codes.index(&word).ok_or_else(|| self.unknown_code(field, &word, length))?;
                self.advance(field, length)?;
                self.found.tool = index;
            }
        }
        Ok(())
    }

    /// The text at the start of `rest`: its bytes, and what it says.
    fn text<'t>(
        &self,
        text: &Text,
        rest: &'t str,
    ) -> Result<(usize, Cow<'t, str>), Box<Diagnostic>> {
        match text.read(rest) {
            Stands::Text(length, said) => Ok((length, said)),
            Stands::CutShort => Err(self.truncated()),
            Stands::Misspelled(from) => Err(self.no_such_text(text, self.at + from)),
        }
    }

    /// The value a spelling stands for, if it is the spelling of that value.
    fn number(
        &mut self,
        field: Field,
        number: &Number,
        spelled: &str,
    ) -> Result<i64, Box<Diagnostic>> {
        let given = number.value(spelled).ok_or_else(|| {
            self.misspelled(field, spelled, "is no number this format writes", None)
        })?;
        self.scratch.clear();
        let canonical = number.write(given, &mut self.scratch).is_ok();
        if !canonical || self.scratch != spelled {
            let write = canonical.then(|| self.scratch.clone());
            return Err(self.misspelled(field, spelled, "is not spelled as it is written", write));
        }
        let from = match field {
            Field::At | Field::End if number.relative => self.previous.distance().nm(),
            _ => 0,
        };
        let range = match field {
            Field::At | Field::End => -FARTHEST..=FARTHEST,
            Field::Length | Field::Quantity => members::range(field).unwrap_or(0..=0),
            Field::Phase => 0..=i64::from(u8::MAX),
            Field::Rise => -i64::from(i32::MAX)..=i64::from(i32::MAX),
            Field::Run => 1..=i64::from(i32::MAX),
            _ => 0..=i64::from(u32::MAX),
        };
        let value = given.checked_add(from).filter(|value| range.contains(value));
        value.ok_or_else(|| self.misspelled(field, spelled, "is out of range", None))
    }

    /// Goes past a field of this many bytes, if the controller takes as many.
    fn advance(&mut self, field: Field, length: usize) -> Result<(), Box<Diagnostic>> {
        let range = self.at..self.at + length;
        if let Some((most, limit)) = self.of.limits.field {
            let bytes = self.of.bytes_of(self.text.get(range.clone()).unwrap_or_default());
            if bytes > most {
                let found = self.fault(
                    &e::E0733,
                    format!("`{field}` has {bytes} bytes; the controller takes {most}"),
                    range,
                    "too long",
                );
                return Err(Box::new(found.at(limit, "this limit").help(COMPILE_AGAIN)));
            }
        }
        self.at = range.end;
        Ok(())
    }
}
