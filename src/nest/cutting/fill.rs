use super::problem::Item;
use super::solution::Pieces;
use super::work::Work;
use crate::quantity::common_divisor;

/// Most sums that are told apart; beyond that lengths are rounded up to a coarser quantum.
const SUMS: i64 = 20_000;

/// Not reached.
const NONE: u32 = u32::MAX;

/// Which of these pieces together come nearest to `room` without passing it: exact where lengths
/// have few enough common steps, and never too long. `None` when work is over.
pub fn fullest(items: &[Item], room: i64, work: &Work<'_>) -> Option<Pieces> {
    let fitting: Vec<(u32, Item)> = (0_u32..)
        .zip(items.iter().copied())
        .filter(|(_, item)| item.demand > 0 && item.length <= room)
        .collect();
    let Some((_, last)) = fitting.last() else { return Some(Vec::new()) };
    let common =
        fitting.iter().fold(0, |common, (_, item)| common_divisor(common, item.length)).max(1);
    let quantum = if room / common > SUMS { room / SUMS + 1 } else { common };
    let size = usize::try_from(room / quantum).ok()?;
    // All of them fit.
    let total: i128 =
        fitting.iter().map(|(_, i)| i128::from(i.length) * i128::from(i.demand)).sum();
    if total <= i128::from(room) || last.length > room {
        return Some(
            fitting
                .iter()
                .map(|&(index, item)| (index, u32::try_from(item.demand).unwrap_or(u32::MAX)))
                .collect(),
        );
    }
    // Which of them made each sum first, longest first: one table is enough, since a sum once
    // made is never made again.
    let mut sums = Sums::new(size);
    let mut weights = Vec::with_capacity(fitting.len());
    for (number, (_, item)) in (0_u32..).zip(&fitting) {
        let weight = usize::try_from((item.length + quantum - 1) / quantum).ok()?.max(1);
        weights.push(weight);
        if sums.best == size {
            continue;
        }
        if work.over() {
            return None;
        }
        work.spend(size as u64 * 2);
        sums.add(number, weight, item.demand);
    }
    let Sums { made, mut best, .. } = sums;
    let mut pieces: Pieces = Vec::new();
    while best > 0 {
        let number = made.get(best).copied()? as usize;
        let (index, _) = fitting.get(number)?;
        best -= weights.get(number)?;
        match pieces.last_mut() {
            Some((last, count)) if last == index => *count += 1,
            _ => pieces.push((*index, 1)),
        }
    }
    pieces.sort_unstable();
    Some(pieces)
}

/// The sums up to a size that pieces make, as bits.
struct Sums {
    /// One bit a sum, nought among them.
    reached: Vec<u64>,
    /// Which of the pieces made each first.
    made: Vec<u32>,
    /// The greatest.
    best: usize,
    /// Bits that came with the last copy of a piece, and with the one before.
    new: Vec<u64>,
    old: Vec<u64>,
}

impl Sums {
    fn new(size: usize) -> Sums {
        let words = size / 64 + 1;
        let mut reached = vec![0; words];
        if let Some(first) = reached.first_mut() {
            *first = 1;
        }
        let none = vec![0; words];
        Sums { reached, made: vec![NONE; size + 1], best: 0, new: none.clone(), old: none }
    }

    /// With up to `copies` pieces of this weight besides: sums that come with a copy are those
    /// that came with the one before, moved on, and not known yet.
    fn add(&mut self, number: u32, weight: usize, copies: u64) {
        self.old.clone_from(&self.reached);
        // Nothing lies above the greatest sum that came with the copy before.
        let mut top = self.best;
        for _ in 0..copies {
            let Some(found) = self.copy(number, weight, top) else { return };
            self.best = self.best.max(found);
            top = found;
            std::mem::swap(&mut self.old, &mut self.new);
        }
    }

    /// One more copy of a piece; the greatest sum that comes with it.
    fn copy(&mut self, number: u32, weight: usize, top: usize) -> Option<usize> {
        let (words, bits) = (weight / 64, weight % 64);
        let most = self.made.len() - 1;
        let last = ((top + weight).min(most)) / 64;
        self.new.fill(0);
        let mut greatest = None;
        for place in words..=last {
            let at = |place: usize| self.old.get(place).copied().unwrap_or(0);
            let below = match (bits, (place - words).checked_sub(1)) {
                (0, _) | (_, None) => 0,
                (_, Some(below)) => at(below) >> (64 - bits),
            };
            let moved = at(place - words) << bits | below;
            let Some((reached, new)) = self.reached.get_mut(place).zip(self.new.get_mut(place))
            else {
                continue;
            };
            let mut fresh = moved & !*reached;
            while fresh != 0 {
                let bit = fresh.trailing_zeros() as usize;
                fresh &= fresh - 1;
                // The last word has bits beyond the size.
                let Some(slot) = self.made.get_mut(place * 64 + bit) else { break };
                *slot = number;
                *reached |= 1 << bit;
                *new |= 1 << bit;
                greatest = Some(place * 64 + bit);
            }
        }
        greatest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_full_as_trying_everything() {
        let mut seed = 11_u64;
        let mut roll = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) % n
        };
        for _ in 0..400 {
            let kinds = 1 + roll(4) as usize;
            let mut items: Vec<Item> = (0..kinds)
                .map(|_| Item { length: 1 + roll(40) as i64, demand: 1 + roll(3) })
                .collect();
            items.sort_by_key(|item| -item.length);
            let room = roll(120) as i64;
            let mut best = 0;
            let mut counts = vec![0_u64; kinds];
            loop {
                let sum: i64 = items.iter().zip(&counts).map(|(i, &c)| i.length * c as i64).sum();
                if sum <= room {
                    best = best.max(sum);
                }
                let next = counts.iter().zip(&items).position(|(&c, item)| c < item.demand);
                let Some(next) = next else { break };
                counts[next] += 1;
                counts[..next].fill(0);
            }
            let pieces = fullest(&items, room, &Work::new(u64::MAX, &|| false)).unwrap();
            let sum: i64 =
                pieces.iter().map(|&(i, c)| items[i as usize].length * i64::from(c)).sum();
            assert!(pieces.iter().all(|&(i, c)| u64::from(c) <= items[i as usize].demand));
            assert_eq!(sum, best, "{items:?} in {room}");
        }
    }
}
