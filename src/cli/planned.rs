use super::Session;
use super::output::interrupted;
use super::progress::Progress;
use super::shop::{Named, place};
use super::told::Told;
use crate::diagnostic::{Diagnostic, Severity, arrange};
use crate::plan::Shop;
use crate::plan::{self, Inputs, Options, Plan};
use crate::quantity::Sources;
use crate::report::{Report, Source};
use std::path::Path;

/// How hard to look: a word, or work ticks.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Effort(pub u64);

impl std::str::FromStr for Effort {
    type Err = String;
    fn from_str(text: &str) -> Result<Effort, String> {
        use crate::library::model::Effort as Named;
        match text {
            "quick" => Ok(Effort(Named::QUICK.ticks)),
            "normal" => Ok(Effort(Named::NORMAL.ticks)),
            "thorough" => Ok(Effort(Named::THOROUGH.ticks)),
            number => number
                .parse()
                .map(Effort)
                .map_err(|_| "quick, normal, thorough, or a number of work ticks".to_string()),
        }
    }
}

/// A batch read from the disk and checked.
pub struct Opened {
    pub named: Named,
    pub sources: Sources,
    pub shop: Shop,
    pub found: Vec<Diagnostic>,
}

/// Reads and checks the batch at `path`, or has to tell why it cannot be planned.
pub fn open(path: &Path) -> Result<Opened, Told> {
    let named = Named::batch(path)?;
    let mut sources = Sources::default();
    match Shop::open(&named.files, &mut sources, &named.name) {
        (Some(shop), found) => Ok(Opened { named, sources, shop, found }),
        (None, found) => Err(Told { found, sources: named.shown(&sources), ..Told::default() }),
    }
}

impl Opened {
    /// Plans it. Findings of planning are kept with those of reading.
    pub fn plan(&mut self, session: &Session, ticks: u64) -> Result<Option<Plan>, Box<Diagnostic>> {
        let inputs = self.shop.inputs();
        let (plan, found) = run(session, &inputs, ticks)?;
        self.found.extend(found);
        Ok(plan)
    }

    /// The report of a plan, with the warnings and notes that were found on the way.
    pub fn report(&self, plan: &Plan, ticks: u64) -> Report {
        self.source(plan, ticks, Report::of)
    }

    /// What papers of a plan are made from, handed to whoever makes one.
    pub fn source<T>(&self, plan: &Plan, ticks: u64, make: impl FnOnce(&Source<'_>) -> T) -> T {
        let findings: Vec<(Diagnostic, Option<String>)> = arrange(self.found.clone(), 0)
            .shown
            .into_iter()
            .filter(|found| found.severity != Severity::Error)
            .map(|found| {
                let place = place(&found, &self.sources);
                (found, place)
            })
            .collect();
        let waived = self.shop.waived();
        let inputs = &self.shop.inputs();
        make(&Source { inputs, plan, ticks, waived: &waived, findings: &findings })
    }

    /// What was found, under the names the user knows.
    pub fn told(&self) -> Told {
        let sources = self.named.shown(&self.sources);
        Told { found: self.found.clone(), sources, ..Told::default() }
    }

    /// Work ticks: those asked for, else the batch's own.
    pub fn ticks(&self, effort: Option<Effort>) -> u64 {
        effort.map_or(self.shop.loaded.batch.effort.ticks, |effort| effort.0)
    }
}

/// Plans, with progress where somebody watches; an interrupt ends it.
pub fn run(
    session: &Session,
    inputs: &Inputs<'_>,
    ticks: u64,
) -> Result<(Option<Plan>, Vec<Diagnostic>), Box<Diagnostic>> {
    session.interrupt.guard();
    let progress = Progress::new(session.console.watched(), &session.interrupt);
    let options = Options { ticks, threads: session.threads };
    let planned = plan::plan(inputs, &options, &progress);
    drop(progress);
    if session.interrupt.raised() { Err(interrupted()) } else { Ok(planned) }
}
