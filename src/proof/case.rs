use super::knapsack::{Kind, Knapsack};
use super::walk::size;
use super::{Doubt, Piece};
use std::collections::BTreeSet;

/// Pieces by number and how many of each, ascending.
pub type Pattern = Vec<(u32, u64)>;

/// What a plan looks like in one case: pieces by number, some of them joined, and pairs that no
/// stock holds both of.
#[derive(Clone, Debug)]
pub struct Case {
    /// Every pattern that can be in a plan, where they were listed: pieces by number and how many,
    /// ascending.
    pub list: Option<Vec<Pattern>>,
    pieces: Vec<Piece>,
    apart: BTreeSet<(u32, u32)>,
}

fn ordered((a, b): (u32, u32)) -> (u32, u32) {
    (a.min(b), a.max(b))
}

impl Case {
    pub fn new(pieces: &[Piece]) -> Case {
        Case { list: None, pieces: pieces.to_vec(), apart: BTreeSet::new() }
    }

    pub fn material(&self) -> i128 {
        self.pieces.iter().map(|p| i128::from(p.length) * i128::from(p.demand)).sum()
    }

    /// How many pieces there are.
    pub fn pieces(&self) -> u64 {
        self.pieces.iter().fold(0, |sum, piece| sum.saturating_add(piece.demand))
    }

    /// How many numbers it holds.
    pub fn size(&self) -> usize {
        let list: usize = self.list.iter().flatten().map(size).sum();
        self.pieces.len() + self.apart.len() + list
    }

    /// Steps of making the cases below.
    pub fn effort(&self) -> u64 {
        let one = |pattern: &Pattern| (pattern.len() * pattern.len() + 8) as u64;
        let list: u64 = self.list.iter().flatten().map(one).sum();
        (self.pieces.len() + self.apart.len() * 4) as u64 + list
    }

    fn known(&self, pair: (u32, u32)) -> Result<(), Doubt> {
        let there = |number: u32, times: u64| {
            self.pieces.get(number as usize).is_some_and(|piece| piece.demand >= times)
        };
        let times = if pair.0 == pair.1 { 2 } else { 1 };
        if there(pair.0, times) && there(pair.1, times) { Ok(()) } else { Err(Doubt::Senseless) }
    }

    /// Some stock holds one of each: they are one piece, which is apart from all that either of
    /// them is apart from.
    pub fn joined(&self, pair: (u32, u32)) -> Result<Case, Doubt> {
        self.known(pair)?;
        let mut case = Case { list: None, pieces: self.pieces.clone(), apart: self.apart.clone() };
        let mut length = 0_i64;
        for number in [pair.0, pair.1] {
            let piece = case.pieces.get_mut(number as usize).ok_or(Doubt::Senseless)?;
            piece.demand -= 1;
            length = length.checked_add(piece.length).ok_or(Doubt::Senseless)?;
        }
        let new = u32::try_from(case.pieces.len()).map_err(|_| Doubt::Senseless)?;
        case.pieces.push(Piece { length, demand: 1 });
        for &(a, b) in &self.apart {
            for number in [pair.0, pair.1] {
                if a == number {
                    case.apart.insert(ordered((b, new)));
                }
                if b == number {
                    case.apart.insert(ordered((a, new)));
                }
            }
        }
        // No two patterns become the same: what is joined is told by its number.
        let ways = |pattern: &Pattern| {
            let both = with_joined(pattern, pair, new).filter(|pattern| case.allows(pattern));
            let same = case.allows(pattern).then(|| pattern.clone());
            [same, both].into_iter().flatten()
        };
        case.list = self.list.as_ref().map(|list| list.iter().flat_map(ways).collect());
        Ok(case)
    }

    /// Whether a pattern holds no more than is wanted, and no pieces that are apart.
    fn allows(&self, pattern: &Pattern) -> bool {
        let wanted = |number: u32| self.pieces.get(number as usize).map_or(0, |piece| piece.demand);
        pattern.iter().enumerate().all(|(place, &(a, times))| {
            times <= wanted(a)
                && (times < 2 || !self.apart.contains(&(a, a)))
                && pattern.iter().skip(place + 1).all(|&(b, _)| !self.apart.contains(&(a, b)))
        })
    }

    /// No stock holds both.
    pub fn parted(mut self, pair: (u32, u32)) -> Result<Case, Doubt> {
        self.known(pair)?;
        self.apart.insert(ordered(pair));
        let list = self.list.take();
        self.list = list.map(|list| list.into_iter().filter(|p| self.allows(p)).collect());
        Ok(self)
    }

    /// The knapsack of a stock, with these worths and charges.
    pub fn valued(
        &self,
        values: &[(u32, i64)],
        threes: &[([u32; 3], i64)],
    ) -> Result<Knapsack, Doubt> {
        let mut kinds: Vec<Kind> = self
            .pieces
            .iter()
            .map(|piece| Kind { length: piece.length, demand: piece.demand, value: 0 })
            .collect();
        let mut told = BTreeSet::new();
        for &(number, value) in values {
            let kind = kinds.get_mut(number as usize).ok_or(Doubt::Senseless)?;
            if value < 0 || !told.insert(number) {
                return Err(Doubt::Senseless);
            }
            kind.value = value;
        }
        for &([a, b, c], charge) in threes {
            let there = [a, b, c].iter().all(|&number| (number as usize) < kinds.len());
            if charge < 0 || !there || a == b || b == c || a == c {
                return Err(Doubt::Senseless);
            }
        }
        Knapsack::new(kinds, &self.apart, threes)
    }
}

/// A pattern that holds both of a pair, with the joined piece in their place.
fn with_joined(pattern: &Pattern, pair: (u32, u32), new: u32) -> Option<Pattern> {
    let mut pattern = pattern.clone();
    for number in [pair.0, pair.1] {
        let (_, times) = pattern.iter_mut().find(|(known, _)| *known == number)?;
        *times = times.checked_sub(1)?;
    }
    pattern.retain(|&(_, times)| times > 0);
    // It has the highest number so far.
    pattern.push((new, 1));
    Some(pattern)
}
