//! Calibration: `calibration.toml`.

use super::common::{Found, finding, unknown};
use super::model::{self, Library, Line, StationId};
use super::reading::{At, Entries, PartsPerBillion, wire, words};
use crate::diagnostic::codes::library as codes;
use crate::quantity::Length;

words! {
    /// Who applies a calibration: exactly one of them.
    pub enum AppliedByWord {
        /// The controller knows the factors; programs are written in nominal figures.
        Controller = "controller",
        /// Programs carry corrected advances.
        Coilwright = "coilwright",
    }
}

wire! {
    /// What was measured on a line at a date.
    pub struct Calibration {
        /// When it was taken, as year-month-day: "2026-11-20".
        date: At<String>,
        /// Who applies it.
        applied_by: AppliedByWord,
        /// By profile: flat strip per finished length, as a correction; negative where forming
        /// lengthens.
        profiles: Option<Entries<At<PartsPerBillion>>>,
        /// By station: correction of its distance from the shear.
        stations: Option<Entries<StationCorrection>>,
    }
    /// Correction of a station's distance.
    pub struct StationCorrection {
        /// Factor on the distance, as a correction; none when left out.
        factor: Option<PartsPerBillion>,
        /// Shift after the factor, positive upstream; none when left out.
        shift: Option<At<Length>>,
    }
}

/// The calibration of this line.
pub(super) fn settle(
    wire: &Calibration,
    library: &Library,
    line: &Line,
    found: &mut Found,
) -> model::Calibration {
    check_date(&wire.date, found);
    let mut profiles = Vec::new();
    for (name, factor) in wire.profiles.iter().flat_map(|entries| &entries.0) {
        match library.profile_named(&name.value) {
            Some((id, _)) => profiles.push((id, factor.value.0)),
            None => unknown(found, "profile", name, library.profiles.iter().map(|p| &*p.name)),
        }
    }
    let mut stations = Vec::new();
    for (name, correction) in wire.stations.iter().flat_map(|entries| &entries.0) {
        let index = line.stations.iter().position(|s| *s.name == *name.value);
        let Some(station) = index.and_then(|i| u16::try_from(i).ok()).map(StationId) else {
            unknown(found, "station", name, line.stations.iter().map(|s| &*s.name));
            continue;
        };
        if let Some(at) = &correction.shift
            && at.value.abs() > Length::from_mm(100)
        {
            let help = "a correction is a few millimetres: measure the line's `offset` again";
            let message = format!("a shift of {} mm is no correction", at.value);
            super::common::out_of_range(found, at.span, message, help);
        }
        stations.push(model::StationCorrection {
            station,
            factor: correction.factor.map_or(0, |f| f.0),
            shift: correction.shift.as_ref().map_or(Length::ZERO, |at| at.value),
        });
    }
    model::Calibration {
        date: wire.date.value.as_str().into(),
        applied_by: match wire.applied_by {
            AppliedByWord::Controller => model::AppliedBy::Controller,
            AppliedByWord::Coilwright => model::AppliedBy::Coilwright,
        },
        profiles,
        stations,
        counted: line.counted(),
    }
}

/// Days of a month of the Gregorian calendar; none where there is no such month.
fn days(year: u32, month: u32) -> u32 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if leap => 29,
        2 => 28,
        _ => 0,
    }
}

pub(super) fn check_date(date: &At<String>, found: &mut Found) {
    let parts: Vec<&str> = date.value.split('-').collect();
    let number = |text: &str, digits: usize| {
        (text.len() == digits && text.bytes().all(|b| b.is_ascii_digit()))
            .then(|| text.parse::<u32>().ok())
            .flatten()
    };
    let good = match parts.as_slice() {
        [year, month, day] => match (number(year, 4), number(month, 2), number(day, 2)) {
            (Some(year), Some(month), Some(day)) => (1..=days(year, month)).contains(&day),
            _ => false,
        },
        _ => false,
    };
    if !good {
        found.push(finding(
            &codes::E0318,
            date.span,
            format!("`{}` is not a date", date.value),
            "not year-month-day",
            "write it as \"2026-11-20\": papers show how old the calibration is",
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::days;

    #[test]
    fn days_of_months() {
        let february = [(2024, 29), (2026, 28), (1900, 28), (2000, 29)];
        assert!(february.iter().all(|&(year, last)| days(year, 2) == last));
        assert_eq!((1..=12).map(|month| days(2026, month)).sum::<u32>(), 365);
        assert_eq!((days(2026, 0), days(2026, 13)), (0, 0));
    }
}
