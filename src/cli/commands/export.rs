use crate::cli::args::TEMPLATE;
use crate::cli::exit::Exit;
use crate::cli::interrupt::Interrupt;
use crate::cli::told::Told;
use crate::cli::{Session, fresh, members};
use crate::diagnostic::codes::exchange::E1104;
use crate::diagnostic::{Diagnostic, any_error};
use crate::exchange::{self, Choice};
use crate::library::model::Library;
use crate::member::model::Job;
use clap::{Args, ValueEnum};
use std::path::PathBuf;

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
            Some((job, library)) if !any_error(&told.found) => {
                match self.write(&job, &library, &session.interrupt) {
                    Ok(page) => Some(page),
                    Err(faults) => {
                        told.found.extend(faults);
                        None
                    }
                }
            }
            _ => None,
        };
        match written {
            Some(page) => session.console.tell(told).max(session.console.product(&page)),
            None => {
                let exit = session.console.refuse(told);
                session.console.summary("Nothing was written.");
                exit
            }
        }
    }

    fn job(&self, told: &mut Told) -> Option<(Job, Library)> {
        let (mut jobs, library) = members::checked(&self.files, &self.library, told)?;
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

    fn write(
        &self,
        job: &Job,
        library: &Library,
        interrupt: &Interrupt,
    ) -> Result<String, Vec<Diagnostic>> {
        let drawn = exchange::drawn(job, library, |frame, mark| format!("{frame} {mark}"));
        let choice = Choice {
            cut: self.cut.clone(),
            pressed: self.pressed.clone(),
            leave_out: self.leave_out.clone(),
        };
        let one = |refusal: Box<Diagnostic>| vec![*refusal];
        let told = exchange::told(&drawn);
        let out = self.out.display();
        let mut page = match self.form {
            OutForm::Json => {
                fresh::file(&self.out, &exchange::json::write(&drawn), interrupt).map_err(one)?;
                format!("Wrote {out}: {told}.\n")
            }
            OutForm::Ifc => {
                let text = exchange::ifc::write(job, &drawn, library, &choice)?;
                fresh::file(&self.out, &text, interrupt).map_err(one)?;
                format!(
                    "Wrote {out}: {told}. Each piece is in it, side by side, not as it stands.\n"
                )
            }
            OutForm::Nc => {
                let parts = exchange::nc::write(job, library, &choice)?;
                let files = parts.iter().map(|part| (part.name.as_str(), part.text.as_str()));
                fresh::folder(&self.out, files, interrupt).map_err(one)?;
                let waivers = match drawn.waivers.len() {
                    0 => "",
                    1 => ", and a waiver",
                    _ => ", and waivers",
                };
                format!(
                    "Wrote {} parts to {out}: {told}.\nParts are shapes: tolerances, texts, which may \
                     be turned, from where places are counted, how often a frame is wanted{waivers} \
                     stay in the members file.\nCheck one part at the machine that reads them.\n",
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
                "Left out, as asked: {count} features of {}, each counted once for its member.\n",
                self.leave_out.join(", ")
            ));
        }
        Ok(page)
    }
}
