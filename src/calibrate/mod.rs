//! Calibration from first pieces: what a tape reads against what the program makes.
//!
//! [`propose`] turns readings into equations (`reading`), finds the corrections that fit them best
//! in exact fractions (`fit`), and either says what readings like these cannot tell, or proposes
//! a calibration in which only what is certain changes. A correction is certain when it is larger
//! than its uncertainty at coverage 2 or the tape's own, whichever is more, with nothing assumed
//! of the others, and still is when those that are not certain are held where they are. Numbers
//! are rounded once, at the end: the strip to parts in 10⁶, a station to a hundredth of a
//! millimetre, uncertainties upward.

mod fit;
mod model;
mod place;
mod reading;
mod refusals;
mod text;
mod toml;

pub use model::{Cause, Finding, Proposal, Ran, RanPiece, RanProgram, Verdict};
pub use text::print;
pub use toml::calibration;

use crate::diagnostic::{Diagnostic, any_error};
use crate::library::model::{Calibration, Counted, Measured, StationCorrection};
use crate::program::Serial;
use crate::quantity::{Length, Span};
use fit::{Fit, Fraction, beyond, root_up};
use num_traits::{One, Signed, ToPrimitive, Zero};
use reading::Reading;
use std::collections::BTreeSet;

/// A strip factor is told to this many parts in 10⁹, and a station to this many nanometres.
const STRIP_STEP: i64 = 1_000;
const STATION_STEP: i64 = 10_000;

/// The pieces that were taped, with the places that name them.
pub fn taped(measured: &Measured, ran: &Ran<'_>) -> Vec<(Serial, Span)> {
    reading::serials(measured, ran)
}

/// What the readings say about the calibration that the programs were made with. `None` where
/// they support no proposal; the findings say why.
pub fn propose(measured: &Measured, ran: &Ran<'_>) -> (Option<Proposal>, Vec<Diagnostic>) {
    let mut found = refusals::too_old(measured, ran.calibration);
    let (readings, faults) = reading::all(measured, ran);
    found.extend(faults);
    if any_error(&found) {
        return (None, found);
    }
    match judge(measured, ran, &readings, &mut found) {
        Ok(proposal) => (Some(proposal).filter(|_| !any_error(&found)), found),
        Err(refusal) => {
            found.push(*refusal);
            (None, found)
        }
    }
}

