//! What stands on the shelf: the library's files and the sets shipped inside the program.

use super::common::{Found, MOST, few_enough, unknown};
use super::model::{FeatureType, Library, Profile, RuleSet};
use super::reading::{self, At, Wire, wire};
use super::{feature, profile, rule};
use crate::diagnostic::{Diagnostic, any_error, codes::library as codes, load};
use crate::quantity::{FileId, Files, SourceFile, Sources, Span, join};
use std::collections::BTreeMap;
use std::sync::Arc;

wire! {
    /// A library: the files it is made of, and shipped sets by name.
    pub struct LibraryList {
        /// Files with feature types.
        features: Option<Vec<At<String>>>,
        /// Files with profiles.
        profiles: Option<Vec<At<String>>>,
        /// Files with rule sets.
        rules: Option<Vec<At<String>>>,
        /// Sets shipped with the program: `usual-features` and rule sets. A type of the shop's
        /// own takes the place of a shipped one of the same name.
        shipped: Option<Vec<At<String>>>,
    }
}

/// A set shipped inside the program.
#[derive(Debug)]
pub struct Shipped {
    /// What a library names it by.
    pub name: &'static str,
    /// Its TOML.
    pub text: &'static str,
}

/// Every shipped set: the usual feature types first, then rule sets.
pub const SHIPPED: [Shipped; 8] = [
    Shipped { name: "usual-features", text: include_str!("shipped/usual-features.toml") },
    Shipped { name: "astm-c955-01", text: include_str!("shipped/astm-c955-01.toml") },
    Shipped { name: "irc-r603-studs", text: include_str!("shipped/irc-r603-studs.toml") },
    Shipped { name: "irc-r505-joists", text: include_str!("shipped/irc-r505-joists.toml") },
    Shipped { name: "irc-2009-r603-3-4", text: include_str!("shipped/irc-2009-r603-3-4.toml") },
    Shipped { name: "irc-2018-r603-2-5", text: include_str!("shipped/irc-2018-r603-2-5.toml") },
    Shipped { name: "aisi-s100-16", text: include_str!("shipped/aisi-s100-16.toml") },
    Shipped { name: "as-nzs-4600-2005", text: include_str!("shipped/as-nzs-4600-2005.toml") },
];

/// The name that a shipped set goes by in the sources.
pub(super) fn shipped_name(set: &str) -> String {
    format!("shipped/{set}.toml")
}

/// Loads and reads one file.
pub(super) fn open<T: Wire>(
    files: &dyn Files,
    sources: &mut Sources,
    from: &str,
    name: &At<String>,
    found: &mut Found,
) -> Option<T> {
    match load(files, sources, &join(from, &name.value), Some(name.span)) {
        Ok(file) => read(sources, file, found),
        Err(diagnostic) => {
            found.push(*diagnostic);
            None
        }
    }
}

/// Reads a file that is loaded.
pub(super) fn read<T: Wire>(sources: &Sources, file: FileId, found: &mut Found) -> Option<T> {
    let (value, diagnostics) = reading::read(sources, file);
    found.extend(diagnostics);
    value
}

/// Puts a library together. `None` where any part of it cannot be used.
pub(super) fn assemble(
    files: &dyn Files,
    sources: &mut Sources,
    from: &str,
    list: &LibraryList,
    found: &mut Found,
) -> Option<Library> {
    let before = found.len();
    let mut features = Named::new("feature type");
    let mut profiles = Named::new("profile");
    let mut rule_files: Vec<(rule::RuleFile, bool)> = Vec::new();
    for name in list.shipped.iter().flatten() {
        let Some(set) = SHIPPED.iter().find(|set| set.name == name.value) else {
            unknown(found, "shipped set", name, SHIPPED.iter().map(|set| set.name));
            continue;
        };
        let source = SourceFile::new(shipped_name(set.name), set.text);
        let file = sources.add(source);
        if set.name == "usual-features" {
            let types = read(sources, file, found).map(|f| feature::settle(f, found));
            features.add(types.into_iter().flatten(), true, found, |f: &FeatureType| {
                (f.name.clone(), f.span)
            });
        } else {
            rule_files.extend(read(sources, file, found).map(|f| (f, true)));
        }
    }
    for name in list.features.iter().flatten() {
        let types = open(files, sources, from, name, found).map(|f| feature::settle(f, found));
        features.add(types.into_iter().flatten(), false, found, |f| (f.name.clone(), f.span));
    }
    for name in list.profiles.iter().flatten() {
        let list = open(files, sources, from, name, found).map(|f| profile::settle(f, found));
        profiles
            .add(list.into_iter().flatten(), false, found, |p: &Profile| (p.name.clone(), p.span));
    }
    for name in list.rules.iter().flatten() {
        rule_files.extend(open(files, sources, from, name, found).map(|f| (f, false)));
    }
    few_enough(found, "feature types", features.items.len(), MOST, list.span);
    few_enough(found, "profiles", profiles.items.len(), MOST, list.span);
    super::common::unique(found, "rule set", rule_files.iter().map(|(file, _)| &file.name));
    // Only against complete feature types can a rule's types be said to be unknown.
    let complete = !found.get(before..).is_some_and(any_error);
    let rule_sets: Vec<RuleSet> = if complete {
        rule_files
            .iter()
            .map(|(file, shipped)| rule::settle(file, &features.items, *shipped, found))
            .collect()
    } else {
        Vec::new()
    };
    let usable = !found.get(before..).is_some_and(any_error);
    usable.then_some(Library { features: features.items, profiles: profiles.items, rule_sets })
}

/// Items of several files under one roof of names.
struct Named<T> {
    what: &'static str,
    items: Vec<T>,
    places: BTreeMap<Arc<str>, (usize, bool, Span)>,
}

impl<T> Named<T> {
    fn new(what: &'static str) -> Named<T> {
        Named { what, items: Vec::new(), places: BTreeMap::new() }
    }
    /// Adds a file's items; a shop's own takes a shipped one's place, and nothing else's.
    fn add(
        &mut self,
        items: impl Iterator<Item = T>,
        shipped: bool,
        found: &mut Found,
        name_of: impl Fn(&T) -> (Arc<str>, Span),
    ) {
        for item in items {
            let (name, span) = name_of(&item);
            match self.places.get(&name).copied() {
                Some((index, true, _)) if !shipped => {
                    if let Some(place) = self.items.get_mut(index) {
                        *place = item;
                    }
                    self.places.insert(name, (index, false, span));
                }
                // Twice in one file is told where that file is settled.
                Some((_, _, first)) if first.file == span.file => {}
                Some((_, _, first)) => found.push(
                    Diagnostic::new(
                        &codes::E0308,
                        format!("{} `{name}` is declared twice", self.what),
                    )
                    .at(span, "again here")
                    .at(first, "first here")
                    .help("rename one of them, or leave one out"),
                ),
                None => {
                    self.places.insert(name, (self.items.len(), shipped, span));
                    self.items.push(item);
                }
            }
        }
    }
}
