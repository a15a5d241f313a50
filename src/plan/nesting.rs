//! One profile onto the rack: nest, lay out, and nest again with a greater reserve where the
//! layout runs over a coil's end.

use super::bound_shapes::{BoundProfile, bind_all};
use super::findings::{
    bars_left_out, contradiction, no_coil, short_of, shortage, taken_off, under_bound, warn_parted,
};
use super::laying::{lay_all, lay_load};
use super::least::{Least, Proof, Wanted, first_cut, on_defects, widest_gap};
use super::mend::Mend;
use super::model::{Inputs, Options, ProfilePlan, Watch, Worth};
use super::pieces::{Pieces, collect};
use super::stock;
use super::tighter::{self, ComesTo};
use crate::diagnostic::Diagnostic;
use crate::library::model::{AtEnd, Bundling, Coil, Slope};
use crate::member::model::ProfileId;
use crate::nest::cutting::Problem;
use crate::nest::{self, Bundle, CoilSpace, Instance, Policy, Solution};
use crate::program::{Serial, StripAccount};
use crate::quantity::Length;
use crate::sequence::{self, Laid, ScrapWhy};
use crate::tooling::BoundShape;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A coil in the course of the batch.
#[derive(Clone, Debug)]
pub(super) struct CoilState {
    /// As it is now.
    pub coil: Coil,
    /// Whether this batch has used it.
    pub touched: bool,
}

/// A run laid out, its events not yet made.
pub(super) struct RunDraft {
    pub profile: crate::member::model::ProfileId,
    pub coil: Coil,
    pub laid: Laid,
    pub shapes: Vec<BoundShape>,
    pub geometry: crate::tooling::Geometry,
    /// Piece of the batch for each laid piece.
    pub pieces: Vec<u32>,
    /// Whether it is made turned end for end.
    pub turned: Vec<bool>,
    pub serials: Vec<Serial>,
    pub account: StripAccount,
    pub stays: bool,
}

pub(super) struct Outcome {
    pub profile: ProfilePlan,
    pub drafts: Vec<RunDraft>,
}

/// How often nesting is asked again before the plan gives up on a coil's last metres.
const ROUNDS: usize = 24;

/// Work for a bound, whatever the effort.
const LEAST_TICKS: u64 = 20_000;

/// How much more than what was missing is left free on a bar at a time.
const MOST_OF_A_BAR: Length = Length::from_mm(16);

