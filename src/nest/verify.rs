use super::instance::Instance;
use super::solution::Solution;
use crate::library::model::Bundling;
use crate::quantity::Length;
use std::collections::{BTreeMap, BTreeSet};

/// Recomputes from the instance that a solution is one: every bundle once, no coil twice or over
/// its capacity, a threaded one first, no job begun before those are done that its order has
/// first (one with a bundle that is short is not done), no more frames unfinished than may be.
/// What is wrong, in words for the maker of the program.
pub fn verify(instance: &Instance, solution: &Solution) -> Result<(), String> {
    let mut seen = vec![0_u32; instance.bundles.len()];
    let mut coils = vec![false; instance.coils.len()];
    // How many bundles of each rank and of each frame are not made yet, and which frames are begun
    // and not finished.
    let mut left: BTreeMap<usize, usize> = BTreeMap::new();
    let mut of_frame: BTreeMap<usize, usize> = BTreeMap::new();
    for bundle in &instance.bundles {
        *left.entry(bundle.rank).or_default() += 1;
        *of_frame.entry(bundle.frame).or_default() += 1;
    }
    let mut begun: BTreeSet<usize> = BTreeSet::new();
    for (place, load) in solution.loads.iter().enumerate() {
        if place > 0 && instance.coils.get(load.coil).is_some_and(|coil| coil.threaded) {
            return Err(format!("coil {} is in the line and not used first", load.coil));
        }
        match coils.get_mut(load.coil) {
            Some(used) if !*used => *used = true,
            Some(_) => return Err(format!("coil {} is used twice", load.coil)),
            None => return Err(format!("coil {} does not exist", load.coil)),
        }
        let mut length = Length::ZERO;
        for &b in &load.bundles {
            let Some(bundle) = instance.bundles.get(b) else {
                return Err(format!("bundle {b} does not exist"));
            };
            if let Some(count) = seen.get_mut(b) {
                *count += 1;
            }
            for &piece in &bundle.pieces {
                length += instance.pitches.get(piece as usize).copied().unwrap_or(Length::ZERO);
            }
            begun.insert(bundle.frame);
            if let Bundling::Open(most) = instance.policy.bundling
                && begun.len() > most
            {
                return Err(format!("with bundle {b} more than {most} frames are unfinished"));
            }
            if let Some(count) = of_frame.get_mut(&bundle.frame) {
                *count = count.saturating_sub(1);
                if *count == 0 {
                    begun.remove(&bundle.frame);
                }
            }
            let oldest = left.first_key_value().map_or(bundle.rank, |(rank, _)| *rank);
            if !instance.policy.order.allows(bundle.rank, oldest) {
                return Err(format!(
                    "bundle {b} of job {} is begun while job {oldest} is not done",
                    bundle.rank
                ));
            }
            if let Some(count) = left.get_mut(&bundle.rank) {
                *count = count.saturating_sub(1);
                if *count == 0 {
                    left.remove(&bundle.rank);
                }
            }
        }
        let space = instance.coils.get(load.coil).map_or(Length::ZERO, super::CoilSpace::capacity);
        if length > space {
            return Err(format!("coil {} holds {space} mm, {length} mm are put on it", load.coil));
        }
    }
    for &b in &solution.short {
        if let Some(count) = seen.get_mut(b) {
            *count += 1;
        }
    }
    match seen.iter().position(|&count| count != 1) {
        Some(b) => Err(format!("bundle {b} is placed {} times", seen.get(b).unwrap_or(&0))),
        None => Ok(()),
    }
}
