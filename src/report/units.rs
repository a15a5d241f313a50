//! Quantities in the units a shop reads its papers in. What is printed is rounded, and every
//! paper says to what; what is made is not: programs, tables and reports keep exact figures.

use super::model::StripKind;
use super::words::decimal;
use crate::library::model::Units;
use crate::member::model::Outline;
use crate::quantity::{Length, Mass, Tolerance};

/// An inch in nanometres, by definition.
const INCH: i128 = 25_400_000;
/// A foot in nanometres.
const FOOT: i128 = 12 * INCH;
/// A hundred pounds in milligrams: a pound is 0.453 592 37 kg by definition.
const HUNDRED_POUNDS: i128 = 45_359_237;

/// What lengths of members and tools are in: `mm`, `in`.
pub const fn short(units: Units) -> &'static str {
    match units {
        Units::Millimetres => "mm",
        Units::Inches => "in",
    }
}

/// What lengths of strip are in: `m`, `ft`.
pub const fn long(units: Units) -> &'static str {
    match units {
        Units::Millimetres => "m",
        Units::Inches => "ft",
    }
}

/// What masses are in: `kg`, `lb`.
pub const fn heavy(units: Units) -> &'static str {
    match units {
        Units::Millimetres => "kg",
        Units::Inches => "lb",
    }
}

/// What figures on a paper are rounded to, for the paper to say.
pub const fn resolution(units: Units) -> &'static str {
    match units {
        Units::Millimetres => "Millimetres, to 0.01; tolerances rounded down.",
        Units::Inches => "Inches, to 0.001; tolerances rounded down.",
    }
}

const fn scale(units: Units) -> (i128, u32) {
    match units {
        Units::Millimetres => (1_000_000, 2),
        Units::Inches => (INCH, 3),
    }
}

/// A length of a member or tool without its unit, to the nearest 0.01 mm or 0.001 in, without
/// trailing zeros: `2386`, `143.188`.
pub fn figure(length: Length, units: Units) -> String {
    let (unit, decimals) = scale(units);
    plain(&decimal(i128::from(length.nm()), unit, decimals))
}

/// A thickness, to 0.001 mm or 0.0001 in.
pub fn thickness(length: Length, units: Units) -> String {
    let (unit, decimals) = scale(units);
    plain(&decimal(i128::from(length.nm()), unit, decimals + 1))
}

/// The same length in inches and a fraction where it is a whole number of 64ths and no whole
/// number of inches: `40 15/16`.
pub fn fraction(length: Length, units: Units) -> Option<String> {
    let sixty_fourth = INCH / 64;
    let nm = i128::from(length.nm());
    if units != Units::Inches || nm <= 0 || nm % sixty_fourth != 0 || nm % INCH == 0 {
        return None;
    }
    let (mut over, mut under) = (nm / sixty_fourth % 64, 64);
    while over % 2 == 0 {
        (over, under) = (over / 2, under / 2);
    }
    let whole = nm / INCH;
    let part = format!("{over}/{under}");
    Some(if whole == 0 { part } else { format!("{whole} {part}") })
}

/// `±0.5` or `-0.5/+1`; never wider than it is.
pub fn tolerance(tolerance: Tolerance, units: Units) -> String {
    let (unit, decimals) = scale(units);
    let step = unit / 10_i128.pow(decimals);
    let down = |length: Length| {
        let nm = i128::from(length.nm());
        plain(&decimal(nm - nm.rem_euclid(step), unit, decimals))
    };
    if tolerance.minus == tolerance.plus {
        format!("±{}", down(tolerance.plus))
    } else {
        format!("-{}/+{}", down(tolerance.minus), down(tolerance.plus))
    }
}

/// `Ø12`, `60 × 30`: along the member, then across.
pub fn outline(outline: Outline, units: Units) -> String {
    let figure = |length| figure(length, units);
    match outline {
        Outline::Circle { diameter } => format!("Ø{}", figure(diameter)),
        Outline::Slot { length, width } | Outline::Rectangle { length, width } => {
            format!("{} × {}", figure(length), figure(width))
        }
    }
}

/// A length of strip without its unit, in metres or feet with this many decimals (at most nine).
pub fn strip(length: Length, units: Units, decimals: u32) -> String {
    let unit = match units {
        Units::Millimetres => 1_000_000_000,
        Units::Inches => FOOT,
    };
    decimal(i128::from(length.nm()), unit, decimals.min(9))
}

