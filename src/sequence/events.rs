use super::bound::{Need, RunBound, run_bound};
use super::layout::Laid;
use super::stops::{Crowded, Due, Standstill, stops};
use crate::library::model::{Line, ToolId};
use crate::program::{Event, Serial, Stroke};
use crate::quantity::{Advance, Length, Time};
use crate::tooling::{BoundShape, Geometry, StrokeNeed, print_advance};
use std::sync::Arc;

/// The mark of one piece of a run: what is printed, where it fits.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Marking {
    /// Position of the piece in the run.
    pub piece: usize,
    /// Its text.
    pub text: Arc<str>,
}

/// The events of a laid-out run. `shapes` and `serials` are those of its pieces in order.
pub fn events(
    line: &Line,
    geometry: &Geometry,
    laid: &Laid,
    shapes: &[&BoundShape],
    serials: &[Serial],
    marks: &[Marking],
    warm: bool,
) -> Result<Vec<Event>, (Crowded, Due)> {
    let mut dues = dues(line, geometry, laid, shapes, warm);
    keep_refire_apart(line, geometry, &mut dues);
    let mut cuts: Vec<(i64, Option<Serial>)> =
        laid.scrap.iter().map(|scrap| (scrap.at, None)).collect();
    for ((base, shape), serial) in laid.bases.iter().zip(shapes).zip(serials) {
        cuts.push((base + shape.pitch, Some(*serial)));
    }
    cuts.sort_unstable_by_key(|(at, _)| *at);
    let at: Vec<i64> = cuts.iter().map(|(at, _)| *at).collect();
    let standstills = stops(geometry, &dues, &at).map_err(|crowded| {
        let due = dues.get(crowded.due as usize).copied();
        (
            crowded,
            due.unwrap_or(Due {
                tool: ToolId(0),
                station: crate::library::model::StationId(0),
                lo: 0,
                hi: 0,
                nominal: Length::ZERO,
                piece: 0,
            }),
        )
    })?;
    Ok(merge(line, geometry, laid, &dues, standstills, &cuts, marks))
}

/// What no choice of stops can beat in this run, its cuts as they are: from the windows as the
/// members and the line leave them, before strokes of neighbours are kept apart.
pub fn bound_of(
    line: &Line,
    geometry: &Geometry,
    laid: &Laid,
    shapes: &[&BoundShape],
    warm: bool,
) -> RunBound {
    let needs: Vec<Need> = dues(line, geometry, laid, shapes, warm)
        .iter()
        .map(|due| Need {
            station: Some(due.station),
            lo: due.lo,
            hi: due.hi,
            time: line.tool(due.tool).map_or(Time::ZERO, |tool| tool.time),
        })
        .collect();
    let mut cuts: Vec<(i64, bool)> = laid.scrap.iter().map(|scrap| (scrap.at, false)).collect();
    cuts.extend(laid.bases.iter().zip(shapes).map(|(base, shape)| (base + shape.pitch, true)));
    cuts.sort_unstable();
    let start = if warm { Advance::ZERO } else { Advance::at(line.head.first_advance) };
    run_bound(line, geometry, start, &needs, &cuts)
}

/// Every stroke of the run with its window, those of shared cuts once.
fn dues(
    line: &Line,
    geometry: &Geometry,
    laid: &Laid,
    shapes: &[&BoundShape],
    warm: bool,
) -> Vec<Due> {
    let first = if warm { 0 } else { geometry.ceil_steps(line.head.first_advance) };
    let due = |stroke: &StrokeNeed, base: i64, piece: usize| Due {
        tool: stroke.tool,
        station: geometry.station(stroke.tool),
        // Neither before the line may fire nor on air before the strip's edge.
        lo: (base + stroke.lo).max(first).max(geometry.ceil_steps(-geometry.offset(stroke.tool))),
        hi: base + stroke.hi,
        nominal: geometry.length(base) + stroke.nominal,
        piece: u32::try_from(piece).unwrap_or(u32::MAX),
    };
    let count: usize = shapes.iter().map(|s| s.strokes.len() + 2).sum();
    let mut dues: Vec<Due> = Vec::with_capacity(count);
    // The straddling stroke at the last cut, while the next piece may share it.
    let mut at_last_cut: Option<(i64, Due)> = None;
    for (i, (base, shape)) in laid.bases.iter().zip(shapes).enumerate() {
        let start = shape.start.map(|edge| due(&edge.stroke, *base, i));
        match (at_last_cut.take(), start) {
            (Some((cut, end)), Some(start)) if cut == *base && end.tool == start.tool => {
                dues.push(Due { lo: end.lo.max(start.lo), hi: end.hi.min(start.hi), ..start });
            }
            (end, start) => {
                dues.extend(end.map(|(_, due)| due));
                dues.extend(start);
            }
        }
        dues.extend(shape.strokes.iter().map(|stroke| due(stroke, *base, i)));
        let cut = base + shape.pitch;
        at_last_cut = shape.end.map(|edge| (cut, due(&edge.stroke, cut, i)));
    }
    dues.extend(at_last_cut.map(|(_, due)| due));
    dues
}

