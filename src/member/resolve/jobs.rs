//! Files to jobs: frames and members in order, marks counted out, shapes shared.

use super::draft::{Draft, Standpoint};
use super::eval::{Resolver, Subject};
use super::files::Loaded;
use super::limits;
use super::said::{Said, Standing};
use super::scope::Kind;
use super::value::Value;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::language::tree::{self, At, FramePart, Item, Waive};
use crate::member::model::{Frame, FrameKind, Job, Member, Shape, Waiver};
use crate::quantity::Span;
use std::collections::{BTreeMap, HashMap};
use std::hash::{BuildHasherDefault, DefaultHasher};
use std::sync::Arc;

/// One recipe called with these values under these rules makes one shape.
type Call = (usize, Vec<Option<Value>>, Standing, Standing);

/// Makes the jobs of the listed files.
pub(super) struct Maker<'r, 'n, 'a> {
    pub resolver: &'r mut Resolver<'n, 'a>,
    pub loaded: &'a Loaded,
    /// Template of mark texts where members do not say.
    pub mark_text: &'a str,
    draft: Draft<'a>,
    made: HashMap<Call, Option<Arc<Shape>>, BuildHasherDefault<DefaultHasher>>,
    features: usize,
}

/// A job while its frames are gathered.
struct Opened {
    job: Job,
    frames: BTreeMap<Arc<str>, Span>,
    marks: usize,
    pieces: u64,
    /// Whether any member is written in it, made or not.
    written: bool,
}

