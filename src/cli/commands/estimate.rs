use crate::cli::Session;
use crate::cli::args::{Form, TEMPLATE};
use crate::cli::exit::Exit;
use crate::cli::planned::{self, Effort};
use crate::cli::told::Told;
use crate::diagnostic::codes::stock::{E0601, E0602};
use crate::diagnostic::{Diagnostic, Severity};
use crate::estimate::{self, Rack};
use crate::report::json;
use clap::Args;
use std::path::PathBuf;

/// Add up metres, coated kilograms, coils, machine hours and shortages over many batches
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright estimate monday.toml tuesday.toml
  coilwright estimate week-*/batch.toml --format json
"
)]
pub struct Estimate {
    /// Batch files, in the order they are to be made
    #[arg(value_name = "BATCH", required = true)]
    batches: Vec<PathBuf>,
    /// Form of the estimate
    #[arg(long, value_name = "FORM", default_value = "text")]
    format: Form,
    /// How hard to look: quick, normal, thorough, or work ticks
    #[arg(long, value_name = "EFFORT", default_value = "quick")]
    effort: Effort,
}

impl Estimate {
    pub fn run(self, session: &Session) -> Exit {
        let mut rack = Rack::default();
        let mut reports = Vec::new();
        let mut told = Told::default();
        for path in &self.batches {
            let mut opened = match planned::open(path) {
                Ok(opened) => opened,
                Err(faults) => {
                    told.absorb(faults.refusing());
                    continue;
                }
            };
            // What is on the rack by then; what is missing is this command's answer, not a fault.
            let loaded = &mut opened.shop.loaded;
            loaded.stock = rack.now(&loaded.stock, &loaded.line);
            let stands = rack.set_up(&loaded.line, &loaded.library);
            loaded.batch.set_up_now = stands.or(loaded.batch.set_up_now);
            let plan = match opened.plan(session, self.effort.0) {
                Ok(plan) => plan,
                Err(refusal) => return session.console.refuse(refusal),
            };
            opened.found = opened.found.into_iter().map(lowered).collect();
            let Some(plan) = plan else {
                told.absorb(opened.told().refusing());
                continue;
            };
            told.absorb(opened.told());
            rack.take(&plan, &opened.shop.loaded.line, &opened.shop.loaded.library);
            reports.push(opened.report(&plan, self.effort.0));
        }
        let exit = session.console.tell(told);
        if exit != Exit::Clean {
            session.console.summary("No estimate: the batches above have errors.");
            return exit;
        }
        let estimate = estimate::Estimate::of(&reports);
        session.console.product(&match self.format {
            Form::Text => estimate::text::print(&estimate),
            Form::Json => json::print(&estimate),
        })
    }
}

fn lowered(found: Diagnostic) -> Diagnostic {
    if *found.code == E0601 || *found.code == E0602 {
        found.severity(Severity::Warning)
    } else {
        found
    }
}
