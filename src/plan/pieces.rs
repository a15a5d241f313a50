use super::model::PieceRef;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::stock::E0606;
use crate::library::model::Done;
use crate::member::model::{Frame, Job, Member, ProfileId, Shape};
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

/// Most pieces one batch is planned for: five hundred houses. Each is placed, printed and judged
/// by itself, in about three kilobytes, so a slip in a quantity must not fill the machine's memory.
const MOST: u64 = 500_000;

/// A batch of more pieces than are planned at once, told at the member that asks for most.
pub(super) fn too_many(jobs: &[Job]) -> Option<Diagnostic> {
    let count = |frame: &Frame, member: &Member| {
        u64::from(frame.quantity).saturating_mul(u64::from(member.quantity))
    };
    let members = || jobs.iter().flat_map(Job::members);
    let all = members().fold(0_u64, |sum, (f, m)| sum.saturating_add(count(f, m)));
    if all <= MOST {
        return None;
    }
    let (frame, most) = members().max_by_key(|(frame, member)| count(frame, member))?;
    Some(
        Diagnostic::new(
            &E0606,
            format!("the batch asks for {all} pieces; {MOST} are planned at once"),
        )
        .at(most.span, format!("{} of them here, in frame {}", count(frame, most), frame.name))
        .note("no shift makes that many: most likely a quantity has a digit too many")
        .help("check the quantities, or spread the jobs over several batches"),
    )
}

/// Lists the pieces of all jobs but those that are done.
pub(super) fn collect<'a>(jobs: &'a [Job], done: &Done) -> Pieces<'a> {
    let mut left_out: BTreeMap<(&str, &str, u32, &str), u32> = BTreeMap::new();
    for piece in &done.pieces {
        let key = (&*piece.job, &*piece.frame, piece.copy, &*piece.mark);
        *left_out.entry(key).or_default() += 1;
    }
    let mut pieces = Pieces { all: Vec::new(), shape_of: Vec::new(), shapes: Vec::new() };
    // Members made alike share one allocation; the address only finds it again.
    let mut known: BTreeMap<*const Shape, u32> = BTreeMap::new();
    for (j, job) in (0_u32..).zip(jobs) {
        for (f, frame) in (0_u32..).zip(&job.frames) {
            for copy in 0..frame.quantity {
                for (m, member) in (0_u32..).zip(&frame.members) {
                    let piece = PieceRef { job: j, frame: f, copy, member: m };
                    let key = (&*job.name, &*frame.name, copy + 1, &*member.mark);
                    let done = left_out.get(&key).copied().unwrap_or(0).min(member.quantity);
                    if done == member.quantity {
                        continue;
                    }
                    let shape = *known.entry(Arc::as_ptr(&member.shape)).or_insert_with(|| {
                        pieces.shapes.push((&member.shape, piece));
                        u32::try_from(pieces.shapes.len() - 1).unwrap_or(u32::MAX)
                    });
                    for _ in done..member.quantity {
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
