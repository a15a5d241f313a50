//! Where each piece of a run lies on its coil, in grid steps.

use super::order::{Shapes, head_of, head_of_signed};
use crate::library::model::{Line, Slope, ToolId};
use crate::nest::fill::best_subset;
use crate::quantity::Length;
use crate::tooling::{Blade, BoundShape, Edge, Geometry};
use std::collections::BTreeMap;

/// The strip a run is made from.
#[derive(Clone, Debug)]
pub struct Strip<'a> {
    /// From its leading edge to its end.
    pub length: Length,
    /// Nothing good may lie on these, in order.
    pub defects: &'a [(Length, Length)],
    /// Already threaded, with a clean cut at the shear.
    pub warm: bool,
    /// Least head, trim and its slug included.
    pub head: Length,
    /// Strip that can no longer be driven under the shear when the end passes.
    pub tail: Length,
    /// Strip lost behind the last cut when the run is over: zero where the coil stays threaded.
    pub parting: Length,
    /// Shortest remnant that is used again.
    pub keep: Length,
}

/// Why a scrap piece is cut off.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum ScrapWhy {
    /// The head.
    Head,
    /// To pass a defect zone.
    Defect,
    /// Between two members that cannot share a cut.
    Gap,
    /// After the last member, what a straddling tool did beyond its cut: whoever uses the strip
    /// next finds a clean edge.
    Clean,
}

/// A cut that parts scrap from the next member's start.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ScrapCut {
    /// Where: the base of the piece that follows, if one does.
    pub at: i64,
    /// Why.
    pub why: ScrapWhy,
    /// How the shear is turned for it: as the start of the piece that follows.
    pub slope: Slope,
}

/// A run laid out.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Laid {
    /// Pieces in order, numbered as [`Shapes`] does.
    pub pieces: Vec<u32>,
    /// Base of each: the cut before its start.
    pub bases: Vec<i64>,
    /// Cuts that part scrap, in order.
    pub scrap: Vec<ScrapCut>,
    /// The last cut.
    pub end: i64,
}

/// The run is longer than its strip.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Overrun {
    /// By how much.
    pub by: Length,
}

/// Steps between the cut of one member and the base of the next: 0 where they share the cut,
/// else a piece of scrap that the shear can part and that takes up what straddling tools do
/// beyond each cut.
pub(super) fn gap_between(
    line: &Line,
    geometry: &Geometry,
    before: &BoundShape,
    after: &BoundShape,
) -> i64 {
    let shared = match (&before.end, &after.start) {
        (None, None) => true,
        (Some(a), Some(b)) => {
            a.stroke.tool == b.stroke.tool
                && a.stroke.lo.max(b.stroke.lo) <= a.stroke.hi.min(b.stroke.hi)
        }
        _ => false,
    };
    let ([_, end], [start, _]) = (before.blades, after.blades);
    if shared && end.slope == start.slope && refire_lacking(line, before, after) <= Length::ZERO {
        0
    } else {
        least_gap(line, geometry, Some(before), after)
    }
}

/// How much nearer than its tool allows the last stroke of one member and the first of the next
/// would lie if they shared a cut; nought or less where they do not.
fn refire_lacking(line: &Line, before: &BoundShape, after: &BoundShape) -> Length {
    let mut lacking = Length::ZERO;
    for (tool, last) in &before.last {
        if let Some((_, first)) = after.first.iter().find(|(t, _)| t == tool) {
            let needed = line.tool(*tool).map_or(Length::ZERO, |t| t.refire);
            lacking = lacking.max(needed - (*first - *last));
        }
    }
    lacking
}

/// How far from its cut a straddling stroke may leave a mark, wherever in its window it fires.
fn beyond(geometry: &Geometry, edge: &Edge) -> Length {
    let off = |steps: i64| (geometry.length(steps) - edge.stroke.nominal).abs();
    edge.reach + off(edge.stroke.lo).max(off(edge.stroke.hi))
}

