//! Filling a stretch of strip as far as it goes: of a coil, or before a defect.

use crate::quantity::{Length, common_divisor};

/// Buckets of the filling problem.
const BUCKETS: usize = 4096;

/// A set of sums, one bit a bucket.
type Sums = [u64; BUCKETS / 64 + 1];

/// `sums` and the same moved up by `weight`.
fn with(sums: &Sums, weight: usize) -> Sums {
    let (words, bits) = (weight / 64, weight % 64);
    let mut result = *sums;
    for (i, word) in result.iter_mut().enumerate().skip(words) {
        let from = |j: usize| sums.get(j).copied().unwrap_or(0);
        *word |= from(i - words) << bits;
        if bits > 0 && i > words {
            *word |= from(i - words - 1) >> (64 - bits);
        }
    }
    result
}

fn has(sums: &Sums, sum: usize) -> bool {
    sums.get(sum / 64).is_some_and(|word| word & (1 << (sum % 64)) != 0)
}

/// Which of these lengths together come nearest to `room` without passing it. Lengths are
/// rounded up to buckets, so the answer always fits.
pub fn best_subset(lengths: &[Length], room: Length) -> Vec<bool> {
    let mut chosen = vec![false; lengths.len()];
    if room <= Length::ZERO {
        return chosen;
    }
    let buckets = i64::try_from(BUCKETS).unwrap_or(1);
    // Where the lengths are whole multiples of something coarse nothing is rounded.
    let common = lengths.iter().fold(0, |common, length| common_divisor(common, length.nm().abs()));
    let quantum = ((room.nm() + buckets - 1) / buckets).max(common);
    let size = usize::try_from(room.nm() / quantum).unwrap_or(0).min(BUCKETS);
    let weights: Vec<usize> = lengths
        .iter()
        .map(|l| usize::try_from(-(-l.nm()).div_euclid(quantum)).unwrap_or(usize::MAX))
        .collect();
    let mut none: Sums = [0; BUCKETS / 64 + 1];
    if let Some(first) = none.first_mut() {
        *first = 1;
    }
    // What can be reached with the first so many lengths.
    let mut reached: Vec<Sums> = Vec::with_capacity(lengths.len() + 1);
    reached.push(none);
    for &weight in &weights {
        let before = reached.last().copied().unwrap_or(none);
        reached.push(if weight > size { before } else { with(&before, weight) });
    }
    let Some(mut sum) = reached.last().and_then(|all| (0..=size).rev().find(|&s| has(all, s)))
    else {
        return chosen;
    };
    for (i, &weight) in weights.iter().enumerate().rev() {
        let without = reached.get(i).is_some_and(|sums| has(sums, sum));
        if !without {
            if let Some(flag) = chosen.get_mut(i) {
                *flag = true;
            }
            sum -= weight.min(sum);
        }
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_good_as_trying_every_subset() {
        // Lengths that are whole buckets: nothing is lost to rounding.
        let mut seed = 7_u64;
        let mut roll = |n: u64| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (seed >> 33) % n
        };
        for _ in 0..300 {
            let count = roll(10) as usize;
            let lengths: Vec<Length> =
                (0..count).map(|_| Length::from_mm(1 + roll(900) as i64)).collect();
            let room = Length::from_mm(4096);
            let sum = |set: u32| -> Length {
                lengths.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|(_, l)| *l).sum()
            };
            let best = (0..1_u32 << count).map(sum).filter(|s| *s <= room).max().unwrap();
            let chosen = best_subset(&lengths, room);
            let ours: Length =
                lengths.iter().zip(&chosen).filter(|(_, c)| **c).map(|(l, _)| *l).sum();
            assert_eq!(ours, best, "{lengths:?}");
        }
    }

    #[test]
    fn a_subset_fills_as_far_as_it_can() {
        let mm = Length::from_mm;
        let lengths = [mm(40), mm(35), mm(30), mm(25)];
        let chosen = best_subset(&lengths, mm(66));
        let sum: Length = lengths.iter().zip(&chosen).filter(|(_, c)| **c).map(|(l, _)| *l).sum();
        assert_eq!(sum, mm(65));
        assert!(best_subset(&lengths, mm(20)).iter().all(|c| !c));
        assert!(best_subset(&lengths, Length::ZERO).iter().all(|c| !c));
    }
}
