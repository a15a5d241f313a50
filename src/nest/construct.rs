//! First plans: coils filled one after the other, in several orders.

use super::fill::best_subset;
use super::instance::{Bundle, Instance};
use super::open;
use super::solution::{Cost, Load, Solution};
use crate::library::model::Bundling;
use crate::quantity::Length;

/// How far ahead a coil that is nearly full looks for bundles that fill it.
const LOOK_AHEAD: usize = 48;

/// The best of several orders of coils. Charges `work` one tick a bundle placed.
pub(super) fn best_of_policies(instance: &Instance, work: &mut u64) -> Solution {
    let mut best: Option<(Cost, Solution)> = None;
    for order in coil_orders(instance) {
        let solution = fill(instance, &order);
        *work = work.saturating_sub(instance.bundles.len() as u64 + 1);
        let cost = solution.cost(instance);
        if best.as_ref().is_none_or(|(c, _)| cost < *c) {
            best = Some((cost, solution));
        }
    }
    best.map(|(_, solution)| solution).unwrap_or_default()
}

/// Orders worth trying: each begins with a threaded coil where there is one.
pub(super) fn coil_orders(instance: &Instance) -> Vec<Vec<usize>> {
    let all: Vec<usize> = (0..instance.coils.len()).collect();
    let length = |i: &usize| instance.coils.get(*i).map_or(Length::ZERO, |c| c.length);
    let used = |i: &usize| instance.coils.get(*i).is_some_and(|c| c.part_used);
    let mut ascending = all.clone();
    ascending.sort_by_key(length);
    let mut descending = ascending.clone();
    descending.reverse();
    let mut part_used_first = ascending.clone();
    part_used_first.sort_by_key(|i| !used(i));
    let mut orders = vec![part_used_first, ascending.clone(), descending, all];
    // One coil that holds everything alone, the shortest such first.
    let material: Length = instance.bundles.iter().map(|b| b.length).sum();
    let holds = |i: &&usize| instance.coils.get(**i).is_some_and(|c| c.capacity() >= material);
    // One bar of a kind is as good as another.
    let mut kinds = std::collections::BTreeSet::new();
    let other =
        |i: &&usize| instance.coils.get(**i).and_then(|c| c.bar).is_none_or(|k| kinds.insert(k));
    for &alone in ascending.iter().filter(holds).filter(other) {
        let mut order = vec![alone];
        order.extend(ascending.iter().copied().filter(|&i| i != alone));
        orders.push(order);
    }
    for order in &mut orders {
        order.sort_by_key(|&i| !instance.coils.get(i).is_some_and(|c| c.threaded));
    }
    let mut distinct: Vec<Vec<usize>> = Vec::new();
    for order in orders {
        if !distinct.contains(&order) {
            distinct.push(order);
        }
    }
    distinct
}

/// Fills coils one after the other in this order.
pub(super) fn fill(instance: &Instance, order: &[usize]) -> Solution {
    if let Bundling::Open(frames) = instance.policy.bundling {
        return open::fill(instance, order, frames);
    }
    let mut left: Vec<usize> = (0..instance.bundles.len()).collect();
    let mut solution = Solution::default();
    for &coil in order {
        if left.is_empty() {
            break;
        }
        let Some(space) = instance.coils.get(coil) else { continue };
        let taken = fill_coil(instance, space.capacity(), &mut left);
        if !taken.is_empty() {
            solution.loads.push(Load { coil, bundles: taken });
        }
    }
    solution.short = left;
    solution
}

fn length_of(instance: &Instance, bundle: usize) -> Length {
    instance.bundles.get(bundle).map_or(Length::ZERO, |b| b.length)
}

fn rank_of(instance: &Instance, bundle: usize) -> usize {
    instance.bundles.get(bundle).map_or(0, |b| b.rank)
}

