//! Jobs, frames and members: who belongs to whom, each mark once, members alike made once.

use super::draft::{Draft, Standpoint};
use super::eval::{Resolver, Subject};
use super::files::Loaded;
use super::limits;
use super::mark_text::{Template, fields_help};
use super::said::{Defaults, Said, Standing};
use super::scope::Kind;
use super::value::Value;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::language::tree::{self, FramePart, Item};
use crate::member::model::{Frame, Job, Member, Shape, Waiver};
use crate::quantity::{Length, Span};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::hash::{BuildHasherDefault, DefaultHasher};
use std::sync::Arc;

type Table<K, V> = HashMap<K, V, BuildHasherDefault<DefaultHasher>>;

/// The marks of a frame, each with its place.
pub(super) type Marks = Table<Arc<str>, Span>;

/// Members that are made alike: the same recipe with equal arguments under equal settings.
#[derive(PartialEq, Eq, Hash)]
struct Alike {
    recipe: Option<usize>,
    args: Vec<Option<Value>>,
    length: Option<Length>,
    own: Standing,
    outer: Standing,
}

/// What a member comes to, apart from its name.
#[derive(Clone)]
struct Made<'a> {
    /// `None` once it is reported why there is none.
    shape: Option<Arc<Shape>>,
    /// Said by its recipes.
    quantity: Option<u32>,
    mark_text: Option<(&'a str, Span)>,
}

/// A job while its files are read.
pub(super) struct Building {
    pub(super) job: Job,
    /// Its frames with their marks, also those that came to nothing.
    pub(super) frames: BTreeMap<Arc<str>, (Span, Marks)>,
    /// Waivers with the place of their frame and mark.
    pub(super) waivers: Vec<(Waiver, Span, Span)>,
    marks: usize,
    pieces: u64,
    too_many: bool,
    /// Members written, made or not.
    written: usize,
    /// Whether something of it could not be read.
    pub(super) broken: bool,
    /// Whether a member that could be read could not be made.
    left_out: bool,
}

pub(super) struct Jobs<'r, 'n, 'a> {
    pub(super) resolver: &'r mut Resolver<'n, 'a>,
    loaded: &'a Loaded,
    /// What each file, with what it includes, says for all its frames.
    defaults: Vec<Defaults<'a>>,
    /// What pieces bear where their job does not say.
    template: &'a str,
    made: Table<Alike, Made<'a>>,
    draft: Draft<'a>,
    features: usize,
    pub(super) jobs: Vec<Building>,
}

