use super::Doubt;
use super::case::Pattern;
use std::cell::Cell;
use std::collections::{BTreeMap, BTreeSet};

/// Most cells of the table; beyond, lengths count in a coarser measure, rounded down.
const CELLS: usize = 8_000_000;

/// Most steps of one search.
const STEPS: u64 = 400_000_000;

/// Longest list of patterns.
const LIST: usize = 200_000;

/// Largest worth that may come together.
const LARGEST: i128 = 1 << 62;

/// A kind of piece with its worth.
#[derive(Clone, Copy, Debug)]
pub struct Kind {
    pub length: i64,
    pub demand: u64,
    pub value: i64,
}

/// What a stock can hold, and what that is worth.
#[derive(Debug)]
pub struct Knapsack {
    kinds: Vec<Kind>,
    /// By kind, which others it shares no stock with.
    apart: Vec<Vec<usize>>,
    /// By kind, which threes it is of.
    of: Vec<Vec<usize>>,
    charges: Vec<i64>,
    sum: i128,
    material: i128,
}

/// A way through the list of kinds.
struct Walk<'a> {
    knapsack: &'a Knapsack,
    /// The most that kinds from the row on are worth in a room, apart and charges left out.
    table: Vec<i64>,
    width: usize,
    measure: i64,
    waste: i64,
    taken: Vec<u64>,
    held: Vec<u64>,
    best: i64,
    steps: u64,
    stop: &'a dyn Fn() -> bool,
    stopped: Cell<bool>,
}

impl Knapsack {
    /// Kinds of which none is wanted are nothing.
    pub fn new(
        kinds: Vec<Kind>,
        apart: &BTreeSet<(u32, u32)>,
        threes: &[([u32; 3], i64)],
    ) -> Result<Knapsack, Doubt> {
        let mut lists = vec![Vec::new(); kinds.len()];
        for &(a, b) in apart {
            let (a, b) = (a as usize, b as usize);
            lists.get_mut(a).ok_or(Doubt::Senseless)?.push(b);
            if a != b {
                lists.get_mut(b).ok_or(Doubt::Senseless)?.push(a);
            }
        }
        let mut of = vec![Vec::new(); kinds.len()];
        let mut sum: i128 =
            kinds.iter().map(|kind| i128::from(kind.value) * i128::from(kind.demand)).sum();
        for (number, (three, charge)) in threes.iter().enumerate() {
            let mut together = 0_u64;
            for &kind in three {
                of.get_mut(kind as usize).ok_or(Doubt::Senseless)?.push(number);
                let demand = kinds.get(kind as usize).map_or(0, |kind| kind.demand);
                together = together.checked_add(demand).ok_or(Doubt::Senseless)?;
            }
            sum -= i128::from(together / 2) * i128::from(*charge);
        }
        let material =
            kinds.iter().map(|kind| i128::from(kind.length) * i128::from(kind.demand)).sum();
        let charges = threes.iter().map(|&(_, charge)| charge).collect();
        Ok(Knapsack { kinds, apart: lists, of, charges, sum, material })
    }

    /// The same where each unit of a piece's length takes so much off its worth. A piece that is
    /// worth nothing then is best left out.
    pub fn dearer(&self, unit: i64) -> Knapsack {
        let less = |kind: &Kind| {
            let value = i128::from(kind.value) - i128::from(kind.length) * i128::from(unit);
            Kind { value: i64::try_from(value.max(0)).unwrap_or(i64::MAX), ..*kind }
        };
        Knapsack {
            kinds: self.kinds.iter().map(less).collect(),
            apart: self.apart.clone(),
            of: self.of.clone(),
            charges: self.charges.clone(),
            sum: self.sum,
            material: self.material,
        }
    }

    /// What all pieces are worth, charges taken off.
    pub fn sum(&self) -> i128 {
        self.sum
    }
    /// Length of all pieces.
    pub fn material(&self) -> i128 {
        self.material
    }

