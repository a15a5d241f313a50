//! Weighted least squares in exact fractions: nothing is rounded before the end.
//!
//! Readings y = A p + e with variances on the diagonal; the estimate solves AᵀWA p = AᵀWy with
//! W the inverse variances, and (AᵀWA)⁻¹ is the covariance of p. Common practice in adjusting
//! measurements, no source.

use num_rational::BigRational;
use num_traits::{One, Signed, Zero};

/// An exact fraction of any size.
pub(super) type Fraction = BigRational;

/// One reading as an equation.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// What it reads more than it should.
    pub excess: Fraction,
    /// Causes that show in it, each with how much of it shows; no cause twice.
    pub terms: Vec<(usize, Fraction)>,
    /// Variance; above nought.
    pub variance: Fraction,
}

/// What fits a set of readings best.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    /// By cause; nought for those that were not free.
    pub estimate: Vec<Fraction>,
    /// Variance of each estimate.
    pub variance: Vec<Fraction>,
    /// By reading: what is left of its excess.
    pub residuals: Vec<Fraction>,
    /// By reading: how much of an error in it would show in its own residual, 0 to 1.
    pub redundancy: Vec<Fraction>,
    /// By reading: how much of an error in it goes into each cause.
    pub gain: Vec<Vec<Fraction>>,
    /// Sum of squared residuals over their variances.
    pub misfit: Fraction,
}

/// The best fit by the causes in `free`, the others held at nought. On `Err`, those of them that
/// these readings cannot tell from each other.
pub(super) fn solve(rows: &[Row], causes: usize, free: &[usize]) -> Result<Fit, Vec<usize>> {
    let mut normal = vec![vec![Fraction::zero(); free.len()]; free.len()];
    let mut right = vec![Fraction::zero(); free.len()];
    let terms: Vec<Vec<(usize, &Fraction)>> = rows
        .iter()
        .map(|row| {
            let place = |cause: &usize| free.iter().position(|f| f == cause);
            row.terms.iter().filter_map(|(cause, share)| Some((place(cause)?, share))).collect()
        })
        .collect();
    for (row, terms) in rows.iter().zip(&terms) {
        for (i, share) in terms {
            let weighted = *share / &row.variance;
            for (j, other) in terms {
                if let Some(cell) = normal.get_mut(*i).and_then(|line| line.get_mut(*j)) {
                    *cell += &weighted * *other;
                }
            }
            if let Some(cell) = right.get_mut(*i) {
                *cell += &weighted * &row.excess;
            }
        }
    }
    let covariance = inverse(normal).map_err(|places| {
        places.into_iter().filter_map(|place| free.get(place).copied()).collect::<Vec<_>>()
    })?;
    let at = |i: usize, j: usize| -> Fraction {
        covariance.get(i).and_then(|line| line.get(j)).cloned().unwrap_or_else(Fraction::zero)
    };
    let solution: Vec<Fraction> = covariance.iter().map(|line| dot(line, &right)).collect();
    let spread = |values: Vec<Fraction>| {
        let mut all = vec![Fraction::zero(); causes];
        for (cause, value) in free.iter().zip(values) {
            if let Some(slot) = all.get_mut(*cause) {
                *slot = value;
            }
        }
        all
    };
    let (mut residuals, mut redundancy, mut gain) = (Vec::new(), Vec::new(), Vec::new());
    let mut misfit = Fraction::zero();
    for (row, terms) in rows.iter().zip(&terms) {
        let mut residual = row.excess.clone();
        let mut leverage = Fraction::zero();
        for (i, share) in terms {
            if let Some(value) = solution.get(*i) {
                residual -= *share * value;
            }
            for (j, other) in terms {
                leverage += at(*i, *j) * *share * *other / &row.variance;
            }
        }
        let into = (0..free.len())
            .map(|i| terms.iter().map(|(j, share)| at(i, *j) * *share / &row.variance).sum())
            .collect();
        misfit += &residual * &residual / &row.variance;
        residuals.push(residual);
        redundancy.push(Fraction::one() - leverage);
        gain.push(spread(into));
    }
    let variance = spread((0..free.len()).map(|i| at(i, i)).collect());
    Ok(Fit { estimate: spread(solution), variance, residuals, redundancy, gain, misfit })
}

