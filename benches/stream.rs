//! A season's houses as a stream of batches of ten, each from text to replayed bytes at quick
//! effort on one thread and then forgotten: how long it takes, whether the last batch takes longer
//! than the first, and the most memory. `cargo bench --bench stream`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::float_arithmetic,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    missing_docs
)]

#[path = "house/mod.rs"]
mod house;

use house::peak::{megabytes, peak};
use std::time::{Duration, Instant};

const HOUSES: u32 = 1_000;
const BATCH: u32 = 10;

/// Pieces of the batch that begins with this house, and the time from its text to its programs.
fn batch(first: u32) -> (usize, Duration) {
    let files = house::files_of(first..=first + BATCH - 1);
    let begun = Instant::now();
    let plan = house::plan(&house::open(&files));
    (plan.runs.iter().map(|run| run.pieces.len()).sum(), begun.elapsed())
}

fn main() {
    let batches: Vec<(usize, Duration)> =
        (0..HOUSES / BATCH).map(|i| batch(1 + i * BATCH)).collect();
    let pieces: usize = batches.iter().map(|(pieces, _)| pieces).sum();
    let time =
        |of: &[(usize, Duration)]| of.iter().map(|(_, time)| time.as_secs_f64()).sum::<f64>();
    let (early, late) = batches.split_at(batches.len() / 2);
    println!(
        "{HOUSES} houses, {pieces} pieces, in batches of {BATCH}: {:.1} s, the later half {:.2} \
         times the earlier; most resident memory {}",
        time(&batches),
        time(late) / time(early),
        megabytes(peak())
    );
}
