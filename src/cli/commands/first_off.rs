use super::verify::survey;
use crate::calibrate::{self, Ran, RanPiece, RanProgram};
use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::carry::known_as;
use crate::cli::console::renamed;
use crate::cli::disk::{DiskFiles, plain, read_file};
use crate::cli::exit::Exit;
use crate::cli::manifest::PieceEntry;
use crate::cli::shop::shown;
use crate::cli::survey::Survey;
use crate::cli::told::Told;
use crate::diagnostic::codes::files::{E0906, E0912, E0918};
use crate::diagnostic::codes::measured::E0962;
use crate::diagnostic::{Diagnostic, any_error};
use crate::library::load_measured;
use crate::member::model::{Job, Shape};
use crate::plan::Shop;
use crate::program::Serial;
use crate::quantity::{MemoryFiles, SourceFile, Sources, Span, join};
use clap::Args;
use std::borrow::Cow;
use std::io::Write;
use std::path::{Path, PathBuf};

/// Propose a calibration from what was taped on the first pieces off
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright first-off taped.toml
  coilwright first-off taped.toml --out calibration-2026-11-26.toml
"
)]
pub struct FirstOff {
    /// File with the readings: which pieces, lengths, first and last feature of each type
    #[arg(value_name = "TAPED")]
    taped: PathBuf,
    /// File to write the new calibration to; never written over another
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
}

impl FirstOff {
    pub fn run(self, session: &Session) -> Exit {
        let console = &session.console;
        let name = match shown(&self.taped) {
            Ok(name) => name,
            Err(refusal) => return console.tell(refusal),
        };
        let mut sources = Sources::default();
        let (measured, mut found) = load_measured(&DiskFiles::here(), &mut sources, &name);
        let Some(measured) = measured else {
            return console.tell(Told { found, sources, ..Told::default() });
        };
        let (output, named_at) = &measured.output;
        let folder = join(&name, output);
        let survey = match survey(Path::new(&folder), &folder).and_then(untouched) {
            Ok(survey) => survey,
            Err(refusal) => {
                found.push(refusal.at(*named_at, "named here"));
                return console.tell(Told { found, sources, ..Told::default() });
            }
        };
        let inputs = MemoryFiles(
            survey
                .files
                .iter()
                .filter_map(|(path, bytes)| {
                    Some((known_as(&survey.manifest.batch_file, path)?, bytes.clone()))
                })
                .collect(),
        );
        let before = sources.iter().count();
        let batch = survey.manifest.batch_file.rsplit('/').next().unwrap_or_default();
        let (shop, faults) = Shop::open(&inputs, &mut sources, batch);
        let after = sources.iter().count();
        found.extend(faults.into_iter().filter(Diagnostic::is_error));
        let ran = shop.as_ref().and_then(|shop| ran(&survey, shop, &mut sources, &mut found));
        let sources = renamed(&sources, |id, source| {
            let place = id.0 as usize;
            if place < before {
                source.to_string()
            } else if place < after {
                format!("{folder}/{}", join(&survey.manifest.batch_file, source))
            } else {
                format!("{folder}/{source}")
            }
        });
        let Some(ran) = ran.filter(|_| !any_error(&found)) else {
            return console.tell(Told { found, sources, ..Told::default() });
        };
        let (proposal, faults) = calibrate::propose(&measured, &ran);
        found.extend(faults);
        let Some(proposal) = proposal else {
            let exit = console.tell(Told { found, sources, ..Told::default() });
            console.summary("Nothing is proposed.");
            return exit;
        };
        let new = proposal.calibration.as_ref().map(|c| calibrate::calibration(c, &measured, &ran));
        let written = match (&self.out, &new) {
            (Some(out), Some(text)) => match write(out, text) {
                Ok(summary) => Some(summary),
                Err(refusal) => {
                    found.push(*refusal);
                    return console.tell(Told { found, sources, ..Told::default() });
                }
            },
            (Some(out), None) => Some(format!("{} was not written.", out.display())),
            (None, Some(_)) => {
                Some("Nothing was written: --out FILE writes the new calibration.".to_string())
            }
            (None, None) => None,
        };
        let told = console.tell(Told { found, sources, ..Told::default() });
        let page = console.product(&calibrate::print(&proposal, &measured, &ran, &folder));
        if let Some(summary) = written {
            console.summary(&summary);
        }
        told.max(page)
    }
}

