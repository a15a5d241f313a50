//! A job as JSON, in a schema of our own: what members text says, for scripts.
//!
//! Sizes are text with a unit, as in the shop's files, and as exact: `"2396 mm"`, `"3/32 in"`.

use super::answer::Answer;
use super::drawn::{DrawnFeature, DrawnFrame, DrawnJob, DrawnMember, DrawnPlace, DrawnWaiver};
use super::words::{is_word, usage_help, usage_of, usage_words};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::language::{FRAME_KINDS, USAGES, frame_kind_word};
use crate::library::reading::length_text;
use crate::member::model::{self, Datum, EndShape, Position};
use crate::quantity::{self, FileId, Length, SourceFile, Sources, Span};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::sync::Arc;

/// The version that is written and read.
const FORM: &str = "coilwright members 1";

/// A job: frames of members with their features.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Members {
    /// Always `coilwright members 1`.
    format: String,
    /// Which contract.
    job: Job,
    /// Its frames.
    frames: Vec<Frame>,
    /// Findings somebody has taken responsibility for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    waivers: Vec<Waiver>,
}

/// A contract.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Job {
    /// Its identifier.
    name: String,
    /// Its title.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    title: String,
    /// Its revision.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    revision: String,
}

/// A frame: the unit of assembly.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Frame {
    /// Its name, unique in the job.
    name: String,
    /// `wall`, `floor`, `truss`, `roof` or `loose`.
    kind: Kind,
    /// Its title.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    title: String,
    /// How many are wanted; 1 when left out.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    quantity: u32,
    /// Its members.
    members: Vec<Member>,
}

/// A member.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Member {
    /// The text a crew looks for, unique in its frame.
    mark: String,
    /// What it is for, in the language's words: `stud`, `top plate`.
    usage: Usage,
    /// How many are wanted; 1 when left out.
    #[serde(default = "one", skip_serializing_if = "is_one")]
    quantity: u32,
    /// Its profile, by the library's name.
    profile: String,
    /// To the long point.
    length: Figure,
    /// How far the length may be off; the profile's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    length_tolerance: Option<Tolerance>,
    /// Shape of the start; square when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    start: Option<Slope>,
    /// Shape of the end; square when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    end: Option<Slope>,
    /// Whether it may be made turned end for end.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    turnable: bool,
    /// What is printed on it, where not as the batch says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mark_text: Option<String>,
    /// Its features.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    features: Vec<Feature>,
}

/// A sloped end: so much along the member for so much across the web.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Slope {
    /// Along the member; the long point is at the left flange when positive, else at the right.
    rise: i32,
    /// Across the web; above nought.
    run: i32,
}

/// A feature.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Feature {
    /// Its type, by the library's name.
    kind: String,
    /// Diameter, or length along the member, where the type leaves it open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    size: Option<Figure>,
    /// Width across the face, where the type leaves it open.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    width: Option<Figure>,
    /// Its faces; the type's usual ones when left out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    faces: Vec<Face>,
    /// Where across the face; the type's usual place when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    across: Option<Figure>,
    /// How far across it may be off; the type's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    across_tolerance: Option<Tolerance>,
    /// Where its centre is; or `from` and `to`; or `end`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    at: Option<Place>,
    /// Where it begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    from: Option<Place>,
    /// Where it stops.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    to: Option<Place>,
    /// The end it shapes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    end: Option<End>,
    /// How far along it (or its beginning) may be off; the type's when left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    tolerance: Option<Tolerance>,
    /// How far its other edge may be off, of a range.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    to_tolerance: Option<Tolerance>,
}

/// A position along the member.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Place {
    /// What it is measured from; the start when left out.
    #[serde(default, skip_serializing_if = "Origin::is_start")]
    datum: Origin,
    /// Toward the member's end from there: negative before its end.
    offset: Figure,
}

#[derive(Serialize, Deserialize, JsonSchema, Clone, Copy, PartialEq, Default, Debug)]
#[serde(rename_all = "kebab-case")]
enum Origin {
    #[default]
    Start,
    Middle,
    End,
}

#[derive(Serialize, Deserialize, JsonSchema, Clone, Copy, PartialEq, Debug)]
#[serde(rename_all = "kebab-case")]
enum End {
    Start,
    End,
}

#[derive(Serialize, Deserialize, JsonSchema, Clone, Copy, PartialEq, Debug)]
#[serde(rename_all = "kebab-case")]
enum Face {
    Web,
    LeftFlange,
    RightFlange,
    LeftLip,
    RightLip,
}

