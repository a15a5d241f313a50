//! The report of a batch as values: what `report.json` holds and every paper is written from.
//!
//! Lengths are whole nanometres, masses milligrams, times nanoseconds, money the currency's
//! minor unit: exact, so that a script can add them up and come to the same.

use super::allot::allot;
use super::bars::{BarReport, bars};
use super::bounds::{BoundReport, bounds};
use super::continues::Continues;
use super::drops::{DropReport, scrap};
use super::origin::OriginReport;
use super::profiles::{SetUpReport, profile_report};
use super::words;
use crate::diagnostic::Diagnostic;
use crate::library::model::{Coil, LengthBasis, Profile};
use crate::member::hash::content_hash;
use crate::member::model::{Frame, Job, Member, Shape, Waiver};
use crate::plan::{Inputs, Plan, PlannedPiece, Run};
use crate::program::StripAccount;
use crate::quantity::{Length, Time};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// Version of the form; it changes when a field changes its meaning or goes away.
pub const VERSION: u32 = 1;

/// What a report is made from.
pub struct Source<'a> {
    /// What was planned from.
    pub inputs: &'a Inputs<'a>,
    /// What came of it.
    pub plan: &'a Plan,
    /// Work ticks the plan was given.
    pub ticks: u64,
    /// Findings somebody took responsibility for, each with its waiver.
    pub waived: &'a [(&'a Waiver, &'a Diagnostic)],
    /// What else was found, a shortage among it, with the place as papers name it (`walls.members:12`).
    pub findings: &'a [(Diagnostic, Option<String>)],
}

/// A batch, planned and proved.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Report {
    /// Version of this form.
    pub version: u32,
    /// Name of the batch.
    pub batch: String,
    /// Line it is for.
    pub line: String,
    /// How its controller reads programs.
    pub dialect: String,
    /// Date of the calibration.
    pub calibration: String,
    /// Who applies it: `controller` or `coilwright`.
    pub calibration_applied_by: String,
    /// Work ticks the plan was given.
    pub effort_ticks: u64,
    /// Whether the search was stopped before its ticks were spent.
    pub cut_short: bool,
    /// Everything together.
    pub total: Total,
    /// By profile, in the order they are made.
    pub profiles: Vec<ProfileReport>,
    /// What no plan can beat, with certificates.
    pub bounds: Vec<BoundReport>,
    /// By coil or bar, in the order they are loaded.
    pub coils: Vec<CoilReport>,
    /// Bars used, by kind.
    pub bars: Vec<BarReport>,
    /// By job, as the batch lists them.
    pub jobs: Vec<JobReport>,
    /// Runs in the order they are made.
    pub runs: Vec<RunReport>,
    /// What goes back to the rack or stays in the line.
    pub remnants: Vec<RemnantReport>,
    /// Findings that were waived.
    pub waived: Vec<WaivedReport>,
    /// Warnings and notes.
    pub findings: Vec<FindingReport>,
    /// What it goes on from, where it is the rest of another batch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub continues: Option<Continues>,
}

/// Where strip goes. `good + slug + head + tail + remnant = strip`, exactly.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Account {
    /// Strip there was: consumed, and what is left of it.
    pub strip_nm: i64,
    /// In good pieces.
    pub good_nm: i64,
    /// Lost in cuts.
    pub slug_nm: i64,
    /// Before good pieces: thread-up, defects passed, gaps between members.
    pub head_nm: i64,
    /// Of the head: around defect zones.
    pub head_at_defects_nm: i64,
    /// Of the head: between members that cannot share a cut.
    pub head_at_gaps_nm: i64,
    /// Of the head: between members whose ends slope differently.
    pub head_at_slopes_nm: i64,
    /// After the last good piece.
    pub tail_nm: i64,
    /// Left, worth keeping.
    pub remnant_nm: i64,
    /// What is no longer on the coil: the strip less the remnant.
    pub used_nm: i64,
    /// Coated mass of what is used.
    pub used_mg: i64,
    /// Coated mass of slugs, heads and tails.
    pub scrap_mg: i64,
}

/// Machine time by cause; `total` is their sum, availability not counted.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TimeReport {
    /// Strip moving.
    pub moves_ns: i64,
    /// Coming to rest.
    pub settle_ns: i64,
    /// Tools firing.
    pub strokes_ns: i64,
    /// Shear.
    pub cuts_ns: i64,
    /// Turning the shear from one slope to another.
    pub slopes_ns: i64,
    /// Clearing pieces from the run-out.
    pub unloading_ns: i64,
    /// Taking a coil off and threading the next.
    pub coil_change_ns: i64,
    /// Setting the line up for a profile.
    pub set_up_ns: i64,
    /// All of it.
    pub total_ns: i64,
}