    /// The most that a stock of this length holds, or `allowed` where that is more.
    pub fn most(
        &self,
        length: i64,
        waste: i64,
        allowed: i64,
        stop: &dyn Fn() -> bool,
    ) -> Result<i64, Doubt> {
        // Nothing that comes together here may be too large to add.
        let fit = |kind: &Kind| u64::try_from(length / kind.length).unwrap_or(0).min(kind.demand);
        let all: i128 =
            self.kinds.iter().map(|kind| i128::from(kind.value) * i128::from(fit(kind))).sum();
        let charged: i128 = self.charges.iter().map(|&charge| i128::from(charge)).sum();
        let pieces = self.kinds.iter().fold(1_u64, |sum, kind| sum.saturating_add(fit(kind)));
        if all > LARGEST || charged.saturating_mul(i128::from(pieces)) > LARGEST {
            return Err(Doubt::Senseless);
        }
        let mut walk = Walk::new(self, length, waste, allowed, stop);
        walk.from(0, length, 0);
        if walk.steps >= STEPS || walk.stopped.get() {
            return Err(Doubt::Endless);
        }
        Ok(walk.best)
    }

    /// What a pattern of known kinds is worth, charges taken off.
    fn worth(&self, pattern: &Pattern) -> i128 {
        let (mut worth, mut held) = (0_i128, BTreeMap::<usize, u64>::new());
        for &(number, times) in pattern {
            let value = self.kinds.get(number as usize).map_or(0, |kind| kind.value);
            worth += i128::from(value) * i128::from(times);
            for &three in self.of.get(number as usize).into_iter().flatten() {
                *held.entry(three).or_default() += times;
            }
        }
        for (three, held) in held {
            let charge = self.charges.get(three).copied().unwrap_or(0);
            worth -= i128::from(charge) * i128::from(held / 2);
        }
        worth
    }
    /// The most that any of these patterns is worth.
    pub fn most_of(&self, list: &[Pattern]) -> i128 {
        list.iter().map(|pattern| self.worth(pattern)).max().unwrap_or(0)
    }
    /// Those worth at least so much.
    pub fn worth_at_least(&self, list: &[Pattern], least: i128) -> Vec<Pattern> {
        list.iter().filter(|pattern| self.worth(pattern) >= least).cloned().collect()
    }

    /// All patterns that are worth at least so much and leave no more than `waste`.
    pub fn list(
        &self,
        length: i64,
        waste: i64,
        least: i128,
        stop: &dyn Fn() -> bool,
    ) -> Result<Vec<Pattern>, Doubt> {
        let least = i64::try_from(least).map_err(|_| Doubt::Senseless)?;
        // The table's promises are what the search for the most makes, too.
        let mut walk = Walk::new(self, length, waste, 0, stop);
        let mut found = Vec::new();
        walk.list(0, length, 0, least, &mut Vec::new(), &mut found)?;
        Ok(found)
    }

    /// How many of a kind one stock may hold.
    fn allows(&self, kind: usize, room: i64) -> u64 {
        let Some(one) = self.kinds.get(kind) else { return 0 };
        let fit = u64::try_from(room / one.length).unwrap_or(0).min(one.demand);
        let alone = self.apart.get(kind).is_some_and(|others| others.contains(&kind));
        if alone { fit.min(1) } else { fit }
    }
}

