//! The pieces of a run in the order they drop, with the scrap that falls between them.

use crate::library::model::Units;
use crate::quantity::Length;
use crate::report::DropReport;
use crate::report::markdown::{prose, table, text};
use crate::report::model::{PieceReport, RunReport};
use crate::report::units::{figure, short};
use crate::report::words::count;
use std::collections::BTreeSet;

/// By bundle: neighbours of one frame, alike ones counted.
/// Serials in `taped` stand out.
pub fn print(run: &RunReport, taped: &BTreeSet<u32>, units: Units) -> String {
    let mut sheet = String::from("### Order\n\nTape the pieces whose serial is **bold**.\n\n");
    if !run.scrap.is_empty() {
        sheet.push_str(&prose(
            &format!(
                "Scrap falls {} in this run, where the table says **scrap**: take it off the \
                 run-out, it is no member.",
                times(run.scrap.len())
            ),
            0,
        ));
        sheet.push('\n');
    }
    let mut rows = Vec::new();
    // A group ends where scrap falls.
    let alike = |a: &PieceReport, b: &PieceReport| {
        (&a.job, &a.frame, a.copy, &a.mark, a.length_nm, a.turned)
            == (&b.job, &b.frame, b.copy, &b.mark, b.length_nm, b.turned)
            && !run.scrap.iter().any(|drop| drop.before == Some(b.serial))
    };
    let mut bundle: Option<(&str, &str, u32)> = None;
    for group in run.pieces.chunk_by(alike) {
        let (Some(first), Some(last)) = (group.first(), group.last()) else { continue };
        let drops = run.scrap.iter().filter(|drop| drop.before == Some(first.serial));
        rows.extend(drops.map(|drop| scrap(drop, units)));
        let here = (first.job.as_str(), first.frame.as_str(), first.copy);
        let frame = if bundle == Some(here) {
            String::new()
        } else if first.copy > 1 {
            format!("**{} {}** no. {}", text(&first.job), text(&first.frame), first.copy)
        } else {
            format!("**{} {}**", text(&first.job), text(&first.frame))
        };
        bundle = Some(here);
        let serial = if taped.contains(&first.serial) {
            format!("**{}**", first.serial)
        } else {
            first.serial.to_string()
        };
        rows.push(vec![
            if first.serial == last.serial {
                serial
            } else {
                format!("{serial}–{}", last.serial)
            },
            frame,
            if first.turned {
                format!("{} *end first*", text(&first.mark))
            } else {
                text(&first.mark)
            },
            first.usage.clone(),
            figure(Length::from_nm(first.length_nm), units),
            group.len().to_string(),
            match &first.printed {
                Some(printed) => text(printed),
                None => "leaves blank: write it by hand".to_string(),
            },
        ]);
    }
    let last = run.scrap.iter().filter(|drop| drop.before.is_none());
    rows.extend(last.map(|drop| scrap(drop, units)));
    let length = format!("length {}", short(units));
    let heads = ["serials", "frame", "mark", "usage", &length, "no.", "printed"];
    sheet.push_str(&table(&heads, &[4, 5], &rows));
    sheet.push('\n');
    sheet
}

fn scrap(drop: &DropReport, units: Units) -> Vec<String> {
    let why = match drop.cause.as_str() {
        "head" => "head",
        "defect" => "around a defect",
        "slopes" => "between slopes",
        _ => "gap",
    };
    let blank = String::new;
    let length = figure(Length::from_nm(drop.length_nm), units);
    vec![blank(), "**scrap**".to_string(), blank(), why.to_string(), length, blank(), blank()]
}

fn times(n: usize) -> String {
    match n {
        1 => "once".to_string(),
        2 => "twice".to_string(),
        n => count(n, "time"),
    }
}
