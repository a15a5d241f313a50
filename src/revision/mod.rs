//! What differs between two revisions of a job: which members are the same, which changed in
//! what and by how much, which are new and which are gone.
//!
//! A member is known by its job, frame and mark. Places of features are compared as they are
//! drawn: `end - 45` on a longer member is the same place. Both revisions are read against one
//! library, so that types and profiles are the same on both sides.

mod feature;
mod text;

pub use text::text;

use crate::library::model::Library;
use crate::member::model::{Frame, Job, Member, Waiver};
use crate::quantity::Length;
use crate::report::words;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::fmt::Display;

/// Version of the JSON form; it changes when a field changes its meaning or goes away.
pub const VERSION: u32 = 1;

/// How two revisions differ.
#[derive(Serialize, JsonSchema, Clone, PartialEq, Eq, Debug)]
#[serde(deny_unknown_fields)]
pub struct Comparison {
    /// Version of this format.
    pub version: u32,
    /// Members that are the same in both.
    pub unchanged: usize,
    /// Members that are in both and differ.
    pub changed: Vec<Changed>,
    /// Members only the new revision has.
    pub new: Vec<Listed>,
    /// Members only the old revision has.
    pub gone: Vec<Listed>,
    /// What differs about jobs and frames as such.
    pub about: Vec<About>,
}

/// A member that is in both revisions and differs.
#[derive(Serialize, JsonSchema, Clone, PartialEq, Eq, Debug)]
#[serde(deny_unknown_fields)]
pub struct Changed {
    /// Its job.
    pub job: String,
    /// Its frame.
    pub frame: String,
    /// Its mark.
    pub mark: String,
    /// What differs, never empty.
    pub changes: Vec<Change>,
}

/// A member that only one of the revisions has.
#[derive(Serialize, JsonSchema, Clone, PartialEq, Eq, Debug)]
#[serde(deny_unknown_fields)]
pub struct Listed {
    /// Its job.
    pub job: String,
    /// Its frame.
    pub frame: String,
    /// Its mark.
    pub mark: String,
    /// How many are wanted, of all its frames.
    pub quantity: u64,
    /// Its profile.
    pub profile: String,
    /// Its length in nanometres.
    pub length_nm: i64,
}

/// What differs about a job or a frame.
#[derive(Serialize, JsonSchema, Clone, PartialEq, Eq, Debug)]
#[serde(deny_unknown_fields)]
pub struct About {
    /// The job.
    pub job: String,
    /// The frame, where it is about one.
    pub frame: Option<String>,
    /// What differs.
    pub change: Change,
}

/// One difference. Texts have lengths in exact millimetres.
#[derive(Serialize, JsonSchema, Clone, PartialEq, Eq, Debug)]
#[serde(deny_unknown_fields)]
pub struct Change {
    /// Of what, in words, such as `length` or `hole on web at 450: place`.
    pub what: String,
    /// What of it: `length`, `quantity`, `pieces` (of all its frames), `size`, `place`, `from`;
    /// `feature` where a feature is new or gone.
    pub property: String,
    /// The feature it is of: as the old revision has it, or the new where it is new.
    pub feature: Option<FeatureOf>,
    /// In the old revision; none where it was not there.
    pub old: Option<String>,
    /// In the new revision; none where it is gone.
    pub new: Option<String>,
    /// New less old in nanometres, where both are lengths from one datum.
    pub by_nm: Option<i64>,
    /// New less old, where both are numbers.
    pub by_number: Option<i64>,
}

/// A feature that differs.
#[derive(Serialize, JsonSchema, Clone, PartialEq, Eq, Debug)]
#[serde(deny_unknown_fields)]
pub struct FeatureOf {
    /// Its type, by the library's name.
    pub kind: String,
    /// Its faces.
    pub faces: Vec<String>,
    /// Where its centre is, of one that lies at a point.
    pub at: Option<Spot>,
    /// Where it begins, of a range.
    pub from: Option<Spot>,
    /// Where it stops, of a range.
    pub to: Option<Spot>,
    /// The end it shapes: `start` or `end`.
    pub end: Option<String>,
}

/// A place along a member, as it is drawn.
#[derive(Serialize, JsonSchema, Clone, PartialEq, Eq, Debug)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// From where it is drawn: `start`, `middle` or `end`.
    pub datum: String,
    /// Toward the member's end from there, in nanometres.
    pub offset_nm: i64,
}

impl Comparison {
    /// Whether nothing differs.
    pub fn is_same(&self) -> bool {
        self.changed.is_empty()
            && self.new.is_empty()
            && self.gone.is_empty()
            && self.about.is_empty()
    }
}

impl Change {
    fn of(what: &str, old: Option<String>, new: Option<String>) -> Change {
        let (what, property) = (what.to_string(), what.to_string());
        Change { what, property, feature: None, old, new, by_nm: None, by_number: None }
    }
}

type Key = (String, String, String);

/// Compares two revisions. Names are as the library's ids say, on both sides.
pub fn compare(old: &[Job], new: &[Job], library: &Library) -> Comparison {
    let (before, after) = (members(old), members(new));
    let mut same = 0;
    let mut changed = Vec::new();
    let mut gone = Vec::new();
    for (key, (frame, member)) in &before {
        let Some((frame_now, now)) = after.get(key) else {
            gone.push(listed(key, frame, member, library));
            continue;
        };
        let mut changes = Changes::default();
        if frame.quantity != frame_now.quantity {
            changes.number("pieces", pieces(frame, member), pieces(frame_now, now));
        }
        changes.0.extend(of_member(member, now, library));
        let changes = changes.0;
        if changes.is_empty() {
            same += 1;
        } else {
            let (job, frame, mark) = key.clone();
            changed.push(Changed { job, frame, mark, changes });
        }
    }
    let added = after.iter().filter(|(key, _)| !before.contains_key(*key));
    Comparison {
        version: VERSION,
        unchanged: same,
        changed,
        new: added.map(|(key, (frame, member))| listed(key, frame, member, library)).collect(),
        gone,
        about: about(old, new),
    }
}

