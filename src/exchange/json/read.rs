//! JSON to a drawn job: what is no JSON of members is told where the reader stops, what means
//! nothing where it stands.

use super::place::Step::{self, Item, Key};
use super::place::Text;
use super::words::Figure;
use super::{End, FACES, FORM, Feature, Member, Members, Origin, Place, Slope, Tolerance, Waiver};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::answer::Answer;
use crate::exchange::drawn::{
    DrawnFeature, DrawnFrame, DrawnJob, DrawnMember, DrawnPlace, DrawnWaiver,
};
use crate::exchange::map::short_name;
use crate::exchange::merged::{Asked, Said};
use crate::exchange::words::is_word;
use crate::exchange::{MOST_FINDINGS, stopped};
use crate::member::model::{self, Datum, EndShape, Position};
use crate::quantity::{self, FileId, Length, SourceFile, Sources, Span};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Reads a job that is loaded already, with an answer.
pub fn load(sources: &Sources, file: FileId) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
    let Some(source) = sources.get(file) else { return (None, Vec::new()) };
    let name = short_name(sources, file);
    match read(file, source, &name) {
        Ok(job) if job.members().next().is_none() => {
            let nothing = Diagnostic::new(&codes::E1104, "there is no member in this file")
                .at(Span::new(file, 0, 1), "read to its end")
                .help("check that it is the right file");
            (None, vec![nothing])
        }
        Ok(job) => {
            let answer = Answer {
                file: name,
                read: "read whole".into(),
                said: Said::Json,
                ..Answer::default()
            };
            (Some((job, answer)), Vec::new())
        }
        Err(found) => (None, found),
    }
}

/// Reads a job; members are said to come from the file of this name. The first mistake of form is
/// told at its place, mistakes of meaning all together.
pub fn read(file: FileId, source: &SourceFile, name: &str) -> Result<DrawnJob, Vec<Diagnostic>> {
    let members: Members = serde_json::from_str(source.text()).map_err(|error| {
        let line = u32::try_from(error.line()).unwrap_or(u32::MAX).max(1);
        let at = source
            .line_start(line)
            .saturating_add(u32::try_from(error.column().saturating_sub(1)).unwrap_or(0));
        let end = u32::try_from(source.text().len()).unwrap_or(u32::MAX);
        let at = at.min(end.saturating_sub(1));
        let message = error.to_string();
        let message = in_words(message.split(" at line ").next().unwrap_or_default());
        vec![
            Diagnostic::new(&codes::E1131, format!("this is no JSON of members: {message}"))
                .at(Span::new(file, at, (at + 1).min(end)), "the reader stops here")
                .help("`coilwright schema members` prints every key with its meaning"),
        ]
    })?;
    settle(members, file, source, name)
}

/// What the reader of JSON says, in words of the trade.
fn in_words(message: &str) -> String {
    let quoted = |text: &str| text.split('`').nth(1).unwrap_or(text).to_string();
    if let Some(rest) = message.strip_prefix("missing field ") {
        return format!("`{}` is missing", quoted(rest));
    }
    if let Some(rest) = message.strip_prefix("duplicate field ") {
        return format!("`{}` stands twice", quoted(rest));
    }
    if let Some(rest) = message.strip_prefix("unknown field ") {
        return match rest.split_once(", expected ") {
            Some((key, keys)) => format!("there is no key {key} here; there is {keys}"),
            None => format!("there is no key {rest} here"),
        };
    }
    if let Some((word, words)) =
        message.strip_prefix("unknown variant ").and_then(|rest| rest.split_once(", expected "))
    {
        return format!("{word} stands here, and it has to be {words}");
    }
    let of_kind =
        message.strip_prefix("invalid type: ").or(message.strip_prefix("invalid value: "));
    if let Some((has, wants)) = of_kind.and_then(|rest| rest.split_once(", expected ")) {
        return format!("{} stands here, and it has to be {}", kind(has), kind(wants));
    }
    if message.starts_with("EOF ") {
        return "it ends before it is complete".to_string();
    }
    message.to_string()
}

/// A kind of value, as the reader of JSON calls it.
fn kind(word: &str) -> String {
    let said = |name: &str| word.strip_prefix(name).map(|rest| rest.trim().to_string());
    match word {
        "u32" | "u64" | "usize" => "a whole number from 1 on".to_string(),
        "i32" | "i64" => "a whole number".to_string(),
        "a sequence" | "sequence" => "a list [ … ]".to_string(),
        "map" | "a map" => "a table { … }".to_string(),
        "a string" | "string" | "str" => "text in quotation marks".to_string(),
        "a boolean" => "true or false".to_string(),
        "null" | "unit value" => "nothing (null)".to_string(),
        word if word.starts_with("struct ") => "a table { … }".to_string(),
        word => said("integer ")
            .or_else(|| said("floating point "))
            .map(|number| format!("the number {number}"))
            .or_else(|| said("string ").map(|text| format!("the text {text}")))
            .or_else(|| said("boolean "))
            .unwrap_or_else(|| word.to_string()),
    }
}

