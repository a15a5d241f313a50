use super::clock::Clock;
use super::machine::Fitted;
use super::press;
use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use super::slope;
use super::strip::{Struck, VirtualStrip};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::{Firing, How, ToolId};
use crate::program::Stroke;
use crate::quantity::{Advance, Length, Strip, Time};

/// Work a stroke may cost before the program counts as too dense, in steps: its attachment to
/// pieces and its comparison with neighbours.
const WORK_OF_A_STROKE: u64 = 64;

/// Fires the strokes of one stop, phase after phase; `false` when replay has to stop.
pub(super) fn fire(
    strip: &mut VirtualStrip,
    clock: &mut Clock,
    event: usize,
    at: Advance,
    strokes: &[Stroke],
    refusals: &mut Refusals,
) -> bool {
    strip.machine.can_stand(event, at, refusals);
    strip.work = strip.work.saturating_add(WORK_OF_A_STROKE.saturating_mul(strokes.len() as u64));
    let sorted;
    let in_order = if strokes.is_sorted() {
        strokes
    } else {
        sorted = {
            let mut copy = strokes.to_vec();
            copy.sort_unstable();
            copy
        };
        &sorted
    };
    let mut from = 0;
    while let Some(first) = in_order.get(from) {
        let until = in_order.partition_point(|stroke| stroke.phase <= first.phase);
        let together = in_order.get(from..until).unwrap_or_default();
        from = until.max(from + 1);
        let mut slowest = Time::ZERO;
        for stroke in together {
            if let Some(time) = strike(strip, event, at, *stroke, refusals) {
                slowest = slowest.max(time);
            }
        }
        one_moment(strip, event, at, *first, refusals);
        let presses = press::check(strip.machine, event, together, refusals);
        clock.phase(slowest, &presses);
    }
    true
}

/// A line that fires all tools of a stop at once has one moment at each: no second phase, and no
/// second record where the strip stands.
fn one_moment(
    strip: &mut VirtualStrip,
    event: usize,
    at: Advance,
    stroke: Stroke,
    refusals: &mut Refusals,
) {
    let before = strip.last_moment.replace((at, event, stroke.phase));
    let Some((_, earlier, phase)) = before.filter(|(stood, ..)| *stood == at) else { return };
    let line = strip.machine.line;
    if line.firing == Firing::AtOnce && (earlier, phase) != (event, stroke.phase) {
        refusals.add(Some(event), || {
            let message = format!(
                "{}, advance {at} mm: tool `{}` fires after others at the same stop, and line `{}` \
                 fires all tools of a stop at once",
                numbered(event),
                strip.machine.tool_name(stroke.tool),
                line.name
            );
            Diagnostic::new(&codes::E0836, message)
                .note("what may not fire together needs a stop of its own on this line")
                .help(COMPILE_AGAIN)
        });
    }
}

/// One firing of one tool; the time it takes, or `None` where there is no such tool.
fn strike(
    strip: &mut VirtualStrip,
    event: usize,
    at: Advance,
    stroke: Stroke,
    refusals: &mut Refusals,
) -> Option<Time> {
    let index = usize::from(stroke.tool.0);
    let Some(&tool) = strip.machine.tools.get(index) else {
        refusals.add(Some(event), || {
            let message = format!(
                "{}, advance {at} mm: there is no tool {} on line `{}`",
                numbered(event),
                stroke.tool.0,
                strip.machine.line.name
            );
            Diagnostic::new(&codes::E0809, message).help(COMPILE_AGAIN)
        });
        return None;
    };
    let c = at.strip_at(tool.offset);
    let name = || strip.machine.tool_name(stroke.tool);
    let place = || {
        format!(
            "{}, advance {at} mm: tool `{}` works at {c} mm of the strip",
            numbered(event),
            name()
        )
    };
    if let Some(fired) = strip.last_fired.get_mut(usize::from(tool.station.0)) {
        if *fired == Some(at) {
            refusals.add(Some(event), || {
                let station = strip.machine.line.station(tool.station);
                let message = format!(
                    "{}, advance {at} mm: station `{}` fires twice, the second time with tool `{}`",
                    numbered(event),
                    station.map_or("?", |s| &s.name),
                    name()
                );
                Diagnostic::new(&codes::E0808, message).help(COMPILE_AGAIN)
            });
        }
        *fired = Some(at);
    }
    if let Some(last) = strip.last_struck.get_mut(index) {
        let apart = last.map(|last| c - last);
        *last = Some(c);
        if let Some(apart) = apart
            && apart > Length::ZERO
            && apart < tool.refire
        {
            refusals.add(Some(event), || {
                let message = format!("{}, {apart} mm from its last stroke", place());
                Diagnostic::new(&codes::E0810, message)
                    .note(format!("two strokes of it must be {} mm apart or more", tool.refire))
                    .help(COMPILE_AGAIN)
            });
        }
    }
    on_strip(strip, event, (stroke.tool, c), &tool, &place, refusals);
    if c + tool.after > strip.edge {
        let struck = Struck { c, event, phase: stroke.phase };
        if let Some(queue) = strip.struck.get_mut(index) {
            queue.push_back(struck);
        }
    }
    Some(tool.time)
}

/// Whether there is whole strip where the tool works: not before the leading edge, not cut off,
/// not past the coil's end.
fn on_strip(
    strip: &VirtualStrip,
    event: usize,
    (id, c): (ToolId, Strip),
    tool: &Fitted,
    place: &dyn Fn() -> String,
    refusals: &mut Refusals,
) {
    let edge = strip.edge;
    if c < edge {
        let code = match (strip.last_cut, tool.offset.is_negative()) {
            (None, _) => &codes::E0805,
            (Some(_), true) => &codes::E0823,
            (Some(_), false) => &codes::E0806,
        };
        refusals.add(Some(event), || {
            Diagnostic::new(code, format!("{}; the strip begins at {edge} mm", place()))
                .help(COMPILE_AGAIN)
        });
    } else if slope::shapes_end(tool, c, (edge, strip.sure())) && strip.edge_half() > Length::ZERO {
        refusals.add(Some(event), || {
            slope::end_tool_on_slope(strip.machine, id, event, strip.edge_slope)
        });
    } else if tool.how == How::Point && c - tool.clamp_before < strip.sure() {
        refusals.add(Some(event), || {
            let message = format!(
                "{} and clamps from {} mm; the strip begins at {} mm",
                place(),
                c - tool.clamp_before,
                strip.sure()
            );
            Diagnostic::new(&codes::E0811, message).help(COMPILE_AGAIN)
        });
    }
    let reaches = if tool.how == How::Point { c + tool.clamp_after } else { c };
    let end = Strip::at(strip.machine.strip);
    if reaches > end {
        refusals.add(Some(event), || {
            Diagnostic::new(&codes::E0807, format!("{}; the coil ends at {end} mm", place()))
                .help("check the coil's length in the stock file; compile the batch again")
        });
    }
}
