use super::Length;
use std::fmt;
use std::ops::{Add, Sub};

macro_rules! coordinate {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
        pub struct $name(Length);

        impl $name {
            /// The origin.
            pub const ZERO: $name = $name(Length::ZERO);
            /// At this distance from the origin.
            pub const fn at(distance: Length) -> $name {
                $name(distance)
            }
            /// Distance from the origin.
            pub const fn distance(self) -> Length {
                self.0
            }
        }
        impl Add<Length> for $name {
            type Output = $name;
            fn add(self, by: Length) -> $name {
                $name(self.0 + by)
            }
        }
        impl Sub<Length> for $name {
            type Output = $name;
            fn sub(self, by: Length) -> $name {
                $name(self.0 - by)
            }
        }
        impl Sub for $name {
            type Output = Length;
            fn sub(self, other: $name) -> Length {
                self.0 - other.0
            }
        }
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                fmt::Display::fmt(&self.0, f)
            }
        }
        impl fmt::Debug for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, concat!(stringify!($name), "({})"), self.0)
            }
        }
    };
}

coordinate! {
    /// A position along a finished member, from its start.
    Finished
}
coordinate! {
    /// A position on the flat strip of one coil, from its leading edge at thread-up, growing
    /// upstream (the material coordinate u).
    Strip
}
coordinate! {
    /// How much strip has passed the shear: the material coordinate now under the shear.
    Advance
}

impl Strip {
    /// The advance at which this point of the strip stands `offset` upstream of the shear.
    pub fn due(self, offset: Length) -> Advance {
        Advance(self.0 - offset)
    }
}
impl Advance {
    /// The point of the strip that stands `offset` upstream of the shear at this advance.
    pub fn strip_at(self, offset: Length) -> Strip {
        Strip(self.0 + offset)
    }
}

/// A closed interval `[lo, hi]` of advances (or of any coordinate).
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Window<T> {
    /// First admissible value.
    pub lo: T,
    /// Last admissible value.
    pub hi: T,
}

impl<T: Ord + Copy> Window<T> {
    /// Whether nothing lies inside.
    pub fn is_empty(self) -> bool {
        self.lo > self.hi
    }
    /// Whether `value` lies inside.
    pub fn contains(self, value: T) -> bool {
        self.lo <= value && value <= self.hi
    }
    /// What both admit.
    pub fn intersect(self, other: Window<T>) -> Window<T> {
        Window { lo: self.lo.max(other.lo), hi: self.hi.min(other.hi) }
    }
}

/// The points a line can stop at: whole multiples of its increment.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Grid {
    increment: i64,
}

impl Grid {
    /// A grid of this increment; `None` unless it is positive.
    pub fn new(increment: Length) -> Option<Grid> {
        (increment > Length::ZERO).then_some(Grid { increment: increment.nm() })
    }
    /// The distance between neighbouring points.
    pub fn increment(self) -> Length {
        Length::from_nm(self.increment)
    }
    /// Whether the line can stop here.
    pub fn has(self, at: Advance) -> bool {
        at.distance().nm().rem_euclid(self.increment) == 0
    }
    /// The last point not past `at`.
    pub fn floor(self, at: Advance) -> Advance {
        let nm = at.distance().nm();
        Advance::at(Length::from_nm(nm - nm.rem_euclid(self.increment)))
    }
    /// The first point not before `at`.
    pub fn ceil(self, at: Advance) -> Advance {
        let nm = at.distance().nm();
        Advance::at(Length::from_nm(nm + (-nm).rem_euclid(self.increment)))
    }
    /// The nearest point; the lower one of two equally near.
    pub fn nearest(self, at: Advance) -> Advance {
        let lower = self.floor(at);
        if (at - lower).nm() * 2 > self.increment { lower + self.increment() } else { lower }
    }
    /// A window cut down to grid points; empty when it holds none.
    pub fn within(self, window: Window<Advance>) -> Window<Advance> {
        Window { lo: self.ceil(window.lo), hi: self.floor(window.hi) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(um: i64) -> Advance {
        Advance::at(Length::from_um(um))
    }

    #[test]
    fn grid_rounds_both_signs() {
        let grid = Grid::new(Length::from_um(100)).unwrap();
        assert_eq!(grid.floor(at(-50)), at(-100));
        assert_eq!(grid.ceil(at(-50)), at(0));
        assert_eq!(grid.nearest(at(50)), at(0), "ties go down");
        assert_eq!(grid.nearest(at(51)), at(100));
        assert_eq!(grid.nearest(at(-51)), at(-100));
        assert!(grid.has(at(-300)) && !grid.has(at(-301)));
    }

    #[test]
    fn a_window_between_two_points_is_empty() {
        let grid = Grid::new(Length::from_um(500)).unwrap();
        assert!(grid.within(Window { lo: at(501), hi: at(999) }).is_empty());
        assert!(!grid.within(Window { lo: at(500), hi: at(999) }).is_empty());
        assert!(Grid::new(Length::ZERO).is_none());
    }
}
