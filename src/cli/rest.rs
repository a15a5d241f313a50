//! The rest of a batch that was stopped, as an output folder of its own.

use super::Session;
use super::carry::known_as;
use super::folder::{self, Contents, entry};
use super::halted::{Halted, halted};
use super::judged::{judge, read_back};
use super::listed::listed_as_another;
use super::manifest::{self, Continues, Manifest, PieceEntry, ProgramEntry};
use super::output::Destination;
use super::papers;
use super::planned;
use super::survey::{Standing, Survey};
use super::told::Told;
use crate::diagnostic::codes::dialect::E0739;
use crate::diagnostic::codes::files::E0920;
use crate::diagnostic::codes::measured::{E0965, E0966, E0967};
use crate::diagnostic::{Diagnostic, any_error};
use crate::halt;
use crate::library::model::{Coil, DonePiece, Halt, Measured};
use crate::library::rewrite::{batch_with, done_list, stock_as_it_is};
use crate::plan::Shop;
use crate::program::{Program, Serial};
use crate::quantity::{FileId, Files, Length, MemoryFiles, ReadFault, Sources, Span, join};
use crate::report::continues::{self, FinishReport, StoodPiece};
use crate::report::{Report, Source, in_folder};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Folder in the output that holds the one that was run.
pub const BEFORE: &str = "before";

/// Files of the rest that are not the batch's own.
const CALIBRATION: &str = "standing/calibration.toml";
const STOCK: &str = "standing/stock.toml";
const DONE: &str = "standing/done.toml";

/// What the rest is made from.
pub struct Stopped<'a> {
    pub survey: &'a Survey,
    pub shop: &'a Shop,
    pub measured: &'a Measured,
    pub halt: &'a Halt,
    /// The pieces that were taped, with the places that name them.
    pub taped: Vec<(Serial, Span)>,
    /// The new calibration's text; `None` where the one that was run with goes on.
    pub calibration: Option<&'a str>,
    /// The controller's log that says where the line stands, and its description, as they were.
    pub log: &'a [(String, Vec<u8>)],
}

/// Why nothing was written.
pub enum Unwritten {
    /// What is told points into what was read, if anywhere.
    Here(Box<Diagnostic>),
    /// What is told points into the files of the rest.
    There(Told),
}

impl From<Box<Diagnostic>> for Unwritten {
    fn from(refusal: Box<Diagnostic>) -> Unwritten {
        Unwritten::Here(refusal)
    }
}

/// What was written, in words.
pub struct Written {
    pub report: Report,
    /// Findings of planning, with the texts they point into.
    pub told: Told,
}

