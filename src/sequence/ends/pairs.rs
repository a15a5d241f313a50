//! Pieces that may be turned: pair sequencing.

use super::{Placed, Sets, best_path, distinct};

/// The cycle through all pieces, each either way round, that costs least: Σ |a − b| over ends that
/// meet. In n log n steps.
///
/// All ends sorted, neighbours are matched first with second, third with fourth: no matching costs
/// less, as an odd number of ends lies on either side of each step within a pair. Pieces and
/// matches then form cycles. Between two matched pairs an even number of ends lies on either side,
/// so it is crossed not at all or twice at least: whatever set of such steps joins all cycles
/// costs twice its length, the shortest set is a spanning tree, and it can be had: over each step
/// of the tree, from below, the end below it and its partner exchange partners with the pair above.
pub fn cycle(pieces: &[(i64, i64)]) -> Vec<Placed> {
    // End 2i is the first of piece i, 2i + 1 its last.
    let mut sorted: Vec<(i64, usize)> = (0..)
        .step_by(2)
        .zip(pieces)
        .flat_map(|(at, &(first, last))| [(first, at), (last, at + 1)])
        .collect();
    sorted.sort_unstable();
    let matched: Vec<((i64, usize), (i64, usize))> =
        sorted.as_chunks::<2>().0.iter().map(|&[a, b]| (a, b)).collect();
    let mut partner = vec![0_usize; sorted.len()];
    let mut cycles = Sets::new(pieces.len());
    for &((_, a), (_, b)) in &matched {
        meet(&mut partner, a, b);
        cycles.join(a / 2, b / 2);
    }
    let mut steps: Vec<(i64, usize)> = matched
        .windows(2)
        .enumerate()
        .filter_map(|(at, pair)| match pair {
            [(_, below), (above, _)] => Some((above.0 - below.0, at)),
            _ => None,
        })
        .collect();
    steps.sort_unstable();
    let mut crossed: Vec<usize> = Vec::new();
    for (_, at) in steps {
        if let (Some((_, below)), Some((above, _))) = (matched.get(at), matched.get(at + 1))
            && cycles.join(below.1 / 2, above.1 / 2)
        {
            crossed.push(at);
        }
    }
    crossed.sort_unstable();
    for at in crossed {
        let (Some((_, below)), Some((above, top))) = (matched.get(at), matched.get(at + 1)) else {
            continue;
        };
        let with = partner.get(below.1).copied().unwrap_or(below.1);
        meet(&mut partner, with, above.1);
        meet(&mut partner, below.1, top.1);
    }
    let mut order = Vec::with_capacity(pieces.len());
    let mut enters = 0;
    while order.len() < pieces.len() {
        order.push(Placed { piece: enters / 2, turned: enters % 2 == 1 });
        enters = partner.get(enters ^ 1).copied().unwrap_or(0);
    }
    order
}

/// The order from first to last that costs least, each piece either way round, after an end `from`
/// where one is there. Exact while the different ends are few.
pub fn path(pieces: &[(i64, i64)], from: Option<i64>) -> Vec<Placed> {
    let ends = distinct(pieces.iter().flat_map(|&(first, last)| [first, last]));
    best_path(pieces, from, (&ends, &ends), cycle)
}

fn meet(partner: &mut [usize], a: usize, b: usize) {
    for (one, other) in [(a, b), (b, a)] {
        if let Some(slot) = partner.get_mut(one) {
            *slot = other;
        }
    }
}
