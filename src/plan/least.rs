//! What every plan of a profile comes to at least: the shop's problem as cutting stock, solved for
//! its bound, and the bound proved again by the room `proof` before anybody is told.
//!
//! What counts is strip used up. A coil or bar of which too little is left to keep is used up
//! whole. Of one that goes back the head is used, what is made, the last slug, and what parting
//! takes. Left out, so that the bound holds for every plan: gaps between members, heads beyond the
//! least any piece asks for, what slugs cover of defects, the order of jobs, open bundles, and
//! which of the coils stays in the line.

use super::bound_shapes::BoundProfile;
use super::model::Inputs;
use super::proved::proved;
use crate::library::model::{Bundling, Coil};
use crate::nest::Bundle;
use crate::nest::cutting::{self, Certificate, Item, Kept, Problem, Stock};
use crate::quantity::{Length, common_divisor};
use std::collections::BTreeMap;

/// Longest stock in units of length: beyond, what stock holds and costs is rounded down to units
/// of pieces, about so fine.
const FINE: i64 = 100_000_000;
const COARSE: i64 = 100_000;

/// What is least.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Least {
    /// Strip used up.
    Strip,
    /// Strip used up, and each coil loaded counted as so much as the batch says.
    Worth,
}

/// A bound on what every plan of a profile comes to, with its certificate. It was proved again
/// from that.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Proof {
    /// Of what.
    pub least: Least,
    /// Whether it is for plans that keep frames together; one that no coil holds counts as its
    /// pieces in any case.
    pub whole: bool,
    /// The problem; lengths and costs in `unit`.
    pub problem: Problem,
    /// Unit of length.
    pub unit: Length,
    /// No plan costs less, in units.
    pub bound: i128,
    /// Why.
    pub certificate: Certificate,
}

impl Proof {
    /// The bound as strip.
    pub fn strip(&self) -> Length {
        let nm = self.bound.saturating_mul(i128::from(self.unit.nm()));
        Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
    }
}

/// What of a profile the bound is for.
pub(super) struct Wanted<'a> {
    pub inputs: &'a Inputs<'a>,
    pub of: &'a BoundProfile,
    /// Coils that fit, as they are when the first of the profile is loaded, in the figures of the
    /// programs.
    pub coils: Vec<&'a Coil>,
    /// Whether one of them may stay in the line at the end.
    pub last_stays: bool,
    /// Bundles as they were before nesting parted any further.
    pub bundles: &'a [Bundle],
    /// Frames that had been parted by then.
    pub parted: &'a [usize],
    /// Pitch of each piece that bundles name.
    pub pitches: &'a [Length],
    /// Whether frames stayed together.
    pub whole: bool,
}