/// Takes bundles for one coil out of `left`, in order while there is plenty of room, then those
/// that fill the rest best.
fn fill_coil(instance: &Instance, capacity: Length, left: &mut Vec<usize>) -> Vec<usize> {
    let length = |b: &usize| length_of(instance, *b);
    let mut room = capacity;
    let mut cursor = 0;
    let mut chosen: Vec<usize> = Vec::new();
    // Bundles that may be made now end at `open`: those of jobs that the order lets begin while
    // the one at the cursor is not made. `whole` is their length from the cursor on.
    let mut open = 0;
    let mut whole = Length::ZERO;
    while let Some(&first) = left.get(cursor) {
        let oldest = rank_of(instance, first);
        while let Some(&next) = left.get(open)
            && instance.policy.order.allows(rank_of(instance, next), oldest)
        {
            whole += length(&next);
            open += 1;
        }
        if whole > room {
            // Plenty of room: take the next one in order. Else fill up and have done.
            let ahead = left.iter().take(open).skip(cursor).take(LOOK_AHEAD);
            let window: Length = ahead.clone().map(length).sum();
            if window > room {
                let lengths: Vec<Length> = ahead.clone().map(length).collect();
                let picked = best_subset(&lengths, room);
                chosen = ahead.zip(&picked).filter(|(_, p)| **p).map(|(b, _)| *b).collect();
                break;
            }
        }
        let next = length(&first);
        room -= next;
        whole -= next;
        cursor += 1;
    }
    let mut taken: Vec<usize> = left.drain(..cursor).collect();
    left.retain(|b| !chosen.contains(b));
    taken.extend(chosen);
    taken
}

/// Parts bundles no coil can hold into runs of pieces that one can. Returns the frames parted.
pub fn part_long_bundles(instance: &mut Instance) -> Vec<usize> {
    part_long_bundles_but(instance, &|_| false)
}

/// As [`part_long_bundles`], but those that `fits_whole` says one coil takes stay whole.
pub fn part_long_bundles_but(
    instance: &mut Instance,
    fits_whole: &dyn Fn(&Bundle) -> bool,
) -> Vec<usize> {
    let most = match instance.policy.bundling {
        Bundling::Frame => instance.largest_capacity(),
        // Its bundles are single pieces.
        Bundling::Open(_) => return Vec::new(),
        // Without bundling a frame is only a convenient handful: an eighth of a coil, or of the shortest bar.
        Bundling::None => {
            let bars = instance.coils.iter().filter(|coil| coil.bar.is_some());
            let least = bars.map(super::CoilSpace::capacity).min();
            Length::from_nm(least.unwrap_or(instance.largest_capacity()).nm() / 8)
        }
    };
    // The longest bar, where no coil is longer.
    let longest = instance.coils.iter().max_by_key(|coil| coil.capacity()).cloned();
    let too_much = |instance: &Instance, part: &[u32], piece: Option<u32>| {
        let pieces = part.iter().copied().chain(piece);
        longest.as_ref().is_some_and(|bar| instance.over_bar(bar, pieces) > Length::ZERO)
    };
    let mut parted = Vec::new();
    let mut bundles = Vec::with_capacity(instance.bundles.len());
    for bundle in std::mem::take(&mut instance.bundles) {
        let fits = bundle.length <= most && !too_much(instance, &bundle.pieces, None);
        if fits || bundle.pieces.len() < 2 || fits_whole(&bundle) {
            bundles.push(bundle);
            continue;
        }
        parted.push(bundle.frame);
        let mut part = Bundle {
            pieces: Vec::new(),
            length: Length::ZERO,
            gaps: 0,
            in_gaps: Length::ZERO,
            ..bundle
        };
        for piece in bundle.pieces {
            let pitch = instance.pitches.get(piece as usize).copied().unwrap_or(Length::ZERO);
            let full = part.length + pitch > most || too_much(instance, &part.pieces, Some(piece));
            if full && !part.pieces.is_empty() {
                let fresh = Bundle {
                    pieces: Vec::new(),
                    length: Length::ZERO,
                    gaps: 0,
                    in_gaps: Length::ZERO,
                    ..part
                };
                bundles.push(std::mem::replace(&mut part, fresh));
            }
            part.pieces.push(piece);
            part.length += pitch;
        }
        bundles.push(part);
    }
    instance.bundles = bundles;
    if instance.policy.bundling == Bundling::None { Vec::new() } else { parted }
}
