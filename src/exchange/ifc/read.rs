//! A model as a job: assemblies are frames, extruded elements members, their openings features.

mod copies;
mod feature;
mod first_form;
mod frame;
mod material;
mod member;
mod opening;
mod others;
mod own;
mod place;
mod relations;
mod section;
mod size;
mod slope;

use super::fixed::Axes;
use super::model::{Model, Table};
use super::own::{JOB_SET, MEMBER_SET};
use super::section::Drawn;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::answer::Answer;
use crate::exchange::drawn::{DrawnFrame, DrawnJob, DrawnMember};
use crate::exchange::map::{self, Map};
use crate::exchange::step::{self, Entity};
use crate::exchange::{MOST_FINDINGS, stopped};
use crate::library::model::Library;
use crate::member::model::FrameKind;
use crate::quantity::{FileId, Length, Sources, Span};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// Classes that are members.
const MEMBERS: [&str; 8] = [
    "IFCMEMBER",
    "IFCBEAM",
    "IFCCOLUMN",
    "IFCPLATE",
    "IFCMEMBERSTANDARDCASE",
    "IFCBEAMSTANDARDCASE",
    "IFCCOLUMNSTANDARDCASE",
    "IFCPLATESTANDARDCASE",
];

/// Reads a model through a map. The library's profiles and feature types, where it is given, are
/// compared with what the model draws.
pub fn read(
    sources: &Sources,
    file: FileId,
    map: &Map,
    library: Option<&Library>,
) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
    let text = sources.get(file).map(|source| source.text().clone()).unwrap_or_default();
    let header = || {
        let at = text.find("FILE_SCHEMA").or_else(|| text.find("HEADER")).unwrap_or(0);
        let line = text.get(at..).and_then(|rest| rest.lines().next()).unwrap_or("");
        let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Span::new(file, place(at), place(at + line.len().max(1)))
    };
    let model = step::index(file, &text).and_then(|step| Model::open(step, header));
    let model = match model {
        Ok(model) => model,
        Err(refusal) => return (None, vec![*refusal]),
    };
    let round = map.ifc.as_ref().and_then(|ifc| ifc.round.as_ref());
    let mut reader = Reader {
        map,
        library,
        round: round.map(|at| i128::from(at.value.nm()).max(1)),
        name: map::short_name(sources, file),
        own: text.contains(MEMBER_SET) || text.contains(JOB_SET),
        says_status: text.contains("'Status'"),
        parents: Table::default(),
        openings: Table::default(),
        properties: Table::default(),
        job_sets: Vec::new(),
        typed: false,
        bare: Vec::new(),
        areas: Table::default(),
        identifiers: Table::default(),
        places: Table::default(),
        drawn_twice: Vec::new(),
        sections: Table::default(),
        found: Vec::new(),
        told: Table::default(),
        answer: Answer::default(),
        model,
    };
    reader.answer.file.clone_from(&reader.name);
    reader.answer.read = format!("{} instances", reader.model.step.count());
    let job = reader.job(file);
    if job.members().any(|(frame, _)| frame.kind != FrameKind::Loose) {
        reader.answer.remarks.push(
            "Where members stand in their frames is not taken: members text has no words for it."
                .into(),
        );
    }
    // What several members come by is told once.
    let mut told = BTreeSet::new();
    let first = |found: &Diagnostic| found.labels.first().map(|label| label.span);
    reader
        .found
        .retain(|found| told.insert((found.code.number, first(found), found.message.clone())));
    match reader.found.iter().any(Diagnostic::is_error) {
        true => (None, reader.found),
        false => (Some((job, reader.answer)), reader.found),
    }
}

/// What a section's definition came to: drawn, its axes, and the profile's name.
type Section = (Drawn, Axes, Arc<str>);

struct Reader<'a, 't> {
    map: &'a Map,
    library: Option<&'a Library>,
    /// What lengths and positions are rounded to, if the map says it.
    round: Option<i128>,
    name: String,
    /// Whether this program may have written the model.
    own: bool,
    /// Whether the model may say which members are there already.
    says_status: bool,
    model: Model<'t>,
    /// What each object is part of.
    parents: Table<u64, u64>,
    openings: Table<u64, Vec<u64>>,
    /// Sets of our own properties of each object, and of the project.
    properties: Table<u64, Vec<u64>>,
    job_sets: Vec<u64>,
    /// Whether such a set is of the form that has one at the project too.
    typed: bool,
    /// Members without such a set, where others have one.
    bare: Vec<u64>,
    /// The section's definition of each member.
    areas: Table<u64, u64>,
    /// Which member bears an identifier; where members of a mark lie.
    identifiers: Table<String, u64>,
    places: Table<(String, [i128; 3]), u64>,
    /// Members that are drawn again, each after the first.
    drawn_twice: Vec<(u64, u64)>,
    sections: Table<u64, Option<Section>>,
    found: Vec<Diagnostic>,
    /// Sizes of openings that were told already.
    told: Table<(bool, Length, Length), ()>,
    answer: Answer,
}