const FACES: [(Face, model::Faces); 5] = [
    (Face::Web, model::Faces::WEB),
    (Face::LeftFlange, model::Faces::LEFT_FLANGE),
    (Face::RightFlange, model::Faces::RIGHT_FLANGE),
    (Face::LeftLip, model::Faces::LEFT_LIP),
    (Face::RightLip, model::Faces::RIGHT_LIP),
];

/// How far a figure may be below and above.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Tolerance {
    /// Below, as a positive figure.
    minus: Figure,
    /// Above.
    plus: Figure,
}

impl Tolerance {
    fn to_wire(of: quantity::Tolerance) -> Tolerance {
        Tolerance { minus: Figure(of.minus), plus: Figure(of.plus) }
    }
    fn settled(&self) -> quantity::Tolerance {
        quantity::Tolerance { minus: self.minus.0, plus: self.plus.0 }
    }
}

/// A waiver.
#[derive(Serialize, Deserialize, JsonSchema, Debug)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
struct Waiver {
    /// Which rule or code.
    rule: String,
    /// Frame it is limited to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    frame: Option<String>,
    /// Mark it is limited to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    mark: Option<String>,
    /// Letter, drawing or calculation that allows it.
    reference: String,
    /// Who allows it.
    by: String,
}

fn one() -> u32 {
    1
}
#[allow(clippy::trivially_copy_pass_by_ref)] // serde asks for it
fn is_one(n: &u32) -> bool {
    *n == 1
}
impl Origin {
    #[allow(clippy::trivially_copy_pass_by_ref)]
    fn is_start(&self) -> bool {
        *self == Origin::Start
    }
}

/// A length, as text with its unit.
#[derive(Clone, Copy, Debug)]
struct Figure(Length);
impl Serialize for Figure {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&format_args!("{} mm", self.0))
    }
}
impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Figure, D::Error> {
        let text = Cow::<str>::deserialize(deserializer)?;
        length_text(&text).map(Figure).map_err(|fault| {
            let (what, help) = fault.tell();
            D::Error::custom(format!("`{text}`: {what}; {help}"))
        })
    }
}
impl JsonSchema for Figure {
    fn schema_name() -> Cow<'static, str> {
        "Length".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A length with its unit, such as \"2396 mm\" or \"3/32 in\".",
            "type": "string",
        })
    }
}

/// One of the language's words, in the model's terms.
#[derive(Clone, Copy, Debug)]
struct Kind(model::FrameKind);
impl Serialize for Kind {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(frame_kind_word(self.0))
    }
}
impl<'de> Deserialize<'de> for Kind {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Kind, D::Error> {
        let text = Cow::<str>::deserialize(deserializer)?;
        let known = FRAME_KINDS.iter().find(|(word, _)| *word == text);
        known.map(|(_, kind)| Kind(*kind)).ok_or_else(|| {
            D::Error::custom(format!(
                "there is no kind of frame `{text}`; write wall, floor, truss, roof or loose"
            ))
        })
    }
}
impl JsonSchema for Kind {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        "Kind".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let words: Vec<&str> = FRAME_KINDS.iter().map(|(word, _)| *word).collect();
        json_schema!({ "enum": words })
    }
}

#[derive(Clone, Copy, Debug)]
struct Usage(model::Usage);
impl Serialize for Usage {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&usage_words(self.0))
    }
}
impl<'de> Deserialize<'de> for Usage {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Usage, D::Error> {
        let text = Cow::<str>::deserialize(deserializer)?;
        usage_of(&text).map(Usage).ok_or_else(|| {
            D::Error::custom(format!("there is no usage `{text}`; {}", usage_help(&text)))
        })
    }
}
impl JsonSchema for Usage {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        "Usage".into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let words: Vec<String> = USAGES.iter().map(|(words, _)| words.join(" ")).collect();
        json_schema!({ "enum": words })
    }
}

/// The job as JSON, with a final line end.
pub fn write(job: &DrawnJob) -> String {
    let members = Members {
        format: FORM.to_string(),
        job: Job {
            name: job.name.clone(),
            title: job.title.clone(),
            revision: job.revision.clone(),
        },
        frames: job
            .frames
            .iter()
            .map(|frame| Frame {
                name: frame.name.clone(),
                kind: Kind(frame.kind),
                title: frame.title.clone(),
                quantity: frame.quantity,
                members: frame.members.iter().map(to_wire).collect(),
            })
            .collect(),
        waivers: job
            .waivers
            .iter()
            .map(|w| Waiver {
                rule: w.rule.clone(),
                frame: w.frame.clone(),
                mark: w.mark.clone(),
                reference: w.reference.clone(),
                by: w.by.clone(),
            })
            .collect(),
    };
    let mut text = serde_json::to_string_pretty(&members).unwrap_or_default();
    text.push('\n');
    text
}

