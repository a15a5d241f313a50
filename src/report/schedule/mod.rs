//! The member and frame schedule: what each frame is made of, frame after frame as the drawings
//! have them, and which pieces these become.

pub mod csv;
mod sheet;

pub use sheet::sheet;

use crate::member::model::{EndShape, Frame, Job, Member};
use crate::plan::{Inputs, Plan};
use crate::quantity::{Length, Mass};
use crate::report::words;
use std::collections::BTreeMap;

/// The frames of a batch, jobs in its order.
pub struct Schedule<'a> {
    /// In the order of the drawings.
    pub frames: Vec<FrameEntry<'a>>,
}

/// One frame, all its copies.
pub struct FrameEntry<'a> {
    /// Its job.
    pub job: &'a Job,
    /// The frame.
    pub frame: &'a Frame,
    /// Its members, as drawn.
    pub members: Vec<MemberEntry<'a>>,
}

/// One member of a frame.
pub struct MemberEntry<'a> {
    /// The member.
    pub member: &'a Member,
    /// Its profile.
    pub profile: &'a str,
    /// How many features it has of each type, by name.
    pub features: Vec<(&'a str, usize)>,
    /// Coated mass of one piece, holes not taken off; `None` where the profile is not known.
    pub mass: Option<Mass>,
    /// Serials of its pieces in this batch, by copy of the frame.
    pub serials: Vec<Vec<u32>>,
}

impl MemberEntry<'_> {
    /// Pieces of it that this batch makes.
    pub fn pieces(&self) -> usize {
        self.serials.iter().map(Vec::len).sum()
    }
    /// Words for its ends where they are not square.
    pub fn ends(&self) -> Vec<String> {
        [("start", self.member.shape.start), ("end", self.member.shape.end)]
            .into_iter()
            .filter(|(_, shape)| *shape != EndShape::Square)
            .map(|(which, shape)| format!("{which} {}", words::end_shape(shape)))
            .collect()
    }
}

impl<'a> Schedule<'a> {
    /// Of a plan.
    pub fn of(inputs: &Inputs<'a>, plan: &Plan) -> Schedule<'a> {
        let mut serials: BTreeMap<(u32, u32, u32), BTreeMap<u32, Vec<u32>>> = BTreeMap::new();
        for piece in plan.runs.iter().flat_map(|run| &run.pieces) {
            let of = piece.member;
            let copies = serials.entry((of.job, of.frame, of.member)).or_default();
            copies.entry(of.copy).or_default().push(piece.serial.0);
        }
        let number = |i: usize| u32::try_from(i).unwrap_or(u32::MAX);
        let mut frames = Vec::new();
        for (j, job) in inputs.jobs.iter().enumerate() {
            for (f, frame) in job.frames.iter().enumerate() {
                let members = frame.members.iter().enumerate().map(|(m, member)| {
                    let made = serials.get(&(number(j), number(f), number(m)));
                    let of_copy = |copy| {
                        let mut of = made.and_then(|made| made.get(&copy)).cloned();
                        of.iter_mut().for_each(|serials| serials.sort_unstable());
                        of.unwrap_or_default()
                    };
                    entry(inputs, member, (0..frame.quantity).map(of_copy).collect())
                });
                frames.push(FrameEntry { job, frame, members: members.collect() });
            }
        }
        Schedule { frames }
    }
}

fn entry<'a>(inputs: &Inputs<'a>, member: &'a Member, serials: Vec<Vec<u32>>) -> MemberEntry<'a> {
    let profile = inputs.library.profile(member.shape.profile);
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for feature in &member.shape.features {
        let name = inputs.library.feature(feature.kind).map_or("feature", |kind| &*kind.name);
        *kinds.entry(name).or_insert(0) += 1;
    }
    MemberEntry {
        member,
        profile: profile.map_or("", |profile| &*profile.name),
        features: kinds.into_iter().collect(),
        mass: profile.map(|profile| profile.coated_mass.of(member.shape.length)),
        serials,
    }
}

/// Pieces, finished length and coated mass of some members, as far as it is known.
fn total<'a>(members: impl Iterator<Item = &'a MemberEntry<'a>>) -> (usize, Length, Mass) {
    members.fold((0, Length::ZERO, Mass::ZERO), |(pieces, length, mass), entry| {
        let n = entry.pieces();
        let times = |one: i64| one.saturating_mul(i64::try_from(n).unwrap_or(i64::MAX));
        let of = entry.member.shape.length.nm();
        let heavy = entry.mass.unwrap_or_default().mg();
        (
            pieces + n,
            Length::from_nm(length.nm().saturating_add(times(of))),
            Mass::from_mg(mass.mg().saturating_add(times(heavy))),
        )
    })
}
