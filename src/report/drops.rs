//! Pieces of scrap that a run cuts off: where they fall, how long they are, and why.

use crate::library::model::Slope;
use crate::plan::{Inputs, Run};
use crate::program::Event;
use crate::quantity::Length;
use schemars::JsonSchema;
use serde::Serialize;

/// A piece of scrap that the shear cuts off.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DropReport {
    /// Why: `head` (from thread-up to the first member), `defect`, `slopes` (the ends of two
    /// members slope differently), or `gap` (members that cannot share a cut for another reason).
    pub cause: String,
    /// Serial of the piece that drops next; absent after the last.
    pub before: Option<u32>,
    /// Its length on the strip, along the middle of the web.
    pub length_nm: i64,
    /// Advance at which it is cut.
    pub cut_nm: i64,
}

/// What the shear cuts off besides pieces, with the reason.
pub(super) fn scrap(inputs: &Inputs<'_>, run: &Run) -> Vec<DropReport> {
    let coil = run.coil.as_counted(inputs.calibration.controller_factor(run.profile));
    let mut from = Length::ZERO;
    let mut begun = false;
    let mut edge = Slope::SQUARE;
    // Scrap since the last piece: what drops next is not known yet.
    let mut waiting = 0;
    let mut scrap: Vec<DropReport> = Vec::new();
    for event in &run.program.events {
        let Event::Cut { at, piece, slope } = event else { continue };
        let to = at.distance();
        match piece {
            Some(serial) => {
                for drop in scrap.iter_mut().rev().take(waiting) {
                    drop.before = Some(serial.0);
                }
                waiting = 0;
                begun = true;
            }
            None => {
                let defect = coil.defects.iter().any(|(start, end)| *start < to && from < *end);
                let cause = match (defect, begun) {
                    (_, false) => "head",
                    (true, true) => "defect",
                    (false, true) if edge != *slope => "slopes",
                    (false, true) => "gap",
                };
                scrap.push(DropReport {
                    cause: cause.to_string(),
                    before: None,
                    length_nm: (to - from).nm(),
                    cut_nm: to.nm(),
                });
                waiting += 1;
            }
        }
        from = to + inputs.line.shear.slug;
        edge = *slope;
    }
    scrap
}
