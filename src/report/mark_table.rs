//! The mark table in CSV (RFC 4180): one line a piece, in the order they drop. For label
//! printers, packing lists and spreadsheets.

use super::csv::row;
use super::model::Report;
use crate::quantity::Length;

/// Column heads.
const HEADS: [&str; 14] = [
    "order",
    "serial",
    "printed",
    "job",
    "frame",
    "copy",
    "mark",
    "usage",
    "profile",
    "length_mm",
    "coil",
    "program",
    "position",
    "drawn",
];

/// The table. Lengths are exact millimetres; `position` is the place in its program,
/// from 1; `drawn` changes when the drawing does.
pub fn print(report: &Report) -> String {
    let mut table = String::new();
    row(&mut table, &HEADS.map(str::to_string));
    let mut order = 0_usize;
    for run in &report.runs {
        for (position, piece) in run.pieces.iter().enumerate() {
            order += 1;
            row(
                &mut table,
                &[
                    order.to_string(),
                    piece.serial.to_string(),
                    piece.printed.clone().unwrap_or_default(),
                    piece.job.clone(),
                    piece.frame.clone(),
                    piece.copy.to_string(),
                    piece.mark.clone(),
                    piece.usage.clone(),
                    run.profile.clone(),
                    Length::from_nm(piece.length_nm).to_string(),
                    run.coil.id.clone(),
                    run.program.clone(),
                    (position + 1).to_string(),
                    piece.drawn.clone(),
                ],
            );
        }
    }
    table
}