/// All runs together.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Total {
    /// Pieces made.
    pub pieces: usize,
    /// Pieces there is no strip for.
    pub pieces_short: usize,
    /// Where the strip goes.
    pub account: Account,
    /// Machine time.
    pub time: TimeReport,
    /// Machine time over the line's availability.
    pub planned_ns: i64,
    /// Whether no order of the profiles takes less time to set up.
    pub set_up_is_least: bool,
    /// Machine time on offer, where the batch states it.
    pub shift_ns: Option<i64>,
    /// What the strip used costs, where every coil used has a cost.
    pub cost_minor: Option<i64>,
}

/// One profile.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProfileReport {
    /// Its name.
    pub profile: String,
    /// The strip it needs.
    pub strip: StripKind,
    /// Pieces made.
    pub pieces: usize,
    /// Strip used up.
    pub used_nm: i64,
    /// Strip that no plan can use less than; absent where stock is short.
    pub bound_nm: Option<i64>,
    /// How far the plan is above that.
    pub gap_nm: Option<i64>,
    /// Strip used up and each coil loaded counted as the batch says; absent where it says nothing.
    pub worth_nm: Option<i64>,
    /// What no plan comes to less than, so counted.
    pub worth_bound_nm: Option<i64>,
    /// What the plan has least, proved again by a checker that knows nothing of planning: `strip`,
    /// `worth`, or both.
    pub proved: Vec<String>,
    /// Whether profiles before it have used coils that fit it: the bound is then for the rack as
    /// they leave it.
    pub on_leftovers: bool,
    /// The gap in plain words.
    pub gap: String,
    /// Strip that is missing.
    pub shortage: Option<ShortageReport>,
    /// How the line comes to be set up for it; absent where nothing of it is made.
    pub set_up: Option<SetUpReport>,
}

/// Strip as it is bought.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StripKind {
    /// Width.
    pub width_nm: i64,
    /// Base metal thickness.
    pub thickness_nm: i64,
    /// Grade.
    pub grade: String,
    /// Coating.
    pub coating: String,
}

/// Strip that is missing.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShortageReport {
    /// Pieces there is no strip for.
    pub pieces: usize,
    /// Their strip, slugs included; heads and tails come on top.
    pub strip_nm: i64,
    /// Its coated mass.
    pub mass_mg: i64,
}

/// One coil over all its runs.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoilReport {
    /// What is written on it.
    pub coil: String,
    /// Pieces made from it.
    pub pieces: usize,
    /// Where its strip goes.
    pub account: Account,
    /// Machine time on it.
    pub time: TimeReport,
}

/// One job. Heads, tails, remnants and time are spent for whole runs; a job bears them by its
/// length of good pieces.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JobReport {
    /// Its name.
    pub job: String,
    /// Its title.
    pub title: String,
    /// Its revision.
    pub revision: String,
    /// Frames, copies counted.
    pub frames: usize,
    /// Pieces wanted.
    pub wanted: usize,
    /// Pieces made.
    pub pieces: usize,
    /// Strip in good pieces.
    pub good_nm: i64,
    /// Its cuts.
    pub slug_nm: i64,
    /// Its share of heads.
    pub head_nm: i64,
    /// Its share of tails.
    pub tail_nm: i64,
    /// Coated mass of all of these.
    pub mass_mg: i64,
    /// Its share of machine time, availability not counted.
    pub time_ns: i64,
}

/// One coil's run after one thread-up.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RunReport {
    /// From 1.
    pub run: usize,
    /// Identity of its program.
    pub program: String,
    /// The program's file in the output; the first of them where it lies in several.
    pub file: String,
    /// The files behind the first, in their order, where it lies in several.
    pub more_files: Vec<String>,
    /// Profile it makes.
    pub profile: String,
    /// The coil as it is when the run begins.
    pub coil: CoilState,
    /// Whether the strip is already in the line, with a clean cut at the shear.
    pub warm: bool,
    /// Whether it stays there.
    pub stays: bool,
    /// Where the first good piece starts.
    pub first_piece_at_nm: i64,
    /// Where the strip goes.
    pub account: Account,
    /// Machine time.
    pub time: TimeReport,
    /// Standstills at which tools fire or the shear cuts.
    pub stops: usize,
    /// What no choice of stops can beat, the cuts as they are: standstills.
    pub stops_bound: usize,
    /// Machine time likewise, thread-up and set-up included.
    pub time_bound_ns: i64,
    /// Pieces, in the order they drop.
    pub pieces: Vec<PieceReport>,
    /// Pieces of scrap, in the order they drop.
    pub scrap: Vec<DropReport>,
}

