use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::commands::config::Shown;
use crate::cli::exit::Exit;
use crate::diagnostic::closest;
use crate::estimate::Estimate;
use crate::report::{Preview, Report, WhatIf, json};
use crate::revision::Comparison;
use crate::{diagnostic, exchange, library};
use clap::Args;
use clap::error::ErrorKind;

/// What this program writes, beside what it reads.
const WRITTEN: [&str; 7] =
    ["comparison", "config", "diagnostics", "estimate", "preview", "report", "what-if"];

/// Print the JSON Schema of a kind of file
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright schema line
  coilwright schema preview
"
)]
pub struct Schema {
    /// batch, calibration, dialect, done, features, labels, library, line, log, map, measured,
    /// members, profiles, rules, stock; or comparison, config, diagnostics, estimate, preview,
    /// report, what-if
    #[arg(value_name = "KIND")]
    kind: String,
}

impl Schema {
    pub fn run(self, session: &Session) -> Exit {
        match of(&self.kind) {
            Some(schema) => session.console.product(&schema),
            None => {
                let kinds = || library::KINDS.into_iter().chain(exchange::KINDS).chain(WRITTEN);
                let help = match closest(&self.kind, kinds()) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!("there are {}", kinds().collect::<Vec<_>>().join(", ")),
                };
                super::usage(
                    ErrorKind::InvalidValue,
                    &format!("there is no kind `{}`; {help}", self.kind),
                )
            }
        }
    }
}

/// The schema of a kind, as text.
fn of(kind: &str) -> Option<String> {
    match kind {
        "comparison" => Some(json::schema::<Comparison>()),
        "config" => Some(json::schema::<Shown>()),
        "diagnostics" => Some(diagnostic::json::schema()),
        "estimate" => Some(json::schema::<Estimate>()),
        "preview" => Some(json::schema::<Preview>()),
        "what-if" => Some(json::schema::<WhatIf>()),
        "report" => Some(json::schema::<Report>()),
        other => library::schema(other).or_else(|| exchange::schema(other)),
    }
}
