//! From a program to its bytes.

mod members;

use super::lower::{Coding, Op, Step};
use super::member::{Does, Part, Work};
use super::number::{FARTHEST, Misfit};
use super::text::{Text, Unspelled, shown};
use super::times::Dwell;
use super::{Blocks, Invertible, Printed};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Characters, Field, Scope, Slope, ToolId};
use crate::program::{Event, Program, Serial, Stroke};
use crate::quantity::{Advance, Length, Span, Time};

/// By cut or record of a member: its piece, how many there are, and where its records end.
type Ends = Vec<(Option<Serial>, u32, usize)>;

pub(super) fn print(of: &Invertible, program: &Program) -> Result<Printed, Box<Diagnostic>> {
    // About what an event takes in a wordy dialect.
    let out = String::with_capacity(256 + program.events.len() * 48);
    let previous = Advance::ZERO;
    let mut printer = Printer { of, program, out, previous, stopped: false, event: 0, piece: 0 };
    printer.record(Scope::RunBegin, Subject::Run(program))?;
    let head = printer.out.len();
    let ends = match &of.model {
        None => printer.events(program)?,
        Some(model) => printer.members(model, program)?,
    };
    (printer.event, printer.piece) = (0, 0);
    printer.record(Scope::RunEnd, Subject::Run(program))?;
    let text = printer.out;
    if let Some(line) = of.too_long(&text) {
        return Err(line_too_long(of, text.get(line).unwrap_or_default()));
    }
    let mut blocks = Blocks::after_head(of, &text, head);
    for (serial, count, end) in ends {
        blocks.block(serial, count, end);
    }
    let blocks = blocks.list;
    let bytes = match of.characters {
        // Each character was found in the set when it was written.
        Characters::Latin1 => {
            text.chars().map(|c| u8::try_from(u32::from(c)).unwrap_or(b'?')).collect()
        }
        Characters::Ascii | Characters::Utf8 => text.into_bytes(),
    };
    Ok(Printed { bytes, blocks })
}

