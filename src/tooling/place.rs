//! Where a tool's reference comes to lie, and how far the stroke may be moved from there.

use super::bind::{Bench, Draft, Edge, StrokeNeed};
use super::matching;
use super::refuse::{cut_off_before, no_grid_point, two_straddles};
use super::window::after_accuracy;
use crate::diagnostic::Diagnostic;
use crate::library::model::{How, Tool, ToolId};
use crate::member::model::{End, Feature, Outline, Place};
use crate::quantity::{Length, Tolerance, Window};

/// What a feature asks of a tool: its reference, strip from the base, and its window around it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked {
    pub centre: Length,
    pub window: Window<Length>,
}

/// Turns what is asked of a tool into a stroke of the member or of one of its cuts.
pub(super) fn place<'a>(
    bench: &Bench<'a>,
    feature: &'a Feature,
    (tool_id, tool): (ToolId, &'a Tool),
    asked: Asked,
    drafts: &mut Vec<Draft<'a>>,
    edges: &mut [Option<Edge>; 2],
    diagnostics: &mut Vec<Diagnostic>,
) {
    let Asked { centre, window } = asked;
    let taken = bench.geometry.allowance(bench.line.accuracy + tool.accuracy);
    let offset = bench.geometry.offset(tool_id);
    let due = centre - offset;
    let lo = bench.geometry.ceil_steps(due + window.lo);
    // Nothing fires at what is already cut off.
    let last = match (tool.how, feature.place) {
        (How::Straddle, Place::End { end: End::Start, .. }) => 0,
        _ => bench.geometry.floor_steps(bench.pitch),
    };
    let hi = bench.geometry.floor_steps(due + window.hi).min(last);
    if let (How::Straddle, Place::End { end, .. }) = (tool.how, feature.place) {
        // Windows of the start count from the base, those of the end from the cut.
        let back = if end == End::Start { 0 } else { bench.geometry.floor_steps(bench.pitch) };
        let stroke = StrokeNeed {
            tool: tool_id,
            lo: lo - back,
            hi: hi - back,
            nominal: due - bench.geometry.length(back),
        };
        // What it clamps counts as well as what it marks: neither may meet a neighbour.
        let clamped = tool.footprint - bench.geometry.slug.half();
        let marked = tool.also.iter().fold(tool.makes.outline.length(), |reach, part| {
            reach.max(part.at + part.makes.outline.length().half() + Length::from_nm(1))
        });
        let reach = (bench.geometry.strip(marked) + taken).max(clamped);
        let slot = if end == End::Start { edges.first_mut() } else { edges.last_mut() };
        if let Some(slot) = slot {
            if let Some(other) = slot.as_ref() {
                diagnostics.push(two_straddles(bench, feature, other, tool));
            }
            *slot = Some(Edge { stroke, reach });
        }
        if lo > hi {
            diagnostics.push(no_grid_point(bench, feature, tool, due, window));
        }
        return;
    }
    let draft = Draft { tool_id, tool, feature, centre, offset, lo, hi, hit: None };
    if offset.is_negative() && lo > last {
        diagnostics.push(cut_off_before(bench, &draft));
        return;
    }
    if lo > hi {
        diagnostics.push(no_grid_point(bench, feature, tool, due, window));
        return;
    }
    drafts.push(draft);
}

/// What a feature asks of a mark of this outline, used so; `None` where nothing is left of the
/// tolerance after the accuracy. For a straddling tool the reference is the cut.
pub(super) fn asked(
    bench: &Bench<'_>,
    feature: &Feature,
    how: How,
    outline: Outline,
    accuracy: Length,
) -> Option<Asked> {
    let geometry = bench.geometry;
    // What a tool leaves is described as it is on the finished member.
    let made = geometry.strip(outline.length());
    let strip = |tolerance: Tolerance| Tolerance {
        minus: geometry.strip(tolerance.minus),
        plus: geometry.strip(tolerance.plus),
    };
    match feature.place {
        Place::Point { at, tolerance } => {
            let window = after_accuracy(strip(tolerance), accuracy)?;
            Some(Asked { centre: bench.at(at), window })
        }
        Place::Range { from, from_tolerance, to, to_tolerance } => {
            let (begin, finish) = (bench.at(from), bench.at(to));
            let slack = matching::range_slack(
                made - (finish - begin),
                strip(from_tolerance),
                strip(to_tolerance),
            )?;
            let window = after_accuracy(slack, accuracy)?;
            // Nominal is where both edges are off alike.
            let centre = begin + (finish - begin).half();
            let leading = centre - made.half() - begin;
            let window = Window { lo: window.lo - leading, hi: window.hi - leading };
            Some(Asked { centre, window })
        }
        Place::End { end, tolerance } => {
            let window = after_accuracy(strip(tolerance), accuracy)?;
            // The inner edge is what is drawn, whatever the tool's own length.
            let drawn = geometry.strip(feature.outline.length());
            let shift = drawn - made;
            let moved = |by: Length| Window { lo: window.lo + by, hi: window.hi + by };
            let (reference, outward) = match (how, end) {
                (How::Straddle, End::Start) => {
                    return Some(Asked { centre: Length::ZERO, window: moved(shift) });
                }
                (How::Straddle, End::End) => {
                    return Some(Asked { centre: bench.cut, window: moved(-shift) });
                }
                (_, End::Start) => (bench.start + drawn - made.half(), -1),
                (_, End::End) => (bench.cut - drawn + made.half(), 1),
            };
            // Beyond the end it may reach into the slug, never into the neighbour; short of the
            // end no further than its tolerance.
            let room = geometry.slug - accuracy;
            let window = if outward < 0 {
                let (lo, hi) = (-room - shift, window.hi - shift);
                Window { lo: window.lo.max(lo), hi: window.hi.min(hi) }
            } else {
                let (lo, hi) = (window.lo + shift, room + shift);
                Window { lo: window.lo.max(lo), hi: window.hi.min(hi) }
            };
            (!window.is_empty()).then_some(Asked { centre: reference, window })
        }
    }
}
