//! The estimate as values. Lengths in nanometres, masses in milligrams, times in nanoseconds.

use crate::report::model::{Report, StripKind};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// Version of the form.
pub const VERSION: u32 = 1;

/// Many batches together.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Estimate {
    /// Version of this form.
    pub version: u32,
    /// In the order given: an earlier one has its pick of the rack.
    pub batches: Vec<BatchEstimate>,
    /// By strip, as it is bought.
    pub strips: Vec<StripEstimate>,
    /// Machine time over availability, all batches.
    pub planned_ns: i64,
}

/// One batch.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BatchEstimate {
    /// Its name.
    pub batch: String,
    /// Line it is for.
    pub line: String,
    /// Pieces there is strip for.
    pub pieces: usize,
    /// Pieces there is none for.
    pub pieces_short: usize,
    /// Strip used.
    pub used_nm: i64,
    /// Its coated mass.
    pub used_mg: i64,
    /// Coils loaded.
    pub coils: usize,
    /// Bars used.
    pub bars: usize,
    /// Machine time over availability.
    pub planned_ns: i64,
}

/// One kind of strip over all batches.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripEstimate {
    /// Which.
    pub strip: StripKind,
    /// Pieces there is strip for.
    pub pieces: usize,
    /// Strip used, scrap included.
    pub used_nm: i64,
    /// Its coated mass.
    pub used_mg: i64,
    /// Of the strip used: in good pieces.
    pub good_nm: i64,
    /// Different coils loaded.
    pub coils: usize,
    /// Different bars used.
    pub bars: usize,
    /// Machine time over availability.
    pub planned_ns: i64,
    /// Pieces there is no strip for.
    pub pieces_short: usize,
    /// Strip that is missing, slugs included; heads and tails come on top.
    pub short_nm: i64,
    /// Its coated mass.
    pub short_mg: i64,
}

impl Estimate {
    /// Of these batches.
    pub fn of(reports: &[Report]) -> Estimate {
        let mut strips: BTreeMap<StripKind, StripEstimate> = BTreeMap::new();
        let mut loaded: BTreeMap<StripKind, BTreeSet<(bool, String)>> = BTreeMap::new();
        for report in reports {
            for profile in &report.profiles {
                let strip = entry(&mut strips, &profile.strip);
                strip.pieces += profile.pieces;
                if let Some(short) = profile.shortage {
                    strip.pieces_short += short.pieces;
                    more(&mut strip.short_nm, short.strip_nm);
                    more(&mut strip.short_mg, short.mass_mg);
                }
            }
            for run in &report.runs {
                let strip = entry(&mut strips, &run.coil.strip);
                more(&mut strip.used_nm, run.account.used_nm);
                more(&mut strip.used_mg, run.account.used_mg);
                more(&mut strip.good_nm, run.account.good_nm);
                more(&mut strip.planned_ns, planned(report, run.time.total_ns));
                let which = (run.coil.bar.is_some(), run.coil.id.clone());
                loaded.entry(run.coil.strip.clone()).or_default().insert(which);
            }
        }
        for (kind, coils) in &loaded {
            let bars = coils.iter().filter(|(bar, _)| *bar).count();
            let strip = entry(&mut strips, kind);
            (strip.coils, strip.bars) = (coils.len() - bars, bars);
        }
        Estimate {
            version: VERSION,
            batches: reports
                .iter()
                .map(|report| BatchEstimate {
                    batch: report.batch.clone(),
                    line: report.line.clone(),
                    pieces: report.total.pieces,
                    pieces_short: report.total.pieces_short,
                    used_nm: report.total.account.used_nm,
                    used_mg: report.total.account.used_mg,
                    coils: report.coils.len() - bars(report),
                    bars: bars(report),
                    planned_ns: report.total.planned_ns,
                })
                .collect(),
            strips: strips.into_values().collect(),
            planned_ns: reports
                .iter()
                .fold(0, |sum, report| i64::saturating_add(sum, report.total.planned_ns)),
        }
    }
}

/// Different bars that a batch uses.
fn bars(report: &Report) -> usize {
    let bars = report.runs.iter().filter(|run| run.coil.bar.is_some());
    bars.map(|run| &run.coil.id).collect::<BTreeSet<_>>().len()
}

/// Running time at the availability of the report's line, to the nearest.
fn planned(report: &Report, running_ns: i64) -> i64 {
    let total = i128::from(report.total.time.total_ns);
    if total <= 0 {
        return 0;
    }
    let product = i128::from(running_ns) * i128::from(report.total.planned_ns);
    i64::try_from((2 * product + total).div_euclid(2 * total)).unwrap_or(i64::MAX)
}

/// Adds, and stays at the most instead of overflowing: hundreds of batches, each of every piece
/// that is planned at once, come to more nanometres than there are numbers for.
fn more(sum: &mut i64, one: i64) {
    *sum = sum.saturating_add(one);
}

fn entry<'a>(
    strips: &'a mut BTreeMap<StripKind, StripEstimate>,
    strip: &StripKind,
) -> &'a mut StripEstimate {
    strips.entry(strip.clone()).or_insert_with(|| StripEstimate {
        strip: strip.clone(),
        pieces: 0,
        used_nm: 0,
        used_mg: 0,
        good_nm: 0,
        coils: 0,
        bars: 0,
        planned_ns: 0,
        pieces_short: 0,
        short_nm: 0,
        short_mg: 0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_stay_at_the_most() {
        let mut sum = 40;
        more(&mut sum, 2);
        assert_eq!(sum, 42);
        more(&mut sum, i64::MAX);
        assert_eq!(sum, i64::MAX);
    }
}
