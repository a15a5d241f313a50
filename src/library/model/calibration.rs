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

/// What the figures of programs count, by where the line's encoder sits.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Counted {
    /// Flat strip: the encoder runs before the forming zone, or the line does not say.
    #[default]
    Strip,
    /// The formed section: the encoder runs behind the forming zone.
    Section {
        /// Distance from the shear beyond which the line holds flat strip.
        flat_from: Length,
    },
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
    /// What the encoder of its line counts.
    pub counted: Counted,
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
    /// Strip factor of a profile in parts per 10⁹, as far as Coilwright has to apply it: not at all
    /// where an encoder on the formed section counts finished lengths.
    pub fn strip_factor(&self, profile: ProfileId) -> i64 {
        match (self.applied_by, self.counted) {
            (AppliedBy::Coilwright, Counted::Strip) => self.stated_factor(profile),
            (AppliedBy::Coilwright, Counted::Section { .. }) | (AppliedBy::Controller, _) => 0,
        }
    }
    /// What the controller itself stretches every advance by, or forming does before an encoder
    /// behind it, in parts per 10⁹: a program's figures are then finished lengths, and the strip it
    /// takes is that much longer.
    pub fn controller_factor(&self, profile: ProfileId) -> i64 {
        self.stated_factor(profile) - self.strip_factor(profile)
    }
    /// Distance of a station from the shear, as far as Coilwright has to correct it. Where finished
    /// lengths are counted, the flat strip that lies between is counted as what it will be.
    pub fn offset(&self, station: StationId, nominal: Length, profile: ProfileId) -> Length {
        if self.applied_by == AppliedBy::Controller {
            return nominal;
        }
        let tape =
            self.correction(station).map_or(nominal, |c| nominal.stretched(c.factor) + c.shift);
        match self.counted {
            Counted::Section { flat_from } if tape > flat_from => {
                flat_from + (tape - flat_from).unstretched(self.stated_factor(profile))
            }
            Counted::Section { .. } | Counted::Strip => tape,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn calibration(counted: Counted) -> Calibration {
        let station = StationId(0);
        Calibration {
            date: "2026-11-20".into(),
            applied_by: AppliedBy::Coilwright,
            profiles: vec![(ProfileId(0), -1_000_000)],
            stations: vec![StationCorrection { station, factor: 0, shift: Length::from_mm(1) }],
            counted,
        }
    }

    /// Forming from 1 m to 3 m makes of 999 mm of strip 1 m of section. A station whose tape says
    /// 4 m stands, with its shift of 1 mm, at 4 001 mm: 2 m of section and 2 001 mm of flat strip,
    /// which will be 2 001 / 0.999 = 2 003.003 mm.
    #[test]
    fn flat_strip_before_an_encoder_behind_the_rolls_counts_as_what_it_will_be() {
        let flat_from = Length::from_mm(2_000);
        let behind = calibration(Counted::Section { flat_from });
        let at = |of: &Calibration, mm| {
            of.offset(StationId(0), Length::from_mm(mm), ProfileId(0)).nm() / 1_000
        };
        assert_eq!(at(&behind, 4_000), 4_003_003);
        assert_eq!(at(&behind, 500), 501_000, "on the section");
        assert_eq!(behind.strip_factor(ProfileId(0)), 0);
        assert_eq!(behind.controller_factor(ProfileId(0)), -1_000_000);
        let before = calibration(Counted::Strip);
        assert_eq!(at(&before, 4_000), 4_001_000);
        assert_eq!(before.strip_factor(ProfileId(0)), -1_000_000);
        // A controller that applies all of it is told nominal figures.
        let theirs = Calibration { applied_by: AppliedBy::Controller, ..behind };
        assert_eq!(at(&theirs, 4_000), 4_000_000);
        assert_eq!(theirs.controller_factor(ProfileId(0)), -1_000_000);
    }
}
