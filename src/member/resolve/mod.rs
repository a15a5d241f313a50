//! Members files to jobs: every name and expression settled, every mistake at its place.
//!
//! 1. [`load_members`] reads and parses the listed files and what they include;
//! 2. all definitions are gathered, and every name in the text is checked, used or not;
//! 3. members are made: recipes called, patterns counted out, defaults found, shapes shared.
//!
//! What a job may ask for is bounded: text that explodes is refused, never waited for.

mod along;
mod draft;
mod eval;
mod files;
mod findings;
mod jobs;
mod limits;
mod names;
mod said;
mod scope;
mod settle;
mod value;

pub use files::{Loaded, load_members};

use super::model::Job;
use crate::diagnostic::Diagnostic;
use crate::library::model::Library;
use crate::quantity::{Files, Sources, Span};
use eval::Resolver;
use findings::Findings;
use scope::Names;

/// Reads the listed members files and what they include, and makes their jobs. `mark_text` is
/// what pieces bear where their members do not say: text with `{job}`, `{frame}`, `{mark}`.
///
/// Members that cannot be settled are left out, with an error that says why.
pub fn resolve(
    files: &dyn Files,
    sources: &mut Sources,
    paths: &[(String, Option<Span>)],
    library: &Library,
    mark_text: &str,
) -> (Vec<Job>, Vec<Diagnostic>) {
    let (loaded, mut diagnostics) = load_members(files, sources, paths);
    let (jobs, found) = make(&loaded, library, mark_text);
    diagnostics.extend(found);
    (jobs, diagnostics)
}

/// Makes the jobs of files that are already read and parsed.
pub fn make(loaded: &Loaded, library: &Library, mark_text: &str) -> (Vec<Job>, Vec<Diagnostic>) {
    let mut findings = Findings::default();
    let names = Names::gather(&loaded.files, library, &mut findings);
    names::check(&names, &mut findings);
    let mut resolver = Resolver::new(&names, findings);
    resolver.evaluate_lets();
    let jobs = jobs::Maker::new(&mut resolver, loaded, mark_text).jobs();
    (jobs, resolver.findings.into_list())
}
