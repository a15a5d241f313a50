use super::face::Face;
use super::named;
use super::seen::Seen;
use super::wanted::{Target, Wanted};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::quantity::Length;
use crate::replay::refusals::{COMPILE_AGAIN, Refusals, numbered};

/// Says what is wrong on a face: for each feature without a mark the most telling witness among
/// the marks that are left, then each mark that nothing explains.
pub(super) fn report(face: &Face, without: &[&Wanted], left: &[&Seen], findings: &mut Refusals) {
    let mut left: Vec<&Seen> = left.to_vec();
    for one in without {
        // Past the listed findings the witness does not matter, only that there is a fault.
        if findings.full() {
            findings.count();
            continue;
        }
        let exact = |mark: &Seen| one.is_made_by(mark, face.length, false);
        let alike = |mark: &Seen| mark.is_on() && one.alike(mark);
        let placed = |mark: &Seen| {
            mark.is_on()
                && (middle(mark) - one.middle()).abs()
                    <= (mark.on.1 - mark.on.0).max(one.feature.outline.length()).half()
        };
        let (code, found) = if let Some(mark) = take_nearest(one, &mut left, exact) {
            (&codes::E0850, Some(mark))
        } else if let Some(mark) = take_nearest(one, &mut left, alike) {
            (&codes::E0847, Some(mark))
        } else if let Some(mark) = take_nearest(one, &mut left, placed) {
            (&codes::E0849, Some(mark))
        } else {
            (&codes::E0846, None)
        };
        let event = found.map_or(face.piece.event, |mark| mark.swept.event);
        findings.add(Some(event), || {
            let got = match found {
                Some(mark) => describe(face, mark),
                None => "there is nothing".to_string(),
            };
            let message = format!(
                "{}: {} on the {} wanted {}; {got}",
                named(face.wanted),
                kind(face, one),
                face.name,
                expectation(one),
            );
            let diagnostic = Diagnostic::new(code, message);
            match (code.number, found) {
                ("E0850", Some(mark)) => diagnostic
                    .note(format!("line and tool may be off by {} mm together", mark.accuracy))
                    .help("widen the feature's tolerance, or make it on a line that is accurate enough"),
                _ => diagnostic.help(COMPILE_AGAIN),
            }
        });
    }
    for mark in left {
        let code = if mark.is_on() { &codes::E0848 } else { &codes::E0850 };
        findings.add(Some(mark.swept.event), || {
            let message = format!(
                "{}: nothing more is wanted on the {}; {}",
                named(face.wanted),
                face.name,
                describe(face, mark)
            );
            let diagnostic = Diagnostic::new(code, message);
            if mark.is_on() {
                diagnostic.help(COMPILE_AGAIN)
            } else {
                diagnostic
                    .note(format!(
                        "it stays off the piece only if the line is exact; line and tool may be \
                         off by {} mm together",
                        mark.accuracy
                    ))
                    .help("give the tool less overrun, or the shear a slug that takes it")
            }
        });
    }
}

fn middle(mark: &Seen) -> Length {
    (mark.on.0 + mark.on.1).half()
}

/// Takes off the list the mark nearest to the feature among those that would do.
fn take_nearest<'s>(
    one: &Wanted,
    left: &mut Vec<&'s Seen<'s>>,
    would_do: impl Fn(&Seen) -> bool,
) -> Option<&'s Seen<'s>> {
    let (index, _) = left
        .iter()
        .enumerate()
        .filter(|(_, mark)| would_do(mark))
        .min_by_key(|(_, mark)| (middle(mark) - one.middle()).abs())?;
    Some(left.remove(index))
}

fn kind<'a>(face: &'a Face, one: &Wanted) -> &'a str {
    face.library.feature(one.feature.kind).map_or("a feature", |kind| &kind.name)
}

/// `at 450 mm ±0.5 (Ø12)` or `from 96 mm ±0.5 to 144 mm ±0.5 (48 × 12)`.
fn expectation(one: &Wanted) -> String {
    let outline = one.feature.outline;
    match one.target {
        Target::Point { centre, tolerance } => {
            format!("at {centre} mm {tolerance} ({outline} at {} across)", one.feature.across)
        }
        Target::Span { from, from_tolerance, to, to_tolerance } => {
            format!("from {from} mm {from_tolerance} to {to} mm {to_tolerance} ({outline})")
        }
    }
}

/// `tool `x` (event 7) leaves Ø12 at 455 mm` and where that is.
fn describe(face: &Face, mark: &Seen) -> String {
    let name = face.products.line.tool(mark.swept.tool).map_or("?", |tool| &tool.name);
    format!(
        "tool `{name}` ({}) sweeps {} to {} mm ({} at {} across)",
        numbered(mark.swept.event),
        mark.from,
        mark.to,
        mark.made.outline,
        mark.made.across
    )
}
