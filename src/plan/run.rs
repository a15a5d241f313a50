use super::model::{Inputs, PlannedPiece, Run};
use super::nesting::RunDraft;
use super::pieces::Pieces;
use super::ways;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::{E0516, N0518};
use crate::diagnostic::codes::replay::E0890;
use crate::library::model::{AtEnd, Firing};
use crate::member::model::Member;
use crate::program::{Program, StripAccount};
use crate::quantity::{Length, Strip};
use crate::replay::{self, Ending, Expected, MachineTime, Situation};
use crate::sequence::{self, Due, Marking, Sequenced, TimeBreakdown};
use crate::tooling::{self, BoundShape};
use std::sync::Arc;

/// Makes, prints, reads back, replays and judges the program of one run. `None` with the reason
/// when any of these says no: nothing leaves unproved.
pub(super) fn make(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    number: usize,
    draft: &RunDraft,
) -> (Option<Run>, Vec<Diagnostic>) {
    let members: Vec<&Member> = draft
        .pieces
        .iter()
        .filter_map(|&p| pieces.all.get(p as usize)?.of(inputs.jobs))
        .map(|(_, _, member)| member)
        .collect();
    let markings: Vec<Option<Marking>> = members
        .iter()
        .zip(&draft.shapes)
        .zip(&draft.laid.bases)
        .enumerate()
        .map(|(piece, ((member, shape), base))| mark(inputs, draft, piece, member, shape, *base))
        .collect();
    let marks: Vec<Option<Arc<str>>> =
        markings.iter().map(|marking| Some(Arc::clone(&marking.as_ref()?.text))).collect();
    let markings: Vec<Marking> = markings.into_iter().flatten().collect();
    let warm = draft.coil.threaded;
    let usual: Vec<&BoundShape> = draft.shapes.iter().collect();
    let chosen = ways::better(inputs, draft, &members, &usual, &markings);
    let shapes: Vec<&BoundShape> = usual
        .iter()
        .enumerate()
        .map(|(i, usual)| chosen.get(&i).map_or(*usual, |other| other))
        .collect();
    let Sequenced { events, bound } = match sequence::events(
        inputs.line,
        &draft.geometry,
        &draft.laid,
        &shapes,
        &draft.serials,
        &markings,
        warm,
    ) {
        Ok(sequenced) => sequenced,
        Err((_, due)) => return (None, vec![crowded(inputs, &members, &due)]),
    };
    let end = events
        .iter()
        .map(crate::program::Event::at)
        .max()
        .unwrap_or(crate::quantity::Advance::ZERO);
    let profile = inputs.library.profile(draft.profile);
    let program = Program {
        id: format!("{}-{:02}", inputs.batch.name, number + 1).into(),
        batch: Arc::clone(&inputs.batch.name),
        line: Arc::clone(&inputs.line.name),
        profile: profile.map_or_else(|| "".into(), |p| Arc::clone(&p.name)),
        coil: Arc::clone(&draft.coil.id),
        warm,
        events,
        end,
    };
    // A controller that is told members makes of them what is replayed.
    let program = match inputs.dialect.told(&program) {
        Ok(program) => program,
        Err(refusal) => return (None, vec![*refusal]),
    };
    // Printing reads back what it wrote and compares: what is replayed is what the file says.
    let printed = match inputs.dialect.print(&program) {
        Ok(printed) => printed,
        Err(refusal) => return (None, vec![*refusal]),
    };
    let files = match inputs.dialect.files(&program, &printed, number + 1) {
        Ok(files) => files,
        Err(refusal) => return (None, vec![*refusal]),
    };
    let situation = Situation {
        line: inputs.line,
        calibration: inputs.calibration,
        profile: draft.profile,
        library: inputs.library,
        coil: &draft.coil,
        ending: Ending {
            keep: inputs.batch.keep,
            at_end: if draft.stays { AtEnd::StayThreaded } else { AtEnd::Unload },
        },
    };
    let (products, mut diagnostics) = replay::replay(&program, None, &situation);
    let expected: Vec<Expected<'_>> = members
        .iter()
        .zip(&draft.serials)
        .map(|(member, serial)| Expected {
            serial: *serial,
            mark_text: &member.mark_text,
            shape: &member.shape,
        })
        .collect();
    let (verdict, found) = replay::judge(&products, &expected, inputs.library);
    diagnostics.extend(found);
    let mut diagnostics = refused(inputs, diagnostics, &program, &members);
    let mut time: TimeBreakdown = sequence::time_of(inputs.line, &program);
    diagnostics.extend(compare_books(&program.id, &draft.account, &products.account));
    diagnostics.extend(compare_clocks(&program.id, &time, &products.time));
    if !warm {
        time.coil_change = inputs.line.ends(&draft.coil).change;
    }
    let slug = inputs.line.shear.slug;
    diagnostics.extend(left_blank(inputs, draft, &members, &marks));
    let planned = planned(inputs, pieces, draft, &members, marks, slug);
    let run = Run {
        profile: draft.profile,
        coil: draft.coil.clone(),
        head: planned.first().map_or(Length::ZERO, |p| p.start.distance()),
        pieces: planned,
        program,
        printed,
        files,
        verdict,
        account: products.account,
        stays: draft.stays,
        time,
        stops: usize::try_from(products.time.standstills).unwrap_or(usize::MAX),
        bound,
    };
    (Some(run), diagnostics)
}

