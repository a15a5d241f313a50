use super::super::verify::survey;
use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::disk::DiskFiles;
use crate::cli::exit::Exit;
use crate::cli::log::{Log as Read, given};
use crate::cli::manifest::ProgramEntry;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::Diagnostic;
use crate::dialect::log::Logged;
use crate::library::model::LogNamed;
use crate::report::words::count;
use clap::Args;
use std::path::PathBuf;

/// Hold a controller's log against the programs it ran: what was made, and where it stopped
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = super::EXAMPLES
)]
pub struct Log {
    /// Files of the log, in the order they were written
    #[arg(value_name = "LOG", required = true)]
    files: Vec<PathBuf>,
    /// Description of the log
    #[arg(long = "as", value_name = "FILE")]
    read_as: PathBuf,
    /// Folder that `compile` wrote and the line ran
    #[arg(long, value_name = "DIR")]
    ran: PathBuf,
}

impl Log {
    pub fn run(self, session: &Session) -> Exit {
        match self.told() {
            Ok(text) => session.console.product(&text),
            Err(told) => session.console.refuse(told),
        }
    }

    fn told(&self) -> Result<String, Told> {
        let name = |path: &PathBuf| Ok::<_, Told>((shown(path)?.into(), None));
        let files = self.files.iter().map(name).collect::<Result<Vec<_>, _>>()?;
        let named = LogNamed { files, read_as: name(&self.read_as)?, after: None };
        let folder = shown(&self.ran)?;
        let mut told = Told::default();
        let log = match Read::load(&DiskFiles::here(), &mut told.sources, "", &named) {
            Ok(log) => log,
            Err(why) => {
                told.found.extend(why);
                return Err(told);
            }
        };
        let survey = survey(&self.ran, &folder).map_err(Box::new)?;
        let stored = survey.shop(&mut told.sources);
        let Some(shop) = &stored.shop else {
            told.found.extend(stored.faults.iter().cloned());
            return Err(told);
        };
        let manifest = &survey.manifest;
        let finish = manifest.continues.as_ref().and_then(|of| of.finish.as_ref());
        let entries: Vec<&ProgramEntry> = finish.into_iter().chain(&manifest.programs).collect();
        let files = &survey.standing.files;
        let given = given(manifest, files, &shop.dialect, &mut told.sources);
        match given.and_then(|given| log.follow(&given)) {
            Ok(logged) => Ok(page(&log, &logged, &folder, &entries)),
            Err(why) => {
                told.found.push(Diagnostic::clone(&why));
                Err(told)
            }
        }
    }
}

fn page(log: &Read, logged: &Logged, folder: &str, entries: &[&ProgramEntry]) -> String {
    let (after, _) = logged.after;
    let piece = entries.iter().flat_map(|entry| entry.pieces()).find(|p| p.serial == after.0);
    let named = piece.map_or(String::new(), |p| format!(" ({} {})", p.frame, p.mark));
    let program = &logged.program;
    let mut page = format!(
        "{} of the log agree with the programs of {folder}.\n\
         {} dropped. The last of them is piece {after}{named} of program {program}, cut at {} mm.\n",
        count(log.lines(), "line"),
        count(logged.made, "piece"),
        logged.cut_at
    );
    if !logged.rejected.is_empty() {
        let all: Vec<String> = logged.rejected.iter().map(ToString::to_string).collect();
        page.push_str(&format!("Rejected: {}.\n", all.join(", ")));
    }
    page.push_str(&match (logged.moved, logged.stands) {
        (Some(_), _) => "Scrap was cut since.\n".to_string(),
        (None, Some((place, _))) if place.may_be(logged.cut_at) => {
            "The strip came to rest right after that cut.\n".to_string()
        }
        (None, Some((place, _))) => {
            format!("The strip came to rest at {} mm: it has moved since.\n", place.at)
        }
        (None, None) => "Where the strip came to rest since, the log does not say.\n".to_string(),
    });
    page.push_str(
        "Whether anything moved, fired or was opened after that no log says: `position = \"kept\"` \
         is somebody's word.\n",
    );
    page
}
