use crate::library::model::{Calibration, Library, Line, StationId};
use crate::member::model::{ProfileId, Shape};
use crate::program::{Program, Serial};
use crate::quantity::Length;
use num_rational::BigRational;
use std::borrow::Cow;
use std::sync::Arc;

/// What the line ran: programs with the line and calibration they were made for.
#[derive(Debug)]
pub struct Ran<'a> {
    /// The line.
    pub line: &'a Line,
    /// Names of profiles and feature types.
    pub library: &'a Library,
    /// The calibration the programs were made with.
    pub calibration: &'a Calibration,
    /// The programs.
    pub programs: Vec<RanProgram<'a>>,
}

/// One program that was run.
#[derive(Debug)]
pub struct RanProgram<'a> {
    /// As read back from its bytes.
    pub program: Program,
    /// The profile it makes.
    pub profile: ProfileId,
    /// Its pieces.
    pub pieces: Vec<RanPiece<'a>>,
}

/// One piece of a program.
#[derive(Clone, Debug)]
pub struct RanPiece<'a> {
    /// Its number.
    pub serial: Serial,
    /// Job.
    pub job: Arc<str>,
    /// Frame.
    pub frame: Arc<str>,
    /// Which copy of the frame, from 1.
    pub copy: u32,
    /// Mark.
    pub mark: Arc<str>,
    /// As drawn, seen from the end that came off first: turned where it was made end first.
    pub shape: Cow<'a, Shape>,
}

/// What can make pieces wrong in a regular way.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Cause {
    /// A station stands elsewhere than the calibration says.
    Station(StationId),
    /// Strip of a profile is longer or shorter per finished length.
    Strip(ProfileId),
    /// A cut leaves pieces longer or shorter by the same amount, whatever their length.
    Cut,
}

/// What became of a cause.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Verdict {
    /// The new calibration differs in it.
    Changes,
    /// It differs by less than its uncertainty, and stays.
    Stays,
    /// One reading alone speaks of it, and it stays.
    Unchecked,
    /// It is off, and no calibration holds it: the cut.
    Elsewhere,
}

/// A figure of a cause. Stations and the cut: lengths in nanometres; strip: parts in 10⁹.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Finding {
    /// What.
    pub cause: Cause,
    /// In the calibration the programs were made with; the slug for the cut.
    pub was: i64,
    /// In the new calibration.
    pub now: i64,
    /// By how much the readings say it differs, to the nearest whole.
    pub differs: i64,
    /// How far that may be off at [`Proposal::coverage`], rounded up.
    pub uncertainty: i64,
    /// What became of it.
    pub verdict: Verdict,
}

/// What is proposed.
#[derive(Clone, PartialEq, Debug)]
pub struct Proposal {
    /// The new calibration; `None` where nothing changes.
    pub calibration: Option<Calibration>,
    /// What was found, strip first, then stations, then the cut.
    pub findings: Vec<Finding>,
    /// Standard uncertainties in each uncertainty.
    pub coverage: BigRational,
    /// How many readings there were.
    pub readings: usize,
    /// How many pieces they are of.
    pub pieces: usize,
    /// How many readings more than causes.
    pub spare: usize,
    /// The largest residual that the proposal leaves: how much, and of which reading.
    pub worst: Option<(Length, String)>,
    /// By how much uncertainties were widened, in hundredths; 100 where readings agree as well
    /// as stated.
    pub widened: i64,
}
