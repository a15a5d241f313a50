//! Filling a stretch of strip as far as it goes: of a coil, or before a defect.

use crate::quantity::Length;

/// Buckets of the filling problem.
const BUCKETS: usize = 4096;

/// Which of these lengths together come nearest to `room` without passing it. Lengths are
/// rounded up to buckets, so the answer always fits.
pub fn best_subset(lengths: &[Length], room: Length) -> Vec<bool> {
    let quantum = (room.nm() / i64::try_from(BUCKETS).unwrap_or(1)).max(1);
    let size = usize::try_from(room.nm() / quantum).unwrap_or(0);
    let buckets: Vec<usize> = lengths
        .iter()
        .map(|l| {
            usize::try_from(l.nm().div_euclid(quantum) + i64::from(l.nm() % quantum != 0))
                .unwrap_or(usize::MAX)
        })
        .collect();
    // via[s] = the item that first reached sum s.
    let mut via: Vec<Option<usize>> = vec![None; size + 1];
    let mut reached = vec![false; size + 1];
    if let Some(origin) = reached.first_mut() {
        *origin = true;
    }
    for (item, &weight) in buckets.iter().enumerate() {
        if weight > size {
            continue;
        }
        for sum in (weight..=size).rev() {
            let from = reached.get(sum - weight).copied().unwrap_or(false);
            if !from || reached.get(sum) != Some(&false) {
                continue;
            }
            if let (Some(r), Some(v)) = (reached.get_mut(sum), via.get_mut(sum)) {
                *r = true;
                *v = Some(item);
            }
        }
    }
    let mut chosen = vec![false; lengths.len()];
    let mut sum = reached.iter().rposition(|&r| r).unwrap_or(0);
    while let Some(item) = via.get(sum).copied().flatten() {
        if let Some(flag) = chosen.get_mut(item) {
            *flag = true;
        }
        sum -= buckets.get(item).copied().unwrap_or(sum);
    }
    chosen
}

#[cfg(test)]
mod tests {
    use super::*;

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
