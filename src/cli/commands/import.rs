use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::disk::{DiskFiles, put, read_file};
use crate::cli::exit::Exit;
use crate::cli::interrupt::Interrupt;
use crate::cli::shop::shown;
use crate::cli::told::Told;
use crate::diagnostic::codes::exchange::{E1101, E1103, E1105, E1106, E1148, E1149};
use crate::diagnostic::{Diagnostic, any_error, load};
use crate::exchange::{self, Answer, DrawnJob, Map, Part};
use crate::language::imported::{is_untouched, marked};
use crate::library::load_library;
use crate::library::model::Library;
use crate::quantity::{FileId, ReadFault, Sources};
use clap::{Args, ValueEnum};
use std::path::{Path, PathBuf};

/// Make a members file of a list (CSV), JSON, an IFC model or DSTV NC files
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright import cutting-list.csv --map map.toml --out walls.members
  coilwright import model.ifc --map map.toml --library library.toml --out model.members
"
)]
pub struct Import {
    /// Files to read; several make one job
    #[arg(value_name = "FILES", required = true)]
    files: Vec<PathBuf>,
    /// How they are to be read: columns, units, codes, openings by size
    #[arg(long, value_name = "FILE")]
    map: Option<PathBuf>,
    /// Library whose profiles and feature types a model is compared with
    #[arg(long, value_name = "FILE")]
    library: Option<PathBuf>,
    /// Members file to write; replaced only if it is an import that nobody has changed
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// How the files are written, where their names do not end in it
    #[arg(long, value_name = "FORM")]
    form: Option<FileForm>,
}

/// What can be read.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum)]
pub enum FileForm {
    /// A list: comma separated values
    Csv,
    /// Members as JSON
    Json,
    /// An IFC model (IFC4, IFC4X3) as a STEP file
    Ifc,
    /// DSTV NC, one part a file
    Nc,
}

impl FileForm {
    fn of(path: &Path) -> Option<FileForm> {
        match path.extension()?.to_str()?.to_ascii_lowercase().as_str() {
            "csv" | "tsv" | "txt" => Some(FileForm::Csv),
            "json" => Some(FileForm::Json),
            "ifc" => Some(FileForm::Ifc),
            "nc" | "nc1" => Some(FileForm::Nc),
            _ => None,
        }
    }
}

impl Import {
    pub fn run(self, session: &Session) -> Exit {
        let mut told = Told::default();
        let read = self.read(&mut told);
        let clean = !any_error(&told.found);
        let written =
            read.filter(|_| clean).and_then(|(job, parts)| match exchange::members_text(&job) {
                Ok(text) => match self.write(&text, &session.interrupt) {
                    Ok(()) => Some((job, parts)),
                    Err(refusal) => {
                        told.found.push(*refusal);
                        None
                    }
                },
                Err(faults) => {
                    told.found.extend(faults);
                    None
                }
            });
        let Some((job, parts)) = written else {
            let exit = session.console.refuse(told);
            session.console.summary("Nothing was written.");
            return exit;
        };
        let exit = session.console.tell(told);
        let each: Vec<(&Answer, &DrawnJob)> =
            parts.iter().map(|part| (&part.answer, &part.job)).collect();
        let page = exchange::answers(&each, &job);
        let page = session.console.answer(&page);
        session.console.summary(&format!("Wrote {}.", self.out.display()));
        exit.max(page)
    }

