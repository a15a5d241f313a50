//! In which order a coil's pieces are made.
//!
//! Two costs depend on it: the head (ascending head requirement is optimal, by exchange) and the
//! gaps between members whose ends cannot share a cut: one is straddled by another tool, or
//! sloped otherwise.

use super::layout::gap_between;
use super::sloped;
use crate::library::model::{Line, ToolId};
use crate::tooling::{Blade, BoundShape, Edge, Geometry};
use std::collections::{BTreeMap, BTreeSet, VecDeque};

/// What an end asks of the cut beside it: only alike ones can share it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Joint {
    /// A straddling tool's stroke.
    pub tool: Option<ToolId>,
    /// The cut itself.
    pub blade: Blade,
}

/// What a piece asks of the cuts beside it.
type Ends = (Joint, Joint);

pub(super) fn joints(shape: &BoundShape) -> Ends {
    let [start, end] = shape.blades;
    let joint = |edge: Option<Edge>, blade| Joint { tool: edge.map(|e| e.stroke.tool), blade };
    (joint(shape.start, start), joint(shape.end, end))
}

/// The shapes of one run's pieces: what ordering looks at.
///
/// Where pieces may be made turned end for end, number p + n stands for piece p of n made so. What
/// is shaped by plainer tools than usual has numbers from p + 2n on: three for the piece as drawn,
/// three for it turned.
#[derive(Clone, Copy)]
pub struct Shapes<'a> {
    /// Bound shapes.
    pub bounds: &'a [BoundShape],
    /// Which bound shape each piece has.
    pub of_piece: &'a [u32],
    /// Which it has turned; the same where that makes no difference. Empty where nothing turns.
    pub turned: &'a [u32],
    /// For each bound shape those with its start, its end, or both shaped by plain straddling tools
    /// instead of patterns; itself where that is nothing else. Empty where no line has such tools.
    pub plain: &'a [[u32; 3]],
}

impl<'a> Shapes<'a> {
    /// The bound shape of a piece, as it is made.
    pub fn get(&self, piece: u32) -> Option<&'a BoundShape> {
        self.bounds.get(self.shape(piece)? as usize)
    }
    fn shape(&self, piece: u32) -> Option<u32> {
        let n = self.of_piece.len();
        let (way, piece) = ((piece as usize).checked_div(n)?, (piece as usize).checked_rem(n)?);
        let usual = |turned: bool| match turned {
            false => self.of_piece.get(piece).copied(),
            true => self.turned.get(piece).copied(),
        };
        match way.checked_sub(2) {
            None => usual(way == 1),
            Some(plain) => self.plain.get(usual(plain >= 3)? as usize)?.get(plain % 3).copied(),
        }
    }
    /// The piece as drawn, and whether it is made turned.
    pub fn drawn(&self, piece: u32) -> (u32, bool) {
        match u32::try_from(self.of_piece.len()) {
            Ok(n) if n > 0 => (piece % n, matches!(piece / n, 1 | 5..)),
            _ => (piece, false),
        }
    }
    /// The piece, made the same way round, with plainer ends.
    pub(super) fn plainer(&self, piece: u32) -> impl Iterator<Item = u32> + use<'a> {
        let (of, usual) = (*self, self.shape(piece));
        let (drawn, turned) = self.drawn(piece);
        let n = u32::try_from(self.of_piece.len()).unwrap_or(u32::MAX);
        let first = if turned { 5 } else { 2 };
        let number = move |way: u32| way.checked_mul(n)?.checked_add(drawn);
        (first..first + 3)
            .filter_map(number)
            .filter(move |number| of.shape(*number).is_some_and(|shape| Some(shape) != usual))
    }
    /// The piece made the other way round, where that makes a difference.
    pub(super) fn other(&self, piece: u32) -> Option<u32> {
        let n = u32::try_from(self.of_piece.len()).ok()?;
        let other = piece.checked_add(n).filter(|_| piece < n)?;
        (self.shape(other)? != self.shape(piece)?).then_some(other)
    }
    pub(super) fn head(&self, piece: u32) -> i64 {
        self.get(piece).map_or(0, |b| b.head)
    }
}

