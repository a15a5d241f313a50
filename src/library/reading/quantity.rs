//! Figures with units, exact: `12 mm`, `1-5/8 in`, `3 ft 4 in`, `0.2 s`, `60 m/min`, `2.5 t`.

use super::one_of;
use crate::quantity::{Length, Rational};

/// Why a text is not a quantity.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fault {
    /// It does not begin with a figure.
    NoFigure,
    /// The figure has no unit; the units that would do.
    NoUnit(&'static str),
    /// The unit is not one of these; the unit and a hint.
    UnknownUnit(String, String),
    /// A fraction divides by nought.
    DividesByNought,
    /// Not two figures with a colon between them.
    NoRatio,
    /// More digits than anything on a line has.
    TooManyDigits,
    /// Not a whole number of the finest step kept; the step.
    Inexact(&'static str),
    /// Beyond what is accepted; the limit.
    Beyond(&'static str),
}

impl Fault {
    /// What is wrong, and what to write.
    pub fn tell(&self) -> (String, String) {
        match self {
            Fault::NoFigure => (
                "no figure stands here".into(),
                "begin with a figure, such as \"12 mm\", \"3/32 in\" or \"1-5/8 in\"".into(),
            ),
            Fault::NoRatio => (
                "a slope is rise : run".into(),
                "write it as two figures, such as \"4 : 12\"".into(),
            ),
            Fault::NoUnit(units) => {
                ("the figure has no unit".into(), format!("add the unit, in quotes: {units}"))
            }
            Fault::UnknownUnit(unit, hint) => {
                (format!("`{unit}` is not a unit that fits here"), hint.clone())
            }
            Fault::DividesByNought => {
                ("this fraction divides by nought".into(), "write another denominator".into())
            }
            Fault::TooManyDigits => {
                ("this figure has too many digits".into(), "write at most 18 digits".into())
            }
            Fault::Inexact(step) => (
                format!("this is not a whole number of {step}"),
                "write it as a decimal with fewer places: it is kept exactly, never rounded \
                 behind your back"
                    .into(),
            ),
            Fault::Beyond(limit) => (
                format!("this is beyond {limit}"),
                "check the figure and its unit; nothing on a line comes near this".into(),
            ),
        }
    }
}

/// Units by name, with how many base units each is (numerator, denominator).
pub(super) type Units = &'static [(&'static str, i128, i128)];

pub(super) const LENGTH: Units = &[
    ("mm", 1, 1),
    ("m", 1_000, 1),
    ("cm", 10, 1),
    ("um", 1, 1_000),
    ("µm", 1, 1_000),
    ("in", 254, 10),
    ("\"", 254, 10),
    ("ft", 3_048, 10),
    ("'", 3_048, 10),
];
/// In nanoseconds.
pub(super) const TIME: Units = &[
    ("s", 1_000_000_000, 1),
    ("ms", 1_000_000, 1),
    ("min", 60_000_000_000, 1),
    ("h", 3_600_000_000_000, 1),
];
/// In micrometres a second.
pub(super) const SPEED: Units = &[
    ("m/s", 1_000_000, 1),
    ("m/min", 1_000_000, 60),
    ("mm/s", 1_000, 1),
    ("ft/min", 304_800, 60),
    ("in/s", 25_400, 1),
];
/// In micrometres a second squared.
pub(super) const ACCELERATION: Units = &[
    ("m/s2", 1_000_000, 1),
    ("m/s²", 1_000_000, 1),
    ("mm/s2", 1_000, 1),
    ("mm/s²", 1_000, 1),
    ("ft/s2", 304_800, 1),
    ("ft/s²", 304_800, 1),
];
/// In micrometres a second cubed.
pub(super) const JERK: Units = &[
    ("m/s3", 1_000_000, 1),
    ("m/s³", 1_000_000, 1),
    ("mm/s3", 1_000, 1),
    ("mm/s³", 1_000, 1),
    ("ft/s3", 304_800, 1),
    ("ft/s³", 304_800, 1),
];
/// In newtons; the pound-force is 4.448 221 615 260 5 N by definition.
pub(super) const FORCE: Units = &[
    ("N", 1, 1),
    ("kN", 1_000, 1),
    ("MN", 1_000_000, 1),
    ("lbf", 44_482_216_152_605, 10_000_000_000_000),
];
/// In milligrams; the pound is 0.453 592 37 kg by definition.
pub(super) const MASS: Units =
    &[("kg", 1_000_000, 1), ("t", 1_000_000_000, 1), ("g", 1_000, 1), ("lb", 45_359_237, 100)];
/// In grams per square metre.
pub(super) const COATING: Units = &[("g/m2", 1, 1), ("g/m²", 1, 1)];
/// A plain share.
pub(super) const SHARE: Units = &[("%", 1, 100), ("ppm", 1, 1_000_000)];

