use crate::check;
use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::disk::DiskFiles;
use crate::cli::exit::Exit;
use crate::cli::planned;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::any_error;
use crate::library::{MARK_TEXT, load_library};
use crate::member::resolve::resolve;
use crate::quantity::{Sources, Span, join};
use clap::Args;
use clap::error::ErrorKind;
use std::path::{Path, PathBuf};

/// Check members, or a whole batch, without writing anything
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright check walls.members floor.members --library library.toml
  coilwright check batch.toml
"
)]
pub struct Check {
    /// Members files, or one batch file (.toml)
    #[arg(value_name = "FILES", required = true)]
    files: Vec<PathBuf>,
    /// Library to check members against; else library.toml beside the first file
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
}

impl Check {
    pub fn run(self, session: &Session) -> Exit {
        let toml = |path: &&PathBuf| path.extension().is_some_and(|e| e == "toml");
        match (self.files.as_slice(), self.files.iter().filter(toml).count()) {
            ([batch], 1) if self.library.is_none() => check_batch(session, batch),
            (_, 0) => self.check_members(session),
            (_, 1) if self.files.len() == 1 => super::usage(
                ErrorKind::ArgumentConflict,
                "a batch names its own library: leave --library away",
            ),
            _ => super::usage(
                ErrorKind::ArgumentConflict,
                "a batch is checked alone: name members files or one batch file",
            ),
        }
    }

    fn check_members(&self, session: &Session) -> Exit {
        let mut names: Vec<(String, Option<Span>)> = Vec::new();
        for path in &self.files {
            match shown(path) {
                Ok(name) => names.push((name, None)),
                Err(refusal) => return session.console.refuse(refusal),
            }
        }
        let beside = || {
            let first = names.first().map_or("", |(name, _)| name.as_str());
            let library = join(first, "library.toml");
            Path::new(&library).is_file().then_some(library)
        };
        let library = match &self.library {
            Some(path) => match shown(path) {
                Ok(name) => Some(name),
                Err(refusal) => return session.console.refuse(refusal),
            },
            None => beside(),
        };
        let Some(library) = library else {
            return super::usage(
                ErrorKind::MissingRequiredArgument,
                "members are checked against a library: name it with --library FILE, or put \
                 library.toml beside the members file",
            );
        };
        let files = DiskFiles::here();
        let mut sources = Sources::default();
        let (library, mut found) = load_library(&files, &mut sources, &library);
        // Against half a library every second name would be unknown.
        let Some(library) = library.filter(|_| !any_error(&found)) else {
            return session.console.refuse(Told { found, sources, ..Told::default() });
        };
        let (jobs, faults) = resolve(&files, &mut sources, &names, &library, MARK_TEXT);
        found.extend(faults);
        found.extend(check::check(&jobs, &library).diagnostics);
        done(session, Told { found, sources, ..Told::default() })
    }
}

/// A batch is also held against its line and its stock, by planning it without a search: what
/// `compile` would refuse is told here.
fn check_batch(session: &Session, path: &Path) -> Exit {
    let mut opened = match planned::open(path) {
        Ok(opened) => opened,
        Err(told) => return session.console.refuse(told),
    };
    match opened.plan(session, 0) {
        Err(refusal) => session.console.refuse(refusal),
        Ok(None) => session.console.refuse(opened.told()),
        Ok(Some(_)) => done(session, opened.told()),
    }
}

fn done(session: &Session, told: Told) -> Exit {
    let clean = told.found.is_empty();
    let exit = session.console.tell(told);
    if clean {
        session.console.summary("Nothing found.");
    }
    exit
}