/// Least steps from a cut over a scrap piece to the next base.
fn least_gap(
    line: &Line,
    geometry: &Geometry,
    before: Option<&BoundShape>,
    after: &BoundShape,
) -> i64 {
    let edges = [before.and_then(|b| b.end), after.start];
    let reach =
        edges.into_iter().flatten().map(|e| beyond(geometry, &e)).max().unwrap_or(Length::ZERO);
    let refire = before.map_or(Length::ZERO, |before| refire_lacking(line, before, after));
    // A straddling tool that shapes both ends fires at both cuts, wherever in its windows.
    let both = match edges {
        [Some(end), Some(start)] if end.stroke.tool == start.stroke.tool => {
            let needed = line.tool(end.stroke.tool).map_or(Length::ZERO, |tool| tool.refire);
            let late = (geometry.length(end.stroke.hi) - end.stroke.nominal).abs();
            let early = (start.stroke.nominal - geometry.length(start.stroke.lo)).abs();
            needed + late + early
        }
        _ => Length::ZERO,
    };
    // The scrap between two slopes has to drop at its shorter side too, and nothing that reaches
    // over one cut may come down on a sloped other.
    let ([start, _], end) = (after.blades, before.map_or(Blade::SQUARE, |b| b.blades[1]));
    let drop = line.shear.least_drop + end.differs(start);
    let reach = match reach {
        Length::ZERO => reach,
        reach => reach + end.half().max(start.half()),
    };
    geometry.ceil_steps(geometry.slug + reach.max(drop).max(refire).max(both))
}

/// Lays bundles of ordered pieces on a strip. Where the next piece would lie on a defect, the
/// rest of its bundle is looked through for pieces that fill the strip before it best.
pub fn lay(
    line: &Line,
    geometry: &Geometry,
    shapes: Shapes<'_>,
    bundles: &[Vec<u32>],
    strip: &Strip<'_>,
) -> Result<Laid, Overrun> {
    let order: Vec<u32> = bundles.iter().flatten().copied().collect();
    let (mut first, mut why) = first_base(line, geometry, &shapes, &order, strip);
    let warmth = if strip.warm { geometry.ceil_steps(line.head.first_advance) } else { 0 };
    // Filling up before a defect changes the order; the head may then have to grow.
    loop {
        let mut laid = lay_from(line, geometry, &shapes, bundles, strip, (first, why));
        let lacking = laid
            .pieces
            .iter()
            .zip(&laid.bases)
            .filter_map(|(&piece, base)| Some(shapes.get(piece)?.head - warmth - base))
            .max()
            .unwrap_or(0);
        if lacking > 0 {
            let drop = line.shear.least_drop + first_half(&shapes, &laid.pieces);
            first = (first + lacking).max(geometry.ceil_steps(drop));
            why = Some(ScrapWhy::Head);
            continue;
        }
        // What came to the front may begin on another slope.
        let (least, head) = first_base(line, geometry, &shapes, &laid.pieces, strip);
        if least > first {
            (first, why) = (least, head);
            continue;
        }
        leave_clean(line, geometry, &shapes, strip, &mut laid);
        let last = laid.pieces.last().and_then(|&p| shapes.get(p)).filter(|_| !clean(&laid));
        let long = last.map_or(Length::ZERO, |shape| shape.blades[1].half());
        let over = geometry.length(laid.end) + long - (strip.length - strip.tail);
        return if over > Length::ZERO { Err(Overrun { by: over }) } else { Ok(laid) };
    }
}

/// The half of the first piece's start: how far its long point lies before the cut there.
fn first_half(shapes: &Shapes<'_>, order: &[u32]) -> Length {
    let first = order.first().and_then(|&piece| shapes.get(piece));
    first.map_or(Length::ZERO, |shape| shape.blades[0].half())
}

/// Whether the last cut is one that leaves a clean edge.
fn clean(laid: &Laid) -> bool {
    laid.scrap.last().is_some_and(|scrap| scrap.why == ScrapWhy::Clean)
}

/// Cuts off what the last straddling stroke, or a sloped cut, left on strip that will be used
/// again.
fn leave_clean(
    line: &Line,
    geometry: &Geometry,
    shapes: &Shapes<'_>,
    strip: &Strip<'_>,
    laid: &mut Laid,
) {
    let Some(last) = laid.pieces.last().and_then(|&p| shapes.get(p)) else { return };
    let half = last.blades[1].half();
    let reach = last.end.map_or(Length::ZERO, |edge| beyond(geometry, &edge)).max(half);
    let rest = strip.length - (geometry.length(laid.end) + geometry.slug) - strip.parting;
    if reach > strip.parting && rest >= strip.keep {
        let drop = line.shear.least_drop + half;
        laid.end += geometry.ceil_steps(geometry.slug + reach.max(drop));
        let slope = Slope::SQUARE;
        laid.scrap.push(ScrapCut { at: laid.end, why: ScrapWhy::Clean, slope });
    }
}

