//! A model as a job: assemblies are frames, extruded elements members, their openings features.

mod feature;

use super::fixed::Axes;
use super::model::{Model, Outline, Sweep, Table};
use super::opening::{Askew, Drill, Hole, holes, settled};
use super::section::Drawn;
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Diagnostic, closest};
use crate::exchange::answer::Answer;
use crate::exchange::drawn::{DrawnFrame, DrawnJob, DrawnMember};
use crate::exchange::map::{self, Map, MarkFrom};
use crate::exchange::step::{self, Entity};
use crate::exchange::text::usage_of;
use crate::library::model::Library;
use crate::member::model::{EndShape, FrameKind, Usage};
use crate::quantity::{FileId, Length, Sources, Span};
use std::collections::BTreeMap;
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

/// Elements of a building that are no members: one of these that the map does not put aside is
/// told. Fasteners and the like belong to them; spaces, axes and types do not.
const ELEMENTS: [&str; 26] = [
    "IFCWALL",
    "IFCWALLSTANDARDCASE",
    "IFCSLAB",
    "IFCROOF",
    "IFCDOOR",
    "IFCWINDOW",
    "IFCSTAIR",
    "IFCSTAIRFLIGHT",
    "IFCRAILING",
    "IFCRAMP",
    "IFCRAMPFLIGHT",
    "IFCCURTAINWALL",
    "IFCCOVERING",
    "IFCFOOTING",
    "IFCPILE",
    "IFCCHIMNEY",
    "IFCSHADINGDEVICE",
    "IFCBUILDINGELEMENTPROXY",
    "IFCBUILTELEMENT",
    "IFCFURNITURE",
    "IFCMECHANICALFASTENER",
    "IFCFASTENER",
    "IFCDISCRETEACCESSORY",
    "IFCREINFORCINGBAR",
    "IFCREINFORCINGMESH",
    "IFCTENDON",
];

/// Findings after which reading stops.
const MOST_FINDINGS: usize = 2_000;

