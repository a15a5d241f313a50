//! Cells of a list: figures, and where they stand.

use crate::exchange::figure;
use crate::exchange::map::{Decimal, UnitWord};
use crate::library::reading::{Fault, length_text};
use crate::quantity::Length;

/// Why a cell is no length.
#[derive(PartialEq, Eq, Debug)]
pub(super) enum Wrong {
    /// It is written wrongly: what, and what to write.
    Figure(String, String),
    /// Its unit is not its column's.
    Unit(String),
    /// Neither it nor the map says a unit.
    NoUnit,
}

/// How figures of a list are written.
#[derive(Clone, Copy, Debug)]
pub(super) struct Figures {
    pub decimal: Decimal,
    /// Of figures that say none.
    pub unit: Option<UnitWord>,
    /// Whether figures may say another.
    pub mixed: bool,
}

/// A length that a cell says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Said {
    pub length: Length,
    /// The system of the unit that stands in the cell, if one does.
    pub system: Option<System>,
    /// Whether that is another unit than the list's.
    pub other: bool,
}

/// Units that go together.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum System {
    Metric,
    Inch,
}

impl System {
    /// Its units, for a message.
    pub fn words(self) -> &'static str {
        match self {
            System::Metric => "millimetres or metres",
            System::Inch => "inches or feet",
        }
    }
}

impl Figures {
    /// The length a cell says.
    pub fn length(self, cell: &str) -> Result<Said, Wrong> {
        let text = cell.trim();
        if let Some(length) = self.unit.and_then(|unit| plain(text, self.decimal, unit)) {
            return Ok(Said { length, system: None, other: false });
        }
        let strange = match self.decimal {
            Decimal::Point => ',',
            Decimal::Comma => '.',
        };
        if text.contains(strange) {
            let sign = if strange == ',' { "point" } else { "comma" };
            return Err(Wrong::Figure(
                format!("`{text}` has a `{strange}`, and the decimal sign of this list is a {sign}"),
                "write it without signs between thousands, or correct `decimal` in [table] of the map".into(),
            ));
        }
        let text = figure::spelled(&text.replace(',', "."))
            .map_err(|(what, help)| Wrong::Figure(what, help))?;
        let units = units_in(&text);
        let other = self.unit.is_some_and(|unit| units.iter().any(|u| !goes_with(u, unit)));
        let written = match (units.is_empty(), self.unit) {
            (true, Some(unit)) => format!("{text} {}", unit.word()),
            // What is no figure at all is told as that.
            (true, None) if text.starts_with(|c: char| c.is_ascii_digit() || "-−.".contains(c)) =>
            {
                return Err(Wrong::NoUnit);
            }
            (true, None) => text.clone(),
            (false, Some(unit)) if other && !self.mixed && length_text(&text).is_ok() => {
                return Err(Wrong::Unit(format!("`{text}` is not in {}", unit.word())));
            }
            (false, _) => text.clone(),
        };
        let length = length_text(&written).map_err(|fault| {
            let (what, help) = match &fault {
                Fault::NoFigure => (
                    "no figure stands here".to_string(),
                    "write digits, such as 2396 or 2396.5".to_string(),
                ),
                Fault::NoUnit(_) => (
                    "a figure in it has no unit".to_string(),
                    "write it behind each figure, such as 2396 mm or 7' 10\"".to_string(),
                ),
                fault => fault.tell(),
            };
            Wrong::Figure(format!("`{written}`: {what}"), help)
        })?;
        Ok(Said { length, system: units.first().and_then(|unit| system(unit)), other })
    }
}

fn system(unit: &str) -> Option<System> {
    match unit {
        "mm" | "cm" | "m" | "um" | "µm" => Some(System::Metric),
        "in" | "ft" | "\"" | "'" => Some(System::Inch),
        _ => None,
    }
}

/// Whether a unit may stand in a list of another: feet with inches do.
fn goes_with(written: &str, unit: UnitWord) -> bool {
    match unit {
        UnitWord::Mm => written == "mm",
        UnitWord::M => written == "m",
        UnitWord::In | UnitWord::Ft => matches!(written, "in" | "ft" | "\"" | "'"),
    }
}

