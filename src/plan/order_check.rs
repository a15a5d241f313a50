//! The order of the pieces that is really made, held against what the batch asks for: reckoned
//! from the pieces alone, after everything that moves them.

use super::bound_shapes::BoundProfile;
use super::model::{Inputs, PieceRef};
use super::nesting::RunDraft;
use super::pieces::Pieces;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::stock::E0604;
use crate::library::model::Bundling;
use crate::member::model::ProfileId;
use crate::sequence::Laid;
use std::collections::{BTreeMap, BTreeSet};

/// A frame, and which of its copies.
type FrameKey = (u32, u32, u32);

fn key(piece: &PieceRef) -> FrameKey {
    (piece.job, piece.frame, piece.copy)
}

/// Where the runs, in their order, break the order of jobs, or leave more frames unfinished than
/// may be.
pub(super) fn broken(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    drafts: &[RunDraft],
) -> Option<Diagnostic> {
    let why = drafts.chunk_by(|a, b| a.profile == b.profile).find_map(|runs| {
        let wanted = wanted(pieces, runs.first()?.profile);
        let made = runs.iter().flat_map(|run| &run.pieces);
        one_profile(inputs, wanted, made.filter_map(|&piece| pieces.all.get(piece as usize)))
    })?;
    Some(
        Diagnostic::new(&E0604, format!("the order of pieces breaks the batch's: {why}"))
            .help("report this with the batch; nothing was made from it"),
    )
}

/// Whether a profile that lies so on its coils, in their order, keeps to what the batch asks for.
pub(super) fn keeps_order(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    of: &BoundProfile,
    laid: &[(usize, Laid)],
) -> bool {
    let made = laid.iter().flat_map(|(_, laid)| &laid.pieces);
    let drawn = made.filter_map(|&piece| of.pieces.get(of.sequenced().drawn(piece).0 as usize));
    let made = drawn.filter_map(|&piece| pieces.all.get(piece as usize));
    one_profile(inputs, wanted(pieces, of.profile), made).is_none()
}

/// How many pieces of each frame are to be made of a profile.
fn wanted(pieces: &Pieces<'_>, profile: ProfileId) -> BTreeMap<FrameKey, usize> {
    let mut wanted: BTreeMap<FrameKey, usize> = BTreeMap::new();
    for (piece, &shape) in pieces.all.iter().zip(&pieces.shape_of) {
        let shape = pieces.shapes.get(shape as usize);
        if shape.is_some_and(|(shape, _)| shape.profile == profile) {
            *wanted.entry(key(piece)).or_default() += 1;
        }
    }
    wanted
}

fn one_profile<'p>(
    inputs: &Inputs<'_>,
    mut left: BTreeMap<FrameKey, usize>,
    made: impl Iterator<Item = &'p PieceRef>,
) -> Option<String> {
    let mut begun = BTreeSet::new();
    for piece in made {
        // Keys begin with the job: the first is of the oldest job that is not done.
        let oldest = left.first_key_value().map_or(piece.job, |(key, _)| key.0);
        if let Some(places) = inputs.batch.order.reach()
            && u64::from(piece.job) > u64::from(oldest) + places as u64
        {
            return Some(format!("job {} is begun while job {oldest} is not done", piece.job));
        }
        begun.insert(key(piece));
        if let Bundling::Open(most) = inputs.batch.bundling
            && begun.len() > most
        {
            return Some(format!("{} frames are begun and not finished, not {most}", begun.len()));
        }
        let count = left.get_mut(&key(piece))?;
        *count = count.saturating_sub(1);
        if *count == 0 {
            left.remove(&key(piece));
            begun.remove(&key(piece));
        }
    }
    None
}
