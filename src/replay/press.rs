use super::machine::Machine;
use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::program::Stroke;

/// Whether the strokes of one phase can fire together: no two that clash, and no press over its
/// force. Which presses they take.
pub(super) fn check(
    machine: &Machine,
    event: usize,
    strokes: &[Stroke],
    refusals: &mut Refusals,
) -> Vec<usize> {
    let line = machine.line;
    for (index, one) in strokes.iter().enumerate() {
        for other in strokes.get(index + 1..).unwrap_or_default() {
            let pair = (one.tool.min(other.tool), one.tool.max(other.tool));
            if line.clashes.contains(&pair) {
                refusals.add(Some(event), || {
                    let message = format!(
                        "{}: tools `{}` and `{}` fire together and clash",
                        numbered(event),
                        machine.tool_name(pair.0),
                        machine.tool_name(pair.1)
                    );
                    Diagnostic::new(&codes::E0831, message).help(COMPILE_AGAIN)
                });
            }
        }
    }
    let mut taken = Vec::new();
    for (index, press) in line.presses.iter().enumerate() {
        let mut force = 0_i64;
        let mut strikes = false;
        for stroke in strokes {
            let Some(tool) = line.tool(stroke.tool) else { continue };
            if press.stations.contains(&tool.station) {
                strikes = true;
                force = force.saturating_add(tool.force);
            }
        }
        if strikes {
            taken.push(index);
        }
        if let Some(most) = press.force.filter(|most| force > *most) {
            refusals.add(Some(event), || {
                let message = format!(
                    "{}: press `{}` is asked for {force} N at once; it has {most} N",
                    numbered(event),
                    press.name
                );
                Diagnostic::new(&codes::E0830, message).help(COMPILE_AGAIN)
            });
        }
    }
    taken
}