#[allow(clippy::too_many_arguments)] // one call site; a struct would only rename them
pub(super) fn nest_profile(
    inputs: &Inputs<'_>,
    options: &Options,
    watch: &dyn Watch,
    pieces: &Pieces<'_>,
    of: &mut BoundProfile,
    coils: &mut [CoilState],
    last_profile: bool,
    diagnostics: &mut Vec<Diagnostic>,
) -> Outcome {
    let Some(profile) = inputs.library.profile(of.profile) else {
        return Outcome { profile: empty(of), drafts: Vec::new() };
    };
    // In the figures of the programs, which the controller may stretch.
    let factor = inputs.calibration.controller_factor(of.profile);
    let counted: Vec<Coil> = coils.iter().map(|state| state.coil.as_counted(factor)).collect();
    let fitting = fitting(inputs, coils.iter().map(|state| &state.coil), of.profile);
    diagnostics.extend(bars_left_out(inputs, coils, profile));
    if fitting.is_empty() {
        let instance = instance(inputs, pieces, of, &counted, &fitting, last_profile);
        let reason = stock::why_none(coils, profile);
        let shortage =
            shortage(&instance, &(0..instance.bundles.len()).collect::<Vec<_>>(), profile);
        diagnostics.push(no_coil(profile, &shortage, &reason));
        return Outcome {
            profile: ProfilePlan { shortage: Some(shortage), ..empty(of) },
            drafts: Vec::new(),
        };
    }
    let on_leftovers = fitting.iter().any(|&i| coils.get(i).is_some_and(|state| state.touched));
    let rack = Rack { counted: &counted, fitting: &fitting, last_profile };
    let mut nested = nested(inputs, options, watch, pieces, of, &rack, diagnostics);
    let comes_to = ComesTo::of(inputs, of, &rack, &nested);
    let argued = nest::bound(
        &nested.instance,
        &least_heads(inputs, of, coils, &fitting),
        least_end(inputs, coils, &fitting),
        sequence::fewest_runs(inputs.line, of.sequenced(), of.numbers()),
    );
    let wanted = Wanted {
        inputs,
        of,
        coils: fitting.iter().filter_map(|&i| counted.get(i)).collect(),
        last_stays: nested.instance.policy.last_stays,
        bundles: &nested.bundles,
        parted: &nested.parted,
        pitches: &nested.instance.pitches,
        whole: nested.instance.bundles == nested.bundles,
    };
    let mut proofs = Vec::new();
    if nested.solution.short.is_empty() && !watch.stopped() {
        proofs = bounds(&wanted, comes_to.used, argued, options, watch);
    }
    let bound_of = |least| proofs.iter().find(|proof| proof.least == least).map(Proof::strip);
    let bound = bound_of(Least::Strip).unwrap_or(Length::ZERO).max(argued);
    let bound_on_worth = bound_of(Least::Worth).unwrap_or(Length::ZERO).max(bound);
    let is_least = |of: ComesTo| of.short == Length::ZERO && of.used <= bound_on_worth;
    let other = tighter::better(inputs, options, watch, pieces, of, &rack, comes_to, &is_least);
    if let Some(other) = other {
        nested = other;
    }
    let Nested { instance, solution, laid, .. } = nested;
    let shortage =
        (!solution.short.is_empty()).then(|| shortage(&instance, &solution.short, profile));
    if let Some(shortage) = &shortage {
        diagnostics.push(short_of(profile, shortage, coils, &fitting));
    }
    let mut drafts = Vec::with_capacity(laid.len());
    let mut used = Length::ZERO;
    let count = laid.len();
    for (i, (coil, laid)) in laid.into_iter().enumerate() {
        let Some(state) = coils.get_mut(coil) else { continue };
        let Some(strip) = counted.get(coil) else { continue };
        let stays = rack.stays(inputs, i + 1 == count, strip);
        let account = account(inputs, of, strip, &laid, stays);
        used += account.consumed();
        drafts.push(RunDraft {
            profile: of.profile,
            coil: state.coil.clone(),
            pieces: laid
                .pieces
                .iter()
                .filter_map(|&p| of.pieces.get(of.sequenced().drawn(p).0 as usize).copied())
                .collect(),
            turned: laid.pieces.iter().map(|&p| of.sequenced().drawn(p).1).collect(),
            shapes: laid.pieces.iter().filter_map(|&p| of.sequenced().get(p)).cloned().collect(),
            geometry: of.geometry.clone(),
            serials: Vec::new(),
            laid,
            account,
            stays,
        });
        let running = coil;
        for (i, state) in coils.iter_mut().enumerate() {
            if i == running {
                state.coil = state.coil.after_counted(account.consumed(), stays, factor);
                state.touched = true;
            } else if state.coil.threaded {
                diagnostics.push(taken_off(&state.coil, inputs.line.parting));
                state.coil = state.coil.out_of_the_line(inputs.line.parting);
                state.touched = true;
            }
        }
    }
    let loaded = drafts.iter().filter(|draft| !draft.coil.threaded);
    let changes: Length = loaded.map(|draft| change_worth(inputs, &draft.coil)).sum();
    let worth = (inputs.batch.change_worth > Length::ZERO)
        .then(|| Worth { plan: used + changes, bound: bound_on_worth });
    if shortage.is_none() && (used < bound || worth.is_some_and(|worth| worth.plan < worth.bound)) {
        diagnostics.push(under_bound(used, bound));
    }
    let planned: usize = drafts.iter().map(|d| d.pieces.len()).sum();
    Outcome {
        profile: ProfilePlan {
            profile: of.profile,
            pieces: planned,
            used,
            bound: shortage.is_none().then_some(bound),
            worth: worth.filter(|_| shortage.is_none()),
            proofs,
            on_leftovers,
            shortage,
            cut_short: watch.stopped(),
        },
        drafts,
    }
}

