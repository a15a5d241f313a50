//! Angles against slopes, in whole numbers: no rounding of a processor decides what is refused.

use crate::quantity::Length;

/// Parts of one that sines are counted in.
const ONE: i128 = 1_000_000_000_000;

/// Radians of a degree, in parts of [`ONE`].
const RADIANS: i128 = 17_453_292_520;

/// The square of the sine of a twentieth of a degree, in parts of [`ONE`]: half the first decimal
/// that angles are written with. Common practice, no source.
const NEAR: i128 = 761_543;

/// Whether a figure in degrees says the same slope, to either hand. The figure is read as a length
/// is: a degree for a millimetre.
pub(super) fn agrees(degrees: Length, rise: i32, run: i32) -> bool {
    let degrees = i128::from(degrees.nm().unsigned_abs());
    if degrees >= 90_000_000 {
        return false;
    }
    let (sine, cosine) = sine_and_cosine(degrees * RADIANS / 1_000_000);
    let (rise, run) = (i128::from(rise.unsigned_abs()), i128::from(run));
    // |sin a · run − cos a · rise| is the sine of what lies between, times the hypotenuse.
    let off = (sine * run - cosine * rise) / 1_000_000;
    off * off <= (rise * rise + run * run) * NEAR
}

/// Of radians in parts of [`ONE`], up to a right angle, by their series.
fn sine_and_cosine(angle: i128) -> (i128, i128) {
    let (mut sine, mut cosine) = (0, 0);
    let mut term = ONE;
    for n in 0_i128..24 {
        match n % 4 {
            0 => cosine += term,
            1 => sine += term,
            2 => cosine -= term,
            _ => sine -= term,
        }
        term = term * angle / ONE / (n + 1);
    }
    (sine, cosine)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the tangents of a table: tan 18.435° = 1/3, tan 45° = 1, tan 22.5° = √2 − 1.
    #[test]
    fn angles_say_slopes() {
        let degrees = |thousandths: i64| Length::from_um(thousandths);
        assert!(agrees(degrees(18_435), 1, 3));
        assert!(agrees(degrees(-18_435), 4, 12));
        assert!(agrees(degrees(18_400), -1, 3));
        assert!(!agrees(degrees(18_300), 1, 3));
        assert!(!agrees(degrees(18_500), 1, 3));
        assert!(agrees(degrees(45_000), 1_000_000, 1_000_000));
        assert!(agrees(degrees(22_500), 169, 408));
        assert!(!agrees(degrees(22_500), 4, 12));
        assert!(agrees(degrees(0), 0, 1));
        assert!(!agrees(degrees(90_000), 1_000_000, 1));
        assert!(agrees(degrees(89_000), 5_729, 100));
    }

    #[test]
    fn sines_are_those_of_the_processor() {
        for degrees in 0..90_i32 {
            let (sine, cosine) = sine_and_cosine(i128::from(degrees) * RADIANS);
            let (s, c) = f64::from(degrees).to_radians().sin_cos();
            assert!((sine as f64 / ONE as f64 - s).abs() < 1e-9, "{degrees}");
            assert!((cosine as f64 / ONE as f64 - c).abs() < 1e-9, "{degrees}");
        }
    }
}
