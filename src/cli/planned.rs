use super::Session;
use super::imported::trace;
use super::inches;
use super::output::interrupted;
use super::progress::Progress;
use super::shop::{Named, place};
use super::told::Told;
use crate::diagnostic::{Diagnostic, arrange};
use crate::library::load_batch;
use crate::plan::Shop;
use crate::plan::{self, Inputs, Options, Plan};
use crate::quantity::Sources;
use crate::report::{Report, Source, page};
use std::path::Path;
use std::sync::Arc;

/// Findings that a page shows at most.
const MOST_ON_PAGE: usize = 500;

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

/// A batch that was read and cannot be planned.
pub struct Unplanned {
    pub named: Named,
    sources: Sources,
    /// What it calls itself, where that could be read.
    batch: Option<Arc<str>>,
    found: Vec<Diagnostic>,
}

/// Reads and checks the batch at `path`, or has to tell that there is none.
pub fn read(path: &Path) -> Result<Result<Opened, Unplanned>, Told> {
    let named = Named::batch(path)?;
    let mut sources = Sources::default();
    Ok(match Shop::open(&named.files, &mut sources, &named.name) {
        (Some(shop), found) => Ok(Opened { named, sources, shop, found }),
        (None, found) => {
            let (loaded, _) = load_batch(&named.files, &mut Sources::default(), &named.name);
            let batch = loaded.map(|loaded| loaded.batch.name);
            Err(Unplanned { named, sources, batch, found })
        }
    })
}

/// Reads and checks the batch at `path`, or has to tell why it cannot be planned.
pub fn open(path: &Path) -> Result<Opened, Told> {
    read(path)?.map_err(|unplanned| unplanned.told())
}

impl Unplanned {
    /// What was found, under the names the user knows.
    pub fn told(&self) -> Told {
        let sources = self.named.shown(&self.sources);
        Told { found: self.found.clone(), sources, ..Told::default() }
    }

    /// A page that shows it, and says that nothing was planned. Files have the names that the
    /// batch knows them by.
    pub fn page(&self) -> String {
        let mut found = arrange(self.found.clone(), MOST_ON_PAGE);
        trace(found.shown.iter_mut(), &self.sources);
        inches::add(found.shown.iter_mut(), &self.sources);
        let name = match &self.batch {
            Some(batch) => format!("Batch {batch} ({})", self.named.name),
            None => self.named.name.clone(),
        };
        page::refused(&name, &found, &self.sources)
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

    /// As it is told where no plan came of it.
    pub fn unplanned(self) -> Unplanned {
        let batch = Some(Arc::clone(&self.shop.loaded.batch.name));
        Unplanned { named: self.named, sources: self.sources, batch, found: self.found }
    }

    /// The report of a plan, with the warnings and notes that were found on the way.
    pub fn report(&self, plan: &Plan, ticks: u64) -> Report {
        self.source(plan, ticks, Report::of)
    }

    /// What papers of a plan are made from, handed to whoever makes one.
    pub fn source<T>(&self, plan: &Plan, ticks: u64, make: impl FnOnce(&Source<'_>) -> T) -> T {
        let findings = placed(&self.found, &self.sources);
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

/// Findings as papers have them: each with its place, and where an imported member was read.
pub fn placed(found: &[Diagnostic], sources: &Sources) -> Vec<(Diagnostic, Option<String>)> {
    let mut found = arrange(found.to_vec(), 0).shown;
    trace(found.iter_mut(), sources);
    inches::add(found.iter_mut(), sources);
    let with_place = |found: Diagnostic| {
        let place = place(&found, sources);
        (found, place)
    };
    found.into_iter().map(with_place).collect()
}

/// Plans, with progress where somebody watches; an interrupt ends it.
pub fn run(
    session: &Session,
    inputs: &Inputs<'_>,
    ticks: u64,
) -> Result<(Option<Plan>, Vec<Diagnostic>), Box<Diagnostic>> {
    let _guard = session.interrupt.guard();
    let progress = Progress::new(session.console.watched(), &session.interrupt);
    let options = Options { ticks, threads: session.threads };
    let planned = plan::plan(inputs, &options, &progress);
    drop(progress);
    if session.interrupt.raised() { Err(interrupted()) } else { Ok(planned) }
}