fn lay_from(
    line: &Line,
    geometry: &Geometry,
    shapes: &Shapes<'_>,
    bundles: &[Vec<u32>],
    strip: &Strip<'_>,
    (first, why): (i64, Option<ScrapWhy>),
) -> Laid {
    let mut laid = Laid::default();
    let mut base = first;
    let mut scrap = why;
    let mut before: Option<&BoundShape> = None;
    let mut latest = Latest::default();
    for bundle in bundles {
        let mut queue: std::collections::VecDeque<u32> = bundle.iter().copied().collect();
        // How many at the front were picked to fill the strip before a defect.
        let mut picked = 0_usize;
        while let Some(&piece) = queue.front() {
            let Some(shape) = shapes.get(piece) else {
                queue.pop_front();
                continue;
            };
            let from = base;
            if let Some(before) = before {
                let gap = gap_between(line, geometry, before, shape);
                if gap > 0 {
                    base += gap;
                    scrap = Some(ScrapWhy::Gap);
                }
                let lacking = latest.lacking(line, geometry, base, shape, gap == 0);
                if lacking > 0 {
                    base = base.max(from + least_gap(line, geometry, Some(before), shape));
                    base += latest.lacking(line, geometry, base, shape, false).max(0);
                    scrap = Some(ScrapWhy::Gap);
                }
            }
            if let Some(defect) = meets(geometry, strip, base, shape) {
                if picked == 0 && queue.len() > 1 {
                    let room = defect.0 - (geometry.length(base) + geometry.slug);
                    picked = pick_filling(geometry, shapes, &mut queue, room);
                    if picked > 0 {
                        base = from;
                        scrap = before.map_or(scrap, |_| None);
                        continue;
                    }
                }
                base = pass(line, geometry, strip, before, shape, from, defect);
                scrap = Some(before.map_or(ScrapWhy::Head, |_| ScrapWhy::Defect));
            }
            if let Some(why) = scrap.take() {
                laid.scrap.push(ScrapCut { at: base, why, slope: shape.blades[0].slope });
            }
            picked = picked.saturating_sub(1);
            queue.pop_front();
            laid.pieces.push(piece);
            laid.bases.push(base);
            latest.note(geometry, base, shape);
            base += shape.pitch;
            before = Some(shape);
        }
    }
    laid.end = base;
    laid
}

/// Whether neighbours laid at these bases bear each other: where nothing is parted between two of
/// them they share a cut, elsewhere the scrap takes up what tools do beyond their ends, and no
/// tool fires too near its last stroke.
pub(super) fn bear_each_other(
    line: &Line,
    geometry: &Geometry,
    bases: &[i64],
    shapes: &[&BoundShape],
) -> bool {
    let mut latest = Latest::default();
    let mut before: Option<(i64, &BoundShape)> = None;
    for (base, shape) in bases.iter().zip(shapes) {
        let shares = before.is_some_and(|(cut, _)| cut == *base);
        if let Some((cut, before)) = before {
            let parted = if shares { 0 } else { least_gap(line, geometry, Some(before), shape) };
            let shared = !shares || gap_between(line, geometry, before, shape) == 0;
            if !shared || base - cut < parted {
                return false;
            }
        }
        if latest.lacking(line, geometry, *base, shape, shares) > 0 {
            return false;
        }
        latest.note(geometry, *base, shape);
        before = Some((base + shape.pitch, shape));
    }
    true
}

/// Where each tool comes down last on what is laid so far: a tool may pass over whole members
/// between two of its strokes, and still be too near.
#[derive(Default)]
struct Latest {
    at: BTreeMap<ToolId, Length>,
}

impl Latest {
    /// How many steps later a piece's base must come for its tools' re-fire distances. Where it
    /// `shares` the last cut its start asks for nothing of its own.
    fn lacking(
        &self,
        line: &Line,
        geometry: &Geometry,
        base: i64,
        shape: &BoundShape,
        shares: bool,
    ) -> i64 {
        let at = geometry.length(base);
        let start = shape.start.filter(|_| !shares);
        let pitch = geometry.length(shape.pitch);
        let straddled =
            [(start, Length::ZERO), (shape.end, pitch)].into_iter().filter_map(|(edge, cut)| {
                edge.map(|edge| (edge.stroke.tool, cut + at_cut(geometry, &edge)))
            });
        let lacking = shape.first.iter().copied().chain(straddled).filter_map(|(tool, centre)| {
            let needed = line.tool(tool)?.refire;
            Some(needed - (at + centre - *self.at.get(&tool)?))
        });
        geometry.ceil_steps(lacking.max().unwrap_or(Length::ZERO))
    }

