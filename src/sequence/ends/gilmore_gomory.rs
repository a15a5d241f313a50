//! Pieces that are made as drawn: Gilmore and Gomory's machine with one state variable (1964).

use super::{Placed, Sets, best_path, distinct};

/// The cycle through all pieces that costs least: Σ |last of one − first of the next|. In
/// n log n steps.
///
/// With the last ends ascending, the pieces whose first ends ascend follow them: no assignment
/// costs less, but it may be several cycles. To exchange the followers of the k-th and the next
/// costs twice what the stretch between their last ends shares with that between the first ends of
/// their followers; a spanning tree of such exchanges joins the cycles at least cost. In which
/// order they are made matters: where a follower's end lies above its last end from above, then
/// the others from below (P. C. Gilmore, R. E. Gomory, Operations Research 12 (1964), 655–679,
/// from memory; held by comparison with all orders in `tests/end_orders.rs`).
pub fn cycle(pieces: &[(i64, i64)]) -> Vec<Placed> {
    let mut lasts: Vec<(i64, usize)> =
        pieces.iter().enumerate().map(|(at, piece)| (piece.1, at)).collect();
    let mut firsts: Vec<(i64, usize)> =
        pieces.iter().enumerate().map(|(at, piece)| (piece.0, at)).collect();
    lasts.sort_unstable();
    firsts.sort_unstable();
    let mut cycles = Sets::new(pieces.len());
    for (last, first) in lasts.iter().zip(&firsts) {
        cycles.join(last.1, first.1);
    }
    let mut exchanges: Vec<(i64, usize)> = lasts
        .windows(2)
        .zip(firsts.windows(2))
        .enumerate()
        .filter_map(|(at, pairs)| match pairs {
            ([b, next_b], [a, next_a]) => {
                Some(((next_b.0.min(next_a.0) - b.0.max(a.0)).max(0), at))
            }
            _ => None,
        })
        .collect();
    exchanges.sort_unstable();
    let (mut from_above, mut from_below) = (Vec::new(), Vec::new());
    for (_, at) in exchanges {
        let (Some(b), Some(a), Some(next)) = (lasts.get(at), firsts.get(at), lasts.get(at + 1))
        else {
            continue;
        };
        if cycles.join(b.1, next.1) {
            if a.0 >= b.0 { from_above.push(at) } else { from_below.push(at) }
        }
    }
    from_above.sort_unstable_by(|a, b| b.cmp(a));
    from_below.sort_unstable();
    // The k-th last end goes to the k-th first end; each exchange acts on the places first made.
    let mut who: Vec<usize> = (0..pieces.len()).collect();
    for at in from_below.into_iter().rev().chain(from_above.into_iter().rev()) {
        if at + 1 < who.len() {
            who.swap(at, at + 1);
        }
    }
    let mut follows = vec![0_usize; pieces.len()];
    for (first, last) in firsts.iter().zip(who) {
        if let (Some(last), first) = (lasts.get(last), first.1)
            && let Some(slot) = follows.get_mut(last.1)
        {
            *slot = first;
        }
    }
    let mut order = Vec::with_capacity(pieces.len());
    let mut at = 0;
    while order.len() < pieces.len() {
        order.push(Placed { piece: at, turned: false });
        at = follows.get(at).copied().unwrap_or(0);
    }
    order
}

/// The order from first to last that costs least, after an end `from` where one is there. Exact
/// while the different ends are few.
pub fn path(pieces: &[(i64, i64)], from: Option<i64>) -> Vec<Placed> {
    let firsts = distinct(pieces.iter().map(|piece| piece.0));
    let lasts = distinct(pieces.iter().map(|piece| piece.1));
    best_path(pieces, from, (&firsts, &lasts), cycle)
}