impl<'t> Reader<'_, 't> {
    fn job(&mut self, file: FileId) -> DrawnJob {
        self.relations();
        self.others();
        // Each assembly by itself: two of the same name and content are one frame, wanted twice.
        let mut frames: Vec<(Option<u64>, DrawnFrame)> = Vec::new();
        let mut by_assembly: Table<Option<u64>, usize> = Table::default();
        let mut marks: Table<(usize, String), usize> = Table::default();
        self.other_openings();
        let mut members = Vec::new();
        for kind in MEMBERS {
            let ids = self.model.step.of(kind);
            if self.is_left_out(kind) && !ids.is_empty() {
                self.answer.left_out.insert(format!("{kind}: {}", numbers(&ids)), ids.len());
            } else {
                members.extend(ids);
            }
        }
        members.sort_unstable();
        for id in members {
            if self.found.len() >= MOST_FINDINGS {
                stopped(&mut self.found, format!(" at #{id}"));
                break;
            }
            let assembly = self.assembly(id);
            let made = self.member(id);
            let member = match made {
                Ok(Some(member)) => member,
                Ok(None) => continue,
                Err(refusal) => {
                    self.found.push(*refusal);
                    continue;
                }
            };
            let f = match by_assembly.get(&assembly) {
                Some(&f) => f,
                None => {
                    let frame = self.frame(assembly);
                    by_assembly.insert(assembly, frames.len());
                    frames.push((assembly, frame));
                    frames.len() - 1
                }
            };
            let Some((_, frame)) = frames.get_mut(f) else { continue };
            let name = frame.name.clone();
            let known =
                marks.get(&(f, member.mark.clone())).and_then(|&m| frame.members.get_mut(m));
            match known {
                None => {
                    marks.insert((f, member.mark.clone()), frame.members.len());
                    frame.members.push(member);
                }
                Some(known) => {
                    if let Err(refusal) = again(known, &member, &self.model, id, &name) {
                        self.found.push(*refusal);
                    }
                }
            }
        }
        self.materials();
        self.statuses();
        self.tell_copies();
        let mut job = self.project();
        if self.own && !self.map.is_geometry_only() {
            self.tell_bare();
            job.waivers = self.own_waivers();
        }
        let mut places: BTreeMap<String, (usize, Option<u64>)> = BTreeMap::new();
        for (assembly, frame) in frames {
            match places.get(&frame.name) {
                None => {
                    places.insert(frame.name.clone(), (job.frames.len(), assembly));
                    job.frames.push(frame);
                }
                Some(&(first, other)) => {
                    let Some(known) = job.frames.get_mut(first) else { continue };
                    if alike(&known.members, &frame.members) {
                        known.quantity += 1;
                        continue;
                    }
                    let (at, first) = (assembly.unwrap_or(0), other.unwrap_or(0));
                    self.found.push(
                        Diagnostic::new(
                            &codes::E1119,
                            format!("two assemblies are called `{}` and differ", frame.name),
                        )
                        .at(self.model.step.place(at), "again here")
                        .at(self.model.step.place(first), "first here")
                        .note("the crew could not tell their members apart")
                        .help("give one of them another name in the drawing"),
                    );
                }
            }
        }
        if job.frames.is_empty() && self.found.is_empty() {
            self.found.push(
                Diagnostic::new(&codes::E1104, "there is no member in this model")
                    .at(Span::new(file, 0, 1), "read to its end")
                    .help("members are read from IfcMember, IfcBeam, IfcColumn and IfcPlate: export the framing"),
            );
        }
        job
    }

    fn entity(&mut self, id: u64, from: u64) -> Option<Entity<'t>> {
        match self.model.step.entity(id, from) {
            Ok(entity) => Some(entity),
            Err(refusal) => {
                self.found.push(*refusal);
                None
            }
        }
    }
}

/// The first numbers of a list, and how many more there are.
fn numbers(ids: &[u64]) -> String {
    let mut shown: Vec<String> = ids.iter().take(8).map(|id| format!("#{id}")).collect();
    if ids.len() > 8 {
        shown.push(format!("and {} more", ids.len() - 8));
    }
    shown.join(", ")
}

/// Whether two lists of members are the same but for where they were read.
fn alike(one: &[DrawnMember], other: &[DrawnMember]) -> bool {
    let same = |(a, b): (&DrawnMember, &DrawnMember)| a.quantity == b.quantity && a.is_part(b);
    one.len() == other.len() && one.iter().zip(other).all(same)
}

/// A mark once more in its frame: the same member is wanted once more.
fn again(
    known: &mut DrawnMember,
    member: &DrawnMember,
    model: &Model<'_>,
    id: u64,
    frame: &str,
) -> Result<(), Box<Diagnostic>> {
    if known.is_part(member) {
        known.quantity += 1;
        return Ok(());
    }
    let first = known.source.clone();
    Err(Box::new(
        Diagnostic::new(
            &codes::E1119,
            format!("mark {} is twice in frame {frame}, and the two differ", member.mark),
        )
        .at(model.step.place(id), format!("first at {first}"))
        .note("the crew looks for a mark and takes the first part that bears it")
        .help("give one of them another mark in the drawing"),
    ))
}
