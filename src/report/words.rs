//! How quantities and the trade's words are written on papers. Integers only: a figure is
//! rounded once, here, and said so by its digits.

use crate::member::model::{EndShape, FrameKind, Usage};
use crate::quantity::{Length, Time};

/// Metres with this many decimals (at most nine), to the nearest: `1237.7`.
pub fn metres(length: Length, decimals: u32) -> String {
    decimal(i128::from(length.nm()), 1_000_000_000, decimals.min(9))
}

/// A share in percent to two decimals, to the nearest: `2.41 %`; `–` of nothing.
pub fn percent(part: Length, whole: Length) -> String {
    if whole <= Length::ZERO {
        return "–".to_string();
    }
    // Hundredths of a percent.
    let (part, whole) = (i128::from(part.nm()), i128::from(whole.nm()));
    let share = (2 * part * 10_000 + whole).div_euclid(2 * whole);
    format!("{} %", decimal(share, 100, 2))
}

/// Hours with two decimals, rounded up: `3.42 h`.
pub fn hours(time: Time) -> String {
    let hundredths = (i128::from(time.ns().max(0)) + 35_999_999_999) / 36_000_000_000;
    format!("{} h", decimal(hundredths, 100, 2))
}

/// `value / unit` with this many digits behind the point, to the nearest, halves upward.
pub(super) fn decimal(value: i128, unit: i128, decimals: u32) -> String {
    let fine = 10_i128.pow(decimals);
    let rounded = (2 * value * fine + unit).div_euclid(2 * unit);
    let sign = if rounded < 0 { "-" } else { "" };
    let (whole, rest) = (rounded.abs() / fine, rounded.abs() % fine);
    if decimals == 0 {
        return format!("{sign}{whole}");
    }
    format!("{sign}{whole}.{rest:0width$}", width = decimals as usize)
}

/// `1 piece`, `7 pieces`.
pub fn count(n: usize, word: &str) -> String {
    format!("{n} {word}{}", if n == 1 { "" } else { "s" })
}

/// A job as papers name it, with the revision it is made from: `KP26 rev. B`.
pub fn job_and_revision(job: &str, revision: &str) -> String {
    if revision.is_empty() { job.to_string() } else { format!("{job} rev. {revision}") }
}

/// Word for a usage, as papers and the mark table have it.
pub const fn usage(usage: Usage) -> &'static str {
    match usage {
        Usage::Stud => "stud",
        Usage::KingStud => "king stud",
        Usage::TrimmerStud => "trimmer stud",
        Usage::CrippleStud => "cripple stud",
        Usage::TopPlate => "top plate",
        Usage::BottomPlate => "bottom plate",
        Usage::Plate => "plate",
        Usage::Nogging => "nogging",
        Usage::Lintel => "lintel",
        Usage::Sill => "sill",
        Usage::Brace => "brace",
        Usage::Joist => "joist",
        Usage::Rim => "rim",
        Usage::Rafter => "rafter",
        Usage::TopChord => "top chord",
        Usage::BottomChord => "bottom chord",
        Usage::TrussWeb => "truss web",
        Usage::Batten => "batten",
        Usage::Other => "other",
    }
}

/// Word for a kind of frame.
pub const fn frame_kind(kind: FrameKind) -> &'static str {
    match kind {
        FrameKind::Wall => "wall",
        FrameKind::Floor => "floor panel",
        FrameKind::Truss => "truss",
        FrameKind::Roof => "roof panel",
        FrameKind::Loose => "loose members",
    }
}

/// Words for the shape of an end.
pub fn end_shape(shape: EndShape) -> String {
    match shape {
        EndShape::Square => "square".to_string(),
        EndShape::Slope { rise, run } => {
            let side = if rise > 0 { "left" } else { "right" };
            format!("slope {} : {run}, long point {side}", rise.unsigned_abs())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_round_to_the_nearest_and_hours_up() {
        assert_eq!(metres(Length::from_nm(1_237_649_999_999), 1), "1237.6");
        assert_eq!(metres(Length::from_nm(1_237_650_000_000), 1), "1237.7");
        assert_eq!(metres(Length::from_mm(-1_250), 1), "-1.2");
        assert_eq!(percent(Length::from_mm(241), Length::from_mm(10_000)), "2.41 %");
        assert_eq!(percent(Length::from_mm(1), Length::from_mm(3)), "33.33 %");
        assert_eq!(percent(Length::ZERO, Length::ZERO), "–");
        assert_eq!(hours(Time::from_ms(36_000)), "0.01 h");
        assert_eq!(hours(Time::from_ms(36_001)), "0.02 h");
        assert_eq!(count(1, "coil"), "1 coil");
        assert_eq!(count(0, "coil"), "0 coils");
    }
}