impl Stopped<'_> {
    /// Plans what is not begun, with the new calibration if there is one, and writes it with the program that
    /// finishes what is. Findings come with the sources they point into.
    pub fn write(
        &self,
        session: &Session,
        destination: &Destination,
        sources: &mut Sources,
    ) -> Result<Written, Unwritten> {
        let manifest = &self.survey.manifest;
        let halted = halted(manifest, &self.survey.standing.files, self.shop, self.halt, sources)?;
        if let Some((serial, at)) = self.taped.iter().find(|(s, _)| !halted.dropped.contains(s)) {
            return Err(not_dropped(*serial, *at, self.halt).into());
        }
        let name = next_name(manifest);
        let finish = self.finish(&halted, &name)?;
        let batch_file = manifest.batch_file.rsplit('/').next().unwrap_or_default();
        let files = self.files(&halted, &name, batch_file).ok_or_else(|| Box::new(not_made()))?;

        let mut sources = Sources::default();
        let (shop, mut found) = Shop::open(&files, &mut sources, batch_file);
        let told =
            |found: Vec<Diagnostic>, sources: Sources| Told { found, sources, ..Told::default() };
        let Some(shop) = shop.filter(|_| !any_error(&found)) else {
            return Err(Unwritten::There(told(found, sources)));
        };
        // What was said of the batch when it was compiled need not be said again.
        found.clear();
        let inputs = shop.inputs();
        let ticks = manifest.effort_ticks;
        let (plan, faults) = planned::run(session, &inputs, ticks)?;
        found.extend(faults);
        let Some(plan) = plan.filter(|_| !any_error(&found)) else {
            return Err(Unwritten::There(told(found, sources)));
        };
        if plan.runs.is_empty() {
            return Err(nothing_left(&halted).into());
        }
        let findings = planned::placed(&found, &sources);
        let waived = shop.waived();
        let source =
            Source { inputs: &inputs, plan: &plan, ticks, waived: &waived, findings: &findings };
        let mut report = Report::of(&source);
        report.continues = Some(self.continues(&halted, finish.as_ref()));
        let contents = Contents {
            inputs: &inputs,
            plan: &plan,
            report: &report,
            batch: batch_file,
            taken: &files.taken.borrow(),
            papers: &papers::had(&manifest.files),
        };
        let mut folder = contents.files();
        found.extend(folder.found.iter().cloned());
        for (path, bytes) in &self.survey.standing.files {
            folder.files.insert(format!("{BEFORE}/{path}"), bytes.clone());
        }
        folder.files.insert(format!("{BEFORE}/{}", manifest::NAME), manifest.print());
        folder.files.extend(self.log.iter().cloned());
        if let Some(finish) = &finish {
            if finish.files.iter().any(|(path, _)| folder.files.contains_key(path)) {
                return Err(Box::new(called_alike(&finish.entry.id)).into());
            }
            folder.files.extend(finish.files.iter().cloned());
        }
        let sealed = folder::sealed(
            folder,
            Some(Continues {
                folder: BEFORE.to_string(),
                after: self.halt.after,
                kept: self.halt.kept,
                finished: self.halt.finish,
                again: self.halt.again.clone(),
                left_nm: self.halt.left.map(|left| left.nm()),
                said_by: self.measured.by.to_string(),
                said_on: self.measured.date.0.to_string(),
                finish: finish.map(|finish| finish.entry),
            }),
        );
        destination.publish(&sealed, &session.interrupt)?;
        Ok(Written { report, told: told(found, sources) })
    }

    /// The program that finishes what is begun, printed, read back and judged.
    fn finish(&self, halted: &Halted<'_>, name: &str) -> Result<Option<Finish>, Box<Diagnostic>> {
        let Some(rest) = &halted.standing.finish else { return Ok(None) };
        let program =
            Program { id: format!("{name}-00").into(), batch: name.into(), ..rest.clone() };
        let program = self.shop.dialect.told(&program)?;
        let printed = self.shop.dialect.print(&program)?;
        let (verdict, found) = halted.judge(&program, self.shop);
        let fault = found.into_iter().find(Diagnostic::is_error);
        if let Some(fault) = fault {
            return Err(Box::new(
                fault
                    .note("the program that finishes what is begun was made wrong: a fault in Coilwright")
                    .help("report this with the folder; nothing was made from it"),
            ));
        }
        if !verdict.at_fault.is_empty() {
            return Err(Box::new(not_made()));
        }
        let pieces: BTreeMap<u32, &PieceEntry> =
            halted.begun.iter().map(|piece| (piece.serial, *piece)).collect();
        let files = self.shop.dialect.files(&program, &printed, 0)?;
        let entry = entry(&program, &files, |serial| pieces.get(&serial).map(|p| (*p).clone()));
        let entry = entry.ok_or_else(|| Box::new(not_made()))?;
        let files = files.into_iter().map(|file| (in_folder(&file.name), file.printed.bytes));
        Ok(Some(Finish { entry, files: files.collect() }))
    }

    /// The inputs of the rest: those that were stored, with a batch that names the new ones.
    fn files(&self, halted: &Halted<'_>, name: &str, batch_file: &str) -> Option<Recorded> {
        let manifest = &self.survey.manifest;
        let mut files: BTreeMap<String, Vec<u8>> = self
            .survey
            .standing
            .files
            .iter()
            .filter_map(|(path, bytes)| {
                Some((known_as(&manifest.batch_file, path)?, bytes.clone()))
            })
            .collect();
        let text = |name: &str| String::from_utf8(files.get(name)?.clone()).ok();
        let batch = text(batch_file)?;
        let was: toml::Table = batch.parse().ok()?;
        let stock_name = join(batch_file, was.get("stock")?.as_str()?);
        let stock =
            stock_as_it_is(&text(&stock_name)?, &self.shop.loaded.stock.coils, &halted.rack)?;
        let head = format!(
            "# What {} said on {}: pieces that need not be made again.\n",
            one_line(&self.measured.by),
            self.measured.date.0
        );
        let done = done_list(&head, halted.last_serial, &halted.done);
        let mut says = vec![
            ("name", name),
            ("stock", STOCK),
            ("done", DONE),
            ("set-up-now", halted.entry.profile.as_str()),
        ];
        says.extend(self.calibration.map(|_| ("calibration", CALIBRATION)));
        let batch = batch_with(&batch, &says)?;
        let calibration = self.calibration.map(|text| (CALIBRATION, text));
        let texts = [(batch_file, batch.as_str()), (STOCK, &stock), (DONE, &done)];
        for (name, text) in texts.into_iter().chain(calibration) {
            files.insert(name.to_string(), text.as_bytes().to_vec());
        }
        Some(Recorded { files: MemoryFiles(files), taken: RefCell::default() })
    }

    fn continues(&self, halted: &Halted<'_>, finish: Option<&Finish>) -> continues::Continues {
        let mut all = self.survey.manifest.programs.iter().flat_map(ProgramEntry::pieces);
        let after = all.find(|piece| piece.serial == self.halt.after);
        continues::Continues {
            batch: self.survey.manifest.batch.clone(),
            program: halted.entry.id.clone(),
            after: after.map(stood).unwrap_or_default(),
            said_by: self.measured.by.to_string(),
            said_on: self.measured.date.0.to_string(),
            position_kept: self.halt.kept,
            done: halted.done.len(),
            finish: finish.map(|finish| FinishReport {
                program: finish.entry.id.clone(),
                file: finish.entry.file.clone(),
                more_files: finish.entry.more.iter().map(|more| more.file.clone()).collect(),
                pieces: halted.begun.iter().map(|piece| stood(piece)).collect(),
            }),
            half_printed: match finish {
                None => Vec::new(),
                Some(_) => {
                    let half = |piece: &&&PieceEntry| {
                        halted.standing.half_printed.contains(&Serial(piece.serial))
                    };
                    halted.begun.iter().filter(half).map(|piece| stood(piece)).collect()
                }
            },
            scrapped: match finish {
                Some(_) => Vec::new(),
                None => halted.begun.iter().map(|piece| stood(piece)).collect(),
            },
            again: halted.again.iter().map(|piece| stood(piece)).collect(),
            marked_nm: halted.standing.marked.nm(),
        }
    }
}

