//! What a member-level description needs besides: texts in one place, and a controller that fires
//! as the line does.

use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Controller, Dialect, Field, Firing, Line, Part, Scope, Ties};
use crate::quantity::Span;

pub(super) fn check(dialect: &Dialect, line: &Line, found: &mut Vec<Diagnostic>) {
    let Some(controller) = dialect.level.controller() else { return };
    check_texts(dialect, line, found);
    found.extend(check_ties(controller, line));
}

/// Where the line has a marker, texts stand with their member or in records of their own.
fn check_texts(dialect: &Dialect, line: &Line, found: &mut Vec<Diagnostic>) {
    let text = dialect.records.of(Scope::Member).and_then(|member| {
        member.parts.iter().find_map(|part| match part {
            Part::Field { field: Field::Text, span, .. } => Some(*span),
            _ => None,
        })
    });
    let mark: Option<Span> = dialect.records.of(Scope::Mark).map(|record| record.span);
    match (text, mark) {
        (Some(text), Some(mark)) => found.push(
            Diagnostic::new(&codes::E0705, "`text` stands with the member and in `mark`")
                .at(mark, "again")
                .at(text, "first")
                .note("two places could say two different things")
                .help("leave out the record `mark` where the marker has a place of its own"),
        ),
        (Some(text), None) if line.marker.is_some() && !line.shear.slopes.is_empty() => {
            found.push(
                Diagnostic::new(
                    &codes::E0703,
                    format!(
                        "`text` stands with the member, and line `{}` turns its shear",
                        line.name
                    ),
                )
                .at(text, "printed where?")
                .at(line.span, "this line")
                .note(
                    "texts begin behind the short point of a sloped end, and the controller knows \
                     no short points",
                )
                .help("describe a record `mark` with `at` and `text`"),
            );
        }
        (None, None) if line.marker.is_some() => {
            let span = dialect.records.of(Scope::Member).map_or(dialect.span, |r| r.span);
            found.push(
                Diagnostic::new(
                    &codes::E0704,
                    format!("line `{}` has a marker, and nothing writes `text`", line.name),
                )
                .at(span, "not in here")
                .note("what the program does not carry cannot be read back and proved")
                .help(
                    "add the field `text` to `member` where the marker prints at its own place, \
                     or describe a record `mark` with `at` and `text`",
                ),
            );
        }
        _ => {}
    }
}

/// What fires together at the controller does so on the line.
fn check_ties(controller: &Controller, line: &Line) -> Option<Diagnostic> {
    let parted = !line.clashes.is_empty()
        || !line.overlaps.is_empty()
        || line.presses.iter().any(|press| press.force.is_some());
    let (why, help) = match (controller.ties, line.firing) {
        (Ties::Together, Firing::InPhases) if parted => (
            format!(
                "the controller fires all strokes of a stop together, and line `{}` fires some of \
                 its tools one after the other",
                line.name
            ),
            "write `firing = \"at-once\"` in the line's file, so that such strokes get stops of \
             their own; or `ties = \"listed\"` where the controller fires them in turn",
        ),
        (Ties::Listed, Firing::AtOnce) => (
            format!(
                "the controller fires strokes of a stop in turn, and line `{}` all at once",
                line.name
            ),
            "write `ties = \"together\"`, or leave `firing = \"at-once\"` out of the line's file",
        ),
        _ => return None,
    };
    Some(
        Diagnostic::new(&codes::E0721, why)
            .at(controller.span, "this controller")
            .at(line.span, "on this line")
            .note("tools that clash, or ask a press for more than it has, would meet")
            .help(help),
    )
}
