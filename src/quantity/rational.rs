use super::Length;
use std::cmp::Ordering;
use std::fmt;

/// An exact fraction, in lowest terms, denominator positive. What the member language counts in.
///
/// Every operation is checked: a result that does not fit is `None`, and the caller says so where
/// the expression stands.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rational {
    numerator: i128,
    denominator: i128,
}

/// The greatest number that both are whole multiples of, whatever their signs; 0 where both are 0.
pub const fn common_divisor(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.abs()
}

fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a
}

impl Rational {
    /// Nought.
    pub const ZERO: Rational = Rational { numerator: 0, denominator: 1 };

    /// `numerator / denominator`; `None` when the denominator is nought or the value does not fit.
    pub fn new(numerator: i128, denominator: i128) -> Option<Rational> {
        if denominator == 0 {
            return None;
        }
        let divisor =
            i128::try_from(gcd(numerator.unsigned_abs(), denominator.unsigned_abs())).ok()?;
        let (n, d) = (numerator.checked_div(divisor)?, denominator.checked_div(divisor)?);
        if d < 0 {
            Some(Rational { numerator: n.checked_neg()?, denominator: d.checked_neg()? })
        } else {
            Some(Rational { numerator: n, denominator: d })
        }
    }
    /// A whole number.
    pub const fn whole(n: i64) -> Rational {
        Rational { numerator: n as i128, denominator: 1 }
    }
    /// Numerator in lowest terms.
    pub const fn numerator(self) -> i128 {
        self.numerator
    }
    /// Denominator in lowest terms, positive.
    pub const fn denominator(self) -> i128 {
        self.denominator
    }
    /// Sum.
    pub fn checked_add(self, other: Rational) -> Option<Rational> {
        Rational::new(
            self.numerator
                .checked_mul(other.denominator)?
                .checked_add(other.numerator.checked_mul(self.denominator)?)?,
            self.denominator.checked_mul(other.denominator)?,
        )
    }
    /// Difference.
    pub fn checked_sub(self, other: Rational) -> Option<Rational> {
        self.checked_add(other.checked_neg()?)
    }
    /// Product.
    pub fn checked_mul(self, other: Rational) -> Option<Rational> {
        Rational::new(
            self.numerator.checked_mul(other.numerator)?,
            self.denominator.checked_mul(other.denominator)?,
        )
    }
    /// Quotient; `None` also on division by nought.
    pub fn checked_div(self, other: Rational) -> Option<Rational> {
        Rational::new(
            self.numerator.checked_mul(other.denominator)?,
            self.denominator.checked_mul(other.numerator)?,
        )
    }
    /// Negation.
    pub fn checked_neg(self) -> Option<Rational> {
        Some(Rational { numerator: self.numerator.checked_neg()?, ..self })
    }
    /// The whole number at or below.
    pub fn floor(self) -> i128 {
        self.numerator.div_euclid(self.denominator)
    }
    /// The whole number at or above.
    pub fn ceil(self) -> i128 {
        let floor = self.floor();
        if self.denominator == 1 { floor } else { floor + 1 }
    }
    /// The multiple of `step` nearest to it, halves away from nought; `None` when `step` is not
    /// positive or the value does not fit.
    pub fn round_to(self, step: Rational) -> Option<Rational> {
        if step.numerator <= 0 {
            return None;
        }
        let steps = self.checked_div(step)?;
        let magnitude = Rational::new(steps.numerator.checked_abs()?, steps.denominator)?;
        let whole = magnitude.checked_add(Rational { numerator: 1, denominator: 2 })?.floor();
        Rational::new(whole.checked_mul(steps.numerator.signum())?, 1)?.checked_mul(step)
    }
    /// This many millimetres as a length; `None` when that is not a whole nanometre or is beyond
    /// the limit of 10 km.
    pub fn millimetres(self) -> Option<Length> {
        let nm = self.checked_mul(Rational::whole(1_000_000))?;
        if nm.denominator != 1 {
            return None;
        }
        let length = Length::from_nm(i64::try_from(nm.numerator).ok()?);
        (-Length::LIMIT <= length && length <= Length::LIMIT).then_some(length)
    }
}

impl Ord for Rational {
    fn cmp(&self, other: &Rational) -> Ordering {
        // Cross products may overflow; compare by continued fractions instead.
        let (mut a, mut b) =
            ((self.numerator, self.denominator), (other.numerator, other.denominator));
        let mut flipped = false;
        loop {
            let (qa, qb) = (a.0.div_euclid(a.1), b.0.div_euclid(b.1));
            let (ra, rb) = (a.0.rem_euclid(a.1), b.0.rem_euclid(b.1));
            let order = match qa.cmp(&qb) {
                Ordering::Equal => match (ra, rb) {
                    (0, 0) => Ordering::Equal,
                    (0, _) => Ordering::Less,
                    (_, 0) => Ordering::Greater,
                    _ => {
                        a = (a.1, ra);
                        b = (b.1, rb);
                        flipped = !flipped;
                        continue;
                    }
                },
                unequal => unequal,
            };
            return if flipped { order.reverse() } else { order };
        }
    }
}
impl PartialOrd for Rational {
    fn partial_cmp(&self, other: &Rational) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Rational {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.denominator == 1 {
            write!(f, "{}", self.numerator)
        } else {
            write!(f, "{}/{}", self.numerator, self.denominator)
        }
    }
}
impl fmt::Debug for Rational {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn r(n: i128, d: i128) -> Rational {
        Rational::new(n, d).unwrap()
    }

    #[test]
    fn thirds_are_refused_and_sixty_fourths_are_not() {
        assert_eq!(r(2386, 3).millimetres(), None);
        assert_eq!(r(254, 640).millimetres(), Some(Length::from_nm(396_875)));
        assert_eq!(r(10_000_001, 1).millimetres(), None, "beyond 10 km");
    }

    #[test]
    fn orders_without_overflow() {
        let big = i128::MAX;
        assert!(r(big - 1, big) < Rational::whole(1));
        assert!(r(big, big - 1) > r(big - 1, big));
        assert!(r(-1, 3) < r(-1, 4));
        assert_eq!(r(2, 4).cmp(&r(1, 2)), Ordering::Equal);
    }

    #[test]
    fn rounds_halves_away_from_nought() {
        assert_eq!(r(5, 2).round_to(Rational::whole(1)), Some(Rational::whole(3)));
        assert_eq!(r(-5, 2).round_to(Rational::whole(1)), Some(Rational::whole(-3)));
        assert_eq!(r(2386, 3).round_to(r(1, 2)), Some(r(1591, 2)));
        assert_eq!(r(1, 1).round_to(Rational::ZERO), None);
    }

    #[test]
    fn overflow_is_none() {
        assert_eq!(r(i128::MAX, 1).checked_add(Rational::whole(1)), None);
        assert_eq!(Rational::whole(1).checked_div(Rational::ZERO), None);
        assert_eq!(Rational::new(i128::MIN, -1), None);
    }
}
