//! The estimate for people.

use super::Estimate;
use crate::quantity::{Length, Mass, Time};
use crate::report::preview_text::{cells, table};
use crate::report::words::{count, hours, metres};

/// The estimate as text.
pub fn print(estimate: &Estimate) -> String {
    let nm = Length::from_nm;
    let mut text = String::new();
    let mut rows =
        vec![cells(["Batch", "line", "pieces", "strip m", "coated kg", "coils", "machine"])];
    for batch in &estimate.batches {
        rows.push(cells([
            &batch.batch,
            &batch.line,
            &if batch.pieces_short == 0 {
                batch.pieces.to_string()
            } else {
                format!("{} of {}", batch.pieces, batch.pieces + batch.pieces_short)
            },
            &metres(nm(batch.used_nm), 1),
            &Mass::from_mg(batch.used_mg).to_string(),
            &loaded(batch.coils, batch.bars),
            &hours(Time::from_ns(batch.planned_ns)),
        ]));
    }
    table(&mut text, &rows);
    let mut rows = vec![cells([
        "Strip",
        "pieces",
        "strip m",
        "coated kg",
        "coils",
        "machine",
        "short m",
        "short kg",
    ])];
    for strip in &estimate.strips {
        rows.push(cells([
            &format!(
                "{} × {} mm {} {}",
                nm(strip.strip.width_nm),
                nm(strip.strip.thickness_nm),
                strip.strip.grade,
                strip.strip.coating
            ),
            &strip.pieces.to_string(),
            &metres(nm(strip.used_nm), 1),
            &Mass::from_mg(strip.used_mg).to_string(),
            &loaded(strip.coils, strip.bars),
            &hours(Time::from_ns(strip.planned_ns)),
            &metres(nm(strip.short_nm), 1),
            &Mass::from_mg(strip.short_mg).to_string(),
        ]));
    }
    table(&mut text, &rows);
    let batches = match estimate.batches.len() {
        1 => "1 batch takes".to_string(),
        n => format!("{n} batches take"),
    };
    text.push_str(&format!(
        "{} {} of machine time.\n",
        batches,
        hours(Time::from_ns(estimate.planned_ns))
    ));
    if estimate.strips.iter().any(|strip| strip.short_nm > 0) {
        text.push_str(
            "Metres and kilograms that are short leave out heads and tails: order with a margin.\n",
        );
    }
    text
}

/// Coils, and bars where there are any.
fn loaded(coils: usize, bars: usize) -> String {
    match (coils, bars) {
        (_, 0) => coils.to_string(),
        (0, _) => count(bars, "bar"),
        (_, _) => format!("{coils} + {}", count(bars, "bar")),
    }
}
