//! Choices side by side, for people.

use super::preview_text::{cells, table};
use super::units;
use super::what_if::{Choice, WhatIf};
use super::words::{hours, percent};
use crate::library::model::Units;
use crate::library::rewrite::money;
use crate::quantity::{Length, Mass, Time};

/// The choices as a table, in these units.
pub fn print(what_if: &WhatIf, shown: Units) -> String {
    let mut text = format!("Batch {} on line {}\n\n", what_if.batch, what_if.line);
    let long = units::long(shown);
    let mut rows = vec![cells([
        "Stock",
        "bundling",
        &format!("keep {long}"),
        "pieces",
        &format!("used {long}"),
        &format!("scrap {long}"),
        units::heavy(shown),
        "over the bound",
        "cost",
        "coils",
        "bars",
        "machine",
    ])];
    rows.extend(what_if.choices.iter().map(|choice| row(choice, shown)));
    table(&mut text, &rows);
    let most = what_if.choices.iter().map(|choice| choice.pieces).max();
    let whole = || what_if.choices.iter().filter(|choice| Some(choice.pieces) == most);
    let least = whole().map(|choice| choice.scrap_nm).min();
    let best = whole().find(|choice| Some(choice.scrap_nm) == least);
    if let Some(best) = best {
        text.push_str(&format!(
            "Least scrap: {}, bundling {}, keep {} {long}.\n",
            best.stock,
            best.bundling,
            units::strip(Length::from_nm(best.keep_nm), shown, 2)
        ));
    }
    if what_if.choices.iter().any(|choice| choice.cut_short) {
        text.push_str("The search was cut short: another run may find better plans.\n");
    }
    text
}

fn row(choice: &Choice, shown: Units) -> Vec<String> {
    let strip = |nm: i64, decimals| units::strip(Length::from_nm(nm), shown, decimals);
    let over = choice.bound_nm.map_or("short".to_string(), |bound| {
        percent(Length::from_nm(choice.used_nm - bound), Length::from_nm(bound))
    });
    let wanted = choice.pieces + choice.pieces_short;
    let pieces = match choice.pieces_short {
        0 => choice.pieces.to_string(),
        _ => format!("{} of {wanted}", choice.pieces),
    };
    vec![
        choice.stock.clone(),
        choice.bundling.clone(),
        strip(choice.keep_nm, 2),
        pieces,
        strip(choice.used_nm, 2),
        strip(choice.scrap_nm, 2),
        units::mass(Mass::from_mg(choice.scrap_mg), shown),
        over,
        choice.cost_minor.map_or("-".to_string(), money),
        choice.coil_changes.to_string(),
        choice.bars.to_string(),
        hours(Time::from_ns(choice.planned_ns)),
    ]
}