fn planned(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    draft: &RunDraft,
    members: &[&Member],
    marks: Vec<Option<Arc<str>>>,
    slug: Length,
) -> Vec<PlannedPiece> {
    debug_assert_eq!(members.len(), draft.pieces.len(), "{}", inputs.batch.name);
    draft
        .pieces
        .iter()
        .zip(members)
        .zip(&draft.serials)
        .zip(&draft.laid.bases)
        .zip(&draft.shapes)
        .zip(marks)
        .zip(&draft.turned)
        .filter_map(|((((((piece, member), serial), base), shape), mark), turned)| {
            Some(PlannedPiece {
                serial: *serial,
                member: *pieces.all.get(*piece as usize)?,
                shape: Arc::clone(&member.shape),
                turned: *turned,
                mark,
                start: Strip::at(draft.geometry.length(*base) + slug),
                cut: draft.geometry.advance(base + shape.pitch),
            })
        })
        .collect()
}

/// What is printed on a piece: its mark text where the line has a marker, the text fits, and the
/// place it belongs had not passed the marker when the strip was threaded.
fn mark(
    inputs: &Inputs<'_>,
    draft: &RunDraft,
    piece: usize,
    member: &Member,
    shape: &BoundShape,
    base: i64,
) -> Option<Marking> {
    let marker = inputs.line.marker.as_ref()?;
    let first = if draft.coil.threaded { Length::ZERO } else { inputs.line.head.first_advance };
    let (lo, hi) = tooling::mark_window(marker, &draft.geometry, shape, &member.mark_text)?;
    let lo = (base + lo).max(draft.geometry.ceil_steps(first));
    let hi = base + hi;
    (lo <= hi).then(|| Marking { piece, text: Arc::clone(&member.mark_text), lo, hi })
}

/// Pieces whose place for the mark had passed the marker when the strip was threaded. That a mark
/// does not fit at all is told with the member.
fn left_blank(
    inputs: &Inputs<'_>,
    draft: &RunDraft,
    members: &[&Member],
    marks: &[Option<Arc<str>>],
) -> Option<Diagnostic> {
    let marker = inputs.line.marker.as_ref()?;
    let blank: Vec<&Member> = members
        .iter()
        .zip(&draft.shapes)
        .zip(marks)
        .filter(|((member, shape), mark)| {
            let window = || tooling::mark_window(marker, &draft.geometry, shape, &member.mark_text);
            mark.is_none() && window().is_some()
        })
        .map(|((member, _), _)| *member)
        .collect();
    let first = blank.first()?;
    let names: Vec<&str> = blank.iter().map(|member| &*member.mark_text).collect();
    Some(
        Diagnostic::new(
            &N0518,
            format!(
                "{} `{}` begins with blank pieces: {}",
                draft.coil.word(),
                draft.coil.id,
                names.join(", ")
            ),
        )
        .at(first.span, "leaves the line blank")
        .note("where their marks belong had passed the marker when the strip was threaded")
        .help("write the marks by hand as the pieces come off: the run sheet names them"),
    )
}

