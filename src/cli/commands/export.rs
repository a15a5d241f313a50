use crate::check;
use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::disk::{DiskFiles, put, read_file, unwritten};
use crate::cli::exit::Exit;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::codes::exchange::{E1104, E1105};
use crate::diagnostic::{Diagnostic, any_error};
use crate::exchange::{self, Choice};
use crate::library::model::Library;
use crate::library::{MARK_TEXT, load_library};
use crate::member::model::Job;
use crate::member::resolve::resolve;
use crate::quantity::{ReadFault, Span};
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Write a job as JSON, an IFC model or DSTV NC files
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright export job.members --library library.toml --form json --out job.json
  coilwright export job.members --library library.toml --form nc --cut hole --leave-out swage --out nc
"
)]
pub struct Export {
    /// Members files of one job
    #[arg(value_name = "FILES", required = true)]
    files: Vec<PathBuf>,
    /// Library the members refer to
    #[arg(long, value_name = "FILE")]
    library: PathBuf,
    /// What to write
    #[arg(long, value_name = "FORM")]
    form: OutForm,
    /// File to write; for nc the folder. Never written over
    #[arg(long, value_name = "PATH")]
    out: PathBuf,
    /// Feature types that take steel away: openings and holes
    #[arg(long, value_name = "TYPES", value_delimiter = ',')]
    cut: Vec<String>,
    /// Feature types that press it: carried beside the model's geometry
    #[arg(long, value_name = "TYPES", value_delimiter = ',')]
    pressed: Vec<String>,
    /// Feature types that are left out
    #[arg(long, value_name = "TYPES", value_delimiter = ',')]
    leave_out: Vec<String>,
}

/// What can be written.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum OutForm {
    /// Members as JSON, all that members text says
    Json,
    /// An IFC4 model as a STEP file
    Ifc,
    /// DSTV NC, one part a file
    Nc,
}

impl Export {
    pub fn run(self, session: &Session) -> Exit {
        let mut told = Told::default();
        let written = match self.job(&mut told) {
            Some((job, library)) if !any_error(&told.found) => match self.write(&job, &library) {
                Ok(page) => Some(page),
                Err(faults) => {
                    told.found.extend(faults);
                    None
                }
            },
            _ => None,
        };
        let exit = session.console.tell(told);
        match written {
            Some(page) => exit.max(session.console.product(&page)),
            None => {
                session.console.summary("Nothing was written.");
                exit
            }
        }
    }

    fn job(&self, told: &mut Told) -> Option<(Job, Library)> {
        let files = DiskFiles::here();
        let mut names: Vec<(String, Option<Span>)> = Vec::new();
        for path in &self.files {
            match shown(path) {
                Ok(name) => names.push((name, None)),
                Err(refusal) => told.found.push(*refusal),
            }
        }
        let library = match shown(&self.library) {
            Ok(name) => name,
            Err(refusal) => {
                told.found.push(*refusal);
                return None;
            }
        };
        let (library, found) = load_library(&files, &mut told.sources, &library);
        told.found.extend(found);
        let library = library?;
        let (mut jobs, found) = resolve(&files, &mut told.sources, &names, &library, MARK_TEXT);
        told.found.extend(found);
        // What is wrong with a member would be wrong in every format.
        told.found.extend(check::check(&jobs, &library).diagnostics);
        if jobs.len() > 1 {
            told.found.push(
                Diagnostic::new(&E1104, format!("these files are {} jobs", jobs.len()))
                    .help("export one job at a time: its members files alone"),
            );
        }
        let job = jobs.pop()?;
        if job.members().next().is_none() && !any_error(&told.found) {
            told.found.push(
                Diagnostic::new(&E1104, format!("job {} has no members", job.name))
                    .at(job.span, "this job")
                    .help("name the members files that hold its frames"),
            );
        }
        Some((job, library))
    }

    fn write(&self, job: &Job, library: &Library) -> Result<String, Vec<Diagnostic>> {
        let drawn = exchange::drawn(job, library, |frame, mark| format!("{frame} {mark}"));
        let choice = Choice {
            cut: self.cut.clone(),
            pressed: self.pressed.clone(),
            leave_out: self.leave_out.clone(),
        };
        let one = |refusal: Box<Diagnostic>| vec![*refusal];
        let (members, features) = drawn.counts();
        let out = self.out.display();
        let mut page = match self.form {
            OutForm::Json => {
                put_new(&self.out, &exchange::json::write(&drawn)).map_err(one)?;
                format!("Wrote {out}: {members} members with {features} features.\n")
            }
            OutForm::Ifc => {
                let text = exchange::ifc::write(job, &drawn, library, &choice)?;
                put_new(&self.out, &text).map_err(one)?;
                format!(
                    "Wrote {out}: {members} members, laid out side by side, not as they stand.\n"
                )
            }
            OutForm::Nc => {
                let parts = exchange::nc::write(job, library, &choice)?;
                self.folder(&parts).map_err(one)?;
                format!(
                    "Wrote {} parts to {out}. Check one at the machine that reads them.\n",
                    parts.len()
                )
            }
        };
        if !self.leave_out.is_empty() && self.form != OutForm::Json {
            let count = job
                .members()
                .flat_map(|(_, member)| &member.shape.features)
                .filter(|f| {
                    library
                        .feature(f.kind)
                        .is_some_and(|kind| self.leave_out.iter().any(|name| **name == *kind.name))
                })
                .count();
            page.push_str(&format!(
                "Left out, as asked: {count} features of {}.\n",
                self.leave_out.join(", ")
            ));
        }
        Ok(page)
    }

    /// All files into a new folder, or none.
    fn folder(&self, parts: &[exchange::nc::Part]) -> Result<(), Box<Diagnostic>> {
        if self.out.exists() {
            return Err(in_the_way(&self.out));
        }
        let above =
            self.out.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let write = || -> std::io::Result<()> {
            let folder = tempfile::Builder::new().prefix(".export-").tempdir_in(above)?;
            for part in parts {
                std::fs::write(folder.path().join(&part.name), &part.text)?;
            }
            #[cfg(unix)]
            {
                use std::os::unix::fs::PermissionsExt;
                std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(0o755))?;
            }
            let staged = folder.keep();
            std::fs::rename(&staged, &self.out).inspect_err(|_| {
                let _left_behind = std::fs::remove_dir_all(&staged);
            })
        };
        write().map_err(|error| Box::new(unwritten(&self.out, &error)))
    }
}

fn in_the_way(path: &Path) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(&E1105, format!("something stands at `{}` already", path.display()))
            .note("it is left as it is")
            .help("give another name after --out, or move it away"),
    )
}

/// Writes a file that is not there yet, or holds the same already.
fn put_new(path: &Path, text: &str) -> Result<(), Box<Diagnostic>> {
    match read_file(path) {
        Err(ReadFault::Missing) => {}
        Ok(stands) if stands == text.as_bytes() => return Ok(()),
        _ => return Err(in_the_way(path)),
    }
    put(path, ".export-", text)
}
