use super::compile::summary;
use super::verify::survey;
use crate::calibrate::{self, Ran, RanPiece, RanProgram};
use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::console::renamed;
use crate::cli::disk::{DiskFiles, read_file, staged_for, unwritten};
use crate::cli::exit::Exit;
use crate::cli::interrupt::Interrupt;
use crate::cli::judged::{Members, key, members, read_back};
use crate::cli::log::{Log, given, halt_by};
use crate::cli::manifest::{self, PieceEntry};
use crate::cli::output::Destination;
use crate::cli::rest::{Stopped, Unwritten};
use crate::cli::shop::shown;
use crate::cli::survey::Survey;
use crate::cli::told::Told;
use crate::diagnostic::codes::files::{E0912, E0918};
use crate::diagnostic::codes::measured::{E0962, E0964};
use crate::diagnostic::{Diagnostic, any_error};
use crate::library::load_measured;
use crate::library::model::Measured;
use crate::member::model::Shape;
use crate::plan::Shop;
use crate::program::Serial;
use crate::quantity::{Sources, Span, join};
use clap::Args;
use std::borrow::Cow;
use std::path::{Path, PathBuf};

/// Propose a calibration from what was taped on the first pieces off
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright first-off taped.toml
  coilwright first-off taped.toml --out calibration-2026-11-26.toml --rest today-2
"
)]
pub struct FirstOff {
    /// File with the readings: which pieces, lengths, first and last feature of each type; or,
    /// for --rest, only with where the line stands
    #[arg(value_name = "TAPED")]
    taped: PathBuf,
    /// File to write the new calibration to; never written over another
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Folder to write: programs for what is not begun yet, with the new calibration if there is
    /// one; the file has to say where the line stands
    #[arg(long, value_name = "DIR")]
    rest: Option<PathBuf>,
}