/// A decimal figure, exactly: digits, one point, an exponent as TOML writes floats.
pub fn decimal(text: &str) -> Result<Rational, Fault> {
    let (mantissa, exponent) = match text.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => {
            (mantissa, exponent.parse::<i32>().map_err(|_| Fault::TooManyDigits)?)
        }
        None => (text, 0),
    };
    let (negative, digits) = match mantissa.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, mantissa.strip_prefix('+').unwrap_or(mantissa)),
    };
    let (whole, places) = digits.split_once('.').unwrap_or((digits, ""));
    let all: String = whole.chars().chain(places.chars()).filter(|&c| c != '_').collect();
    if all.is_empty() || !all.bytes().all(|b| b.is_ascii_digit()) {
        return Err(Fault::NoFigure);
    }
    let significant = all.trim_start_matches('0');
    if significant.len() > 18 {
        return Err(Fault::TooManyDigits);
    }
    let magnitude: i128 = if significant.is_empty() { 0 } else { parse(significant)? };
    let places = places.bytes().filter(|&b| b != b'_').count();
    let shift = i64::from(exponent) - i64::try_from(places).unwrap_or(i64::MAX);
    if magnitude == 0 {
        return Ok(Rational::ZERO);
    }
    let power = u32::try_from(shift.unsigned_abs()).ok().filter(|&p| p <= 18);
    let ten = power.and_then(|p| 10_i128.checked_pow(p)).ok_or(Fault::TooManyDigits)?;
    let signed = if negative { -magnitude } else { magnitude };
    let value = if shift >= 0 {
        signed.checked_mul(ten).and_then(|n| Rational::new(n, 1))
    } else {
        Rational::new(signed, ten)
    };
    value.ok_or(Fault::TooManyDigits)
}

fn parse(digits: &str) -> Result<i128, Fault> {
    if digits.len() > 18 {
        return Err(Fault::TooManyDigits);
    }
    digits.parse().map_err(|_| Fault::NoFigure)
}

/// Where the figure at the start of `text` stops: digits, a point, spaces or a hyphen before a
/// fraction.
fn figure(text: &str) -> Result<(Rational, &str), Fault> {
    let digits = |t: &str| t.bytes().take_while(u8::is_ascii_digit).count();
    let decimal_end = {
        let whole = digits(text);
        let rest = text.get(whole..).unwrap_or("");
        match rest.strip_prefix('.') {
            Some(places) if digits(places) > 0 => whole + 1 + digits(places),
            _ => whole,
        }
    };
    let (first, rest) = text.split_at_checked(decimal_end).unwrap_or((text, ""));
    if first.is_empty() {
        return Err(Fault::NoFigure);
    }
    if first.contains('.') {
        return Ok((decimal(first)?, rest));
    }
    if let Some((under, rest)) = denominator(rest) {
        return Ok((fraction(first, under)?, rest));
    }
    // `1-5/8` and `1 5/8`: a whole number and a fraction.
    let after = rest.strip_prefix('-').unwrap_or_else(|| rest.trim_start());
    if after.len() < rest.len() {
        let over = digits(after);
        let (over, beyond) = after.split_at_checked(over).unwrap_or((after, ""));
        if let (false, Some((under, beyond))) = (over.is_empty(), denominator(beyond)) {
            let whole = Rational::new(parse(first)?, 1).ok_or(Fault::TooManyDigits)?;
            let sum = whole.checked_add(fraction(over, under)?).ok_or(Fault::TooManyDigits)?;
            return Ok((sum, beyond));
        }
    }
    Ok((decimal(first)?, rest))
}

fn denominator(text: &str) -> Option<(&str, &str)> {
    let under = text.strip_prefix('/')?;
    let end = under.bytes().take_while(u8::is_ascii_digit).count();
    (end > 0).then(|| under.split_at_checked(end)).flatten()
}

fn fraction(over: &str, under: &str) -> Result<Rational, Fault> {
    let (over, under) = (parse(over)?, parse(under)?);
    if under == 0 {
        return Err(Fault::DividesByNought);
    }
    Rational::new(over, under).ok_or(Fault::TooManyDigits)
}