/// Orders each bundle's pieces, and puts the bundle that needs the least head first among those
/// that may come first (`first_choices` of them). Returns the bundles in their new order.
pub fn arrange(
    line: &Line,
    geometry: &Geometry,
    shapes: Shapes<'_>,
    bundles: &[&[u32]],
    first_choices: usize,
) -> Vec<(usize, Vec<u32>)> {
    let shapes = &shapes;
    let mut best: Option<(i64, usize, Vec<u32>)> = None;
    for (index, pieces) in bundles.iter().enumerate().take(first_choices.max(1)) {
        for order in candidates(shapes, pieces, None) {
            let cost = head_of(shapes, &order) + gaps_of(line, geometry, shapes, &order);
            if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                best = Some((cost, index, order));
            }
        }
    }
    let Some((_, first, mut order)) = best else { return Vec::new() };
    let pieces = bundles.get(first).copied().unwrap_or_default();
    if sloped::any(shapes, pieces) {
        order = sloped::best(shapes, candidates(shapes, pieces, None), &|order| {
            head_of(shapes, order) + gaps_of(line, geometry, shapes, order)
        });
    }
    let last_of = |order: &[u32]| order.last().and_then(|&p| shapes.get(p));
    let mut before = last_of(&order);
    let mut arranged = vec![(first, order)];
    for (index, pieces) in bundles.iter().enumerate().filter(|(i, _)| *i != first) {
        let left_at = before.map(|b| joints(b).1);
        let order = if sloped::any(shapes, pieces) {
            sloped::best(shapes, candidates(shapes, pieces, left_at), &|order| {
                let pair = before.zip(order.first().and_then(|&p| shapes.get(p)));
                pair.map_or(0, |(a, b)| gap_between(line, geometry, a, b))
                    + gaps_of(line, geometry, shapes, order)
            })
        } else {
            chain(shapes, pieces, left_at, None)
        };
        before = last_of(&order).or(before);
        arranged.push((index, order));
    }
    arranged
}

/// Orders of a bundle to choose from: from each kind of ends on, and what sloped ends ask for.
fn candidates(shapes: &Shapes<'_>, pieces: &[u32], left_at: Option<Joint>) -> Vec<Vec<u32>> {
    let after = left_at.map(|_| chain(shapes, pieces, left_at, None));
    let firsts = group(shapes, pieces).into_keys();
    let chains = firsts.map(|first| chain(shapes, pieces, None, Some(first)));
    let sloped = sloped::orders(shapes, pieces, left_at);
    let sloped = sloped.into_iter().flat_map(|order| sloped::rotations(shapes, order));
    after.into_iter().chain(chains).chain(sloped).collect()
}

/// The head requirements of all pieces, each as it asks for least, ascending: what any order needs
/// at least, for bounds.
pub fn heads_ascending(shapes: Shapes<'_>) -> Vec<i64> {
    let mut heads = heads(shapes);
    heads.sort_unstable();
    heads
}

/// The head requirement of each piece, as it asks for least.
pub fn heads(shapes: Shapes<'_>) -> Vec<i64> {
    let count = u32::try_from(shapes.of_piece.len()).unwrap_or(u32::MAX);
    (0..count)
        .map(|p| shapes.other(p).map_or(i64::MAX, |other| shapes.head(other)).min(shapes.head(p)))
        .collect()
}

fn group(shapes: &Shapes<'_>, pieces: &[u32]) -> BTreeMap<Ends, VecDeque<u32>> {
    let mut sorted: Vec<u32> =
        pieces.iter().flat_map(|&p| [Some(p), shapes.other(p)]).flatten().collect();
    sorted.sort_by_key(|&p| (shapes.head(p), shapes.shape(p), p));
    let mut groups: BTreeMap<Ends, VecDeque<u32>> = BTreeMap::new();
    for piece in sorted {
        if let Some(shape) = shapes.get(piece) {
            groups.entry(joints(shape)).or_default().push_back(piece);
        }
    }
    groups
}

/// Pieces in ascending head requirement within what their ends allow: goes on with pieces whose
/// start shares the cut just made, as long as there are any.
fn chain(
    shapes: &Shapes<'_>,
    pieces: &[u32],
    mut left_at: Option<Joint>,
    mut group_now: Option<Ends>,
) -> Vec<u32> {
    let mut groups = group(shapes, pieces);
    let mut order = Vec::with_capacity(pieces.len());
    let mut made: BTreeSet<u32> = BTreeSet::new();
    while order.len() < pieces.len() {
        // What was made one way round is not made the other way.
        for queue in groups.values_mut() {
            while queue.front().is_some_and(|&p| made.contains(&shapes.drawn(p).0)) {
                queue.pop_front();
            }
        }
        let fits = |key: &Ends| left_at.is_none_or(|joint| joint == key.0);
        let off = |key: &Ends| left_at.map(|joint| joint.blade.differs(key.0.blade));
        let open = |key: &Ends| groups.get(key).is_some_and(|queue| !queue.is_empty());
        let keep = group_now.filter(|key| open(key) && fits(key));
        let next = keep.or_else(|| {
            groups
                .iter()
                .filter_map(|(key, queue)| queue.front().map(|&p| (key, p)))
                .min_by_key(|(key, p)| (!fits(key), off(key), shapes.head(*p), *p))
                .map(|(key, _)| *key)
        });
        let Some(key) = next else { break };
        let Some(piece) = groups.get_mut(&key).and_then(VecDeque::pop_front) else { break };
        if !shapes.turned.is_empty() {
            made.insert(shapes.drawn(piece).0);
        }
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
