//! Times that a program states and the line decides: what they are, and how they are written.

use super::number::Number;
use crate::library::model::{Line, ToolId};
use crate::quantity::Time;

/// Times of one line.
#[derive(Clone, Debug, Default)]
pub(super) struct Times {
    /// Of one stroke, by tool.
    tools: Vec<Time>,
    /// Of one cut.
    shear: Time,
    /// To come to rest.
    pub(super) settle: Time,
}

/// What a program stands still for.
#[derive(Clone, Copy)]
pub(super) enum Dwell<'a> {
    /// A stroke, or all of a phase: the slowest counts.
    Tools(&'a [ToolId]),
    /// A cut.
    Cut,
}

impl Times {
    pub(super) fn of(line: &Line) -> Times {
        Times {
            tools: line.tools.iter().map(|tool| tool.time).collect(),
            shear: line.shear.time,
            settle: line.feed.settle,
        }
    }

    pub(super) fn dwell(&self, dwell: Dwell<'_>) -> Time {
        let of = |tool: &ToolId| self.tools.get(usize::from(tool.0)).copied().unwrap_or(Time::ZERO);
        match dwell {
            Dwell::Tools(tools) => tools.iter().map(of).max().unwrap_or(Time::ZERO),
            Dwell::Cut => self.shear,
        }
    }
}

impl Number {
    /// How this time is written: never less than it is. `None` where it does not fit.
    pub(super) fn time(&self, time: Time) -> Option<String> {
        let mut text = String::new();
        self.write(self.up(time.ns()), &mut text).ok()?;
        Some(text)
    }
}
