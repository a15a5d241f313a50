//! What a batch will come to, before anything is written: yield, scrap by cause and time, per
//! coil and per job. A part of the report, for the detailer and the planner.

use super::allot::allot;
use super::bars::BarReport;
use super::model::{
    CoilReport, FindingReport, JobReport, ProfileReport, RemnantReport, Report, Total,
};
use schemars::JsonSchema;
use serde::Serialize;

/// Version of the form.
pub const VERSION: u32 = 1;

/// A batch as it would be made.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Preview {
    /// Version of this form.
    pub version: u32,
    /// Name of the batch.
    pub batch: String,
    /// Line it is for.
    pub line: String,
    /// Whether the search was stopped before its ticks were spent.
    pub cut_short: bool,
    /// Everything together.
    pub total: Total,
    /// Where the strip goes that becomes no piece, largest first.
    pub scrap: Vec<ScrapReport>,
    /// By profile, with bound, gap and shortage.
    pub profiles: Vec<ProfileReport>,
    /// By coil.
    pub coils: Vec<CoilReport>,
    /// Bars used, by kind.
    pub bars: Vec<BarReport>,
    /// By run: stops and time, and what no choice of stops can beat.
    pub runs: Vec<StopsReport>,
    /// By job.
    pub jobs: Vec<JobReport>,
    /// What is left of the coils used.
    pub remnants: Vec<RemnantReport>,
    /// Warnings and notes.
    pub findings: Vec<FindingReport>,
}

/// Scrap of one cause.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ScrapReport {
    /// Cause: `slug`, `thread-up`, `defects`, `slopes`, `gaps` or `tail`.
    pub cause: String,
    /// Strip.
    pub strip_nm: i64,
    /// Its coated mass.
    pub mass_mg: i64,
    /// Of the strip used, in parts per million, to the nearest.
    pub share_ppm: i64,
}

/// How often one run stops and how long it takes, beside what no choice of stops can beat while
/// order and cuts are as they are.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StopsReport {
    /// From 1.
    pub run: usize,
    /// Coil it runs on.
    pub coil: String,
    /// Standstills at which tools fire or the shear cuts.
    pub stops: usize,
    /// No fewer are possible.
    pub stops_bound: usize,
    /// Machine time.
    pub time_ns: i64,
    /// No less is possible.
    pub time_bound_ns: i64,
}

impl Preview {
    /// Of a report.
    pub fn of(report: &Report) -> Preview {
        Preview {
            version: VERSION,
            batch: report.batch.clone(),
            line: report.line.clone(),
            cut_short: report.cut_short,
            total: report.total.clone(),
            scrap: scrap(report),
            profiles: report.profiles.clone(),
            coils: report.coils.clone(),
            bars: report.bars.clone(),
            runs: report
                .runs
                .iter()
                .map(|run| StopsReport {
                    run: run.run,
                    coil: run.coil.id.clone(),
                    stops: run.stops,
                    stops_bound: run.stops_bound,
                    time_ns: run.time.total_ns,
                    time_bound_ns: run.time_bound_ns,
                })
                .collect(),
            jobs: report.jobs.clone(),
            remnants: report.remnants.clone(),
            findings: report.findings.clone(),
        }
    }
}

/// Scrap by cause, largest first. In a run of one profile every metre weighs the same: each cause
/// has its share of the run's scrap.
fn scrap(report: &Report) -> Vec<ScrapReport> {
    let names = ["slug", "thread-up", "defects", "slopes", "gaps", "tail"];
    let mut causes = names.map(|name| (name, 0, 0));
    for run in &report.runs {
        let account = &run.account;
        let lengths = [
            account.slug_nm,
            account.head_nm
                - account.head_at_defects_nm
                - account.head_at_slopes_nm
                - account.head_at_gaps_nm,
            account.head_at_defects_nm,
            account.head_at_slopes_nm,
            account.head_at_gaps_nm,
            account.tail_nm,
        ];
        let masses = allot(account.scrap_mg, &lengths);
        for ((cause, length), mass) in causes.iter_mut().zip(lengths).zip(masses) {
            cause.1 += length;
            cause.2 += mass;
        }
    }
    let used = report.total.account.used_nm;
    let mut scrap: Vec<ScrapReport> = causes
        .into_iter()
        // Most lines cut square.
        .filter(|(cause, strip_nm, _)| *cause != "slopes" || *strip_nm > 0)
        .map(|(cause, strip_nm, mass_mg)| ScrapReport {
            cause: cause.to_string(),
            strip_nm,
            mass_mg,
            share_ppm: ppm(strip_nm, used),
        })
        .collect();
    scrap.sort_by_key(|of| std::cmp::Reverse(of.strip_nm));
    scrap
}

fn ppm(part: i64, whole: i64) -> i64 {
    if whole <= 0 {
        return 0;
    }
    let (part, whole) = (i128::from(part), i128::from(whole));
    i64::try_from((2 * part * 1_000_000 + whole).div_euclid(2 * whole)).unwrap_or(0)
}