fn judge(
    measured: &Measured,
    ran: &Ran<'_>,
    readings: &[Reading],
    found: &mut Vec<Diagnostic>,
) -> Result<Proposal, Box<Diagnostic>> {
    let causes: Vec<Cause> = readings
        .iter()
        .flat_map(|reading| reading.terms.iter().map(|(cause, _)| *cause))
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect();
    let rows: Vec<fit::Row> = readings.iter().map(|reading| reading.row(&causes)).collect();
    let every: Vec<usize> = (0..causes.len()).collect();
    let full = fit::solve(&rows, causes.len(), &every)
        .map_err(|open| refusals::cannot_tell(&open, &causes, readings, measured, ran))?;

    let unchecked = unchecked(&full, causes.len());
    let checked = |place: usize| !unchecked.contains(&place);
    let in_calibration = |place: &usize| causes.get(*place).is_some_and(|c| *c != Cause::Cut);
    let spare = rows.len().saturating_sub(causes.len());
    if spare == 0 || !every.iter().any(|place| in_calibration(place) && checked(*place)) {
        return Err(refusals::unchecked(readings.len(), causes.len(), measured));
    }
    refusals::blunder(&full, &rows, readings)?;
    for place in every.iter().filter(|place| in_calibration(place) && !checked(**place)) {
        let reading =
            readings.iter().zip(&full.redundancy).zip(&full.gain).find(|((_, r), gain)| {
                r.is_zero() && gain.get(*place).is_some_and(|g| !g.is_zero())
            });
        if let (Some(cause), Some(((reading, _), _))) = (causes.get(*place), reading) {
            found.push(refusals::taped_once(*cause, reading, ran));
        }
    }

    // Readings that differ among themselves by more than stated widen every uncertainty.
    let scatter = &full.misfit / Fraction::from_integer(spare.into());
    let wider = if scatter > Fraction::one() { scatter } else { Fraction::one() };
    let two = Fraction::from_integer(2.into());
    let coverage = reading::fraction(measured.tape.coverage);
    let coverage = if coverage > two { coverage } else { two };
    let variance = |place: usize| full.variance.get(place).map(|v| v * &wider).unwrap_or_default();
    let certain = |estimates: &[Fraction], place: &usize| {
        checked(*place)
            && estimates.get(*place).is_some_and(|e| beyond(e, &coverage, &variance(*place)))
    };
    // What is uncertain is held where it is, and the others are worked out again without it: that
    // may leave one of them uncertain in its turn. What nothing checks takes up its own reading,
    // so that the others are judged without that.
    let mut estimates = full.estimate.clone();
    let mut free = every.clone();
    let kept = loop {
        let before = free.len();
        free.retain(|place| !checked(*place) || certain(&estimates, place));
        let kept = fit::solve(&rows, causes.len(), &free)
            .map_err(|open| refusals::cannot_tell(&open, &causes, readings, measured, ran))?;
        for place in &free {
            if let (Some(latest), Some(e)) = (estimates.get_mut(*place), kept.estimate.get(*place))
            {
                latest.clone_from(e);
            }
        }
        if free.len() == before {
            break kept;
        }
    };
    let lost = (&kept.misfit - &full.misfit) / &wider;
    let dropped: Vec<Cause> = every
        .iter()
        .filter(|place| !free.contains(place))
        .filter_map(|place| causes.get(*place).copied())
        .collect();
    if too_much(&lost, dropped.len()) {
        return Err(refusals::not_attributed(&dropped, measured, ran));
    }

    let findings = findings(ran, &causes, &estimates, &coverage, &variance, &|place| match (
        checked(place),
        free.contains(&place),
    ) {
        (false, _) => Verdict::Unchecked,
        (true, true) => Verdict::Changes,
        (true, false) => Verdict::Stays,
    });
    found.extend(refusals::too_far(&findings, measured, ran));
    found.extend(findings.iter().filter_map(|finding| refusals::elsewhere(finding, ran)));
    let widened = root_up(&(&wider * Fraction::from_integer(10_000.into())));
    Ok(Proposal {
        calibration: changed(ran.calibration, &findings, &measured.date.0),
        findings,
        coverage,
        readings: readings.len(),
        pieces: measured.pieces.len(),
        spare,
        worst: worst(&kept, readings),
        widened: widened.to_i64().unwrap_or(i64::MAX),
    })
}

/// Causes that a reading decides which nothing else checks: an error in it would show nowhere.
fn unchecked(full: &Fit, causes: usize) -> BTreeSet<usize> {
    let decided = |place: &usize| {
        full.redundancy
            .iter()
            .zip(&full.gain)
            .any(|(r, gain)| r.is_zero() && gain.get(*place).is_some_and(|g| !g.is_zero()))
    };
    (0..causes).filter(decided).collect()
}

/// Whether leaving out `dropped` causes spoils the fit by more than chance does. The spoiling has
/// mean `dropped` and variance twice that if none of them has a share (chi-squared; from memory);
/// four standard deviations above the mean are too much.
fn too_much(lost: &Fraction, dropped: usize) -> bool {
    let mean = Fraction::from_integer(dropped.into());
    let over = lost - &mean;
    over.is_positive() && &over * &over > Fraction::from_integer(32.into()) * mean
}