struct Finish {
    entry: ProgramEntry,
    /// Its files, by path.
    files: Vec<(String, Vec<u8>)>,
}

/// Files in memory that remember what was read.
struct Recorded {
    files: MemoryFiles,
    taken: RefCell<BTreeMap<String, Arc<[u8]>>>,
}

impl Files for Recorded {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let bytes = self.files.read(path)?;
        self.taken.borrow_mut().insert(path.to_string(), bytes.clone().into());
        Ok(bytes)
    }
}

/// The name of the rest: no program of it may be taken for one of the batch before.
fn next_name(manifest: &Manifest) -> String {
    let name = &manifest.batch;
    let counted = manifest.continues.as_ref().and_then(|_| {
        let (stem, number) = name.rsplit_once('-')?;
        Some(format!("{stem}-{}", number.parse::<u32>().ok()?.checked_add(1)?))
    });
    counted.unwrap_or_else(|| format!("{name}-2"))
}

fn not_dropped(serial: Serial, at: Span, halt: &Halt) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(
            &E0965,
            format!(
                "piece {serial} was taped, and has not dropped when the line stands after piece {}",
                halt.after
            ),
        )
        .at(at, "taped")
        .at(halt.span, "stands here")
        .help("correct the serial of the last good piece, or the piece that was taped"),
    )
}

fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}

fn stood(piece: &PieceEntry) -> StoodPiece {
    StoodPiece {
        serial: piece.serial,
        job: piece.job.clone(),
        frame: piece.frame.clone(),
        copy: piece.copy,
        mark: piece.mark.clone(),
    }
}

fn not_made() -> Diagnostic {
    Diagnostic::new(&E0967, "the rest of the run cannot be put into files")
        .help("report this with the folder; nothing was written")
}

fn called_alike(id: &str) -> Diagnostic {
    Diagnostic::new(&E0739, format!("program `{id}` and another are called alike"))
        .note("the one that finishes what is begun would lie over another")
        .help("put `{run}` or `{program}` into `name` under `[files]` of the dialect")
}

fn nothing_left(halted: &Halted<'_>) -> Box<Diagnostic> {
    let begun = halted.begun.len();
    let help = match begun {
        0 => "take the coil off; a new calibration is for the next batch".to_string(),
        _ => format!(
            "let the program run on: {begun} pieces are begun, and nothing comes after them"
        ),
    };
    Box::new(Diagnostic::new(&E0966, "nothing is left to be compiled").help(help))
}

/// Judges what a folder goes on from: the folder inside it, the program that finishes what was
/// begun there, and that list of pieces and stock are what came of it. `None` where it begins by
/// itself.
pub fn judge_before(survey: &Survey, shop: &Shop, sources: &mut Sources) -> Option<Before> {
    let continues = survey.manifest.continues.as_ref()?;
    let mut before = Before::default();
    if let Err(refusal) = before.judge(survey, continues, shop, sources) {
        before.found.push(*refusal);
    }
    Some(before)
}

/// What was found in the folder that a batch goes on from.
#[derive(Default)]
pub struct Before {
    /// Pieces there, and those that its finishing program drops, that are right.
    pub right: usize,
    /// What was found.
    pub found: Vec<Diagnostic>,
}

