use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign};

/// A duration of machine time in nanoseconds. Sums stay at the most, 292 years, instead of
/// overflowing: a hostile line file may move a micrometre an hour. Planning refuses what takes
/// more than a year, long before.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Time(i64);

impl Time {
    /// No time.
    pub const ZERO: Time = Time(0);
    /// From nanoseconds.
    pub const fn from_ns(ns: i64) -> Time {
        Time(ns)
    }
    /// From milliseconds.
    pub const fn from_ms(ms: i64) -> Time {
        Time(ms * 1_000_000)
    }
    /// In nanoseconds.
    pub const fn ns(self) -> i64 {
        self.0
    }
    /// `self × numerator / denominator`, rounded up.
    pub fn scaled_up(self, numerator: i64, denominator: i64) -> Time {
        let product = i128::from(self.0) * i128::from(numerator);
        let d = i128::from(denominator);
        Time(i64::try_from((product + d - 1).div_euclid(d)).unwrap_or(i64::MAX))
    }
}

impl Add for Time {
    type Output = Time;
    fn add(self, other: Time) -> Time {
        Time(self.0.saturating_add(other.0))
    }
}
impl AddAssign for Time {
    fn add_assign(&mut self, other: Time) {
        self.0 = self.0.saturating_add(other.0);
    }
}
impl Sum for Time {
    fn sum<I: Iterator<Item = Time>>(times: I) -> Time {
        times.fold(Time::ZERO, Add::add)
    }
}

/// Hours, minutes and seconds for people, rounded up to a second: `1 h 04 min`, `12 min 05 s`.
impl fmt::Display for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let seconds = self.0.max(0).saturating_add(999_999_999) / 1_000_000_000;
        let (h, m, s) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
        let shown = if h > 0 {
            format!("{h} h {m:02} min")
        } else if m > 0 {
            format!("{m} min {s:02} s")
        } else {
            format!("{s} s")
        };
        f.pad(&shown)
    }
}
impl fmt::Debug for Time {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ns", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sums_stay_at_the_most() {
        let most = Time::from_ns(i64::MAX);
        assert_eq!(most + Time::from_ms(1), most);
        assert_eq!([most, most].into_iter().sum::<Time>(), most);
        let mut sum = most;
        sum += most;
        assert_eq!(sum, most);
        assert_eq!(most.to_string(), "2562047 h 47 min");
    }
}
