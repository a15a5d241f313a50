//! Shares of something that was spent for several at once. A head is cut for a whole run; what a
//! job bears of it is a convention (by its length of good pieces), but the shares add up.

/// Parts of `total` in proportion to `weights`, whole numbers that sum to `total` exactly. All to
/// the first where nothing has weight.
pub fn allot(total: i64, weights: &[i64]) -> Vec<i64> {
    let sum: i128 = weights.iter().map(|&w| i128::from(w.max(0))).sum();
    if sum == 0 {
        return weights.iter().enumerate().map(|(i, _)| if i == 0 { total } else { 0 }).collect();
    }
    let (mut reached, mut given) = (0_i128, 0_i128);
    weights
        .iter()
        .map(|&weight| {
            reached += i128::from(weight.max(0));
            // What all up to here shall have together, less what they have.
            let share = (i128::from(total) * reached).div_euclid(sum) - given;
            given += share;
            i64::try_from(share).unwrap_or(0)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_add_up_and_follow_the_weights() {
        assert_eq!(allot(10, &[1, 1, 1]), [3, 3, 4]);
        assert_eq!(allot(7, &[0, 0]), [7, 0]);
        assert_eq!(allot(100, &[3, 0, 1]), [75, 0, 25]);
        for total in [0, 1, 999, i64::MAX] {
            let shares = allot(total, &[5, 1_000_000_007, 3]);
            assert_eq!(shares.iter().map(|&s| i128::from(s)).sum::<i128>(), i128::from(total));
            assert!(shares.iter().all(|&share| share >= 0));
        }
        assert!(allot(5, &[]).is_empty());
    }
}
