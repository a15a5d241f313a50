//! Checks that need no line: the detailer may have none.
//!
//! One check a file. Each looks at one [`Shape`] at a time, so a shape shared by a hundred members
//! is looked at once, and what is found is told once with all their marks.
//!
//! | file | code | finds |
//! |---|---|---|
//! | `outside_member` | E0401 | a feature that is not wholly on its member |
//! | `off_face` | E0402 | a feature wider than, or off, its face |
//! | `no_such_face` | E0403 | a feature on a face the section does not have |
//! | `reversed_range` | E0404 | a range that ends before it begins |
//! | `overlapping` | E0405 | two features that spoil each other |
//! | `too_close` | W0406 | holes with too little steel between them |
//! | `near_edge` | W0407 | a hole too near an end or a free edge |
//! | `near_bend` | W0408 | a hole in, or too near, a bend |
//! | `small_hole` | W0409 | a hole too small to punch |
//! | `end_shaped_twice` | W0410 | two shapes for one end |
//! | `limits/` | W0411–W0415, N0416 | what the rule sets in force limit |
//! | `waivers` | W0420, E0421, E0422 | waivers that meet nothing, or may not be |
//! | here | E0423 | more than anybody would read |

mod end_shaped_twice;
mod face;
mod limits;
mod marks;
mod near_bend;
mod near_edge;
mod no_such_face;
mod off_face;
mod outline;
mod outside_member;
mod overlapping;
mod reversed_range;
mod small_hole;
mod subject;
mod too_close;
mod waivers;

use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::member::E0423;
use crate::library::model::Library;
use crate::member::model::{Job, Shape, Usage};
use crate::quantity::Span;
use marks::Wearer;
use std::collections::BTreeMap;
use std::sync::Arc;
use subject::{Found, Subject};

/// What the checks found.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Findings {
    /// What nobody has taken responsibility for.
    pub diagnostics: Vec<Diagnostic>,
    /// What somebody has: shown once in the report, by waiver.
    pub waived: Vec<Waived>,
}

/// A finding someone has taken responsibility for.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Waived {
    /// Index of the job.
    pub job: usize,
    /// Index of the waiver in its job.
    pub waiver: usize,
    /// What it waives.
    pub diagnostic: Diagnostic,
}

/// Checks every member of these jobs against their profiles, each other's features on the same
/// member, and the rule sets in force.
pub fn check(jobs: &[Job], library: &Library) -> Findings {
    let mut collected = Collected::default();
    let mut seen: BTreeMap<(*const Shape, Usage), usize> = BTreeMap::new();
    let mut results: Vec<Vec<usize>> = Vec::new();
    for (job_index, job) in jobs.iter().enumerate() {
        for (frame_index, frame) in job.frames.iter().enumerate() {
            for (member_index, member) in frame.members.iter().enumerate() {
                if collected.left_out.is_some() {
                    continue; // refused already; nobody reads more
                }
                // Rules may go by usage, so the same shape is another subject as another usage.
                let key = (Arc::as_ptr(&member.shape), member.usage);
                let result = *seen.entry(key).or_insert_with(|| {
                    let found = look(&member.shape, member.usage, library);
                    results.push(found.into_iter().filter_map(|f| collected.place(f)).collect());
                    results.len() - 1
                });
                let wearer = Wearer { job: job_index, frame: frame_index, member: member_index };
                for &index in results.get(result).into_iter().flatten() {
                    collected.add(index, wearer);
                }
            }
        }
    }
    let refused = collected.too_many();
    let mut findings = waivers::settle(jobs, library, collected.entries);
    findings.diagnostics.extend(refused);
    findings
}

/// Everything there is to find about one shape.
fn look(shape: &Shape, usage: Usage, library: &Library) -> Vec<Found> {
    let Some(mut subject) = Subject::new(shape, usage, library) else { return Vec::new() };
    no_such_face::look(&mut subject);
    reversed_range::look(&mut subject);
    outside_member::look(&mut subject);
    off_face::look(&mut subject);
    // What the first four refused is left out of the rest: one mistake, one finding.
    overlapping::look(&mut subject);
    too_close::look(&mut subject);
    near_edge::look(&mut subject);
    near_bend::look(&mut subject);
    small_hole::look(&mut subject);
    end_shaped_twice::look(&mut subject);
    limits::look(&mut subject);
    subject.into_found()
}

/// Findings with everybody they concern. The same finding from two shapes (one recipe, two
/// lengths) is one.
#[derive(Default)]
struct Collected {
    entries: Vec<(Found, Vec<Wearer>)>,
    index: BTreeMap<subject::Key, usize>,
    /// Where the first stands that is not kept.
    left_out: Option<Span>,
}

/// Most different findings of all members together. Nobody reads more, and each takes room.
const MOST: usize = 50_000;

impl Collected {
    /// The number of this finding; `None` when there are too many already.
    fn place(&mut self, found: Found) -> Option<usize> {
        let key = found.key();
        if let Some(&known) = self.index.get(&key) {
            return Some(known);
        }
        let index = self.entries.len();
        if index == MOST {
            self.left_out.get_or_insert(found.span);
            return None;
        }
        self.index.insert(key, index);
        self.entries.push((found, Vec::new()));
        Some(index)
    }
    /// An error where not everything was kept: what nobody was told, nobody has accepted.
    fn too_many(&self) -> Option<Diagnostic> {
        let span = self.left_out?;
        Some(
            Diagnostic::new(&E0423, format!("the checks have more than {MOST} different findings"))
                .at(span, "from here on nothing is checked")
                .note("nothing is made from members whose findings nobody has read")
                .help("correct what the first findings have in common, and check again"),
        )
    }
    fn add(&mut self, index: usize, wearer: Wearer) {
        if let Some((_, wearers)) = self.entries.get_mut(index) {
            wearers.push(wearer);
        }
    }
}