/// A coil at the beginning of a run.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoilState {
    /// What is written on it.
    pub id: String,
    /// Where it is a bar: what bars of its kind are called.
    pub bar: Option<String>,
    /// Heat number.
    pub heat: String,
    /// Mill certificate.
    pub certificate: String,
    /// Docket.
    pub docket: String,
    /// What strip it is.
    pub strip: StripKind,
    /// What the length rests on: `docket mass`, `diameter` or `measured`.
    pub basis: String,
    /// How far the length may be off, in parts per million.
    pub uncertainty_ppm: i64,
    /// Whether part of it was used before.
    pub part_used: bool,
    /// Stretches nothing good lies on, from its leading edge.
    pub defects: Vec<DefectReport>,
}

/// A stretch that nothing good lies on.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DefectReport {
    /// Where it begins, from the coil's leading edge.
    pub from_nm: i64,
    /// Where it stops.
    pub to_nm: i64,
}

/// One piece.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PieceReport {
    /// Its number, used once in this batch.
    pub serial: u32,
    /// Job.
    pub job: String,
    /// Frame.
    pub frame: String,
    /// Which copy of the frame, from 1.
    pub copy: u32,
    /// Mark.
    pub mark: String,
    /// Whether it comes off turned end for end: its end first.
    pub turned: bool,
    /// What is printed on it; absent where it leaves blank.
    pub printed: Option<String>,
    /// What it is for.
    pub usage: String,
    /// Hash of the member as drawn, in hexadecimal: equal for members that are alike, whatever they
    /// are called; another one when the drawing changed.
    pub drawn: String,
    /// Finished length.
    pub length_nm: i64,
    /// Where it starts on the strip, in the middle of the web.
    pub start_nm: i64,
    /// Advance at which it is cut.
    pub cut_nm: i64,
    /// The place in a list or model of the drawing office that its member was imported from; absent
    /// where it was not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub source: Option<OriginReport>,
}

/// What is left of a coil.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RemnantReport {
    /// What is written on it.
    pub coil: String,
    /// What is left.
    pub length_nm: i64,
    /// Whether it is a bar.
    pub bar: bool,
    /// Whether it stays in the line.
    pub threaded: bool,
}

/// A finding somebody took responsibility for.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WaivedReport {
    /// Job whose drawing waives it.
    pub job: String,
    /// The rule or code.
    pub rule: String,
    /// Frame it is limited to.
    pub frame: Option<String>,
    /// Mark it is limited to.
    pub mark: Option<String>,
    /// Letter, drawing or calculation that allows it.
    pub reference: String,
    /// Who allowed it.
    pub by: String,
    /// What was found and on which members, once for each finding it covers.
    pub messages: Vec<String>,
}

/// A warning or note.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingReport {
    /// Stable code.
    pub code: String,
    /// `warning` or `note`.
    pub severity: String,
    /// What was found.
    pub message: String,
    /// Where: input file and line.
    pub place: Option<String>,
}

