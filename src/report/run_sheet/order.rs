//! The pieces of a run in the order they drop, with the scrap that falls between them.

use crate::library::model::Units;
use crate::quantity::Length;
use crate::report::DropReport;
use crate::report::model::{PieceReport, RunReport};
use crate::report::sheet::model::{Block, Cell, Table, Words, bold};
use crate::report::units::{figure, short};
use crate::report::words::count;
use std::collections::BTreeSet;

/// By bundle: neighbours of one frame, alike ones counted.
/// Serials in `taped` stand out.
pub fn blocks(run: &RunReport, taped: &BTreeSet<u32>, units: Units) -> Vec<Block> {
    let mut how = Words::from("Tape the pieces whose serial is ").bold("bold").plain(".");
    if !run.scrap.is_empty() {
        let falls =
            format!(" Scrap falls {} in this run, where the table says ", times(run.scrap.len()));
        let then = ": take it off the run-out, it is no member.";
        how = how.plain(falls).bold("scrap").plain(then);
    }
    if run.pieces.iter().any(|piece| piece.printed.is_none()) {
        let then = " the line leaves the piece blank: write its mark on it as it comes off.";
        how = how.plain(" Where it says ").bold("by hand").plain(then);
    }
    let mut blocks = vec![Block::Heading(3, "Order".into()), Block::Caption(how)];
    let mut rows: Vec<Vec<Cell>> = Vec::new();
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
        let mut frame = bold(format!("{} {}", first.job, first.frame));
        if first.copy > 1 {
            frame = frame.plain(format!(" no. {}", first.copy));
        }
        let frame = Cell { words: frame, again: bundle == Some(here) };
        bundle = Some(here);
        let serial = if taped.contains(&first.serial) {
            bold(first.serial.to_string())
        } else {
            first.serial.to_string().into()
        };
        rows.push(vec![
            if first.serial == last.serial {
                serial.into()
            } else {
                serial.plain(format!("–{}", last.serial)).into()
            },
            frame,
            if first.turned {
                Words::from(format!("{} ", first.mark)).italic("end first").into()
            } else {
                first.mark.as_str().into()
            },
            first.usage.as_str().into(),
            figure(Length::from_nm(first.length_nm), units).into(),
            group.len().to_string().into(),
            first.printed.as_deref().map_or(bold("by hand"), Words::from).into(),
        ]);
    }
    let last = run.scrap.iter().filter(|drop| drop.before.is_none());
    rows.extend(last.map(|drop| scrap(drop, units)));
    let length = format!("length {}", short(units));
    let heads = ["serials", "frame", "mark", "usage", &length, "no.", "printed"];
    blocks.push(Block::Table(Table::new(&heads, &[4, 5], rows)));
    blocks
}

fn scrap(drop: &DropReport, units: Units) -> Vec<Cell> {
    let why = match drop.cause.as_str() {
        "head" => "head",
        "defect" => "around a defect",
        "slopes" => "between slopes",
        _ => "gap",
    };
    let length = figure(Length::from_nm(drop.length_nm), units);
    vec![
        "".into(),
        bold("scrap").into(),
        "".into(),
        why.into(),
        length.into(),
        "".into(),
        "".into(),
    ]
}

fn times(n: usize) -> String {
    match n {
        1 => "once".to_string(),
        2 => "twice".to_string(),
        n => count(n, "time"),
    }
}