fn members(jobs: &[Job]) -> BTreeMap<Key, (&Frame, &Member)> {
    let each = jobs.iter().flat_map(|job| job.members().map(move |(f, m)| (job, f, m)));
    each.map(|(job, frame, member)| {
        let key = (job.name.to_string(), frame.name.to_string(), member.mark.to_string());
        (key, (frame, member))
    })
    .collect()
}

fn listed(key: &Key, frame: &Frame, member: &Member, library: &Library) -> Listed {
    let (job, name, mark) = key.clone();
    Listed {
        job,
        frame: name,
        mark,
        quantity: pieces(frame, member),
        profile: profile(member, library),
        length_nm: member.shape.length.nm(),
    }
}

/// How many pieces of it are made, in all copies of its frame.
fn pieces(frame: &Frame, member: &Member) -> u64 {
    u64::from(frame.quantity) * u64::from(member.quantity)
}

fn profile(member: &Member, library: &Library) -> String {
    let profile = library.profile(member.shape.profile);
    profile.map_or_else(String::new, |profile| profile.name.to_string())
}

/// What is compared one by one, in the order it is told.
#[derive(Default)]
struct Changes(Vec<Change>);

impl Changes {
    fn words(&mut self, what: &str, old: impl Display, new: impl Display) {
        let (old, new) = (old.to_string(), new.to_string());
        if old != new {
            self.0.push(Change::of(what, Some(old), Some(new)));
        }
    }
    fn number(&mut self, what: &str, old: impl Into<u64>, new: impl Into<u64>) {
        let (old, new) = (old.into(), new.into());
        if old != new {
            let signed = |n: u64| i64::try_from(n).unwrap_or(i64::MAX);
            let by_number = Some(signed(new) - signed(old));
            let change = Change::of(what, Some(old.to_string()), Some(new.to_string()));
            self.0.push(Change { by_number, ..change });
        }
    }
    fn length(&mut self, what: &str, old: Length, new: Length) {
        if old != new {
            let by_nm = Some((new - old).nm());
            let change = Change::of(what, Some(old.to_string()), Some(new.to_string()));
            self.0.push(Change { by_nm, ..change });
        }
    }
}

fn of_member(old: &Member, new: &Member, library: &Library) -> Vec<Change> {
    let mut changes = Changes::default();
    let (a, b) = (&old.shape, &new.shape);
    changes.number("quantity", old.quantity, new.quantity);
    changes.words("usage", words::usage(old.usage), words::usage(new.usage));
    changes.words("printed text", &old.mark_text, &new.mark_text);
    changes.words("profile", profile(old, library), profile(new, library));
    changes.length("length", a.length, b.length);
    changes.words("length tolerance", a.length_tolerance, b.length_tolerance);
    changes.words("start", words::end_shape(a.start), words::end_shape(b.start));
    changes.words("end", words::end_shape(a.end), words::end_shape(b.end));
    changes.words("turnable", yes(a.turnable), yes(b.turnable));
    feature::compare(&a.features, &b.features, library, &mut changes);
    changes.0
}

const fn yes(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

fn about(old: &[Job], new: &[Job]) -> Vec<About> {
    let mut told = Vec::new();
    for after in new {
        let Some(before) = old.iter().find(|job| job.name == after.name) else { continue };
        let mut changes = Changes::default();
        changes.words("revision", &before.revision, &after.revision);
        changes.words("title", &before.title, &after.title);
        waivers(&before.waivers, &after.waivers, &mut changes);
        let mut tell = |frame: Option<String>, changes: Changes| {
            let job = after.name.to_string();
            told.extend(changes.0.into_iter().map(|change| About {
                job: job.clone(),
                frame: frame.clone(),
                change,
            }));
        };
        tell(None, changes);
        for frame in &after.frames {
            let Some(was) = before.frames.iter().find(|was| was.name == frame.name) else {
                continue;
            };
            let mut changes = Changes::default();
            changes.words("kind", words::frame_kind(was.kind), words::frame_kind(frame.kind));
            changes.words("title", &was.title, &frame.title);
            changes.number("quantity", was.quantity, frame.quantity);
            tell(Some(frame.name.to_string()), changes);
        }
    }
    told
}

/// Waivers have no name: one is there or it is not.
fn waivers(old: &[Waiver], new: &[Waiver], changes: &mut Changes) {
    let words = |waiver: &Waiver| {
        let of = [waiver.frame.as_deref(), waiver.mark.as_deref()];
        let of: Vec<&str> = of.into_iter().flatten().collect();
        let of = if of.is_empty() { String::new() } else { format!(" for {}", of.join(" ")) };
        format!("{}{of} by {}, {}", waiver.rule, waiver.by, waiver.reference)
    };
    let (old, new): (Vec<String>, Vec<String>) =
        (old.iter().map(words).collect(), new.iter().map(words).collect());
    let gone = old.iter().filter(|waiver| !new.contains(waiver));
    let gone = gone.map(|w| Change::of("waiver", Some(w.clone()), None));
    let more = new.iter().filter(|waiver| !old.contains(waiver));
    let more = more.map(|w| Change::of("waiver", None, Some(w.clone())));
    changes.0.extend(gone.chain(more));
}
