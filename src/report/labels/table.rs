//! Labels as CSV: what stands on each, exact and whole, for label printers that set them
//! themselves.

use super::made::{Label, Of};
use crate::report::csv::row;

const MEMBERS: [&str; 13] = [
    "job",
    "revision",
    "frame",
    "copy",
    "mark",
    "usage",
    "profile",
    "length_mm",
    "pieces",
    "serials",
    "bundle",
    "printed",
    "code",
];
const BUNDLES: [&str; 15] = [
    "job",
    "revision",
    "frame",
    "copy",
    "profile",
    "pieces",
    "length_mm",
    "mass_kg",
    "coils",
    "bundle",
    "bundles",
    "below",
    "above",
    "content",
    "code",
];

/// The table, a line a label. Lengths are exact millimetres; `bundle` counts from the bottom.
pub fn print(labels: &[Label], of: Of) -> String {
    let mut table = String::new();
    let heads: &[&str] = if of == Of::Bundles { &BUNDLES } else { &MEMBERS };
    let heads: Vec<String> = heads.iter().map(|head| (*head).to_string()).collect();
    row(&mut table, &heads);
    for label in labels {
        row(&mut table, &label.row);
    }
    table
}