/// One member on one line: how formats without words of their own carry it.
pub(super) fn member_line(member: &DrawnMember) -> String {
    serde_json::to_string(&to_wire(member)).unwrap_or_default()
}

/// The member of such a line; `None` where it is none.
pub(super) fn member_of(line: &str) -> Option<DrawnMember> {
    from_wire(&serde_json::from_str(line).ok()?).ok()
}

fn to_wire(m: &DrawnMember) -> Member {
    let slope = |shape: EndShape| match shape {
        EndShape::Square => None,
        EndShape::Slope { rise, run } => Some(Slope { rise, run }),
    };
    Member {
        mark: m.mark.clone(),
        usage: Usage(m.usage),
        quantity: m.quantity,
        profile: m.profile.to_string(),
        length: Figure(m.length),
        length_tolerance: m.length_tolerance.map(Tolerance::to_wire),
        start: slope(m.start),
        end: slope(m.end),
        turnable: m.turnable,
        mark_text: m.mark_text.clone(),
        features: m.features.iter().map(feature_to_wire).collect(),
    }
}

fn feature_to_wire(f: &DrawnFeature) -> Feature {
    let place = |at: Position| Place {
        datum: match at.datum {
            Datum::Start => Origin::Start,
            Datum::Middle => Origin::Middle,
            Datum::End => Origin::End,
        },
        offset: Figure(at.offset),
    };
    let faces = FACES.iter().filter(|(_, face)| f.faces.is_some_and(|faces| faces.contains(*face)));
    let mut feature = Feature {
        kind: f.kind.to_string(),
        size: f.size.map(|(length, _)| Figure(length)),
        width: f.size.and_then(|(_, width)| width).map(Figure),
        faces: faces.map(|(word, _)| *word).collect(),
        across: f.across.map(Figure),
        across_tolerance: f.across_tolerance.map(Tolerance::to_wire),
        at: None,
        from: None,
        to: None,
        end: None,
        tolerance: None,
        to_tolerance: None,
    };
    match f.place {
        DrawnPlace::Point { at, tolerance } => {
            feature.at = Some(place(at));
            feature.tolerance = tolerance.map(Tolerance::to_wire);
        }
        DrawnPlace::Range { from, to, tolerance } => {
            feature.from = Some(place(from));
            feature.to = Some(place(to));
            feature.tolerance = tolerance.map(|(from, _)| Tolerance::to_wire(from));
            feature.to_tolerance = tolerance.map(|(_, to)| Tolerance::to_wire(to));
        }
        DrawnPlace::End { end, tolerance } => {
            feature.end = Some(match end {
                model::End::Start => End::Start,
                model::End::End => End::End,
            });
            feature.tolerance = tolerance.map(Tolerance::to_wire);
        }
    }
    feature
}

/// Reads a job that is loaded already, with an answer.
pub fn load(sources: &Sources, file: FileId) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
    let Some(source) = sources.get(file) else { return (None, Vec::new()) };
    match read(file, source) {
        Ok(job) if job.members().next().is_none() => {
            let nothing = Diagnostic::new(&codes::E1104, "there is no member in this file")
                .at(Span::new(file, 0, 1), "read to its end")
                .help("check that it is the right file");
            (None, vec![nothing])
        }
        Ok(job) => {
            let answer = Answer {
                file: super::map::short_name(sources, file),
                read: "read whole".into(),
                ..Answer::default()
            };
            (Some((job, answer)), Vec::new())
        }
        Err(found) => (None, found),
    }
}

/// Reads a job; the first mistake is told at its place.
pub fn read(file: FileId, source: &SourceFile) -> Result<DrawnJob, Vec<Diagnostic>> {
    let members: Members = serde_json::from_str(source.text()).map_err(|error| {
        let line = u32::try_from(error.line()).unwrap_or(u32::MAX).max(1);
        let at = source
            .line_start(line)
            .saturating_add(u32::try_from(error.column().saturating_sub(1)).unwrap_or(0));
        let end = u32::try_from(source.text().len()).unwrap_or(u32::MAX);
        let at = at.min(end.saturating_sub(1));
        let message = error.to_string();
        let message = message.split(" at line ").next().unwrap_or_default();
        vec![
            Diagnostic::new(&codes::E1131, format!("this is no JSON of members: {message}"))
                .at(Span::new(file, at, (at + 1).min(end)), "the reader stops here")
                .help("`coilwright schema members` prints every key with its meaning"),
        ]
    })?;
    settle(members, file, source)
}

