use super::StationId;
use crate::member::model::ProfileId;
use crate::quantity::Length;
use std::sync::Arc;

/// Who applies a calibration: exactly one of them.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum AppliedBy {
    /// The controller knows the factors; programs are written in nominal figures.
    Controller,
    /// Programs carry corrected advances.
    Coilwright,
}

impl AppliedBy {
    /// Its word in calibration files and reports.
    pub const fn word(self) -> &'static str {
        match self {
            AppliedBy::Controller => "controller",
            AppliedBy::Coilwright => "coilwright",
        }
    }
}

/// Correction of one station's distance from the shear.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct StationCorrection {
    /// Which.
    pub station: StationId,
    /// Factor on its distance, parts per 10⁹.
    pub factor: i64,
    /// Shift, positive upstream, after the factor.
    pub shift: Length,
}

/// What was measured on a line at a date, kept apart from its description.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Calibration {
    /// When it was taken: text from the file, `2026-11-20`.
    pub date: Arc<str>,
    /// Who applies it.
    pub applied_by: AppliedBy,
    /// Flat strip per finished length, by profile, as parts per 10⁹ over 1 (negative where
    /// forming lengthens).
    pub profiles: Vec<(ProfileId, i64)>,
    /// Corrections by station.
    pub stations: Vec<StationCorrection>,
}

impl Calibration {
    /// What it says of a profile's strip, in parts per 10⁹, whoever applies it.
    pub fn stated_factor(&self, profile: ProfileId) -> i64 {
        self.profiles.iter().find(|(id, _)| *id == profile).map_or(0, |&(_, f)| f)
    }
    /// What it says of a station, whoever applies it.
    pub fn correction(&self, station: StationId) -> Option<&StationCorrection> {
        self.stations.iter().find(|correction| correction.station == station)
    }
    /// Strip factor of a profile in parts per 10⁹, as far as Coilwright has to apply it.
    pub fn strip_factor(&self, profile: ProfileId) -> i64 {
        match self.applied_by {
            AppliedBy::Controller => 0,
            AppliedBy::Coilwright => self.stated_factor(profile),
        }
    }
    /// What the controller itself stretches every advance by, in parts per 10⁹: a program's
    /// figures are then finished lengths, and the strip it takes is that much longer.
    pub fn controller_factor(&self, profile: ProfileId) -> i64 {
        self.stated_factor(profile) - self.strip_factor(profile)
    }
    /// Distance of a station from the shear, as far as Coilwright has to correct it.
    pub fn offset(&self, station: StationId, nominal: Length) -> Length {
        match self.applied_by {
            AppliedBy::Controller => nominal,
            AppliedBy::Coilwright => {
                self.correction(station).map_or(nominal, |c| nominal.stretched(c.factor) + c.shift)
            }
        }
    }
}
