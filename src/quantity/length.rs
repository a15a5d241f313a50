use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// A length, or a signed offset along or across a member, in nanometres.
///
/// 1/64 in is exactly 396 875 nm, so every drawing fraction and every decimal of a millimetre
/// down to the sixth place is exact.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Length = Length(0);
    /// The longest length accepted at load (10 km): keeps sums of a whole batch inside `i64`.
    pub const LIMIT: Length = Length(10_000_000_000_000);

    /// From nanometres.
    pub const fn from_nm(nm: i64) -> Length {
        Length(nm)
    }
    /// From micrometres.
    pub const fn from_um(um: i64) -> Length {
        Length(um * 1_000)
    }
    /// From whole millimetres.
    pub const fn from_mm(mm: i64) -> Length {
        Length(mm * 1_000_000)
    }
    /// In nanometres.
    pub const fn nm(self) -> i64 {
        self.0
    }
    /// In micrometres, rounded away from zero: what a move is timed in, never too short.
    pub const fn um_outward(self) -> i64 {
        let q = self.0 / 1_000;
        if self.0 % 1_000 == 0 { q } else { q + self.0.signum() }
    }
    /// Magnitude.
    pub const fn abs(self) -> Length {
        Length(self.0.abs())
    }
    /// Whether below zero.
    pub const fn is_negative(self) -> bool {
        self.0 < 0
    }
    /// Half of it, rounded toward negative infinity.
    pub const fn half(self) -> Length {
        Length(self.0.div_euclid(2))
    }
    /// `self × n`.
    pub const fn times(self, n: i64) -> Length {
        Length(self.0 * n)
    }
    /// `self × numerator / denominator`, rounded to the nearest nanometre (ties upward).
    pub fn scaled(self, numerator: i64, denominator: i64) -> Length {
        let (n, d) = (i128::from(numerator), i128::from(denominator));
        let twice = 2 * i128::from(self.0) * n + d;
        Length(i64::try_from(twice.div_euclid(2 * d)).unwrap_or(i64::MAX))
    }
    /// Stretched by a factor given in parts per 10⁹ (−2 000 000 shortens by 0.2 %).
    pub fn stretched(self, parts_per_billion: i64) -> Length {
        if parts_per_billion == 0 {
            return self;
        }
        self.scaled(1_000_000_000 + parts_per_billion, 1_000_000_000)
    }
    /// The inverse of [`Length::stretched`], to the nearest nanometre.
    pub fn unstretched(self, parts_per_billion: i64) -> Length {
        if parts_per_billion == 0 {
            return self;
        }
        self.scaled(1_000_000_000, 1_000_000_000 + parts_per_billion)
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}
impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}
impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}
impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}
impl SubAssign for Length {
    fn sub_assign(&mut self, other: Length) {
        self.0 -= other.0;
    }
}
impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

/// Exact, in millimetres, without a unit and without trailing zeros: `2386`, `0.5`, `-12.7`.
impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.0 < 0 { "-" } else { "" };
        let magnitude = self.0.unsigned_abs();
        let (whole, rest) = (magnitude / 1_000_000, magnitude % 1_000_000);
        if rest == 0 {
            return f.pad(&format!("{sign}{whole}"));
        }
        let decimals = format!("{rest:06}");
        f.pad(&format!("{sign}{whole}.{}", decimals.trim_end_matches('0')))
    }
}
impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self} mm")
    }
}

/// How far a dimension may be below (`minus`) and above (`plus`) its nominal. Both are ≥ 0.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Tolerance {
    /// Allowed below nominal.
    pub minus: Length,
    /// Allowed above nominal.
    pub plus: Length,
}

impl Tolerance {
    /// The loosest that is taken, each way. Standards for frames that were read state at most
    /// 6.35 mm for a hole and 12.7 mm for a length; a stroke that may be off by more than 50 mm is a
    /// slip of the unit. Common practice, no source.
    pub const LOOSEST: Length = Length::from_mm(50);

    /// Whether it is looser, on either side, than any that is meant.
    pub fn too_loose(self) -> bool {
        self.minus > Self::LOOSEST || self.plus > Self::LOOSEST
    }

    /// The same both ways.
    pub const fn even(by: Length) -> Tolerance {
        Tolerance { minus: by, plus: by }
    }
    /// That of the same dimension counted the other way.
    #[must_use]
    pub const fn swapped(self) -> Tolerance {
        Tolerance { minus: self.plus, plus: self.minus }
    }
    /// Whether a deviation (actual − nominal) lies within.
    pub fn admits(self, deviation: Length) -> bool {
        -self.minus <= deviation && deviation <= self.plus
    }
}

/// `±0.5` or `-0.5/+1`.
impl fmt::Display for Tolerance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.minus == self.plus {
            write!(f, "±{}", self.plus)
        } else {
            write!(f, "-{}/+{}", self.minus, self.plus)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sixty_fourth_is_exact() {
        assert_eq!(Length::from_nm(25_400_000).scaled(1, 64), Length::from_nm(396_875));
    }

    #[test]
    fn prints_exact_millimetres() {
        let shown = |nm| Length::from_nm(nm).to_string();
        assert_eq!(shown(2_386_000_000), "2386");
        assert_eq!(shown(-12_700_000), "-12.7");
        assert_eq!(shown(396_875), "0.396875");
        assert_eq!(shown(0), "0");
    }

    #[test]
    fn stretching_rounds_to_the_nearest_and_comes_back() {
        let length = Length::from_mm(3_600);
        for factor in [-2_000_000, -1, 1, 1_234_567] {
            let back = length.stretched(factor).unstretched(factor);
            assert!((back - length).abs() <= Length::from_nm(1), "{factor}: {back}");
        }
    }

    #[test]
    fn moves_are_never_timed_short() {
        assert_eq!(Length::from_nm(1_001).um_outward(), 2);
        assert_eq!(Length::from_nm(-1_001).um_outward(), -2);
        assert_eq!(Length::from_nm(2_000).um_outward(), 2);
    }
}
