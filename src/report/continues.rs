//! What a batch goes on from, where it is the rest of another.

use schemars::JsonSchema;
use serde::Serialize;

/// A run that was stopped, and what this batch does about it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Continues {
    /// Name of the batch that was running.
    pub batch: String,
    /// Identity of the program that was running.
    pub program: String,
    /// The last good piece that dropped.
    pub after: StoodPiece,
    /// Who said how far it has come.
    pub said_by: String,
    /// When: text from the file.
    pub said_on: String,
    /// Whether it is known where the strip stands.
    pub position_kept: bool,
    /// How many pieces need not be made again, those to be finished among them.
    pub done: usize,
    /// The program that finishes what was begun, and its file; none where nothing is finished.
    pub finish: Option<FinishReport>,
    /// Of the pieces to be finished: those whose mark was being printed when the line stopped.
    pub half_printed: Vec<StoodPiece>,
    /// Pieces that were begun and are made again.
    pub scrapped: Vec<StoodPiece>,
    /// Pieces cut that are no good and are made again.
    pub again: Vec<StoodPiece>,
    /// From its edge on, how much strip may bear strokes when the first run begins.
    pub marked_nm: i64,
}

/// A program that finishes what another began.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FinishReport {
    /// Identity.
    pub program: String,
    /// File; the first of them where it lies in several.
    pub file: String,
    /// The files behind the first, in their order, where it lies in several.
    pub more_files: Vec<String>,
    /// What drops, in order; scrap that makes a clean edge behind it not counted.
    pub pieces: Vec<StoodPiece>,
}

/// A piece of the batch before.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StoodPiece {
    /// Its number there.
    pub serial: u32,
    /// Job.
    pub job: String,
    /// Frame.
    pub frame: String,
    /// Which copy of the frame, from 1.
    pub copy: u32,
    /// Mark.
    pub mark: String,
}
