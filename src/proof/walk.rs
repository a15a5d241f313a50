//! The search for what one stock can hold: a table bounds every way to go on, and what is left of
//! these is walked through.

use super::Doubt;
use super::budget::{Budget, HELD};
use super::case::Pattern;
use super::knapsack::{Kind, Knapsack};
use super::table::Table;

/// Most kinds in one stock: calls go as deep.
const MOST_KINDS: usize = 2_000;

/// A stock: its length, and what it may leave over.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    pub length: i64,
    pub waste: i64,
}

/// A way through the kinds that a stock may hold, longest first.
pub struct Walk<'a> {
    knapsack: &'a Knapsack,
    budget: &'a Budget<'a>,
    kinds: Vec<(u32, Kind)>,
    table: Table,
    waste: i64,
    /// By number of the kind.
    taken: Vec<u64>,
    /// How many of each three.
    held: Vec<u64>,
    chosen: Pattern,
    /// Only what is worth more than this counts.
    over: i64,
    /// All that counts, where it is listed, and how many numbers that is.
    found: Option<Vec<Pattern>>,
    size: usize,
}

impl<'a> Walk<'a> {
    /// The most that a stock holds, or `allowed` where that is more.
    pub fn most(
        knapsack: &'a Knapsack,
        room: Room,
        allowed: i64,
        budget: &'a Budget<'a>,
    ) -> Result<i64, Doubt> {
        // What is worth nothing fills a stock only where it must be full.
        let idle = room.waste >= room.length;
        let mut walk = Walk::new(knapsack, room, |kind| kind.value > 0 || !idle, budget)?;
        walk.over = allowed;
        walk.from(0, room.length, 0)?;
        Ok(walk.over)
    }

    /// All patterns that are worth at least so much.
    pub fn list(
        knapsack: &'a Knapsack,
        room: Room,
        least: i64,
        budget: &'a Budget<'a>,
    ) -> Result<Vec<Pattern>, Doubt> {
        let mut walk = Walk::new(knapsack, room, |_| true, budget)?;
        (walk.over, walk.found) = (least.saturating_sub(1), Some(Vec::new()));
        walk.from(0, room.length, 0)?;
        Ok(walk.found.unwrap_or_default())
    }

    fn new(
        knapsack: &'a Knapsack,
        room: Room,
        part: impl Fn(&Kind) -> bool,
        budget: &'a Budget<'a>,
    ) -> Result<Walk<'a>, Doubt> {
        if !knapsack.adds_up(room.length) {
            return Err(Doubt::Senseless);
        }
        let fits = |kind: &Kind| kind.demand > 0 && kind.length <= room.length && part(kind);
        let all = (0_u32..).zip(knapsack.kinds().iter().copied());
        let mut kinds: Vec<(u32, Kind)> = all.filter(|(_, kind)| fits(kind)).collect();
        kinds.sort_by_key(|(_, kind)| std::cmp::Reverse(kind.length));
        Ok(Walk {
            table: Table::new(knapsack, &kinds, room, budget)?,
            kinds,
            waste: room.waste,
            taken: vec![0; knapsack.kinds().len()],
            held: vec![0; knapsack.charges().len()],
            chosen: Vec::new(),
            over: 0,
            found: None,
            size: 0,
            knapsack,
            budget,
        })
    }

    /// All ways to go on from a row that may come to something that counts.
    fn from(&mut self, row: usize, room: i64, value: i64) -> Result<(), Doubt> {
        if self.chosen.len() > MOST_KINDS {
            return Err(Doubt::Endless);
        }
        if value > self.over && room <= self.waste {
            self.counts(value)?;
        }
        let knapsack = self.knapsack;
        for row in row..self.kinds.len() {
            if value.saturating_add(self.table.promise(row, room)) <= self.over {
                break;
            }
            let Some(&(number, kind)) = self.kinds.get(row) else { break };
            let others = knapsack.apart(number);
            self.budget.spend(1 + others.len() as u64)?;
            let free = others.iter().all(|&o| o == number || self.taken(o) == 0);
            let most = if free { knapsack.allows(number, room) } else { 0 };
            for times in (1..=most).rev() {
                let count = i64::try_from(times).unwrap_or(i64::MAX);
                let (left, with) = (room - kind.length * count, value + kind.value * count);
                if with.saturating_add(self.table.promise(row + 1, left)) > self.over {
                    let charge = self.take(number, times)?;
                    self.from(row + 1, left, with - charge)?;
                    self.put_back(number, times);
                }
            }
        }
        Ok(())
    }

    /// Notes what is chosen.
    fn counts(&mut self, value: i64) -> Result<(), Doubt> {
        let Some(found) = &mut self.found else {
            self.over = value;
            return Ok(());
        };
        self.size += size(&self.chosen);
        if self.size > HELD {
            return Err(Doubt::Endless);
        }
        let mut pattern = self.chosen.clone();
        pattern.sort_unstable();
        found.push(pattern);
        self.budget.spend(self.chosen.len() as u64)
    }

    fn taken(&self, number: u32) -> u64 {
        self.taken.get(number as usize).copied().unwrap_or(0)
    }

    /// Takes so many of a kind; what that is charged.
    fn take(&mut self, number: u32, times: u64) -> Result<i64, Doubt> {
        self.chosen.push((number, times));
        if let Some(taken) = self.taken.get_mut(number as usize) {
            *taken += times;
        }
        let mut charge = 0;
        let threes = self.knapsack.threes_of(number);
        self.budget.spend(threes.len() as u64)?;
        for &three in threes {
            let Some(held) = self.held.get_mut(three) else { continue };
            let before = *held / 2;
            *held += times;
            let more = i64::try_from(*held / 2 - before).unwrap_or(i64::MAX);
            charge += self.knapsack.charges().get(three).copied().unwrap_or(0) * more;
        }
        Ok(charge)
    }

    fn put_back(&mut self, number: u32, times: u64) {
        self.chosen.pop();
        if let Some(taken) = self.taken.get_mut(number as usize) {
            *taken -= times;
        }
        for &three in self.knapsack.threes_of(number) {
            if let Some(held) = self.held.get_mut(three) {
                *held -= times;
            }
        }
    }
}

