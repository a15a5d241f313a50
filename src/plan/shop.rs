//! A batch read and checked, from wherever its files are.

use super::Inputs;
use crate::check;
use crate::diagnostic::codes::stock::E0609;
use crate::diagnostic::{Diagnostic, any_error};
use crate::dialect::Invertible;
use crate::library::model::Done;
use crate::library::{Loaded, load_batch, load_dialect, name_types};
use crate::member::model::{Job, Waiver};
use crate::member::resolve::resolve;
use crate::quantity::{Files, Sources, Span};
use std::collections::BTreeMap;

/// A batch and everything it names, read and checked: ready to be planned.
#[derive(Debug)]
pub struct Shop {
    /// Batch, line, rack and library.
    pub loaded: Loaded,
    /// What is to be made.
    pub jobs: Vec<Job>,
    /// How the controller reads programs, proved for this line.
    pub dialect: Invertible,
    /// Findings somebody took responsibility for.
    pub waived: Vec<check::Waived>,
}

/// Pieces listed as done that no member asks for: once for each mark.
fn unknown_done(done: &Done, jobs: &[Job]) -> Vec<Diagnostic> {
    let mut left: BTreeMap<(&str, &str, u32, &str), u32> = BTreeMap::new();
    if !done.pieces.is_empty() {
        for job in jobs {
            for (frame, member) in job.members() {
                for copy in 1..=frame.quantity {
                    let key = (&*job.name, &*frame.name, copy, &*member.mark);
                    left.insert(key, member.quantity);
                }
            }
        }
    }
    let mut found = Vec::new();
    for piece in &done.pieces {
        let key = (&*piece.job, &*piece.frame, piece.copy, &*piece.mark);
        let left = left.entry(key).or_insert(0);
        if let Some(fewer) = left.checked_sub(1) {
            *left = fewer;
            continue;
        }
        found.push(
            Diagnostic::new(
                &E0609,
                format!(
                    "piece {} is listed as done, and the batch asks for no such `{}` of frame `{}`",
                    piece.serial, piece.mark, piece.frame
                ),
            )
            .at(piece.span, "not wanted, or not so many")
            .note("a list of another batch would leave out pieces that are needed")
            .help("name the list that belongs to these members, or take the piece off it"),
        );
    }
    found
}

impl Shop {
    /// Reads and checks a batch. The shop is there when nothing in it is an error; findings come
    /// from every file in one pass, as far as the files before allow.
    pub fn open(
        files: &dyn Files,
        sources: &mut Sources,
        batch: &str,
    ) -> (Option<Shop>, Vec<Diagnostic>) {
        let (loaded, mut found) = load_batch(files, sources, batch);
        let Some(loaded) = loaded else { return (None, found) };
        let (path, named_at) = &loaded.dialect;
        let (dialect, faults) = load_dialect(files, sources, path, Some(*named_at));
        found.extend(faults);
        let dialect = dialect.and_then(|mut dialect| {
            let faults = name_types(&mut dialect, &loaded.library);
            if !faults.is_empty() {
                found.extend(faults);
                return None;
            }
            Invertible::prove(&dialect, &loaded.line).map_err(|faults| found.extend(faults)).ok()
        });
        let names: Vec<(String, Option<Span>)> =
            loaded.jobs.iter().map(|(path, span)| (path.clone(), Some(*span))).collect();
        let (jobs, faults) =
            resolve(files, sources, &names, &loaded.library, &loaded.batch.mark_text);
        found.extend(faults);
        found.extend(unknown_done(&loaded.batch.done, &jobs));
        let checked = check::check(&jobs, &loaded.library);
        found.extend(checked.diagnostics);
        let Some(dialect) = dialect.filter(|_| !any_error(&found)) else { return (None, found) };
        (Some(Shop { loaded, jobs, dialect, waived: checked.waived }), found)
    }

    /// What planning needs of it.
    pub fn inputs(&self) -> Inputs<'_> {
        Inputs {
            batch: &self.loaded.batch,
            library: &self.loaded.library,
            line: &self.loaded.line,
            calibration: &self.loaded.calibration,
            stock: &self.loaded.stock,
            dialect: &self.dialect,
            jobs: &self.jobs,
        }
    }

    /// Findings somebody took responsibility for, each with its waiver.
    pub fn waived(&self) -> Vec<(&Waiver, &Diagnostic)> {
        self.waived
            .iter()
            .filter_map(|waived| {
                let waiver = self.jobs.get(waived.job)?.waivers.get(waived.waiver)?;
                Some((waiver, &waived.diagnostic))
            })
            .collect()
    }
}
