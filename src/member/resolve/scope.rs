//! What the files define: constants, recipes and groups, profiles; and who can see it.

use super::files::File;
use super::findings::Findings;
use crate::diagnostic::codes::resolve as codes;
use crate::diagnostic::{Diagnostic, closest};
use crate::language::tree::{At, Item, Let, Recipe};
use crate::library::model::Library;
use crate::member::model::{FeatureTypeId, ProfileId};
use crate::quantity::Span;
use std::collections::BTreeMap;

/// A recipe or a group.
#[derive(Clone, Copy)]
pub(super) struct Callable<'a> {
    pub(super) file: usize,
    pub(super) node: &'a Recipe,
    pub(super) is_group: bool,
}

impl Callable<'_> {
    pub(super) fn word(&self) -> &'static str {
        if self.is_group { "group" } else { "recipe" }
    }
}

/// A short name for a profile of the library.
#[derive(Clone, Copy)]
pub(super) struct Alias {
    pub(super) file: usize,
    pub(super) at: At,
    /// `None` if the library has none of that name.
    pub(super) profile: Option<ProfileId>,
}

/// What can be defined.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Let,
    Callable,
    Alias,
}

/// What one file defines, as indices.
#[derive(Default)]
pub(super) struct Scope<'a> {
    lets: BTreeMap<&'a str, usize>,
    callables: BTreeMap<&'a str, usize>,
    aliases: BTreeMap<&'a str, usize>,
}

impl<'a> Scope<'a> {
    fn of(&self, kind: Kind) -> &BTreeMap<&'a str, usize> {
        match kind {
            Kind::Let => &self.lets,
            Kind::Callable => &self.callables,
            Kind::Alias => &self.aliases,
        }
    }
    fn of_mut(&mut self, kind: Kind) -> &mut BTreeMap<&'a str, usize> {
        match kind {
            Kind::Let => &mut self.lets,
            Kind::Callable => &mut self.callables,
            Kind::Alias => &mut self.aliases,
        }
    }
}

/// All that is defined outside members.
pub(super) struct Names<'a> {
    pub(super) files: &'a [File],
    pub(super) library: &'a Library,
    pub(super) scopes: Vec<Scope<'a>>,
    pub(super) lets: Vec<(usize, &'a Let)>,
    pub(super) callables: Vec<Callable<'a>>,
    pub(super) aliases: Vec<Alias>,
    kinds: BTreeMap<&'a str, FeatureTypeId>,
    profiles: BTreeMap<&'a str, ProfileId>,
}

/// What a name leads to.
pub(super) enum Found {
    /// One definition.
    One(usize),
    /// Two, in different files.
    Two(usize, usize),
    /// None.
    Nothing,
}