fn settle(
    members: Members,
    file: FileId,
    source: &SourceFile,
) -> Result<DrawnJob, Vec<Diagnostic>> {
    let mut found = Vec::new();
    let mut refuse = |what: String, help: &str| {
        let first = u32::try_from(source.line(1).len()).unwrap_or(0).max(1);
        found.push(
            Diagnostic::new(&codes::E1131, what)
                .at(Span::new(file, 0, first), "in this file")
                .help(help),
        );
    };
    if members.format != FORM {
        let what = format!("`format` is `{}`", members.format);
        refuse(what, "this version reads `coilwright members 1`");
    }
    let mut frames = Vec::new();
    for frame in &members.frames {
        let mut of = Vec::new();
        for member in &frame.members {
            match from_wire(member) {
                Ok(member) => of.push(member),
                Err((what, help)) => {
                    let about = format!("member {} in frame {}: {what}", member.mark, frame.name);
                    refuse(about, help);
                }
            }
        }
        frames.push(DrawnFrame {
            name: frame.name.clone(),
            kind: frame.kind.0,
            title: frame.title.clone(),
            quantity: frame.quantity,
            members: of,
        });
    }
    if !found.is_empty() {
        return Err(found);
    }
    let waiver = |w: Waiver| DrawnWaiver {
        rule: w.rule,
        frame: w.frame,
        mark: w.mark,
        reference: w.reference,
        by: w.by,
    };
    Ok(DrawnJob {
        name: members.job.name,
        title: members.job.title,
        revision: members.job.revision,
        frames,
        waivers: members.waivers.into_iter().map(waiver).collect(),
    })
}

/// What is wrong, and what to write.
type Wrong = (String, &'static str);

fn from_wire(member: &Member) -> Result<DrawnMember, Wrong> {
    let slope = |slope: &Option<Slope>| match slope {
        Some(Slope { run, .. }) if *run <= 0 => {
            Err(("a slope runs across the web".to_string(), "write a `run` above nought"))
        }
        Some(Slope { rise: 0, .. }) | None => Ok(EndShape::Square),
        Some(Slope { rise, run }) => Ok(EndShape::Slope { rise: *rise, run: *run }),
    };
    Ok(DrawnMember {
        mark: member.mark.clone(),
        usage: member.usage.0,
        quantity: member.quantity,
        profile: Arc::from(member.profile.as_str()),
        length: member.length.0,
        length_tolerance: member.length_tolerance.as_ref().map(Tolerance::settled),
        start: slope(&member.start)?,
        end: slope(&member.end)?,
        turnable: member.turnable,
        mark_text: member.mark_text.clone(),
        features: member.features.iter().map(feature_from_wire).collect::<Result<_, _>>()?,
        source: String::new(),
    })
}

fn feature_from_wire(f: &Feature) -> Result<DrawnFeature, Wrong> {
    let place = |at: &Place| Position {
        datum: match at.datum {
            Origin::Start => Datum::Start,
            Origin::Middle => Datum::Middle,
            Origin::End => Datum::End,
        },
        offset: at.offset.0,
    };
    let own = f.tolerance.as_ref().map(Tolerance::settled);
    let settled = match (&f.at, &f.from, &f.to, f.end) {
        (Some(at), None, None, None) => DrawnPlace::Point { at: place(at), tolerance: own },
        (None, Some(from), Some(to), None) => DrawnPlace::Range {
            from: place(from),
            to: place(to),
            tolerance: own.map(|t| (t, f.to_tolerance.as_ref().map_or(t, Tolerance::settled))),
        },
        (None, None, None, Some(end)) => DrawnPlace::End {
            end: match end {
                End::Start => model::End::Start,
                End::End => model::End::End,
            },
            tolerance: own,
        },
        _ => {
            let what = format!("a {} is not placed in one way", f.kind);
            return Err((what, "give `at`, or `from` and `to`, or `end`"));
        }
    };
    if !is_word(&f.kind) {
        let what = format!("`{}` cannot be the name of a feature type", f.kind);
        return Err((what, "use the name the library has"));
    }
    let faces = FACES.iter().filter(|(word, _)| f.faces.contains(word));
    let faces = faces.fold(model::Faces::empty(), |all, (_, face)| all | *face);
    Ok(DrawnFeature {
        kind: Arc::from(f.kind.as_str()),
        size: f.size.map(|size| (size.0, f.width.map(|width| width.0))),
        faces: Some(faces).filter(|f| !f.is_empty()),
        across: f.across.map(|across| across.0),
        place: settled,
        across_tolerance: f.across_tolerance.as_ref().map(Tolerance::settled),
    })
}