/// The rack as a profile finds it.
pub(super) struct Rack<'a> {
    /// Coils in the figures of the programs.
    pub counted: &'a [Coil],
    /// Those that fit, by number.
    pub fitting: &'a [usize],
    /// Whether no other profile comes after.
    pub last_profile: bool,
}

impl Rack<'_> {
    /// Whether a coil stays in the line, being the last of the profile's or not.
    pub fn stays(&self, inputs: &Inputs<'_>, last: bool, coil: &Coil) -> bool {
        let may = inputs.batch.at_end == AtEnd::StayThreaded && coil.bar.is_none();
        self.last_profile && last && may
    }
}

/// A profile's bundles on the rack, and how they lie there.
pub(super) struct Nested {
    /// As nesting was asked at last.
    pub instance: Instance,
    /// Bundles as they were before layouts asked for more room.
    pub bundles: Vec<Bundle>,
    /// Frames that were parted by then.
    pub parted: Vec<usize>,
    /// Which coil makes what.
    pub solution: Solution,
    /// By coil.
    pub laid: Vec<(usize, Laid)>,
}

/// Nests and lays out a profile, its bundles as the batch has them.
pub(super) fn nested(
    inputs: &Inputs<'_>,
    options: &Options,
    watch: &dyn Watch,
    pieces: &Pieces<'_>,
    of: &BoundProfile,
    rack: &Rack<'_>,
    diagnostics: &mut Vec<Diagnostic>,
) -> Nested {
    let &Rack { counted, fitting, last_profile } = rack;
    let mut instance = instance(inputs, pieces, of, counted, fitting, last_profile);
    let parted = nest::part_long_bundles(&mut instance);
    let bundles = instance.bundles.clone();
    warn_parted(inputs, pieces, of, &parted, diagnostics);
    let fresh: Vec<Length> = instance.coils.iter().map(|coil| coil.reserve).collect();
    let (mut solution, mut laid) =
        settle(inputs, options, watch, pieces, of, counted, &mut instance, &fresh, diagnostics);
    if !solution.short.is_empty() && instance.coils.iter().any(|coil| coil.bar.is_some()) {
        // What asking again has reserved more is not reserved here.
        let mut open = instance.clone();
        for (space, of) in open.coils.iter_mut().zip(&fresh) {
            space.reserve = *of;
        }
        let more = Mend { inputs, of, coils: counted }.less_short(&open, &solution);
        if let Some((with, (better, lies))) = more {
            (instance, solution, laid) = (with, better, lies);
        }
    }
    Nested { instance, bundles, parted, solution, laid }
}

/// A batch bound to its line once more, for the problems of its bounds.
pub struct Anew<'a> {
    inputs: &'a Inputs<'a>,
    pieces: Pieces<'a>,
    bound: Vec<BoundProfile>,
}

impl<'a> Anew<'a> {
    /// Of these inputs.
    pub fn of(inputs: &'a Inputs<'a>) -> Anew<'a> {
        let pieces = collect(inputs.jobs, &inputs.batch.done);
        let bound = bind_all(inputs, &pieces, &mut Vec::new());
        Anew { inputs, pieces, bound }
    }

    /// The problem of a bound, made again from the rack as it was before the first coil of the
    /// profile was loaded; `None` where there is none.
    pub fn problem(
        &self,
        profile: ProfileId,
        rack: &[Coil],
        last_profile: bool,
        least: Least,
        whole: bool,
    ) -> Option<(Problem, Length)> {
        let (inputs, pieces) = (self.inputs, &self.pieces);
        let of = self.bound.iter().find(|of| of.profile == profile)?;
        let factor = inputs.calibration.controller_factor(profile);
        let counted: Vec<Coil> = rack.iter().map(|coil| coil.as_counted(factor)).collect();
        let fitting = fitting(inputs, rack.iter(), profile);
        let mut instance = instance(inputs, pieces, of, &counted, &fitting, last_profile);
        let parted = nest::part_long_bundles(&mut instance);
        let wanted = Wanted {
            inputs,
            of,
            coils: fitting.iter().filter_map(|&i| counted.get(i)).collect(),
            last_stays: instance.policy.last_stays,
            bundles: &instance.bundles,
            parted: &parted,
            pitches: &instance.pitches,
            whole,
        };
        wanted.problem(least)
    }
}

