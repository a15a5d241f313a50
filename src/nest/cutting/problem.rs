use crate::quantity::common_divisor;
use std::cmp::Reverse;

/// One kind of stock.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stock {
    /// Its length, in the problem's unit; above 0.
    pub length: i64,
    /// How many there are; `None`: as many as wanted.
    pub count: Option<u64>,
    /// What one costs, in whatever is to be least; above 0.
    pub cost: i64,
    /// What one costs where enough of it is left to be worth keeping.
    pub kept: Option<Kept>,
}

/// Stock of which enough is left costs what is cut from it, and something besides.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Kept {
    /// The most that may be cut from it then, above 0; no more than its length.
    pub room: i64,
    /// What it costs beside the length of what is cut from it; not below 0.
    pub cost: i64,
}

impl Stock {
    /// What one costs from which pieces of so much length together are cut.
    pub fn cost_of(&self, held: i64) -> i64 {
        let kept = self.kept.filter(|kept| held <= kept.room);
        kept.map_or(self.cost, |kept| self.cost.min(kept.cost.saturating_add(held)))
    }
}

/// Pieces of one length.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Item {
    /// Length of a piece; above 0.
    pub length: i64,
    /// How many are wanted; above 0.
    pub demand: u64,
}

/// Pieces to be cut from stock at least cost: the textbook's one-dimensional cutting stock.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Problem {
    stocks: Vec<Stock>,
    items: Vec<Item>,
}

/// Why a problem cannot be taken.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Refusal {
    /// There is no stock.
    NoStock,
    /// A length, number or cost is nought or below.
    NotPositive,
    /// A figure above [`Problem::MOST`], or more than [`Problem::MOST_PIECES`] pieces.
    TooLarge,
    /// A piece of this length is longer than any stock.
    TooLong(i64),
}

impl Problem {
    /// Largest length or cost: 10 km in nanometres. A length times a cost times a number of
    /// pieces stays within 128 bits.
    pub const MOST: i64 = 10_000_000_000_000;
    /// Most pieces altogether, and most of one kind of stock.
    pub const MOST_PIECES: u64 = 1_000_000_000;
    /// Most kinds of stock.
    pub const MOST_STOCKS: usize = 1_000;

    /// A problem, with pieces of equal length put together, longest first.
    pub fn new(stocks: Vec<Stock>, items: &[Item]) -> Result<Problem, Refusal> {
        if stocks.is_empty() {
            return Err(Refusal::NoStock);
        }
        if stocks.len() > Problem::MOST_STOCKS {
            return Err(Refusal::TooLarge);
        }
        for stock in &stocks {
            if stock.length <= 0 || stock.cost <= 0 || stock.count == Some(0) {
                return Err(Refusal::NotPositive);
            }
            if stock
                .kept
                .is_some_and(|kept| kept.room <= 0 || kept.cost < 0 || kept.room > stock.length)
            {
                return Err(Refusal::NotPositive);
            }
            if stock.length > Problem::MOST
                || stock.kept.is_some_and(|kept| kept.cost > Problem::MOST)
                || stock.cost > Problem::MOST
                || stock.count.is_some_and(|count| count > Problem::MOST_PIECES)
            {
                return Err(Refusal::TooLarge);
            }
        }
        let longest = stocks.iter().map(|stock| stock.length).max().unwrap_or(0);
        let mut sorted: Vec<Item> = items.to_vec();
        sorted.sort_by_key(|item| Reverse(item.length));
        let mut grouped: Vec<Item> = Vec::with_capacity(sorted.len());
        let mut pieces = 0_u64;
        for item in sorted {
            if item.length <= 0 || item.demand == 0 {
                return Err(Refusal::NotPositive);
            }
            if item.length > longest {
                return Err(Refusal::TooLong(item.length));
            }
            pieces = pieces.saturating_add(item.demand);
            if pieces > Problem::MOST_PIECES {
                return Err(Refusal::TooLarge);
            }
            match grouped.last_mut() {
                Some(last) if last.length == item.length => last.demand += item.demand,
                _ => grouped.push(item),
            }
        }
        Ok(Problem { stocks, items: grouped })
    }
    /// Kinds of stock, as given.
    pub fn stocks(&self) -> &[Stock] {
        &self.stocks
    }
    /// Pieces by length, longest first, each length once.
    pub fn items(&self) -> &[Item] {
        &self.items
    }
    /// Number of pieces.
    pub fn pieces(&self) -> u64 {
        self.items.iter().map(|item| item.demand).sum()
    }
    /// Length of all pieces together.
    pub fn material(&self) -> i128 {
        material(&self.items)
    }
    /// Whether some stock may be kept.
    pub fn keeps(&self) -> bool {
        self.stocks.iter().any(|stock| stock.kept.is_some())
    }
    /// Every cost of a plan is a whole multiple of this.
    pub fn step(&self) -> i64 {
        if self.keeps() {
            // What is cut costs its length.
            return 1;
        }
        self.stocks.iter().fold(0, |step, stock| common_divisor(step, stock.cost)).max(1)
    }
    /// No plan costs more: each piece from a stock of its own, of every kind.
    pub fn dearest(&self) -> i128 {
        let pieces = self.pieces();
        let all = |stock: &Stock| {
            let number = stock.count.map_or(pieces, |count| count.min(pieces));
            i128::from(stock.cost) * i128::from(number)
        };
        self.stocks.iter().map(all).sum()
    }
}

/// Length of these pieces together.
pub fn material(items: &[Item]) -> i128 {
    items.iter().map(|item| i128::from(item.length) * i128::from(item.demand)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_lengths_are_put_together_longest_first() {
        let stock = Stock { length: 10, count: None, cost: 1, kept: None };
        let item = |length, demand| Item { length, demand };
        let problem = Problem::new(vec![stock], &[item(3, 1), item(7, 2), item(3, 4)]).unwrap();
        assert_eq!(problem.items(), [item(7, 2), item(3, 5)]);
        assert_eq!((problem.pieces(), problem.material(), problem.step()), (7, 29, 1));
    }

    #[test]
    fn what_is_no_problem_is_refused() {
        let stock = Stock { length: 10, count: None, cost: 1, kept: None };
        let of = |stocks: &[Stock], items: &[(i64, u64)]| {
            let items: Vec<Item> =
                items.iter().map(|&(length, demand)| Item { length, demand }).collect();
            Problem::new(stocks.to_vec(), &items).unwrap_err()
        };
        assert_eq!(of(&[], &[]), Refusal::NoStock);
        assert_eq!(of(&[stock], &[(11, 1)]), Refusal::TooLong(11));
        assert_eq!(of(&[stock], &[(0, 1)]), Refusal::NotPositive);
        assert_eq!(of(&[stock], &[(-3, 1)]), Refusal::NotPositive);
        assert_eq!(of(&[stock], &[(3, 0)]), Refusal::NotPositive);
        assert_eq!(of(&[stock], &[(3, u64::MAX), (2, 5)]), Refusal::TooLarge);
        assert_eq!(of(&[Stock { cost: 0, ..stock }], &[(3, 1)]), Refusal::NotPositive);
        assert_eq!(of(&[Stock { length: i64::MAX, ..stock }], &[(3, 1)]), Refusal::TooLarge);
    }
}