/// What the judge finds in a program just planned is no news of the batch or the shop: planning
/// has made it wrong, or a controller that is told members makes something else of them. The
/// latter is told once: it has one cause, and every piece would repeat it.
fn refused(
    inputs: &Inputs<'_>,
    found: Vec<Diagnostic>,
    program: &Program,
    members: &[&Member],
) -> Vec<Diagnostic> {
    let placed = |found: Diagnostic| match members.first() {
        Some(member) => found.at(member.span, "in the run that begins with this member"),
        None => found,
    };
    let Some(controller) = inputs.dialect.controller() else {
        let fault = format!(
            "planning made program `{}` and the judge refuses it: a fault in Coilwright, not in the batch",
            program.id
        );
        let report = "report this with the batch; nothing was made from it";
        return found.into_iter().map(|found| placed(found.note(&*fault).help(report))).collect();
    };
    let more = found.len().saturating_sub(1);
    let Some(first) = found.into_iter().next() else { return Vec::new() };
    let first = first.note(format!(
        "this is what a controller that works as dialect `{}` says makes of the members of program \
         `{}`: not what was planned",
        inputs.dialect.name(),
        program.id
    ));
    let first = match more {
        0 => first,
        _ => first.note(format!("{more} more findings in this program are not shown")),
    };
    vec![placed(first.at(controller.span, "works like this").help(
        "describe a controller that merges less and prints where it is told, or allow more on the \
         features; where it merges nothing, report this with the batch",
    ))]
}

fn crowded(inputs: &Inputs<'_>, members: &[&Member], due: &Due) -> Diagnostic {
    let tool = inputs.line.tool(due.tool);
    let station = tool.and_then(|t| inputs.line.station(t.station));
    let station = station.map_or("?", |s| &s.name);
    let at = due.nominal;
    let (what, why) = match inputs.line.firing {
        Firing::InPhases => (
            format!(
                "station `{station}` has more strokes due near advance {at} mm than stops fit there"
            ),
            "a station fires once per stop, and its windows here leave room for too few stops",
        ),
        Firing::AtOnce => (
            format!(
                "no stops were found for all strokes due near advance {at} mm, among them one of \
                 station `{station}`"
            ),
            "this line fires all tools of a stop at once: what clashes, or asks a press for more \
             than it has, needs stops of its own, and the windows here leave room for too few",
        ),
    };
    let diagnostic = Diagnostic::new(&E0516, what)
        .note(why)
        .help("allow more on one of the features, or move it by the line's increment or more");
    match members.get(due.piece as usize) {
        Some(member) => diagnostic.at(member.span, "for this member"),
        None => diagnostic,
    }
}

/// Planning and the judge book the strip apart from each other; a difference is a fault here.
fn compare_books(id: &str, planned: &StripAccount, judged: &StripAccount) -> Option<Diagnostic> {
    if planned == judged {
        return None;
    }
    let told = |who: &str, account: &StripAccount| {
        format!(
            "{who}: {} mm good, {} slug, {} head (defects {}, gaps {}, slopes {}), {} tail, {} remnant",
            account.good,
            account.slug,
            account.head,
            account.head_at_defects,
            account.head_at_gaps,
            account.head_at_slopes,
            account.tail,
            account.remnant
        )
    };
    Some(
        Diagnostic::new(
            &E0890,
            format!("program `{id}`: planning and the judge book the strip otherwise"),
        )
        .note(told("planned", planned))
        .note(told("judged", judged))
        .help("report this with the batch; nothing was made from it"),
    )
}

/// Planning and the judge time the program apart from each other.
fn compare_clocks(id: &str, planned: &TimeBreakdown, judged: &MachineTime) -> Option<Diagnostic> {
    let judged =
        [judged.moves, judged.settle, judged.strokes, judged.cuts, judged.slopes, judged.unloading];
    let planned = [
        planned.moves,
        planned.settle,
        planned.strokes,
        planned.cuts,
        planned.slopes,
        planned.unloading,
    ];
    if planned == judged {
        return None;
    }
    Some(
        Diagnostic::new(
            &E0890,
            format!("program `{id}`: planning and the judge time it otherwise"),
        )
        .note(format!("planned {planned:?}"))
        .note(format!("judged {judged:?}"))
        .note("moves, settling, strokes, cuts, turning the shear, clearing")
        .help("report this with the batch; nothing was made from it"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Time;

    #[test]
    fn books_that_differ_are_a_finding() {
        let books = StripAccount {
            strip: Length::from_mm(10),
            good: Length::from_mm(10),
            ..Default::default()
        };
        assert_eq!(compare_books("B1-01", &books, &books), None);
        let other = StripAccount { good: Length::from_mm(9), tail: Length::from_mm(1), ..books };
        let found = compare_books("B1-01", &books, &other).unwrap();
        assert_eq!(found.code, &E0890);
    }

    #[test]
    fn clocks_that_differ_are_a_finding() {
        let judged = MachineTime { moves: Time::from_ms(5), ..Default::default() };
        let planned = TimeBreakdown { moves: Time::from_ms(5), ..Default::default() };
        assert_eq!(compare_clocks("B1-01", &planned, &judged), None);
        let found = compare_clocks("B1-01", &TimeBreakdown::default(), &judged).unwrap();
        assert_eq!(found.code, &E0890);
    }
}
