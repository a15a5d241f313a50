use crate::member::model::EndShape;
use crate::quantity::{Length, Time, common_divisor};
use std::fmt;

/// The slope of a cut: how far it runs along the strip per distance across the web, in lowest
/// terms. Positive where its left side lies upstream. The blade turns about the middle of the
/// web: a cut at advance A crosses the web's centre line at u = A.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Slope {
    /// Along the strip.
    pub rise: i32,
    /// Across the web; positive.
    pub run: i32,
}

impl Slope {
    /// Square across.
    pub const SQUARE: Slope = Slope { rise: 0, run: 1 };

    /// `rise : run` in lowest terms; `None` where the run is not positive, or a term has no
    /// opposite.
    pub fn new(rise: i32, run: i32) -> Option<Slope> {
        if run <= 0 || rise == i32::MIN {
            return None;
        }
        let divisor = common_divisor(i64::from(rise), i64::from(run));
        let lowest = |term: i32| i32::try_from(i64::from(term) / divisor).ok();
        Some(Slope { rise: lowest(rise)?, run: lowest(run)? })
    }
    /// What shapes a member's end so: the cut it is cut off by. Its long point lies upstream.
    pub fn of_end(shape: EndShape) -> Slope {
        match shape {
            EndShape::Square => Slope::SQUARE,
            EndShape::Slope { rise, run } => Slope::new(rise, run).unwrap_or(Slope::SQUARE),
        }
    }
    /// What shapes a member's start so: the cut before it. Its long point lies downstream, so it
    /// is the other way round.
    pub fn of_start(shape: EndShape) -> Slope {
        Slope::of_end(shape).opposite()
    }
    /// To the other hand.
    #[must_use]
    pub const fn opposite(self) -> Slope {
        Slope { rise: self.rise.saturating_neg(), run: self.run }
    }
    /// Whether it is none.
    pub const fn is_square(self) -> bool {
        self.rise == 0
    }
    /// How far upstream of its centre line a cut lies at the left edge of a web this wide, on the
    /// finished member: less than nothing where it lies downstream. Away from nought to the next
    /// nanometre.
    pub fn at_left(self, web: Length) -> Length {
        let run = 2 * i128::from(self.run.max(1));
        let product = i128::from(self.rise.unsigned_abs()) * i128::from(web.nm().max(0));
        let off = (product + run - 1) / run;
        let off = Length::from_nm(i64::try_from(off).unwrap_or(i64::MAX / 8)).min(Length::LIMIT);
        if self.rise < 0 { -off } else { off }
    }
}

/// `4 : 12 left`: the side that lies upstream, where a member's end has its long point.
impl fmt::Display for Slope {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.rise {
            0 => f.write_str("square"),
            rise if rise > 0 => write!(f, "{rise} : {} left", self.run),
            rise => write!(f, "{} : {} right", rise.unsigned_abs(), self.run),
        }
    }
}

/// Slopes in whole steps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SlopeRange {
    /// What every slope is a multiple of; positive.
    pub step: Slope,
    /// The greatest.
    pub steepest: Slope,
}

/// What slopes a shear can be turned to, each to either hand.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Slopes {
    /// These; positive.
    pub listed: Vec<Slope>,
    /// And these.
    pub range: Option<SlopeRange>,
}

impl Slopes {
    /// Whether it cuts square only.
    pub fn is_empty(&self) -> bool {
        self.listed.is_empty() && self.range.is_none()
    }
    /// Whether it can be turned so; square it always can.
    pub fn has(&self, slope: Slope) -> bool {
        let wanted = if slope.rise < 0 { slope.opposite() } else { slope };
        if wanted.is_square() || self.listed.contains(&wanted) {
            return true;
        }
        let Some(SlopeRange { step, steepest }) = self.range else { return false };
        let wide = i64::from;
        let (of_wanted, of_step) =
            (wide(wanted.rise) * wide(step.run), wide(step.rise) * wide(wanted.run));
        of_step > 0
            && of_wanted % of_step == 0
            && wide(wanted.rise) * wide(steepest.run) <= wide(steepest.rise) * wide(wanted.run)
    }
}