    /// Reads everything into one job; each file's answer with what it came to.
    fn read(&self, told: &mut Told) -> Option<(DrawnJob, Vec<Part>)> {
        let files = DiskFiles::here();
        let name = |path: &Path, told: &mut Told| match shown(path) {
            Ok(name) => Some(name),
            Err(refusal) => {
                told.found.push(*refusal);
                None
            }
        };
        let map = match &self.map {
            Some(path) => {
                let path = name(path, told)?;
                let (map, found) = exchange::load_map(&files, &mut told.sources, &path);
                told.found.extend(found);
                Some(map?)
            }
            None => None,
        };
        let library = match &self.library {
            Some(path) => {
                let path = name(path, told)?;
                let (library, found) = load_library(&files, &mut told.sources, &path);
                told.found.extend(found.into_iter().filter(Diagnostic::is_error));
                Some(library?)
            }
            None => None,
        };
        self.tell_names_alike(&mut told.found);
        let mut parts = Vec::new();
        for path in &self.files {
            let Some(form) = self.form.or_else(|| FileForm::of(path)) else {
                told.found.push(
                    Diagnostic::new(
                        &E1101,
                        format!("it cannot be told how `{}` is written", path.display()),
                    )
                    .help("say it: `--form csv`, json, ifc or nc"),
                );
                continue;
            };
            let path = name(path, told)?;
            let loaded = match form {
                FileForm::Csv => {
                    exchange::csv::load(&files, &mut told.sources, &path, map.as_ref())
                }
                _ => load(&files, &mut told.sources, &path, None),
            };
            let file = match loaded {
                Ok(file) => file,
                Err(refusal) => {
                    told.found.push(*refusal);
                    continue;
                }
            };
            let (read, found) = one(form, file, &told.sources, map.as_ref(), library.as_ref());
            told.found.extend(found);
            if let Some((job, answer)) = read {
                parts.push(Part { file, job, answer });
            }
        }
        let (job, found) = exchange::merged(&mut parts, map.as_ref(), &told.sources);
        told.found.extend(found);
        // A size or profile that the map does not know is told once, not with every hole.
        told.found = exchange::once_each(std::mem::take(&mut told.found), &[&E1148, &E1149]);
        Some((job?, parts))
    }

    /// Members keep the name of their file and their row: two files of one name would be one.
    fn tell_names_alike(&self, found: &mut Vec<Diagnostic>) {
        let mut seen = std::collections::BTreeSet::new();
        for path in &self.files {
            let name = path.file_name().unwrap_or(path.as_os_str());
            if !seen.insert(name) {
                let name = name.to_string_lossy();
                found.push(
                    Diagnostic::new(&E1106, format!("two of the files are called `{name}`"))
                        .note("members keep the name of their file and the row they were read from")
                        .help("rename one of them, or import them into two members files"),
                );
            }
        }
    }

    /// Puts the file in its place, if nothing of anybody's stands there.
    fn write(&self, text: &str, interrupt: &Interrupt) -> Result<(), Box<Diagnostic>> {
        let out = self.out.display();
        let names: Vec<String> = self
            .files
            .iter()
            .chain(&self.map)
            .filter_map(|path| Some(path.file_name()?.to_string_lossy().to_string()))
            .take(4)
            .collect();
        let shown: String = names.join(", ").chars().filter(|c| !c.is_control()).collect();
        let more = if self.files.len() > 3 { " and others" } else { "" };
        let text = marked(text, &format!("{shown}{more}"));
        match read_file(&self.out) {
            Err(ReadFault::Missing) => {}
            Ok(stands) if std::str::from_utf8(&stands).is_ok_and(is_untouched) => {}
            _ => {
                return Err(Box::new(
                    Diagnostic::new(
                        &E1105,
                        format!("`{out}` is no import that nobody has changed"),
                    )
                    .note("it is left as it is")
                    .help("give another name after --out, or move it away"),
                ));
            }
        }
        put(&self.out, ".import-", &text, interrupt)
    }
}

/// Reads one file.
fn one(
    form: FileForm,
    file: FileId,
    sources: &Sources,
    map: Option<&Map>,
    library: Option<&Library>,
) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
    let nothing = Map::empty();
    match (form, map) {
        (FileForm::Csv, Some(map)) => exchange::csv::read(sources, file, map),
        (FileForm::Csv, None) => {
            let name = sources.get(file).map_or("", |source| source.name());
            let wanting = Diagnostic::new(&E1103, format!("`{name}` is a list, and no map says how it is to be read"))
                .help("write a map with [columns], [[code]] and [job], and name it with --map; `coilwright schema map` has every key");
            (None, vec![wanting])
        }
        (FileForm::Json, _) => exchange::json::load(sources, file),
        (FileForm::Ifc, map) => {
            exchange::ifc::read(sources, file, map.unwrap_or(&nothing), library)
        }
        (FileForm::Nc, map) => exchange::nc::read(sources, file, map.unwrap_or(&nothing), library),
    }
}