/// Width and thickness of a strip: `188 × 0.75 mm`.
pub fn section(strip: &StripKind, units: Units) -> String {
    format!(
        "{} × {} {}",
        figure(Length::from_nm(strip.width_nm), units),
        thickness(Length::from_nm(strip.thickness_nm), units),
        short(units)
    )
}

/// A mass without its unit, in kilograms or pounds with one decimal.
pub fn mass(mass: Mass, units: Units) -> String {
    match units {
        Units::Millimetres => mass.to_string(),
        Units::Inches => decimal(i128::from(mass.mg()) * 100, HUNDRED_POUNDS, 1),
    }
}

/// The mass of one piece without its unit, to ten grams or a hundredth of a pound.
pub fn piece_mass(mass: Mass, units: Units) -> String {
    let mg = i128::from(mass.mg());
    match units {
        Units::Millimetres => decimal(mg, 1_000_000, 2),
        Units::Inches => decimal(mg * 100, HUNDRED_POUNDS, 2),
    }
}

/// Without zeros behind the point that say nothing.
fn plain(figure: &str) -> String {
    let shown = if figure.contains('.') {
        figure.trim_end_matches('0').trim_end_matches('.')
    } else {
        figure
    };
    if shown == "-0" { "0".to_string() } else { shown.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Units::{Inches, Millimetres};

    #[test]
    fn figures_are_rounded_to_what_the_paper_says() {
        let inches = |numerator: i64| Length::from_nm(396_875 * numerator);
        assert_eq!(figure(inches(64 * 144), Inches), "144");
        assert_eq!(figure(inches(52), Inches), "0.813");
        assert_eq!(figure(-inches(16), Inches), "-0.25");
        assert_eq!(figure(Length::from_nm(-1), Inches), "0");
        assert_eq!(figure(inches(52), Millimetres), "20.64");
        assert_eq!(figure(Length::from_mm(2386), Millimetres), "2386");
        assert_eq!(thickness(Length::from_nm(1_087_120), Inches), "0.0428");
        assert_eq!(thickness(Length::from_nm(1_087_120), Millimetres), "1.087");
        assert_eq!(outline(Outline::Circle { diameter: inches(12) }, Inches), "Ø0.188");
    }

    #[test]
    fn a_tolerance_is_never_shown_wider_than_it_is() {
        let sixteenth = Length::from_nm(1_587_500);
        assert_eq!(tolerance(Tolerance::even(sixteenth), Inches), "±0.062");
        assert_eq!(tolerance(Tolerance::even(sixteenth), Millimetres), "±1.58");
        let uneven = Tolerance { minus: Length::ZERO, plus: Length::from_um(500) };
        assert_eq!(tolerance(uneven, Millimetres), "-0/+0.5");
    }

    #[test]
    fn fractions_are_shown_only_where_they_are_exact() {
        let inches = |numerator: i64| Length::from_nm(396_875 * numerator);
        assert_eq!(fraction(inches(40 * 64 + 60), Inches).as_deref(), Some("40 15/16"));
        assert_eq!(fraction(inches(52), Inches).as_deref(), Some("13/16"));
        assert_eq!(fraction(inches(1), Inches).as_deref(), Some("1/64"));
        assert_eq!(fraction(inches(64), Inches), None);
        assert_eq!(fraction(inches(52) + Length::from_nm(1), Inches), None);
        assert_eq!(fraction(inches(52), Millimetres), None);
    }

    #[test]
    fn feet_and_pounds_by_their_definitions() {
        // 10 ft are 3.048 m; a pound is 0.453 592 37 kg.
        assert_eq!(strip(Length::from_mm(3_048), Inches, 1), "10.0");
        assert_eq!(strip(Length::from_mm(3_048), Millimetres, 2), "3.05");
        assert_eq!(mass(Mass::from_mg(45_359_237), Inches), "100.0");
        assert_eq!(mass(Mass::from_mg(45_359_237), Millimetres), "45.4");
        assert_eq!(piece_mass(Mass::from_mg(453_592), Inches), "1.00");
        assert_eq!(piece_mass(Mass::from_mg(1_234_567), Millimetres), "1.23");
    }
}
