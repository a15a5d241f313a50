//! What every program of a line holds at least, and whether the controller has room for that: what
//! would fail with any program is told before there is one.

use super::super::lower::{Coding, Op, Step};
use super::super::number::Misfit;
use super::super::{Invertible, print};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{
    Controller, Dialect, Field, Line, Offsets, Part, Scope, Slope, ToolId,
};
use crate::library::model::{NumberFormat, Written};
use crate::program::{Event, Program, Serial, Stroke};
use crate::quantity::{Advance, Length};

pub(super) fn check(of: &Invertible, dialect: &Dialect, line: &Line) -> Vec<Diagnostic> {
    let below = below_nought(of, dialect, line);
    if !below.is_empty() {
        return below;
    }
    let mut found: Vec<Diagnostic> = Vec::new();
    for (what, program) in programs(line, shortest(dialect, line)) {
        // A program that cannot be told at all is another matter, and told with its members.
        let Ok(program) = of.told(&program) else { continue };
        let Some(refusal) = refused(of, line, &what, &program) else { continue };
        let is_told =
            |other: &Diagnostic| other.code == refusal.code && other.span() == refusal.span();
        if !found.iter().any(is_told) {
            found.push(refusal);
        }
    }
    found
}

/// The length of the piece, such that no program writes less for its cut. A step may be as short as
/// the line moves, and figures without their last noughts are no wider for being longer.
fn shortest(dialect: &Dialect, line: &Line) -> Length {
    let any = |format: &NumberFormat| format.relative || format.short;
    match dialect.numbers.iter().any(any) {
        true => line.grid.increment(),
        false => line.shortest.max(line.grid.increment()),
    }
}

/// One piece as short as that; and before its cut a stroke of each tool, and a mark. Names are as
/// short as can be, but the line's own, which is known.
fn programs(line: &Line, least: Length) -> Vec<(String, Program)> {
    let at = line.grid.ceil(Advance::at(least));
    let program = |event: Option<Event>| Program {
        id: "".into(),
        batch: "".into(),
        line: line.name.clone(),
        profile: "".into(),
        coil: "".into(),
        warm: false,
        events: event
            .into_iter()
            .chain([Event::Cut { at, piece: Some(Serial(1)), slope: Slope::SQUARE }])
            .collect(),
        end: at,
    };
    let tools = (0_u16..).zip(&line.tools).map(|(number, tool)| {
        let strokes = vec![Stroke { phase: 0, tool: ToolId(number) }];
        let event = Event::Stop { at: Advance::ZERO, strokes };
        (format!("a stroke of tool `{}`", tool.name), program(Some(event)))
    });
    let mark = line.marker.iter().map(|_| {
        let event = Event::Mark { at: Advance::ZERO, text: "".into() };
        ("a mark".to_string(), program(Some(event)))
    });
    [("one piece".to_string(), program(None))].into_iter().chain(tools).chain(mark).collect()
}

/// Why not even this program is written.
fn refused(of: &Invertible, line: &Line, what: &str, program: &Program) -> Option<Diagnostic> {
    match print::print(of, program) {
        Ok(printed) => {
            let (limited, has, most, span) = of.over(&printed)?;
            Some(
                Diagnostic::new(
                    &codes::E0736,
                    format!(
                        "a program of line `{}` with {what} has {has} {limited} at least, and the \
                         controller takes {most}",
                        line.name
                    ),
                )
                .at(span, "this limit")
                .note("no program that has that could be written in any number of files")
                .help(format!("write {has} or more, as many as the controller takes")),
            )
        }
        Err(refusal) if ["E0730", "E0731", "E0732", "E0733"].contains(&refusal.code.number) => {
            let note = format!("So it is in every program of line `{}` with {what}.", line.name);
            let mut refusal = refusal.note(note);
            refusal.message = refusal.message.replace("program ``", "each program");
            Some(refusal)
        }
        Err(_) => None,
    }
}

/// Figures below nought in a format that has no sign.
fn below_nought(of: &Invertible, dialect: &Dialect, line: &Line) -> Vec<Diagnostic> {
    let Some((least, why)) = least_figure(dialect.level.controller(), line) else {
        return Vec::new();
    };
    let scopes = [Scope::Stop, Scope::Stroke, Scope::Feature, Scope::Mark];
    let mut told: Vec<&NumberFormat> = Vec::new();
    for scope in scopes {
        let unsigned = of.steps(scope).iter().any(|Step { op, .. }| match op {
            Op::Field(Field::At, Coding::Number(number)) => {
                number.write(least.nm(), &mut String::new()) == Err(Misfit::Negative)
            }
            _ => false,
        });
        let format = format_of(dialect, scope).filter(|_| unsigned);
        told.extend(format.filter(|format| !told.iter().any(|had| had.name == format.name)));
    }
    let refused = |format: &NumberFormat| {
        Diagnostic::new(
            &codes::E0731,
            format!("{why}, and number format `{}` has no sign", format.name),
        )
        .at(format.span, "cannot write below nought")
        .at(line.span, format!("down to {least} mm"))
        .note("a program that needs such a figure could be planned but not written")
        .help(match dialect.level.controller() {
            None => {
                "leave `sign = \"never\"` out; where the controller knows no sign, write \
                 `first-advance = \"0 mm\"` in the line's file: the head grows by as much"
            }
            Some(_) => {
                "leave `sign = \"never\"` out, or write `offsets = \"controller\"` where the \
                 controller knows how far its stations are"
            }
        })
    };
    told.into_iter().map(refused).collect()
}

/// The least figure that programs of the line need, where it is below nought, and why.
fn least_figure(controller: Option<&Controller>, line: &Line) -> Option<(Length, String)> {
    let station = |id| line.station(id).map_or(Length::ZERO, |station| station.offset);
    let tools = line.tools.iter().map(|tool| station(tool.station));
    let farthest = tools.chain(line.marker.iter().map(|marker| marker.offset)).max()?;
    let (least, why) = match controller {
        // Nothing fires before the strip's edge is under it.
        None => (
            line.head.first_advance.max(-farthest),
            format!("line `{}` works from below advance 0 on", line.name),
        ),
        Some(Controller { offsets: Offsets::Program, .. }) => (
            -farthest,
            format!(
                "stations of line `{}` are due before a member's start has passed the shear",
                line.name
            ),
        ),
        Some(_) => return None,
    };
    let least = line.grid.ceil(Advance::at(least)).distance();
    (least < Length::ZERO).then_some((least, why))
}

/// The format of the advance in a record.
fn format_of(dialect: &Dialect, scope: Scope) -> Option<&NumberFormat> {
    dialect.records.of(scope)?.parts.iter().find_map(|part| match part {
        Part::Field { field: Field::At, written: Written::Number(index), .. } => {
            dialect.numbers.get(*index)
        }
        _ => None,
    })
}