/// `4 : 12, 6 : 12 and multiples of 1 : 24 up to 1 : 1`.
impl fmt::Display for Slopes {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let ratio = |slope: &Slope| format!("{} : {}", slope.rise, slope.run);
        let listed: Vec<String> = self.listed.iter().map(ratio).collect();
        f.write_str(&listed.join(", "))?;
        if let Some(range) = &self.range {
            let and = if listed.is_empty() { "" } else { " and " };
            write!(f, "{and}multiples of {} up to {}", ratio(&range.step), ratio(&range.steepest))?;
        }
        Ok(())
    }
}

/// The shear.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Shear {
    /// Strip lost in each cut; zero for a parting shear.
    pub slug: Length,
    /// Time of one cut.
    pub time: Time,
    /// Shortest piece of scrap it can part and drop; of one with sloped cuts the shorter side.
    pub least_drop: Length,
    /// What it can be turned to besides square.
    pub slopes: Slopes,
    /// Time to turn it from one slope to another, with the strip standing. It is square when a
    /// program begins, and is turned back after the last cut.
    pub slope_time: Time,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn slope(rise: i32, run: i32) -> Slope {
        Slope::new(rise, run).unwrap()
    }

    #[test]
    #[allow(clippy::float_arithmetic)]
    fn a_cut_runs_as_far_as_its_slope_says() {
        // Against floating point: half the web times the ratio.
        for (rise, run) in [(4, 12), (-4, 12), (1, 7), (-5, 3), (0, 9), (999_999, 1_000_000)] {
            for web in [1_i64, 90_000_000, 92_123_457] {
                let exact = rise as f64 / run as f64 * web as f64 / 2.0;
                let got = slope(rise, run).at_left(Length::from_nm(web)).nm() as f64;
                assert!((got - exact).abs() < 1.0 && got.abs() >= exact.abs() - 1e-6);
            }
        }
        assert_eq!(slope(4, 12), Slope { rise: 1, run: 3 });
        assert_eq!(slope(0, 12), Slope::SQUARE);
        assert_eq!((Slope::new(1, 0), Slope::new(i32::MIN, 3)), (None, None));
    }

    #[test]
    fn a_half_turn_exchanges_the_cuts_at_both_ends() {
        let ends = [
            EndShape::Square,
            EndShape::Slope { rise: 1, run: 3 },
            EndShape::Slope { rise: -2, run: 5 },
        ];
        for start in ends {
            for end in ends {
                let shape = crate::member::model::Shape {
                    profile: crate::member::model::ProfileId(0),
                    length: Length::from_mm(500),
                    length_tolerance: crate::quantity::Tolerance::even(Length::from_mm(1)),
                    start,
                    end,
                    turnable: true,
                    features: Vec::new(),
                };
                let turned = shape.turned().unwrap();
                assert_eq!(Slope::of_start(turned.start), Slope::of_end(end));
                assert_eq!(Slope::of_end(turned.end), Slope::of_start(start));
            }
        }
    }

    #[test]
    fn a_shear_turns_to_what_is_listed_and_to_whole_steps() {
        let range = SlopeRange { step: slope(1, 24), steepest: slope(1, 1) };
        let slopes = Slopes { listed: vec![slope(2, 5)], range: Some(range) };
        for (rise, run, has) in [
            (2, 5, true),
            (-2, 5, true),
            (0, 1, true),
            (4, 12, true),
            (-24, 24, true),
            (25, 24, false),
            (1, 25, false),
            (3, 5, false),
        ] {
            assert_eq!(slopes.has(slope(rise, run)), has, "{rise} : {run}");
        }
        assert!(Slopes::default().has(Slope::SQUARE) && !Slopes::default().has(slope(1, 3)));
        assert_eq!(slopes.to_string(), "2 : 5 and multiples of 1 : 24 up to 1 : 1");
    }
}