/// Name of the set of properties that carries what a model has no words for.
pub(super) const OWN_SET: &str = "Coilwright_Member";

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
        own: text.contains(OWN_SET),
        parents: Table::default(),
        openings: Table::default(),
        properties: Table::default(),
        sections: Table::default(),
        found: Vec::new(),
        told: Table::default(),
        answer: Answer::default(),
        model,
    };
    reader.answer.file.clone_from(&reader.name);
    reader.answer.read = format!("{} instances", reader.model.step.count());
    let job = reader.job(file);
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
    model: Model<'t>,
    /// What each object is part of.
    parents: Table<u64, u64>,
    openings: Table<u64, Vec<u64>>,
    /// Sets of our own properties of each object.
    properties: Table<u64, u64>,
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
        let mut members: Vec<u64> =
            MEMBERS.iter().flat_map(|kind| self.model.step.of(kind)).collect();
        members.sort_unstable();
        for id in members {
            if self.found.len() >= MOST_FINDINGS {
                if let Some(last) = self.found.last_mut() {
                    last.notes.push("reading stopped here: there is too much to tell".to_string());
                }
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
                    if let Err(refusal) = again(known, member, &self.model, id, &name) {
                        self.found.push(*refusal);
                    }
                }
            }
        }
        let mut job = self.project();
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

    /// Who is part of what, which openings are whose, and our own properties.
    fn relations(&mut self) {
        for id in self.model.step.of("IFCRELAGGREGATES") {
            let Some(entity) = self.entity(id, id) else { continue };
            let Some(whole) = entity.reference(4) else { continue };
            for part in entity.references(5) {
                self.parents.insert(part, whole);
            }
        }
        for id in self.model.step.of("IFCRELVOIDSELEMENT") {
            let Some(entity) = self.entity(id, id) else { continue };
            if let (Some(element), Some(opening)) = (entity.reference(4), entity.reference(5)) {
                self.openings.entry(element).or_default().push(opening);
            }
        }
        if !self.own {
            return;
        }
        for id in self.model.step.of("IFCRELDEFINESBYPROPERTIES") {
            let Some(entity) = self.entity(id, id) else { continue };
            let Some(set) = entity.reference(5) else { continue };
            if self.entity(set, id).is_some_and(|set| set.text(2) == OWN_SET) {
                for object in entity.references(4) {
                    self.properties.insert(object, set);
                }
            }
        }
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

    /// Elements that are no members: put aside by name, or told.
    fn others(&mut self) {
        let out: Vec<String> = self
            .map
            .ifc
            .iter()
            .flat_map(|ifc| ifc.leave_out.iter().flatten())
            .map(|at| at.value.to_ascii_uppercase())
            .collect();
        let mut counts = Vec::new();
        for (kind, ids) in self.model.step.kinds() {
            let upper = kind.to_ascii_uppercase();
            if ELEMENTS.contains(&upper.as_str()) {
                counts.push((upper, ids.to_vec()));
            }
        }
        for (kind, ids) in counts {
            if out.contains(&kind) {
                self.answer.left_out.insert(format!("{kind}: {}", numbers(&ids)), ids.len());
                continue;
            }
            let Some(&first) = ids.first() else { continue };
            self.found.push(
                Diagnostic::new(
                    &codes::E1146,
                    format!(
                        "the model has {} {kind}, which is no member: {}",
                        ids.len(),
                        numbers(&ids)
                    ),
                )
                .at(self.model.step.place(first), "the first")
                .help(format!("put them aside: `leave-out = [\"{kind}\"]` in [ifc] of the map")),
            );
        }
    }

    fn project(&mut self) -> DrawnJob {
        if let Some(job) = &self.map.job {
            let text = |at: &Option<crate::library::reading::At<String>>| {
                at.as_ref().map_or(String::new(), |at| at.value.clone())
            };
            return DrawnJob {
                name: job.name.value.clone(),
                title: text(&job.title),
                revision: text(&job.revision),
                ..DrawnJob::default()
            };
        }
        let project = self.model.step.of("IFCPROJECT").first().copied();
        let entity = project.and_then(|id| self.entity(id, id));
        let (name, title, revision) =
            entity.map_or_else(Default::default, |e| (e.text(2), e.text(5), e.text(6)));
        if name.is_empty() {
            self.found.push(
                Diagnostic::new(
                    &codes::E1103,
                    "neither the map nor the model says which job this is",
                )
                .help("add [job] with `name` to the map"),
            );
        }
        DrawnJob { name, title, revision, ..DrawnJob::default() }
    }

    /// The assembly an element is in, however deep.
    fn assembly(&mut self, id: u64) -> Option<u64> {
        let mut at = id;
        for _ in 0..20 {
            at = *self.parents.get(&at)?;
            let entity = self.model.step.entity(at, id).ok()?;
            if entity.is("IFCELEMENTASSEMBLY") {
                return Some(at);
            }
        }
        None
    }

    fn frame(&mut self, assembly: Option<u64>) -> DrawnFrame {
        let entity = assembly.and_then(|id| self.entity(id, id));
        let default = self
            .map
            .default
            .as_ref()
            .and_then(|d| d.frame.as_ref())
            .map_or("loose", |at| at.value.as_str());
        let (mut name, title, object, kind) = match &entity {
            Some(e) => (e.text(2), e.text(3), e.text(4), e.word(9)),
            None => (default.to_string(), String::new(), String::new(), ""),
        };
        if name.is_empty() {
            name = assembly.map_or_else(|| default.to_string(), |id| format!("#{id}"));
        }
        let by_class = match kind {
            "TRUSS" => Some(FrameKind::Truss),
            "SLAB_FIELD" | "DECK" => Some(FrameKind::Floor),
            _ => None,
        };
        let said = (!object.is_empty()).then(|| self.map.kind(&object)).flatten();
        let usual = if assembly.is_some() { self.map.default_kind() } else { FrameKind::Loose };
        let kind = said.or(by_class).unwrap_or(usual);
        DrawnFrame { name, kind, title, quantity: 1, members: Vec::new() }
    }

    fn member(&mut self, id: u64) -> Result<Option<DrawnMember>, Box<Diagnostic>> {
        let entity = self.model.step.entity(id, id)?;
        let (name, tag) = (entity.text(2), entity.text(7));
        let by_tag = self.map.ifc.as_ref().and_then(|ifc| ifc.mark) == Some(MarkFrom::Tag);
        let mark = if by_tag || name.is_empty() { tag } else { name };
        if mark.is_empty() {
            return Err(self.refused(
                id,
                "this member bears no mark",
                "name it in the drawing, or say `mark = \"tag\"` in [ifc] of the map",
            ));
        }
        let usage = self.usage(&entity);
        let Some(shape) = entity.reference(6) else {
            return Err(self.model.not_understood(id, &format!("member {mark}, without a body")));
        };
        let sweeps = self.model.body(shape, id).map_err(|refusal| {
            Box::new(refusal.at(self.model.step.place(id), format!("member {mark}")))
        })?;
        let sweep = match sweeps.as_slice() {
            [sweep] => sweep.clone(),
            other => {
                let why = format!("member {mark}, with a body of {} parts", other.len());
                return Err(self.model.not_understood(id, &why));
            }
        };
        // What is wrong with a section is told once, not with each of its members.
        let Some((section, flat, profile)) = self.section(&sweep, id)? else { return Ok(None) };
        let length = settled(sweep.depth, self.round);
        if length <= Length::ZERO || length > Length::LIMIT {
            return Err(self.model.not_understood(id, &format!("member {mark}, of no length")));
        }
        let mut member = DrawnMember {
            mark,
            usage,
            quantity: 1,
            profile,
            length,
            length_tolerance: None,
            start: EndShape::Square,
            end: EndShape::Square,
            turnable: false,
            mark_text: None,
            features: Vec::new(),
            source: format!("{}:#{id}", self.name),
        };
        let openings = self.openings.get(&id).cloned().unwrap_or_default();
        let placed = match entity.reference(5) {
            Some(placement) => self.model.placement(placement, id)?,
            None => Axes::HERE,
        };
        let frame = placed.then(&sweep.axes).then(&flat);
        let mut drilled = Vec::new();
        for opening in openings {
            drilled.extend(self.opening(opening, id, &frame, &section)?);
        }
        if let Some(own) = self.own_words(id, &mut member, &drilled) {
            return Ok(Some(own));
        }
        for (opening, word, hole) in &drilled {
            self.feature(*opening, word, hole, &mut member);
        }
        Ok(Some(member))
    }

    fn usage(&self, entity: &Entity<'_>) -> Usage {
        let object = entity.text(4);
        let by_words = (!object.is_empty())
            .then(|| self.map.usage(&object).or_else(|| usage_of(&object)))
            .flatten();
        let by_class = match entity.word(8) {
            "STUD" => Some(Usage::Stud),
            "PLATE" => Some(Usage::Plate),
            "PURLIN" => Some(Usage::Batten),
            "RAFTER" => Some(Usage::Rafter),
            "BRACE" => Some(Usage::Brace),
            "JOIST" => Some(Usage::Joist),
            "LINTEL" => Some(Usage::Lintel),
            _ => None,
        };
        by_words.or(by_class).unwrap_or_else(|| self.map.default_usage())
    }

    /// The section of a sweep, looked up once for each definition. `None` where what is wrong with
    /// it was told.
    fn section(&mut self, sweep: &Sweep, from: u64) -> Result<Option<Section>, Box<Diagnostic>> {
        if let Some(known) = self.sections.get(&sweep.area) {
            return Ok(known.clone());
        }
        self.sections.insert(sweep.area, None);
        let (outline, flat, name) = self.model.outline(sweep.area, from)?;
        let drawn = match outline {
            Outline::Section(drawn) => drawn,
            Outline::Other(what) => {
                let message = format!("the section #{} is {what}", sweep.area);
                return Err(self.profile_refused(
                    sweep.area,
                    message,
                    "draw it as a C or U shape, or as an outline of one thickness in right angles",
                ));
            }
            Outline::Circle(_) | Outline::Rectangle(..) => {
                let message = format!("the section #{} is solid", sweep.area);
                return Err(self.profile_refused(
                    sweep.area,
                    message,
                    "members are formed from strip: draw the section's thickness",
                ));
            }
        };
        let profile = self.profile(sweep.area, &drawn, &name)?;
        let section = (drawn, flat, profile);
        self.sections.insert(sweep.area, Some(section.clone()));
        Ok(Some(section))
    }

    fn profile(&mut self, id: u64, drawn: &Drawn, name: &str) -> Result<Arc<str>, Box<Diagnostic>> {
        let mapped = self.map.profile(name);
        let Some(library) = self.library else {
            return match mapped.filter(|name| !name.is_empty()) {
                Some(name) => Ok(Arc::from(name)),
                None => {
                    let message = format!("the map knows no profile `{name}` ({})", drawn.told());
                    Err(self.profile_refused(id, message, "add it to [profiles] of the map, or name the shop's library with --library"))
                }
            };
        };
        if let (Some(mapped), true) = (mapped, self.map.profiles.is_some()) {
            let Some((_, known)) = library.profile_named(mapped) else {
                let message = format!(
                    "the library has no profile `{mapped}`, which the map gives for `{name}`"
                );
                return Err(self.profile_refused(id, message, "correct [profiles] of the map"));
            };
            if !drawn.is(known) {
                let message =
                    format!("`{name}` is drawn as a {}, and {mapped} is another", drawn.told());
                return Err(self.profile_refused(
                    id,
                    message,
                    "correct [profiles] of the map, or the drawing",
                ));
            }
            return Ok(Arc::clone(&known.name));
        }
        let same: Vec<_> = library.profiles.iter().filter(|p| drawn.is(p)).collect();
        match same.as_slice() {
            [one] => Ok(Arc::clone(&one.name)),
            [] => {
                let near = closest(name, library.profiles.iter().map(|p| &*p.name));
                let help = near.map_or(
                    "add it to the library, or name it in [profiles] of the map".to_string(),
                    |near| format!("is it meant to be {near}? its sizes differ"),
                );
                Err(self.profile_refused(
                    id,
                    format!("the library has no profile like `{name}`, a {}", drawn.told()),
                    &help,
                ))
            }
            several => match several.iter().find(|p| *p.name == *name) {
                Some(one) => Ok(Arc::clone(&one.name)),
                None => {
                    let names: Vec<&str> = several.iter().map(|p| &*p.name).collect();
                    Err(self.profile_refused(
                        id,
                        format!("`{name}` could be any of {}", names.join(", ")),
                        "say which in [profiles] of the map",
                    ))
                }
            },
        }
    }

    fn profile_refused(&self, id: u64, message: String, help: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E1148, message)
                .at(self.model.step.place(id), "this section")
                .help(help),
        )
    }

    fn refused(&self, id: u64, message: &str, help: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E1147, format!("#{id}: {message}"))
                .at(self.model.step.place(id), "this member")
                .help(help),
        )
    }

    /// The holes of one opening, with the word it bears.
    fn opening(
        &mut self,
        id: u64,
        from: u64,
        member: &Axes,
        section: &Drawn,
    ) -> Result<Vec<(u64, String, Hole)>, Box<Diagnostic>> {
        let entity = self.model.step.entity(id, from)?;
        let object = entity.text(4);
        let word = if object.is_empty() { entity.text(2) } else { object };
        let Some(shape) = entity.reference(6) else {
            return Err(self.model.not_understood(id, "an opening without a body"));
        };
        let placed = match entity.reference(5) {
            Some(placement) => self.model.placement(placement, id)?,
            None => Axes::HERE,
        };
        let mut made = Vec::new();
        for sweep in self.model.body(shape, id)? {
            let (outline, flat, _) = self.model.outline(sweep.area, id)?;
            let (round, size) = match outline {
                Outline::Circle(diameter) => (true, (diameter, diameter)),
                Outline::Rectangle(x, y) => (false, (x, y)),
                Outline::Section(_) => {
                    return Err(self
                        .model
                        .not_understood(id, "an opening in the form of a section"));
                }
                Outline::Other(what) => {
                    return Err(self.model.not_understood(id, &format!("an opening as {what}")));
                }
            };
            let axes = member.seeing(&placed.then(&sweep.axes).then(&flat));
            let drill = Drill { axes, depth: sweep.depth, round, size };
            match holes(&drill, section, self.round) {
                Ok(found) => made.extend(found.into_iter().map(|hole| (id, word.clone(), hole))),
                Err(why) => {
                    let why = match why {
                        Askew::Direction => "does not go square through a face",
                        Askew::Turned => "is turned about its own axis",
                        Askew::Nothing => "meets no face of its member",
                    };
                    return Err(Box::new(
                        Diagnostic::new(&codes::E1149, format!("the opening #{id} {why}"))
                            .at(self.model.step.place(id), "this opening")
                            .help("draw it through one face, square to it and to the member"),
                    ));
                }
            }
        }
        Ok(made)
    }
}

