//! A cutting list for people.

use super::Answer;
use crate::nest::cutting::read::{List, Objective};
use std::fmt::Write;

/// Patterns that are shown.
const SHOWN: usize = 200;

pub fn print(name: &str, list: &List, answer: &Answer) -> String {
    let problem = &list.problem;
    let mut page = format!(
        "{name}: {} pieces of {} lengths\n{}\n{}\n\n",
        problem.pieces(),
        problem.items().len(),
        used(list, answer),
        verdict(list.objective, answer),
    );
    let times = answer.plan.cuts.iter().map(|cut| cut.times.to_string().len()).max().unwrap_or(1);
    for cut in answer.plan.cuts.iter().take(SHOWN) {
        let stock = problem.stocks().get(cut.stock).map_or(0, |stock| stock.length);
        let _infallible = write!(page, "{:>times$} × {stock}:", cut.times);
        let mut left = stock;
        for &(item, count) in &cut.pieces {
            let length = problem.items().get(item as usize).map_or(0, |item| item.length);
            left -= length * i64::from(count);
            let _infallible = match count {
                1 => write!(page, " {length}"),
                _ => write!(page, " {count}×{length}"),
            };
        }
        let _infallible = writeln!(page, "  left {left}");
    }
    if let Some(more) = answer.plan.cuts.len().checked_sub(SHOWN).filter(|more| *more > 0) {
        let _infallible = writeln!(page, "and {more} patterns more: --plan FILE writes them all");
    }
    page
}

/// What it takes.
fn used(list: &List, answer: &Answer) -> String {
    let problem = &list.problem;
    let length = |stock: usize| problem.stocks().get(stock).map_or(0, |stock| stock.length);
    let together: i128 = answer
        .plan
        .cuts
        .iter()
        .map(|cut| i128::from(length(cut.stock)) * i128::from(cut.times))
        .sum();
    let wasted = together - problem.material();
    let thousandths = (wasted * 10_000 + together / 2).checked_div(together).unwrap_or(0);
    let waste = format!("waste {}.{:02} %", thousandths / 100, thousandths % 100);
    let stocks = answer.plan.stocks();
    match list.objective {
        Objective::Stocks => format!("{stocks} stocks, {waste}"),
        Objective::Length => format!("{stocks} stocks, {together} of length, {waste}"),
        Objective::Cost => format!("{stocks} stocks, cost {}, {waste}", answer.cost),
    }
}

/// How good that is, in words that claim no more than was proved.
fn verdict(objective: Objective, answer: &Answer) -> String {
    let least = match objective {
        Objective::Stocks => "fewer stocks",
        Objective::Length => "less length of stock",
        Objective::Cost => "less cost",
    };
    let short = if answer.cut_short { "; the search was cut short" } else { "" };
    if answer.proved {
        return format!("proved: no plan takes {least}");
    }
    let gap = answer.cost - answer.bound;
    if gap == 0 {
        return format!("no plan with {least} is known to exist; not proved{short}");
    }
    let over = (gap * 10_000 + answer.bound - 1).checked_div(answer.bound).unwrap_or(0);
    format!(
        "within {}.{:02} % of the bound: every plan takes at least {}{short}",
        over / 100,
        over % 100,
        answer.bound
    )
}
