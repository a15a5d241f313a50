//! The files of a run: the listed ones, and what they include.

use super::findings::Findings;
use super::limits;
use crate::diagnostic::codes::resolve as codes;
use crate::diagnostic::{Diagnostic, load};
use crate::language::imported::is_untouched;
use crate::language::parse;
use crate::language::tree::origin::{SIGN, origins};
use crate::language::tree::{self, At, Item, Tree, Unit};
use crate::member::model::Origin;
use crate::quantity::{Files, Sources, Span, join};
use std::collections::BTreeMap;
use std::sync::Arc;

/// One members file, read and parsed.
#[derive(Debug)]
pub(super) struct File {
    pub(super) tree: Tree,
    pub(super) text: Arc<str>,
    /// Its name, as the user knows it.
    pub(super) path: Arc<str>,
    /// Unit of its bare numbers.
    pub(super) unit: Unit,
    /// Each include line with the file it means, if that could be read.
    pub(super) includes: Vec<(At, Option<usize>)>,
    /// Every file whose names can be used in it, nearest first, without itself.
    pub(super) visible: Vec<usize>,
    /// Whether the outer level of it and of all it includes could be read: if not, an unknown name
    /// may be defined in what could not.
    pub(super) complete: bool,
    /// Whether it is listed, not only included.
    pub(super) listed: bool,
    /// Where its members were imported from, in their order: where each begins, and what is said.
    origins: Vec<(u32, Arc<Origin>)>,
}

impl File {
    pub(super) fn span(&self, at: At) -> Span {
        at.span(self.tree.file)
    }
    pub(super) fn words(&self, at: At) -> &str {
        at.words(&self.text)
    }
    /// Where the member that begins there was imported from.
    pub(super) fn origin(&self, start: u32) -> Option<&Arc<Origin>> {
        let at = self.origins.binary_search_by_key(&start, |&(start, _)| start).ok()?;
        self.origins.get(at).map(|(_, origin)| origin)
    }
}

/// Members files, read and parsed, with everything they include.
#[derive(Debug, Default)]
pub struct Loaded {
    /// Included files stand before the files that include them.
    pub(super) files: Vec<File>,
    /// The listed ones, in the order of the list.
    pub(super) listed: Vec<usize>,
}

/// How far reading a path has come.
#[derive(Clone, Copy)]
enum State {
    Reading,
    Read(Option<usize>),
}

struct Loader<'f> {
    files: &'f dyn Files,
    sources: &'f mut Sources,
    findings: Findings,
    /// What the parser says, kept apart: it may say two things at one place.
    parsed: Vec<Diagnostic>,
    loaded: Vec<File>,
    states: BTreeMap<String, State>,
    /// Paths being read, outermost first.
    stack: Vec<String>,
    too_many: bool,
}

/// Reads and parses the listed files and all they include. Each file is read once.
pub fn load_members(
    files: &dyn Files,
    sources: &mut Sources,
    paths: &[(String, Option<Span>)],
) -> (Loaded, Vec<Diagnostic>) {
    let mut loader = Loader {
        files,
        sources,
        findings: Findings::default(),
        parsed: Vec::new(),
        loaded: Vec::new(),
        states: BTreeMap::new(),
        stack: Vec::new(),
        too_many: false,
    };
    let mut listed = Vec::new();
    let mut seen: BTreeMap<String, Option<Span>> = BTreeMap::new();
    for (path, named_at) in paths {
        // `a/../b.members` and `b.members` are one file.
        let path = join("", path);
        if let Some(&before) = seen.get(&path) {
            let mut twice = Diagnostic::new(&codes::E0265, format!("`{path}` is listed twice"))
                .note("every member in it would be made twice")
                .help("list it once; to make a frame twice, give it a quantity");
            for (span, text) in [(*named_at, "again here"), (before, "listed here")] {
                if let Some(span) = span {
                    twice = twice.at(span, text);
                }
            }
            loader.findings.say(twice);
            continue;
        }
        seen.insert(path.clone(), *named_at);
        if let Some(index) = loader.read(path, *named_at) {
            if let Some(file) = loader.loaded.get_mut(index) {
                file.listed = true;
            }
            listed.push(index);
        }
    }
    let mut findings = loader.findings.into_list();
    findings.append(&mut loader.parsed);
    (Loaded { files: loader.loaded, listed }, findings)
}

