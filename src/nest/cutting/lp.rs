//! A revised simplex with an explicit inverse, in floating point: the one file of the core with
//! float arithmetic. It only proposes: duals leave it as integers and are worth nothing until an
//! integer sum over all patterns bounds them, and what is cut how often is counted again. Common
//! practice (column generation keeps rows few and columns many); own code, since no library offers
//! both duals and columns that come later.
#![allow(
    clippy::float_arithmetic,
    reason = "floats propose only: no bound and no plan is accepted on what is computed here"
)]

use super::work::Work;

/// What counts as nought.
const TINY: f64 = 1e-9;
/// Smallest pivot.
const PIVOT: f64 = 1e-7;
/// Pivots after which the inverse is made anew.
const FRESH: usize = 400;
/// How far right sides are moved so that ties are rare.
const NUDGE: f64 = 1e-7;

/// A column: entries by row, and its cost.
#[derive(Clone, Debug)]
pub struct Column {
    pub entries: Vec<(u32, f64)>,
    pub cost: f64,
}

/// How a row relates to its right side.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Row {
    /// At least. Falling short costs so much a unit.
    AtLeast,
    /// At most.
    AtMost,
}

/// The least cost of columns that satisfy all rows.
#[derive(Debug)]
pub struct Lp {
    /// Right sides as asked for, and as they are moved.
    asked: Vec<f64>,
    right: Vec<f64>,
    columns: Vec<Column>,
    /// Column of each row.
    basis: Vec<usize>,
    basic: Vec<bool>,
    inverse: Vec<Vec<f64>>,
    values: Vec<f64>,
    duals: Vec<f64>,
    pivots: usize,
    units: usize,
}

impl Lp {
    /// Rows with their right sides; `short` is what a unit that is missing costs.
    pub fn new(rows: &[(Row, f64)], short: f64) -> Lp {
        let size = rows.len();
        let mut columns = Vec::with_capacity(size * 3);
        // A unit column for each row first: what is missing, or what is not used.
        for (row, &(kind, _)) in (0_u32..).zip(rows) {
            let cost = if kind == Row::AtLeast { short } else { 0.0 };
            columns.push(Column { entries: vec![(row, 1.0)], cost });
        }
        for (row, &(kind, _)) in (0_u32..).zip(rows) {
            if kind == Row::AtLeast {
                columns.push(Column { entries: vec![(row, -1.0)], cost: 0.0 });
            }
        }
        let nudge = |row: usize| {
            let spread = u32::try_from(row.wrapping_mul(2_654_435_769) % 1_024).unwrap_or(0);
            NUDGE * (1.0 + f64::from(spread) / 1_024.0)
        };
        let asked: Vec<f64> = rows.iter().map(|&(_, right)| right).collect();
        let right: Vec<f64> =
            rows.iter().enumerate().map(|(row, &(_, right))| right + nudge(row)).collect();
        let mut basic = vec![true; size];
        basic.resize(columns.len(), false);
        let duals = columns.iter().take(size).map(|column| column.cost).collect();
        let inverse = (0..size)
            .map(|row| {
                let mut line = vec![0.0; size];
                if let Some(one) = line.get_mut(row) {
                    *one = 1.0;
                }
                line
            })
            .collect();
        let values = right.clone();
        let units = columns.len();
        Lp {
            asked,
            right,
            columns,
            basis: (0..size).collect(),
            basic,
            inverse,
            values,
            duals,
            pivots: 0,
            units,
        }
    }

