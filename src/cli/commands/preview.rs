use crate::cli::Session;
use crate::cli::args::{Form, TEMPLATE};
use crate::cli::choices::{Choices, bundling, keep};
use crate::cli::disk::{DiskFiles, put, read_file};
use crate::cli::exit::Exit;
use crate::cli::interrupt::Interrupt;
use crate::cli::planned::{self, Effort, Unplanned};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::files::{E0907, E0909};
use crate::library::model::Bundling;
use crate::quantity::Length;
use crate::report::{Preview, json, page, preview_text};
use clap::Args;
use std::path::{Path, PathBuf};

/// Show what a batch will come to: yield, scrap by cause, time, per coil and per job
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright preview batch.toml
  coilwright preview batch.toml --with-stock old.toml --with-bundling none --with-keep '3 m'
  coilwright preview batch.toml --html batch.html
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
    /// Write a page to look at as well: strips, pieces, stops, findings
    #[arg(long, value_name = "FILE", conflicts_with_all = ["with_stock", "with_bundling", "with_keep"])]
    html: Option<PathBuf>,
    /// How hard to look: quick, normal, thorough, or work ticks; else as the batch says
    #[arg(long, value_name = "EFFORT")]
    effort: Option<Effort>,
}

impl Show {
    pub fn run(self, session: &Session) -> Exit {
        let mut opened = match planned::read(&self.batch) {
            Ok(Ok(opened)) => opened,
            Ok(Err(unplanned)) => return self.tell_unplanned(session, &unplanned),
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
        let Some(plan) = plan else {
            return self.tell_unplanned(session, &opened.unplanned());
        };
        // A shortage is told as an error, and what can be made is shown all the same.
        let mut told = opened.told();
        let report = opened.report(&plan, ticks);
        if let Some(path) = &self.html {
            let page = opened.source(&plan, ticks, |source| page::print(source, &report));
            if let Err(refusal) = write_page(path, &page, &opened.named.files, &session.interrupt) {
                told.found.push(*refusal);
                return session.console.tell(told);
            }
        }
        let told = session.console.tell(told);
        let preview = Preview::of(&report);
        let text = match self.format {
            Form::Text => preview_text::print(&preview, opened.shop.loaded.batch.units),
            Form::Json => json::print(&preview),
        };
        told.max(session.console.product(&text))
    }
}

impl Show {
    /// Tells why there is no plan, on the page too: one of an earlier plan must not stay in its
    /// place.
    fn tell_unplanned(&self, session: &Session, unplanned: &Unplanned) -> Exit {
        let mut told = unplanned.told();
        let mut summary = "Nothing was planned.".to_string();
        if let Some(path) = &self.html {
            match write_page(path, &unplanned.page(), &unplanned.named.files, &session.interrupt) {
                Ok(()) => summary.push_str(&format!(" {} shows why.", path.display())),
                Err(refusal) => told.found.push(*refusal),
            }
        }
        let exit = session.console.tell(told);
        session.console.summary(&summary);
        exit
    }
}

/// A page replaces a page of ours; it never replaces an input, or what somebody else wrote.
fn write_page(
    path: &Path,
    page: &str,
    files: &DiskFiles,
    interrupt: &Interrupt,
) -> Result<(), Box<Diagnostic>> {
    let refused = |code, what: &str, note: &str| {
        Box::new(
            Diagnostic::new(code, format!("`{}` {what}", path.display()))
                .note(note)
                .help("name another file for the page, such as `preview.html`"),
        )
    };
    let real = |path: &Path| path.canonicalize().ok();
    if let Some(there) = real(path) {
        if files.taken().into_keys().any(|name| real(&files.path(&name)).as_ref() == Some(&there)) {
            return Err(refused(&E0909, "is read by this batch", "it would be lost"));
        }
        let bytes = read_file(&there).unwrap_or_default();
        if !bytes.starts_with(page::FIRST_LINES.as_bytes()) {
            return Err(refused(&E0907, "is no page of ours", "what stands there would be lost"));
        }
    }
    put(path, ".coilwright-", page, interrupt)
}
