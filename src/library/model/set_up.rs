use super::line::{Line, ToolId};
use crate::member::model::ProfileId;
use crate::quantity::Time;

/// The time from one profile's set-up to another's, where it differs from setting up afresh.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct ChangeOver {
    /// What the line is set up for.
    pub from: ProfileId,
    /// What it is to be set up for.
    pub to: ProfileId,
    /// Time it takes.
    pub time: Time,
}

impl Line {
    /// Time to set the line up for `to` when it is set up for `from`: nothing where it is the
    /// same, the change-over where one is stated, else the set-up time of `to`.
    pub fn set_up_time(&self, from: Option<ProfileId>, to: ProfileId) -> Time {
        if from == Some(to) {
            return Time::ZERO;
        }
        let stated = self.change_overs.iter().find(|c| Some(c.from) == from && c.to == to);
        stated.map(|c| c.time).unwrap_or_else(|| {
            self.set_ups.iter().find(|s| s.profile == to).map_or(Time::ZERO, |s| s.time)
        })
    }
    /// Whether a tool can be used when the line is set up for a profile.
    pub fn is_mounted(&self, tool: ToolId, profile: ProfileId) -> bool {
        !self.set_ups.iter().any(|s| s.profile == profile && s.without.contains(&tool))
    }
}
