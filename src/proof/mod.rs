//! Proves again what a cutting plan costs at least, from the instance and a certificate alone. It
//! shares nothing with the search that made the certificate: sums of integers and a knapsack of
//! its own, nothing in floating point, nothing taken on trust.
//!
//! **What is proved.** No plan costs less than the bound. Costs are multiples of their greatest
//! common divisor, the *step*, and stocks of that cost must be as long together as all pieces. It
//! is enough that no plan costs the greatest such cost below the bound, or less: the *target*.
//!
//! **At an end of the tree** every piece has a worth and every unit of cost a worth. If no stock
//! can hold more than its cost is worth, a plan costs at least what all pieces are worth. A limited
//! kind may hold more: the excess is taken off once for each there is. Three pieces may carry a
//! charge: a stock that holds two or three of them (or 2n, 2n + 1) is charged once (n times), and
//! since no plan has more than half as many such stocks as there are pieces of the three, that
//! half is taken off the sum. With a single kind of stock a plan within the target wastes no more
//! than target stocks hold beyond all pieces, so a stock that wastes more need not be looked at.
//!
//! **Stock that is kept.** Where enough is left of a stock it costs what is cut from it and
//! something besides. What it may hold is then weighed with each piece's worth less what its length
//! costs; whichever way it is used, it must not hold more than it costs.
//!
//! **A sieve.** With one kind of stock, where no stock can hold more than it costs, a plan within
//! the target has a certain worth to spare beyond all its pieces, and each of its stocks may lack
//! no more than that. All patterns that lack no more are listed; below, only the list counts.
//!
//! **What checking may take.** A certificate may be anything, so steps are counted over all of its
//! cases, and what these hold at a time; beyond either nothing is proved.
//!
//! **At a split** each plan is in one of two cases: some stock holds one piece of each kind of the
//! pair, and these two are counted as one piece from there on; or no stock holds both.

mod budget;
mod case;
mod costs;
mod covering;
mod knapsack;
mod table;
pub mod text;
mod walk;

use budget::{Budget, HELD};
use case::Case;
use knapsack::Knapsack;
use walk::Room;

/// A kind of stock.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Stock {
    /// Length, above 0.
    pub length: i64,
    /// How many there are; `None`: as many as wanted.
    pub count: Option<u64>,
    /// What one costs, above 0.
    pub cost: i64,
    /// Where what is cut from it is no more than this long together (above 0), it costs that
    /// length and this (not below 0) instead.
    pub kept: Option<(i64, i64)>,
}

/// A kind of piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Piece {
    /// Length, above 0.
    pub length: i64,
    /// How many are wanted.
    pub demand: u64,
}

/// Why no plan costs less, from the root of the tree of cases down.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reason {
    /// A unit of length is worth `value`, a unit of cost (a step) is worth `unit`.
    ByLength {
        /// Worth of a unit of length.
        value: i64,
        /// Worth of a step of cost.
        unit: i64,
    },
    /// Whichever stocks are used are as long together as all pieces, and each costs something
    /// beside what is cut from it. Where stock is kept.
    Covering,
    /// Worths of pieces, an end of the tree.
    Worths {
        /// Worth of a step of cost.
        unit: i64,
        /// Worth of a piece, by its number; those not listed are worth nothing.
        values: Vec<(u32, i64)>,
        /// Three different pieces, and the charge for holding two of them.
        threes: Vec<([u32; 3], i64)>,
    },
    /// By these worths few patterns can be in a plan within the target; only they count from here
    /// on.
    Sieve {
        /// Worth of a step of cost.
        unit: i64,
        /// Worth of a piece, by its number.
        values: Vec<(u32, i64)>,
        /// Three different pieces, and the charge for holding two of them.
        threes: Vec<([u32; 3], i64)>,
        /// What follows.
        then: Box<Reason>,
    },
    /// Two cases.
    Split {
        /// Two pieces by number, or one number twice. Pieces of the instance are numbered as they
        /// are listed; a pair that is joined gets the next number on its way from the root.
        pair: (u32, u32),
        /// Some stock holds both.
        together: Box<Reason>,
        /// No stock holds both.
        apart: Box<Reason>,
    },
}

/// Why a certificate is not accepted.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Doubt {
    /// It speaks of pieces that are not there, or its figures are negative or too large.
    Senseless,
    /// A stock of an unlimited kind can hold more than it costs.
    Exceeded,
    /// The pieces are not worth what the bound says.
    Short,
    /// Checking it would take more than it is worth.
    Endless,
}

/// Deepest tree that is looked at.
const DEEPEST: usize = 4_000;

/// Most pieces: what they are worth together stays within 128 bits.
const MOST_PIECES: u64 = 1 << 40;

/// Checks that every plan costs at least `bound`. `stop` may end it, which is a doubt; it ends by
/// itself, whatever the certificate says.
pub fn check(
    stocks: &[Stock],
    pieces: &[Piece],
    bound: i128,
    reason: &Reason,
    stop: &dyn Fn() -> bool,
) -> Result<(), Doubt> {
    within(stocks, pieces, bound, reason, &Budget::new(stop))
}