impl<'a> Names<'a> {
    /// Gathers the definitions of all files.
    pub(super) fn gather(
        files: &'a [File],
        library: &'a Library,
        findings: &mut Findings,
    ) -> Names<'a> {
        let number = |i: usize| u16::try_from(i).ok();
        let mut kinds = BTreeMap::new();
        for (i, kind) in library.features.iter().enumerate() {
            if let Some(i) = number(i) {
                kinds.entry(&*kind.name).or_insert(FeatureTypeId(i));
            }
        }
        let mut profiles = BTreeMap::new();
        for (i, profile) in library.profiles.iter().enumerate() {
            if let Some(i) = number(i) {
                profiles.entry(&*profile.name).or_insert(ProfileId(i));
            }
        }
        let mut names = Names {
            files,
            library,
            scopes: Vec::new(),
            lets: Vec::new(),
            callables: Vec::new(),
            aliases: Vec::new(),
            kinds,
            profiles,
        };
        for (index, file) in files.iter().enumerate() {
            let scope = names.define(index, file, findings);
            names.scopes.push(scope);
        }
        names
    }

    fn define(&mut self, index: usize, file: &'a File, findings: &mut Findings) -> Scope<'a> {
        let mut scope = Scope::default();
        for item in &file.tree.items {
            let (kind, at, id) = match item {
                Item::Let(node) => {
                    self.lets.push((index, node));
                    (Kind::Let, node.name, self.lets.len() - 1)
                }
                Item::Recipe(node) | Item::Group(node) => {
                    let is_group = matches!(item, Item::Group(_));
                    self.callables.push(Callable { file: index, node, is_group });
                    (Kind::Callable, node.name, self.callables.len() - 1)
                }
                Item::Profile(_, alias, means) => {
                    let profile = self.profiles.get(file.words(*means)).copied();
                    if profile.is_none() && !means.text(&file.text).is_empty() {
                        findings.say(self.no_profile(index, *means, false));
                    }
                    self.aliases.push(Alias { file: index, at: *alias, profile });
                    (Kind::Alias, *alias, self.aliases.len() - 1)
                }
                _ => continue,
            };
            let name = file.words(at);
            let before = scope.of(kind).get(name).copied();
            let before = before.or_else(|| {
                file.visible.iter().find_map(|&v| self.scopes.get(v)?.of(kind).get(name).copied())
            });
            match before {
                _ if name.is_empty() => {}
                None => {
                    scope.of_mut(kind).insert(name, id);
                }
                Some(before) => {
                    let mut twice =
                        Diagnostic::new(&codes::E0207, format!("`{name}` is defined twice"))
                            .at(file.span(at), "again here")
                            .help("give one of them another name");
                    if let Some(span) = self.place(kind, before) {
                        twice = twice.at(span, "first here");
                    }
                    findings.say(twice);
                }
            }
        }
        scope
    }

    /// Where a definition's name is written.
    pub(super) fn place(&self, kind: Kind, id: usize) -> Option<Span> {
        let (file, at) = match kind {
            Kind::Let => self.lets.get(id).map(|&(file, node)| (file, node.name))?,
            Kind::Callable => self.callables.get(id).map(|c| (c.file, c.node.name))?,
            Kind::Alias => self.aliases.get(id).map(|a| (a.file, a.at))?,
        };
        Some(self.files.get(file)?.span(at))
    }

    pub(super) fn span(&self, file: usize, at: At) -> Span {
        self.files.get(file).map_or(Span::new(crate::quantity::FileId(0), 0, 0), |f| f.span(at))
    }
    pub(super) fn words(&self, file: usize, at: At) -> &'a str {
        self.files.get(file).map_or("", |f| f.words(at))
    }

    /// What `name` means in `file`.
    pub(super) fn find(&self, file: usize, name: &str, kind: Kind) -> Found {
        let own = self.scopes.get(file).and_then(|scope| scope.of(kind).get(name));
        if let Some(&id) = own {
            return Found::One(id);
        }
        let mut found = Found::Nothing;
        for &seen in self.files.get(file).map_or(&[][..], |f| &f.visible) {
            let id = self.scopes.get(seen).and_then(|scope| scope.of(kind).get(name).copied());
            match (id, &found) {
                (None, _) => {}
                (Some(id), Found::Nothing) => found = Found::One(id),
                (Some(id), &Found::One(first)) => return Found::Two(first, id),
                (Some(_), Found::Two(..)) => {}
            }
        }
        found
    }
    /// The first definition of `name` in `file`, if any.
    pub(super) fn first(&self, file: usize, name: &str, kind: Kind) -> Option<usize> {
        match self.find(file, name, kind) {
            Found::One(id) | Found::Two(id, _) => Some(id),
            Found::Nothing => None,
        }
    }
    /// Every name of this kind that can be used in `file`.
    pub(super) fn seen(&self, file: usize, kind: Kind) -> Vec<&'a str> {
        let visible = self.files.get(file).map_or(&[][..], |f| &f.visible);
        std::iter::once(&file)
            .chain(visible)
            .filter_map(|&f| self.scopes.get(f))
            .flat_map(|scope| scope.of(kind).keys().copied())
            .collect()
    }

    /// The feature type of this name.
    pub(super) fn kind(&self, name: &str) -> Option<FeatureTypeId> {
        self.kinds.get(name).copied()
    }
    /// Names of all feature types.
    pub(super) fn kind_names(&self) -> impl Iterator<Item = &'a str> + '_ {
        self.kinds.keys().copied()
    }
    /// The profile `name` means in `file`: an alias, or a name of the library.
    pub(super) fn profile(&self, file: usize, name: &str) -> Option<ProfileId> {
        match self.first(file, name, Kind::Alias) {
            Some(id) => self.aliases.get(id)?.profile,
            None => self.profiles.get(name).copied(),
        }
    }
    /// Whether `name` is a profile's own name in the library.
    pub(super) fn is_profile(&self, name: &str) -> bool {
        self.profiles.contains_key(name)
    }

    /// Says that there is no such profile, with what may have been meant.
    pub(super) fn no_profile(&self, file: usize, at: At, aliases: bool) -> Diagnostic {
        let name = self.words(file, at);
        let seen = if aliases { self.seen(file, Kind::Alias) } else { Vec::new() };
        let near = closest(name, seen.iter().copied().chain(self.profiles.keys().copied()));
        let diagnostic = Diagnostic::new(&codes::E0205, format!("there is no profile `{name}`"))
            .at(self.span(file, at), "unknown");
        match near {
            Some(near) => diagnostic.help(format!("did you mean `{near}`?")),
            None => {
                let known: Vec<String> =
                    self.profiles.keys().take(8).map(|n| format!("`{n}`")).collect();
                diagnostic.help(if known.is_empty() {
                    "the shop's library has no profiles yet; add one".to_string()
                } else {
                    format!("the shop's library has {}", known.join(", "))
                })
            }
        }
    }
}
