use super::at_once;
use super::bound::{Need, RunBound, count, run_bound, times};
use super::layout::Laid;
use super::nibble::{self, Range};
use super::stops::{Crowded, Due, Standstill, stops_on};
use crate::library::model::{Firing, Line, Slope, StationId, ToolId};
use crate::program::{Event, Serial, Stroke};
use crate::quantity::{Advance, Length, Time};
use crate::tooling::{BoundShape, Geometry, StrokeNeed};
use std::sync::Arc;

/// The mark of one piece of a run: what is printed, where it fits.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Marking {
    /// Position of the piece in the run.
    pub piece: usize,
    /// Its text.
    pub text: Arc<str>,
    /// First step at which the marker may begin it; ink has this one only.
    pub lo: i64,
    /// Last step.
    pub hi: i64,
}

/// Stands for the marker among the tools of a stop, where it stamps.
const STAMP: ToolId = ToolId(u16::MAX);

/// What a laid-out run comes to.
#[derive(Clone, Debug)]
pub struct Sequenced {
    /// Its events, in order.
    pub events: Vec<Event>,
    /// What no choice of stops can beat, its cuts as they are.
    pub bound: RunBound,
}

/// The events of a laid-out run. `shapes` and `serials` are those of its pieces in order, and
/// `marks` come in that order too.
pub fn events(
    line: &Line,
    geometry: &Geometry,
    laid: &Laid,
    shapes: &[&BoundShape],
    serials: &[Serial],
    marks: &[Marking],
    warm: bool,
) -> Result<Sequenced, (Crowded, Due)> {
    let mut cuts: Vec<(i64, Option<Serial>, Slope)> =
        laid.scrap.iter().map(|scrap| (scrap.at, None, scrap.slope)).collect();
    for ((base, shape), serial) in laid.bases.iter().zip(shapes).zip(serials) {
        cuts.push((base + shape.pitch, Some(*serial), shape.blades[1].slope));
    }
    cuts.sort_unstable_by_key(|(at, ..)| *at);
    let (mut dues, ranges) = dues(line, geometry, &laid.bases, shapes, warm);
    let stamps = line.marker.as_ref().is_some_and(|marker| marker.stamp.is_some());
    let (stamped, printed) = if stamps { (marks, &[][..]) } else { (&[][..], marks) };
    let start = if warm { Advance::ZERO } else { Advance::at(line.head.first_advance) };
    let bound = bound_of(line, geometry, start, &dues, stamped, &cuts);
    let at: Vec<i64> = cuts.iter().map(|(at, ..)| *at).collect();
    let work = at_once::SETTLED;
    let standstills = standstills(line, geometry, &mut dues, &ranges, stamped, &at, work)?;
    let events = merge(line, geometry, &dues, standstills, &cuts, stamped, printed);
    Ok(Sequenced { events, bound })
}

/// Where the strip stops for these strokes, what is stamped, and these cuts, with so much work for
/// each group of windows where all tools fire at once.
pub(super) fn standstills(
    line: &Line,
    geometry: &Geometry,
    dues: &mut Vec<Due>,
    ranges: &[Range],
    stamped: &[Marking],
    cuts: &[i64],
    work: u64,
) -> Result<Vec<Standstill>, (Crowded, Due)> {
    keep_refire_apart(line, geometry, dues);
    dues.extend(stamping(line, geometry, stamped));
    let crowded = |crowded: Crowded, dues: &[Due]| {
        let due = dues.get(crowded.due as usize).copied();
        (crowded, due.unwrap_or(Due::NONE))
    };
    let stands =
        stops_on(line, geometry, dues, cuts, work).map_err(|found| crowded(found, dues))?;
    nibble::fill(line, geometry, dues, ranges, stands).map_err(|found| crowded(found, dues))
}

/// What is stamped, as strokes of a station of its own.
fn stamping<'a>(
    line: &'a Line,
    geometry: &'a Geometry,
    stamped: &'a [Marking],
) -> impl Iterator<Item = Due> + 'a {
    stamped.iter().map(|mark| Due {
        tool: STAMP,
        station: marker_station(line),
        lo: mark.lo,
        hi: mark.hi,
        nominal: geometry.length(mark.lo + (mark.hi - mark.lo) / 2),
        piece: u32::try_from(mark.piece).unwrap_or(u32::MAX),
    })
}

