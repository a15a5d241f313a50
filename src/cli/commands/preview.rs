use crate::cli::Session;
use crate::cli::args::{Form, TEMPLATE};
use crate::cli::exit::Exit;
use crate::cli::planned::{self, Effort};
use crate::report::{Preview, json, preview_text};
use clap::Args;
use std::path::PathBuf;

/// Show what a batch will come to: yield, scrap by cause, time, per coil and per job
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright preview batch.toml
  coilwright preview batch.toml --effort thorough --format json
"
)]
pub struct Show {
    /// Batch file
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// Form of the preview
    #[arg(long, value_name = "FORM", default_value = "text")]
    format: Form,
    /// How hard to look: quick, normal, thorough, or work ticks; else as the batch says
    #[arg(long, value_name = "EFFORT")]
    effort: Option<Effort>,
}

impl Show {
    pub fn run(self, session: &Session) -> Exit {
        let mut opened = match planned::open(&self.batch) {
            Ok(opened) => opened,
            Err(told) => return session.console.tell(told),
        };
        let ticks = opened.ticks(self.effort);
        let plan = match opened.plan(session, ticks) {
            Ok(plan) => plan,
            Err(refusal) => return session.console.tell(refusal),
        };
        // A shortage is told as an error, and what can be made is shown all the same.
        let told = session.console.tell(opened.told());
        let Some(plan) = plan else { return told };
        let preview = Preview::of(&opened.report(&plan, ticks));
        let text = match self.format {
            Form::Text => preview_text::print(&preview, opened.shop.loaded.batch.units),
            Form::Json => json::print(&preview),
        };
        told.max(session.console.product(&text))
    }
}
