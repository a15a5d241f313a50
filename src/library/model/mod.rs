//! Library values, after reading: indices instead of names, exact quantities instead of text.

mod batch;
mod calibration;
mod controller;
mod dialect;
mod done;
mod ends;
mod feature_type;
mod label;
mod likeness;
mod line;
mod log;
mod measured;
mod naming;
mod profile;
mod rule;
mod set_up;
mod shear;
mod spot;
mod stock;

pub use batch::{AtEnd, Batch, Bundling, Effort, JobOrder, Units};
pub use calibration::{AppliedBy, Calibration, Counted, StationCorrection};
pub use controller::{Controller, Level, Offsets, Snapping, Ties};
pub use dialect::{
    Blanks, Characters, Dialect, Escape, Field, HexEscape, Limits, LineEnd, NumberFormat, Padding,
    Part, Record, Records, Scope, Sign, TextFormat, TextWidth, ToolCode, ToolNames, TypeCode, Unit,
    Written,
};
pub use done::{Done, DonePiece};
pub use ends::{Bars, Ends};
pub use feature_type::{FeatureType, Form, OutlineForm, Purpose};
pub use label::{LabelLayout, LabelLayouts, LabelPaper};
pub use likeness::Likeness;
pub use line::{
    Feed, Firing, Head, How, Line, Made, Marker, OverlapOrder, PatternPart, Press, SetUp, Stamp,
    Station, StationId, Tool, ToolId, Works,
};
pub use log::{Happening, LogField, LogFormat, LogPart};
pub use measured::{
    Edge, Halt, LogNamed, Measured, PieceName, Tape, TapedFeature, TapedPiece, Which,
};
pub use naming::{FileNaming, NamePart, NameValue};
pub use profile::{Coating, Profile, Section};
pub use rule::{Limit, Measure, Rule, RuleFilter, RuleSet};
pub use set_up::ChangeOver;
pub use shear::{Shear, Slope, SlopeRange, Slopes};
pub use spot::Spot;
pub use stock::{Coil, LengthBasis, Stock};

use crate::member::model::{FeatureTypeId, ProfileId};

/// What members are resolved and checked against: needs no line.
#[derive(Clone, Debug, Default)]
pub struct Library {
    /// Feature types; [`FeatureTypeId`] indexes them.
    pub features: Vec<FeatureType>,
    /// Profiles; [`ProfileId`] indexes them.
    pub profiles: Vec<Profile>,
    /// Rule sets in force.
    pub rule_sets: Vec<RuleSet>,
}

impl Library {
    /// The feature type of this id.
    pub fn feature(&self, id: FeatureTypeId) -> Option<&FeatureType> {
        self.features.get(usize::from(id.0))
    }
    /// The feature type of this name.
    pub fn feature_named(&self, name: &str) -> Option<(FeatureTypeId, &FeatureType)> {
        let index = self.features.iter().position(|f| &*f.name == name)?;
        Some((FeatureTypeId(u16::try_from(index).ok()?), self.features.get(index)?))
    }
    /// The profile of this id.
    pub fn profile(&self, id: ProfileId) -> Option<&Profile> {
        self.profiles.get(usize::from(id.0))
    }
    /// The profile of this name.
    pub fn profile_named(&self, name: &str) -> Option<(ProfileId, &Profile)> {
        let index = self.profiles.iter().position(|p| &*p.name == name)?;
        Some((ProfileId(u16::try_from(index).ok()?), self.profiles.get(index)?))
    }
}