impl Loader<'_> {
    /// The file of this path, read now unless it was before.
    fn read(&mut self, path: String, named_at: Option<Span>) -> Option<usize> {
        match self.states.get(&path) {
            Some(State::Read(index)) => return *index,
            Some(State::Reading) => {
                self.refuse_cycle(&path, named_at);
                return None;
            }
            None => {}
        }
        if self.stack.len() >= limits::INCLUDE_DEPTH || self.loaded.len() >= limits::FILES {
            self.refuse_depth(named_at);
            return None;
        }
        let file = match load(self.files, self.sources, &path, named_at) {
            Ok(file) => file,
            Err(diagnostic) => {
                // Not kept as read: each place that names a missing file is told so.
                self.findings.say(*diagnostic);
                return None;
            }
        };
        let text = self.sources.get(file).map(|f| Arc::clone(f.text())).unwrap_or_default();
        let (tree, mut diagnostics) = parse(file, &text);
        self.parsed.append(&mut diagnostics);
        self.states.insert(path.clone(), State::Reading);
        self.stack.push(path.clone());
        let mut complete = !tree.items.iter().any(|item| matches!(item, Item::Broken(_)));
        let mut includes = Vec::new();
        let mut visible: Vec<usize> = Vec::new();
        for at in tree.includes().collect::<Vec<At>>() {
            let target = join(&path, at.words(&text));
            let index = self.read(target, Some(at.span(file)));
            complete &= index.is_some();
            if let Some(included) = index.and_then(|i| self.loaded.get(i)) {
                complete &= included.complete;
                for i in index.into_iter().chain(included.visible.iter().copied()) {
                    if !visible.contains(&i) {
                        visible.push(i);
                    }
                }
            }
            includes.push((at, index));
        }
        self.stack.pop();
        let unit = self.unit(&tree);
        let origins = imported(&tree, &text);
        let index = self.loaded.len();
        self.loaded.push(File {
            unit,
            tree,
            text,
            path: Arc::from(path.as_str()),
            includes,
            visible,
            complete,
            listed: false,
            origins,
        });
        self.states.insert(path, State::Read(Some(index)));
        Some(index)
    }

    fn refuse_cycle(&mut self, path: &str, named_at: Option<Span>) {
        let from = self.stack.iter().position(|p| p == path).unwrap_or(0);
        let chain: Vec<&str> = self.stack.iter().skip(from).map(String::as_str).collect();
        let way = if chain.len() < 2 {
            format!("`{path}` includes itself")
        } else {
            format!("`{path}` is included by what it includes: {} → {path}", chain.join(" → "))
        };
        let mut diagnostic = Diagnostic::new(&codes::E0260, way)
            .help("take one of these include lines out; put what both need into a file of its own");
        if let Some(span) = named_at {
            diagnostic = diagnostic.at(span, "this closes the circle");
        }
        self.findings.say(diagnostic);
    }

    fn refuse_depth(&mut self, named_at: Option<Span>) {
        if std::mem::replace(&mut self.too_many, true) {
            return;
        }
        let mut diagnostic = Diagnostic::new(
            &codes::E0261,
            format!(
                "more than {} files within each other, or {} in all",
                limits::INCLUDE_DEPTH,
                limits::FILES
            ),
        )
        .help("include shared recipes directly in the files that use them");
        if let Some(span) = named_at {
            diagnostic = diagnostic.at(span, "this file is not read");
        }
        self.findings.say(diagnostic);
    }

    fn unit(&mut self, tree: &Tree) -> Unit {
        let mut said: Option<(Unit, Span)> = None;
        for item in &tree.items {
            let &Item::Units(at, unit) = item else { continue };
            let span = at.span(tree.file);
            match said {
                Some((before, first)) if before != unit => self.findings.say(
                    Diagnostic::new(&codes::E0231, "the file's unit is said twice")
                        .at(span, format!("{} here", unit.word()))
                        .at(first, format!("{} here", before.word()))
                        .note("every bare number of the file hangs on it")
                        .help("keep one of them, and write the other unit at its numbers"),
                ),
                Some(_) => {}
                None => said = Some((unit, span)),
            }
        }
        said.map_or(Unit::Millimetre, |(unit, _)| unit)
    }
}

/// Where the members of a file were imported from.
fn imported(tree: &Tree, text: &str) -> Vec<(u32, Arc<Origin>)> {
    if !text.contains(SIGN) {
        return Vec::new();
    }
    let changed = !is_untouched(text);
    let (origins, _) = origins(tree, text);
    let of = |o: tree::origin::Origin| {
        (o.member.start, Arc::new(Origin::said(o.said.text(text), changed)))
    };
    origins.into_iter().map(of).collect()
}
