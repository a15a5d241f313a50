use super::Doubt;
use super::budget::Budget;
use super::case::Pattern;
use super::walk::{Room, Walk};
use std::collections::{BTreeMap, BTreeSet};

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
    apart: Vec<Vec<u32>>,
    /// By kind, which threes it is of.
    of: Vec<Vec<usize>>,
    charges: Vec<i64>,
    sum: i128,
    material: i128,
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
            lists.get_mut(a as usize).ok_or(Doubt::Senseless)?.push(b);
            if a != b {
                lists.get_mut(b as usize).ok_or(Doubt::Senseless)?.push(a);
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
    pub fn kinds(&self) -> &[Kind] {
        &self.kinds
    }
    /// By three.
    pub fn charges(&self) -> &[i64] {
        &self.charges
    }
    /// What a kind shares no stock with.
    pub fn apart(&self, kind: u32) -> &[u32] {
        self.apart.get(kind as usize).map(Vec::as_slice).unwrap_or_default()
    }
    /// Which threes a kind is of.
    pub fn threes_of(&self, kind: u32) -> &[usize] {
        self.of.get(kind as usize).map(Vec::as_slice).unwrap_or_default()
    }

    /// How many of a kind one stock may hold.
    pub fn allows(&self, kind: u32, room: i64) -> u64 {
        let Some(one) = self.kinds.get(kind as usize) else { return 0 };
        let fit = one.fitting(room);
        if self.apart(kind).contains(&kind) { fit.min(1) } else { fit }
    }

    /// Whether nothing that comes together in a stock is too large to add.
    pub fn adds_up(&self, length: i64) -> bool {
        let fit = |kind: &Kind| kind.fitting(length);
        let all: i128 =
            self.kinds.iter().map(|kind| i128::from(kind.value) * i128::from(fit(kind))).sum();
        let charged: i128 = self.charges.iter().map(|&charge| i128::from(charge)).sum();
        let pieces = self.kinds.iter().fold(1_u64, |sum, kind| sum.saturating_add(fit(kind)));
        all <= LARGEST && charged.saturating_mul(i128::from(pieces)) <= LARGEST
    }

    /// The most that a stock holds, or `allowed` where that is more.
    pub fn most(&self, room: Room, allowed: i64, budget: &Budget<'_>) -> Result<i64, Doubt> {
        Walk::most(self, room, allowed, budget)
    }

    /// All patterns that are worth at least so much and leave no more than the waste.
    pub fn list(
        &self,
        room: Room,
        least: i128,
        budget: &Budget<'_>,
    ) -> Result<Vec<Pattern>, Doubt> {
        let least = i64::try_from(least).map_err(|_| Doubt::Senseless)?;
        Walk::list(self, room, least, budget)
    }

    /// What a pattern of known kinds is worth, charges taken off.
    fn worth(&self, pattern: &Pattern, budget: &Budget<'_>) -> Result<i128, Doubt> {
        let (mut worth, mut held) = (0_i128, BTreeMap::<usize, u64>::new());
        for &(number, times) in pattern {
            let value = self.kinds.get(number as usize).map_or(0, |kind| kind.value);
            worth += i128::from(value) * i128::from(times);
            let threes = self.threes_of(number);
            budget.spend(1 + threes.len() as u64 * 8)?;
            for &three in threes {
                *held.entry(three).or_default() += times;
            }
        }
        for (three, held) in held {
            let charge = self.charges.get(three).copied().unwrap_or(0);
            worth -= i128::from(charge) * i128::from(held / 2);
        }
        Ok(worth)
    }

    /// The most that any of these patterns is worth.
    pub fn most_of(&self, list: &[Pattern], budget: &Budget<'_>) -> Result<i128, Doubt> {
        list.iter().try_fold(0, |most, pattern| Ok(self.worth(pattern, budget)?.max(most)))
    }

    /// Those worth at least so much.
    pub fn worth_at_least(
        &self,
        list: &[Pattern],
        least: i128,
        budget: &Budget<'_>,
    ) -> Result<Vec<Pattern>, Doubt> {
        let mut kept = Vec::new();
        for pattern in list {
            if self.worth(pattern, budget)? >= least {
                kept.push(pattern.clone());
            }
        }
        Ok(kept)
    }
}

impl Kind {
    fn fitting(&self, room: i64) -> u64 {
        u64::try_from(room / self.length).unwrap_or(0).min(self.demand)
    }
}
