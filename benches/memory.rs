//! The most memory a batch of 100 modelled houses takes from text to replayed bytes, as Linux
//! counts it for the process. `cargo bench --bench memory`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    missing_docs
)]

#[path = "house/mod.rs"]
mod house;

use coilwright::check;
use coilwright::dialect::Invertible;
use coilwright::library::{load_batch, load_dialect};
use coilwright::member::resolve::resolve;
use coilwright::plan::{self, Inputs, Options};
use coilwright::quantity::Sources;

/// The greatest resident size so far, in kB; `None` where the system does not tell.
fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

fn main() {
    const HOUSES: u32 = 100;
    let files = house::files(HOUSES);
    let before = peak();
    let mut sources = Sources::default();
    let (loaded, _) = load_batch(&files, &mut sources, house::BATCH);
    let loaded = loaded.unwrap();
    let (path, at) = loaded.dialect.clone();
    let (dialect, _) = load_dialect(&files, &mut sources, &path, Some(at));
    let dialect = Invertible::prove(&dialect.unwrap(), &loaded.line).unwrap();
    let paths: Vec<_> = loaded.jobs.iter().map(|(p, at)| (p.clone(), Some(*at))).collect();
    let (jobs, found) =
        resolve(&files, &mut sources, &paths, &loaded.library, &loaded.batch.mark_text);
    assert!(found.is_empty());
    let resolved = peak();
    assert!(check::check(&jobs, &loaded.library).diagnostics.is_empty());
    let inputs = Inputs {
        batch: &loaded.batch,
        library: &loaded.library,
        line: &loaded.line,
        calibration: &loaded.calibration,
        stock: &loaded.stock,
        dialect: &dialect,
        jobs: &jobs,
    };
    let options = Options { ticks: loaded.batch.effort.ticks, threads: 1 };
    let (plan, found) = plan::plan(&inputs, &options, &());
    assert!(found.is_empty(), "{found:?}");
    let plan = plan.unwrap();
    let bytes: usize = plan.runs.iter().map(|run| run.printed.bytes.len()).sum();
    let pieces: usize = plan.runs.iter().map(|run| run.pieces.len()).sum();
    let megabytes = |kb: Option<u64>| kb.map_or("?".into(), |kb| format!("{} MB", kb / 1000));
    println!(
        "{HOUSES} houses, {pieces} pieces, {} MB of text, {} MB of programs in {} runs\n\
         most resident memory: {} with the text, {} when resolved, {} at the end",
        files.0.values().map(Vec::len).sum::<usize>() / 1_000_000,
        bytes / 1_000_000,
        plan.runs.len(),
        megabytes(before),
        megabytes(resolved),
        megabytes(peak())
    );
}
