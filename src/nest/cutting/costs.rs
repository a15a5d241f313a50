use super::problem::Problem;

/// Most costs that are told apart, in steps, and most steps of telling them apart.
const MOST: usize = 1_000_000;
const STEPS: usize = 60_000_000;

/// Which costs a plan can have at all: those of sets of stocks that are long enough together.
#[derive(Clone, Debug)]
pub struct Costs {
    /// By cost in steps; `None` where there are too many to tell.
    possible: Option<Vec<bool>>,
}

impl Costs {
    /// Costs up to `most` steps.
    pub fn new(problem: &Problem, most: i128) -> Costs {
        Costs { possible: possible(problem, most) }
    }
    /// The least possible cost from this one up, in steps.
    pub fn from(&self, cost: i128) -> i128 {
        let Some(possible) = &self.possible else { return cost };
        let start = usize::try_from(cost.max(0)).unwrap_or(usize::MAX);
        let found = possible.iter().skip(start).position(|&is| is);
        found.map_or(cost.max(possible.len() as i128), |after| (start + after) as i128)
    }
    /// The greatest possible cost up to this one, in steps; below nought where there is none.
    pub fn up_to(&self, cost: i128) -> i128 {
        let Some(possible) = &self.possible else { return cost };
        let count = usize::try_from(cost.saturating_add(1).max(0)).unwrap_or(usize::MAX);
        if count > possible.len() {
            return cost;
        }
        let found = possible.iter().take(count).rposition(|&is| is);
        found.map_or(-1, |place| place as i128)
    }
}

fn possible(problem: &Problem, most: i128) -> Option<Vec<bool>> {
    if problem.keeps() {
        return None;
    }
    let most = usize::try_from(most).ok().filter(|&most| most <= MOST)?;
    let pieces = problem.pieces();
    // Kinds in lots of 1, 2, 4 … so that every number up to the count can be made up.
    let mut lots: Vec<(usize, i128)> = Vec::new();
    for stock in problem.stocks() {
        let cost = usize::try_from(stock.cost / problem.step()).ok()?;
        let mut left = stock.count.unwrap_or(pieces).min(pieces).min((most / cost) as u64);
        let mut lot = 1;
        while left > 0 {
            let taken = lot.min(left);
            left -= taken;
            lot *= 2;
            let number = usize::try_from(taken).ok()?;
            lots.push((number.checked_mul(cost)?, i128::from(stock.length) * i128::from(taken)));
        }
    }
    if lots.len().checked_mul(most)? > STEPS {
        return None;
    }
    // The longest that stocks of each cost are together.
    let mut longest: Vec<i128> = vec![-1; most + 1];
    *longest.first_mut()? = 0;
    for (cost, length) in lots {
        for to in (cost..=most).rev() {
            let before = longest.get(to - cost).copied().filter(|&before| before >= 0);
            if let (Some(before), Some(now)) = (before, longest.get_mut(to)) {
                *now = (*now).max(before + length);
            }
        }
    }
    let material = problem.material();
    Some(longest.into_iter().map(|length| length >= material).collect())
}

#[cfg(test)]
mod tests {
    use super::super::problem::{Item, Stock};
    use super::*;

    #[test]
    fn costs_of_stocks_that_are_long_enough() {
        let stock = |length, count, cost| Stock { length, count, cost, kept: None };
        let stocks = vec![stock(10, None, 5), stock(7, Some(1), 4)];
        let problem = Problem::new(stocks, &[Item { length: 6, demand: 3 }]).unwrap();
        // 18 of length: two long ones (10), or two and the short one (14), three (15) …
        let costs = Costs::new(&problem, 20);
        assert_eq!([0, 10, 11, 14, 15, 16].map(|cost| costs.from(cost)), [10, 10, 14, 14, 15, 19]);
        assert_eq!([9, 10, 13, 14, 18].map(|cost| costs.up_to(cost)), [-1, 10, 10, 14, 15]);
    }
}