impl<'r, 'n, 'a> Jobs<'r, 'n, 'a> {
    pub(super) fn new(
        resolver: &'r mut Resolver<'n, 'a>,
        loaded: &'a Loaded,
        template: &'a str,
    ) -> Jobs<'r, 'n, 'a> {
        Jobs {
            resolver,
            loaded,
            defaults: Vec::new(),
            template,
            made: Table::default(),
            draft: Draft::default(),
            features: 0,
            jobs: Vec::new(),
        }
    }

    /// All jobs of the listed files.
    pub(super) fn run(mut self) -> Vec<Job> {
        if let Err(wrong) = Template::cut(self.template) {
            self.resolver.say(
                Diagnostic::new(
                    &codes::E0239,
                    format!("the batch's mark text has `{wrong}`, which is no field"),
                )
                .help(fields_help(wrong)),
            );
            self.template = "{mark}";
        }
        for (index, file) in self.loaded.files.iter().enumerate() {
            let mut said = Said::default();
            self.resolver.begin(None);
            for item in &file.tree.items {
                if let Item::Setting(node) = item {
                    self.resolver.set(&mut said, index, node);
                }
            }
            said.quantity = None;
            // What the file leaves unsaid, the files it includes may say.
            let mut inherited = Defaults::default();
            for included in file.includes.iter().filter_map(|&(_, index)| index) {
                if let Some(defaults) = self.defaults.get(included) {
                    inherited.include(defaults);
                }
            }
            self.defaults.push(inherited.under(&said));
        }
        for &file in &self.loaded.listed {
            self.file(file);
        }
        for index in 0..self.jobs.len() {
            self.check_waivers(index);
        }
        for building in &self.jobs {
            if building.written == 0 && !building.broken {
                self.resolver.begin(None);
                self.resolver.say(
                    Diagnostic::new(
                        &codes::W0273,
                        format!("job {} has no members", building.job.name),
                    )
                    .at(building.job.span, "nothing to make")
                    .note("an empty job is almost always the wrong file, or one that lost its end")
                    .help("write its frames and members, or take the file out of the batch"),
                );
            }
        }
        self.jobs
            .into_iter()
            .map(|building| Job {
                waivers: building.waivers.into_iter().map(|(waiver, ..)| waiver).collect(),
                whole: !building.broken && !building.left_out,
                ..building.job
            })
            .collect()
    }

    /// One listed file: its job, its frames and those of the files it includes.
    fn file(&mut self, index: usize) {
        let Some(file) = self.loaded.files.get(index) else { return };
        self.resolver.begin(None);
        let mut lines = file.tree.items.iter().filter_map(|item| match item {
            Item::Job(node) => Some(node),
            _ => None,
        });
        let Some(node) = lines.next() else {
            // Its frames are looked through all the same: mistakes in them count.
            if !file.tree.broken {
                let start = Span::new(file.tree.file, 0, 0);
                let at = file.tree.items.first().map_or(start, |item| file.span(item.at()));
                self.resolver.say(
                    Diagnostic::new(&codes::E0262, format!("`{}` has no job line", file.path))
                        .at(at, "whose members are these?")
                        .note("a listed file is a job; files without a job line are there to be included")
                        .help("begin it with a line such as `job KP07 \"boatshed\" revision B`"),
                );
            }
            return;
        };
        if let Some(second) = lines.next() {
            self.resolver.say(
                Diagnostic::new(&codes::E0263, "a file has one job line")
                    .at(file.span(second.at), "a second one")
                    .at(file.span(node.at), "the first")
                    .help("put the second job into a file of its own, and list both"),
            );
        }
        let words = |at: Option<tree::At>| at.map_or("", |at| file.words(at));
        let (name, title, revision) =
            (file.words(node.name), words(node.title), words(node.revision));
        let span = file.span(node.at);
        let found = self.jobs.iter().position(|building| &*building.job.name == name);
        let building = match found {
            None => {
                self.jobs.push(Building {
                    job: Job {
                        name: name.into(),
                        title: title.into(),
                        revision: revision.into(),
                        frames: Vec::new(),
                        waivers: Vec::new(),
                        whole: true,
                        span,
                    },
                    frames: BTreeMap::new(),
                    waivers: Vec::new(),
                    marks: 0,
                    pieces: 0,
                    too_many: false,
                    written: 0,
                    broken: false,
                    left_out: false,
                });
                self.jobs.len() - 1
            }
            Some(building) => {
                self.same_job(building, revision, title, span);
                building
            }
        };
        if let Some(job) = self.jobs.get_mut(building) {
            job.broken |= file.tree.broken || !file.complete;
        }
        let mut seen = BTreeSet::new();
        self.frames(building, index, index, &mut seen);
    }

    /// A second file of a job.
    fn same_job(&mut self, building: usize, revision: &str, title: &str, span: Span) {
        let Some(building) = self.jobs.get_mut(building) else { return };
        let job = &mut building.job;
        if job.title.is_empty() {
            job.title = title.into();
        }
        if &*job.revision != revision {
            let or_none = |revision: &str| match revision {
                "" => "none".to_string(),
                revision => revision.to_string(),
            };
            let diagnostic = Diagnostic::new(
                &codes::E0266,
                format!("two files of job {} are of different revisions", job.name),
            )
            .at(span, format!("revision {} here", or_none(revision)))
            .at(job.span, format!("revision {} here", or_none(&job.revision)))
            .note("members of an old revision among new ones do not fit on site")
            .help("list the files of one revision only");
            self.resolver.say(diagnostic);
        }
    }

    /// Frames of a file and, where its include lines stand, of the files it includes.
    fn frames(
        &mut self,
        building: usize,
        job_file: usize,
        index: usize,
        seen: &mut BTreeSet<usize>,
    ) {
        let Some(file) = self.loaded.files.get(index) else { return };
        if !seen.insert(index) {
            return;
        }
        let mut includes = file.includes.iter();
        for item in &file.tree.items {
            match item {
                Item::Include(..) => {
                    let Some(&(at, included)) = includes.next() else { continue };
                    let Some(included) = included else { continue };
                    let Some(other) = self.loaded.files.get(included) else { continue };
                    let line = other.tree.items.iter().find_map(|item| match item {
                        Item::Job(node) => Some(other.span(node.at)),
                        _ => None,
                    });
                    if let Some(line) = line {
                        self.resolver.begin(None);
                        self.resolver.say(
                            Diagnostic::new(
                                &codes::E0264,
                                format!("`{}` is a job of its own", other.path),
                            )
                            .at(file.span(at), "included here")
                            .at(line, "its job line")
                            .note("included, its frames would be made under another job's name")
                            .help("list it in the batch; put what both need into a file without a job line"),
                        );
                        continue;
                    }
                    self.frames(building, job_file, included, seen);
                }
                Item::Frame(node) => self.frame(building, job_file, index, node),
                Item::Waive(node) => self.waive(building, index, node, None),
                _ => {}
            }
        }
    }

    fn frame(&mut self, building: usize, job_file: usize, file: usize, node: &'a tree::Frame) {
        let resolver = &mut *self.resolver;
        let Some(tree) = resolver.tree(file) else { return };
        resolver.begin(None);
        resolver.base = 0;
        resolver.locals.clear();
        let name: Arc<str> = Arc::from(resolver.names.words(file, node.name));
        let name_span = resolver.span(file, node.name);
        // Settings stand for all of the frame's members, those written above them too.
        let mut said = Said::default();
        for setting in tree.get(node.settings) {
            resolver.set(&mut said, file, setting);
        }
        let mut lets = Vec::new();
        let mut broken = node.broken;
        for part in tree.get(node.parts) {
            match part {
                FramePart::Let(node) => {
                    let value = resolver.eval(file, node.value);
                    let bound = (resolver.names.words(file, node.name), value);
                    if resolver.locals.len() < limits::LOCALS {
                        resolver.locals.push(bound.clone());
                    }
                    lets.push(bound);
                }
                FramePart::Setting(node) => {
                    resolver.set(&mut said, file, node);
                }
                FramePart::Broken(_) => broken = true,
                FramePart::Member(_) | FramePart::Waive(_) => {}
            }
        }
        resolver.locals.clear();
        // What could not be read may have said what now seems missing.
        said.spoiled |= broken;
        let outer = self.outer(&said, file, job_file);
        let quantity = said.quantity.map_or(1, |(quantity, _)| quantity);
        let mut members = Vec::new();
        let mut marks: Marks = Table::default();
        let mut lets = lets.into_iter();
        let mut written = 0;
        for part in tree.get(node.parts) {
            match part {
                FramePart::Let(_) => {
                    if let Some(bound) = lets.next()
                        && self.resolver.locals.len() < limits::LOCALS
                    {
                        self.resolver.locals.push(bound);
                    }
                }
                FramePart::Member(node) => {
                    written += 1;
                    let context = Context { building, frame: &name, quantity, outer: &outer };
                    self.member(&context, file, node, &mut marks, &mut members);
                }
                FramePart::Waive(node) => self.waive(building, file, node, Some(&name)),
                FramePart::Setting(_) | FramePart::Broken(_) => {}
            }
        }
        self.resolver.locals.clear();
        self.resolver.begin(None);
        if written == 0 && !broken {
            self.resolver.say(
                Diagnostic::new(&codes::W0268, format!("frame {name} has no members"))
                    .at(name_span, "nothing to make")
                    .help("write its members or take it out"),
            );
        }
        let Some(job) = self.jobs.get_mut(building) else { return };
        job.written += written;
        job.broken |= broken;
        if let Some((first, _)) = job.frames.get(&name) {
            let twice = Diagnostic::new(
                &codes::E0238,
                format!("job {} has two frames {name}", job.job.name),
            )
            .at(name_span, "again here")
            .at(*first, "first here")
            .note("the crew could not tell their members apart")
            .help("give one of them another name; to make a frame twice, say `quantity 2`");
            self.resolver.say(twice);
            job.left_out = true;
            return;
        }
        job.frames.insert(Arc::clone(&name), (name_span, marks));
        let Some(kind) = node.kind else { return };
        let words = |at: Option<tree::At>| at.map_or("", |at| self.resolver.names.words(file, at));
        job.job.frames.push(Frame {
            name,
            kind,
            title: Arc::from(words(node.title)),
            quantity,
            members,
            span: self.resolver.span(file, node.at),
        });
    }

    /// What stands for a frame's members: what it says itself, what its file says or includes,
    /// what the job's file says or includes.
    fn outer(&mut self, frame: &Said<'a>, file: usize, job_file: usize) -> Said<'a> {
        let mut said = *frame;
        let layers = if file == job_file { vec![file] } else { vec![file, job_file] };
        for layer in layers {
            let Some(defaults) = self.defaults.get(layer) else { continue };
            for &(topic, first, again) in &defaults.torn {
                if said.place(topic).is_none() {
                    self.resolver.said_twice(topic.word(), again, first);
                    said.spoiled = true;
                }
            }
            said = said.or(defaults.said);
        }
        said
    }

    fn member(
        &mut self,
        context: &Context<'_, 'a>,
        file: usize,
        node: &'a tree::Member,
        taken: &mut Marks,
        members: &mut Vec<Member>,
    ) {
        let Some(tree) = self.resolver.tree(file) else { return };
        self.resolver.begin(Some(Subject { file, node }));
        let mut marks: Vec<(Arc<str>, Span)> = Vec::new();
        for entry in tree.get(node.marks) {
            // One wrong entry does not hide what is wrong with the member.
            self.resolver.marks(file, entry, &mut marks);
        }
        marks.retain(|(mark, span)| self.resolver.take_mark(taken, mark, *span, context.frame));
        let made = self.make(context, file, node);
        let Some(job) = self.jobs.get_mut(context.building) else { return };
        job.left_out |= made.shape.is_none() || node.broken;
        let count = marks.len() as u64;
        let quantity = made.quantity.unwrap_or(1);
        job.marks += marks.len();
        job.pieces = job.pieces.saturating_add(
            count.saturating_mul(u64::from(quantity)).saturating_mul(u64::from(context.quantity)),
        );
        let limit = if job.marks > limits::MARKS_OF_A_JOB {
            Some(format!("{} marks", limits::MARKS_OF_A_JOB))
        } else if job.pieces > limits::PIECES {
            Some(format!("{} pieces", limits::PIECES))
        } else {
            None
        };
        if let Some(limit) = limit {
            job.left_out = true;
            if !std::mem::replace(&mut job.too_many, true) {
                let span = self.resolver.span(file, node.at);
                self.resolver.say(
                    Diagnostic::new(
                        &codes::E0213,
                        format!("job {} has more than {limit}", job.job.name),
                    )
                    .at(self.resolver.subject_span(span), "this goes beyond")
                    .note(
                        "no shop makes that in one job: most likely a range or a quantity is wrong",
                    )
                    .help("check the quantities of the frame and its members"),
                );
            }
            return;
        }
        let (Some(shape), Some(usage)) = (made.shape, node.usage) else { return };
        if node.broken {
            return;
        }
        let (text, at) = match made.mark_text.or(context.outer.mark_text) {
            Some((text, span)) => (text, Some(span)),
            None => (self.template, None),
        };
        let template = match (Template::cut(text), at) {
            (Ok(template), _) => template,
            (Err(wrong), Some(at)) => {
                self.resolver.say(
                    Diagnostic::new(&codes::E0239, format!("`{wrong}` is no field"))
                        .at(at, "in this mark text")
                        .help(fields_help(wrong)),
                );
                return;
            }
            (Err(_), None) => return,
        };
        let origin = self.loaded.files.get(file).and_then(|f| f.origin(node.at.start)).cloned();
        for (mark, span) in marks {
            let mark_text = template.fill(&job.job.name, context.frame, &mark);
            let mark_text = Arc::from(mark_text.as_str());
            let shape = Arc::clone(&shape);
            let origin = origin.clone();
            members.push(Member { mark, mark_text, usage, quantity, shape, span, origin });
        }
    }

    /// Makes a member's shape, or takes the one that was made before.
    fn make(&mut self, context: &Context<'_, 'a>, file: usize, node: &'a tree::Member) -> Made<'a> {
        let mut draft = std::mem::take(&mut self.draft);
        draft.begin();
        let made = self.make_in(&mut draft, context, file, node);
        self.draft = draft;
        made
    }
    fn make_in(
        &mut self,
        draft: &mut Draft<'a>,
        context: &Context<'_, 'a>,
        file: usize,
        node: &'a tree::Member,
    ) -> Made<'a> {
        let nothing = Made { shape: None, quantity: None, mark_text: None };
        let resolver = &mut *self.resolver;
        let here = Standpoint { file, level: 0, group: None };
        let Some(tree) = resolver.tree(file) else { return nothing };
        // What could not be read of it may have said what now seems missing.
        draft.spoiled |= node.broken;
        for setting in tree.get(node.settings) {
            draft.spoiled |= resolver.setting(draft, here, setting).is_none();
        }
        let mut alike = None;
        if let (None, Some(call), false) = (node.body, &node.recipe, context.outer.spoiled) {
            let name = resolver.names.words(file, call.name);
            let id = resolver.names.first(file, name, Kind::Callable);
            let args = id.and_then(|id| resolver.arguments(file, call, id));
            let own = draft.levels.first().map(|level| level.said.standing());
            if let (Some(id), Some(args), Some(own), false) = (id, args, own, draft.spoiled) {
                let key = Alike {
                    recipe: Some(id),
                    args: args.into_iter().map(|(_, value)| value).collect(),
                    length: draft.length.map(|(length, _)| length),
                    own,
                    outer: context.outer.standing(),
                };
                if let Some(made) = self.made.get(&key) {
                    return own_words(draft, made.clone());
                }
                alike = Some(key);
            }
        }
        if let Some(call) = &node.recipe {
            draft.spoiled |= resolver.call(draft, here, call, None).is_none();
        }
        if let Some(body) = &node.body {
            resolver.block(draft, here, body);
        }
        let at = resolver.span(file, node.at);
        let at = resolver.subject_span(at);
        let shape = resolver.settle_shape(draft, context.outer, at);
        let shape = shape.filter(|_| !draft.spoiled && !context.outer.spoiled && !resolver.spent);
        self.features += shape.as_ref().map_or(0, |shape| shape.features.len());
        if self.features > limits::FEATURES && resolver.all_steps > 0 {
            resolver.all_steps = 0;
            let message = format!("these jobs have more than {} features", limits::FEATURES);
            resolver.too_much(message, file, node.at);
        }
        let made = Made {
            shape: shape.map(Arc::new),
            quantity: resolver.chain(draft, "quantity", |said| said.quantity, None),
            mark_text: resolver.chain(
                draft,
                "mark text",
                |said| said.mark_text.map(|m| (m, m.1)),
                None,
            ),
        };
        if let Some(key) = alike {
            // What the member itself says is no part of what is shared.
            let recipes = draft.levels.split_off(1);
            let own = std::mem::replace(&mut draft.levels, recipes);
            let shared = Made {
                shape: made.shape.clone(),
                quantity: resolver.chain(draft, "quantity", |said| said.quantity, None),
                mark_text: resolver.chain(
                    draft,
                    "mark text",
                    |said| said.mark_text.map(|m| (m, m.1)),
                    None,
                ),
            };
            draft.levels = own;
            self.made.insert(key, shared);
        }
        made
    }
}

