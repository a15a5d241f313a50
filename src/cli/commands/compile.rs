use crate::cli::Session;
use crate::cli::args::TEMPLATE;
use crate::cli::carry::Carried;
use crate::cli::exit::Exit;
use crate::cli::manifest::{self, BlockEntry, Manifest, Part, PieceEntry, ProgramEntry, sha256};
use crate::cli::output::Destination;
use crate::cli::planned::{self, Effort, Opened};
use crate::diagnostic::any_error;
use crate::library::model::Units;
use crate::plan::{Plan, Run};
use crate::quantity::{Length, Time};
use crate::report::model::{PieceReport, Report, RunReport};
use crate::report::words::{count, hours, percent};
use crate::report::{json, mark_table, run_sheet, units};
use clap::Args;
use std::collections::BTreeMap;
use std::path::PathBuf;

/// Write proved programs, run sheet, mark table and report for a batch
#[derive(Debug, Args)]
#[command(
    help_template = TEMPLATE,
    before_help = "Examples:
  coilwright compile batch.toml --out today
  coilwright compile batch.toml --out today --effort thorough
"
)]
pub struct Compile {
    /// Batch file
    #[arg(value_name = "BATCH")]
    batch: PathBuf,
    /// Folder to write; replaced only if it is an output of ours that nobody has touched
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// How hard to look: quick, normal, thorough, or work ticks; else as the batch says
    #[arg(long, value_name = "EFFORT")]
    effort: Option<Effort>,
}

impl Compile {
    pub fn run(self, session: &Session) -> Exit {
        let console = &session.console;
        let mut opened = match planned::open(&self.batch) {
            Ok(opened) => opened,
            Err(told) => return session.console.tell(told),
        };
        let files = &opened.named.files;
        let inputs = files.taken().into_keys().map(|name| files.path(&name));
        let destination = match Destination::claim(&self.out, inputs) {
            Ok(destination) => destination,
            Err(refusal) => return console.tell(refusal),
        };
        let ticks = opened.ticks(self.effort);
        let plan = match opened.plan(session, ticks) {
            Ok(plan) => plan,
            Err(refusal) => return console.tell(refusal),
        };
        let Some(plan) = plan.filter(|_| !any_error(&opened.found)) else {
            let exit = console.tell(opened.told());
            console.summary("Nothing was written.");
            return exit;
        };
        let report = opened.report(&plan, ticks);
        let files = files_of(&opened, &plan, &report);
        if let Err(refusal) = destination.publish(&files, &session.interrupt) {
            opened.found.push(*refusal);
            return console.tell(opened.told());
        }
        let exit = console.tell(opened.told());
        let units = opened.shop.loaded.batch.units;
        console.summary(&summary(&self.out.display().to_string(), &report, units));
        exit
    }
}

/// Everything an output folder holds.
fn files_of(opened: &Opened, plan: &Plan, report: &Report) -> BTreeMap<String, Vec<u8>> {
    let inputs = opened.shop.inputs();
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let mut programs = Vec::new();
    for (run, of) in plan.runs.iter().zip(&report.runs) {
        programs.push(program(run, of));
        files.insert(of.file.clone(), run.printed.bytes.clone());
    }
    files.insert("run-sheet.md".into(), run_sheet::print(report, &inputs, plan).into_bytes());
    files.insert("marks.csv".into(), mark_table::print(report).into_bytes());
    files.insert("report.json".into(), json::print(report).into_bytes());
    let taken = opened.named.files.taken();
    let carried = Carried::of(taken.keys().map(String::as_str));
    files.extend(carried.store(&taken));
    let batch_file = carried.stored(&opened.named.name);
    let manifest = Manifest::new(&report.batch, batch_file, report.effort_ticks, &files, programs);
    files.insert(manifest::NAME.to_string(), manifest.print());
    files
}

/// A program's entry: head, record blocks with the piece each cut drops, and end.
fn program(run: &Run, of: &RunReport) -> ProgramEntry {
    let bytes = &run.printed.bytes;
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
    let pieces: BTreeMap<u32, &PieceReport> =
        of.pieces.iter().map(|piece| (piece.serial, piece)).collect();
    let begin = run.printed.blocks.first().map_or(bytes.len(), |block| block.bytes.start);
    blocks.extend(outside(Part::Head, 1, 0, begin));
    for block in &run.printed.blocks {
        let piece = block.serial.and_then(|serial| {
            let piece = pieces.get(&serial.0)?;
            Some(PieceEntry {
                serial: piece.serial,
                job: piece.job.clone(),
                frame: piece.frame.clone(),
                copy: piece.copy,
                mark: piece.mark.clone(),
                turned: piece.turned,
                printed: piece.printed.clone(),
            })
        });
        blocks.push(BlockEntry {
            part: if block.serial.is_some() { Part::Piece } else { Part::Scrap },
            piece,
            first_line: block.first_line,
            last_line: block.last_line,
            sha256: sha256(bytes.get(block.bytes.clone()).unwrap_or_default()),
        });
    }
    if let Some(last) = run.printed.blocks.last() {
        blocks.extend(outside(Part::End, last.last_line + 1, last.bytes.end, bytes.len()));
    }
    ProgramEntry {
        file: of.file.clone(),
        id: of.program.clone(),
        coil: of.coil.id.clone(),
        profile: of.profile.clone(),
        blocks,
    }
}

fn summary(out: &str, report: &Report, shown: Units) -> String {
    let total = &report.total;
    let nm = Length::from_nm;
    let mut summary = format!(
        "Wrote {out}: {}, {}, every one replayed from its bytes and judged right.\n{} {} of \
         strip, {} of it in good pieces; {} of machine time.",
        count(report.runs.len(), "program"),
        count(total.pieces, "piece"),
        units::strip(nm(total.account.used_nm), shown, 1),
        units::long(shown),
        percent(nm(total.account.good_nm), nm(total.account.used_nm)),
        hours(Time::from_ns(total.planned_ns)),
    );
    for profile in &report.profiles {
        summary.push_str(&format!("\n{}: {}.", profile.profile, profile.gap));
    }
    summary
}