impl<'r, 'n, 'a> Maker<'r, 'n, 'a> {
    pub(super) fn new(
        resolver: &'r mut Resolver<'n, 'a>,
        loaded: &'a Loaded,
        mark_text: &'a str,
    ) -> Maker<'r, 'n, 'a> {
        Maker {
            resolver,
            loaded,
            mark_text,
            draft: Draft::default(),
            made: HashMap::default(),
            features: 0,
        }
    }

    pub(super) fn jobs(&mut self) -> Vec<Job> {
        let mut opened: Vec<Opened> = Vec::new();
        for &listed in &self.loaded.listed {
            let Some(head) = self.head(listed) else { continue };
            let place = self.open(&mut opened, head);
            let Some(job) = place.and_then(|i| opened.get_mut(i)) else { continue };
            let of_job = self.standing_of_file(listed);
            let visible = self.loaded.files.get(listed).map_or(&[][..], |f| &f.visible);
            for &file in visible.iter().rev() {
                self.refuse_inner_job(file);
                let said = self.standing_of_file(file).or(of_job);
                self.file(job, file, &said);
            }
            self.file(job, listed, &of_job);
        }
        for job in &opened {
            if !job.written {
                self.resolver.begin(None);
                self.resolver.say(
                    Diagnostic::new(&codes::W0273, format!("job {} has no members", job.job.name))
                        .at(job.job.span, "nothing to make")
                        .note("a batch with this job makes nothing of it")
                        .help("write its frames below, or take the file off the batch"),
                );
            }
        }
        opened.into_iter().map(|opened| opened.job).collect()
    }

    /// The job line of a listed file.
    fn head(&mut self, file: usize) -> Option<Job> {
        let names = self.resolver.names;
        let of = self.loaded.files.get(file)?;
        let mut first: Option<Job> = None;
        for item in &of.tree.items {
            let Item::Job(node) = item else { continue };
            let span = of.span(node.at);
            if let Some(first) = &first {
                self.resolver.begin(None);
                self.resolver.say(
                    Diagnostic::new(&codes::E0264, "a file has one job line")
                        .at(span, "another here")
                        .at(first.span, "the first")
                        .note("frames below would belong to two jobs")
                        .help("put the second job into a file of its own"),
                );
                continue;
            }
            let text = |at: Option<At>| at.map_or("", |at| names.words(file, at));
            first = Some(Job {
                name: names.words(file, node.name).into(),
                title: text(node.title).into(),
                revision: text(node.revision).into(),
                frames: Vec::new(),
                waivers: Vec::new(),
                span,
            });
        }
        if first.is_none() && of.complete {
            self.resolver.begin(None);
            let at = of.tree.items.first().map_or(At::default(), Item::at);
            self.resolver.say(
                Diagnostic::new(&codes::E0263, format!("`{}` has no job line", of.path))
                    .at(of.span(at), "the job line belongs above this")
                    .note(
                        "every piece is known by its job; a file without one can only be included",
                    )
                    .help(
                        "begin the file with a line such as `job KP07 \"north walls\" revision A`",
                    ),
            );
        }
        first
    }

    /// Starts a job, or goes on with one that an earlier file began in the same revision.
    fn open(&mut self, opened: &mut Vec<Opened>, head: Job) -> Option<usize> {
        let before = opened.iter().position(|o| o.job.name == head.name);
        let Some(index) = before else {
            opened.push(Opened {
                job: head,
                frames: BTreeMap::new(),
                marks: 0,
                pieces: 0,
                written: false,
            });
            return Some(opened.len() - 1);
        };
        let first = opened.get(index).map(|o| (o.job.revision.clone(), o.job.span))?;
        if first.0 == head.revision {
            return Some(index);
        }
        self.resolver.begin(None);
        self.resolver.say(
            Diagnostic::new(&codes::E0245, format!("job {} comes in two revisions", head.name))
                .at(head.span, format!("revision `{}` here", head.revision))
                .at(first.1, format!("revision `{}` here", first.0))
                .note("a crew holding one drawing would get pieces of the other")
                .help("take the older revision off the batch"),
        );
        None
    }

    fn refuse_inner_job(&mut self, file: usize) {
        let Some(of) = self.loaded.files.get(file) else { return };
        for item in &of.tree.items {
            let Item::Job(node) = item else { continue };
            let span = of.span(node.at);
            self.resolver.begin(None);
            self.resolver.say(
                Diagnostic::new(
                    &codes::E0262,
                    format!("`{}` is included and has a job line", of.path),
                )
                .at(span, "a job of its own")
                .note("its members would count for two jobs")
                .help(
                    "take the job line out, or list the file in the batch instead of including it",
                ),
            );
        }
    }

    /// What a file says for all its frames.
    fn standing_of_file(&mut self, file: usize) -> Said<'a> {
        let mut said = Said::default();
        let Some(of) = self.loaded.files.get(file) else { return said };
        self.resolver.begin(None);
        for item in &of.tree.items {
            if let Item::Setting(setting) = item {
                self.resolver.set(&mut said, file, setting);
            }
        }
        said
    }

    fn file(&mut self, job: &mut Opened, file: usize, outer: &Said<'a>) {
        let Some(of) = self.loaded.files.get(file) else { return };
        for item in &of.tree.items {
            match item {
                Item::Frame(node) => self.frame(job, file, node, outer),
                Item::Waive(node) => {
                    let waiver = self.waiver(file, node, None);
                    job.job.waivers.push(waiver);
                }
                _ => {}
            }
        }
    }

    fn waiver(&self, file: usize, node: &Waive, frame: Option<&Arc<str>>) -> Waiver {
        let names = self.resolver.names;
        let text = |at: At| -> Arc<str> { names.words(file, at).into() };
        Waiver {
            rule: text(node.rule),
            frame: node.frame.map(text).or_else(|| frame.cloned()),
            mark: node.mark.map(text),
            reference: text(node.reference),
            by: text(node.by),
            span: names.span(file, node.at),
        }
    }

    fn frame(&mut self, job: &mut Opened, file: usize, node: &'a tree::Frame, outer: &Said<'a>) {
        let Some(of) = self.loaded.files.get(file) else { return };
        let name: Arc<str> = of.words(node.name).into();
        let span = of.span(node.name);
        self.resolver.begin(None);
        if let Some(&first) = job.frames.get(&name)
            && !name.is_empty()
        {
            self.resolver.say(
                Diagnostic::new(
                    &codes::E0243,
                    format!("frame {name} is written twice in job {}", job.job.name),
                )
                .at(span, "again here")
                .at(first, "first here")
                .note("two bundles would bear one name")
                .help("give one of them another name; for two alike, say `quantity 2`"),
            );
            return;
        }
        job.frames.insert(Arc::clone(&name), span);
        let mut said = Said::default();
        for setting in of.tree.get(node.settings) {
            self.resolver.set(&mut said, file, setting);
        }
        // Defaults hold for the whole frame, wherever in it they stand.
        for part in of.tree.get(node.parts) {
            match part {
                FramePart::Let(binding) => self.bind(file, binding),
                FramePart::Setting(setting) => {
                    self.resolver.set(&mut said, file, setting);
                }
                _ => {}
            }
        }
        self.resolver.locals.clear();
        let quantity = said.quantity.map_or(1, |(count, _)| count);
        let inner = said.or(*outer);
        let mut frame = Frame {
            name: Arc::clone(&name),
            kind: node.kind.unwrap_or(FrameKind::Loose),
            title: node.title.map_or("", |at| of.words(at)).into(),
            quantity,
            members: Vec::new(),
            span: of.span(node.at),
        };
        let mut marks: BTreeMap<Arc<str>, Span> = BTreeMap::new();
        for part in of.tree.get(node.parts) {
            match part {
                FramePart::Let(binding) => self.bind(file, binding),
                FramePart::Member(member) => {
                    self.member(job, &mut frame, &mut marks, file, member, &inner);
                }
                FramePart::Waive(waive) => {
                    let waiver = self.waiver(file, waive, Some(&name));
                    job.job.waivers.push(waiver);
                }
                FramePart::Setting(_) | FramePart::Broken(_) => {}
            }
        }
        self.resolver.locals.clear();
        job.job.frames.push(frame);
    }

    fn bind(&mut self, file: usize, binding: &tree::Let) {
        let value = self.resolver.eval(file, binding.value);
        if self.resolver.locals.len() < limits::LOCALS {
            let name = self.resolver.names.words(file, binding.name);
            self.resolver.locals.push((name, value));
        }
    }

    fn member(
        &mut self,
        job: &mut Opened,
        frame: &mut Frame,
        marks: &mut BTreeMap<Arc<str>, Span>,
        file: usize,
        node: &'a tree::Member,
        outer: &Said<'a>,
    ) {
        let Some(of) = self.loaded.files.get(file) else { return };
        job.written = true;
        let span = of.span(node.at);
        let names = self.marks(file, of.tree.get(node.marks));
        let words = names.first().map_or("a member", |(mark, _)| mark).to_string();
        let known = self.resolver.locals.len();
        self.resolver.begin(Some(Subject { span, words }));
        let (shape, said) = self.shape(file, node, outer, span);
        self.resolver.locals.truncate(known);
        let Some((shape, usage)) = shape.zip(node.usage) else { return };
        let quantity = said.quantity.map_or(1, |(count, _)| count);
        let template = said.mark_text.or(outer.mark_text).map_or(self.mark_text, |(text, _)| text);
        for (mark, at) in names {
            let mark: Arc<str> = mark.into();
            if let Some(&first) = marks.get(&mark) {
                self.resolver.say(
                    Diagnostic::new(
                        &codes::E0242,
                        format!("mark {mark} is given twice in frame {}", frame.name),
                    )
                    .at(at, "again here")
                    .at(first, "first here")
                    .note("a crew could not tell the two apart")
                    .help("give one of them another mark; for two alike, say `quantity 2`"),
                );
                continue;
            }
            marks.insert(Arc::clone(&mark), at);
            job.marks += 1;
            job.pieces += u64::from(quantity) * u64::from(frame.quantity);
            if job.marks > limits::MARKS_OF_A_JOB || job.pieces > limits::PIECES {
                self.resolver.say(
                    Diagnostic::new(
                        &codes::E0214,
                        format!(
                            "job {} has more than {} marks or {} pieces",
                            job.job.name,
                            limits::MARKS_OF_A_JOB,
                            limits::PIECES
                        ),
                    )
                    .at(at, "this is one too many")
                    .note("no shop makes that in a job: most likely a range or a quantity is wrong")
                    .help("check ranges of marks and quantities, or part the job"),
                );
                return;
            }
            frame.members.push(Member {
                mark_text: fill(template, &job.job.name, &frame.name, &mark).into(),
                mark,
                usage,
                quantity,
                shape: Arc::clone(&shape),
                span,
            });
        }
    }

    fn shape(
        &mut self,
        file: usize,
        node: &'a tree::Member,
        outer: &Said<'a>,
        span: Span,
    ) -> (Option<Arc<Shape>>, Said<'a>) {
        let Some(tree) = self.resolver.tree(file) else { return (None, Said::default()) };
        self.draft.begin();
        let here = Standpoint { file, level: 0, group: None };
        let mut sound = !node.broken;
        for setting in tree.get(node.settings) {
            sound &= self.resolver.setting(&mut self.draft, here, setting).is_some();
        }
        let said = self.draft.levels.first().map(|level| level.said).unwrap_or_default();
        // A member that only calls a recipe is made like every other that calls it alike.
        let key = match (&node.recipe, &node.body) {
            (Some(call), None) if sound && self.draft.length.is_none() => {
                self.key(file, call, &said, outer)
            }
            _ => None,
        };
        if let Some(made) = key.as_ref().and_then(|key| self.made.get(key)) {
            return (made.clone(), said);
        }
        if let Some(call) = &node.recipe {
            sound &= self.resolver.call(&mut self.draft, here, call, None).is_some();
        }
        if let Some(body) = &node.body {
            self.resolver.block(&mut self.draft, here, body);
        }
        self.draft.spoiled |= !sound;
        let said = self.draft.levels.first().map(|level| level.said).unwrap_or_default();
        let shape = self.resolver.shape(&self.draft, outer, span);
        self.features += shape.as_ref().map_or(0, |shape| shape.features.len());
        if self.features > limits::FEATURES {
            self.resolver.say(
                Diagnostic::new(
                    &codes::E0213,
                    format!("more than {} features in all", limits::FEATURES),
                )
                .at(span, "at this member")
                .note("three hundred houses need half of that: most likely a pattern runs wild")
                .help("check steps and counts, or split the batch"),
            );
            return (None, said);
        }
        let shape = shape.map(Arc::new);
        if let Some(key) = key {
            self.made.insert(key, shape.clone());
        }
        (shape, said)
    }

    fn key(
        &mut self,
        file: usize,
        call: &tree::Call,
        said: &Said<'a>,
        outer: &Said<'a>,
    ) -> Option<Call> {
        let name = self.resolver.names.words(file, call.name);
        let id = self.resolver.names.first(file, name, Kind::Callable)?;
        let args = self.resolver.arguments(file, call, id)?;
        let values = args.into_iter().map(|(_, value)| value).collect();
        Some((id, values, said.standing(), outer.standing()))
    }

    /// Marks, ranges counted out, each with its place.
    fn marks(&mut self, file: usize, nodes: &[tree::Marks]) -> Vec<(String, Span)> {
        let names = self.resolver.names;
        self.resolver.begin(None);
        let mut marks = Vec::new();
        for node in nodes {
            let from = names.words(file, node.from);
            let Some(to) = node.to else {
                if !from.is_empty() {
                    marks.push((from.to_string(), names.span(file, node.from)));
                }
                continue;
            };
            let span = names.span(file, node.at);
            match counted(from, names.words(file, to)) {
                Ok(range) => marks.extend(range.into_iter().map(|mark| (mark, span))),
                Err(why) => self.resolver.say(
                    Diagnostic::new(
                        &codes::E0240,
                        format!("`{from}..{}` {why}", names.words(file, to)),
                    )
                    .at(span, "not a range of marks")
                    .note("every piece needs a mark that a crew can look for")
                    .help("write it like `S1..S7` or `N01..N12`, or list the marks"),
                ),
            }
        }
        marks
    }
}

