//! A coil's load laid out on its strip: in which order its groups come, and what they leave.

use super::bound_shapes::BoundProfile;
use super::model::Inputs;
use crate::library::model::{Bundling, Coil};
use crate::nest::fill::best_subset;
use crate::nest::{self, Bundle, Instance, Solution};
use crate::quantity::Length;
use crate::sequence::{self, Laid, Overrun, Strip};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Most groups of a bar that are tried in every order.
const MOST_GROUPS: usize = 5;

/// Every load of a solution laid out, or by how much the first that does not fit is too long.
pub(super) fn lay_all(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coils: &[Coil],
    instance: &Instance,
    solution: &Solution,
) -> Result<Vec<(usize, Laid)>, Length> {
    (0..solution.loads.len())
        .map(|i| {
            let stays = instance.policy.last_stays && i + 1 == solution.loads.len();
            lay_load(inputs, of, coils, instance, solution, i, stays)
        })
        .collect()
}

pub(super) fn lay_load(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coils: &[Coil],
    instance: &Instance,
    solution: &Solution,
    number: usize,
    stays: bool,
) -> Result<(usize, Laid), Length> {
    let Some(load) = solution.loads.get(number) else { return Err(Length::ZERO) };
    let Some(space) = instance.coils.get(load.coil) else { return Err(Length::ZERO) };
    let Some(coil) = coils.get(space.coil) else { return Err(Length::ZERO) };
    let groups = together(instance, load);
    let choices = first_choices(instance, solution, number, &groups);
    let pieces: Vec<&[u32]> = groups.iter().map(|group| group.pieces.as_slice()).collect();
    let ends = inputs.line.ends(coil);
    let strip = Strip {
        length: coil.length,
        defects: &coil.defects,
        warm: coil.threaded,
        head: ends.head,
        tail: ends.tail,
        parting: if stays { Length::ZERO } else { ends.parting },
        keep: inputs.batch.keep,
    };
    let arranged = |pieces: &[&[u32]], choices: usize| {
        let shapes = of.sequenced();
        let arranged =
            sequence::arrange(inputs.line, &of.geometry, shapes, pieces, choices.min(64));
        let ordered: Vec<Vec<u32>> = arranged.into_iter().map(|(_, order)| order).collect();
        let ordered = sequence::plainer(inputs.line, &of.geometry, shapes, &ordered);
        sequence::lay(inputs.line, &of.geometry, shapes, &ordered, &strip)
    };
    let mut laid = arranged(&pieces, choices);
    // What saves less than a piece that drops is not worth another order.
    let little = inputs.line.shear.least_drop;
    let loses = |laid: &Result<Laid, Overrun>| match laid {
        Ok(laid) => lost_at_defects(inputs, of, laid, &strip) > little,
        Err(_) => true,
    };
    if any_order(inputs, choices, pieces.len()) && !strip.defects.is_empty() && loses(&laid) {
        let little = of.geometry.ceil_steps(little);
        for order in filling_up_to_a_defect(inputs, of, &groups, &strip) {
            let order: Vec<&[u32]> = order.iter().map(Vec::as_slice).collect();
            let other = arranged(&order, 1);
            let shorter = match (&laid, &other) {
                (Ok(laid), Ok(other)) => other.end + little < laid.end,
                (Err(over), Err(other)) => other.by < over.by,
                (laid, other) => laid.is_err() && other.is_ok(),
            };
            if shorter {
                laid = other;
            }
            if !loses(&laid) {
                break;
            }
        }
    }
    let laid = laid.or_else(|over| tighter(inputs, of, coil, &pieces, choices, &strip).ok_or(over));
    laid.map(|laid| (space.coil, laid)).map_err(|over| over.by)
}

/// Whether groups of which so many may come first may come in any order.
fn any_order(inputs: &Inputs<'_>, choices: usize, groups: usize) -> bool {
    choices >= groups && !matches!(inputs.batch.bundling, Bundling::Open(_))
}

/// Most groups that are tried at a defect.
const MOST_AT_A_DEFECT: usize = 6;