impl FirstOff {
    pub fn run(self, session: &Session) -> Exit {
        let console = &session.console;
        let name = match shown(&self.taped) {
            Ok(name) => name,
            Err(refusal) => return console.refuse(refusal),
        };
        let mut sources = Sources::default();
        let (measured, mut found) = load_measured(&DiskFiles::here(), &mut sources, &name);
        let Some(measured) = measured else {
            return console.refuse(Told { found, sources, ..Told::default() });
        };
        let (output, named_at) = &measured.output;
        let folder = join(&name, output);
        let survey = match survey(Path::new(&folder), &folder).and_then(untouched) {
            Ok(survey) => survey,
            Err(refusal) => {
                found.push(refusal.at(*named_at, "named here"));
                return console.refuse(Told { found, sources, ..Told::default() });
            }
        };
        // Where the rest may go is looked at before any work is done.
        let rest = match (&self.rest, &measured.halt) {
            (None, _) => None,
            (Some(_), None) => {
                found.push(not_said(named_at));
                return console.refuse(Told { found, sources, ..Told::default() });
            }
            (Some(rest), Some(halt)) => {
                let used = [self.taped.clone(), Path::new(&folder).join(manifest::NAME)];
                match Destination::claim(rest, used) {
                    Ok(destination) => Some((rest, halt, destination)),
                    Err(refusal) => return console.refuse(refusal),
                }
            }
        };
        let log = match &measured.log {
            None => None,
            Some(named) => match Log::load(&DiskFiles::here(), &mut sources, &name, named) {
                Ok(log) => Some((named, log)),
                Err(why) => {
                    found.extend(why);
                    return console.refuse(Told { found, sources, ..Told::default() });
                }
            },
        };
        let own = sources.iter().count();
        let stored = survey.shop(&mut sources);
        found.extend(stored.faults.iter().cloned());
        let shop = stored.shop.as_ref();
        let ran = shop.and_then(|shop| ran(&survey, shop, &mut sources, &mut found));
        let mut raw = sources;
        let named = |sources: &Sources| {
            renamed(sources, |id, source| match id.0 as usize {
                place if place < own => source.to_string(),
                _ => format!("{folder}/{}", stored.path(id, source)),
            })
        };
        let sources = named(&raw);
        let Some(ran) = ran.filter(|_| !any_error(&found)) else {
            return console.refuse(Told { found, sources, ..Told::default() });
        };
        let logged = match (&log, &measured.halt) {
            (Some((named, log)), Some(said)) => {
                let files = &survey.standing.files;
                let given = match shop {
                    Some(shop) => given(&survey.manifest, files, &shop.dialect, &mut raw),
                    None => Ok(Vec::new()),
                };
                let logged = given.and_then(|given| log.follow(&given));
                match logged.and_then(|logged| halt_by(&logged, named, said)) {
                    Ok(halt) => Some(halt),
                    Err(refusal) => {
                        found.push(*refusal);
                        return console.refuse(Told { found, sources, ..Told::default() });
                    }
                }
            }
            _ => None,
        };
        let proposal = if measured.pieces.is_empty() {
            None
        } else {
            let (proposal, faults) = calibrate::propose(&measured, &ran);
            found.extend(faults);
            let Some(proposal) = proposal else {
                let exit = console.refuse(Told { found, sources, ..Told::default() });
                console.summary(match &self.rest {
                    None => "Nothing is proposed.",
                    Some(_) => {
                        "Nothing is proposed and nothing was written. To go on with the \
                         calibration as it is, leave the readings ([[piece]]) out."
                    }
                });
                return exit;
            };
            Some(proposal)
        };
        let new = proposal.as_ref().and_then(|proposal| proposal.calibration.as_ref());
        let new = new.map(|c| calibrate::calibration(c, &measured, &ran));
        let rest = match (rest, shop) {
            (Some((path, halt, destination)), Some(shop)) => {
                let taped = calibrate::taped(&measured, &ran);
                let stopped = Stopped {
                    survey: &survey,
                    shop,
                    measured: &measured,
                    halt: logged.as_ref().unwrap_or(halt),
                    log: log.as_ref().map(|(_, log)| log.taken.as_slice()).unwrap_or_default(),
                    taped,
                    calibration: new.as_deref(),
                };
                match stopped.write(session, &destination, &mut raw) {
                    Ok(written) => Some((path, written)),
                    Err(why) => {
                        let mut all = Told { found, sources, ..Told::default() };
                        all.absorb(match why {
                            Unwritten::Here(refusal) => Told {
                                found: vec![*refusal],
                                sources: named(&raw),
                                ..Told::default()
                            },
                            Unwritten::There(mut told) => {
                                told.sources = in_rest(&told.sources, path);
                                told
                            }
                        });
                        let exit = console.refuse(all);
                        console.summary("Nothing was written.");
                        return exit;
                    }
                }
            }
            _ => None,
        };
        let told = self.proposed(new.as_deref(), &measured, &ran, rest.is_some(), session);
        let mut summaries = match told {
            Ok(summaries) => summaries,
            Err(refusal) => {
                found.push(*refusal);
                return console.refuse(Told { found, sources, ..Told::default() });
            }
        };
        let mut all = Told { found, sources, ..Told::default() };
        if let Some((path, mut written)) = rest {
            written.told.sources = in_rest(&written.told.sources, path);
            all.absorb(written.told);
            let units = shop.map(|shop| shop.loaded.batch.units).unwrap_or_default();
            summaries.push(summary(&path.display().to_string(), &written.report, units));
        }
        let told = console.tell(all);
        let page = match &proposal {
            Some(proposal) => calibrate::print(proposal, &measured, &ran, &folder),
            None => format!(
                "Nothing was taped on {folder}: its calibration, of {}, stands.\n",
                ran.calibration.date
            ),
        };
        let page = console.product(&page);
        for summary in summaries {
            console.summary(&summary);
        }
        told.max(page)
    }