impl Before {
    fn judge(
        &mut self,
        survey: &Survey,
        continues: &Continues,
        shop: &Shop,
        sources: &mut Sources,
    ) -> Result<(), Box<Diagnostic>> {
        let differs = |what: &str| {
            Box::new(
                Diagnostic::new(
                    &E0920,
                    format!("the rest does not go on from what was run: {what}"),
                )
                .help("compile the rest again from the folder that was run"),
            )
        };
        let inside = format!("{}/", continues.folder);
        let files: BTreeMap<String, Vec<u8>> = survey
            .standing
            .files
            .iter()
            .filter_map(|(path, bytes)| {
                Some((path.strip_prefix(&inside)?.to_string(), bytes.clone()))
            })
            .collect();
        let manifest = files.get(manifest::NAME).and_then(|bytes| Manifest::read(bytes).ok());
        let manifest = manifest.ok_or_else(|| differs("its manifest cannot be read"))?;
        let inner = Survey { manifest, standing: Standing { files, ..Standing::default() } };
        let stored = inner.shop(sources);
        self.found.extend(stored.faults.iter().cloned());
        let old = stored.shop.as_ref().ok_or_else(|| differs("its inputs cannot be read"))?;
        let judged = judge(&inner.manifest, &inner.standing.files, old, sources);
        if !judged.is_right() || !judged.misnamed.is_empty() {
            self.found.extend(judged.misnamed.into_iter().chain(judged.found));
            return Err(differs("what was run is not right itself"));
        }
        if let Some(further) = judge_before(&inner, old, sources) {
            self.found.extend(further.found);
        }
        let halt = Halt {
            after: continues.after,
            kept: continues.kept,
            finish: continues.finished,
            again: continues.again.clone(),
            left: continues.left_nm.map(Length::from_nm),
            span: Span::new(FileId(0), 0, 0),
        };
        let halted = halted(&inner.manifest, &inner.standing.files, old, &halt, sources)?;
        self.right = halted.dropped.len();
        match (&continues.finish, &halted.standing.finish) {
            (None, None) => {}
            (Some(entry), Some(_)) => {
                let (file, read) = read_back(entry, &survey.standing.files, &old.dialect, sources);
                let finish = read?.program;
                self.found.extend(listed_as_another(entry, &survey.manifest.batch, &finish, file));
                let (verdict, found) = halted.judge(&finish, old);
                self.found.extend(found);
                if !verdict.at_fault.is_empty() {
                    return Err(differs("what was begun is not finished"));
                }
                self.right += halted.begun.len();
                let whole = halt::joined(&halted.program, halted.standing.done, Some(&finish));
                let proposed = halted.standing.finish.as_ref();
                let proposed = halt::joined(&halted.program, halted.standing.done, proposed);
                if whole.events.last() != proposed.events.last() {
                    return Err(differs("the strip ends elsewhere when it is finished"));
                }
            }
            _ => return Err(differs("it is not said alike what becomes of pieces that are begun")),
        }
        let serials = |pieces: &[DonePiece]| {
            let mut serials: Vec<_> = pieces
                .iter()
                .map(|p| (p.serial, p.job.clone(), p.frame.clone(), p.copy, p.mark.clone()))
                .collect();
            serials.sort();
            serials
        };
        let done = &shop.loaded.batch.done;
        if serials(&done.pieces) != serials(&halted.done) || done.last_serial != halted.last_serial
        {
            return Err(differs("the list of pieces that are done is another"));
        }
        let strip = |coils: &[Coil]| {
            let there = coils.iter().filter(|c| c.length > Length::ZERO);
            let coils = there.filter(|c| c.bar.is_none());
            coils
                .map(|c| (c.id.clone(), c.length, c.threaded, c.defects.clone()))
                .collect::<Vec<_>>()
        };
        if strip(&shop.loaded.stock.coils) != strip(&halted.rack) {
            return Err(differs("the coils are not as they were left"));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_no_stock_and_no_batch_is_not_rewritten() {
        // E0967
        assert_eq!(stock_as_it_is("coil = 3", &[], &[]), None);
        assert_eq!(stock_as_it_is("[[coil]]\nid = \"K1\"", &[], &[]), None);
        assert_eq!(batch_with("name =", &[("name", "B")]), None);
        let kept = batch_with(
            "# Monday.\nname = \"A\" # today\n[library]\n",
            &[("name", "B"), ("done", "d")],
        );
        assert_eq!(kept.as_deref(), Some("# Monday.\nname = \"B\"\ndone = \"d\"\n[library]\n"));
        assert_eq!(not_made().code, &E0967);
    }
}