/// The same within a budget.
fn within(
    stocks: &[Stock],
    pieces: &[Piece],
    bound: i128,
    reason: &Reason,
    budget: &Budget<'_>,
) -> Result<(), Doubt> {
    if bound <= 0 {
        return Ok(());
    }
    let sound = stocks.iter().all(|s| s.length > 0 && s.cost > 0)
        && stocks.iter().filter_map(|s| s.kept).all(|(room, cost)| room > 0 && cost >= 0)
        && pieces.iter().all(|piece| piece.length > 0);
    let number = pieces.iter().fold(0_u64, |sum, piece| sum.saturating_add(piece.demand));
    let keeps = stocks.iter().any(|stock| stock.kept.is_some());
    // Lengths are costs where stock is kept.
    let step =
        if keeps { 1 } else { stocks.iter().fold(0, |step, stock| divisor(step, stock.cost)) };
    if !sound || step == 0 || number > MOST_PIECES {
        return Err(Doubt::Senseless);
    }
    // The most that a plan below the bound costs, in steps.
    let target = (bound - 1).div_euclid(i128::from(step));
    let stocks: Vec<Stock> =
        stocks.iter().map(|stock| Stock { cost: stock.cost / step, ..*stock }).collect();
    let root = Case::new(pieces);
    let target = match keeps {
        true => target,
        false => costs::greatest(&stocks, number, root.material(), target),
    };
    if target < 0 {
        return Ok(());
    }
    let checker = Checker { stocks: &stocks, target, budget };
    checker.tree(root, reason)
}

fn divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { divisor(b, a % b) }
}

struct Checker<'a> {
    stocks: &'a [Stock],
    target: i128,
    budget: &'a Budget<'a>,
}