/// `S1`, `S7` → `S1` to `S7`; both have the same words before the number, and the same zeros.
fn counted(from: &str, to: &str) -> Result<Vec<String>, String> {
    let (before, first) = numbered(from).ok_or("does not begin with a number at its end")?;
    let (before_too, last) = numbered(to).ok_or("does not end with a number")?;
    if before != before_too {
        return Err(format!("goes from `{before}…` to `{before_too}…`"));
    }
    let number = |digits: &str| digits.parse::<u32>().map_err(|_| "counts too far".to_string());
    let (a, b) = (number(first)?, number(last)?);
    if a > b {
        return Err("counts down".to_string());
    }
    if (b - a) as usize >= limits::LIST {
        return Err(format!("has more than {} marks", limits::LIST));
    }
    let padded = first.starts_with('0') && first.len() > 1;
    if padded && first.len() != last.len() {
        return Err("changes its number of digits".to_string());
    }
    let width = if padded { first.len() } else { 0 };
    Ok((a..=b).map(|n| format!("{before}{n:0width$}")).collect())
}

/// A mark as the words before its last number, and that number.
fn numbered(mark: &str) -> Option<(&str, &str)> {
    let digits = mark.chars().rev().take_while(char::is_ascii_digit).count();
    let at = mark.len() - digits;
    let (before, number) = (mark.get(..at)?, mark.get(at..)?);
    (!number.is_empty()).then_some((before, number))
}

/// A template with job, frame and mark put in.
fn fill(template: &str, job: &str, frame: &str, mark: &str) -> String {
    template.replace("{job}", job).replace("{frame}", frame).replace("{mark}", mark)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_keep_their_zeros() {
        assert_eq!(counted("S8", "S11").unwrap(), ["S8", "S9", "S10", "S11"]);
        assert_eq!(counted("2B-01", "2B-03").unwrap(), ["2B-01", "2B-02", "2B-03"]);
        for (from, to) in
            [("S1", "T3"), ("S3", "S1"), ("S", "S2"), ("S09", "S100"), ("S1", "S99999")]
        {
            assert!(counted(from, to).is_err(), "{from}..{to}");
        }
        assert!(counted("S1", "S99999999999").is_err());
    }

    #[test]
    fn a_template_is_filled() {
        assert_eq!(fill("{job} {frame} {mark}", "KP07", "N1", "S3"), "KP07 N1 S3");
        assert_eq!(fill("plain", "KP07", "N1", "S3"), "plain");
    }
}