impl Report {
    /// Of a plan.
    pub fn of(source: &Source<'_>) -> Report {
        let Source { inputs, plan, .. } = *source;
        let runs: Vec<RunReport> =
            plan.runs.iter().enumerate().map(|(i, run)| run_report(inputs, i, run)).collect();
        let profiles: Vec<ProfileReport> =
            plan.profiles.iter().map(|of| profile_report(inputs, plan, of)).collect();
        let short = profiles.iter().filter_map(|p| p.shortage).map(|s| s.pieces).sum();
        let time = plan.time(inputs.line);
        let coils = coils(&runs);
        let costs: Option<Vec<i64>> = plan.runs.iter().map(cost).collect();
        Report {
            version: VERSION,
            batch: inputs.batch.name.to_string(),
            line: inputs.line.name.to_string(),
            dialect: inputs.dialect.name().to_string(),
            calibration: inputs.calibration.date.to_string(),
            calibration_applied_by: inputs.calibration.applied_by.word().to_string(),
            effort_ticks: source.ticks,
            cut_short: plan.profiles.iter().any(|p| p.cut_short),
            total: Total {
                pieces: runs.iter().map(|run| run.pieces.len()).sum(),
                pieces_short: short,
                account: sum(coils.iter().map(|coil| coil.account)),
                time: total_time(runs.iter().map(|run| run.time)),
                planned_ns: time.planned.ns(),
                set_up_is_least: plan.least_set_up,
                shift_ns: inputs.batch.shift.map(Time::ns),
                cost_minor: costs.map(|costs| costs.iter().sum()),
            },
            bounds: bounds(inputs, plan),
            coils,
            bars: bars(inputs, plan),
            jobs: jobs(inputs, plan, &runs),
            remnants: plan
                .rack
                .iter()
                .filter(|coil| coil.length > Length::ZERO)
                .map(|coil| RemnantReport {
                    coil: coil.id.to_string(),
                    length_nm: coil.length.nm(),
                    bar: coil.bar.is_some(),
                    threaded: coil.threaded,
                })
                .collect(),
            waived: waived(inputs.jobs, source.waived),
            findings: source
                .findings
                .iter()
                .filter(|(found, _)| !found.is_error())
                .map(|(found, place)| FindingReport {
                    code: found.code.number.to_string(),
                    severity: found.severity.word().to_string(),
                    message: found.message.clone(),
                    place: place.clone(),
                })
                .collect(),
            continues: None,
            profiles,
            runs,
        }
    }
}

impl Account {
    fn of(account: &StripAccount, profile: Option<&Profile>) -> Account {
        let mass = |length: Length| profile.map_or(0, |p| p.coated_mass.of(length).mg());
        Account {
            strip_nm: account.strip.nm(),
            good_nm: account.good.nm(),
            slug_nm: account.slug.nm(),
            head_nm: account.head.nm(),
            head_at_defects_nm: account.head_at_defects.nm(),
            head_at_gaps_nm: account.head_at_gaps.nm(),
            head_at_slopes_nm: account.head_at_slopes.nm(),
            tail_nm: account.tail.nm(),
            remnant_nm: account.remnant.nm(),
            used_nm: account.consumed().nm(),
            used_mg: mass(account.consumed()),
            scrap_mg: mass(account.scrap()),
        }
    }
    /// Slugs, heads and tails.
    pub fn scrap_nm(&self) -> i64 {
        self.slug_nm + self.head_nm + self.tail_nm
    }
    fn plus(self, other: Account) -> Account {
        Account {
            strip_nm: self.strip_nm + other.strip_nm,
            good_nm: self.good_nm + other.good_nm,
            slug_nm: self.slug_nm + other.slug_nm,
            head_nm: self.head_nm + other.head_nm,
            head_at_defects_nm: self.head_at_defects_nm + other.head_at_defects_nm,
            head_at_gaps_nm: self.head_at_gaps_nm + other.head_at_gaps_nm,
            head_at_slopes_nm: self.head_at_slopes_nm + other.head_at_slopes_nm,
            tail_nm: self.tail_nm + other.tail_nm,
            remnant_nm: self.remnant_nm + other.remnant_nm,
            used_nm: self.used_nm + other.used_nm,
            used_mg: self.used_mg + other.used_mg,
            scrap_mg: self.scrap_mg + other.scrap_mg,
        }
    }
}

fn sum(accounts: impl Iterator<Item = Account>) -> Account {
    accounts.fold(Account::of(&StripAccount::default(), None), Account::plus)
}

fn total_time(times: impl Iterator<Item = TimeReport>) -> TimeReport {
    let none = TimeReport {
        moves_ns: 0,
        settle_ns: 0,
        strokes_ns: 0,
        cuts_ns: 0,
        slopes_ns: 0,
        unloading_ns: 0,
        coil_change_ns: 0,
        set_up_ns: 0,
        total_ns: 0,
    };
    times.fold(none, |a, b| TimeReport {
        moves_ns: a.moves_ns + b.moves_ns,
        settle_ns: a.settle_ns + b.settle_ns,
        strokes_ns: a.strokes_ns + b.strokes_ns,
        cuts_ns: a.cuts_ns + b.cuts_ns,
        slopes_ns: a.slopes_ns + b.slopes_ns,
        unloading_ns: a.unloading_ns + b.unloading_ns,
        coil_change_ns: a.coil_change_ns + b.coil_change_ns,
        set_up_ns: a.set_up_ns + b.set_up_ns,
        total_ns: a.total_ns + b.total_ns,
    })
}

