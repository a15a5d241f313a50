//! Where a finding about an imported member leads.

use crate::diagnostic::Diagnostic;
use crate::language::imported::is_untouched;
use crate::language::tree::origin::{Origin, SIGN, origins};
use crate::language::{self};
use crate::quantity::{FileId, SourceFile, Sources, Span};
use std::collections::BTreeMap;

/// Most members of one finding whose origins are told.
const MOST: usize = 3;

/// Adds to each finding at an imported member where that was read, and whether somebody has
/// changed the members file since.
pub fn trace<'f>(found: impl Iterator<Item = &'f mut Diagnostic>, sources: &Sources) {
    let mut files = BTreeMap::new();
    for finding in found {
        let mut told: Vec<String> = Vec::new();
        for label in &finding.labels {
            let file = files.entry(label.span.file).or_insert_with(|| {
                sources.get(label.span.file).and_then(|s| Imported::of(label.span.file, s))
            });
            let Some(note) = file.as_ref().and_then(|file| file.note(label.span)) else { continue };
            if !told.contains(&note) && told.len() < MOST {
                told.push(note);
            }
        }
        finding.notes.extend(told);
    }
}

/// A members file some of whose members were imported.
struct Imported<'s> {
    text: &'s str,
    /// In the order of their members.
    origins: Vec<Origin>,
    untouched: bool,
}

impl<'s> Imported<'s> {
    fn of(file: FileId, source: &'s SourceFile) -> Option<Imported<'s>> {
        let text = source.text();
        if !text.contains(SIGN) {
            return None;
        }
        let (tree, _) = language::parse(file, text);
        let (origins, _) = origins(&tree, text);
        (!origins.is_empty()).then(|| Imported { text, origins, untouched: is_untouched(text) })
    }

    /// Where the member at this place was read.
    fn note(&self, at: Span) -> Option<String> {
        let after = self.origins.partition_point(|origin| origin.member.start <= at.start);
        let origin = self.origins.get(after.checked_sub(1)?)?;
        if at.start >= origin.member.end {
            return None;
        }
        let (marks, said) = (origin.marks.words(self.text), origin.said.text(self.text));
        Some(match self.untouched {
            true => format!("{marks} was imported from {said}"),
            false => format!(
                "{marks} was imported from {said}; this file has been changed since, so look at both"
            ),
        })
    }
}