/// Openings in a form that can be compared: sorted, with all their figures.
pub(super) fn told_openings(holes: &[Hole]) -> String {
    let mut sorted = holes.to_vec();
    sorted.sort_unstable();
    let told: Vec<String> = sorted
        .iter()
        .map(|hole| format!("{} {} {} {}", hole.along, hole.faces, hole.across, size_told(hole)))
        .collect();
    told.join("; ")
}

fn size_told(hole: &Hole) -> String {
    if hole.round {
        format!("Ø{}", hole.length)
    } else {
        format!("{} × {}", hole.length, hole.width)
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
    let same = |(a, b): (&DrawnMember, &DrawnMember)| {
        DrawnMember { source: String::new(), ..a.clone() }
            == DrawnMember { source: String::new(), ..b.clone() }
    };
    one.len() == other.len() && one.iter().zip(other).all(same)
}

/// A mark once more in its frame: the same member is wanted once more.
fn again(
    known: &mut DrawnMember,
    member: DrawnMember,
    model: &Model<'_>,
    id: u64,
    frame: &str,
) -> Result<(), Box<Diagnostic>> {
    let same = DrawnMember { quantity: 1, source: String::new(), ..known.clone() }
        == DrawnMember { source: String::new(), ..member.clone() };
    if same {
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
