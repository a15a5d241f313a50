use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::exit::Exit;
use crate::cli::folder::{self, Contents};
use crate::cli::output::Destination;
use crate::cli::papers::Asked;
use crate::cli::planned::{self, Effort};
use crate::cli::told::Told;
use crate::diagnostic::any_error;
use crate::library::model::Units;
use crate::quantity::{Length, Time};
use crate::report::Report;
use crate::report::units;
use crate::report::words::{count, hours, percent};
use clap::Args;
use std::path::PathBuf;

/// Write proved programs, run sheet, mark table and report for a batch
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright compile batch.toml --out today
  coilwright compile batch.toml --out today --papers
  coilwright compile batch.toml --out today --effort thorough
"
)]
pub struct Compile {
    /// Batch file
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// Folder to write; replaced only if it is an output of ours that nobody has touched
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// How hard to look: quick, normal, thorough, or work ticks; else as the batch says
    #[arg(long, value_name = "EFFORT")]
    effort: Option<Effort>,
    #[command(flatten)]
    papers: Asked,
}

impl Compile {
    pub fn run(self, session: &Session) -> Exit {
        let console = &session.console;
        let mut opened = match planned::open(&self.batch) {
            Ok(opened) => opened,
            Err(told) => return self.tell_nothing_written(session, told),
        };
        let files = &opened.named.files;
        let inputs = files.taken().into_keys().map(|name| files.path(&name));
        let destination = match Destination::claim(&self.out, inputs) {
            Ok(destination) => destination,
            Err(refusal) => return console.tell(refusal),
        };
        let ticks = opened.ticks(self.effort);
        let plan = match opened.plan(session, ticks) {
            Ok(plan) => plan,
            Err(refusal) => return console.tell(refusal),
        };
        let Some(plan) = plan.filter(|_| !any_error(&opened.found)) else {
            return self.tell_nothing_written(session, opened.told());
        };
        let report = opened.report(&plan, ticks);
        let contents = Contents {
            inputs: &opened.shop.inputs(),
            plan: &plan,
            report: &report,
            batch: &opened.named.name,
            taken: &opened.named.files.taken(),
            papers: &self.papers.names(),
        };
        let folder = contents.files();
        opened.found.extend(folder.found.iter().cloned());
        let files = folder::sealed(folder, None);
        if let Err(refusal) = destination.publish(&files, &session.interrupt) {
            opened.found.push(*refusal);
            return console.tell(opened.told());
        }
        let exit = console.tell(opened.told());
        let units = opened.shop.loaded.batch.units;
        console.summary(&summary(&self.out.display().to_string(), &report, units));
        exit
    }
}

impl Compile {
    /// Tells why nothing was written. What an earlier run left at that place stays, and is not
    /// taken for this one's.
    fn tell_nothing_written(&self, session: &Session, told: Told) -> Exit {
        let exit = session.console.tell(told);
        let filled = std::fs::read_dir(&self.out).is_ok_and(|mut entries| entries.next().is_some());
        let summary = match filled {
            true => format!(
                "Nothing was written. What lies in {} is not of this run: do not run it for this \
                 batch.",
                self.out.display()
            ),
            false => "Nothing was written.".to_string(),
        };
        session.console.summary(&summary);
        exit
    }
}

pub(super) fn summary(out: &str, report: &Report, shown: Units) -> String {
    let total = &report.total;
    let nm = Length::from_nm;
    let mut summary = format!(
        "Wrote {out}: {}, {}, every one replayed from its bytes and judged right.\n{} {} of \
         strip, {} of it in good pieces; {} of machine time.",
        count(report.runs.len(), "program"),
        count(total.pieces, "piece"),
        units::strip(nm(total.account.used_nm), shown, 1),
        units::long(shown),
        percent(nm(total.account.good_nm), nm(total.account.used_nm)),
        hours(Time::from_ns(total.planned_ns)),
    );
    for profile in &report.profiles {
        summary.push_str(&format!("\n{}: {}.", profile.profile, profile.gap));
    }
    summary
}
