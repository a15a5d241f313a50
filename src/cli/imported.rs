//! Imported members files: how they begin, and where a finding about one of their members leads.

use super::manifest::sha256;
use crate::diagnostic::Diagnostic;
use crate::language::tree::origin::{Origin, SIGN, origins};
use crate::language::{self};
use crate::quantity::{FileId, SourceFile, Sources, Span};
use std::collections::BTreeMap;

/// What an imported file begins with, up to the hash of its text.
const OURS: &str = "# Imported ";

/// Most members of one finding whose origins are told.
const MOST: usize = 3;

/// An import as it is written: this text behind its mark and what it was made from.
pub fn marked(text: &str, from: &str) -> String {
    format!(
        "{OURS}{}, from {from}. Change these and import again;\n\
         # to keep what is changed here, delete these two lines.\n{text}",
        mark(text),
    )
}

/// A short hash of a text.
fn mark(text: &str) -> String {
    sha256(text.as_bytes()).chars().take(12).collect()
}

/// Whether this is an import as it was written.
pub fn is_untouched(text: &str) -> bool {
    let mut lines = text.splitn(3, '\n');
    let (Some(first), Some(_), Some(rest)) = (lines.next(), lines.next(), lines.next()) else {
        return false;
    };
    let said = first.strip_prefix(OURS).and_then(|rest| rest.get(..12));
    said == Some(mark(rest).as_str())
}

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