/// Coils and bars that fit a profile on this line, by number.
fn fitting<'c>(
    inputs: &Inputs<'_>,
    coils: impl Iterator<Item = &'c Coil>,
    profile: ProfileId,
) -> Vec<usize> {
    let Some(profile) = inputs.library.profile(profile) else { return Vec::new() };
    coils
        .enumerate()
        .filter(|(_, coil)| coil.fits(profile))
        .filter(|(_, coil)| coil.bar.is_none() || inputs.line.bars.is_some())
        .map(|(i, _)| i)
        .collect()
}

/// Bounds with certificates, where those that are argued leave something open.
fn bounds(
    wanted: &Wanted<'_>,
    with_changes: Length,
    argued: Length,
    options: &Options,
    watch: &dyn Watch,
) -> Vec<Proof> {
    let mut proofs = Vec::new();
    let stop = || watch.stopped();
    let ticks = options.ticks.max(LEAST_TICKS);
    proofs.extend(wanted.proof(Least::Strip, ticks, &stop));
    let known = proofs.first().map_or(argued, |proof| proof.strip().max(argued));
    if wanted.inputs.batch.change_worth > Length::ZERO && with_changes > known {
        proofs.extend(wanted.proof(Least::Worth, ticks, &stop));
    }
    proofs
}

fn empty(of: &BoundProfile) -> ProfilePlan {
    ProfilePlan {
        profile: of.profile,
        pieces: 0,
        used: Length::ZERO,
        bound: None,
        worth: None,
        proofs: Vec::new(),
        on_leftovers: false,
        shortage: None,
        cut_short: false,
    }
}

