use crate::cli::Session;
use crate::cli::args::{Form, TEMPLATE};
use crate::cli::disk::DiskFiles;
use crate::cli::exit::Exit;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::any_error;
use crate::library::{MARK_TEXT, load_library};
use crate::member::resolve::resolve;
use crate::quantity::join;
use crate::report::json;
use crate::revision::{Comparison, compare, text};
use clap::Args;
use std::path::{Path, PathBuf};

/// Say what differs between two revisions of a job
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright compare rev-a/job.members rev-b/job.members --library shop/library.toml
  coilwright compare old.members new.members --format json --same
"
)]
pub struct Compare {
    /// Members file of the old revision; what it includes belongs to it
    #[arg(value_name = "OLD")]
    old: PathBuf,
    /// Members file of the new revision
    #[arg(value_name = "NEW")]
    new: PathBuf,
    /// Library that both are read against; else library.toml beside the new file
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
    /// What is printed
    #[arg(long, value_name = "FORM", default_value = "text")]
    format: Form,
    /// Exit with 1 where anything differs
    #[arg(long)]
    same: bool,
}

impl Compare {
    pub fn run(self, session: &Session) -> Exit {
        let console = &session.console;
        match self.compared() {
            Err(told) => console.refuse(told),
            Ok((comparison, told)) => {
                let printed = match self.format {
                    Form::Text => text(&comparison),
                    Form::Json => json::print(&comparison),
                };
                let differs = self.same && !comparison.is_same();
                let verdict = if differs { Exit::Input } else { Exit::Clean };
                console.tell(told).max(console.product(&printed)).max(verdict)
            }
        }
    }

    fn compared(&self) -> Result<(Comparison, Told), Told> {
        let library_name = match &self.library {
            Some(path) => shown(path)?,
            None => join(&shown(&self.new)?, "library.toml"),
        };
        let files = DiskFiles::here();
        let mut told = Told::default();
        let (library, found) = load_library(&files, &mut told.sources, &library_name);
        told.found = found;
        let Some(library) = library.filter(|_| !any_error(&told.found)) else { return Err(told) };
        let mut read = |path: &Path| -> Result<_, Told> {
            let names = [(shown(path)?, None)];
            // What a piece bears is the shop's wish, not the drawing's: the same on both sides.
            let (jobs, found) = resolve(&files, &mut told.sources, &names, &library, MARK_TEXT);
            told.found.extend(found);
            Ok(jobs)
        };
        let (old, new) = (read(&self.old)?, read(&self.new)?);
        // A member with a mistake is left out: it would be told as gone.
        if any_error(&told.found) {
            return Err(told);
        }
        Ok((compare(&old, &new, &library), told))
    }
}