/// Words and marks that are units, as they stand in a text.
fn units_in(text: &str) -> Vec<&str> {
    text.split(|c: char| !(c.is_alphabetic() || c == '"' || c == '\''))
        .filter(|unit| !unit.is_empty())
        .collect()
}

/// Digits with one decimal sign, in this unit, exactly; `None` for everything else, which is
/// looked at more closely.
fn plain(text: &str, decimal: Decimal, unit: UnitWord) -> Option<Length> {
    let sign = match decimal {
        Decimal::Point => b'.',
        Decimal::Comma => b',',
    };
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    if digits.is_empty() || digits.len() > 16 {
        return None;
    }
    let (mut value, mut scale, mut after) = (0_i128, 1_i128, None);
    for byte in digits.bytes() {
        match byte {
            b'0'..=b'9' => {
                value = value * 10 + i128::from(byte - b'0');
                if let Some(count) = &mut after {
                    scale *= 10;
                    *count += 1;
                }
            }
            byte if byte == sign && after.is_none() => after = Some(0),
            _ => return None,
        }
    }
    if after == Some(0) {
        return None;
    }
    let nm = value * unit.nm();
    if nm % scale != 0 {
        return None;
    }
    let nm = i64::try_from(nm / scale).ok()?;
    let length = Length::from_nm(if negative { -nm } else { nm });
    (length.abs() <= Length::LIMIT).then_some(length)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, decimal: Decimal, unit: Option<UnitWord>) -> Result<i64, Wrong> {
        Figures { decimal, unit, mixed: false }.length(text).map(|said| said.length.nm())
    }

    #[test]
    fn figures_are_exact_in_every_spelling() {
        use Decimal::{Comma, Point};
        let mm = Some(UnitWord::Mm);
        assert_eq!(read("2396", Point, mm), Ok(2_396_000_000));
        assert_eq!(read(" 2396.5 ", Point, mm), Ok(2_396_500_000));
        assert_eq!(read("2396,5", Comma, mm), Ok(2_396_500_000));
        assert_eq!(read("2396,5 mm", Comma, None), Ok(2_396_500_000));
        assert_eq!(read("-0,25", Comma, mm), Ok(-250_000));
        assert_eq!(read("2.396", Point, Some(UnitWord::M)), Ok(2_396_000_000));
        assert_eq!(read("94 3/8", Point, Some(UnitWord::In)), Ok(2_397_125_000));
        assert_eq!(read("7' 10-3/8\"", Point, Some(UnitWord::In)), Ok(2_397_125_000));
        assert_eq!(read("0.000001", Point, mm), Ok(1));
    }

    #[test]
    fn what_could_be_two_things_is_refused() {
        use Decimal::{Comma, Point};
        let mm = Some(UnitWord::Mm);
        assert!(matches!(read("2,396", Point, mm), Err(Wrong::Figure(..))));
        assert!(matches!(read("2.396,5", Comma, mm), Err(Wrong::Figure(..))));
        assert_eq!(read("2396", Point, None), Err(Wrong::NoUnit));
        assert!(matches!(read("94 in", Point, mm), Err(Wrong::Unit(_))));
        assert!(matches!(read("2396 mm", Point, Some(UnitWord::In)), Err(Wrong::Unit(_))));
        assert!(matches!(read("24 in", Point, mm), Err(Wrong::Unit(_))));
        assert!(matches!(read("2.4 m", Point, mm), Err(Wrong::Unit(_))));
        let mixed = Figures { decimal: Point, unit: mm, mixed: true };
        let said = mixed.length("24 in").unwrap();
        assert_eq!(
            (said.length.nm(), said.system, said.other),
            (609_600_000, Some(System::Inch), true)
        );
        assert!(!mixed.length("24 mm").unwrap().other && !mixed.length("24").unwrap().other);
        for text in ["", "-", ".", "1.", "abc", "12 34", "1e3", "٣", "99999999999999999999"] {
            assert!(read(text, Point, mm).is_err(), "{text}");
        }
    }
}
