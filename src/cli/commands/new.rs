use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::exit::Exit;
use crate::cli::output::Destination;
use crate::cli::starter::{self, INCH, METRIC};
use clap::Args;
use std::path::{Path, PathBuf};

/// Write a starter folder: a small shop that compiles as it stands
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright new shop
  coilwright new shop --inch
"
)]
pub struct New {
    /// Folder to write; it must not be there yet, or be empty
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// A shop that works in inches; else in millimetres
    #[arg(long)]
    inch: bool,
}

impl New {
    pub fn run(self, session: &Session) -> Exit {
        let files = starter::files(if self.inch { &INCH } else { &METRIC });
        let placed = Destination::claim_empty(&self.folder)
            .and_then(|destination| destination.publish(&files, &session.interrupt));
        if let Err(refusal) = placed {
            return session.console.refuse(refusal);
        }
        let batch = typed(&self.folder.join("batch.toml"));
        session.console.summary(&format!(
            "Wrote {}: a small shop, made up, to be replaced by yours file by file. Try it:\n  \
             coilwright preview {batch}\n  coilwright compile {batch} --out {}",
            self.folder.display(),
            typed(&self.folder.join("today")),
        ));
        Exit::Clean
    }
}

/// A path as it is typed after a command: in quotes where a shell would part it.
fn typed(path: &Path) -> String {
    let path = path.display().to_string();
    let plain = |c: char| c.is_alphanumeric() || "/\\.-_:+~".contains(c);
    if path.chars().all(plain) { path } else { format!("'{}'", path.replace('\'', "'\\''")) }
}