fn settle(
    members: Members,
    file: FileId,
    source: &SourceFile,
    name: &str,
) -> Result<DrawnJob, Vec<Diagnostic>> {
    let text = Text(source.text());
    let mut found = Vec::new();
    let mut refuse = |path: &[Step], what: String, help: &str| {
        let range = text.at(path);
        let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        // What is long is shown by its beginning: a member may fill a page.
        let end = range.end.min(range.start + 60).max(range.start + 1);
        let shown = source.text().get(range.start..end).unwrap_or("");
        let line = shown.find('\n').map_or(end, |at| range.start + at.max(1));
        found.push(
            Diagnostic::new(&codes::E1132, what)
                .at(Span::new(file, place(range.start), place(line)), "here")
                .help(help),
        );
        found.len() < MOST_FINDINGS
    };
    if members.format != FORM {
        let what = format!("`format` is `{}`", members.format);
        refuse(&[Key("format")], what, "this version reads `coilwright members 1`");
    }
    let starts = text.members();
    let mut frames = Vec::new();
    let mut names = BTreeSet::new();
    'all: for (f, frame) in members.frames.iter().enumerate() {
        let at = [Key("frames"), Item(f)];
        if frame.quantity == 0 {
            let what = format!("frame {} is wanted no times", frame.name);
            refuse(
                &[&at[..], &[Key("quantity")]].concat(),
                what,
                "leave the frame out, or write how many",
            );
        }
        if !names.insert(frame.name.as_str()) {
            let what = format!("frame {} is twice in this file", frame.name);
            let help = "put its members into one, or give it another name";
            refuse(&[&at[..], &[Key("name")]].concat(), what, help);
        }
        let mut marks = BTreeSet::new();
        let mut of = Vec::new();
        for (m, member) in frame.members.iter().enumerate() {
            if !marks.insert(member.mark.as_str()) {
                let what = format!("mark {} is twice in frame {}", member.mark, frame.name);
                let path = [&at[..], &[Key("members"), Item(m), Key("mark")]].concat();
                let help = "give one of them another mark; of two that are alike write one with \
                            `quantity` 2";
                if !refuse(&path, what, help) {
                    break 'all;
                }
            }
            match from_wire(member) {
                Ok(mut drawn) => {
                    let start = starts.get(f).and_then(|starts| starts.get(m)).copied();
                    let start = start.and_then(|start| u32::try_from(start).ok());
                    if let Some(start) = start {
                        drawn.source = format!("{name}:{}", source.position(start).line);
                    }
                    of.push(drawn);
                }
                Err(Wrong { within, what, help }) => {
                    let about = format!("member {} in frame {}: {what}", member.mark, frame.name);
                    let path = [&at[..], &[Key("members"), Item(m)], &within].concat();
                    if !refuse(&path, about, help) {
                        break 'all;
                    }
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
    if found.len() >= MOST_FINDINGS {
        stopped(&mut found, String::new());
    }
    if !found.is_empty() {
        return Err(found);
    }
    Ok(DrawnJob {
        name: members.job.name,
        title: members.job.title,
        revision: members.job.revision,
        frames,
        waivers: members.waivers.into_iter().map(waiver).collect(),
    })
}

/// Where a job that was read says this of itself or of a frame.
pub(in crate::exchange) fn place_of(text: &str, asked: Asked) -> std::ops::Range<usize> {
    let path = match asked {
        Asked::Job(key) => vec![Key("job"), Key(key)],
        Asked::Frame(number, key) => vec![Key("frames"), Item(number), Key(key)],
    };
    let found = Text(text).at(&path);
    // A frame that leaves a key out is shown where it begins.
    found.start..found.end.min(found.start + 60)
}

pub(super) fn waiver(w: Waiver) -> DrawnWaiver {
    DrawnWaiver { rule: w.rule, frame: w.frame, mark: w.mark, reference: w.reference, by: w.by }
}

/// What means nothing: where in its member, what, and what to write.
#[derive(Debug)]
pub(super) struct Wrong {
    within: Vec<Step>,
    what: String,
    help: &'static str,
}

impl Wrong {
    fn new(key: &'static str, what: impl Into<String>, help: &'static str) -> Wrong {
        Wrong { within: vec![Key(key)], what: what.into(), help }
    }
    /// The same, seen from further out.
    fn below(mut self, step: Step) -> Wrong {
        self.within.insert(0, step);
        self
    }
}

pub(super) fn from_wire(member: &Member) -> Result<DrawnMember, Wrong> {
    if member.quantity == 0 {
        let help = "leave the member out, or write how many";
        return Err(Wrong::new("quantity", "it is wanted no times", help));
    }
    if member.length.0 <= Length::ZERO {
        return Err(Wrong::new("length", "no length", "write a length above nought"));
    }
    let features = member.features.iter().enumerate().map(|(number, feature)| {
        feature_from_wire(feature).map_err(|wrong| wrong.below(Item(number)).below(Key("features")))
    });
    Ok(DrawnMember {
        mark: member.mark.clone(),
        usage: member.usage.0,
        quantity: member.quantity,
        profile: Arc::from(member.profile.as_str()),
        length: member.length.0,
        length_tolerance: tolerance("length-tolerance", member.length_tolerance.as_ref())?,
        start: slope("start", member.start.as_ref())?,
        end: slope("end", member.end.as_ref())?,
        turnable: member.turnable,
        mark_text: member.mark_text.clone(),
        features: features.collect::<Result<_, _>>()?,
        source: String::new(),
    })
}

fn slope(key: &'static str, slope: Option<&Slope>) -> Result<EndShape, Wrong> {
    match slope {
        Some(Slope { run, .. }) if *run <= 0 => {
            Err(Wrong::new("run", "a slope runs across the web", "write a `run` above nought")
                .below(Key(key)))
        }
        Some(Slope { rise: 0, .. }) | None => Ok(EndShape::Square),
        Some(Slope { rise, run }) => Ok(EndShape::Slope { rise: *rise, run: *run }),
    }
}

/// A tolerance says how far below and above, each by a figure that is not below nought.
fn tolerance(
    key: &'static str,
    tolerance: Option<&Tolerance>,
) -> Result<Option<quantity::Tolerance>, Wrong> {
    let Some(tolerance) = tolerance else { return Ok(None) };
    for (side, figure) in [("minus", tolerance.minus), ("plus", tolerance.plus)] {
        let Figure(figure) = figure;
        if figure.is_negative() {
            let what = format!("`{side}` of `{key}` is {figure} mm");
            let help =
                "both are figures without a sign: { \"minus\": \"1 mm\", \"plus\": \"0.5 mm\" }";
            return Err(Wrong::new(side, what, help).below(Key(key)));
        }
    }
    Ok(Some(tolerance.settled()))
}

fn feature_from_wire(f: &Feature) -> Result<DrawnFeature, Wrong> {
    if !is_word(&f.kind) {
        let what = format!("`{}` cannot be the name of a feature type", f.kind);
        return Err(Wrong::new("kind", what, "use the name the library has"));
    }
    if f.width.is_some() && f.size.is_none() {
        let what = format!("a {} has a `width` and no `size`", f.kind);
        let help = "write its length as `size` beside it, or leave both to the feature type";
        return Err(Wrong::new("width", what, help));
    }
    let place = place(f)?;
    let faces = FACES.iter().filter(|(word, _)| f.faces.contains(word));
    let faces = faces.fold(model::Faces::empty(), |all, (_, face)| all | *face);
    Ok(DrawnFeature {
        kind: Arc::from(f.kind.as_str()),
        size: f.size.map(|size| (size.0, f.width.map(|width| width.0))),
        faces: Some(faces).filter(|f| !f.is_empty()),
        across: f.across.map(|across| across.0),
        place,
        across_tolerance: tolerance("across-tolerance", f.across_tolerance.as_ref())?,
    })
}

fn place(f: &Feature) -> Result<DrawnPlace, Wrong> {
    let position = |at: &Place| Position {
        datum: match at.datum {
            Origin::Start => Datum::Start,
            Origin::Middle => Datum::Middle,
            Origin::End => Datum::End,
        },
        offset: at.offset.0,
    };
    let own = tolerance("tolerance", f.tolerance.as_ref())?;
    let other = tolerance("to-tolerance", f.to_tolerance.as_ref())?;
    let ranges = f.from.is_some() && f.to.is_some();
    if other.is_some() && (own.is_none() || !ranges) {
        let (what, help) = match ranges {
            true => (
                "has a `to-tolerance` and no `tolerance`",
                "write how far its beginning may be off as `tolerance` beside it",
            ),
            false => (
                "has a `to-tolerance` and no second edge",
                "write `tolerance`: only a range from … to has two",
            ),
        };
        return Err(Wrong::new("to-tolerance", format!("a {} {what}", f.kind), help));
    }
    match (&f.at, &f.from, &f.to, f.end) {
        (Some(at), None, None, None) => Ok(DrawnPlace::Point { at: position(at), tolerance: own }),
        (None, Some(from), Some(to), None) => Ok(DrawnPlace::Range {
            from: position(from),
            to: position(to),
            tolerance: own.map(|own| (own, other.unwrap_or(own))),
        }),
        (None, None, None, Some(end)) => Ok(DrawnPlace::End {
            end: match end {
                End::Start => model::End::Start,
                End::End => model::End::End,
            },
            tolerance: own,
        }),
        _ => Err(Wrong {
            within: Vec::new(),
            what: format!("a {} is not placed in one way", f.kind),
            help: "give `at`, or `from` and `to`, or `end`",
        }),
    }
}