impl<'a> Walk<'a> {
    fn new(
        knapsack: &'a Knapsack,
        length: i64,
        waste: i64,
        allowed: i64,
        stop: &'a dyn Fn() -> bool,
    ) -> Walk<'a> {
        let rows = knapsack.kinds.len();
        let widest = i64::try_from((CELLS / (rows + 1)).max(16)).unwrap_or(16);
        let measure = length / widest + 1;
        let width = usize::try_from(length / measure).unwrap_or(0) + 1;
        let mut table: Vec<i64> = vec![0; width * (rows + 1)];
        for row in (0..rows).rev() {
            let Some(kind) = knapsack.kinds.get(row) else { continue };
            let weight = usize::try_from(kind.length / measure).unwrap_or(width);
            let most = knapsack.allows(row, length);
            let (value, capped) = (kind.value, i64::try_from(most).unwrap_or(i64::MAX));
            for room in 0..width {
                let after = |left: usize| table.get((row + 1) * width + left).copied().unwrap_or(0);
                let mut best = after(room);
                if weight == 0 {
                    best = best.saturating_add(value.saturating_mul(capped));
                } else if most > 8 {
                    // As many as fit: more than there are does no harm to a bound.
                    if let Some(left) = room.checked_sub(weight) {
                        let one_less = table.get(row * width + left).copied().unwrap_or(0);
                        best = best.max(one_less.saturating_add(value));
                    }
                } else {
                    let (mut all, mut left) = (0_i64, room);
                    for _ in 0..most {
                        let Some(less) = left.checked_sub(weight) else { break };
                        (all, left) = (all.saturating_add(value), less);
                        best = best.max(after(left).saturating_add(all));
                    }
                }
                if let Some(cell) = table.get_mut(row * width + room) {
                    *cell = best;
                }
            }
        }
        Walk {
            table,
            width,
            measure,
            waste,
            taken: vec![0; rows],
            held: vec![0; knapsack.charges.len()],
            best: allowed,
            steps: 0,
            stop,
            stopped: Cell::new(false),
            knapsack,
        }
    }

    /// What this row and those below may still add.
    fn promise(&self, row: usize, room: i64) -> i64 {
        let room = usize::try_from(room / self.measure).unwrap_or(0);
        self.table.get(row * self.width + room).copied().unwrap_or(0)
    }

    /// All ways to go on from a row that could come to more than the best.
    fn from(&mut self, row: usize, room: i64, value: i64) {
        self.steps += 1;
        if self.steps.is_multiple_of(1 << 16) && (self.stop)() {
            self.stopped.set(true);
        }
        if self.stopped.get() || self.steps >= STEPS {
            return;
        }
        if value > self.best && room <= self.waste {
            self.best = value;
        }
        let mut row = row;
        while row < self.knapsack.kinds.len() {
            if value.saturating_add(self.promise(row, room)) <= self.best {
                return;
            }
            let others = self.knapsack.apart.get(row).map(Vec::as_slice).unwrap_or_default();
            let free = others.iter().all(|&o| o == row || self.taken.get(o) == Some(&0));
            let most = if free { self.knapsack.allows(row, room) } else { 0 };
            let Some(kind) = self.knapsack.kinds.get(row).copied() else { return };
            for times in (1..=most).rev() {
                let number = i64::try_from(times).unwrap_or(i64::MAX);
                let (left, more) = (room - kind.length * number, kind.value * number);
                if value + more + self.promise(row + 1, left) > self.best {
                    let charge = self.take(row, times);
                    self.from(row + 1, left, value + more - charge);
                    self.put_back(row, times);
                }
            }
            row += 1;
        }
    }

    /// All ways to go on that come to at least so much.
    fn list(
        &mut self,
        row: usize,
        room: i64,
        value: i64,
        least: i64,
        chosen: &mut Pattern,
        found: &mut Vec<Pattern>,
    ) -> Result<(), Doubt> {
        self.steps += 1;
        let asked = self.steps.is_multiple_of(1 << 16) && (self.stop)();
        if asked || self.steps >= STEPS || found.len() > LIST {
            return Err(Doubt::Endless);
        }
        if value >= least && room <= self.waste {
            found.push(chosen.clone());
        }
        for row in row..self.knapsack.kinds.len() {
            if value.saturating_add(self.promise(row, room)) < least {
                break;
            }
            let others = self.knapsack.apart.get(row).map(Vec::as_slice).unwrap_or_default();
            let free = others.iter().all(|&o| o == row || self.taken.get(o) == Some(&0));
            let most = if free { self.knapsack.allows(row, room) } else { 0 };
            let Some(kind) = self.knapsack.kinds.get(row).copied() else { break };
            for times in 1..=most {
                let number = i64::try_from(times).unwrap_or(i64::MAX);
                let (left, more) = (room - kind.length * number, kind.value * number);
                if value + more + self.promise(row + 1, left) < least {
                    continue;
                }
                chosen.push((u32::try_from(row).unwrap_or(u32::MAX), times));
                let charge = self.take(row, times);
                let went = self.list(row + 1, left, value + more - charge, least, chosen, found);
                self.put_back(row, times);
                chosen.pop();
                went?;
            }
        }
        Ok(())
    }

    /// Takes so many of a kind; what that is charged.
    fn take(&mut self, row: usize, times: u64) -> i64 {
        if let Some(taken) = self.taken.get_mut(row) {
            *taken += times;
        }
        let mut charge = 0;
        for &three in self.knapsack.of.get(row).into_iter().flatten() {
            let Some(held) = self.held.get_mut(three) else { continue };
            let before = *held / 2;
            *held += times;
            let more = i64::try_from(*held / 2 - before).unwrap_or(i64::MAX);
            charge += self.knapsack.charges.get(three).copied().unwrap_or(0) * more;
        }
        charge
    }

    fn put_back(&mut self, row: usize, times: u64) {
        if let Some(taken) = self.taken.get_mut(row) {
            *taken -= times;
        }
        for &three in self.knapsack.of.get(row).into_iter().flatten() {
            if let Some(held) = self.held.get_mut(three) {
                *held -= times;
            }
        }
    }
}
