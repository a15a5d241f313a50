use super::model::PieceRef;
use crate::member::model::{Job, ProfileId, Shape};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Every piece of a batch, with its shape by number.
pub(super) struct Pieces<'a> {
    /// By job, frame, copy, member as written.
    pub all: Vec<PieceRef>,
    /// Shape of each piece: index into `shapes`.
    pub shape_of: Vec<u32>,
    /// Distinct shapes, with the first member that has each.
    pub shapes: Vec<(&'a Arc<Shape>, PieceRef)>,
}

/// Lists the pieces of all jobs.
pub(super) fn collect(jobs: &[Job]) -> Pieces<'_> {
    let mut pieces = Pieces { all: Vec::new(), shape_of: Vec::new(), shapes: Vec::new() };
    // Members made alike share one allocation; the address only finds it again.
    let mut known: BTreeMap<*const Shape, u32> = BTreeMap::new();
    for (j, job) in (0_u32..).zip(jobs) {
        for (f, frame) in (0_u32..).zip(&job.frames) {
            for copy in 0..frame.quantity {
                for (m, member) in (0_u32..).zip(&frame.members) {
                    let piece = PieceRef { job: j, frame: f, copy, member: m };
                    let shape = *known.entry(Arc::as_ptr(&member.shape)).or_insert_with(|| {
                        pieces.shapes.push((&member.shape, piece));
                        u32::try_from(pieces.shapes.len() - 1).unwrap_or(u32::MAX)
                    });
                    for _ in 0..member.quantity {
                        pieces.all.push(piece);
                        pieces.shape_of.push(shape);
                    }
                }
            }
        }
    }
    pieces
}

/// Profiles in the order in which they first occur.
pub(super) fn profiles(pieces: &Pieces<'_>) -> Vec<ProfileId> {
    let mut profiles: Vec<ProfileId> = Vec::new();
    for (shape, _) in &pieces.shapes {
        if !profiles.contains(&shape.profile) {
            profiles.push(shape.profile);
        }
    }
    profiles
}
