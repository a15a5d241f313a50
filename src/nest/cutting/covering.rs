//! The bound by how many stocks are needed: whichever are used are long enough together, and each
//! costs so much at least beside what is cut from it.

use super::problem::Problem;
use std::collections::BTreeMap;

/// Most sets of stocks that are told apart.
const SETS: usize = 20_000;

/// Least cost by this alone; `None` where there are too many sets, or no stock is ever kept: what
/// costs are possible is known exactly then. A problem that the stock does not do for costs more
/// than all stock.
pub fn by_covering(problem: &Problem) -> Option<i128> {
    if !problem.keeps() {
        return None;
    }
    let material = problem.material();
    let pieces = problem.pieces();
    // The longest that stocks are together, by what they cost beside what is cut.
    let mut longest: BTreeMap<i128, i128> = BTreeMap::from([(0, 0)]);
    for stock in problem.stocks() {
        let beside = beside(stock.cost - stock.length, stock.kept.map(|kept| kept.cost));
        let number = stock.count.map_or(pieces, |count| count.min(pieces));
        // More than hold everything are no cheaper, unless each saves a slug that falls off its end.
        let needed = u64::try_from(material / i128::from(stock.length) + 1).unwrap_or(u64::MAX);
        let number = if beside < 0 { number } else { number.min(needed) };
        let mut sets = longest.clone();
        for number in 1..=number {
            for (&cost, &length) in &longest {
                let number = i128::from(number);
                let length = length + number * i128::from(stock.length);
                let known = sets.entry(cost + number * i128::from(beside)).or_insert(length);
                *known = (*known).max(length);
            }
            if sets.len() > 2 * SETS {
                return None;
            }
        }
        longest = undominated(sets, material);
        if longest.len() > SETS {
            return None;
        }
    }
    let least = longest.iter().find(|(_, length)| **length >= material);
    Some(least.map_or(problem.dearest() + 1, |(cost, _)| cost + material))
}

/// What a stock costs at least beside what is cut from it: used up and full, or kept.
fn beside(full: i64, kept: Option<i64>) -> i64 {
    kept.map_or(full, |kept| full.min(kept))
}

/// Sets that are longer than every cheaper one, up to the first that is long enough.
fn undominated(sets: BTreeMap<i128, i128>, enough: i128) -> BTreeMap<i128, i128> {
    let mut kept = BTreeMap::new();
    let mut most = -1;
    for (cost, length) in sets {
        if length > most {
            kept.insert(cost, length);
            most = length;
        }
        if most >= enough {
            break;
        }
    }
    kept
}
