//! From trees to members: files and what they include, names, arithmetic, recipes, patterns.
//!
//! 1. [`files`] reads and parses the listed files and everything they include;
//! 2. [`scope`] gathers what they define, [`names`] checks that every name used leads somewhere;
//! 3. [`jobs`] goes through frames and members. For each member, [`draft`] carries out its recipe
//!    and body ([`eval`] and [`value`] do the arithmetic), [`settle`] and [`along`] turn what came
//!    of it into a shape.
//!
//! A default tolerance along a member is the feature's own, else its recipe's and those of the
//! recipes around it, the member's, the frame's, the file's, the job's file's, the feature type's. A file that says
//! nothing itself takes what the files it includes say, where they agree.
//! A length tolerance, a profile and whether a member may be turned are the member's own, else its
//! recipe's (the outermost that says it), the frame's, the file's, the job's file's in the same way; the length
//! tolerance falls back on the profile's. Without a word on turning, a member is not turned.
//!
//! `both ends` mirrors tolerances as well: a tolerance there is of the distance inward.

mod along;
mod args;
mod draft;
mod eval;
mod files;
mod findings;
mod jobs;
mod limits;
mod mark_text;
mod marks;
mod names;
mod said;
mod scope;
mod settle;
mod value;
mod waivers;

pub use files::{Loaded, load_members};

use super::model::Job;
use crate::diagnostic::Diagnostic;
use crate::library::model::Library;
use crate::quantity::{Files, Sources, Span};
use findings::Findings;

/// The jobs of the listed members files, each path with the place that names it.
///
/// `mark_text` is what is printed on a piece where its job does not say: text with `{job}`,
/// `{frame}` and `{mark}`. Members that could not be settled are left out, and why is among the
/// diagnostics.
pub fn resolve(
    files: &dyn Files,
    sources: &mut Sources,
    paths: &[(String, Option<Span>)],
    library: &Library,
    mark_text: &str,
) -> (Vec<Job>, Vec<Diagnostic>) {
    let (loaded, mut diagnostics) = load_members(files, sources, paths);
    let (jobs, mut found) = make(&loaded, library, mark_text);
    diagnostics.append(&mut found);
    (jobs, diagnostics)
}

/// Makes the jobs of files that are read and parsed already. See [`resolve`].
pub fn make(loaded: &Loaded, library: &Library, mark_text: &str) -> (Vec<Job>, Vec<Diagnostic>) {
    let mut findings = Findings::default();
    let names = scope::Names::gather(&loaded.files, library, &mut findings);
    let hopeless = names::check(&names, &mut findings);
    let mut resolver = eval::Resolver::new(&names, findings);
    resolver.hopeless = hopeless;
    resolver.evaluate_lets();
    let jobs = jobs::Jobs::new(&mut resolver, loaded, mark_text).run();
    (jobs, resolver.findings.into_list())
}
