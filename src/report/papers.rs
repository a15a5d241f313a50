//! The papers of the floor by name: one table, from which the command line knows which there are
//! and the output folder what each of them is.

use super::labels::{self, Of};
use super::model::Report;
use super::pdf::Document;
use super::run_sheet;
use super::schedule::{self, Schedule};
use super::sheet::model::Sheet;
use super::sheet::{html, pdf};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::files::W0924;
use crate::library::model::LabelLayout;
use crate::library::plain_layout;
use crate::plan::{Inputs, Plan};
use std::collections::BTreeMap;

/// Folder of the output they lie in.
pub const FOLDER: &str = "papers";

/// What papers are made from.
#[derive(Clone, Copy)]
pub struct Made<'a> {
    /// The report of the plan.
    pub report: &'a Report,
    /// What was planned from.
    pub inputs: &'a Inputs<'a>,
    /// What came of it.
    pub plan: &'a Plan,
}

/// Files of papers, and what there is to tell of them.
#[derive(Default)]
pub struct Papers {
    /// Their bytes, by path below [`FOLDER`].
    pub files: BTreeMap<String, Vec<u8>>,
    /// Characters the font of PDF does not have, each with a text it stands in.
    pub lacking: BTreeMap<char, String>,
    /// What else there is to tell of them.
    pub told: Vec<Diagnostic>,
}

impl Papers {
    /// Adds a document in PDF.
    pub fn pdf(&mut self, file: &str, document: &Document) {
        self.files.insert(file.to_string(), document.bytes());
        for (c, text) in document.lacking() {
            self.lacking.entry(c).or_insert(text);
        }
    }
    /// Adds a sheet in PDF and HTML, as files of this name.
    pub fn sheet(&mut self, name: &str, sheet: &Sheet) {
        self.pdf(&format!("{name}.pdf"), &pdf::lay(sheet).document);
        self.files.insert(format!("{name}.html"), html::print(sheet).into_bytes());
    }
    /// Adds a text.
    pub fn text(&mut self, file: &str, text: String) {
        self.files.insert(file.to_string(), text.into_bytes());
    }
    /// What somebody has to be told of them.
    pub fn found(&self) -> Vec<Diagnostic> {
        lacking(&self.lacking).into_iter().chain(self.told.iter().cloned()).collect()
    }
}

/// A kind of paper.
pub struct Kind {
    /// What it is asked for by; every file of it begins so.
    pub name: &'static str,
    /// Makes it.
    make: fn(&Made<'_>, &mut Papers),
}

/// Every kind there is.
pub const KINDS: &[Kind] = &[
    Kind { name: "run-sheet", make: run_sheet },
    Kind { name: "schedule", make: schedule },
    Kind { name: "labels", make: labels },
    Kind { name: "tickets", make: tickets },
];

fn run_sheet(of: &Made<'_>, papers: &mut Papers) {
    papers.sheet("run-sheet", &run_sheet::sheet(of.report, of.inputs, of.plan));
}

fn schedule(of: &Made<'_>, papers: &mut Papers) {
    let schedule = Schedule::of(of.inputs, of.plan);
    let Made { report, inputs, .. } = of;
    papers.sheet("schedule", &schedule::sheet(&schedule, &report.batch, inputs.batch.units));
    papers.text("schedule.csv", schedule::csv::print(&schedule));
}

fn labels(of: &Made<'_>, papers: &mut Papers) {
    stickers("labels", Of::Members, &of.inputs.batch.labels.labels, of, papers);
}

fn tickets(of: &Made<'_>, papers: &mut Papers) {
    stickers("tickets", Of::Bundles, &of.inputs.batch.labels.tickets, of, papers);
}

/// Labels by the batch's layout, or on plain paper, and their table.
fn stickers(
    name: &str,
    what: Of,
    layout: &Option<LabelLayout>,
    of: &Made<'_>,
    papers: &mut Papers,
) {
    let made = labels::labels(of.report, of.inputs, what);
    papers.text(&format!("{name}.csv"), labels::csv(&made, what));
    let plain =
        plain_layout(what == Of::Bundles, of.inputs.batch.units).filter(|_| layout.is_none());
    let Some(layout) = layout.as_ref().or(plain.as_ref()) else { return };
    let title = format!("{}: {name}", of.report.batch);
    match labels::pdf::print(&made, layout, 0, &title) {
        Ok((document, found)) => {
            papers.pdf(&format!("{name}.pdf"), &document);
            papers.told.extend(found.into_iter().map(|mut found| {
                if plain.is_some() {
                    // A layout of the program's own has no place that a user could look at.
                    found.labels.clear();
                }
                found
            }));
        }
        Err(refusal) => papers.told.push(*refusal),
    }
}

/// The papers of these names.
pub fn make(names: &[&str], of: &Made<'_>) -> Papers {
    let mut papers = Papers::default();
    for kind in KINDS.iter().filter(|kind| names.contains(&kind.name)) {
        (kind.make)(of, &mut papers);
    }
    papers
}

/// The finding of what the font does not have.
pub fn lacking(lacking: &BTreeMap<char, String>) -> Option<Diagnostic> {
    const MOST: usize = 6;
    let (first, text) = lacking.first_key_value()?;
    let shown: Vec<String> = lacking.keys().take(MOST).map(|c| format!("`{c}`")).collect();
    let more = match lacking.len().saturating_sub(MOST) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Some(
        Diagnostic::new(
            &W0924,
            format!("the papers' font cannot set {}{more}, as in `{text}`", shown.join(", ")),
        )
        .note(format!(
            "in PDF such a letter stands as its number, `[{:04X}]`: on the floor nobody reads that",
            u32::from(*first)
        ))
        .help(
            "name jobs, frames and marks in Latin, Greek or Cyrillic letters, or hand out the HTML \
             papers, which have the names as they are",
        ),
    )
}