/// What a record is written for.
#[derive(Clone, Copy)]
enum Subject<'a> {
    Run(&'a Program),
    Event(&'a Event),
    /// With the advance of its stop.
    Stroke(Advance, &'a Stroke),
    Phase(&'a [Stroke]),
    Part(&'a Part),
    Work(&'a Work),
}

/// A value of a field.
enum Value<'a> {
    Text(&'a str),
    At(Advance),
    Figure(Length),
    Count(i64),
    Flag(bool),
    Tool(ToolId),
    Time(Time),
}

struct Printer<'a> {
    of: &'a Invertible,
    program: &'a Program,
    out: String,
    /// Advance of the event before.
    previous: Advance,
    /// Whether that was a stop.
    stopped: bool,
    /// Number of the event, from 1; 0 for head and end of the run.
    event: usize,
    /// Serial of the member, at member level; 0 for head and end of the run.
    piece: u32,
}

impl<'a> Printer<'a> {
    /// Every stop, cut and mark.
    fn events(&mut self, program: &'a Program) -> Result<Ends, Box<Diagnostic>> {
        let mut ends = Vec::new();
        for event in &program.events {
            self.event += 1;
            self.print_event(event)?;
            if let Event::Cut { piece, .. } = event {
                ends.push((*piece, 1, self.out.len()));
            }
        }
        Ok(ends)
    }

    fn print_event(&mut self, event: &'a Event) -> Result<(), Box<Diagnostic>> {
        let scope = match event {
            Event::Stop { strokes, .. } if strokes.is_empty() => {
                return Err(self.refuse(&codes::E0734, "fires nothing", None, NOT_PLANNED));
            }
            Event::Stop { .. } => Scope::Stop,
            Event::Cut { piece: Some(_), .. } => Scope::CutPiece,
            Event::Cut { piece: None, .. } => Scope::CutScrap,
            Event::Mark { .. } => Scope::Mark,
        };
        if let Event::Cut { slope, .. } = event
            && !slope.is_square()
            && !self.of.carries(scope, Field::Rise)
        {
            let why = format!("is on the slope {slope}, and record `{scope}` has no `rise`");
            return Err(self.refuse(&codes::E0734, &why, None, NOT_PLANNED));
        }
        if let Event::Stop { strokes, .. } = event {
            self.check_stop(event, strokes)?;
        }
        if scope != Scope::Stop || self.of.has(Scope::Stop) {
            self.record(scope, Subject::Event(event))?;
        }
        if let (Event::Stop { strokes, .. }, false) = (event, self.of.lists) {
            if self.of.has(Scope::Wait) {
                self.phases(event.at(), strokes)?;
            } else {
                for stroke in strokes {
                    self.record(Scope::Stroke, Subject::Stroke(event.at(), stroke))?;
                }
            }
        }
        self.previous = event.at();
        self.stopped = matches!(event, Event::Stop { .. });
        Ok(())
    }

    /// What the strokes of a stop cannot say is refused: a phase where nothing tells phases, and a
    /// stop of its own where only its place would say so.
    fn check_stop(&self, event: &Event, strokes: &[Stroke]) -> Result<(), Box<Diagnostic>> {
        let of = self.of;
        let tells = of.has(Scope::Wait) || of.carries(Scope::Stroke, Field::Phase);
        if !tells && strokes.iter().any(|stroke| stroke.phase != 0) {
            let why = "fires in phases, and nothing in its records tells them";
            return Err(self.refuse(&codes::E0734, why, None, NOT_PLANNED));
        }
        if !of.has(Scope::Stop) && self.stopped && self.previous == event.at() {
            let why = "follows another one at the same advance, and no record begins it";
            return Err(self.refuse(&codes::E0734, why, None, NOT_PLANNED));
        }
        Ok(())
    }

    /// The strokes of a stop, phase by phase: the reader counts phases from 0.
    fn phases(&mut self, at: Advance, strokes: &'a [Stroke]) -> Result<(), Box<Diagnostic>> {
        for (number, phase) in strokes.chunk_by(|a, b| a.phase == b.phase).enumerate() {
            if phase.first().is_some_and(|stroke| usize::from(stroke.phase) != number) {
                let why = "skips a phase, and the dialect tells phases by their order";
                return Err(self.refuse(&codes::E0734, why, None, NOT_PLANNED));
            }
            if !phase.is_sorted_by_key(|stroke| stroke.tool) {
                let why = "has the strokes of a phase in another order than the line's tools";
                return Err(self.refuse(&codes::E0734, why, None, NOT_PLANNED));
            }
            for stroke in phase {
                self.record(Scope::Stroke, Subject::Stroke(at, stroke))?;
            }
            self.record(Scope::Wait, Subject::Phase(phase))?;
            if self.of.has(Scope::Release) {
                for stroke in phase {
                    self.record(Scope::Release, Subject::Stroke(at, stroke))?;
                }
            }
        }
        Ok(())
    }

    fn record(&mut self, scope: Scope, subject: Subject<'_>) -> Result<(), Box<Diagnostic>> {
        let of = self.of;
        for Step { op, span } in of.steps(scope) {
            match op {
                Op::Literal(text) => self.out.push_str(text),
                Op::Field(field, coding) => self.field(*field, coding, *span, subject)?,
                Op::Strokes { separator } => {
                    let Subject::Event(Event::Stop { at, strokes }) = subject else { continue };
                    for (index, stroke) in strokes.iter().enumerate() {
                        if index > 0 {
                            self.out.push_str(separator);
                        }
                        self.record(Scope::Stroke, Subject::Stroke(*at, stroke))?;
                    }
                }
            }
        }
        Ok(())
    }

    fn field(
        &mut self,
        field: Field,
        coding: &Coding,
        span: Span,
        subject: Subject<'_>,
    ) -> Result<(), Box<Diagnostic>> {
        let start = self.out.len();
        match (coding, value(field, subject).or_else(|| self.time(field, subject))) {
            (Coding::Number(number), Some(Value::At(at))) => {
                let nm = at.distance().nm();
                let from = if number.relative { self.previous.distance().nm() } else { 0 };
                // Both are bounded, so the step is.
                if !(-FARTHEST..=FARTHEST).contains(&nm) {
                    let why = format!("is at {at} mm, farther than 100 km");
                    return Err(self.refuse(&codes::E0731, &why, Some(span), NOT_PLANNED));
                }
                let written = number.write(nm - from, &mut self.out);
                written.map_err(|misfit| self.no_spelling(field, misfit, &at.to_string(), span))?;
            }
            (Coding::Number(number), Some(Value::Figure(figure))) => {
                if !(-FARTHEST..=FARTHEST).contains(&figure.nm()) {
                    let why = format!("has {} {figure} mm, more than 100 km", called(field));
                    return Err(self.refuse(&codes::E0731, &why, Some(span), NOT_PLANNED));
                }
                let written = number.write(figure.nm(), &mut self.out);
                written
                    .map_err(|misfit| self.no_spelling(field, misfit, &figure.to_string(), span))?;
            }
            (Coding::Number(number), Some(Value::Count(count))) => {
                let written = number.write(count, &mut self.out);
                written
                    .map_err(|misfit| self.no_spelling(field, misfit, &count.to_string(), span))?;
            }
            (Coding::Number(number), Some(Value::Time(time))) => match number.time(time) {
                Some(spelled) => self.out.push_str(&spelled),
                None => {
                    let said = format!("{time}");
                    return Err(self.no_spelling(field, Misfit::Wide, &said, span));
                }
            },
            (Coding::Text(text), Some(Value::Text(said))) => {
                let written = text.write(said, &mut self.out);
                written.map_err(|why| self.unspelled(field, text, said, why))?;
            }
            (Coding::Code(codes), Some(Value::Flag(flag))) => {
                self.out.push_str(codes.word(u16::from(flag)).unwrap_or_default());
            }
            (Coding::Code(codes), Some(Value::Tool(tool))) => {
                let word = codes.word(tool.0).ok_or_else(|| self.no_tool(tool, span))?;
                self.out.push_str(word);
            }
            (Coding::Quoted(text, codes), Some(Value::Tool(tool))) => {
                let word = codes.word(tool.0).ok_or_else(|| self.no_tool(tool, span))?;
                // Each code was written in this format when the dialect was proved.
                let written = text.write(word, &mut self.out);
                written.map_err(|_| self.no_tool(tool, span))?;
            }
            // The proof lets no field stand in another's record or coding.
            _ => return Err(self.refuse(&codes::E0734, "lacks a value", Some(span), NOT_PLANNED)),
        }
        if let Some((most, limit)) = self.of.limits.field {
            let written = self.out.get(start..).unwrap_or_default();
            let bytes = self.of.bytes_of(written);
            if bytes > most {
                let why = format!(
                    "has `{written}` for its {}: {bytes} bytes, the controller takes {most}",
                    called(field)
                );
                let help = "shorten it, or correct the limit in the dialect";
                return Err(self.refuse(&codes::E0733, &why, Some(limit), help));
            }
        }
        Ok(())
    }

    /// What is worked out from the line.
    fn time<'v>(&self, field: Field, subject: Subject<'v>) -> Option<Value<'v>> {
        let times = &self.of.times;
        Some(Value::Time(match (field, subject) {
            (Field::Settle, Subject::Event(_)) => times.settle,
            (Field::Dwell, Subject::Event(Event::Cut { .. })) => times.dwell(Dwell::Cut),
            (Field::Dwell, Subject::Stroke(_, stroke)) => times.dwell(Dwell::Tools(&[stroke.tool])),
            (Field::Dwell, Subject::Phase(strokes)) => {
                let tools: Vec<ToolId> = strokes.iter().map(|stroke| stroke.tool).collect();
                times.dwell(Dwell::Tools(&tools))
            }
            _ => return None,
        }))
    }

    fn no_spelling(
        &self,
        field: Field,
        misfit: Misfit,
        value: &str,
        span: Span,
    ) -> Box<Diagnostic> {
        let called = called(field);
        let (code, why, help) = match misfit {
            Misfit::Negative => (
                &codes::E0731,
                format!("has {called} {value}, below zero, and its format has no sign"),
                "give the number format a sign, or compile for a line that starts at advance 0",
            ),
            Misfit::Wide => (
                &codes::E0731,
                format!("has {called} {value}, which is wider than its format"),
                "give the number format more width, or split the batch into shorter runs",
            ),
            Misfit::Between => (
                &codes::E0734,
                format!("has {called} {value}, which lies between two numbers of its format"),
                NOT_PLANNED,
            ),
        };
        self.refuse(code, &why, Some(span), help)
    }

    /// A text that its format cannot write.
    fn unspelled(&self, field: Field, text: &Text, said: &str, why: Unspelled) -> Box<Diagnostic> {
        let (code, what, help) = match why {
            Unspelled::Character(character) => (
                &codes::E0730,
                format!("text format `{}` cannot write {}", text.name, shown(character)),
                "use another name or mark text, or describe an escape the controller knows",
            ),
            Unspelled::Long(long) => (
                &codes::E0733,
                format!(
                    "that takes {long} characters where text format `{}` has {}",
                    text.name,
                    text.width()
                ),
                "use a shorter name or mark text, or correct the width in the dialect",
            ),
            Unspelled::Blank => (
                &codes::E0730,
                format!(
                    "text format `{}` fills with blanks there: read back, it would be without",
                    text.name
                ),
                "use a name or mark text that has no blank at its end, or at its beginning where \
                 the format fills before it",
            ),
        };
        let why = format!("has `{said}` for its {}, and {what}", called(field));
        self.refuse(code, &why, Some(text.span), help)
    }

    fn no_tool(&self, tool: ToolId, span: Span) -> Box<Diagnostic> {
        let why = format!("fires tool number {}, which this line does not have", tool.0);
        self.refuse(&codes::E0734, &why, Some(span), NOT_PLANNED)
    }

    fn refuse(
        &self,
        code: &'static crate::diagnostic::Code,
        why: &str,
        span: Option<Span>,
        help: &str,
    ) -> Box<Diagnostic> {
        let who = match self.event.checked_sub(1).and_then(|i| self.program.events.get(i)) {
            None if self.piece != 0 => {
                format!("member {} of program `{}`", self.piece, self.program.id)
            }
            Some(event) => {
                let kind = match event {
                    Event::Stop { .. } => "stop",
                    Event::Cut { .. } => "cut",
                    Event::Mark { .. } => "mark",
                };
                format!("the {kind} at {} mm of program `{}`", event.at(), self.program.id)
            }
            None => format!("program `{}`", self.program.id),
        };
        let diagnostic = Diagnostic::new(code, format!("{who} {why}")).help(help);
        Box::new(match span {
            Some(span) => diagnostic.at(span, format!("dialect `{}` says so", self.of.name)),
            None => diagnostic,
        })
    }
}

const NOT_PLANNED: &str = "no plan for this line holds such an event: compile the batch again";

fn line_too_long(of: &Invertible, line: &str) -> Box<Diagnostic> {
    let begins: String = line.chars().take(32).collect();
    let (most, span) = of.limits.line.unzip();
    let diagnostic = Diagnostic::new(
        &codes::E0732,
        format!(
            "the line that begins `{begins}` has {} bytes; dialect `{}` allows {}",
            of.bytes_of(line),
            of.name,
            most.unwrap_or(0)
        ),
    )
    .help("give strokes lines of their own, shorten names, or correct the limit");
    Box::new(match span {
        Some(span) => diagnostic.at(span, "this limit"),
        None => diagnostic,
    })
}

fn called(field: Field) -> &'static str {
    match field {
        Field::Program => "program id",
        Field::At => "advance",
        Field::Length => "length",
        Field::End => "end advance",
        other => other.word(),
    }
}

fn value<'a>(field: Field, subject: Subject<'a>) -> Option<Value<'a>> {
    Some(match (field, subject) {
        (Field::Program, Subject::Run(run)) => Value::Text(&run.id),
        (Field::Batch, Subject::Run(run)) => Value::Text(&run.batch),
        (Field::Line, Subject::Run(run)) => Value::Text(&run.line),
        (Field::Profile, Subject::Run(run)) => Value::Text(&run.profile),
        (Field::Coil, Subject::Run(run)) => Value::Text(&run.coil),
        (Field::Warm, Subject::Run(run)) => Value::Flag(run.warm),
        (Field::End, Subject::Run(run)) => Value::At(run.end),
        (Field::At, Subject::Event(event)) => Value::At(event.at()),
        (Field::Text, Subject::Event(Event::Mark { text, .. })) => Value::Text(text),
        (Field::Serial, Subject::Event(Event::Cut { piece: Some(serial), .. })) => {
            Value::Count(i64::from(serial.0))
        }
        (Field::Rise, Subject::Event(Event::Cut { slope: Slope { rise, .. }, .. }))
        | (Field::Rise, Subject::Part(Part { slope: Slope { rise, .. }, .. })) => {
            Value::Count(i64::from(*rise))
        }
        (Field::Run, Subject::Event(Event::Cut { slope: Slope { run, .. }, .. }))
        | (Field::Run, Subject::Part(Part { slope: Slope { run, .. }, .. })) => {
            Value::Count(i64::from(*run))
        }
        (Field::Serial, Subject::Part(Part { serial: Some(serial), .. })) => {
            Value::Count(i64::from(serial.0))
        }
        (Field::Quantity, Subject::Part(part)) => Value::Count(i64::from(part.count)),
        (Field::Length, Subject::Part(part)) => Value::Figure(part.length),
        (Field::Text, Subject::Part(part)) => Value::Text(&part.text),
        (Field::At, Subject::Work(work)) => Value::Figure(work.at),
        (Field::Tool, Subject::Work(Work { does: Does::Stroke(tool), .. })) => Value::Tool(*tool),
        (Field::Text, Subject::Work(Work { does: Does::Print(text), .. })) => Value::Text(text),
        (Field::At, Subject::Stroke(at, _)) => Value::At(at),
        (Field::Phase, Subject::Stroke(_, stroke)) => Value::Count(i64::from(stroke.phase)),
        (Field::Tool, Subject::Stroke(_, stroke)) => Value::Tool(stroke.tool),
        _ => return None,
    })
}
