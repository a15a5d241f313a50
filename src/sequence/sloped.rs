//! Orders of pieces with sloped ends, to choose from by what they really cost.
//!
//! Two neighbours whose ends slope alike share a cut; others lose a second cut, the least piece
//! that drops, and what their slopes differ by. [`trails`] is exact for the first, [`pairs`] and
//! [`gilmore_gomory`] for the last, where all pieces may be turned or none; for the sum of all,
//! for some that may be turned and others not, and for the head, the best of these orders and of
//! their rotations is taken, and pieces are moved while that saves strip: improvement, not proof.

use super::ends::{Placed, gilmore_gomory, pairs, reversed, trails};
use super::order::{Joint, Shapes, joints};
use std::collections::BTreeMap;

/// Whether any of these has an end that is not square.
pub(super) fn any(shapes: &Shapes<'_>, pieces: &[u32]) -> bool {
    let mut of = pieces.iter().filter_map(|&piece| shapes.get(piece));
    of.any(|shape| shape.blades.iter().any(|blade| !blade.slope.is_square()))
}

/// How many pieces that ask for little head are tried as the first.
const FIRSTS: usize = 16;

/// Orders of these pieces, as [`Shapes`] numbers them, after a cut that is there already. None
/// where all ends are square.
pub(super) fn orders(shapes: &Shapes<'_>, pieces: &[u32], from: Option<Joint>) -> Vec<Vec<u32>> {
    let ends: Vec<(Joint, Joint)> =
        pieces.iter().filter_map(|&piece| Some(joints(shapes.get(piece)?))).collect();
    if ends.len() < pieces.len() || !any(shapes, pieces) {
        return Vec::new();
    }
    // Turned by number: where that exchanges what both ends ask for, or makes no difference.
    let turns = |(&piece, ends): (&u32, &(Joint, Joint))| {
        let other = shapes.other(piece).and_then(|other| shapes.get(other)).map(joints);
        ends.0 == ends.1 || other == Some((ends.1, ends.0))
    };
    let turning = pieces.iter().zip(&ends).all(turns);
    let along: Vec<(i64, i64)> = ends.iter().map(|(a, b)| (far(a), far(b))).collect();
    let path = |pieces: &[(i64, i64)]| match turning {
        true => pairs::path(pieces, from.as_ref().map(far)),
        false => gilmore_gomory::path(pieces, from.as_ref().map(far)),
    };
    let by_slope = path(&along);
    let mut numbers: BTreeMap<Joint, i64> = BTreeMap::new();
    for joint in ends.iter().flat_map(|(a, b)| [a, b]) {
        let next = i64::try_from(numbers.len()).unwrap_or(i64::MAX);
        numbers.entry(*joint).or_insert(next);
    }
    let number = |joint: &Joint| numbers.get(joint).copied().unwrap_or(0);
    let kinds: Vec<(i64, i64)> = ends.iter().map(|(a, b)| (number(a), number(b))).collect();
    let runs = trails::runs(&kinds, turning);
    // Each run is a piece again: what its first begins with and its last ends with.
    let of_run: Vec<(i64, i64)> = runs
        .iter()
        .map(|run| {
            let shown = |placed: Option<&Placed>| {
                placed.map_or((0, 0), |placed| super::ends::shown(&along, *placed))
            };
            (shown(run.first()).0, shown(run.last()).1)
        })
        .collect();
    let by_run = path(&of_run).into_iter().flat_map(|placed| {
        let run = runs.get(placed.piece).cloned().unwrap_or_default();
        if placed.turned { reversed(run) } else { run }
    });
    let number = |placed: &Placed| {
        let piece = pieces.get(placed.piece).copied()?;
        if placed.turned { shapes.other(piece).or(Some(piece)) } else { Some(piece) }
    };
    let by_run: Vec<Placed> = by_run.collect();
    [by_run, by_slope].iter().map(|order| order.iter().filter_map(number).collect()).collect()
}

/// An order and its rotations that begin with pieces that ask for little head.
pub(super) fn rotations(shapes: &Shapes<'_>, order: Vec<u32>) -> Vec<Vec<u32>> {
    let mut by_head: Vec<usize> = (1..order.len()).collect();
    by_head.sort_by_key(|&at| order.get(at).map(|&piece| shapes.head(piece)));
    let mut all = vec![order];
    for at in by_head.into_iter().take(FIRSTS) {
        if let Some(mut rotated) = all.first().cloned() {
            rotated.rotate_left(at);
            all.push(rotated);
        }
    }
    all
}

/// Most orders of a bundle that are improved.
const IMPROVED: usize = 8;

/// Most steps, in pieces looked at, that improving the orders of one bundle takes.
const WORK: usize = 60_000;

/// The best of the orders that come of these when, of the cheapest, stretches of pieces are moved
/// to other places, as they are or the other way round, while that costs less; or as far as work
/// lasts.
pub(super) fn best(
    shapes: &Shapes<'_>,
    orders: Vec<Vec<u32>>,
    cost: &dyn Fn(&[u32]) -> i64,
) -> Vec<u32> {
    let mut priced: Vec<(i64, Vec<u32>)> =
        orders.into_iter().map(|order| (cost(&order), order)).collect();
    priced.sort();
    priced.dedup();
    let mut work = WORK;
    let improved = priced.into_iter().take(IMPROVED).map(|mut best| {
        while let Some(better) = cheaper(shapes, &best, cost, &mut work) {
            best = better;
        }
        best
    });
    improved.min().map(|(_, order)| order).unwrap_or_default()
}

/// The first order found that costs less.
fn cheaper(
    shapes: &Shapes<'_>,
    (cost_now, order): &(i64, Vec<u32>),
    cost: &dyn Fn(&[u32]) -> i64,
    work: &mut usize,
) -> Option<(i64, Vec<u32>)> {
    let count = order.len();
    for length in 1..=count {
        for from in 0..=count - length {
            let mut rest = order.clone();
            let stretch: Vec<u32> = rest.drain(from..from + length).collect();
            let other: Option<Vec<u32>> =
                stretch.iter().rev().map(|&p| around(shapes, p)).collect();
            for to in 0..=rest.len() {
                for way in [Some(&stretch), other.as_ref()].into_iter().flatten() {
                    *work = work.checked_sub(count)?;
                    let (before, after) = rest.split_at(to);
                    let tried: Vec<u32> = before.iter().chain(way).chain(after).copied().collect();
                    let costs = cost(&tried);
                    if costs < *cost_now {
                        return Some((costs, tried));
                    }
                }
            }
        }
    }
    None
}

/// The piece made the other way round; itself where that makes no difference. `None` where it may
/// not be.
fn around(shapes: &Shapes<'_>, piece: u32) -> Option<u32> {
    let (drawn, turned) = shapes.drawn(piece);
    if turned {
        return Some(drawn);
    }
    let (start, end) = joints(shapes.get(piece)?);
    shapes.other(piece).or((start == end).then_some(piece))
}

/// How far upstream a cut lies at the left edge of the web.
fn far(joint: &Joint) -> i64 {
    joint.blade.at_left.nm()
}