/// Strip cut away beside defects, besides what they and the least piece that drops take.
fn lost_at_defects(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    laid: &Laid,
    strip: &Strip<'_>,
) -> Length {
    let (geometry, slug) = (&of.geometry, of.geometry.slug);
    let mut lost = Length::ZERO;
    // Where the piece before ends, and how far the next one begins behind it with scrap between.
    let (mut from, mut parted) = (strip.head, Length::ZERO);
    for (&piece, &base) in laid.pieces.iter().zip(&laid.bases) {
        let to = geometry.length(base) + slug;
        let on = |d: &(Length, Length)| (d.1.min(to) - d.0.max(from)).max(Length::ZERO);
        let defects: Length = strip.defects.iter().map(on).sum();
        if defects > Length::ZERO {
            lost += (to - from - defects.max(parted)).max(Length::ZERO);
        }
        let pitch = of.sequenced().get(piece).map_or(0, |shape| shape.pitch);
        from = geometry.length(base + pitch);
        parted = slug.times(2) + inputs.line.shear.least_drop;
    }
    lost
}

/// Orders of groups in which those before a defect fill the strip there: before the first that
/// leaves room for a piece. One group lies at it, in two parts that follow each other: the pieces
/// that fill what the others leave, and the rest. Nothing where no defect is met.
fn filling_up_to_a_defect(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    groups: &[Group],
    strip: &Strip<'_>,
) -> Vec<Vec<Vec<u32>>> {
    let pitch = |p: &u32| of.sequenced().get(*p).map(|shape| of.geometry.length(shape.pitch));
    let pitches = groups.iter().flat_map(|group| &group.pieces).filter_map(pitch);
    let shortest = pitches.min().unwrap_or(Length::ZERO);
    let mut from = strip.head;
    let room = strip.defects.iter().find_map(|defect| {
        let room = defect.0 - from;
        from = from.max(defect.1);
        (room >= shortest).then_some(room)
    });
    let Some(room) = room else { return Vec::new() };
    let made: Length = groups.iter().map(|group| group.length).sum();
    if made <= room {
        return Vec::new();
    }
    // The more pieces, the more ways to fill what is left.
    let mut by_pieces: Vec<usize> = (0..groups.len()).collect();
    by_pieces.sort_by_key(|&i| Reverse(groups.get(i).map_or(0, |group| group.pieces.len())));
    // What parting a group may cost in gaps.
    let gap = inputs.line.shear.slug + inputs.line.shear.least_drop;
    let tried = by_pieces.iter().take(MOST_AT_A_DEFECT);
    tried
        .flat_map(|&at| [(at, gap), (at, gap.times(3))])
        .filter_map(|(at, spare)| with_at(of, groups, at, room - spare))
        .collect()
}

/// The groups with this one where so much strip before it ends.
fn with_at(of: &BoundProfile, groups: &[Group], at: usize, room: Length) -> Option<Vec<Vec<u32>>> {
    let there = groups.get(at)?;
    let others = || groups.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, group)| group);
    let lengths: Vec<Length> = others().map(|group| group.length).collect();
    let chosen = best_subset(&lengths, room - there.length.scaled(1, 2));
    let taken: Length = lengths.iter().zip(&chosen).filter(|(_, c)| **c).map(|(l, _)| *l).sum();
    let pitch = |p: &u32| of.sequenced().get(*p).map(|shape| of.geometry.length(shape.pitch));
    let pitches: Vec<Length> = there.pieces.iter().filter_map(pitch).collect();
    let filling = best_subset(&pitches, room - taken);
    let part = |first: bool| {
        let of_part = there.pieces.iter().zip(&filling).filter(|(_, fills)| **fills == first);
        of_part.map(|(piece, _)| *piece).collect()
    };
    let side = |before: bool| {
        let of_side = others().zip(&chosen).filter(move |(_, chosen)| **chosen == before);
        of_side.map(|(group, _)| group.pieces.clone())
    };
    let order = side(true).chain([part(true), part(false)]).chain(side(false));
    Some(order.filter(|pieces: &Vec<u32>| !pieces.is_empty()).collect())
}