fn run_report(inputs: &Inputs<'_>, index: usize, run: &Run) -> RunReport {
    let profile = inputs.library.profile(run.profile);
    RunReport {
        run: index + 1,
        program: run.program.id.to_string(),
        file: run.files.first().map_or(String::new(), |file| in_folder(&file.name)),
        more_files: run.files.iter().skip(1).map(|file| in_folder(&file.name)).collect(),
        profile: run.program.profile.to_string(),
        coil: coil_state(&run.coil),
        warm: run.program.warm,
        stays: run.stays,
        first_piece_at_nm: run.head.nm(),
        account: Account::of(&run.account, profile),
        time: TimeReport {
            moves_ns: run.time.moves.ns(),
            settle_ns: run.time.settle.ns(),
            strokes_ns: run.time.strokes.ns(),
            cuts_ns: run.time.cuts.ns(),
            slopes_ns: run.time.slopes.ns(),
            unloading_ns: run.time.unloading.ns(),
            coil_change_ns: run.time.coil_change.ns(),
            set_up_ns: run.time.set_up.ns(),
            total_ns: run.time.total().ns(),
        },
        stops: run.stops,
        stops_bound: usize::try_from(run.bound.stops).unwrap_or(usize::MAX),
        time_bound_ns: (run.bound.time.total() + run.time.coil_change + run.time.set_up).ns(),
        pieces: run.pieces.iter().filter_map(|piece| piece_report(inputs, piece)).collect(),
        scrap: scrap(inputs, run),
    }
}

/// Where a program lies in the output.
pub fn in_folder(file: &str) -> String {
    format!("programs/{file}")
}

fn coil_state(coil: &Coil) -> CoilState {
    CoilState {
        id: coil.id.to_string(),
        bar: coil.bar.as_ref().map(ToString::to_string),
        heat: coil.heat.to_string(),
        certificate: coil.certificate.to_string(),
        docket: coil.docket.to_string(),
        strip: StripKind {
            width_nm: coil.strip_width.nm(),
            thickness_nm: coil.thickness.nm(),
            grade: coil.grade.to_string(),
            coating: coil.coating.to_string(),
        },
        basis: match coil.basis {
            LengthBasis::DocketMass => "docket mass",
            LengthBasis::Diameter => "diameter",
            LengthBasis::Measured => "measured",
        }
        .to_string(),
        uncertainty_ppm: coil.uncertainty,
        part_used: coil.part_used,
        defects: coil
            .defects
            .iter()
            .map(|(from, to)| DefectReport { from_nm: from.nm(), to_nm: to.nm() })
            .collect(),
    }
}

fn piece_report(inputs: &Inputs<'_>, piece: &PlannedPiece) -> Option<PieceReport> {
    let (job, frame, member) = piece.member.of(inputs.jobs)?;
    Some(PieceReport {
        serial: piece.serial.0,
        job: job.name.to_string(),
        frame: frame.name.to_string(),
        copy: piece.member.copy + 1,
        mark: member.mark.to_string(),
        turned: piece.turned,
        printed: piece.mark.as_ref().map(ToString::to_string),
        usage: words::usage(member.usage).to_string(),
        drawn: drawn(inputs, &piece.shape),
        length_nm: piece.shape.length.nm(),
        start_nm: piece.start.distance().nm(),
        cut_nm: piece.cut.distance().nm(),
        source: member.origin.as_deref().map(OriginReport::of),
    })
}

/// Identity of a member as drawn.
fn drawn(inputs: &Inputs<'_>, shape: &Shape) -> String {
    let profile = inputs.library.profile(shape.profile).map_or("", |p| &p.name);
    let kind = |id| inputs.library.feature(id).map_or("", |kind| &*kind.name);
    content_hash(shape, profile, kind).iter().map(|byte| format!("{byte:02x}")).collect()
}

/// What the strip a run uses costs: the coil's cost by length. `None` where it is not known.
fn cost(run: &Run) -> Option<i64> {
    let cost = run.coil.cost?;
    let length = i128::from(run.coil.length.nm());
    if length <= 0 {
        return Some(0);
    }
    let used = i128::from(run.account.consumed().nm());
    i64::try_from((2 * i128::from(cost) * used + length).div_euclid(2 * length)).ok()
}

