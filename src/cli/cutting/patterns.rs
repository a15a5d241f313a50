//! Patterns for another program: `TIMES STOCK LENGTH COUNT LENGTH COUNT …`, one a line, after a
//! line `# FILE` for each list.

use super::Answer;
use crate::nest::cutting::read::List;
use std::fmt::Write;

pub fn print(name: &str, list: &List, answer: &Answer) -> String {
    let mut page = format!("# {name}\n");
    for cut in &answer.plan.cuts {
        let stock = list.problem.stocks().get(cut.stock).map_or(0, |stock| stock.length);
        let _infallible = write!(page, "{} {stock}", cut.times);
        for &(item, count) in &cut.pieces {
            let length = list.problem.items().get(item as usize).map_or(0, |item| item.length);
            let _infallible = write!(page, " {length} {count}");
        }
        page.push('\n');
    }
    page
}
