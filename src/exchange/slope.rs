//! Slopes of figures that were rounded.

/// Longest term of a slope, as the language has it.
const LONGEST: i128 = 1_000_000;

/// The fraction of the least terms that `over / under` may stand for where `over` may be `off` by
/// so much, its second term above nought: convergents of the continued fraction. `None` where only
/// terms of more than a million do.
pub(super) fn simplest(over: i128, under: i128, off: i128) -> Option<(i128, i128)> {
    let (sign, mut a, mut b) = (over.signum() * under.signum(), over.abs(), under.abs());
    let (whole_over, whole_under) = (a, b);
    let (mut p, mut q, mut last_p, mut last_q) = (1_i128, 0_i128, 0_i128, 1_i128);
    while b != 0 {
        let part = a / b;
        if part > LONGEST {
            return None;
        }
        (p, last_p) = (part * p + last_p, p);
        (q, last_q) = (part * q + last_q, q);
        if p > LONGEST || q > LONGEST {
            return None;
        }
        // |p/q − over/under| times both denominators.
        if (p * whole_under - q * whole_over).abs() <= off.checked_mul(q)? {
            return Some((sign * p, q));
        }
        (a, b) = (b, a % b);
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_are_the_simplest_that_are_meant() {
        assert_eq!(simplest(4, 12, 0), Some((1, 3)));
        assert_eq!(simplest(-316_228, 948_683, 9), Some((-1, 3)));
        assert_eq!(simplest(0, 5, 0), Some((0, 1)));
        assert_eq!(simplest(414_213_562, -1_000_000_000, 10_000), Some((-169, 408)));
        // 29.667 on a web of 89, to the last place.
        assert_eq!(simplest(29_667, 89_000, 1), Some((1, 3)));
        assert_eq!(simplest(29_667, 89_000, 0), Some((29_667, 89_000)));
        assert_eq!(simplest(5, 0, 1), None);
        assert_eq!(simplest(1, 3_000_001, 0), None);
    }
}
