use super::machine::Machine;
use super::products::Piece;
use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use super::strip::{Struck, VirtualStrip};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::ToolId;
use crate::member::model::Faces;
use crate::quantity::Strip;

/// What one stroke clamps on the strip.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clamped {
    pub from: Strip,
    pub to: Strip,
    pub tool: ToolId,
    /// On which faces; tools on different faces do not reach each other's marks.
    pub faces: Faces,
    pub struck: Struck,
}

/// Whether, on one good piece, different tools clamp the same strip without leave, or in the
/// wrong order. `false` when replay has to stop.
pub(super) fn check(
    strip: &mut VirtualStrip,
    piece: &Piece,
    clamped: &mut [Clamped],
    refusals: &mut Refusals,
) -> bool {
    clamped.sort_unstable_by_key(|c| (c.from, c.to, c.tool, c.struck.event));
    for (index, first) in clamped.iter().enumerate() {
        let later = clamped.get(index + 1..).unwrap_or_default();
        let mut compared = 0;
        for second in later.iter().take_while(|second| second.from < first.to) {
            compared += 1;
            let from = second.from.max(piece.long.0);
            let to = first.to.min(second.to).min(piece.long.1);
            if from < to && first.tool != second.tool && first.faces.intersects(second.faces) {
                compare(strip.machine, piece, first, second, refusals);
            }
        }
        if !strip.spend(piece.event, compared, refusals) {
            return false;
        }
    }
    true
}

fn compare(
    machine: &Machine,
    piece: &Piece,
    one: &Clamped,
    other: &Clamped,
    refusals: &mut Refusals,
) {
    let order = |c: &Clamped| (c.struck.event, c.struck.phase);
    let (first, then) = if order(one) <= order(other) { (one, other) } else { (other, one) };
    let allowed = |a: ToolId, b: ToolId| machine.overlaps.binary_search(&(a, b)).is_ok();
    let together = order(first) == order(then);
    if allowed(first.tool, then.tool) && !together {
        return;
    }
    let listed = allowed(first.tool, then.tool) || allowed(then.tool, first.tool);
    let of = piece.serial.map_or(String::new(), |serial| format!(" of piece {serial}"));
    let place = |c: &Clamped| {
        format!(
            "tool `{}` ({}, clamping {} to {} mm)",
            machine.tool_name(c.tool),
            numbered(c.struck.event),
            c.from - (piece.long.0 - Strip::ZERO),
            c.to - (piece.long.0 - Strip::ZERO)
        )
    };
    refusals.add(Some(then.struck.event), || {
        if listed {
            let when = if together { "at the same moment as" } else { "before" };
            let message =
                format!("{} fires {when} {} over the same strip{of}", place(first), place(then));
            Diagnostic::new(&codes::E0813, message)
                .note("the line file allows this pair to overlap in the other order only")
                .help(COMPILE_AGAIN)
        } else {
            let message = format!("{} and {} overlap on the strip{of}", place(first), place(then));
            Diagnostic::new(&codes::E0812, message)
                .help("move the features apart, or list the pair under the line's overlaps if it does no harm")
        }
    });
}