/// How many numbers a pattern takes up.
pub fn size(pattern: &Pattern) -> usize {
    pattern.len() + 3
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    struct Roll(u64);

    impl Roll {
        fn below(&mut self, n: u64) -> u64 {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (self.0 >> 33) % n
        }
    }

    struct Tried {
        kinds: Vec<Kind>,
        apart: BTreeSet<(u32, u32)>,
        threes: Vec<([u32; 3], i64)>,
        room: Room,
    }

    /// Up to five kinds, some apart, some charged; lengths in so many units.
    fn random(roll: &mut Roll, unit: i64) -> Tried {
        let count = 3 + roll.below(3);
        let kinds = (0..count)
            .map(|_| Kind {
                length: unit * (1 + roll.below(14) as i64),
                demand: roll.below(4) + roll.below(12) / 11 * 9,
                value: roll.below(20) as i64,
            })
            .collect();
        let pair = |roll: &mut Roll| {
            let (a, b) = (roll.below(count) as u32, roll.below(count) as u32);
            (a.min(b), a.max(b))
        };
        let apart = (0..roll.below(3)).map(|_| pair(roll)).collect();
        let threes =
            (0..roll.below(3)).map(|n| ([0, 1, 2 + (n % (count - 2)) as u32], 5)).collect();
        let length = unit * (5 + roll.below(26) as i64);
        let waste = [0, unit * roll.below(4) as i64, i64::MAX][roll.below(3) as usize];
        Tried { kinds, apart, threes, room: Room { length, waste } }
    }

    /// Every pattern with its worth, by trying all of them.
    fn every(tried: &Tried) -> Vec<(Pattern, i64)> {
        let Tried { kinds, apart, threes, room } = tried;
        let mut counts = vec![0_u64; kinds.len()];
        let mut all = Vec::new();
        loop {
            let sum = |of: &dyn Fn(&Kind) -> i64| -> i64 {
                kinds.iter().zip(&counts).map(|(kind, &n)| of(kind) * n as i64).sum()
            };
            let left = room.length - sum(&|kind| kind.length);
            let free = apart.iter().all(|&(a, b)| match a == b {
                true => counts[a as usize] < 2,
                false => counts[a as usize] == 0 || counts[b as usize] == 0,
            });
            if left >= 0 && left <= room.waste && free {
                let held =
                    |three: &[u32; 3]| three.iter().map(|&k| counts[k as usize]).sum::<u64>();
                let charged: i64 = threes.iter().map(|(t, c)| (held(t) / 2) as i64 * c).sum();
                let pattern = (0..).zip(counts.clone()).filter(|(_, n)| *n > 0).collect();
                all.push((pattern, sum(&|kind| kind.value) - charged));
            }
            let Some(next) = (0..kinds.len()).find(|&k| counts[k] < kinds[k].demand) else {
                return all;
            };
            counts[next] += 1;
            counts[..next].fill(0);
        }
    }

    #[test]
    fn more_kinds_in_a_stock_than_calls_can_be_deep_are_given_up() {
        let most = |count: i64| {
            let kinds = (1..=count).map(|length| Kind { length, demand: 1, value: 1 }).collect();
            let knapsack = Knapsack::new(kinds, &BTreeSet::new(), &[]).unwrap();
            let room = Room { length: count * (count + 1) / 2, waste: 0 };
            Walk::most(&knapsack, room, 0, &Budget::new(&|| false))
        };
        let fit = i64::try_from(MOST_KINDS).unwrap();
        assert_eq!(most(fit), Ok(fit));
        assert_eq!(most(fit + 1), Err(Doubt::Endless));
    }

    /// The longest stock is more than the table tells apart when a unit is so long.
    const LONG: i64 = 400_003;

    #[test]
    fn the_most_and_the_list_are_those_of_every_pattern() {
        let mut roll = Roll(7);
        let mut nothing = 0;
        for case in 0..900 {
            let tried = random(&mut roll, if case % 150 == 0 { LONG } else { 1 });
            let all = every(&tried);
            let knapsack = Knapsack::new(tried.kinds.clone(), &tried.apart, &tried.threes).unwrap();
            let budget = Budget::new(&|| false);
            let most = all.iter().map(|(_, worth)| *worth).max();
            nothing += usize::from(most.is_none());
            let most = most.map_or(0, |most| most.max(0));
            assert_eq!(Walk::most(&knapsack, tried.room, 0, &budget), Ok(most), "case {case}");
            let least = most / 2;
            let mut listed = Walk::list(&knapsack, tried.room, least, &budget).unwrap();
            listed.sort();
            let mut worth_so_much: Vec<Pattern> =
                all.into_iter().filter(|(_, worth)| *worth >= least).map(|(p, _)| p).collect();
            worth_so_much.sort();
            assert_eq!(listed, worth_so_much, "case {case}");
        }
        assert!(nothing > 50, "{nothing}");
    }
}
