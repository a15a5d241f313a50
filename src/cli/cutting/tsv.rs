//! One line a list: file, items, types, capacity, stocks used, lower bound, proved, seconds, ticks.
//! Of several stocks the capacity is the longest, and the bound is of what is to be least.

use super::Answer;
use crate::nest::cutting::read::List;

pub fn print(name: &str, list: &List, answer: &Answer) -> String {
    let problem = &list.problem;
    let longest = problem.stocks().iter().map(|stock| stock.length).max().unwrap_or(0);
    format!(
        "{name}\t{}\t{}\t{longest}\t{}\t{}\t{}\t{:.3}\t{}\n",
        problem.pieces(),
        problem.items().len(),
        answer.plan.stocks(),
        answer.bound,
        if answer.proved { "yes" } else { "no" },
        answer.seconds.as_secs_f64(),
        answer.ticks,
    )
}
