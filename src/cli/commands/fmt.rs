use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::disk::{DiskFiles, plain, staged};
use crate::cli::exit::Exit;
use crate::cli::interrupt::Interrupt;
use crate::cli::output::interrupted;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::codes::files::{E0906, E0917};
use crate::diagnostic::{Diagnostic, any_error, load};
use crate::language;
use crate::quantity::{Files, Sources};
use clap::Args;
use std::path::{Path, PathBuf};

/// Put members files into their canonical form
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright fmt walls.members floor.members
  coilwright fmt --check walls.members
"
)]
pub struct Fmt {
    /// Members files
    #[arg(value_name = "FILES", required = true)]
    files: Vec<PathBuf>,
    /// Change nothing; exit 1 if a file is not in its canonical form
    #[arg(long)]
    check: bool,
}

impl Fmt {
    pub fn run(self, session: &Session) -> Exit {
        let files = DiskFiles::here();
        let mut sources = Sources::default();
        let mut found = Vec::new();
        let mut rewritten = 0_usize;
        let _guard = session.interrupt.guard();
        for path in &self.files {
            if session.interrupt.raised() {
                found.push(*interrupted());
                break;
            }
            match self.one(path, &files, &mut sources, &session.interrupt) {
                Ok(changed) => rewritten += usize::from(changed),
                Err(faults) => found.extend(faults),
            }
        }
        let clean = found.is_empty();
        let exit = session.console.tell(Told { found, sources, ..Told::default() });
        if clean {
            session.console.summary(&match rewritten {
                0 => "Nothing to change.".to_string(),
                1 => "1 file rewritten.".to_string(),
                n => format!("{n} files rewritten."),
            });
        }
        exit
    }

    /// Formats one file; whether it changed.
    fn one(
        &self,
        path: &Path,
        files: &DiskFiles,
        sources: &mut Sources,
        interrupt: &Interrupt,
    ) -> Result<bool, Vec<Diagnostic>> {
        let one = |diagnostic: Box<Diagnostic>| vec![*diagnostic];
        let name = shown(path).map_err(one)?;
        let file = load(files, sources, &name, None).map_err(one)?;
        let Some(text) = sources.get(file).map(|source| source.text().clone()) else {
            return Ok(false);
        };
        let (tree, faults) = language::parse(file, &text);
        if any_error(&faults) {
            return Err(faults);
        }
        // A tree without errors is whole; a broken one has said why.
        let Some(formatted) = language::format(&tree, &text) else { return Err(faults) };
        // What is on the disk, byte order mark and line ends included.
        let stands = files.read(&name).unwrap_or_default();
        if stands == formatted.as_bytes() {
            return Ok(false);
        }
        if self.check {
            return Err(vec![
                Diagnostic::new(&E0917, format!("`{name}` is not in its canonical form"))
                    .help("run `coilwright fmt` on it"),
            ]);
        }
        rewrite(path, &formatted, interrupt).map_err(|error| {
            vec![
                Diagnostic::new(&E0906, format!("cannot write `{name}`: {}", plain(&error)))
                    .help("check that the file and its folder may be written; it is unchanged"),
            ]
        })?;
        Ok(true)
    }
}

/// Puts a new text in a file's place at once: a reader sees the old one or the new one. Keeps the
/// file's permissions, and follows a link to the file it names.
fn rewrite(path: &Path, text: &str, interrupt: &Interrupt) -> std::io::Result<()> {
    let path = std::fs::canonicalize(path)?;
    let permissions = std::fs::metadata(&path)?.permissions();
    if permissions.readonly() {
        return Err(std::io::ErrorKind::PermissionDenied.into());
    }
    let folder = path.parent().unwrap_or(Path::new("."));
    staged(folder, ".fmt-", text, Some(permissions), interrupt)?.put(&path)
}
