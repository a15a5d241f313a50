use crate::library::model::{Calibration, Line, StationId, ToolId};
use crate::member::model::ProfileId;
use crate::quantity::{Advance, Grid, Length};

/// A line as one profile meets it: distances from the shear calibrated, in strip or in finished
/// lengths as programs count.
#[derive(Clone, Debug)]
pub struct Geometry {
    /// Points the line can stop at.
    pub grid: Grid,
    /// Flat strip per finished length, parts per 10⁹ over 1.
    pub strip_factor: i64,
    /// Slug of a cut.
    pub slug: Length,
    offsets: Vec<Length>,
    tool_stations: Vec<StationId>,
    marker: Length,
}

impl Geometry {
    /// The line's geometry for a profile.
    pub fn new(line: &Line, calibration: &Calibration, profile: ProfileId) -> Geometry {
        let offset_of = |id: StationId| {
            line.station(id).map_or(Length::ZERO, |s| calibration.offset(id, s.offset, profile))
        };
        Geometry {
            grid: line.grid,
            strip_factor: calibration.strip_factor(profile),
            slug: line.shear.slug,
            offsets: line.tools.iter().map(|tool| offset_of(tool.station)).collect(),
            tool_stations: line.tools.iter().map(|tool| tool.station).collect(),
            marker: line.marker.as_ref().map_or(Length::ZERO, |m| m.offset),
        }
    }
    /// Distance of a tool from the shear.
    pub fn offset(&self, tool: ToolId) -> Length {
        self.offsets.get(usize::from(tool.0)).copied().unwrap_or(Length::ZERO)
    }
    /// The station a tool is mounted on.
    pub fn station(&self, tool: ToolId) -> StationId {
        self.tool_stations.get(usize::from(tool.0)).copied().unwrap_or(StationId(u16::MAX))
    }
    /// Distance of the marker from the shear.
    pub fn marker_offset(&self) -> Length {
        self.marker
    }
    /// Strip a finished length takes.
    pub fn strip(&self, finished: Length) -> Length {
        finished.stretched(self.strip_factor)
    }
    /// A stretch of strip as people know it: on the finished member, to a hundredth of a
    /// millimetre.
    pub fn told(&self, strip: Length) -> Length {
        let finished = strip.unstretched(self.strip_factor);
        Length::from_nm((finished.nm() + 5_000).div_euclid(10_000) * 10_000)
    }
    /// What an accuracy of the machine may come to on the finished member, and the nanometres that
    /// rounding between strip and member may add.
    pub fn allowance(&self, accuracy: Length) -> Length {
        if self.strip_factor == 0 {
            return accuracy;
        }
        accuracy.stretched(self.strip_factor.abs().saturating_mul(2)) + Length::from_nm(4)
    }
    /// Whole steps at or below a length.
    pub fn floor_steps(&self, length: Length) -> i64 {
        length.nm().div_euclid(self.grid.increment().nm())
    }
    /// Whole steps at or above a length.
    pub fn ceil_steps(&self, length: Length) -> i64 {
        -(-length.nm()).div_euclid(self.grid.increment().nm())
    }
    /// The grid point of this many steps.
    pub fn advance(&self, steps: i64) -> Advance {
        Advance::at(self.length(steps))
    }
    /// The length of this many steps.
    pub fn length(&self, steps: i64) -> Length {
        self.grid.increment().times(steps)
    }
}
