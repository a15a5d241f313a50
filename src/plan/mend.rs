//! Bars that are told short, once more: what nesting left out is tried on the bars as they are
//! really laid out. Nesting knows the heads of a bar's pieces, but not the gaps between them.

use super::bound_shapes::BoundProfile;
use super::laying::{lay_all, lay_load};
use super::model::Inputs;
use crate::library::model::{Bundling, Coil};
use crate::nest::{self, Bundle, Instance, Load, Solution};
use crate::quantity::Length;
use crate::sequence::Laid;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

/// Most bundles that are tried in all ways.
const MOST: usize = 10;

/// Most bars that are looked at then.
const MOST_COILS: usize = 24;

/// How often a bar is laid out to find a place for what is short.
const TRIES: usize = 4_000;

/// How many orders of the bundles are tried.
const PRIORITIES: usize = 400;

/// A profile's rack and bundles.
pub(super) struct Mend<'a> {
    pub inputs: &'a Inputs<'a>,
    pub of: &'a BoundProfile,
    pub coils: &'a [Coil],
}

/// Bundles onto coils, and how they lie there.
pub(super) type Placed = (Solution, Vec<(usize, Laid)>);

impl Mend<'_> {
    /// A plan that leaves less out than `solution`, if one is found: of an instance whose reserves
    /// are what a coil surely loses. The instance it belongs to comes with it.
    pub(super) fn less_short(
        &self,
        open: &Instance,
        solution: &Solution,
    ) -> Option<(Instance, Placed)> {
        let short = length_of(open, &solution.short);
        let all = self.all_ways(open, short);
        let better = all.or_else(|| self.one_by_one(open, solution, short));
        let short = better.as_ref().map_or(short, |(of, (it, _))| length_of(of, &it.short));
        if short == Length::ZERO {
            return better;
        }
        self.by_priority(open, short).or(better)
    }

    /// Every way there is, for few bundles.
    fn all_ways(&self, open: &Instance, short: Length) -> Option<(Instance, Placed)> {
        let mut instance = open.clone();
        let pieces: usize = instance.bundles.iter().map(|b| b.pieces.len()).sum();
        if instance.policy.bundling == Bundling::None && pieces <= MOST {
            // Handfuls of pieces are for long coils.
            instance.bundles = open.bundles.iter().flat_map(|b| alone(open, b)).collect();
        }
        let exact = instance.bundles.len() <= MOST
            && instance.coils.len() <= MOST_COILS
            && !matches!(instance.policy.bundling, Bundling::Open(_));
        let solution = exact.then(|| self.in_all_ways(&instance))??;
        self.checked(instance, solution, short)
    }

    /// A plan that leaves less out than `solution`: bundles that are short put in, or exchanged.
    fn one_by_one(
        &self,
        instance: &Instance,
        solution: &Solution,
        short: Length,
    ) -> Option<(Instance, Placed)> {
        let mut now = solution.clone();
        let mut tries = TRIES;
        let mut queue = solution.short.clone();
        queue.sort_by_key(|&b| std::cmp::Reverse(instance.bundles.get(b).map(|b| b.length)));
        for bundle in queue {
            if let Some(better) = self.with(instance, &now, bundle, &mut tries) {
                now = better;
            }
        }
        self.checked(instance.clone(), now, short)
    }

    /// Bars filled one after the other with whatever still lies on them, the bundles in many
    /// orders. For jobs in any order, or one.
    fn by_priority(&self, open: &Instance, short: Length) -> Option<(Instance, Placed)> {
        let ranks = || open.bundles.iter().map(|b| b.rank);
        let free = open.policy.order.reach().is_none() || ranks().min() == ranks().max();
        if !free || matches!(open.policy.bundling, Bundling::Open(_)) {
            return None;
        }
        let mut order: Vec<usize> = (0..open.bundles.len()).collect();
        order.sort_by_key(|&b| (std::cmp::Reverse(open.bundles.get(b).map(|b| b.length)), b));
        let mut coils: Vec<usize> = (0..open.coils.len()).collect();
        coils.sort_by_key(|&c| !open.coils.get(c).is_some_and(|coil| coil.threaded));
        let mut known: BTreeMap<(usize, Vec<usize>), bool> = BTreeMap::new();
        let mut spread = nest::Spread::default();
        let mut best: Option<(Length, Solution)> = None;
        let mut current = Length::LIMIT.times(1_000);
        for _ in 0..PRIORITIES {
            let mut tried = order.clone();
            if best.is_some() && tried.len() > 1 {
                let (a, b) = (spread.below(tried.len()), spread.below(tried.len()));
                let moved = tried.remove(a);
                tried.insert(b, moved);
            }
            let solution = self.filled(open, &coils, &tried, &mut known);
            let left = length_of(open, &solution.short);
            if left <= current {
                (current, order) = (left, tried);
            }
            if best.as_ref().is_none_or(|(least, _)| left < *least) {
                best = Some((left, solution));
            }
            if left == Length::ZERO || known.len() > TRIES {
                break;
            }
        }
        self.checked(open.clone(), best?.1, short)
    }

    fn filled(
        &self,
        open: &Instance,
        coils: &[usize],
        priority: &[usize],
        known: &mut BTreeMap<(usize, Vec<usize>), bool>,
    ) -> Solution {
        let mut left: Vec<usize> = priority.to_vec();
        let mut solution = Solution::default();
        for &coil in coils {
            let capacity = open.coils.get(coil).map_or(Length::ZERO, nest::CoilSpace::capacity);
            let kind = first_alike(open, coil);
            let mut on: Vec<usize> = Vec::new();
            left.retain(|&bundle| {
                let more = in_order(open, [&on[..], &[bundle]].concat());
                let fits = length_of(open, &more) <= capacity
                    && *known
                        .entry((kind, more.clone()))
                        .or_insert_with(|| self.lays(open, coil, more.clone(), Vec::new()));
                if fits {
                    on = more;
                }
                !fits
            });
            if !on.is_empty() {
                solution.loads.push(Load { coil, bundles: on });
            }
        }
        left.sort_unstable();
        solution.short = left;
        solution
    }

    /// The solution laid out from scratch, if it holds and leaves less out.
    fn checked(
        &self,
        instance: Instance,
        solution: Solution,
        short: Length,
    ) -> Option<(Instance, Placed)> {
        if length_of(&instance, &solution.short) >= short {
            return None;
        }
        nest::verify(&instance, &solution).ok()?;
        let laid = lay_all(self.inputs, self.of, self.coils, &instance, &solution).ok()?;
        Some((instance, (solution, laid)))
    }

    /// Over every set of bundles on every bar: the least strip short, on the fewest bars.
    fn in_all_ways(&self, instance: &Instance) -> Option<Solution> {
        let n = instance.bundles.len();
        let full = (1_usize << n) - 1;
        let mut order: Vec<usize> = (0..instance.coils.len()).collect();
        order.sort_by_key(|&c| !instance.coils.get(c).is_some_and(|coil| coil.threaded));
        // How each set of bundles was reached: on which coil with what, at last.
        let mut reached: BTreeMap<usize, Option<(usize, usize)>> = BTreeMap::from([(0, None)]);
        let mut known: BTreeMap<(usize, usize, usize), bool> = BTreeMap::new();
        for &coil in &order {
            let kind = first_alike(instance, coil);
            let before: Vec<usize> = reached.keys().copied().collect();
            for set in before {
                let rest = full & !set;
                let mut more = rest;
                while more > 0 {
                    if let Entry::Vacant(place) = reached.entry(set | more) {
                        // What may come first depends on what is left.
                        let fits = *known
                            .entry((kind, more, rest & !more))
                            .or_insert_with(|| self.fits(instance, coil, more, rest & !more));
                        if fits {
                            place.insert(Some((coil, more)));
                        }
                    }
                    more = (more - 1) & rest;
                }
            }
            if reached.contains_key(&full) {
                break;
            }
        }
        let short = |set: &usize| length_of(instance, &members(full & !set));
        let mut set = reached.keys().copied().min_by_key(short)?;
        let mut solution = Solution { loads: Vec::new(), short: members(full & !set) };
        while let Some(Some((coil, more))) = reached.get(&set).copied() {
            solution.loads.push(Load { coil, bundles: in_order(instance, members(more)) });
            set &= !more;
        }
        solution.loads.reverse();
        Some(solution)
    }

    /// Whether a coil takes this set when `rest` is not made.
    fn fits(&self, instance: &Instance, coil: usize, set: usize, rest: usize) -> bool {
        let bundles = in_order(instance, members(set));
        let capacity = instance.coils.get(coil).map_or(Length::ZERO, nest::CoilSpace::capacity);
        let rank = |b: &usize| instance.bundles.get(*b).map_or(0, |b| b.rank);
        // A job may be begun when all those before its reach are done, or come with it.
        let oldest = members(rest).iter().map(rank).min();
        let begun =
            |b: &usize| oldest.is_none_or(|oldest| instance.policy.order.allows(rank(b), oldest));
        length_of(instance, &bundles) <= capacity
            && bundles.iter().all(begun)
            && self.lays(instance, coil, bundles, members(rest))
    }

    fn lays(
        &self,
        instance: &Instance,
        coil: usize,
        bundles: Vec<usize>,
        rest: Vec<usize>,
    ) -> bool {
        let one = Solution { loads: vec![Load { coil, bundles }], short: rest };
        lay_load(self.inputs, self.of, self.coils, instance, &one, 0, false).is_ok()
    }

    /// The solution with one bundle more, put where it fits, or in another's place that fits
    /// elsewhere.
    fn with(
        &self,
        instance: &Instance,
        now: &Solution,
        bundle: usize,
        tries: &mut usize,
    ) -> Option<Solution> {
        let fresh = self.put(instance, now, bundle, None, tries);
        let mut found = fresh;
        for from in 0..now.loads.len() {
            if found.is_some() {
                break;
            }
            for other in now.loads.get(from).map(|load| load.bundles.clone()).unwrap_or_default() {
                let mut tried = now.clone();
                let Some(load) = tried.loads.get_mut(from) else { continue };
                load.bundles.retain(|&b| b != other);
                load.bundles.push(bundle);
                load.bundles = in_order(instance, std::mem::take(&mut load.bundles));
                tried.short.retain(|&b| b != bundle);
                tried.short.push(other);
                if !self.holds(instance, &tried, from, tries) {
                    continue;
                }
                found = self.put(instance, &tried, other, Some(from), tries);
                if found.is_some() {
                    break;
                }
            }
        }
        found
    }

    /// Puts one more bundle on a load (not that one), or on a coil that is not used.
    fn put(
        &self,
        instance: &Instance,
        now: &Solution,
        bundle: usize,
        not_on: Option<usize>,
        tries: &mut usize,
    ) -> Option<Solution> {
        let used: Vec<usize> = now.loads.iter().map(|load| load.coil).collect();
        let free = (0..instance.coils.len()).filter(|coil| !used.contains(coil));
        // Of bars that are alike one is enough to try.
        let free = free.filter(|&coil| {
            let kind = first_alike(instance, coil);
            !(kind..coil).any(|c| !used.contains(&c) && first_alike(instance, c) == kind)
        });
        let places =
            (0..now.loads.len()).filter(|i| Some(*i) != not_on).map(Ok).chain(free.map(Err));
        for place in places {
            let mut tried = now.clone();
            let number = match place {
                Ok(number) => number,
                Err(coil) => {
                    tried.loads.push(Load { coil, bundles: Vec::new() });
                    tried.loads.len() - 1
                }
            };
            let Some(load) = tried.loads.get_mut(number) else { continue };
            load.bundles.push(bundle);
            load.bundles = in_order(instance, std::mem::take(&mut load.bundles));
            tried.short.retain(|&b| b != bundle);
            if self.holds(instance, &tried, number, tries) {
                return Some(tried);
            }
        }
        None
    }

    /// Whether a solution is one, with this load laid out.
    fn holds(
        &self,
        instance: &Instance,
        solution: &Solution,
        number: usize,
        tries: &mut usize,
    ) -> bool {
        if *tries == 0 || nest::verify(instance, solution).is_err() {
            return false;
        }
        *tries -= 1;
        lay_load(self.inputs, self.of, self.coils, instance, solution, number, false).is_ok()
    }
}

