//! Members that are alike, wherever they are wanted: one drawing for all of them.

use super::names::Names;
use crate::library::model::Library;
use crate::member::hash::content_hash;
use crate::member::model::{Frame, Job, Member, Shape};
use crate::report::words;
use std::collections::BTreeMap;

/// A member and where it is wanted.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// Of which job.
    pub job: &'a Job,
    /// In which frame.
    pub frame: &'a Frame,
    /// The member.
    pub member: &'a Member,
}

/// Members that are alike.
#[derive(Clone, Debug)]
pub struct Part<'a> {
    /// Name of its file, without its ending: of letters that every system takes.
    pub stem: String,
    /// How they are made.
    pub shape: &'a Shape,
    /// Which, in the order of the jobs.
    pub wanted: Vec<Wanted<'a>>,
}

impl Part<'_> {
    /// How many pieces are wanted in all.
    pub fn pieces(&self) -> usize {
        let each = |one: &Wanted<'_>| {
            let pieces = u64::from(one.frame.quantity) * u64::from(one.member.quantity);
            usize::try_from(pieces).unwrap_or(usize::MAX)
        };
        self.wanted.iter().map(each).fold(0, usize::saturating_add)
    }

    /// What they are for, each once.
    pub fn usages(&self) -> Vec<&'static str> {
        let mut usages = Vec::new();
        for one in &self.wanted {
            let word = words::usage(one.member.usage);
            if !usages.contains(&word) {
                usages.push(word);
            }
        }
        usages
    }
}

/// The members picked, alike ones together, in the order they first come.
pub fn parts<'a>(
    jobs: &'a [Job],
    library: &Library,
    picked: impl Fn(&Wanted<'a>) -> bool,
) -> Vec<Part<'a>> {
    let mut numbers: BTreeMap<[u8; 16], usize> = BTreeMap::new();
    let mut parts: Vec<Part<'a>> = Vec::new();
    let mut names = Names::default();
    for job in jobs {
        for (frame, member) in job.members() {
            let wanted = Wanted { job, frame, member };
            if !picked(&wanted) {
                continue;
            }
            let shape: &Shape = &member.shape;
            let profile = library.profile(shape.profile).map_or("", |p| &p.name);
            let kind = |id| library.feature(id).map_or("", |kind| &*kind.name);
            let number = *numbers.entry(content_hash(shape, profile, kind)).or_insert_with(|| {
                let stem = names.free(&[&job.name, &frame.name, &member.mark]);
                parts.push(Part { stem, shape, wanted: Vec::new() });
                parts.len() - 1
            });
            if let Some(part) = parts.get_mut(number) {
                part.wanted.push(wanted);
            }
        }
    }
    parts
}
