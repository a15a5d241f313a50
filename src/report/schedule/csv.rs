//! The schedule in CSV: one line for each member of each copy of a frame, for spreadsheets and
//! other programs.

use super::Schedule;
use crate::report::csv::row;
use crate::report::words::{decimal, frame_kind, usage};

/// Column heads.
const HEADS: [&str; 15] = [
    "job",
    "revision",
    "frame",
    "frame_kind",
    "frame_title",
    "copy",
    "mark",
    "usage",
    "profile",
    "length_mm",
    "ends",
    "quantity",
    "features",
    "mass_kg",
    "serials",
];

/// The table. Lengths are exact millimetres; a copy of a frame is a bundle; `quantity` is what
/// this batch makes, `mass_kg` one piece, coated, holes not taken off.
pub fn print(schedule: &Schedule<'_>) -> String {
    let mut table = String::new();
    row(&mut table, &HEADS.map(str::to_string));
    for of in &schedule.frames {
        for copy in 0..of.frame.quantity as usize {
            for entry in &of.members {
                let serials = entry.serials.get(copy).map_or(&[][..], Vec::as_slice);
                let named: Vec<String> =
                    entry.features.iter().map(|(name, n)| format!("{n} {name}")).collect();
                let serial: Vec<String> = serials.iter().map(u32::to_string).collect();
                let mass = entry.mass.map(|mass| decimal(mass.mg().into(), 1_000_000, 3));
                row(
                    &mut table,
                    &[
                        of.job.name.to_string(),
                        of.job.revision.to_string(),
                        of.frame.name.to_string(),
                        frame_kind(of.frame.kind).to_string(),
                        of.frame.title.to_string(),
                        (copy + 1).to_string(),
                        entry.member.mark.to_string(),
                        usage(entry.member.usage).to_string(),
                        entry.profile.to_string(),
                        entry.member.shape.length.to_string(),
                        entry.ends().join("; "),
                        serials.len().to_string(),
                        named.join("; "),
                        mass.unwrap_or_default(),
                        serial.join(" "),
                    ],
                );
            }
        }
    }
    table
}
