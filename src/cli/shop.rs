use super::disk::DiskFiles;
use crate::check;
use crate::diagnostic::codes::files::{E0901, E0916};
use crate::diagnostic::{Diagnostic, any_error};
use crate::dialect::Invertible;
use crate::library::{Loaded, load_batch, load_dialect};
use crate::member::model::{Job, Waiver};
use crate::member::resolve::resolve;
use crate::plan::Inputs;
use crate::quantity::{Files, Sources, Span, join};
use std::path::Path;

/// A batch and everything it names, read and checked: ready to be planned.
#[derive(Debug)]
pub struct Shop {
    pub loaded: Loaded,
    pub jobs: Vec<Job>,
    pub dialect: Invertible,
    pub waived: Vec<check::Waived>,
}

impl Shop {
    /// Reads and checks a batch. The shop is there when nothing in it is an error; findings come
    /// from every file in one pass, as far as the files before allow.
    pub fn open(
        files: &dyn Files,
        sources: &mut Sources,
        batch: &str,
    ) -> (Option<Shop>, Vec<Diagnostic>) {
        let (loaded, mut found) = load_batch(files, sources, batch);
        let Some(loaded) = loaded else { return (None, found) };
        let (path, named_at) = &loaded.dialect;
        let (dialect, faults) = load_dialect(files, sources, path, Some(*named_at));
        found.extend(faults);
        let dialect = dialect.and_then(|dialect| {
            Invertible::prove(&dialect, &loaded.line).map_err(|faults| found.extend(faults)).ok()
        });
        let names: Vec<(String, Option<Span>)> =
            loaded.jobs.iter().map(|(path, span)| (path.clone(), Some(*span))).collect();
        let (jobs, faults) =
            resolve(files, sources, &names, &loaded.library, &loaded.batch.mark_text);
        found.extend(faults);
        let checked = check::check(&jobs, &loaded.library);
        found.extend(checked.diagnostics);
        let Some(dialect) = dialect.filter(|_| !any_error(&found)) else { return (None, found) };
        (Some(Shop { loaded, jobs, dialect, waived: checked.waived }), found)
    }

    /// What planning needs of it.
    pub fn inputs(&self) -> Inputs<'_> {
        Inputs {
            batch: &self.loaded.batch,
            library: &self.loaded.library,
            line: &self.loaded.line,
            calibration: &self.loaded.calibration,
            stock: &self.loaded.stock,
            dialect: &self.dialect,
            jobs: &self.jobs,
        }
    }

    /// Findings somebody took responsibility for, each with its waiver.
    pub fn waived(&self) -> Vec<(&Waiver, &Diagnostic)> {
        self.waived
            .iter()
            .filter_map(|waived| {
                let waiver = self.jobs.get(waived.job)?.waivers.get(waived.waiver)?;
                Some((waiver, &waived.diagnostic))
            })
            .collect()
    }
}

/// A batch file named on the command line: the folder its names lead from, and its own name.
#[derive(Debug)]
pub struct Named {
    pub files: DiskFiles,
    pub name: String,
    shown: String,
}

impl Named {
    /// The batch at this path.
    pub fn batch(path: &Path) -> Result<Named, Box<Diagnostic>> {
        let shown = shown(path)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
            return Err(Box::new(
                Diagnostic::new(&E0901, format!("`{shown}` is not the name of a file"))
                    .help("name the batch file, such as `batch.toml`"),
            ));
        };
        Ok(Named {
            files: DiskFiles::of_batch(folder),
            name: name.to_string(),
            shown: shown.clone(),
        })
    }
    /// The sources under the names the user knows them by, seen from where the command started.
    pub fn shown(&self, sources: &Sources) -> Sources {
        super::console::renamed(sources, |_, name| join(&self.shown, name))
    }
}

/// A path as text.
pub fn shown(path: &Path) -> Result<String, Box<Diagnostic>> {
    match path.to_str() {
        Some(text) => Ok(text.to_string()),
        None => Err(Box::new(
            Diagnostic::new(
                &E0916,
                format!("the name `{}` is not UTF-8 text", path.to_string_lossy()),
            )
            .help("rename the file in letters that can be printed on papers"),
        )),
    }
}

/// Where a finding is, as papers name it: the file as the batch knows it, and the line.
pub fn place(found: &Diagnostic, sources: &Sources) -> Option<String> {
    let span = found.span()?;
    let file = sources.get(span.file)?;
    Some(format!("{}:{}", file.name(), file.position(span.start).line))
}
