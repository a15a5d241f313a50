//! What an output folder holds.

use super::carry::Carried;
use super::manifest::{
    self, BlockEntry, Continues, Manifest, MoreEntry, Part, PieceEntry, ProgramEntry, sha256,
};
use crate::diagnostic::Diagnostic;
use crate::dialect::Printed;
use crate::dialect::files::RunFile;
use crate::plan::{Inputs, Plan};
use crate::program::Program;
use crate::report::model::PieceReport;
use crate::report::{Report, in_folder};
use crate::report::{json, mark_table, papers, run_sheet};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A planned batch with the files it was read from.
pub struct Contents<'a> {
    pub inputs: &'a Inputs<'a>,
    pub plan: &'a Plan,
    pub report: &'a Report,
    /// Name of the batch file, as the others are named from it.
    pub batch: &'a str,
    /// Every file that was read.
    pub taken: &'a BTreeMap<String, Arc<[u8]>>,
    /// Names of the papers that are wanted besides.
    pub papers: &'a [&'static str],
}

/// Files of a folder, their manifest yet to come.
pub struct Files {
    pub files: BTreeMap<String, Vec<u8>>,
    /// What was found in making them.
    pub found: Vec<Diagnostic>,
    name: String,
    batch_file: String,
    effort_ticks: u64,
    programs: Vec<ProgramEntry>,
}

impl Contents<'_> {
    /// Programs, papers, inputs.
    pub fn files(&self) -> Files {
        let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
        let mut programs = Vec::new();
        for (run, of) in self.plan.runs.iter().zip(&self.report.runs) {
            let pieces: BTreeMap<u32, &PieceReport> =
                of.pieces.iter().map(|piece| (piece.serial, piece)).collect();
            let piece = |serial| {
                let piece: &PieceReport = pieces.get(&serial)?;
                Some(PieceEntry {
                    serial: piece.serial,
                    job: piece.job.clone(),
                    frame: piece.frame.clone(),
                    copy: piece.copy,
                    mark: piece.mark.clone(),
                    turned: piece.turned,
                    printed: piece.printed.clone(),
                })
            };
            programs.extend(entry(&run.program, &run.files, piece));
            files.extend(
                run.files.iter().map(|file| (in_folder(&file.name), file.printed.bytes.clone())),
            );
        }
        let sheet = run_sheet::print(self.report, self.inputs, self.plan);
        files.insert("run-sheet.md".into(), sheet.into_bytes());
        files.insert("marks.csv".into(), mark_table::print(self.report).into_bytes());
        files.insert("report.json".into(), json::print(self.report).into_bytes());
        let made = papers::Made { report: self.report, inputs: self.inputs, plan: self.plan };
        let papers = papers::make(self.papers, &made);
        let found = papers.found();
        let below = |(path, bytes)| (format!("{}/{path}", papers::FOLDER), bytes);
        files.extend(papers.files.into_iter().map(below));
        let carried = Carried::of(self.taken.keys().map(String::as_str));
        files.extend(carried.store(self.taken));
        Files {
            files,
            found,
            name: self.report.batch.clone(),
            batch_file: carried.stored(self.batch),
            effort_ticks: self.report.effort_ticks,
            programs,
        }
    }
}

/// The files with their manifest.
pub fn sealed(folder: Files, continues: Option<Continues>) -> BTreeMap<String, Vec<u8>> {
    let Files { mut files, name, batch_file, effort_ticks, programs, .. } = folder;
    let mut manifest = Manifest::new(&name, batch_file, effort_ticks, &files, programs);
    manifest.continues = continues;
    files.insert(manifest::NAME.to_string(), manifest.print());
    files
}

/// A program as its files lie in the output. It has one at least.
pub fn entry(
    program: &Program,
    files: &[RunFile],
    piece: impl Fn(u32) -> Option<PieceEntry>,
) -> Option<ProgramEntry> {
    let (first, more) = files.split_first()?;
    let more = more.iter().map(|file| MoreEntry {
        file: in_folder(&file.name),
        blocks: blocks(&file.printed, &piece),
    });
    Some(ProgramEntry {
        file: in_folder(&first.name),
        id: program.id.to_string(),
        coil: program.coil.to_string(),
        profile: program.profile.to_string(),
        blocks: blocks(&first.printed, &piece),
        more: more.collect(),
    })
}

/// The record blocks of a program, with the piece each cut drops: head, pieces and scraps, end.
fn blocks(printed: &Printed, piece: impl Fn(u32) -> Option<PieceEntry>) -> Vec<BlockEntry> {
    let bytes = &printed.bytes;
    let mut blocks = Vec::new();
    let outside = |part: Part, first_line: u32, from: usize, to: usize| {
        let text = bytes.get(from..to).unwrap_or_default();
        let lines = u32::try_from(text.split_inclusive(|&byte| byte == b'\n').count()).ok()?;
        (lines > 0).then(|| BlockEntry {
            part,
            piece: None,
            first_line,
            last_line: first_line + lines - 1,
            sha256: sha256(text),
        })
    };
    let begin = printed.blocks.first().map_or(bytes.len(), |block| block.bytes.start);
    blocks.extend(outside(Part::Head, 1, 0, begin));
    for block in &printed.blocks {
        blocks.push(BlockEntry {
            part: if block.serial.is_some() { Part::Piece } else { Part::Scrap },
            piece: block.serial.and_then(|serial| piece(serial.0)),
            first_line: block.first_line,
            last_line: block.last_line,
            sha256: sha256(bytes.get(block.bytes.clone()).unwrap_or_default()),
        });
    }
    if let Some(last) = printed.blocks.last() {
        blocks.extend(outside(Part::End, last.last_line + 1, last.bytes.end, bytes.len()));
    }
    blocks
}