impl Wanted<'_> {
    /// The best bound that is found within `ticks`, if a checker accepts it.
    pub fn proof(&self, least: Least, ticks: u64, stop: &dyn Fn() -> bool) -> Option<Proof> {
        let (problem, unit) = self.problem(least)?;
        let outcome = cutting::solve(&problem, ticks, stop);
        let (bound, certificate) = match proved(&problem, outcome.bound, &outcome.certificate, stop)
        {
            Ok(()) => (outcome.bound, outcome.certificate),
            Err(_) => {
                let (bound, certificate) = cutting::by_length(&problem);
                proved(&problem, bound, &certificate, &|| false).ok()?;
                (bound, certificate)
            }
        };
        Some(Proof { least, whole: self.keeps_frames(), problem, unit, bound, certificate })
    }

    fn keeps_frames(&self) -> bool {
        self.whole && self.inputs.batch.bundling == Bundling::Frame
    }

    /// The problem and its unit of length; `None` where it is none, or too large to say.
    pub fn problem(&self, least: Least) -> Option<(Problem, Length)> {
        let lengths = self.lengths();
        let ways: Vec<Way> = self.coils.iter().map(|coil| self.way(coil, least)).collect();
        let common = |unit: i64, length: &Length| common_divisor(unit, length.nm());
        let of_pieces = lengths.iter().fold(0, common).max(1);
        let of_all = ways.iter().fold(of_pieces, |unit, way| {
            let kept = way.kept.map_or(0, |(_, cost)| cost.nm());
            common_divisor(common_divisor(unit, way.cost.nm()), kept)
        });
        let longest = ways.iter().map(|way| way.length.nm()).max().unwrap_or(0);
        let unit = match longest / of_all <= FINE {
            true => of_all,
            false => common_divisor(of_pieces, COARSE),
        };
        // Rounded down: no plan costs less for that.
        let units = |length: Length| length.nm().div_euclid(unit);
        let mut alike: BTreeMap<Kind, u64> = BTreeMap::new();
        for way in &ways {
            let length = units(way.length);
            let kept = way.kept.map(|(room, cost)| (units(room).min(length), units(cost)));
            let kept = kept.filter(|(room, _)| *room > 0);
            if length > 0 {
                *alike.entry((length, units(way.cost).max(1), kept)).or_default() += 1;
            }
        }
        let stocks = alike.into_iter().rev().map(|((length, cost, kept), count)| Stock {
            length,
            count: Some(count),
            cost,
            kept: kept.map(|(room, cost)| Kept { room, cost }),
        });
        let items: Vec<Item> =
            lengths.iter().map(|l| Item { length: l.nm() / unit, demand: 1 }).collect();
        let problem = Problem::new(stocks.collect(), &items).ok()?;
        Some((problem, Length::from_nm(unit)))
    }

    /// What has to be placed: frames that stay together, or pieces.
    fn lengths(&self) -> Vec<Length> {
        let pieces = |bundle: &Bundle| -> Vec<Length> {
            let pitch = |p: &u32| self.pitches.get(*p as usize).copied();
            bundle.pieces.iter().filter_map(pitch).collect()
        };
        let of = |bundle: &Bundle| match self.keeps_frames() {
            true if !self.parted.contains(&bundle.frame) => vec![bundle.length],
            _ => pieces(bundle),
        };
        self.bundles.iter().flat_map(of).collect()
    }

    fn way(&self, coil: &Coil, least: Least) -> Way {
        let (ends, slug) = (self.inputs.line.ends(coil), self.of.geometry.slug);
        let base = first_cut(self.inputs, self.of, coil);
        let gap = match self.keeps_frames() {
            true => widest_gap(self.bundles),
            false => Length::ZERO,
        };
        let defects = on_defects(self.inputs, self.of, coil, gap);
        let worth = match least {
            Least::Worth if !coil.threaded => super::nesting::change_worth(self.inputs, coil),
            _ => Length::ZERO,
        };
        let parting = if self.last_stays { Length::ZERO } else { ends.parting };
        let gone = base + slug + parting;
        Way {
            length: coil.length - ends.tail - base - defects,
            cost: coil.length + worth,
            kept: Some((coil.length - self.inputs.batch.keep - gone, gone + worth)),
        }
    }
}

/// Where the cut lies that the first piece of a coil begins behind, at the least, whichever piece
/// that is.
pub(super) fn first_cut(inputs: &Inputs<'_>, of: &BoundProfile, coil: &Coil) -> Length {
    let (geometry, slug) = (&of.geometry, of.geometry.slug);
    if coil.threaded {
        let warm =
            of.least_head.saturating_sub(geometry.ceil_steps(inputs.line.head.first_advance));
        geometry.length(warm.max(geometry.floor_steps(-slug))).max(-slug)
    } else {
        let least = geometry.ceil_steps((inputs.line.ends(coil).head - slug).max(Length::ZERO));
        geometry.length(least.max(of.least_head).max(0))
    }
}

/// Strip between head and tail that lies on defects, but for what the slug of the cut before each
/// may cover, and a `gap` that bundles have in any case: one may lie there.
pub(super) fn on_defects(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coil: &Coil,
    gap: Length,
) -> Length {
    let free = of.geometry.slug + gap;
    let from = first_cut(inputs, of, coil) + of.geometry.slug;
    let to = coil.length - inputs.line.ends(coil).tail;
    let on = |(a, b): &(Length, Length)| ((*b).min(to) - (*a).max(from) - free).max(Length::ZERO);
    coil.defects.iter().map(on).sum()
}

/// The widest of the gaps that are part of bundles' lengths.
pub(super) fn widest_gap(bundles: &[Bundle]) -> Length {
    let gap = |bundle: &Bundle| Some(bundle.in_gaps.scaled(1, i64::try_from(bundle.gaps).ok()?));
    let with = bundles.iter().filter(|bundle| bundle.gaps > 0);
    with.filter_map(gap).max().unwrap_or(Length::ZERO)
}

/// Coils that are alike: length, cost, and room and cost where one goes back, in units.
type Kind = (i64, i64, Option<(i64, i64)>);

/// How a coil may be used.
struct Way {
    /// The most that can be made from it.
    length: Length,
    /// What it costs used up.
    cost: Length,
    /// The most that can be made from it where it goes back, and what it costs then besides.
    kept: Option<(Length, Length)>,
}