impl Checker<'_> {
    /// All cases, one after the other: a tree may be deeper than calls can be.
    fn tree(&self, root: Case, reason: &Reason) -> Result<(), Doubt> {
        // How many numbers those hold that wait.
        let mut held = root.size();
        let mut open = vec![(root, reason, 0)];
        while let Some((case, reason, depth)) = open.pop() {
            held = held.saturating_sub(case.size());
            if depth > DEEPEST || held.saturating_add(case.size()) > HELD {
                return Err(Doubt::Endless);
            }
            self.budget.asked()?;
            self.budget.spend(case.effort())?;
            let waiting = open.len();
            match reason {
                Reason::ByLength { value, unit } => self.by_length(&case, *value, *unit)?,
                Reason::Covering => self.covered(&case)?,
                Reason::Worths { unit, values, threes } => {
                    self.ended(&case, &case.valued(values, threes)?, *unit)?;
                }
                Reason::Sieve { unit, values, threes, then } => {
                    let knapsack = case.valued(values, threes)?;
                    open.push((self.sifted(case, &knapsack, *unit)?, then, depth + 1));
                }
                Reason::Split { pair, together, apart } => {
                    let joined = case.joined(*pair)?;
                    open.push((case.parted(*pair)?, apart, depth + 1));
                    open.push((joined, together, depth + 1));
                }
            }
            let new = open.iter().skip(waiting).map(|(case, ..)| case.size());
            held = held.saturating_add(new.sum());
        }
        Ok(())
    }

    /// A stock holds no more length than it has.
    fn by_length(&self, case: &Case, value: i64, unit: i64) -> Result<(), Doubt> {
        if value < 0 || unit <= 0 {
            return Err(Doubt::Senseless);
        }
        let over = |stock: &Stock| {
            let full = i128::from(stock.length) * i128::from(value)
                - i128::from(stock.cost) * i128::from(unit);
            let kept = |(room, cost): (i64, i64)| {
                let more = i128::from(value.saturating_sub(unit).max(0));
                i128::from(room) * more - i128::from(cost) * i128::from(unit)
            };
            Ok(stock.kept.map_or(full, |way| full.max(kept(way))))
        };
        let sum = case.material().checked_mul(i128::from(value)).ok_or(Doubt::Senseless)?;
        self.weighed(sum, unit, over)
    }

    /// Used up a stock costs at least so much more than what is cut from it as it costs more than it
    /// holds; kept, what it says.
    fn covered(&self, case: &Case) -> Result<(), Doubt> {
        let beside = |stock: &Stock| {
            let full = i128::from(stock.cost) - i128::from(stock.length);
            stock.kept.map_or(full, |(_, cost)| full.min(i128::from(cost)))
        };
        let kept = self.stocks.iter().any(|stock| stock.kept.is_some());
        let stocks: Vec<covering::Kind> = self
            .stocks
            .iter()
            .map(|stock| covering::Kind {
                length: i128::from(stock.length),
                count: stock.count.map_or(case.pieces(), |count| count.min(case.pieces())),
                beside: beside(stock),
            })
            .collect();
        let material = case.material();
        if !kept {
            return Err(Doubt::Senseless);
        }
        match covering::least(&stocks, material, self.budget)? {
            // Not long enough together: no plan at all.
            None => Ok(()),
            Some(beside) if beside + material > self.target => Ok(()),
            Some(_) => Err(Doubt::Short),
        }
    }

    /// An end: by the list of patterns where there is one.
    fn ended(&self, case: &Case, knapsack: &Knapsack, unit: i64) -> Result<(), Doubt> {
        if case.list.is_none() {
            return self.worths(knapsack, unit);
        }
        // Less than nothing to spare: no plan.
        if self.spare(case, knapsack, unit)? < 0 { Ok(()) } else { Err(Doubt::Short) }
    }

    /// What the target is worth beyond all pieces, where no stock holds more than it costs. There
    /// is one kind of stock, as many as wanted.
    fn spare(&self, case: &Case, knapsack: &Knapsack, unit: i64) -> Result<i128, Doubt> {
        let ([stock @ Stock { kept: None, .. }], true) = (self.stocks, unit > 0) else {
            return Err(Doubt::Senseless);
        };
        let allowed = stock.cost.checked_mul(unit).ok_or(Doubt::Senseless)?;
        let most = match &case.list {
            Some(list) => knapsack.most_of(list, self.budget)?,
            None => knapsack.most(self.room(stock, knapsack), allowed, self.budget)?.into(),
        };
        if most > i128::from(allowed) {
            return Err(Doubt::Exceeded);
        }
        let target = self.target.checked_mul(i128::from(unit)).ok_or(Doubt::Senseless)?;
        Ok(target - knapsack.sum())
    }

    /// The case with a list of all patterns that can be in a plan within the target: each is worth
    /// at most what its stock costs, and what it is worth less comes off what is to spare.
    fn sifted(&self, mut case: Case, knapsack: &Knapsack, unit: i64) -> Result<Case, Doubt> {
        let spare = self.spare(&case, knapsack, unit)?;
        let [stock] = self.stocks else { return Err(Doubt::Senseless) };
        let least = i128::from(stock.cost) * i128::from(unit) - spare;
        let list = match &case.list {
            Some(list) => knapsack.worth_at_least(list, least, self.budget)?,
            None => knapsack.list(self.room(stock, knapsack), least, self.budget)?,
        };
        case.list = Some(list);
        Ok(case)
    }

    /// What one stock may leave over in a plan within the target.
    fn waste(&self, knapsack: &Knapsack) -> i64 {
        let [only @ Stock { kept: None, .. }] = self.stocks else { return i64::MAX };
        let number = self.target / i128::from(only.cost);
        let room = number.saturating_mul(i128::from(only.length));
        let waste = room.saturating_sub(knapsack.material());
        i64::try_from(waste).unwrap_or(i64::MAX)
    }

    fn room(&self, stock: &Stock, knapsack: &Knapsack) -> Room {
        Room { length: stock.length, waste: self.waste(knapsack) }
    }

    fn worths(&self, knapsack: &Knapsack, unit: i64) -> Result<(), Doubt> {
        if unit <= 0 {
            return Err(Doubt::Senseless);
        }
        let waste = self.waste(knapsack);
        if waste < 0 {
            // Fewer stocks than hold the pieces: no plan is within the target.
            return Ok(());
        }
        let dear = self.stocks.iter().any(|s| s.kept.is_some()).then(|| knapsack.dearer(unit));
        let over = |stock: &Stock| {
            let of = |knapsack: &Knapsack, length: i64, cost: i64| {
                let allowed = cost.checked_mul(unit).ok_or(Doubt::Senseless)?;
                let most = knapsack.most(Room { length, waste }, allowed, self.budget)?;
                Ok(i128::from(most) - i128::from(allowed))
            };
            let full = of(knapsack, stock.length, stock.cost)?;
            match (stock.kept, &dear) {
                (Some((room, cost)), Some(dear)) => Ok(full.max(of(dear, room, cost)?)),
                _ => Ok(full),
            }
        };
        self.weighed(knapsack.sum(), unit, over)
    }

    /// Whether pieces worth `sum` cannot be had within the target, where a stock holds at most
    /// as much more than it costs as `over` says.
    fn weighed(
        &self,
        sum: i128,
        unit: i64,
        over: impl Fn(&Stock) -> Result<i128, Doubt>,
    ) -> Result<(), Doubt> {
        let mut sum = sum;
        for stock in self.stocks {
            let over = over(stock)?;
            match stock.count {
                _ if over <= 0 => {}
                None => return Err(Doubt::Exceeded),
                Some(count) => {
                    let off = over.checked_mul(i128::from(count)).ok_or(Doubt::Senseless)?;
                    sum = sum.checked_sub(off).ok_or(Doubt::Senseless)?;
                }
            }
        }
        let allowed = self.target.checked_mul(i128::from(unit)).ok_or(Doubt::Senseless)?;
        if sum > allowed { Ok(()) } else { Err(Doubt::Short) }
    }
}

#[cfg(test)]
mod tests;