    /// Writes the new calibration, if there is one and it was asked for; what was written and
    /// what not, and why.
    fn proposed(
        &self,
        new: Option<&str>,
        measured: &Measured,
        ran: &Ran<'_>,
        rest: bool,
        session: &Session,
    ) -> Result<Vec<String>, Box<Diagnostic>> {
        let mut said = Vec::new();
        match (&self.out, new) {
            (Some(out), Some(text)) => said.push(write(out, text, &session.interrupt)?),
            (Some(out), None) => {
                let why = match measured.pieces.is_empty() {
                    true => "nothing was taped",
                    false => "no correction is certain",
                };
                said.push(format!("{} was not written: {why}.", out.display()));
            }
            (None, Some(_)) if !rest => {
                said.push("Nothing was written: --out FILE writes the new calibration.".to_string())
            }
            (None, _) => {}
        }
        match (rest, new) {
            (true, None) => said.push(format!(
                "The rest goes on with the calibration of {}.",
                ran.calibration.date
            )),
            (false, None) if measured.halt.is_some() => {
                said.push("The rest was not compiled: --rest DIR does.".to_string());
            }
            _ => {}
        }
        Ok(said)
    }
}

/// Texts of the rest under the names they have in its folder.
fn in_rest(sources: &Sources, folder: &Path) -> Sources {
    let inputs = format!("{}/inputs/", folder.display());
    renamed(sources, |_, source| join(&inputs, source))
}

fn not_said(named_at: &Span) -> Diagnostic {
    Diagnostic::new(&E0964, "the file does not say where the line stands")
        .at(*named_at, "how far has this been run?")
        .note("pieces upstream of the shear bear strokes already: they are not compiled again")
        .help(
            "add [stands] with `after` (serial of the last good piece on the run-out table) and \
             `position` (\"kept\" or \"lost\")",
        )
}

/// A folder that somebody changed may not be what was run.
fn untouched(survey: Survey) -> Result<Survey, Diagnostic> {
    if survey.standing.is_whole() {
        return Ok(survey);
    }
    let first = survey
        .standing
        .changed
        .iter()
        .chain(&survey.standing.missing)
        .chain(&survey.standing.extra)
        .next();
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
    let members = members(&shop.jobs);
    let mut programs = Vec::new();
    for entry in &survey.manifest.programs {
        let (file, read) = read_back(entry, &survey.standing.files, &shop.dialect, sources);
        let read = match read {
            Ok(read) => read,
            Err(refusal) => {
                found.push(*refusal);
                return None;
            }
        };
        let mut pieces = Vec::new();
        for piece in entry.pieces() {
            match shape(&members, piece) {
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
fn shape<'a>(members: &Members<'a>, piece: &PieceEntry) -> Option<Cow<'a, Shape>> {
    let shape = &*members.get(&key(piece))?.shape;
    Some(if piece.turned { Cow::Owned(shape.turned()?) } else { Cow::Borrowed(shape) })
}

fn not_among(file: &str, what: &str, at: Span) -> Diagnostic {
    Diagnostic::new(&E0918, format!("`{file}` makes `{what}`: not among the stored inputs"))
        .at(at, "this program")
        .help("name the output folder that was run")
}

/// Writes a file that is not there yet, whole or not at all. One that holds the same already is
/// left alone.
fn write(out: &Path, text: &str, interrupt: &Interrupt) -> Result<String, Box<Diagnostic>> {
    let name = out.display();
    let fail = |error: &std::io::Error| Box::new(unwritten(out, error));
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
    let staged = staged_for(out, ".first-off-", text, interrupt).map_err(|error| fail(&error))?;
    match staged.put_new(out) {
        Ok(()) => Ok(format!("Wrote {name}.")),
        Err(error) if error.kind() == std::io::ErrorKind::AlreadyExists => Err(stands()),
        Err(error) => Err(fail(&error)),
    }
}
