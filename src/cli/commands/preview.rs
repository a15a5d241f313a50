use crate::cli::Session;
use crate::cli::args::{Form, TEMPLATE};
use crate::cli::choices::{Choices, bundling, keep};
use crate::cli::exit::Exit;
use crate::cli::planned::{self, Effort};
use crate::library::model::Bundling;
use crate::quantity::Length;
use crate::report::{Preview, json, preview_text};
use clap::Args;
use std::path::PathBuf;

/// Show what a batch will come to: yield, scrap by cause, time, per coil and per job
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright preview batch.toml
  coilwright preview batch.toml --with-stock old.toml --with-bundling none --with-keep '3 m'
"
)]
pub struct Show {
    /// Batch file
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// Form of the preview
    #[arg(long, value_name = "FORM", default_value = "text")]
    format: Form,
    /// Compare with this stock file in the batch's place; may be given several times
    #[arg(long, value_name = "STOCK")]
    with_stock: Vec<PathBuf>,
    /// Compare with this bundling: frame, open=N or none; may be given several times
    #[arg(long, value_name = "BUNDLING", value_parser = bundling)]
    with_bundling: Vec<Bundling>,
    /// Compare with this keep length, such as '3 m'; may be given several times
    #[arg(long, value_name = "LENGTH", value_parser = keep)]
    with_keep: Vec<Length>,
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
        let choices = Choices {
            stocks: &self.with_stock,
            bundlings: &self.with_bundling,
            keeps: &self.with_keep,
        };
        if choices.any() {
            return choices.compare(session, opened, ticks, self.format);
        }
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