/// A folder that somebody changed may not be what was run.
fn untouched(survey: Survey) -> Result<Survey, Diagnostic> {
    if survey.is_whole() {
        return Ok(survey);
    }
    let first = survey.changed.iter().chain(&survey.missing).chain(&survey.extra).next();
    Err(Diagnostic::new(
        &E0912,
        format!("the output folder is not as it was written: {}", first.map_or("?", |p| p)),
    )
    .note("where its programs put holes and cuts cannot be relied upon")
    .help("`coilwright verify` on it says all that changed; name the folder that was run"))
}

/// The programs of a folder, read back from their bytes, with their pieces. `None` with findings
/// where they cannot be read.
fn ran<'a>(
    survey: &Survey,
    shop: &'a Shop,
    sources: &mut Sources,
    found: &mut Vec<Diagnostic>,
) -> Option<Ran<'a>> {
    let loaded = &shop.loaded;
    let mut programs = Vec::new();
    for entry in &survey.manifest.programs {
        let bytes = survey.files.get(&entry.file).map(Vec::as_slice).unwrap_or_default();
        let file = sources.add(SourceFile::new(entry.file.as_str(), shop.dialect.text(bytes)));
        let read = match shop.dialect.read(file, bytes) {
            Ok(read) => read,
            Err(refusal) => {
                found.push(*refusal);
                return None;
            }
        };
        let mut pieces = Vec::new();
        for piece in entry.blocks.iter().filter_map(|block| block.piece.as_ref()) {
            match shape(&shop.jobs, piece) {
                Some(shape) => pieces.push(RanPiece {
                    serial: Serial(piece.serial),
                    job: piece.job.as_str().into(),
                    frame: piece.frame.as_str().into(),
                    copy: piece.copy,
                    mark: piece.mark.as_str().into(),
                    shape,
                }),
                None => {
                    let what = format!("{} {} {}", piece.job, piece.frame, piece.mark);
                    found.push(not_among(&entry.file, &what, Span::new(file, 0, 0)));
                    return None;
                }
            }
        }
        let Some((profile, _)) = loaded.library.profile_named(&entry.profile) else {
            found.push(not_among(&entry.file, &entry.profile, Span::new(file, 0, 0)));
            return None;
        };
        programs.push(RanProgram { program: read.program, profile, pieces });
    }
    Some(Ran {
        line: &loaded.line,
        library: &loaded.library,
        calibration: &loaded.calibration,
        programs,
    })
}

/// The shape as the tape finds it: from the end that came off first.
fn shape<'a>(jobs: &'a [Job], piece: &PieceEntry) -> Option<Cow<'a, Shape>> {
    let job = jobs.iter().find(|job| *job.name == *piece.job)?;
    let (_, member) = job
        .members()
        .find(|(frame, member)| *frame.name == *piece.frame && *member.mark == *piece.mark)?;
    Some(if piece.turned {
        Cow::Owned(member.shape.turned()?)
    } else {
        Cow::Borrowed(&*member.shape)
    })
}

fn not_among(file: &str, what: &str, at: Span) -> Diagnostic {
    Diagnostic::new(&E0918, format!("`{file}` makes `{what}`: not among the stored inputs"))
        .at(at, "this program")
        .help("name the output folder that was run")
}

/// Writes a file that is not there yet, whole or not at all. One that holds the same already is
/// left alone.
fn write(out: &Path, text: &str) -> Result<String, Box<Diagnostic>> {
    let name = out.display();
    let fail = |why: &str| {
        Box::new(
            Diagnostic::new(&E0906, format!("cannot write `{name}`: {why}"))
                .help("check that its folder is there and may be written"),
        )
    };
    let stands = || {
        Box::new(
            Diagnostic::new(&E0962, format!("`{name}` is there already, and holds something else"))
                .note("a calibration is kept: papers and programs refer to it")
                .help("give a name that is free, such as one with the date in it"),
        )
    };
    if out.symlink_metadata().is_ok() {
        return match read_file(out) {
            Ok(bytes) if bytes == text.as_bytes() => {
                Ok(format!("{name} holds this proposal already."))
            }
            _ => Err(stands()),
        };
    }
    let folder = match out.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let written = || -> std::io::Result<tempfile::NamedTempFile> {
        let mut file = tempfile::Builder::new().prefix(".first-off-").tempfile_in(folder)?;
        file.write_all(text.as_bytes())?;
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            file.as_file().set_permissions(std::fs::Permissions::from_mode(0o644))?;
        }
        file.as_file().sync_all()?;
        Ok(file)
    };
    let file = written().map_err(|error| fail(&plain(&error)))?;
    match file.persist_noclobber(out) {
        Ok(_) => Ok(format!("Wrote {name}.")),
        Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => Err(stands()),
        Err(error) => Err(fail(&plain(&error.error))),
    }
}