    /// Adds a column, to be used from the next solve on; its number counts from 0.
    pub fn add(&mut self, column: Column) -> usize {
        self.columns.push(column);
        self.basic.push(false);
        self.columns.len() - 1 - self.units
    }
    /// Which of these columns would save most, `most` of them at the most, by place in ascending
    /// order.
    pub fn best_of<'a>(
        &self,
        columns: impl Iterator<Item = &'a Column>,
        most: usize,
    ) -> Vec<usize> {
        let mut saving: Vec<(f64, usize)> = columns
            .enumerate()
            .map(|(place, column)| (self.reduced(column), place))
            .filter(|&(reduced, _)| reduced < -TINY)
            .collect();
        saving.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        saving.truncate(most);
        let mut places: Vec<usize> = saving.into_iter().map(|(_, place)| place).collect();
        places.sort_unstable();
        places
    }
    fn reduced(&self, column: &Column) -> f64 {
        let mut reduced = column.cost;
        for &(row, entry) in &column.entries {
            reduced -= entry * self.duals.get(row as usize).copied().unwrap_or(0.0);
        }
        reduced
    }
    /// What a row's unit is worth.
    pub fn duals(&self) -> &[f64] {
        &self.duals
    }
    /// Sets what a missing unit costs.
    pub fn set_short(&mut self, short: f64) {
        let size = self.right.len();
        for column in self.columns.iter_mut().take(size).filter(|column| column.cost > 0.0) {
            column.cost = short;
        }
        self.recount();
    }
    /// The least cost, after a solve: by the duals, which know nothing of the nudges.
    pub fn cost(&self) -> f64 {
        self.duals.iter().zip(&self.asked).map(|(dual, right)| dual * right).sum()
    }
    /// How much is missing in all rows.
    pub fn missing(&self) -> f64 {
        let missing = |&(&column, _): &(&usize, &f64)| {
            column < self.right.len() && self.columns.get(column).is_some_and(|c| c.cost > 0.0)
        };
        self.basis.iter().zip(&self.values).filter(missing).map(|(_, value)| value.max(0.0)).sum()
    }
    /// Columns that were added and are used: number and how often, in whole units and a share of
    /// a million.
    pub fn used(&self) -> Vec<(usize, Share)> {
        let mut used: Vec<(usize, Share)> = self
            .basis
            .iter()
            .zip(&self.values)
            .filter_map(|(&column, &value)| {
                let column = column.checked_sub(self.units)?;
                Share::of(value).map(|share| (column, share))
            })
            .collect();
        used.sort_unstable_by_key(|&(column, _)| column);
        used
    }

    /// Goes to the least cost, or until work is over. Whether it came there.
    pub fn solve(&mut self, work: &Work<'_>) -> bool {
        let size = self.right.len() as u64;
        let mut wide = vec![0.0; self.right.len()];
        let most = 50 * self.right.len() + 2_000;
        for _ in 0..most {
            if work.over() {
                return false;
            }
            if self.pivots >= FRESH {
                self.refresh();
            }
            let Some((entering, reduced)) = self.entering(work) else { return true };
            self.direction(entering, &mut wide);
            work.spend(size * 8);
            let Some(row) = self.leaving(&wide) else { return true };
            let pivot = wide.get(row).copied().unwrap_or(0.0);
            work.spend(self.pivot(row, pivot, &wide, reduced));
            if let Some(left) = self.basis.get(row).and_then(|&left| self.basic.get_mut(left)) {
                *left = false;
            }
            if let (Some(slot), Some(flag)) =
                (self.basis.get_mut(row), self.basic.get_mut(entering))
            {
                (*slot, *flag) = (entering, true);
            }
            self.pivots += 1;
        }
        false
    }

    /// The column that saves most a unit.
    fn entering(&self, work: &Work<'_>) -> Option<(usize, f64)> {
        let mut best: Option<(usize, f64)> = None;
        let mut least = -TINY;
        for (number, (column, &basic)) in self.columns.iter().zip(&self.basic).enumerate() {
            if basic {
                continue;
            }
            let reduced = self.reduced(column);
            if reduced < least {
                least = reduced;
                best = Some((number, reduced));
            }
        }
        work.spend(self.columns.len() as u64 * 4);
        best
    }

    fn direction(&self, entering: usize, wide: &mut [f64]) {
        let Some(column) = self.columns.get(entering) else { return };
        for (line, wide) in self.inverse.iter().zip(wide.iter_mut()) {
            let mut sum = 0.0;
            for &(row, entry) in &column.entries {
                sum += entry * line.get(row as usize).copied().unwrap_or(0.0);
            }
            *wide = sum;
        }
    }

    fn leaving(&self, wide: &[f64]) -> Option<usize> {
        let mut best: Option<(usize, f64, f64)> = None;
        for (row, (&step, &value)) in wide.iter().zip(&self.values).enumerate() {
            if step <= PIVOT {
                continue;
            }
            let ratio = value.max(0.0) / step;
            let better = match best {
                None => true,
                Some((_, least, with)) => {
                    ratio < least - TINY || (ratio < least + TINY && step > with)
                }
            };
            if better {
                best = Some((row, ratio.min(best.map_or(ratio, |(_, least, _)| least)), step));
            }
        }
        best.map(|(row, _, _)| row)
    }

    /// Brings the entering column into a row; gives what it took in steps.
    fn pivot(&mut self, row: usize, pivot: f64, wide: &[f64], reduced: f64) -> u64 {
        let mut steps = 0;
        let mut line = self.inverse.get_mut(row).map(std::mem::take).unwrap_or_default();
        for entry in &mut line {
            *entry /= pivot;
            if entry.abs() < 1e-13 {
                *entry = 0.0;
            }
        }
        let value = self.values.get(row).copied().unwrap_or(0.0) / pivot;
        let filled: Vec<u32> = (0_u32..)
            .zip(&line)
            .filter(|&(_, &entry)| entry != 0.0)
            .map(|(place, _)| place)
            .collect();
        let sparse = filled.len() * 4 < line.len();
        for (other, (target, (&step, held))) in
            self.inverse.iter_mut().zip(wide.iter().zip(self.values.iter_mut())).enumerate()
        {
            if other == row || step == 0.0 {
                continue;
            }
            if sparse {
                for &place in &filled {
                    let from = line.get(place as usize).copied().unwrap_or(0.0);
                    if let Some(to) = target.get_mut(place as usize) {
                        *to -= step * from;
                    }
                }
                steps += filled.len() as u64 * 2;
            } else {
                for (to, from) in target.iter_mut().zip(&line) {
                    *to -= step * from;
                }
                steps += line.len() as u64 / 2;
            }
            *held -= step * value;
        }
        for (dual, entry) in self.duals.iter_mut().zip(&line) {
            *dual += reduced * entry;
        }
        if let (Some(slot), Some(held)) = (self.inverse.get_mut(row), self.values.get_mut(row)) {
            *slot = line;
            *held = value;
        }
        steps
    }

    /// Makes the inverse anew from the basis, so that errors do not grow.
    fn refresh(&mut self) {
        let size = self.right.len();
        self.pivots = 0;
        let old = std::mem::take(&mut self.inverse);
        self.inverse = (0..size)
            .map(|row| {
                let mut line = vec![0.0; size];
                if let Some(one) = line.get_mut(row) {
                    *one = 1.0;
                }
                line
            })
            .collect();
        let basis = self.basis.clone();
        let mut taken = vec![false; size];
        let mut placed = vec![usize::MAX; size];
        let mut wide = vec![0.0; size];
        // Unit columns first: they cost nothing.
        let mut order = basis.clone();
        order.sort_by_key(|&column| {
            (self.columns.get(column).map_or(0, |c| c.entries.len()), column)
        });
        for &column in &order {
            self.direction(column, &mut wide);
            let best = wide
                .iter()
                .zip(&taken)
                .enumerate()
                .filter(|(_, (_, taken))| !**taken)
                .max_by(|(_, (a, _)), (_, (b, _))| a.abs().total_cmp(&b.abs()));
            let Some((row, pivot)) = best.map(|(row, (&pivot, _))| (row, pivot)) else { break };
            if pivot.abs() < PIVOT {
                // The basis has become singular in floats: go on with what there was.
                self.inverse = old;
                return;
            }
            let _steps = self.pivot(row, pivot, &wide, 0.0);
            if let (Some(taken), Some(placed)) = (taken.get_mut(row), placed.get_mut(row)) {
                (*taken, *placed) = (true, column);
            }
        }
        self.basis = placed;
        self.recount();
    }

    /// Values and duals anew from the inverse.
    fn recount(&mut self) {
        for (value, line) in self.values.iter_mut().zip(&self.inverse) {
            *value = line.iter().zip(&self.right).map(|(a, b)| a * b).sum();
        }
        self.duals.fill(0.0);
        for (&column, line) in self.basis.iter().zip(&self.inverse) {
            let cost = self.columns.get(column).map_or(0.0, |column| column.cost);
            if cost != 0.0 {
                for (dual, entry) in self.duals.iter_mut().zip(line) {
                    *dual += cost * entry;
                }
            }
        }
    }
}