/// The marker stands behind the last station.
fn marker_station(line: &Line) -> StationId {
    StationId(u16::try_from(line.stations.len()).unwrap_or(u16::MAX))
}

/// From the windows as the members and the line leave them, before strokes of neighbours are kept
/// apart. Of nibbled ranges the first and the last stroke count: the rest only adds stops.
fn bound_of(
    line: &Line,
    geometry: &Geometry,
    start: Advance,
    dues: &[Due],
    stamped: &[Marking],
    cuts: &[(i64, Option<Serial>, Slope)],
) -> RunBound {
    let mut needs: Vec<Need> = dues
        .iter()
        .map(|due| Need {
            station: Some(due.station),
            lo: due.lo,
            hi: due.hi,
            time: line.tool(due.tool).map_or(Time::ZERO, |tool| tool.time),
        })
        .collect();
    // No two texts are stamped at one stop, and each takes its time whatever fires there besides.
    let station = Some(marker_station(line));
    needs.extend(stamped.iter().map(|mark| Need {
        station,
        lo: mark.lo,
        hi: mark.hi,
        time: Time::ZERO,
    }));
    let plain: Vec<(i64, bool)> =
        cuts.iter().map(|(at, piece, _)| (*at, piece.is_some())).collect();
    let mut bound = run_bound(line, geometry, start, &needs, &plain);
    if line.firing == Firing::AtOnce {
        let all: Vec<Due> = dues.iter().copied().chain(stamping(line, geometry, stamped)).collect();
        let places: Vec<i64> = cuts.iter().map(|(at, ..)| *at).collect();
        let more = at_once::at_least(line, &all, &places, at_once::SETTLED);
        let stops = count(places.len()).saturating_add(more);
        bound.time.settle += times(line.feed.settle, stops.saturating_sub(bound.stops));
        bound.stops = bound.stops.max(stops);
    }
    // Square before the first cut and after the last.
    let slopes = || cuts.iter().map(|(_, _, slope)| *slope);
    let square = || std::iter::once(Slope::SQUARE);
    let turns = square().chain(slopes()).zip(slopes().chain(square()));
    for _ in turns.filter(|(from, to)| from != to) {
        bound.time.slopes += line.shear.slope_time;
    }
    let stamp = line.marker.as_ref().and_then(|marker| marker.stamp);
    let count = u32::try_from(stamped.len()).unwrap_or(u32::MAX);
    bound.time.strokes += times(stamp.map_or(Time::ZERO, |stamp| stamp.time), count);
    bound
}

