//! What became of the programs of an output folder when a run of it was stopped.

use super::judged::{expected, in_line, members, read_back};
use super::manifest::{Manifest, PieceEntry, ProgramEntry};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::files::E0918;
use crate::diagnostic::codes::measured::E0965;
use crate::halt::{self, Standing};
use crate::library::model::{AtEnd, Coil, DonePiece, Halt};
use crate::member::model::ProfileId;
use crate::plan::Shop;
use crate::program::{Program, Serial};
use crate::quantity::{FileId, Sources, Span};
use crate::replay::{self, Ending, Situation};
use std::collections::{BTreeMap, BTreeSet};

/// How the folder's batch stands.
pub struct Halted<'m> {
    /// The program that was running.
    pub entry: &'m ProgramEntry,
    /// As it was read.
    pub program: Program,
    /// What became of it.
    pub standing: Standing,
    /// The coil it ran on, as it was when it began.
    pub coil: Coil,
    /// Every coil as it is when the rest begins, in the order of the stock.
    pub rack: Vec<Coil>,
    /// What need not be made again: cut and good, begun and to be finished, done before.
    pub done: Vec<DonePiece>,
    /// Begun pieces, finished or scrapped.
    pub begun: Vec<&'m PieceEntry>,
    /// Everything that has dropped.
    pub dropped: BTreeSet<Serial>,
    /// Pieces cut that are made again.
    pub again: Vec<&'m PieceEntry>,
    /// Highest serial any paper has used.
    pub last_serial: u32,
}

/// Follows the programs of a folder, as they were run, to where `halt` says the line stands.
pub fn halted<'m>(
    manifest: &'m Manifest,
    files: &BTreeMap<String, Vec<u8>>,
    shop: &Shop,
    halt: &Halt,
    sources: &mut Sources,
) -> Result<Halted<'m>, Box<Diagnostic>> {
    let unknown = |serial: u32, label: &str| {
        Box::new(
            Diagnostic::new(&E0965, format!("piece {serial} is not among those that have dropped"))
                .at(halt.span, label)
                .note(
                    "a folder that was compiled for the rest of another counts on from its serials",
                )
                .help("the run sheet and marks.csv of the folder list every piece in its order"),
        )
    };
    let loaded = &shop.loaded;
    let mut rack = loaded.stock.coils.clone();
    let mut dropped: Vec<&PieceEntry> = Vec::new();
    for entry in &manifest.programs {
        let Read { program, coil, profile } = read(entry, files, shop, &rack, sources)?;
        let pieces: BTreeMap<u32, &PieceEntry> = entry.pieces().map(|p| (p.serial, p)).collect();
        let situation = situation(shop, &coil, profile);
        let factor = loaded.calibration.controller_factor(profile);
        if !pieces.contains_key(&halt.after) {
            let ending = Ending { at_end: AtEnd::Unload, ..situation.ending };
            let (products, _) = replay::replay(&program, None, &Situation { ending, ..situation });
            let now = coil.after_counted(products.account.consumed(), false, factor);
            in_line(&mut rack, &now, loaded.line.parting);
            dropped.extend(pieces.values());
            continue;
        }
        let standing = halt::stand(&program, &situation, halt)
            .ok_or_else(|| unknown(halt.after, "stands here"))?;
        in_line(&mut rack, &standing.coil, loaded.line.parting);
        let named = |serials: &[Serial]| -> Vec<&'m PieceEntry> {
            serials.iter().filter_map(|serial| pieces.get(&serial.0).copied()).collect()
        };
        dropped.extend(named(&standing.cut));
        let begun = named(&standing.begun);
        let again: BTreeSet<u32> = halt.again.iter().copied().collect();
        let bad: Vec<&PieceEntry> =
            dropped.iter().filter(|piece| again.contains(&piece.serial)).copied().collect();
        if let Some(serial) = again.iter().find(|&&s| bad.iter().all(|piece| piece.serial != s)) {
            return Err(unknown(*serial, "to be made again"));
        }
        let finished = begun.iter().filter(|_| halt.finish);
        let good = dropped.iter().filter(|piece| !again.contains(&piece.serial));
        let done = &loaded.batch.done;
        let all = manifest.programs.iter().flat_map(ProgramEntry::pieces);
        return Ok(Halted {
            entry,
            done: done
                .pieces
                .iter()
                .cloned()
                .chain(good.chain(finished).map(|p| listed(p)))
                .collect(),
            dropped: dropped.iter().map(|piece| Serial(piece.serial)).collect(),
            last_serial: all.map(|piece| piece.serial).fold(done.last_serial, u32::max),
            program,
            standing,
            coil,
            rack,
            begun,
            again: bad,
        });
    }
    Err(unknown(halt.after, "stands here"))
}

fn listed(piece: &PieceEntry) -> DonePiece {
    DonePiece {
        serial: piece.serial,
        job: piece.job.as_str().into(),
        frame: piece.frame.as_str().into(),
        copy: piece.copy,
        mark: piece.mark.as_str().into(),
        span: Span::new(FileId(0), 0, 0),
    }
}

struct Read {
    program: Program,
    coil: Coil,
    profile: ProfileId,
}

fn read(
    entry: &ProgramEntry,
    files: &BTreeMap<String, Vec<u8>>,
    shop: &Shop,
    rack: &[Coil],
    sources: &mut Sources,
) -> Result<Read, Box<Diagnostic>> {
    let program = read_back(entry, files, &shop.dialect, sources).1?.program;
    let coil = rack.iter().find(|coil| *coil.id == entry.coil);
    let profile = shop.loaded.library.profile_named(&entry.profile);
    match (coil, profile) {
        (Some(coil), Some((profile, _))) => Ok(Read { program, coil: coil.clone(), profile }),
        _ => Err(Box::new(
            Diagnostic::new(
                &E0918,
                format!("`{}` runs on what is not among the stored inputs", entry.file),
            )
            .help("name the output folder that was run"),
        )),
    }
}

fn situation<'s>(shop: &'s Shop, coil: &'s Coil, profile: ProfileId) -> Situation<'s> {
    let loaded = &shop.loaded;
    Situation {
        line: &loaded.line,
        calibration: &loaded.calibration,
        profile,
        library: &loaded.library,
        coil,
        ending: Ending { keep: loaded.batch.keep, at_end: AtEnd::StayThreaded },
    }
}

impl Halted<'_> {
    /// Judges what the old program as far as it went and the one that finishes it make together.
    pub fn judge(&self, finish: &Program, shop: &Shop) -> (replay::Verdict, Vec<Diagnostic>) {
        let whole = halt::joined(&self.program, self.standing.done, Some(finish));
        let Some((profile, _)) = shop.loaded.library.profile_named(&self.entry.profile) else {
            return (replay::Verdict::default(), Vec::new());
        };
        let mut situation = situation(shop, &self.coil, profile);
        if self.coil.bar.is_some() {
            situation.ending.at_end = AtEnd::Unload;
        }
        let (products, mut found) = replay::replay(&whole, None, &situation);
        let made: BTreeSet<Serial> =
            self.standing.cut.iter().chain(&self.standing.begun).copied().collect();
        let pieces = self.entry.pieces().filter(|piece| made.contains(&Serial(piece.serial)));
        let expected = expected(pieces, &members(&shop.jobs));
        let (verdict, faults) = replay::judge(&products, &expected, &shop.loaded.library);
        found.extend(faults);
        (verdict, found)
    }
}
