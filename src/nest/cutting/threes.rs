//! Cuts on three pieces (subset-row cuts): of three pieces wanted once each at most one stock holds
//! two or three, where a fractional plan may have one and a half of them.

use super::lp::Share;
use super::node::{Node, Pattern};
use std::collections::{BTreeMap, BTreeSet};

/// A whole share, in millionths.
const ONE: u64 = 1_000_000;

/// By how much a cut is to be broken, in millionths.
const BROKEN: u64 = 30_000;

/// The threes that a fractional plan breaks most, `most` of them at the most, without those known.
pub fn broken(
    node: &Node,
    used: &[(Pattern, Share)],
    known: &[[u32; 3]],
    most: usize,
) -> Vec<[u32; 3]> {
    let parts: Vec<(&Pattern, u64)> = used
        .iter()
        .map(|(pattern, share)| (pattern, share.whole * ONE + u64::from(share.millionths)))
        .filter(|(_, share)| share % ONE > 0)
        .collect();
    let mut together: BTreeMap<(u32, u32), u64> = BTreeMap::new();
    let mut near: BTreeMap<u32, BTreeSet<u32>> = BTreeMap::new();
    for ((_, pieces), share) in &parts {
        for (place, &(a, _)) in pieces.iter().enumerate() {
            for &(b, _) in pieces.iter().skip(place + 1) {
                *together.entry((a, b)).or_default() += share;
                near.entry(a).or_default().insert(b);
                near.entry(b).or_default().insert(a);
            }
        }
    }
    let with = |a: u32, b: u32| together.get(&(a.min(b), a.max(b))).copied().unwrap_or(0);
    let known: BTreeSet<[u32; 3]> = known.iter().copied().collect();
    let mut seen: BTreeSet<[u32; 3]> = BTreeSet::new();
    let mut found: Vec<(u64, [u32; 3])> = Vec::new();
    for (&a, others) in &near {
        for &b in others {
            for &c in others.range(b + 1..) {
                let mut three = [a, b, c];
                three.sort_unstable();
                let demand: u64 = three.iter().map(|&item| node.demand(item)).sum();
                // Two of three whose sum is even say nothing that the demands do not.
                let right = (demand / 2).saturating_mul(ONE);
                let most = with(a, b) + with(a, c) + with(b, c);
                if most <= right + BROKEN || known.contains(&three) || !seen.insert(three) {
                    continue;
                }
                let held = |pieces: &[(u32, u32)]| -> u32 {
                    pieces.iter().filter(|(i, _)| three.contains(i)).map(|&(_, n)| n).sum()
                };
                let left: u64 = parts
                    .iter()
                    .map(|((_, pieces), share)| u64::from(held(pieces) / 2) * share)
                    .sum();
                if left > right + BROKEN {
                    found.push((left - right, three));
                }
            }
        }
    }
    found.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
    // One item in few of them: many cuts on the same pieces say the same.
    let mut times: BTreeMap<u32, u32> = BTreeMap::new();
    let mut kept = Vec::new();
    for (_, three) in found {
        if kept.len() >= most {
            break;
        }
        if three.iter().all(|item| times.get(item).is_none_or(|&times| times < 3)) {
            for item in three {
                *times.entry(item).or_default() += 1;
            }
            kept.push(three);
        }
    }
    kept
}

/// A three with its items at their new places, if all of them are still there.
pub fn at_places(three: &[u32; 3], places: &[Option<u32>]) -> Option<[u32; 3]> {
    let mut moved = [0; 3];
    for (to, &from) in moved.iter_mut().zip(three) {
        *to = places.get(from as usize).copied().flatten()?;
    }
    moved.sort_unstable();
    Some(moved)
}
