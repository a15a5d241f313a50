//! Distances on paper: whole thousandths of a point, so that no layout depends on a float.

use crate::quantity::Length;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Neg, Sub, SubAssign};

/// A distance on paper in thousandths of a point; 72 points are an inch.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Debug)]
pub struct Pt(i64);

/// What fits no page of any printer: sums stay far from where they overflow.
const MOST: i64 = 1_000_000_000_000;

impl Pt {
    /// Nothing.
    pub const ZERO: Pt = Pt(0);

    /// Whole points.
    pub const fn new(points: i64) -> Pt {
        Pt::mil(points.saturating_mul(1000))
    }
    /// Thousandths of a point.
    pub const fn mil(thousandths: i64) -> Pt {
        if thousandths > MOST {
            Pt(MOST)
        } else if thousandths < -MOST {
            Pt(-MOST)
        } else {
            Pt(thousandths)
        }
    }
    /// A length at its real size, to the nearest thousandth of a point.
    pub fn of(length: Length) -> Pt {
        // 72 000 thousandths are 25.4 mm.
        let (nm, inch) = (i128::from(length.nm()), 25_400_000);
        let mil = (2 * nm * 72_000 + inch).div_euclid(2 * inch);
        Pt::mil(i64::try_from(mil).unwrap_or(if mil < 0 { -MOST } else { MOST }))
    }
    /// Thousandths of a point.
    pub const fn thousandths(self) -> i64 {
        self.0
    }
    /// So many times.
    pub const fn times(self, n: i64) -> Pt {
        Pt::mil(self.0.saturating_mul(n))
    }
    /// This times a fraction, toward nought; nothing where the divisor is nought.
    pub fn part(self, over: i64, under: i64) -> Pt {
        if under == 0 {
            return Pt::ZERO;
        }
        let part = i128::from(self.0) * i128::from(over) / i128::from(under);
        Pt::mil(i64::try_from(part).unwrap_or(MOST))
    }
    /// Half of it.
    pub fn half(self) -> Pt {
        self.part(1, 2)
    }
    /// As PDF has it: points.
    pub(super) fn user(self) -> f32 {
        // Read from its decimal spelling: the nearest there is, without arithmetic in floats.
        let (sign, mil) = (if self.0 < 0 { "-" } else { "" }, self.0.unsigned_abs());
        format!("{sign}{}.{:03}", mil / 1000, mil % 1000).parse().unwrap_or_default()
    }
}

impl Add for Pt {
    type Output = Pt;
    fn add(self, other: Pt) -> Pt {
        Pt::mil(self.0 + other.0)
    }
}
impl Sub for Pt {
    type Output = Pt;
    fn sub(self, other: Pt) -> Pt {
        Pt::mil(self.0 - other.0)
    }
}
impl Neg for Pt {
    type Output = Pt;
    fn neg(self) -> Pt {
        Pt(-self.0)
    }
}
impl AddAssign for Pt {
    fn add_assign(&mut self, other: Pt) {
        *self = *self + other;
    }
}
impl SubAssign for Pt {
    fn sub_assign(&mut self, other: Pt) {
        *self = *self - other;
    }
}
impl Sum for Pt {
    fn sum<I: Iterator<Item = Pt>>(all: I) -> Pt {
        all.fold(Pt::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_inch_is_72_points() {
        assert_eq!(Pt::of(Length::from_nm(25_400_000)), Pt::new(72));
        assert_eq!(Pt::of(Length::from_mm(210)), Pt::mil(595_276));
        assert_eq!(Pt::of(Length::from_mm(-210)), Pt::mil(-595_276));
        assert_eq!(Pt::of(Length::from_nm(i64::MAX)).thousandths(), MOST);
        assert_eq!(Pt::new(10).part(1, 3), Pt::mil(3333));
    }

    #[test]
    fn is_written_as_it_is() {
        assert_eq!(Pt::mil(595_276).user().to_string(), "595.276");
        assert_eq!(Pt::mil(-1).user().to_string(), "-0.001");
        assert_eq!(Pt::new(7).user().to_string(), "7");
    }
}
