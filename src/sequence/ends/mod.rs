//! In which order pieces with shaped ends lose least, by end shapes alone: [`trails`] where equal
//! ends share a cut and others do not, [`pairs`] and [`gilmore_gomory`] where two ends that differ
//! cost as much as they differ by.
//!
//! A shape is a number: for a sloped cut how far it runs along the strip across the web, the left
//! side upstream being positive. Turned end for end a piece exchanges its two numbers.

pub mod gilmore_gomory;
pub mod pairs;
pub mod trails;

/// A piece in an order, as its place in what was given, and whether it is turned.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Placed {
    /// Which.
    pub piece: usize,
    /// Whether it is made turned end for end.
    pub turned: bool,
}

/// What a piece shows to its neighbours, as `(first, last)` on the strip.
pub fn shown(pieces: &[(i64, i64)], placed: Placed) -> (i64, i64) {
    let (first, last) = pieces.get(placed.piece).copied().unwrap_or_default();
    if placed.turned { (last, first) } else { (first, last) }
}

/// Sum over neighbours of what their ends differ by; the last is no neighbour of the first.
pub fn path_cost(pieces: &[(i64, i64)], order: &[Placed]) -> i64 {
    let pair = |pair: &[Placed]| match pair {
        [a, b] => (shown(pieces, *a).1 - shown(pieces, *b).0).abs(),
        _ => 0,
    };
    order.windows(2).map(pair).sum()
}

/// The same, and from the last to the first.
pub fn cycle_cost(pieces: &[(i64, i64)], order: &[Placed]) -> i64 {
    let (Some(first), Some(last)) = (order.first(), order.last()) else { return 0 };
    path_cost(pieces, order) + (shown(pieces, *last).1 - shown(pieces, *first).0).abs()
}

/// Most steps that looking for a path may take; the cycle opened where that saves most is taken
/// beyond.
const MOST_STEPS: usize = 2_000_000;

/// The order from first to last that costs least, after an end `from` where one is there. Which
/// pieces come first and last is free: a piece that goes from the last end back to the first
/// closes the path to a cycle without cost, and all such pieces are tried. `cycle` answers for
/// cycles.
fn best_path(
    pieces: &[(i64, i64)],
    from: Option<i64>,
    ends: (&[i64], &[i64]),
    cycle: impl Fn(&[(i64, i64)]) -> Vec<Placed>,
) -> Vec<Placed> {
    let only: Vec<i64> = from.into_iter().collect();
    let firsts = if from.is_some() { &only } else { ends.0 };
    let steps = firsts.len().saturating_mul(ends.1.len()).saturating_mul(pieces.len());
    if steps > MOST_STEPS {
        return opened(pieces, cycle(pieces));
    }
    let mut best: Option<(i64, Vec<Placed>)> = None;
    let mut with_joint = pieces.to_vec();
    for &first in firsts {
        for &last in ends.1 {
            with_joint.truncate(pieces.len());
            with_joint.push((last, first));
            let order = without_joint(&cycle(&with_joint), pieces.len());
            let begins = order.first().map_or(first, |placed| shown(pieces, *placed).0);
            let cost = path_cost(pieces, &order) + from.map_or(0, |from| (from - begins).abs());
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, order));
            }
        }
    }
    best.map(|(_, order)| order).unwrap_or_default()
}

/// The cycle without the piece that closes it, from what follows that.
fn without_joint(round: &[Placed], joint: usize) -> Vec<Placed> {
    let at = round.iter().position(|placed| placed.piece == joint).unwrap_or(0);
    let (before, after) = round.split_at(at);
    let turned = after.first().is_some_and(|placed| placed.turned);
    let order: Vec<Placed> = after.iter().skip(1).chain(before).copied().collect();
    // A joint that was gone through the other way: so is everything.
    if turned { reversed(order) } else { order }
}

/// The same the other way round.
pub fn reversed(mut order: Vec<Placed>) -> Vec<Placed> {
    order.reverse();
    order.iter_mut().for_each(|placed| placed.turned = !placed.turned);
    order
}

/// A cycle opened at its dearest meeting.
fn opened(pieces: &[(i64, i64)], mut round: Vec<Placed>) -> Vec<Placed> {
    let follows = round.iter().skip(1).chain(round.first());
    let dearest = round
        .iter()
        .zip(follows)
        .enumerate()
        .max_by_key(|(_, (a, b))| (shown(pieces, **a).1 - shown(pieces, **b).0).abs())
        .map_or(0, |(at, _)| at + 1);
    let count = round.len().max(1);
    round.rotate_left(dearest % count);
    round
}

/// The different ones of these, ascending.
fn distinct(ends: impl Iterator<Item = i64>) -> Vec<i64> {
    ends.collect::<std::collections::BTreeSet<i64>>().into_iter().collect()
}

/// Sets that are joined, by their members' numbers.
struct Sets {
    parent: Vec<usize>,
}

impl Sets {
    fn new(count: usize) -> Sets {
        Sets { parent: (0..count).collect() }
    }
    fn find(&mut self, mut of: usize) -> usize {
        while let Some(&up) = self.parent.get(of)
            && up != of
        {
            let above = self.parent.get(up).copied().unwrap_or(up);
            if let Some(slot) = self.parent.get_mut(of) {
                *slot = above;
            }
            of = above;
        }
        of
    }
    /// Whether they were two.
    fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.find(a), self.find(b));
        if let Some(slot) = self.parent.get_mut(a) {
            *slot = b;
        }
        a != b
    }
}