fn instance(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    of: &BoundProfile,
    coils: &[Coil],
    fitting: &[usize],
    last_profile: bool,
) -> Instance {
    let pitches: Vec<Length> = of
        .shape_of
        .iter()
        .map(|&s| of.shapes.get(s as usize).map_or(Length::ZERO, |b| of.geometry.length(b.pitch)))
        .collect();
    let batch = inputs.batch;
    let mut bundles: Vec<Bundle> = Vec::new();
    let mut frame = None;
    for ((i, piece), pitch) in (0_u32..).zip(&of.pieces).zip(&pitches) {
        let Some(piece) = pieces.all.get(*piece as usize) else { continue };
        let key = (piece.job, piece.frame, piece.copy);
        if frame.is_none_or(|(_, before)| before != key) {
            frame = Some((i as usize, key));
        }
        let first = frame.map_or(0, |(first, _)| first);
        let alone = matches!(batch.bundling, Bundling::Open(_));
        if alone || first == i as usize {
            bundles.push(Bundle {
                rank: piece.job as usize,
                length: Length::ZERO,
                gaps: 0,
                in_gaps: Length::ZERO,
                pieces: Vec::new(),
                frame: first,
            });
        }
        if let Some(bundle) = bundles.last_mut() {
            bundle.pieces.push(i);
            bundle.length += *pitch;
        }
    }
    if batch.bundling == Bundling::Frame {
        // Its members follow each other: what no order of them spares, no plan does.
        for bundle in &mut bundles {
            let pieces = bundle.pieces.iter().copied();
            let (runs, gap) = sequence::fewest_runs(inputs.line, of.sequenced(), pieces);
            bundle.gaps = runs.saturating_sub(1);
            bundle.in_gaps = gap.times(i64::try_from(bundle.gaps).unwrap_or(0));
            bundle.length += bundle.in_gaps;
        }
    }
    let gap = widest_gap(&bundles);
    let mut kinds: Vec<Arc<str>> = Vec::new();
    for bar in fitting.iter().filter_map(|&i| coils.get(i)?.bar.as_ref()) {
        if !kinds.contains(bar) {
            kinds.push(Arc::clone(bar));
        }
    }
    // Of bars that are alike no more are used than there are pieces.
    let mut alike: BTreeMap<(&Arc<str>, Length, bool), usize> = BTreeMap::new();
    let spaces = fitting
        .iter()
        .filter_map(|&i| {
            let coil = coils.get(i)?;
            if let Some(bar) = &coil.bar {
                let count = alike.entry((bar, coil.length, coil.part_used)).or_default();
                *count += 1;
                if *count > of.pieces.len() {
                    return None;
                }
            }
            Some(CoilSpace {
                coil: i,
                length: coil.length,
                reserve: first_reserve(inputs, of, coil, gap),
                tail: inputs.line.ends(coil).tail - of.geometry.slug,
                part_used: coil.part_used,
                threaded: coil.threaded,
                parting: inputs.line.ends(coil).parting,
                opening: opening(inputs, of, coil),
                head: least_head(inputs, of, coil),
                bar: kinds.iter().position(|kind| Some(kind) == coil.bar.as_ref()),
            })
        })
        .collect();
    Instance {
        bundles,
        pitches,
        heads: sequence::heads(of.sequenced())
            .into_iter()
            .map(|steps| of.geometry.length(steps.max(0)))
            .collect(),
        coils: spaces,
        policy: Policy {
            bundling: batch.bundling,
            order: batch.order,
            keep: batch.keep,
            last_stays: last_profile && batch.at_end == AtEnd::StayThreaded,
        },
    }
}

/// What loading a coil or bar is worth as strip, with the head it loses in any case.
fn opening(inputs: &Inputs<'_>, of: &BoundProfile, coil: &Coil) -> Length {
    change_worth(inputs, coil) + least_head(inputs, of, coil) + of.geometry.slug
}

/// What the batch says that loading a coil is worth; a bar by its share of the time.
pub fn change_worth(inputs: &Inputs<'_>, coil: &Coil) -> Length {
    let worth = inputs.batch.change_worth;
    if coil.bar.is_none() {
        return worth;
    }
    let (ends, whole) = (inputs.line.ends(coil), inputs.line.coil_change.ns());
    if whole > 0 { worth.scaled(ends.change.ns(), whole) } else { Length::ZERO }
}

/// Where the first member can begin at the earliest, its slug before it: the least head, of the
/// line and of what tools ask for whichever piece comes first.
fn least_head(inputs: &Inputs<'_>, of: &BoundProfile, coil: &Coil) -> Length {
    first_cut(inputs, of, coil).max(Length::ZERO)
}

/// What a coil surely cannot give to members and gaps of this width that they have in any case:
/// its tail, the least head, defects between them.
fn first_reserve(inputs: &Inputs<'_>, of: &BoundProfile, coil: &Coil, gap: Length) -> Length {
    let ends = inputs.line.ends(coil).tail + least_head(inputs, of, coil);
    ends + on_defects(inputs, of, coil, gap)
}