/// How often a column is used: whole times, and millionths of one more.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Share {
    pub whole: u64,
    pub millionths: u32,
}

impl Share {
    fn of(value: f64) -> Option<Share> {
        if value < 1e-5 {
            return None;
        }
        // What is a whole number but for rounding is one.
        let whole = (value + 1e-5).floor();
        let rest = ((value - whole) * 1e6).max(0.0);
        Some(Share { whole: whole as u64, millionths: if rest < 20.0 { 0 } else { rest as u32 } })
    }
}

/// A number as the float it is nearest to.
pub fn float(number: i64) -> f64 {
    number as f64
}

/// A number of pieces as a float.
pub fn count(number: u64) -> f64 {
    number as f64
}

/// A quotient.
pub fn ratio(over: i64, under: i64) -> f64 {
    over as f64 / under as f64
}

/// The dual of a row as an integer at this scale, nearest; as a worth where the row is at least,
/// as a charge where it is at most, and never below nought.
pub fn scaled(row: Row, dual: f64, scale: i64) -> i64 {
    let value = if row == Row::AtLeast { dual } else { -dual };
    let value = (value * scale as f64).round();
    if value > 0.0 { value as i64 } else { 0 }
}

/// Whether a cost that a float holds lies above a whole one by more than floats err.
pub fn above(cost: f64, scale: f64, whole: i128) -> bool {
    cost * scale > whole as f64 + 1e-6 * (1.0 + scale)
}