/// On a bar that is a little too short a better order may fit: whichever of the groups that may
/// come first does.
fn tighter(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coil: &Coil,
    groups: &[&[u32]],
    choices: usize,
    strip: &Strip<'_>,
) -> Option<Laid> {
    coil.bar.as_ref()?;
    let least = of.geometry.ceil_steps(strip.head - of.geometry.slug);
    let free = any_order(inputs, choices, groups.len());
    let orders = match free && groups.len() <= MOST_GROUPS {
        true => orders_of(groups),
        false => (0..choices.clamp(1, groups.len().max(1)).min(8))
            .filter_map(|first| {
                let mut groups = groups.to_vec();
                groups.get_mut(..=first)?.rotate_right(1);
                Some(groups)
            })
            .collect(),
    };
    orders.iter().find_map(|groups| {
        let (line, shapes) = (inputs.line, of.sequenced());
        let order = sequence::tightest(line, &of.geometry, shapes, groups, least)?;
        sequence::lay(line, &of.geometry, shapes, &order, strip).ok()
    })
}

/// Every order of these groups.
fn orders_of<'g>(groups: &[&'g [u32]]) -> Vec<Vec<&'g [u32]>> {
    let mut orders: Vec<Vec<&[u32]>> = vec![Vec::new()];
    for &group in groups {
        let with = |order: &Vec<&'g [u32]>| {
            (0..=order.len())
                .map(|at| {
                    let mut order = order.clone();
                    order.insert(at, group);
                    order
                })
                .collect::<Vec<_>>()
        };
        orders = orders.iter().flat_map(with).collect();
    }
    orders
}

/// What a coil makes of one frame before it goes on to another.
struct Group {
    rank: usize,
    frame: usize,
    /// Strip of its pieces.
    length: Length,
    pieces: Vec<u32>,
}

/// Single pieces of one frame that follow each other may come in any order: they are one group.
/// Without bundling so may all of one job, or of any where jobs come in any order.
fn together(instance: &Instance, load: &nest::Load) -> Vec<Group> {
    let free = instance.policy.order.reach().is_none();
    let merge = |group: &Group, bundle: &Bundle| match instance.policy.bundling {
        Bundling::Open(_) => group.frame == bundle.frame,
        Bundling::None => free || group.rank == bundle.rank,
        Bundling::Frame => false,
    };
    let mut groups: Vec<Group> = Vec::new();
    for bundle in load.bundles.iter().filter_map(|&b| instance.bundles.get(b)) {
        match groups.last_mut().filter(|group| merge(group, bundle)) {
            Some(group) => {
                group.pieces.extend(&bundle.pieces);
                group.length += bundle.length;
            }
            None => groups.push(Group {
                rank: bundle.rank,
                frame: bundle.frame,
                length: bundle.length,
                pieces: bundle.pieces.clone(),
            }),
        }
    }
    groups
}

/// How many of a coil's groups, from the first on, may each come first on it: those of jobs that
/// the order lets begin when the coil does, and which leave no more frames unfinished than may be.
fn first_choices(
    instance: &Instance,
    solution: &Solution,
    number: usize,
    groups: &[Group],
) -> usize {
    let bundle = |b: &usize| instance.bundles.get(*b);
    let unmade = solution.loads.iter().skip(number).flat_map(|load| &load.bundles);
    let unmade: Vec<&Bundle> = unmade.chain(&solution.short).filter_map(bundle).collect();
    let oldest = unmade.iter().map(|b| b.rank).min().unwrap_or(0);
    let order = instance.policy.order;
    let allowed = groups.iter().take_while(|group| order.allows(group.rank, oldest)).count();
    let Bundling::Open(most) = instance.policy.bundling else { return allowed };
    let made = solution.loads.iter().take(number).flat_map(|load| &load.bundles);
    let begun: BTreeSet<usize> = made.filter_map(bundle).map(|b| b.frame).collect();
    let mut left: BTreeMap<usize, usize> = BTreeMap::new();
    for bundle in unmade {
        *left.entry(bundle.frame).or_default() += 1;
    }
    let unfinished = begun.iter().filter(|frame| left.contains_key(frame)).count();
    // One that finishes its frame may come before the others; what it leaves open, they bear.
    let may = |group: &&Group| {
        left.get(&group.frame) == Some(&group.pieces.len())
            && (begun.contains(&group.frame) || unfinished < most)
    };
    groups.iter().take(allowed).take_while(may).count()
}