fn findings(
    ran: &Ran<'_>,
    causes: &[Cause],
    estimates: &[Fraction],
    coverage: &Fraction,
    variance: &dyn Fn(usize) -> Fraction,
    verdict: &dyn Fn(usize) -> Verdict,
) -> Vec<Finding> {
    let billion = || Fraction::from_integer(1_000_000_000.into());
    let whole = |value: Fraction| value.round().to_integer().to_i64().unwrap_or(i64::MAX);
    let mut findings: Vec<Finding> = causes
        .iter()
        .enumerate()
        .map(|(place, cause)| {
            let verdict = verdict(place);
            let estimate = estimates.get(place).cloned().unwrap_or_default();
            let squared = coverage * coverage * variance(place);
            let up = |value: &Fraction| root_up(value).to_i64().unwrap_or(i64::MAX);
            // What it was, how much more it is, the uncertainty squared, and the step it is
            // written in, where a calibration holds it at all.
            let (was, differs, squared, step) = match cause {
                // What an encoder behind the rolls counts, no calibration of ours stretches.
                Cause::Strip(_) if ran.calibration.counted != Counted::Strip => {
                    (0, whole(estimate * billion()), squared * billion() * billion(), None)
                }
                Cause::Strip(profile) => {
                    let was = ran.calibration.stated_factor(*profile);
                    // (1 + f′) = (1 + f) / (1 + ε)
                    let longer = Fraction::one() + &estimate;
                    let factor = Fraction::from_integer((1_000_000_000 + was).into());
                    let would =
                        if longer.is_positive() { factor / longer - billion() } else { billion() };
                    let differs = whole(would - Fraction::from_integer(was.into()));
                    (was, differs, squared * billion() * billion(), Some(STRIP_STEP))
                }
                Cause::Station(station) => {
                    let was = ran.calibration.correction(*station).map_or(0, |c| c.shift.nm());
                    (was, whole(estimate), squared, Some(STATION_STEP))
                }
                Cause::Cut => (ran.line.shear.slug.nm(), whole(estimate), squared, None),
            };
            let step = step.map(|step| nearest(differs, step));
            let (now, verdict) = match (verdict, step) {
                (Verdict::Changes, Some(0)) => (was, Verdict::Stays),
                (Verdict::Changes, Some(step)) => (was.saturating_add(step), verdict),
                // Nothing of a calibration: the slug, or the encoder's own scale.
                (Verdict::Changes, None) => (was, Verdict::Elsewhere),
                _ => (was, verdict),
            };
            Finding { cause: *cause, was, now, differs, uncertainty: up(&squared), verdict }
        })
        .collect();
    findings.sort_by_key(|finding| match finding.cause {
        Cause::Strip(profile) => (0, profile.0),
        Cause::Station(station) => (1, station.0),
        Cause::Cut => (2, 0),
    });
    findings
}

/// The multiple of `step` nearest to `value`, halves upward.
fn nearest(value: i64, step: i64) -> i64 {
    value.saturating_add(step / 2).div_euclid(step).saturating_mul(step)
}

/// The calibration with what changes, dated; `None` where nothing does.
fn changed(was: &Calibration, findings: &[Finding], date: &str) -> Option<Calibration> {
    let mut now = was.clone();
    now.date = date.into();
    let mut any = false;
    for finding in findings.iter().filter(|f| f.verdict == Verdict::Changes) {
        any = true;
        match finding.cause {
            Cause::Strip(profile) => match now.profiles.iter_mut().find(|(id, _)| *id == profile) {
                Some((_, factor)) => *factor = finding.now,
                None => now.profiles.push((profile, finding.now)),
            },
            Cause::Station(station) => {
                let shift = Length::from_nm(finding.now);
                match now.stations.iter_mut().find(|c| c.station == station) {
                    Some(correction) => correction.shift = shift,
                    None => now.stations.push(StationCorrection { station, factor: 0, shift }),
                }
            }
            Cause::Cut => {}
        }
    }
    any.then_some(now)
}

fn worst(kept: &Fit, readings: &[Reading]) -> Option<(Length, String)> {
    let (residual, reading) =
        kept.residuals.iter().zip(readings).max_by(|(a, _), (b, _)| a.abs().cmp(&b.abs()))?;
    let nm = residual.round().to_integer().to_i64()?;
    Some((Length::from_nm(nm), reading.words.clone()))
}
