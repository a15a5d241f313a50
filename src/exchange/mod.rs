//! Members in and out, in formats that others write and read: lists as CSV, JSON, IFC, DSTV NC.
//!
//! Every reader ends in a [`DrawnJob`], which [`text`] writes as members text; every writer begins
//! with one, made from a resolved job by [`from_job`]. What a file says and a reader does not
//! understand is a finding or an entry of the answer, never dropped.

mod answer;
mod choice;
pub mod csv;
pub mod drawn;
mod figure;
mod from_job;
pub mod ifc;
pub mod json;
mod map;
mod merged;
pub mod nc;
mod slope;
pub mod step;
mod text;
mod words;

use crate::diagnostic::{Code, Diagnostic};
use std::collections::BTreeMap;

/// Findings after which reading stops: a file with more is a file read the wrong way.
const MOST_FINDINGS: usize = 2_000;

/// Says where reading stopped, beside the finding that stands first in the file: it is the one
/// that is surely shown.
fn stopped(found: &mut [Diagnostic], at: String) {
    let first = found.iter_mut().min_by_key(|finding| finding.span().map(|span| span.start));
    if let Some(first) = first {
        first.notes.push(format!(
            "reading stopped{at} after {MOST_FINDINGS} findings: there is too much to tell"
        ));
    }
}

/// Findings of these codes that have the same words are one, at the first place, with how many
/// there are: one cause is told once.
pub fn once_each(found: Vec<Diagnostic>, codes: &[&Code]) -> Vec<Diagnostic> {
    let mut kept: Vec<(Diagnostic, usize)> = Vec::new();
    let mut met: BTreeMap<String, usize> = BTreeMap::new();
    for finding in found {
        let next = kept.len();
        let grouped = codes.iter().any(|code| code.number == finding.code.number);
        let at = match grouped {
            true => *met.entry(finding.message.clone()).or_insert(next),
            false => next,
        };
        match kept.get_mut(at) {
            Some((_, count)) => *count += 1,
            None => kept.push((finding, 1)),
        }
    }
    let told = |(finding, count): (Diagnostic, usize)| match count {
        1 => finding,
        _ => finding.note(format!("the first of {count}")),
    };
    kept.into_iter().map(told).collect()
}

pub use answer::{Answer, answers, told};
pub use choice::Choice;
pub use drawn::DrawnJob;
pub use from_job::drawn;
pub use map::{Map, load_map};
pub use merged::{FrameSaid, Part, Said, merged};
pub use text::{feature_text, members_text};
pub use words::{usage_of, usage_words};

/// Kinds of file of this room that have a schema.
pub const KINDS: [&str; 2] = ["map", "members"];

/// The JSON Schema of a kind, as text with a final line end; `None` for an unknown kind.
pub fn schema(kind: &str) -> Option<String> {
    let schema = match kind {
        "map" => crate::library::schema_of::<Map>(),
        "members" => crate::library::schema_of::<json::Members>(),
        _ => return None,
    };
    let mut text = serde_json::to_string_pretty(&schema).ok()?;
    text.push('\n');
    Some(text)
}