fn alone(instance: &Instance, bundle: &Bundle) -> Vec<Bundle> {
    let pitch = |p: &u32| instance.pitches.get(*p as usize).copied().unwrap_or(Length::ZERO);
    let one = |p: &u32| Bundle {
        pieces: vec![*p],
        length: pitch(p),
        gaps: 0,
        in_gaps: Length::ZERO,
        ..*bundle
    };
    bundle.pieces.iter().map(one).collect()
}

fn length_of(instance: &Instance, bundles: &[usize]) -> Length {
    bundles.iter().filter_map(|&b| instance.bundles.get(b)).map(Bundle::in_pieces).sum()
}

fn members(set: usize) -> Vec<usize> {
    (0..MOST).filter(|b| set >> b & 1 == 1).collect()
}

fn in_order(instance: &Instance, mut bundles: Vec<usize>) -> Vec<usize> {
    bundles.sort_by_key(|&b| (instance.bundles.get(b).map(|bundle| bundle.rank), b));
    bundles
}

/// The first coil that is as this one: bars of a kind are alike.
fn first_alike(instance: &Instance, coil: usize) -> usize {
    let what = |c: &nest::CoilSpace| (c.bar, c.length, c.reserve, c.part_used, c.head);
    let Some(of) = instance.coils.get(coil).filter(|c| c.bar.is_some()).map(what) else {
        return coil;
    };
    instance.coils.iter().position(|c| what(c) == of).unwrap_or(coil)
}
