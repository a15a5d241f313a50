use super::least::Proof;
use crate::dialect::files::RunFile;
use crate::dialect::{Invertible, Printed};
use crate::library::model::{Batch, Calibration, Coil, Library, Line, Stock};
use crate::member::model::{Frame, Job, Member, ProfileId, Shape};
use crate::program::{Program, Serial, StripAccount};
use crate::quantity::{Advance, Length, Mass, Strip, Time};
use crate::replay::Verdict;
use crate::sequence::{self, Moment, RunBound, TimeBreakdown};
use std::sync::Arc;

/// What a plan is made from.
#[derive(Clone, Copy)]
pub struct Inputs<'a> {
    /// What is wanted of the batch as a whole.
    pub batch: &'a Batch,
    /// Profiles, feature types, rules.
    pub library: &'a Library,
    /// The line.
    pub line: &'a Line,
    /// What was measured on it.
    pub calibration: &'a Calibration,
    /// The rack.
    pub stock: &'a Stock,
    /// How the controller reads programs.
    pub dialect: &'a Invertible,
    /// What is to be made, jobs in the order of the batch.
    pub jobs: &'a [Job],
}

/// How to plan.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Options {
    /// Work ticks for nesting.
    pub ticks: u64,
    /// Threads; without effect on the result.
    pub threads: usize,
}

/// Who is asked whether to go on, and told how far the work is.
pub trait Watch: Sync {
    /// Whether to stop.
    fn stopped(&self) -> bool;
    /// `done` of `of` parts of a stage.
    fn tell(&self, stage: &'static str, done: usize, of: usize);
}

/// Nobody watches.
impl Watch for () {
    fn stopped(&self) -> bool {
        false
    }
    fn tell(&self, _: &'static str, _: usize, _: usize) {}
}

/// Which member of the jobs a piece is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct PieceRef {
    /// Job.
    pub job: u32,
    /// Frame in the job.
    pub frame: u32,
    /// Which of the frame's copies.
    pub copy: u32,
    /// Member in the frame.
    pub member: u32,
}

impl PieceRef {
    /// The job, frame and member it names.
    pub fn of<'a>(&self, jobs: &'a [Job]) -> Option<(&'a Job, &'a Frame, &'a Member)> {
        let job = jobs.get(self.job as usize)?;
        let frame = job.frames.get(self.frame as usize)?;
        Some((job, frame, frame.members.get(self.member as usize)?))
    }
}

/// One piece in a run.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlannedPiece {
    /// Its number.
    pub serial: Serial,
    /// Which member it is.
    pub member: PieceRef,
    /// How it is made.
    pub shape: Arc<Shape>,
    /// Whether it is made turned end for end: its end leaves the line first.
    pub turned: bool,
    /// What is printed on it; `None` where it leaves blank.
    pub mark: Option<Arc<str>>,
    /// Where it starts on the strip, in the middle of the web.
    pub start: Strip,
    /// Where it is cut.
    pub cut: Advance,
}

/// One coil's run after one thread-up.
#[derive(Clone, Debug)]
pub struct Run {
    /// Profile it makes.
    pub profile: ProfileId,
    /// The coil as it was when the run began.
    pub coil: Coil,
    /// Pieces in order.
    pub pieces: Vec<PlannedPiece>,
    /// Where the first good piece starts.
    pub head: Length,
    /// The program.
    pub program: Program,
    /// As the controller reads it, whole, with record blocks.
    pub printed: Printed,
    /// The files it goes to the controller in: one, unless it takes no program as long.
    pub files: Vec<RunFile>,
    /// What the judge found when the printed bytes were read back and replayed.
    pub verdict: Verdict,
    /// Where the strip goes.
    pub account: StripAccount,
    /// Whether the coil stays threaded afterwards.
    pub stays: bool,
    /// Machine time, thread-up and set-up included, availability not.
    pub time: TimeBreakdown,
    /// Standstills.
    pub stops: usize,
    /// What no choice of stops can beat, the cuts as they are.
    pub bound: RunBound,
}