fn dot(a: &[Fraction], b: &[Fraction]) -> Fraction {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The inverse of a symmetric matrix by elimination; of a singular one, the places that take part
/// in what it cannot tell.
fn inverse(matrix: Vec<Vec<Fraction>>) -> Result<Vec<Vec<Fraction>>, Vec<usize>> {
    let size = matrix.len();
    let mut lines: Vec<Vec<Fraction>> = matrix
        .into_iter()
        .enumerate()
        .map(|(i, mut line)| {
            line.extend((0..size).map(|j| if i == j { Fraction::one() } else { Fraction::zero() }));
            line
        })
        .collect();
    let cell = |line: &[Fraction], column: usize| line.get(column).cloned().unwrap_or_default();
    let (mut done, mut without) = (Vec::new(), Vec::new());
    let mut next = 0;
    for column in 0..size {
        let pivot =
            (next..size).find(|&i| lines.get(i).is_some_and(|line| !cell(line, column).is_zero()));
        let Some(pivot) = pivot else {
            without.push(column);
            continue;
        };
        lines.swap(next, pivot);
        let Some(line) = lines.get_mut(next) else { break };
        let by = cell(line, column);
        line.iter_mut().for_each(|value| *value /= &by);
        let line = line.clone();
        for (i, other) in lines.iter_mut().enumerate() {
            let by = cell(other, column);
            if i != next && !by.is_zero() {
                other.iter_mut().zip(&line).for_each(|(value, part)| *value -= &by * part);
            }
        }
        done.push(column);
        next += 1;
    }
    if without.is_empty() {
        return Ok(lines.into_iter().map(|line| line.into_iter().skip(size).collect()).collect());
    }
    let takes_part = |(line, _): &(&Vec<Fraction>, &usize)| {
        without.iter().any(|&column| !cell(line, column).is_zero())
    };
    let mut open: Vec<usize> =
        lines.iter().zip(&done).filter(takes_part).map(|(_, column)| *column).collect();
    open.extend(without);
    open.sort_unstable();
    Err(open)
}

/// Whether |value| is above `times` standard deviations.
pub(super) fn beyond(value: &Fraction, times: &Fraction, variance: &Fraction) -> bool {
    value * value > times * times * variance
}

/// The square root, rounded up to a whole number.
pub(super) fn root_up(value: &Fraction) -> num_bigint::BigInt {
    if !value.is_positive() {
        return num_bigint::BigInt::zero();
    }
    // ⌈√(n/d)⌉ = ⌈√⌈n/d⌉⌉ for whole results.
    let whole = value.ceil().to_integer();
    let root = whole.sqrt();
    if &root * &root < whole { root + 1 } else { root }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn f(n: i64, d: i64) -> Fraction {
        Fraction::new(n.into(), d.into())
    }
    fn row(excess: i64, terms: &[(usize, i64)], variance: i64) -> Row {
        Row {
            excess: f(excess, 1),
            terms: terms.iter().map(|&(cause, share)| (cause, f(share, 1))).collect(),
            variance: f(variance, 1),
        }
    }

    /// By hand (common practice, no source): readings 3, 5 and 10 of a + b·x at x = 0, 1, 2, with
    /// variances 1, 1, 4.
    ///
    /// Weights 1, 1, 1/4. AᵀWA = [[9/4, 3/2], [3/2, 2]]; AᵀWy = [3 + 5 + 10/4, 5 + 20/4] =
    /// [21/2, 10]. Determinant 9/4·2 − 9/4 = 9/4, inverse 4/9·[[2, −3/2], [−3/2, 9/4]].
    /// a = 4/9·(21 − 15) = 8/3; b = 4/9·(−63/4 + 45/2) = 4/9·27/4 = 3.
    /// Residuals 3 − 8/3 = 1/3; 5 − 17/3 = −2/3; 10 − 26/3 = 4/3.
    /// Misfit 1/9 + 4/9 + 16/9/4 = 1. Variances 8/9 and 1.
    /// Leverages 1·8/9; (8/9 − 2·2/3 + 1) = 5/9; (8/9 − 4·2/3 + 4)/4 = 5/9: together 2, the
    /// number of causes.
    #[test]
    fn a_line_through_three_points_by_hand() {
        let rows =
            [row(3, &[(0, 1)], 1), row(5, &[(0, 1), (1, 1)], 1), row(10, &[(0, 1), (1, 2)], 4)];
        let fit = solve(&rows, 2, &[0, 1]).unwrap();
        assert_eq!(fit.estimate, [f(8, 3), f(3, 1)]);
        assert_eq!(fit.variance, [f(8, 9), f(1, 1)]);
        assert_eq!(fit.residuals, [f(1, 3), f(-2, 3), f(4, 3)]);
        assert_eq!(fit.redundancy, [f(1, 9), f(4, 9), f(4, 9)]);
        assert_eq!(fit.misfit, f(1, 1));
        // What an error in a reading adds to the estimates, and takes from its own residual.
        assert_eq!(fit.gain[0], [f(8, 9), f(-2, 3)]);
    }

    #[test]
    fn causes_that_are_not_free_stay_at_nought() {
        let rows = [row(3, &[(0, 1)], 1), row(5, &[(0, 1), (1, 1)], 1)];
        let fit = solve(&rows, 2, &[0]).unwrap();
        assert_eq!(fit.estimate, [f(4, 1), f(0, 1)]);
        assert_eq!(fit.misfit, f(2, 1));
    }

    #[test]
    fn says_what_cannot_be_told_apart() {
        // 0 and 2 show only together; 1 shows alone.
        let rows =
            [row(1, &[(0, 2), (2, 2)], 1), row(2, &[(0, 1), (2, 1)], 1), row(3, &[(1, 1)], 1)];
        assert_eq!(solve(&rows, 3, &[0, 1, 2]).unwrap_err(), [0, 2]);
        // A cause that never shows.
        assert_eq!(solve(&rows[2..], 2, &[0, 1]).unwrap_err(), [0]);
        assert!(solve(&rows, 3, &[0, 1]).is_ok());
    }

    #[test]
    fn roots_are_rounded_up() {
        let root = |n, d| root_up(&f(n, d));
        assert_eq!(
            [root(9, 1), root(10, 1), root(81, 10), root(1, 100)],
            [3.into(), 4.into(), 3.into(), 1.into()]
        );
        assert_eq!(root(-1, 1), 0.into());
        assert!(beyond(&f(-7, 2), &f(3, 1), &f(1, 1)) && !beyond(&f(3, 1), &f(3, 1), &f(1, 1)));
    }
}
