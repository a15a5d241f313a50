//! How much a job may ask for: text that explodes is refused, never waited for.

/// Recipes within recipes, and blocks and brackets within each other.
pub(super) const DEPTH: u32 = 200;
/// Files that include files.
pub(super) const INCLUDE_DEPTH: usize = 32;
/// Files read in one run, all jobs together.
pub(super) const FILES: usize = 4_096;
/// Items of a list.
pub(super) const LIST: usize = 10_000;
/// Features of one member, one for each place and face width.
pub(super) const FEATURES_OF_A_MEMBER: usize = 10_000;
/// Features of all shapes of a run: keeps memory in bounds (300 houses need about two million).
pub(super) const FEATURES: usize = 4_000_000;
/// Marks of a job.
pub(super) const MARKS_OF_A_JOB: usize = 100_000;
/// Pieces of a job, over all quantities.
pub(super) const PIECES: u64 = 1_000_000_000;
/// Evaluation steps for one member.
pub(super) const STEPS_OF_A_MEMBER: u64 = 1_000_000;
/// Evaluation steps of a run: a house of 950 members takes some tens of thousands.
pub(super) const STEPS: u64 = 50_000_000;
/// Greatest magnitude of rise and run of a slope, in lowest terms.
pub(super) const SLOPE: i128 = 1_000_000;
/// Constants and parameters known at one place, apart from those of whole files.
pub(super) const LOCALS: usize = 1_000;
/// Circles of recipes that are reported.
pub(super) const CIRCLES: usize = 20;
