//! Equal ends share a cut, unequal ones do not: as few runs of shared cuts as can be.
//!
//! End shapes are the vertices of a graph and pieces its edges: a run in which each piece shares
//! the cut with the next is a trail. A connected part with k odd vertices falls into
//! max(1, k / 2) trails and no fewer, for every odd vertex ends one (Euler); where pieces are not
//! turned, into max(1, Σ max(0, out − in)). Both are had by joining the surplus ends with edges
//! that are no pieces, going round, and parting the way at these. Linear time, but for sorting
//! the shapes.

use super::Placed;
use std::collections::BTreeMap;

/// One way out of a vertex along an edge; pieces first, then joints.
#[derive(Clone, Copy)]
struct Way {
    edge: usize,
    to: usize,
    turned: bool,
}

/// The fewest runs of pieces `(first, last)` in which neighbours show each other equal ends: with
/// `turning` each piece may be made either way round.
pub fn runs(pieces: &[(i64, i64)], turning: bool) -> Vec<Vec<Placed>> {
    let mut numbers: BTreeMap<i64, usize> = BTreeMap::new();
    for &(first, last) in pieces {
        for end in [first, last] {
            let next = numbers.len();
            numbers.entry(end).or_insert(next);
        }
    }
    let number = |end: i64| numbers.get(&end).copied().unwrap_or(0);
    let mut edges: Vec<(usize, usize)> =
        pieces.iter().map(|&(first, last)| (number(first), number(last))).collect();
    join_surplus(&mut edges, numbers.len(), turning);
    let mut ways: Vec<Vec<Way>> = vec![Vec::new(); numbers.len()];
    for (edge, &(from, to)) in edges.iter().enumerate() {
        if let Some(out) = ways.get_mut(from) {
            out.push(Way { edge, to, turned: false });
        }
        if turning && let Some(out) = ways.get_mut(to) {
            out.push(Way { edge, to: from, turned: true });
        }
    }
    let mut gone = vec![false; edges.len()];
    let mut all = Vec::new();
    for start in 0..numbers.len() {
        let round = go_round(start, &mut ways, &mut gone);
        part_at_joints(&round, pieces.len(), &mut all);
    }
    all
}

/// Adds an edge for each two surplus ends of a connected part.
fn join_surplus(edges: &mut Vec<(usize, usize)>, vertices: usize, turning: bool) {
    let mut parts = super::Sets::new(vertices);
    // Out less in; with turning how many in all.
    let mut surplus = vec![0_i64; vertices];
    for &(from, to) in edges.iter() {
        parts.join(from, to);
        for (vertex, by) in [(from, 1), (to, if turning { 1 } else { -1 })] {
            if let Some(sum) = surplus.get_mut(vertex) {
                *sum += by;
            }
        }
    }
    // Of each part: vertices where a trail must end, and where one must begin.
    let mut ends: BTreeMap<usize, (Vec<usize>, Vec<usize>)> = BTreeMap::new();
    for (vertex, &sum) in surplus.iter().enumerate() {
        let part = ends.entry(parts.find(vertex)).or_default();
        if turning {
            if sum % 2 != 0 {
                part.0.push(vertex);
            }
            continue;
        }
        let side = if sum < 0 { &mut part.0 } else { &mut part.1 };
        side.extend((0..sum.abs()).map(|_| vertex));
    }
    for (from, to) in ends.into_values() {
        if turning {
            edges.extend(from.as_chunks::<2>().0.iter().map(|&[a, b]| (a, b)));
        } else {
            edges.extend(from.into_iter().zip(to));
        }
    }
}

/// The closed way over all edges that can be reached from here, as they are gone along.
fn go_round(start: usize, ways: &mut [Vec<Way>], gone: &mut [bool]) -> Vec<Way> {
    let mut stack = vec![(start, None::<Way>)];
    let mut round = Vec::new();
    while let Some(&(at, by)) = stack.last() {
        let mut next = None;
        while let Some(way) = ways.get_mut(at).and_then(Vec::pop) {
            if let Some(gone) = gone.get_mut(way.edge)
                && !*gone
            {
                *gone = true;
                next = Some(way);
                break;
            }
        }
        match next {
            Some(way) => stack.push((way.to, Some(way))),
            None => {
                round.extend(by);
                stack.pop();
            }
        }
    }
    round.reverse();
    round
}

/// Edges from `pieces` on are joints: there the way is parted.
fn part_at_joints(round: &[Way], pieces: usize, all: &mut Vec<Vec<Placed>>) {
    let first = round.iter().position(|way| way.edge >= pieces).map_or(0, |at| at + 1);
    let (before, from) = round.split_at(first.min(round.len()));
    let mut run = Vec::new();
    for way in from.iter().chain(before) {
        if way.edge < pieces {
            run.push(Placed { piece: way.edge, turned: way.turned });
        } else if !run.is_empty() {
            all.push(std::mem::take(&mut run));
        }
    }
    if !run.is_empty() {
        all.push(run);
    }
}