/// Nests and lays out until every coil's layout fits. `fresh` is what each coil surely loses.
#[allow(clippy::too_many_arguments)] // one call site; a struct would only rename them
fn settle(
    inputs: &Inputs<'_>,
    options: &Options,
    watch: &dyn Watch,
    pieces: &Pieces<'_>,
    of: &BoundProfile,
    coils: &[Coil],
    instance: &mut Instance,
    fresh: &[Length],
    diagnostics: &mut Vec<Diagnostic>,
) -> (Solution, Vec<(usize, Laid)>) {
    let mut ticks = options.ticks;
    for round in 0..ROUNDS {
        let solution = nest::nest(instance, ticks, &|| watch.stopped());
        // Asking again is for a few metres: the search need not start over.
        ticks /= 4;
        if let Some(found) = contradiction(instance, &solution) {
            diagnostics.push(found);
            return (Solution::default(), Vec::new());
        }
        let mut laid = Vec::with_capacity(solution.loads.len());
        let mut over = Vec::new();
        let last = solution.loads.len().saturating_sub(1);
        for (i, load) in solution.loads.iter().enumerate() {
            let stays = instance.policy.last_stays && i == last;
            match lay_load(inputs, of, coils, instance, &solution, i, stays) {
                Ok(done) => laid.push(done),
                Err(by) => over.push((load.coil, by)),
            }
        }
        if over.is_empty() {
            return (solution, laid);
        }
        for (coil, by) in over {
            // At first what was missing, later whole steps more, so that it comes to an end.
            let more = by + Length::from_mm(1).times(1 << round.min(20));
            let kind = instance.coils.get(coil).and_then(|space| space.bar);
            // A bar has no metres to give away.
            let more = if kind.is_some() { more.min(by + MOST_OF_A_BAR) } else { more };
            for (i, space) in instance.coils.iter_mut().enumerate() {
                // Bars are alike: what did not fit on one is put on the next. After some rounds
                // none of them is filled so far.
                if i == coil || round > 3 && kind.is_some() && space.bar == kind {
                    space.reserve = (space.reserve + more).min(space.length);
                }
            }
        }
        // With less room a bundle may have become longer than any coil. What a bar takes whole
        // stays whole, however much was reserved for others.
        let open = alone_on_bars(instance, fresh);
        let parted = nest::part_long_bundles_but(instance, &|bundle| {
            open.as_ref().is_some_and(|open| whole_on_a_bar(inputs, of, coils, open, bundle))
        });
        warn_parted(inputs, pieces, of, &parted, diagnostics);
    }
    as_far_as_it_goes(inputs, of, coils, instance, ticks, watch)
}

/// The bars with nothing reserved on them but what each surely loses, and no bundles yet; one of
/// those that are alike. `None` where there are none.
fn alone_on_bars(instance: &Instance, reserves: &[Length]) -> Option<Instance> {
    let mut kinds = BTreeSet::new();
    let bars = instance.coils.iter().zip(reserves).filter(|(space, _)| space.bar.is_some());
    let bars = bars.map(|(space, reserve)| CoilSpace { reserve: *reserve, ..space.clone() });
    let coils: Vec<CoilSpace> = bars.filter(|bar| kinds.insert((bar.bar, bar.length))).collect();
    if coils.is_empty() {
        return None;
    }
    let (pitches, heads) = (instance.pitches.clone(), instance.heads.clone());
    Some(Instance { bundles: Vec::new(), pitches, heads, coils, policy: instance.policy })
}

/// Whether one of these bars takes a bundle when nothing else is on it.
fn whole_on_a_bar(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coils: &[Coil],
    bars: &Instance,
    bundle: &Bundle,
) -> bool {
    let bars = Instance { bundles: vec![bundle.clone()], ..bars.clone() };
    (0..bars.coils.len()).any(|coil| {
        let load = nest::Load { coil, bundles: vec![0] };
        let alone = Solution { loads: vec![load], short: Vec::new() };
        lay_load(inputs, of, coils, &bars, &alone, 0, false).is_ok()
    })
}

/// After so many rounds: the loads that do fit, where the others may be left out.
fn as_far_as_it_goes(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coils: &[Coil],
    instance: &Instance,
    ticks: u64,
    watch: &dyn Watch,
) -> (Solution, Vec<(usize, Laid)>) {
    let mut solution = nest::nest(instance, ticks, &|| watch.stopped());
    let mut number = 0;
    while number < solution.loads.len() {
        match lay_load(inputs, of, coils, instance, &solution, number, false) {
            Ok(_) => number += 1,
            Err(_) => {
                let left_out = solution.loads.remove(number);
                solution.short.extend(left_out.bundles);
            }
        }
    }
    solution.short.sort_unstable();
    // Once more, now that it is known what comes before each and which is the last.
    let laid = lay_all(inputs, of, coils, instance, &solution);
    if let Ok(laid) = laid
        && contradiction(instance, &solution).is_none()
    {
        return (solution, laid);
    }
    let nothing = Solution { loads: Vec::new(), short: (0..instance.bundles.len()).collect() };
    (nothing, Vec::new())
}