impl Run {
    /// When each of its events happens that the strip stands for, thread-up and set-up apart.
    pub fn moments(&self, line: &Line) -> Vec<Moment> {
        sequence::moments(line, &self.program)
    }
}

/// Strip that is missing.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Shortage {
    /// Strip for the members that no coil is left for, slugs included.
    pub strip: Length,
    /// Its coated mass.
    pub mass: Mass,
    /// How many pieces these are.
    pub pieces: usize,
}

/// Strip used up, and each coil loaded counted as so much as the batch says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Worth {
    /// What the plan comes to.
    pub plan: Length,
    /// What every plan comes to at least.
    pub bound: Length,
}

/// What one profile comes to.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ProfilePlan {
    /// Which.
    pub profile: ProfileId,
    /// Pieces planned.
    pub pieces: usize,
    /// Strip used up: what was on the coils less what goes back.
    pub used: Length,
    /// Whether profiles before it have used coils that fit it: the bound is then for what they
    /// left on the rack.
    pub on_leftovers: bool,
    /// What no plan can beat; `None` where stock is short, for then nothing is bounded.
    pub bound: Option<Length>,
    /// The same with each coil that is loaded counted as so much strip, where the batch says that
    /// it is worth some.
    pub worth: Option<Worth>,
    /// Bounds that were proved again from their certificates.
    pub proofs: Vec<Proof>,
    /// Strip that is missing.
    pub shortage: Option<Shortage>,
    /// Whether the search was ended early by the watch.
    pub cut_short: bool,
}

/// What comes out of planning.
#[derive(Clone, Debug)]
pub struct Plan {
    /// By profile, in the order they are made.
    pub profiles: Vec<ProfilePlan>,
    /// Runs in the order they are made.
    pub runs: Vec<Run>,
    /// Coils this batch used or took out of the line, as it leaves them.
    pub rack: Vec<Coil>,
    /// What the line is set up for, one after the other.
    pub set_ups: Vec<SetUpStep>,
    /// Whether no order of its profiles takes less time to set up.
    pub least_set_up: bool,
}

/// Machine time of a plan.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct MachineTime {
    /// By cause.
    pub parts: TimeBreakdown,
    /// Over the line's availability.
    pub planned: Time,
}

impl Plan {
    /// Where all the strip goes.
    pub fn account(&self) -> StripAccount {
        self.runs.iter().fold(StripAccount::default(), |sum, run| sum.plus(&run.account))
    }
    /// Machine time of all runs.
    pub fn time(&self, line: &Line) -> MachineTime {
        let parts = self.runs.iter().fold(TimeBreakdown::default(), |sum, run| sum.plus(&run.time));
        MachineTime { parts, planned: parts.total().scaled_up(1000, line.availability.max(1)) }
    }
}

/// One profile after another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SetUpStep {
    /// What the line was set up for, where that is known.
    pub from: Option<ProfileId>,
    /// What it is set up for.
    pub to: ProfileId,
    /// Time it takes; nothing where it is set up so already.
    pub time: Time,
}

/// The first run of a profile pays for setting the line up. Where the batch does not say what
/// that is set up for, it is the profile of the coil in it.
pub(super) fn attach_set_ups(inputs: &Inputs<'_>, runs: &mut [Run]) -> Vec<SetUpStep> {
    let warm = runs.first().filter(|run| run.program.warm).map(|run| run.profile);
    let mut now = inputs.batch.set_up_now.or(warm);
    let mut steps: Vec<SetUpStep> = Vec::new();
    for run in runs {
        if steps.last().is_some_and(|step| step.to == run.profile) {
            continue;
        }
        run.time.set_up = inputs.line.set_up_time(now, run.profile);
        steps.push(SetUpStep { from: now, to: run.profile, time: run.time.set_up });
        now = Some(run.profile);
    }
    steps
}
