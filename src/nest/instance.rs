//! The nesting problem of one profile.

use crate::library::model::{Bundling, JobOrder};
use crate::quantity::Length;

/// Members that stay together, all of one job. Where frames may be left unfinished
/// ([`Bundling::Open`]) each piece is a bundle of its own, those of one frame next to each other.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Bundle {
    /// Rank of its job in the order jobs are to be made.
    pub rank: usize,
    /// Strip of all its pieces with their slugs, and of its gaps.
    pub length: Length,
    /// How many gaps between its pieces no order of them avoids.
    pub gaps: usize,
    /// Strip of these.
    pub in_gaps: Length,
    /// Its pieces, as indices into the batch's pieces of this profile.
    pub pieces: Vec<u32>,
    /// Which frame it is (part of), as the caller numbers them.
    pub frame: usize,
}

impl Bundle {
    /// Strip of its pieces with their slugs.
    pub fn in_pieces(&self) -> Length {
        self.length - self.in_gaps
    }
}

/// A coil as nesting sees it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct CoilSpace {
    /// The caller's number for it.
    pub coil: usize,
    /// Strip on it.
    pub length: Length,
    /// Strip that cannot hold members: tail that cannot be driven, defects, and what sequencing
    /// asked to reserve for heads, gaps and passing defects.
    pub reserve: Length,
    /// What of the reserve is still there behind the last cut when the coil is done: the tail that
    /// cannot be driven, less the last slug.
    pub tail: Length,
    /// Part-used before.
    pub part_used: bool,
    /// In the line now.
    pub threaded: bool,
    /// Strip lost in taking it out.
    pub parting: Length,
    /// What loading it is worth, as strip.
    pub opening: Length,
    /// What of the reserve is the head.
    pub head: Length,
    /// Where it is a bar: which of the caller's kinds of bars. Bars of a kind are alike.
    pub bar: Option<usize>,
}

impl CoilSpace {
    /// Strip for members and their slugs.
    pub fn capacity(&self) -> Length {
        (self.length - self.reserve).max(Length::ZERO)
    }
}

/// What the shop wants.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Policy {
    /// What stays together.
    pub bundling: Bundling,
    /// In which order jobs are made.
    pub order: JobOrder,
    /// Shortest remnant worth keeping.
    pub keep: Length,
    /// Whether the last coil stays in the line.
    pub last_stays: bool,
}

/// One profile's bundles and the coils that fit it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Instance {
    /// By rank, then as listed.
    pub bundles: Vec<Bundle>,
    /// Pitch (length and slug) of each piece that bundles name.
    pub pitches: Vec<Length>,
    /// Strip that has to lie before each piece, with its slug, for the tools to reach it; none is
    /// listed where that does not matter.
    pub heads: Vec<Length>,
    /// As listed in the stock.
    pub coils: Vec<CoilSpace>,
    /// What the shop wants.
    pub policy: Policy,
}

impl Instance {
    /// By how much these pieces, those that ask for the least head first, are too long for a bar
    /// with their head; nothing for coils, whose reserve is found by laying out.
    pub(super) fn over_bar(&self, space: &CoilSpace, pieces: impl Iterator<Item = u32>) -> Length {
        if space.bar.is_none() {
            return Length::ZERO;
        }
        let of =
            |list: &[Length], piece: u32| list.get(piece as usize).copied().unwrap_or(Length::ZERO);
        let mut both: Vec<(Length, Length)> =
            pieces.map(|p| (of(&self.heads, p), of(&self.pitches, p))).collect();
        both.sort_unstable();
        let (mut head, mut before) = (space.head, Length::ZERO);
        for (asks, pitch) in both {
            head = head.max(asks - before);
            before += pitch;
        }
        (head - space.head + before - space.capacity()).max(Length::ZERO)
    }
    /// The most any one coil holds.
    pub fn largest_capacity(&self) -> Length {
        self.coils.iter().map(CoilSpace::capacity).max().unwrap_or(Length::ZERO)
    }
}
