use crate::diagnostic::Diagnostic;
use crate::quantity::Span;
use std::collections::HashSet;
use std::hash::{BuildHasherDefault, DefaultHasher};

/// Diagnostics, each kind once for each place: a mistake in a recipe is reported for the first
/// member it spoils, not for all nine hundred.
#[derive(Default)]
pub(super) struct Findings {
    list: Vec<Diagnostic>,
    seen: HashSet<(&'static str, Option<Span>), BuildHasherDefault<DefaultHasher>>,
}

impl Findings {
    /// Adds it, unless its kind was reported at its place already.
    pub(super) fn say(&mut self, diagnostic: Diagnostic) {
        if self.seen.insert((diagnostic.code.number, diagnostic.span())) {
            self.list.push(diagnostic);
        }
    }
    /// All of them, in the order of the sources.
    pub(super) fn into_list(mut self) -> Vec<Diagnostic> {
        self.list.sort_by_key(|d| d.span().map(|span| (span.file, span.start, span.end)));
        self.list
    }
}
