//! Sloped cuts: whether the shear makes them, and what they leave between each other.

use super::machine::{Fitted, Machine};
use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use super::strip::VirtualStrip;
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::{How, Slope, ToolId};
use crate::quantity::{Length, Strip};

/// Whether the shear of this line can be turned so, over this section.
pub(super) fn can_be_cut(machine: &Machine, event: usize, slope: Slope, refusals: &mut Refusals) {
    if slope.is_square() {
        return;
    }
    let slopes = &machine.line.shear.slopes;
    let why = if machine.web.is_none() {
        "the edges of this section stand out beyond its web, where a slope is not measured".into()
    } else if slopes.has(slope) {
        return;
    } else if slopes.is_empty() {
        "it cuts square".to_string()
    } else {
        format!("it turns to {slopes}")
    };
    refusals.add(Some(event), || {
        let message = format!(
            "{}: a cut on the slope {slope}; line `{}` cannot make it: {why}",
            numbered(event),
            machine.line.name
        );
        Diagnostic::new(&codes::E0832, message).help(COMPILE_AGAIN)
    });
}

/// Length of what a cut here takes off, at the side of the web where it is shorter; less than
/// nothing where the cut runs over the edge before it.
pub(super) fn shorter_side(strip: &VirtualStrip, cut: Strip, slope: Slope) -> Length {
    let machine = strip.machine;
    let (before, behind) = (machine.at_left(strip.edge_slope), machine.at_left(slope));
    let left = (cut + behind) - (strip.edge + before);
    let right = (cut - behind) - (strip.edge - before);
    left.min(right)
}

pub(super) fn cuts_cross(
    strip: &VirtualStrip,
    event: usize,
    cut: Strip,
    slope: Slope,
) -> Diagnostic {
    let message = format!(
        "{}: a cut at {cut} mm, {slope}, runs over the edge at {} mm, {}",
        numbered(event),
        strip.edge,
        strip.edge_slope
    );
    Diagnostic::new(&codes::E0833, message).help(COMPILE_AGAIN)
}

/// Whether a tool made to shape ends leaves its mark where a sloped cut runs.
pub(super) fn shapes_end(tool: &Fitted, c: Strip, (from, to): (Strip, Strip)) -> bool {
    matches!(tool.how, How::End | How::Straddle)
        && c - (tool.before + tool.accuracy) < to
        && c + (tool.after + tool.accuracy) > from
}

pub(super) fn end_tool_on_slope(
    machine: &Machine,
    tool: ToolId,
    event: usize,
    slope: Slope,
) -> Diagnostic {
    let message = format!(
        "{}: tool `{}` shapes square ends and comes down where the cut is {slope}",
        numbered(event),
        machine.tool_name(tool)
    );
    Diagnostic::new(&codes::E0834, message).help(COMPILE_AGAIN)
}
