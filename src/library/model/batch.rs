use super::done::Done;
use super::label::LabelLayouts;
use crate::member::model::ProfileId;
use crate::quantity::{Length, Time};
use std::sync::Arc;

/// What stays together.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Bundling {
    /// The members of a frame follow each other on one coil wherever one coil can hold them.
    Frame,
    /// So many frames at most are begun and not finished at any time; their members may be made
    /// in any order, on one coil or on several.
    Open(usize),
    /// Members may come in any order.
    None,
}

/// In which order jobs are made.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum JobOrder {
    /// As the batch lists them: a later job never starts before an earlier one is done.
    AsListed,
    /// A job may be begun so many places early at most: one of rank r not before every job of a
    /// rank less than r − N is done.
    Window(usize),
    /// Any.
    Free,
}

impl JobOrder {
    /// How many places early a job may be begun; `None` for any number.
    pub const fn reach(self) -> Option<usize> {
        match self {
            JobOrder::AsListed => Some(0),
            JobOrder::Window(places) => Some(places),
            JobOrder::Free => None,
        }
    }
    /// Whether a job of rank `job` may be begun while one of rank `oldest` is the first that is
    /// not done.
    pub fn allows(self, job: usize, oldest: usize) -> bool {
        self.reach().is_none_or(|places| job <= oldest.saturating_add(places))
    }
}

/// How hard to look, in work ticks: never in seconds.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Effort {
    /// Work ticks to spend.
    pub ticks: u64,
}

impl Effort {
    /// Good first plan.
    pub const QUICK: Effort = Effort { ticks: 20_000 };
    /// The default.
    pub const NORMAL: Effort = Effort { ticks: 400_000 };
    /// For the last metre.
    pub const THOROUGH: Effort = Effort { ticks: 8_000_000 };
}

/// What happens to the last coil when the batch is done.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AtEnd {
    /// It is parted and goes back to the rack.
    Unload,
    /// It stays threaded for the next batch.
    StayThreaded,
}

/// Units that papers and texts for people are written in. Files, programs and JSON have their own.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Units {
    /// Millimetres, metres, kilograms.
    #[default]
    Millimetres,
    /// Inches, feet, pounds.
    Inches,
}

/// What is to be made today, apart from the members themselves.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Batch {
    /// Its name: on every paper and program.
    pub name: Arc<str>,
    /// What stays together.
    pub bundling: Bundling,
    /// Order of jobs.
    pub order: JobOrder,
    /// Shortest remnant worth putting back on the rack.
    pub keep: Length,
    /// How much strip one coil change is worth.
    pub change_worth: Length,
    /// How hard to look.
    pub effort: Effort,
    /// What happens to the last coil.
    pub at_end: AtEnd,
    /// What the line is set up for when the batch begins, where the batch says so.
    pub set_up_now: Option<ProfileId>,
    /// What is printed on each piece: literal text with `{job}`, `{frame}`, `{mark}`.
    pub mark_text: Arc<str>,
    /// Machine time on offer, where the shop states it.
    pub shift: Option<Time>,
    /// What its papers are written in.
    pub units: Units,
    /// What of it need not be made any more.
    pub done: Done,
    /// How its labels are laid out.
    pub labels: LabelLayouts,
}