/// A figure with one of these units, in base units. `listed` shows how such a figure is written.
pub(super) fn with_unit(text: &str, units: Units, listed: &'static str) -> Result<Rational, Fault> {
    let text = text.trim();
    let (negative, mut rest) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest.trim_start()),
        None => (false, text.strip_prefix('+').unwrap_or(text).trim_start()),
    };
    let mut sum = Rational::ZERO;
    let mut smaller_than = None;
    loop {
        let (value, after) = figure(rest)?;
        let after = after.trim_start();
        let end = match after.find(|c: char| c.is_ascii_digit()) {
            // `m/s2` has a digit inside; only feet and inches go on with another figure.
            Some(end) if std::ptr::eq(units, LENGTH) => end,
            _ => after.len(),
        };
        let (unit, beyond) = after.split_at_checked(end).unwrap_or((after, ""));
        let unit = unit.trim_end_matches(|c: char| c.is_whitespace() || c == '-').trim();
        if unit.is_empty() {
            return Err(Fault::NoUnit(listed));
        }
        let Some(&(_, n, d)) = units.iter().find(|(name, _, _)| *name == unit) else {
            let hint = one_of(unit, units.iter().map(|(name, _, _)| *name));
            return Err(Fault::UnknownUnit(unit.to_string(), hint));
        };
        let scale = Rational::new(n, d).ok_or(Fault::TooManyDigits)?;
        if smaller_than.is_some_and(|before| scale >= before) {
            return Err(Fault::UnknownUnit(
                unit.to_string(),
                "after feet come inches, after metres millimetres".to_string(),
            ));
        }
        smaller_than = Some(scale);
        sum = value
            .checked_mul(scale)
            .and_then(|v| sum.checked_add(v))
            .ok_or(Fault::TooManyDigits)?;
        rest = beyond.trim_start();
        if rest.is_empty() {
            break;
        }
    }
    if negative { sum.checked_neg().ok_or(Fault::TooManyDigits) } else { Ok(sum) }
}

/// Millimetres as a length, exactly.
pub(super) fn millimetres(value: Rational) -> Result<Length, Fault> {
    if let Some(length) = value.millimetres() {
        return Ok(length);
    }
    let limit = Rational::whole(10_000_000);
    if value > limit || value.checked_neg().is_none_or(|v| v > limit) {
        return Err(Fault::Beyond("10 km"));
    }
    Err(Fault::Inexact("nanometres"))
}

/// A length with its unit, exactly: `12 mm`, `3/32 in`, `5' 6-1/2"`.
pub fn length(text: &str) -> Result<Length, Fault> {
    millimetres(with_unit(text, LENGTH, "\"12 mm\", \"3.6 m\", \"3/32 in\"")?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn nm(text: &str, expected: i64) {
        assert_eq!(length(text), Ok(Length::from_nm(expected)), "{text}");
    }

    #[test]
    fn lengths_are_exact_in_both_systems() {
        nm("12 mm", 12_000_000);
        nm("12mm", 12_000_000);
        nm("0.1 mm", 100_000);
        nm("3.6 m", 3_600_000_000);
        nm("38.5 um", 38_500);
        nm("3/32 in", 2_381_250);
        nm("1-5/8 in", 41_275_000);
        nm("1 5/8 in", 41_275_000);
        nm("3 ft 4 in", 1_016_000_000);
        nm("5' 6-1/2\"", 1_689_100_000);
        nm("-0.25 mm", -250_000);
        nm("- 1/64 in", -396_875);
    }

    #[test]
    fn what_is_no_length_says_why() {
        let fault = |text| length(text).unwrap_err();
        assert_eq!(fault(""), Fault::NoFigure);
        assert_eq!(fault("mm"), Fault::NoFigure);
        assert!(matches!(fault("12"), Fault::NoUnit(_)));
        assert!(
            matches!(fault("12 mn"), Fault::UnknownUnit(u, h) if u == "mn" && h.contains("mm"))
        );
        assert_eq!(fault("1/0 in"), Fault::DividesByNought);
        assert_eq!(fault("1/3 mm"), Fault::Inexact("nanometres"));
        assert_eq!(fault("11000 m"), Fault::Beyond("10 km"));
        assert_eq!(fault("-11000 m"), Fault::Beyond("10 km"));
        assert_eq!(fault("1234567890123456789 mm"), Fault::TooManyDigits);
        assert!(matches!(fault("4 in 3 ft"), Fault::UnknownUnit(..)));
        assert!(matches!(fault("1-5/ in"), Fault::NoUnit(_)));
    }

    #[test]
    fn decimals_are_read_by_their_text() {
        assert_eq!(decimal("0.1"), Ok(Rational::new(1, 10).unwrap()));
        assert_eq!(decimal("-2.50"), Ok(Rational::new(-5, 2).unwrap()));
        assert_eq!(decimal("1e3"), Ok(Rational::whole(1000)));
        assert_eq!(decimal("1_000.5"), Ok(Rational::new(2001, 2).unwrap()));
        assert_eq!(decimal("inf"), Err(Fault::NoFigure));
        assert_eq!(decimal("1e400"), Err(Fault::TooManyDigits));
    }
}