/// Where a laid-out run's strip goes.
pub(super) fn account(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coil: &Coil,
    laid: &Laid,
    stays: bool,
) -> StripAccount {
    let slug = of.geometry.slug;
    let mut account = StripAccount { strip: coil.length, ..StripAccount::default() };
    // Where the strip not yet booked begins: behind the last cut.
    let mut edge = Length::ZERO;
    let mut scrap = laid.scrap.iter().peekable();
    // How the strip's edge slopes there.
    let mut slope = Slope::SQUARE;
    for (&piece, &base) in laid.pieces.iter().zip(&laid.bases) {
        if let Some(scrap) = scrap.next_if(|scrap| scrap.at == base) {
            let dropped = of.geometry.length(base) - edge;
            account.head += dropped;
            account.slug += slug;
            if scrap.why != ScrapWhy::Head {
                // Whatever else it parts, a piece cut away at a defect is the defect's.
                let (from, to) = (edge - slug, of.geometry.length(base) + slug);
                if coil.defects.iter().any(|d| d.0 < to && from < d.1) {
                    account.head_at_defects += dropped;
                } else if scrap.slope != slope {
                    account.head_at_slopes += dropped;
                } else {
                    account.head_at_gaps += dropped;
                }
            }
        }
        if let Some(shape) = of.sequenced().get(piece) {
            account.good += shape.strip_length;
            account.slug += slug;
            edge = of.geometry.length(base + shape.pitch) + slug;
            slope = shape.blades[1].slope;
        }
    }
    if scrap.next().is_some() {
        account.tail += of.geometry.length(laid.end) - edge;
        account.slug += slug;
    }
    let rest = coil.length - (of.geometry.length(laid.end) + slug);
    let lost = if rest.is_negative() {
        // The last slug reaches over the coil's end: only what is there is lost.
        account.slug += rest;
        Length::ZERO
    } else {
        let parting = if stays { Length::ZERO } else { inputs.line.ends(coil).parting };
        nest::lost_at_end(rest, parting, inputs.batch.keep)
    };
    account.tail += lost;
    account.remnant = rest.max(Length::ZERO) - lost;
    account
}

/// The least heads any coils can start with, ascending: those of the pieces that ask for least,
/// but none under the line's own; a threaded coil may need none.
fn least_heads(
    inputs: &Inputs<'_>,
    of: &BoundProfile,
    coils: &[CoilState],
    fitting: &[usize],
) -> Vec<Length> {
    let ends = fitting.iter().filter_map(|&i| coils.get(i)).map(|s| inputs.line.ends(&s.coil));
    let least = ends.map(|ends| ends.head).min().unwrap_or(Length::ZERO).max(of.geometry.slug);
    let threaded =
        fitting.iter().filter(|&&i| coils.get(i).is_some_and(|s| s.coil.threaded)).count();
    let cold = sequence::heads_ascending(of.sequenced())
        .into_iter()
        .map(|steps| (of.geometry.length(steps.max(0)) + of.geometry.slug).max(least));
    std::iter::repeat_n(Length::ZERO, threaded).chain(cold).take(fitting.len()).collect()
}

/// What the end of a coil or bar costs at least.
fn least_end(inputs: &Inputs<'_>, coils: &[CoilState], fitting: &[usize]) -> Length {
    // Less than nothing where the last slug may fall off the end.
    let ends = fitting.iter().filter_map(|&i| coils.get(i)).map(|s| inputs.line.ends(&s.coil));
    ends.map(|ends| ends.parting.min(ends.tail - inputs.line.shear.slug))
        .min()
        .unwrap_or(Length::ZERO)
}
