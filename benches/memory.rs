//! The most memory a batch of 100 modelled houses takes from text to replayed bytes, as Linux
//! counts it for the process. `cargo bench --bench memory`.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout, missing_docs)]

#[path = "house/mod.rs"]
mod house;

use house::peak::{megabytes, peak};

fn main() {
    const HOUSES: u32 = 100;
    let files = house::files(HOUSES);
    let before = peak();
    let shop = house::open(&files);
    let resolved = peak();
    let plan = house::plan(&shop);
    let bytes: usize = plan.runs.iter().map(|run| run.printed.bytes.len()).sum();
    let pieces: usize = plan.runs.iter().map(|run| run.pieces.len()).sum();
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
