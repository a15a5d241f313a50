//! What nesting answers.

use super::instance::{Bundle, CoilSpace, Instance};
use crate::quantity::Length;

/// What one coil makes.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Load {
    /// Index into the instance's coils.
    pub coil: usize,
    /// Bundles in the order they are made: indices into the instance's bundles.
    pub bundles: Vec<usize>,
}

/// Which coil makes what, in the order the coils are threaded.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Solution {
    /// One a coil used.
    pub loads: Vec<Load>,
    /// Bundles no coil is left for.
    pub short: Vec<usize>,
}

/// What a solution costs; smaller is better. Shortage outranks everything.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Cost {
    /// Strip of the bundles that are not made.
    pub short: Length,
    /// Strip lost, coil changes valued as strip.
    pub lost: Length,
    /// Strip taken off the rack for good: less is better where the loss is the same.
    pub opened: Length,
}

/// Strip lost when a coil is done with `rest` left behind the last cut: what parting takes (no
/// more than `parting`), and all of it where what then stays is not worth keeping.
pub fn lost_at_end(rest: Length, parting: Length, keep: Length) -> Length {
    let parted = parting.min(rest);
    if rest - parted >= keep { parted } else { rest }
}

impl Solution {
    /// Strip of a load's members and slugs.
    pub fn used(instance: &Instance, load: &Load) -> Length {
        load.bundles.iter().filter_map(|&b| instance.bundles.get(b)).map(|b| b.length).sum()
    }

    /// What it costs.
    pub fn cost(&self, instance: &Instance) -> Cost {
        let policy = &instance.policy;
        let mut lost = Length::ZERO;
        let mut opened = Length::ZERO;
        let last = self.loads.len().saturating_sub(1);
        for (i, load) in self.loads.iter().enumerate() {
            let Some(space) = instance.coils.get(load.coil) else { continue };
            let rest = rest(space, Solution::used(instance, load));
            let stays = policy.last_stays && i == last;
            let parting = if stays { Length::ZERO } else { space.parting };
            lost += lost_at_end(rest, parting, policy.keep);
            if !(i == 0 && space.threaded) {
                lost += space.opening;
            }
            if !space.part_used {
                opened += space.length;
            }
        }
        let short =
            self.short.iter().filter_map(|&b| instance.bundles.get(b)).map(Bundle::in_pieces);
        Cost { short: short.sum(), lost, opened }
    }
}

/// Strip behind the last cut, as nesting estimates it: what was reserved counts as gone, but for
/// the tail, which goes back with what is left.
fn rest(space: &CoilSpace, used: Length) -> Length {
    ((space.capacity() - used).max(Length::ZERO) + space.tail).max(Length::ZERO)
}