/// Two strokes of one tool in neighbouring members: each may use half of what room there is
/// beyond the tool's re-fire distance. Dues of a tool come in the order of the strip.
fn keep_refire_apart(line: &Line, geometry: &Geometry, dues: &mut [Due]) {
    let mut last: Vec<Option<usize>> = vec![None; line.tools.len()];
    for i in 0..dues.len() {
        let Some(then) = dues.get(i).copied() else { continue };
        let Some(slot) = last.get_mut(usize::from(then.tool.0)) else { continue };
        let before = slot.replace(i).and_then(|j| dues.get_mut(j));
        let needed = line.tool(then.tool).map_or(Length::ZERO, |tool| tool.refire);
        let Some(before) = before else { continue };
        if geometry.length(then.lo - before.hi) >= needed {
            continue;
        }
        let room = (then.nominal - before.nominal - needed).max(Length::ZERO).half();
        before.hi = before.hi.min(geometry.floor_steps(before.nominal + room));
        if let Some(then) = dues.get_mut(i) {
            then.lo = then.lo.max(geometry.ceil_steps(then.nominal - room));
        }
    }
}

fn merge(
    line: &Line,
    geometry: &Geometry,
    laid: &Laid,
    dues: &[Due],
    standstills: Vec<Standstill>,
    cuts: &[(i64, Option<Serial>)],
    marks: &[Marking],
) -> Vec<Event> {
    let mut prints: Vec<(Advance, &Arc<str>)> = marks
        .iter()
        .filter_map(|mark| {
            let base = *laid.bases.get(mark.piece)?;
            let marker = line.marker.as_ref()?;
            Some((print_advance(marker, geometry, base), &mark.text))
        })
        .collect();
    prints.sort_by_key(|(at, _)| *at);
    let mut prints = prints.into_iter().peekable();
    let mut cuts = cuts.iter().peekable();
    let mut events = Vec::with_capacity(standstills.len() + marks.len() + laid.bases.len());
    for standstill in standstills {
        let at = geometry.advance(standstill.at);
        while let Some((at, text)) = prints.next_if(|(print, _)| *print < at) {
            events.push(Event::Mark { at, text: Arc::clone(text) });
        }
        if !standstill.strokes.is_empty() {
            events.push(Event::Stop { at, strokes: phases(line, dues, &standstill.strokes) });
        }
        while let Some((_, piece)) = cuts.next_if(|(cut, _)| *cut == standstill.at) {
            events.push(Event::Cut { at, piece: *piece });
        }
    }
    events.extend(prints.map(|(at, text)| Event::Mark { at, text: Arc::clone(text) }));
    events
}

/// All strokes of a stop fire together but those that must follow another over the same piece.
fn phases(line: &Line, dues: &[Due], strokes: &[u32]) -> Vec<Stroke> {
    let here: Vec<&Due> = strokes.iter().filter_map(|&i| dues.get(i as usize)).collect();
    let mut phases = vec![0_u8; here.len()];
    if !line.overlaps.is_empty() && here.len() > 1 {
        // Orders are without circles (checked at load), so this many rounds settle all of them.
        for _ in 0..here.len() {
            for b in 0..here.len() {
                let Some(then) = here.get(b) else { continue };
                let after = here
                    .iter()
                    .zip(&phases)
                    .filter(|(first, _)| first.piece.abs_diff(then.piece) <= 1)
                    .filter(|(first, _)| {
                        line.overlaps.iter().any(|o| o.first == first.tool && o.then == then.tool)
                    })
                    .map(|(_, phase)| phase.saturating_add(1))
                    .max();
                if let (Some(after), Some(phase)) = (after, phases.get_mut(b)) {
                    *phase = (*phase).max(after);
                }
            }
        }
    }
    let mut fired: Vec<Stroke> =
        here.iter().zip(phases).map(|(due, phase)| Stroke { phase, tool: due.tool }).collect();
    fired.sort_unstable();
    fired
}