/// A shared member with the quantity and mark text this one says itself.
fn own_words<'a>(draft: &Draft<'a>, shared: Made<'a>) -> Made<'a> {
    let said = draft.levels.first().map(|level| level.said).unwrap_or_default();
    Made {
        quantity: said.quantity.map(|(quantity, _)| quantity).or(shared.quantity),
        mark_text: said.mark_text.or(shared.mark_text),
        ..shared
    }
}

/// What a member stands in.
struct Context<'c, 'a> {
    building: usize,
    frame: &'c Arc<str>,
    quantity: u32,
    outer: &'c Said<'a>,
}

impl Resolver<'_, '_> {
    /// Whether a mark is new in its frame; reports it otherwise.
    fn take_mark(&mut self, taken: &mut Marks, mark: &Arc<str>, span: Span, frame: &str) -> bool {
        let Some(&first) = taken.get(mark) else {
            taken.insert(Arc::clone(mark), span);
            return true;
        };
        let mut twice =
            Diagnostic::new(&codes::E0237, format!("mark {mark} is twice in frame {frame}"))
                .at(span, "again here");
        if first != span {
            twice = twice.at(first, "first here");
        }
        self.say(
            twice
                .note("the crew looks for a mark and takes the first part that bears it")
                .help("give it another mark; for several alike, say `quantity`"),
        );
        false
    }
}
