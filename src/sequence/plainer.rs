//! Ends shaped by a plain straddling tool instead of a pattern, where a pattern beside a plain tool
//! would cost a gap.
//!
//! A straddling pattern saves strokes, but only ends shaped by one tool share a cut. Between a
//! member whose end a pattern shapes and one that needs the plain tool lies a piece of scrap, with
//! a cut more. Making the first one's end by the plain tool, and what else the pattern makes by
//! itself, costs a stroke or two and no strip. For pieces in a given order the least of it is a
//! shortest way: strip that gaps take, then strokes.

use super::layout::gap_between;
use super::order::Shapes;
use crate::library::model::Line;
use crate::tooling::{BoundShape, Geometry};

/// Steps of strip in gaps, and strokes.
type Cost = (i64, i64);

/// The same pieces in the same order, each end shaped so that gaps take the least strip, and then
/// with the fewest strokes.
pub fn plainer(
    line: &Line,
    geometry: &Geometry,
    shapes: Shapes<'_>,
    order: &[Vec<u32>],
) -> Vec<Vec<u32>> {
    if shapes.plain.is_empty() {
        return order.to_vec();
    }
    let pieces: Vec<u32> = order.iter().flatten().copied().collect();
    let made = least(line, geometry, shapes, &pieces).unwrap_or(pieces);
    let mut made = made.into_iter();
    order.iter().map(|bundle| made.by_ref().take(bundle.len()).collect()).collect()
}

/// A way to make a piece, and the cheapest way up to it: its cost, and which way of the piece
/// before it is.
struct Way<'a> {
    number: u32,
    shape: &'a BoundShape,
    cost: Cost,
    before: usize,
}

fn least(line: &Line, geometry: &Geometry, shapes: Shapes<'_>, pieces: &[u32]) -> Option<Vec<u32>> {
    let mut table: Vec<Vec<Way<'_>>> = Vec::with_capacity(pieces.len());
    // Where the piece begins at least; a threaded coil fires from there on only.
    let mut base = 0;
    let warm = geometry.ceil_steps(line.head.first_advance).min(0);
    for &piece in pieces {
        let usual = shapes.get(piece)?;
        let others = shapes.plainer(piece).filter_map(|number| Some((number, shapes.get(number)?)));
        // None that would ask for a longer head; nor a shorter one: the bound on strip has the
        // heads of the usual ways.
        let bears = |shape: &BoundShape| shape.head >= usual.head && shape.head - warm <= base;
        let ways = std::iter::once((piece, usual)).chain(others.filter(|(_, s)| bears(s)));
        let ways: Vec<Way<'_>> = ways
            .filter_map(|(number, shape)| {
                let strokes = i64::try_from(shape.strokes.len()).ok()?;
                let Some(last) = table.last() else {
                    return Some(Way { number, shape, cost: (0, strokes), before: 0 });
                };
                let from = |(before, way): (usize, &Way<'_>)| {
                    let gap = gap_between(line, geometry, way.shape, shape);
                    ((way.cost.0 + gap, way.cost.1 + strokes), before)
                };
                let (cost, before) = last.iter().enumerate().map(from).min()?;
                Some(Way { number, shape, cost, before })
            })
            .collect();
        base += usual.pitch;
        table.push(ways);
    }
    let mut at = table.last()?.iter().enumerate().min_by_key(|(_, way)| way.cost)?.0;
    let mut made = Vec::with_capacity(pieces.len());
    for ways in table.iter().rev() {
        let way = ways.get(at)?;
        made.push(way.number);
        at = way.before;
    }
    made.reverse();
    Some(made)
}