    fn note(&mut self, geometry: &Geometry, base: i64, shape: &BoundShape) {
        let (start, cut) = (geometry.length(base), geometry.length(base + shape.pitch));
        if let Some(edge) = &shape.start {
            self.at.insert(edge.stroke.tool, start + at_cut(geometry, edge));
        }
        for (tool, centre) in &shape.last {
            self.at.insert(*tool, cut + *centre);
        }
        if let Some(edge) = &shape.end {
            self.at.insert(edge.stroke.tool, cut + at_cut(geometry, edge));
        }
    }
}

/// Where a straddling tool's reference comes to lie, from its cut.
fn at_cut(geometry: &Geometry, edge: &Edge) -> Length {
    edge.stroke.nominal + geometry.offset(edge.stroke.tool)
}

/// Base of the first piece, and whether it is cut from a head.
fn first_base(
    line: &Line,
    geometry: &Geometry,
    shapes: &Shapes<'_>,
    order: &[u32],
    strip: &Strip<'_>,
) -> (i64, Option<ScrapWhy>) {
    let head = head_of_signed(shapes, order);
    let half = first_half(shapes, order);
    if strip.warm {
        // From a clean cut tools may fire at once: A₀ = 0.
        let warm_head = head - geometry.ceil_steps(line.head.first_advance);
        let at_edge = geometry.floor_steps(-geometry.slug);
        let clean = geometry.length(at_edge) == -geometry.slug && half == Length::ZERO;
        if clean && warm_head <= at_edge {
            return (at_edge, None);
        }
        let least = geometry.ceil_steps(line.shear.least_drop + half);
        return (warm_head.max(least), Some(ScrapWhy::Head));
    }
    let least = geometry.ceil_steps((strip.head - geometry.slug).max(Length::ZERO) + half);
    (head_of(shapes, order).max(least).max(0), Some(ScrapWhy::Head))
}

/// The first defect zone a piece with this base would lie on.
fn meets(
    geometry: &Geometry,
    strip: &Strip<'_>,
    base: i64,
    shape: &BoundShape,
) -> Option<(Length, Length)> {
    let [at_start, at_end] = shape.blades.map(Blade::half);
    let start = geometry.length(base) + geometry.slug - at_start;
    let cut = geometry.length(base + shape.pitch) + at_end;
    let first = strip.defects.partition_point(|d| d.1 <= start);
    strip.defects.get(first).copied().filter(|d| d.0 < cut)
}

/// The least base past a defect (and past any the piece would meet after that).
fn pass(
    line: &Line,
    geometry: &Geometry,
    strip: &Strip<'_>,
    before: Option<&BoundShape>,
    shape: &BoundShape,
    from: i64,
    defect: (Length, Length),
) -> i64 {
    let half = shape.blades[0].half();
    let least = match before {
        Some(_) => from + least_gap(line, geometry, before, shape),
        // The scrap of a warm strip begins at a cut and has to drop; a cold head is long enough.
        None if strip.warm => from.max(geometry.ceil_steps(line.shear.least_drop + half)),
        None => from,
    };
    let mut base = least.max(geometry.ceil_steps(defect.1 - geometry.slug + half));
    while let Some(next) = meets(geometry, strip, base, shape) {
        base = base.max(geometry.ceil_steps(next.1 - geometry.slug + half));
    }
    base
}

/// Moves the pieces that fill `room` best to the front of the queue, in their order, and says
/// how many.
fn pick_filling(
    geometry: &Geometry,
    shapes: &Shapes<'_>,
    queue: &mut std::collections::VecDeque<u32>,
    room: Length,
) -> usize {
    // A cut's slug may fall into the defect.
    let room = room + geometry.slug;
    let lengths: Vec<Length> = queue
        .iter()
        .take(256)
        .map(|&p| shapes.get(p).map_or(Length::LIMIT, |b| geometry.length(b.pitch)))
        .collect();
    let chosen = best_subset(&lengths, room.max(Length::ZERO));
    let count = chosen.iter().filter(|c| **c).count();
    let (mut front, mut rest) = (Vec::with_capacity(count), Vec::with_capacity(queue.len()));
    for (at, piece) in queue.drain(..).enumerate() {
        if chosen.get(at) == Some(&true) { front.push(piece) } else { rest.push(piece) }
    }
    queue.extend(front);
    queue.extend(rest);
    count
}