/// Every stroke of the run with its window, those of shared cuts once; and the nibbled ranges,
/// whose first and last strokes are among them.
pub(super) fn dues(
    line: &Line,
    geometry: &Geometry,
    bases: &[i64],
    shapes: &[&BoundShape],
    warm: bool,
) -> (Vec<Due>, Vec<Range>) {
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
    let mut ranges = Vec::new();
    // The straddling stroke at the last cut, while the next piece may share it.
    let mut at_last_cut: Option<(i64, Due)> = None;
    for (i, (base, shape)) in bases.iter().zip(shapes).enumerate() {
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
        ranges.extend(shape.nibbled.iter().map(|nibbled| Range::from(nibbled, dues.len())));
        dues.extend(shape.strokes.iter().map(|stroke| due(stroke, *base, i)));
        let cut = base + shape.pitch;
        at_last_cut = shape.end.map(|edge| (cut, due(&edge.stroke, cut, i)));
    }
    dues.extend(at_last_cut.map(|(_, due)| due));
    (dues, ranges)
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

/// `stamped` marks are among the dues, `printed` ones come wherever they begin.
fn merge(
    line: &Line,
    geometry: &Geometry,
    dues: &[Due],
    standstills: Vec<Standstill>,
    cuts: &[(i64, Option<Serial>, Slope)],
    stamped: &[Marking],
    printed: &[Marking],
) -> Vec<Event> {
    let text_on = |piece: u32| {
        let at = stamped.binary_search_by_key(&(piece as usize), |mark| mark.piece);
        stamped.get(at.ok()?).map(|mark| Arc::clone(&mark.text))
    };
    let mut prints: Vec<(Advance, &Arc<str>)> =
        printed.iter().map(|mark| (geometry.advance(mark.lo), &mark.text)).collect();
    prints.sort_by_key(|(at, _)| *at);
    let mut prints = prints.into_iter().peekable();
    let mut cuts = cuts.iter().peekable();
    let mut events = Vec::with_capacity(standstills.len() + printed.len() + cuts.len());
    for standstill in standstills {
        let at = geometry.advance(standstill.at);
        while let Some((at, text)) = prints.next_if(|(print, _)| *print < at) {
            events.push(Event::Mark { at, text: Arc::clone(text) });
        }
        let here = standstill.strokes.iter().filter_map(|&i| dues.get(i as usize));
        let (stamps, struck): (Vec<&Due>, Vec<&Due>) = here.partition(|due| due.tool == STAMP);
        if !struck.is_empty() {
            events.push(Event::Stop { at, strokes: phases(line, struck) });
        }
        for text in stamps.into_iter().filter_map(|due| text_on(due.piece)) {
            events.push(Event::Mark { at, text });
        }
        while let Some((_, piece, slope)) = cuts.next_if(|(cut, ..)| *cut == standstill.at) {
            events.push(Event::Cut { at, piece: *piece, slope: *slope });
        }
    }
    events.extend(prints.map(|(at, text)| Event::Mark { at, text: Arc::clone(text) }));
    events
}

/// Where the line knows phases, all strokes of a stop fire together but those that must follow another over the same piece,
/// that clash, or for which their press has no force left: each takes the first phase it may.
fn phases(line: &Line, mut left: Vec<&Due>) -> Vec<Stroke> {
    let mut fired: Vec<(Stroke, &Due)> = Vec::with_capacity(left.len());
    let free = line.firing == Firing::AtOnce
        || (line.overlaps.is_empty() && line.presses.is_empty() && line.clashes.is_empty());
    if free || left.len() < 2 {
        fired.extend(left.drain(..).map(|due| (Stroke { phase: 0, tool: due.tool }, due)));
    }
    let follows = |first: &Due, then: &Due| {
        first.piece.abs_diff(then.piece) <= 1
            && line.overlaps.iter().any(|o| o.first == first.tool && o.then == then.tool)
    };
    // The strongest first: what is left over packs best. Who must wait for another, waits.
    left.sort_by_key(|due| (std::cmp::Reverse(force(line, due)), due.tool));
    while !left.is_empty() {
        // Orders are without circles (checked at load): somebody waits for nobody.
        let next = (0..left.len()).find(|&i| {
            left.get(i).is_some_and(|due| !left.iter().any(|other| follows(other, due)))
        });
        let due = left.remove(next.unwrap_or(0));
        let after = fired.iter().filter(|(_, first)| follows(first, due));
        let mut phase = after.map(|(stroke, _)| stroke.phase.saturating_add(1)).max().unwrap_or(0);
        while phase < u8::MAX && !fits(line, &fired, due, phase) {
            phase += 1;
        }
        fired.push((Stroke { phase, tool: due.tool }, due));
    }
    let mut fired: Vec<Stroke> = fired.into_iter().map(|(stroke, _)| stroke).collect();
    fired.sort_unstable();
    fired
}

fn force(line: &Line, due: &Due) -> i64 {
    line.tool(due.tool).map_or(0, |tool| tool.force)
}

/// Whether a stroke can join a phase: no clash there, and force enough left in its press.
fn fits(line: &Line, fired: &[(Stroke, &Due)], due: &Due, phase: u8) -> bool {
    let there = || fired.iter().filter(|(stroke, _)| stroke.phase == phase).map(|(_, d)| *d);
    if there().any(|other| line.clash(other.tool, due.tool)) {
        return false;
    }
    let press = line.press_of(due.station);
    let Some(most) = press.and_then(|p| line.presses.get(p)).and_then(|press| press.force) else {
        return true;
    };
    let taken = there()
        .filter(|other| line.press_of(other.station) == press)
        .fold(force(line, due), |sum, other| sum.saturating_add(force(line, other)));
    taken <= most
}
