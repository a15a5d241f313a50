//! Several files as one job. What two of them say of the job or of one frame has to agree: how
//! many frames are wanted must not hang on which file is named first.

use super::answer::Answer;
use super::drawn::{DrawnFrame, DrawnJob};
use super::json;
use super::map::Map;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::language::frame_kind_word;
use crate::member::model::FrameKind;
use crate::quantity::{FileId, Sources, Span};
use std::collections::BTreeMap;

/// Most contradictions between files that are told.
const MOST: usize = 20;

/// Where a file says what it says of its job and frames.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub enum Said {
    /// Wherever the words are found in it.
    #[default]
    Somewhere,
    /// Under keys.
    Json,
    /// In cells: for each frame.
    List(Vec<FrameSaid>),
}

/// Where a list says what it says of a frame.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct FrameSaid {
    /// Its first row.
    pub begins: Span,
    /// The first cell with its kind; without one the kind is not said.
    pub kind: Option<Span>,
    /// The first cell with its title.
    pub title: Option<Span>,
}

/// What is asked of a file.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Asked {
    /// A key of the job.
    Job(&'static str),
    /// A key of a frame, by the frame's number in its file.
    Frame(usize, &'static str),
}

/// A file that was read.
#[derive(Debug)]
pub struct Part {
    /// The file.
    pub file: FileId,
    /// What it says.
    pub job: DrawnJob,
    /// What became of what it holds.
    pub answer: Answer,
}

/// The job that several files make; with their answers, which say what the map or another file
/// decided for them. `None` where there is no file, or where two contradict each other.
pub fn merged(
    parts: &mut [Part],
    map: Option<&Map>,
    sources: &Sources,
) -> (Option<DrawnJob>, Vec<Diagnostic>) {
    for part in parts.iter_mut() {
        named_by_map(part, map);
    }
    let mut merging = Merging {
        sources,
        job: DrawnJob::default(),
        default_kind: None,
        said: BTreeMap::new(),
        found: Vec::new(),
    };
    let mut frames: BTreeMap<String, (usize, BTreeMap<String, String>)> = BTreeMap::new();
    for part in parts.iter() {
        merging.job(part, map.is_some_and(|map| map.job.is_some()));
        merging.default_kind = match (&part.answer.said, map) {
            (Said::Somewhere, map) => {
                let kind = map.map_or(FrameKind::Wall, Map::default_kind);
                let text = text_of(sources, part.file);
                Some(kind).filter(|kind| word_in(text, frame_kind_word(*kind)).is_none())
            }
            _ => None,
        };
        for (number, frame) in part.job.frames.iter().enumerate() {
            let next = merging.job.frames.len();
            let (at, marks) =
                frames.entry(frame.name.clone()).or_insert_with(|| (next, BTreeMap::new()));
            merging.frame(part, number, frame, *at);
            merging.members(frame, *at, marks);
        }
        // Each model of a job may carry what was waived for all of it.
        let had = &mut merging.job.waivers;
        had.extend(
            part.job
                .waivers
                .iter()
                .filter(|waiver| !had.contains(waiver))
                .cloned()
                .collect::<Vec<_>>(),
        );
    }
    let Merging { job, mut found, .. } = merging;
    if found.len() > MOST {
        found.truncate(MOST);
        if let Some(first) = found.first_mut() {
            first.notes.push(format!("after {MOST} contradictions between files no more are told"));
        }
    }
    let whole = found.is_empty() && !parts.is_empty();
    (whole.then_some(job), found)
}

/// What the map's [job] says of the job it says for every file.
fn named_by_map(part: &mut Part, map: Option<&Map>) {
    let Some(said) = map.and_then(Map::drawn_job) else { return };
    let Part { job, answer, .. } = part;
    for (what, own, wanted) in [
        ("job", &mut job.name, said.name),
        ("title", &mut job.title, said.title),
        ("revision", &mut job.revision, said.revision),
    ] {
        if wanted.is_empty() || *own == wanted {
            continue;
        }
        if !own.is_empty() {
            answer
                .remarks
                .push(format!("Its {what} is `{own}`: taken as `{wanted}`, as the map says."));
        }
        *own = wanted;
    }
}

struct Merging<'s> {
    sources: &'s Sources,
    job: DrawnJob,
    /// The kind that frames of the file at hand have because it says none.
    default_kind: Option<FrameKind>,
    /// What was said first, by what it is of: the words, and where.
    said: BTreeMap<(String, &'static str), (String, Span)>,
    found: Vec<Diagnostic>,
}

impl Merging<'_> {
    fn job(&mut self, part: &Part, by_map: bool) {
        let of = |job: &DrawnJob| [job.name.clone(), job.title.clone(), job.revision.clone()];
        let [name, title, revision] = of(&part.job);
        for (key, value) in [("name", name), ("title", title), ("revision", revision)] {
            if !value.is_empty() {
                let what = if key == "name" { "job" } else { key };
                let help = match by_map {
                    true => format!("correct one of them, or write `{key}` under [job] of the map"),
                    false => format!(
                        "correct one of them; import them into two members files; or name a map \
                         whose [job] says `{key}` for all"
                    ),
                };
                self.says(part, String::new(), (what, Asked::Job(key)), value, &help);
            }
        }
        let said = |what| self.said.get(&(String::new(), what)).map(|(value, _)| value.clone());
        self.job.name = said("job").unwrap_or_default();
        self.job.title = said("title").unwrap_or_default();
        self.job.revision = said("revision").unwrap_or_default();
    }

    /// What a file says of a frame, which is `at` in the job.
    fn frame(&mut self, part: &Part, number: usize, frame: &DrawnFrame, at: usize) {
        if at == self.job.frames.len() {
            self.job.frames.push(DrawnFrame { members: Vec::new(), ..frame.clone() });
        }
        let listed = match &part.answer.said {
            Said::List(frames) => frames.get(number),
            _ => None,
        };
        let kind_said = match listed {
            Some(said) => said.kind.is_some(),
            None => self.default_kind != Some(frame.kind),
        };
        let word = frame_kind_word(frame.kind).to_string();
        let quantity = frame.quantity.to_string();
        let all = [
            ("kind", word, kind_said),
            ("title", frame.title.clone(), !frame.title.is_empty()),
            ("quantity", quantity, true),
        ];
        for (what, value, is_said) in all {
            if is_said {
                let help = "correct the one that is wrong, or give one of the frames another name";
                let asked = (what, Asked::Frame(number, what));
                self.says(part, frame.name.clone(), asked, value, help);
            }
        }
        // What only a later file says is so all the same.
        let first = |what| self.said.get(&(frame.name.clone(), what)).map(|(value, _)| value);
        let (kind, title) = (first("kind"), first("title"));
        if let Some(known) = self.job.frames.get_mut(at) {
            if kind.is_some_and(|kind| kind == frame_kind_word(frame.kind)) && kind_said {
                known.kind = frame.kind;
            }
            if let Some(title) = title {
                known.title.clone_from(title);
            }
        }
    }

    /// One thing a file says of the job, or of a frame: what an earlier file said of it stands.
    fn says(
        &mut self,
        part: &Part,
        frame: String,
        (what, asked): (&'static str, Asked),
        value: String,
        help: &str,
    ) {
        let key = (frame, what);
        match self.said.get(&key) {
            None => {
                let at = self.place(part, asked, &value);
                self.said.insert(key, (value, at));
            }
            Some((first, _)) if *first == value => {}
            Some(_) if self.found.len() > MOST => {}
            Some((first, first_at)) => {
                let of = match key.0.as_str() {
                    "" => "the job".to_string(),
                    name => format!("frame {name}"),
                };
                let message = match asked {
                    Asked::Job("name") => {
                        format!("these files are of two jobs: `{first}` and `{value}`")
                    }
                    _ => format!("two files say another {what} of {of}: `{first}` and `{value}`"),
                };
                let label = |value: &str| match (what, &part.answer.said) {
                    ("quantity", _) => format!("quantity {value}"),
                    _ => format!("`{value}`"),
                };
                let at = self.place(part, asked, &value);
                self.found.push(
                    Diagnostic::new(&codes::E1107, message)
                        .at(at, label(&value))
                        .at(*first_at, label(first))
                        .note(match what {
                            "quantity" => "a file that says no quantity means one frame: too many pieces would be made, or too few",
                            _ => "one of them would be lost, and which hangs on the order of the files",
                        })
                        .help(help),
                );
            }
        }
    }

    /// Where a file says it; its beginning, where that cannot be told.
    fn place(&self, part: &Part, asked: Asked, value: &str) -> Span {
        let text = text_of(self.sources, part.file);
        let span = |range: std::ops::Range<usize>| {
            let at = |place: usize| u32::try_from(place).unwrap_or(u32::MAX);
            Span::new(part.file, at(range.start), at(range.end.max(range.start + 1)))
        };
        match (&part.answer.said, asked) {
            (Said::List(frames), Asked::Frame(number, what)) => {
                let Some(said) = frames.get(number) else { return span(0..1) };
                let cell = match what {
                    "kind" => said.kind,
                    "title" => said.title,
                    _ => None,
                };
                cell.unwrap_or(said.begins)
            }
            (Said::List(_), Asked::Job(_)) => span(0..1),
            (Said::Json, asked) => span(first_line(text, json::place_of(text, asked))),
            (Said::Somewhere, Asked::Frame(_, "quantity")) => span(0..1),
            (Said::Somewhere, _) => span(word_in(text, value).unwrap_or(0..1)),
        }
    }

    /// The members of a file's frame; none may bear the mark of another.
    fn members(&mut self, frame: &DrawnFrame, at: usize, marks: &mut BTreeMap<String, String>) {
        for member in &frame.members {
            let first = marks.entry(member.mark.clone()).or_insert_with(|| member.source.clone());
            if *first != member.source && self.found.len() <= MOST {
                self.found.push(
                    Diagnostic::new(
                        &codes::E1119,
                        format!(
                            "mark {} is twice in frame {}: in {first} and in {}",
                            member.mark, frame.name, member.source
                        ),
                    )
                    .help("give one of them another mark, or leave one file out"),
                );
            }
        }
        if let Some(known) = self.job.frames.get_mut(at) {
            known.members.extend(frame.members.iter().cloned());
        }
    }
}

fn text_of(sources: &Sources, file: FileId) -> &str {
    sources.get(file).map_or("", |source| source.text())
}

/// As much of a range as stands on its first line.
fn first_line(text: &str, range: std::ops::Range<usize>) -> std::ops::Range<usize> {
    let shown = text.get(range.clone()).unwrap_or("");
    let end = shown.find('\n').map_or(range.end, |at| range.start + at);
    range.start..end
}

/// Where a text stands first, by itself and not as a part of a word.
fn word_in(text: &str, word: &str) -> Option<std::ops::Range<usize>> {
    let joins = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    let alone = |at: &usize| {
        let before = text.get(..*at).and_then(|t| t.chars().next_back());
        let after = text.get(at + word.len()..).and_then(|t| t.chars().next());
        !joins(before) && !joins(after)
    };
    let at = text.match_indices(word).map(|(at, _)| at).filter(|_| !word.is_empty()).find(alone)?;
    Some(at..at + word.len())
}
