use super::Length;
use std::fmt;
use std::iter::Sum;
use std::ops::Add;

/// A mass in milligrams.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Mass(i64);

impl Mass {
    /// Nothing.
    pub const ZERO: Mass = Mass(0);
    /// From milligrams.
    pub const fn from_mg(mg: i64) -> Mass {
        Mass(mg)
    }
    /// From whole kilograms.
    pub const fn from_kg(kg: i64) -> Mass {
        Mass(kg * 1_000_000)
    }
    /// In milligrams.
    pub const fn mg(self) -> i64 {
        self.0
    }
}

impl Add for Mass {
    type Output = Mass;
    fn add(self, other: Mass) -> Mass {
        Mass(self.0 + other.0)
    }
}
impl Sum for Mass {
    fn sum<I: Iterator<Item = Mass>>(masses: I) -> Mass {
        masses.fold(Mass::ZERO, Add::add)
    }
}

/// In kilograms to one decimal: `312.4`.
impl fmt::Display for Mass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let tenths = (i128::from(self.0) + 50_000).div_euclid(100_000);
        f.pad(&format!(
            "{}{}.{}",
            if tenths < 0 { "-" } else { "" },
            tenths.abs() / 10,
            tenths.abs() % 10
        ))
    }
}
impl fmt::Debug for Mass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self} kg")
    }
}

/// Mass of a metre of strip or section, in micrograms per metre: fine enough that a 10 km coil
/// is right to a gram.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct MassPerLength(i64);

impl MassPerLength {
    /// From micrograms per metre.
    pub const fn from_ug_per_m(ug: i64) -> MassPerLength {
        MassPerLength(ug)
    }
    /// In micrograms per metre.
    pub const fn ug_per_m(self) -> i64 {
        self.0
    }
    /// Mass of this length, to the nearest milligram.
    pub fn of(self, length: Length) -> Mass {
        // µg/m × nm = 10⁻⁹ µg; 10¹² of them are a milligram.
        let product = i128::from(self.0) * i128::from(length.nm());
        let mg = (2 * product + 1_000_000_000_000).div_euclid(2_000_000_000_000);
        Mass(i64::try_from(mg).unwrap_or(i64::MAX))
    }
    /// Length of strip of this mass, rounded down to a nanometre; zero for weightless strip.
    pub fn length_of(self, mass: Mass) -> Length {
        if self.0 <= 0 {
            return Length::ZERO;
        }
        let nm = i128::from(mass.0) * 1_000_000_000_000 / i128::from(self.0);
        Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn mass_and_length_agree() {
        let per_metre = MassPerLength::from_ug_per_m(1_121_575_000);
        assert_eq!(per_metre.of(Length::from_mm(1_000)).mg(), 1_121_575);
        let length = per_metre.length_of(Mass::from_kg(3_000));
        // 3000 kg at 1.121575 kg/m.
        assert_eq!(length.nm() / 1_000_000, 2_674_809);
    }

    #[test]
    fn kilograms_print_to_one_decimal() {
        assert_eq!(Mass::from_mg(312_449_999).to_string(), "312.4");
        assert_eq!(Mass::from_mg(312_450_000).to_string(), "312.5");
    }
}