/// The least whole number that is not below a float, but for what floats err.
pub fn rounded_up(cost: f64, scale: f64) -> i128 {
    (cost * scale - 1e-6 * (1.0 + scale)).ceil() as i128
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_small_program_by_hand() {
        // Pieces of 6 (5 wanted) and 4 (4 wanted) from 10: patterns 6+4, 4+4, 6. Least 5.
        let mut lp = Lp::new(&[(Row::AtLeast, 5.0), (Row::AtLeast, 4.0)], 10.0);
        lp.add(Column { entries: vec![(0, 1.0), (1, 1.0)], cost: 1.0 });
        lp.add(Column { entries: vec![(1, 2.0)], cost: 1.0 });
        lp.add(Column { entries: vec![(0, 1.0)], cost: 1.0 });
        assert!(lp.solve(&Work::new(u64::MAX, &|| false)));
        assert!((lp.cost() - 5.0).abs() < 1e-4, "{}", lp.cost());
        assert!(lp.missing() < 1e-6);
        // At most three of the first: two more of 6 alone, one more of 4 in pairs.
        let rows = [(Row::AtLeast, 5.0), (Row::AtLeast, 4.0), (Row::AtMost, 3.0)];
        let mut lp = Lp::new(&rows, 10.0);
        lp.add(Column { entries: vec![(0, 1.0), (1, 1.0), (2, 1.0)], cost: 1.0 });
        lp.add(Column { entries: vec![(1, 2.0)], cost: 1.0 });
        lp.add(Column { entries: vec![(0, 1.0)], cost: 1.0 });
        assert!(lp.solve(&Work::new(u64::MAX, &|| false)));
        assert!((lp.cost() - 5.5).abs() < 1e-4, "{}", lp.cost());
        lp.refresh();
        assert!((lp.cost() - 5.5).abs() < 1e-4, "{}", lp.cost());
    }
}
