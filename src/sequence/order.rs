//! In which order a coil's pieces are made.
//!
//! Two costs depend on it: the head (ascending head requirement is optimal, by exchange) and the
//! gaps between members whose ends cannot share a straddled cut.

use super::layout::gap_between;
use crate::library::model::{Line, ToolId};
use crate::tooling::{BoundShape, Geometry};
use std::collections::{BTreeMap, VecDeque};

/// What a piece asks of the cuts beside it.
type Ends = (Option<ToolId>, Option<ToolId>);

fn ends(shape: &BoundShape) -> Ends {
    (shape.start.map(|e| e.stroke.tool), shape.end.map(|e| e.stroke.tool))
}

/// The shapes of one run's pieces: what ordering looks at.
pub(super) struct Shapes<'a> {
    pub bounds: &'a [BoundShape],
    /// Which bound shape each piece has.
    pub of_piece: &'a [u32],
}

impl<'a> Shapes<'a> {
    pub(super) fn get(&self, piece: u32) -> Option<&'a BoundShape> {
        let shape = *self.of_piece.get(piece as usize)?;
        self.bounds.get(shape as usize)
    }
    fn head(&self, piece: u32) -> i64 {
        self.get(piece).map_or(0, |b| b.head)
    }
}

/// Orders each bundle's pieces, and puts the bundle that needs the least head first among those
/// that may come first (`first_choices` of them). Returns the bundles in their new order.
pub fn arrange(
    line: &Line,
    geometry: &Geometry,
    bounds: &[BoundShape],
    of_piece: &[u32],
    bundles: &[&[u32]],
    first_choices: usize,
) -> Vec<(usize, Vec<u32>)> {
    let shapes = Shapes { bounds, of_piece };
    let mut best: Option<(i64, usize, Vec<u32>)> = None;
    for (index, pieces) in bundles.iter().enumerate().take(first_choices.max(1)) {
        for first in group(&shapes, pieces).into_keys() {
            let order = chain(&shapes, pieces, None, Some(first));
            let cost = head_of(&shapes, &order) + gaps_of(line, geometry, &shapes, &order);
            if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                best = Some((cost, index, order));
            }
        }
    }
    let Some((_, first, order)) = best else { return Vec::new() };
    let mut left_at = order.last().and_then(|&p| shapes.get(p)).map(|b| ends(b).1);
    let mut arranged = vec![(first, order)];
    for (index, pieces) in bundles.iter().enumerate().filter(|(i, _)| *i != first) {
        let order = chain(&shapes, pieces, left_at, None);
        left_at = order.last().and_then(|&p| shapes.get(p)).map(|b| ends(b).1).or(left_at);
        arranged.push((index, order));
    }
    arranged
}

/// The head requirements of all pieces, ascending: what any order needs at least, for bounds.
pub fn heads_ascending(bounds: &[BoundShape], of_piece: &[u32]) -> Vec<i64> {
    let shapes = Shapes { bounds, of_piece };
    let mut heads: Vec<i64> = of_piece
        .iter()
        .enumerate()
        .filter_map(|(i, _)| u32::try_from(i).ok())
        .map(|p| shapes.head(p))
        .collect();
    heads.sort_unstable();
    heads
}

fn group(shapes: &Shapes<'_>, pieces: &[u32]) -> BTreeMap<Ends, VecDeque<u32>> {
    let mut sorted: Vec<u32> = pieces.to_vec();
    sorted.sort_by_key(|&p| (shapes.head(p), shapes.of_piece.get(p as usize).copied(), p));
    let mut groups: BTreeMap<Ends, VecDeque<u32>> = BTreeMap::new();
    for piece in sorted {
        if let Some(shape) = shapes.get(piece) {
            groups.entry(ends(shape)).or_default().push_back(piece);
        }
    }
    groups
}

/// Pieces in ascending head requirement within what their ends allow: goes on with pieces whose
/// start shares the cut just made, as long as there are any.
fn chain(
    shapes: &Shapes<'_>,
    pieces: &[u32],
    mut left_at: Option<Option<ToolId>>,
    mut group_now: Option<Ends>,
) -> Vec<u32> {
    let mut groups = group(shapes, pieces);
    let mut order = Vec::with_capacity(pieces.len());
    while order.len() < pieces.len() {
        let fits = |key: &Ends| left_at.is_none_or(|tool| tool == key.0);
        let open = |key: &Ends| groups.get(key).is_some_and(|queue| !queue.is_empty());
        let keep = group_now.filter(|key| open(key) && fits(key));
        let next = keep.or_else(|| {
            groups
                .iter()
                .filter_map(|(key, queue)| queue.front().map(|&p| (key, p)))
                .min_by_key(|(key, p)| (!fits(key), shapes.head(*p), *p))
                .map(|(key, _)| *key)
        });
        let Some(key) = next else { break };
        let Some(piece) = groups.get_mut(&key).and_then(VecDeque::pop_front) else { break };
        order.push(piece);
        left_at = Some(key.1);
        group_now = Some(key);
    }
    order
}

/// Steps of head an order needs.
pub(super) fn head_of(shapes: &Shapes<'_>, order: &[u32]) -> i64 {
    head_of_signed(shapes, order).max(0)
}

/// As [`head_of`]; less than nothing where the first stroke of all comes later.
pub(super) fn head_of_signed(shapes: &Shapes<'_>, order: &[u32]) -> i64 {
    let mut offset = 0;
    let mut head = i64::MIN / 4;
    for &piece in order {
        let Some(shape) = shapes.get(piece) else { continue };
        head = head.max(shape.head - offset);
        offset += shape.pitch;
    }
    head
}

fn gaps_of(line: &Line, geometry: &Geometry, shapes: &Shapes<'_>, order: &[u32]) -> i64 {
    order
        .windows(2)
        .filter_map(|pair| match pair {
            [a, b] => Some(gap_between(line, geometry, shapes.get(*a)?, shapes.get(*b)?)),
            _ => None,
        })
        .sum()
}