fn coils(runs: &[RunReport]) -> Vec<CoilReport> {
    let mut coils: Vec<CoilReport> = Vec::new();
    for run in runs {
        match coils.iter_mut().find(|coil| coil.coil == run.coil.id) {
            None => coils.push(CoilReport {
                coil: run.coil.id.clone(),
                pieces: run.pieces.len(),
                account: run.account,
                time: run.time,
            }),
            Some(coil) => {
                coil.pieces += run.pieces.len();
                // What an earlier run left is what the later one began with: counted once.
                let mut both = coil.account.plus(run.account);
                both.strip_nm -= run.account.strip_nm;
                both.remnant_nm = run.account.remnant_nm;
                coil.account = both;
                coil.time = total_time([coil.time, run.time].into_iter());
            }
        }
    }
    coils
}

fn jobs(inputs: &Inputs<'_>, plan: &Plan, runs: &[RunReport]) -> Vec<JobReport> {
    let wanted = |job: &Job| {
        let pieces = |f: &Frame| {
            let members: u64 = f.members.iter().map(|m: &Member| u64::from(m.quantity)).sum();
            members.saturating_mul(u64::from(f.quantity))
        };
        let pieces = job.frames.iter().map(pieces).fold(0_u64, u64::saturating_add);
        usize::try_from(pieces).unwrap_or(usize::MAX)
    };
    let mut jobs: Vec<JobReport> = inputs
        .jobs
        .iter()
        .map(|job| JobReport {
            job: job.name.to_string(),
            title: job.title.to_string(),
            revision: job.revision.to_string(),
            frames: job.frames.iter().map(|f| f.quantity as usize).sum(),
            wanted: wanted(job),
            pieces: 0,
            good_nm: 0,
            slug_nm: 0,
            head_nm: 0,
            tail_nm: 0,
            mass_mg: 0,
            time_ns: 0,
        })
        .collect();
    for (run, report) in plan.runs.iter().zip(runs) {
        let profile = inputs.library.profile(run.profile);
        let mut pieces = vec![0_i64; jobs.len()];
        for piece in &run.pieces {
            if let Some(count) = pieces.get_mut(piece.member.job as usize) {
                *count += 1;
            }
        }
        // On the strip a piece reaches from its start to its cut.
        let mut good = vec![0_i64; jobs.len()];
        for piece in &run.pieces {
            if let Some(length) = good.get_mut(piece.member.job as usize) {
                *length += (piece.cut.distance() - piece.start.distance()).nm();
            }
        }
        let good = allot(report.account.good_nm, &good);
        let slug = allot(report.account.slug_nm, &pieces);
        let head = allot(report.account.head_nm, &good);
        let tail = allot(report.account.tail_nm, &good);
        let time = allot(report.time.total_ns, &good);
        for (i, job) in jobs.iter_mut().enumerate() {
            let of = |shares: &[i64]| shares.get(i).copied().unwrap_or(0);
            let strip = of(&good) + of(&slug) + of(&head) + of(&tail);
            job.pieces += usize::try_from(of(&pieces)).unwrap_or(0);
            job.good_nm += of(&good);
            job.slug_nm += of(&slug);
            job.head_nm += of(&head);
            job.tail_nm += of(&tail);
            job.mass_mg += profile.map_or(0, |p| p.coated_mass.of(Length::from_nm(strip)).mg());
            job.time_ns += of(&time);
        }
    }
    jobs
}

fn waived(jobs: &[Job], waived: &[(&Waiver, &Diagnostic)]) -> Vec<WaivedReport> {
    let mut by_waiver: BTreeMap<(u32, u32), WaivedReport> = BTreeMap::new();
    for (waiver, found) in waived {
        by_waiver
            .entry((waiver.span.file.0, waiver.span.start))
            .or_insert_with(|| WaivedReport {
                job: jobs
                    .iter()
                    .find(|job| job.waivers.contains(waiver))
                    .map_or_else(String::new, |job| job.name.to_string()),
                rule: waiver.rule.to_string(),
                frame: waiver.frame.as_ref().map(ToString::to_string),
                mark: waiver.mark.as_ref().map(ToString::to_string),
                reference: waiver.reference.to_string(),
                by: waiver.by.to_string(),
                messages: Vec::new(),
            })
            .messages
            .push(found.message.clone());
    }
    by_waiver.into_values().collect()
}
