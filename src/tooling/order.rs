//! Strokes whose footprints meet on one member: which may, in which order, and how far apart.

use super::bind::{Bench, Draft, Edge};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::{E0503, E0504, E0513, E0515};
use crate::library::model::{Firing, Line, Tool, ToolId};
use crate::quantity::{Length, Span};

/// Narrows windows so that footprints which may not meet stay apart in any choice of stops,
/// those which may meet fire in their order, and no tool fires twice too near.
///
/// Two features on overlapping footprints where a must precede b can be made only where a is due
/// no later than b: x_a − d_a ≤ x_b − d_b, a static property of the line.
pub(super) fn settle(
    bench: &Bench<'_>,
    drafts: &mut Vec<Draft<'_>>,
    edges: &[Option<Edge>; 2],
    diagnostics: &mut Vec<Diagnostic>,
) {
    drafts.sort_by_key(|d| (d.centre, d.tool_id));
    let reach = drafts.iter().map(|d| d.tool.footprint.max(d.tool.refire)).max();
    let Some(reach) = reach else { return };
    for b in 1..drafts.len() {
        for a in (0..b).rev() {
            let Some((left, right)) = pair(drafts, a, b) else { break };
            // Twice the widest footprint covers any pair; windows add their own slack.
            if right.centre - left.centre
                > reach.times(2) + slack(bench, left) + slack(bench, right)
            {
                break;
            }
            meet(bench, left, right, diagnostics);
        }
    }
    for (edge, at_cut) in edges.iter().zip([Length::ZERO, bench.cut]) {
        let Some(edge) = edge else { continue };
        let Some(tool) = bench.line.tool(edge.stroke.tool) else { continue };
        for draft in drafts.iter_mut() {
            meet_edge(bench, draft, tool, edge, at_cut, diagnostics);
        }
    }
}

/// A straddling tool that shapes both ends of a member fires at both of its cuts.
pub(super) fn ends_too_near(
    bench: &Bench<'_>,
    edges: &[Option<Edge>; 2],
    span: Span,
) -> Option<Diagnostic> {
    let [Some(start), Some(end)] = edges else { return None };
    let tool = bench.line.tool(start.stroke.tool)?;
    let apart = bench.cut + end.stroke.nominal - start.stroke.nominal;
    if start.stroke.tool != end.stroke.tool || apart >= tool.refire {
        return None;
    }
    Some(
        Diagnostic::new(
            &E0513,
            format!(
                "tool `{}` shapes both ends of {}, {} mm of strip apart; it needs {} mm",
                tool.name,
                bench.name,
                bench.geometry.told(apart),
                tool.refire
            ),
        )
        .at(span, "too short for this tool at both ends")
        .note("the tool would fire into the edge of its own last mark")
        .help(format!("make it {} mm or longer, or shape one of its ends only", tool.refire)),
    )
}

fn pair<'d, 'a>(
    drafts: &'d mut [Draft<'a>],
    a: usize,
    b: usize,
) -> Option<(&'d mut Draft<'a>, &'d mut Draft<'a>)> {
    let (low, high) = drafts.split_at_mut_checked(b)?;
    Some((low.get_mut(a)?, high.first_mut()?))
}

fn slack(bench: &Bench<'_>, draft: &Draft<'_>) -> Length {
    bench.geometry.length((draft.hi - draft.lo).max(0))
}

fn declared(line: &Line, first: ToolId, then: ToolId) -> bool {
    line.overlaps.iter().any(|o| o.first == first && o.then == then)
}

fn meet(
    bench: &Bench<'_>,
    left: &mut Draft<'_>,
    right: &mut Draft<'_>,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let apart = right.centre - left.centre;
    if left.tool_id == right.tool_id && apart < left.tool.refire {
        diagnostics.push(
            Diagnostic::new(
                &E0513,
                format!(
                    "two strokes of tool `{}` lie {apart} mm of strip apart; it needs {} mm",
                    left.tool.name, left.tool.refire
                ),
            )
            .at(right.feature.span, "too near the one before")
            .note("the tool would fire into the edge of its own last mark")
            .help(format!("keep them {} mm apart", left.tool.refire)),
        );
        return;
    }
    if left.tool_id == right.tool_id {
        keep_apart(bench, left, right, left.tool.refire, diagnostics);
        return;
    }
    if !left.tool.faces().intersects(right.tool.faces()) {
        return;
    }
    let needed = left.tool.footprint + right.tool.footprint;
    if declared(bench.line, left.tool_id, right.tool_id) {
        if apart < needed + slack(bench, left) + slack(bench, right) {
            before(bench, left, right, diagnostics);
        }
        return;
    }
    if declared(bench.line, right.tool_id, left.tool_id) {
        if apart < needed + slack(bench, left) + slack(bench, right) {
            before(bench, right, left, diagnostics);
        }
        return;
    }
    keep_apart(bench, left, right, needed, diagnostics);
}

/// Narrows both windows so that the centres stay `needed` apart wherever they fire.
fn keep_apart(
    bench: &Bench<'_>,
    left: &mut Draft<'_>,
    right: &mut Draft<'_>,
    needed: Length,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let room = (right.centre - left.centre) - needed;
    if room.is_negative() {
        let (a, b) = (bench.feature_name(left.feature), bench.feature_name(right.feature));
        diagnostics.push(
            Diagnostic::new(
                &E0504,
                format!(
                    "tools `{}` and `{}` need {needed} mm between their centres, here they have {}",
                    left.tool.name,
                    right.tool.name,
                    bench.geometry.told(right.centre - left.centre)
                ),
            )
            .at(right.feature.span, format!("this {b}"))
            .at(left.feature.span, format!("clamps over this {a}"))
            .note("the second tool would crush or tear what the first one made")
            .help("move one of them, or declare in the line that one may fire over the other"),
        );
        return;
    }
    // Each may use half the room toward the other.
    let half = room.half();
    left.hi = left.hi.min(bench.geometry.floor_steps(left.nominal() + half));
    right.lo = right.lo.max(bench.geometry.ceil_steps(right.nominal() - half));
}

/// Least steps from the stroke that must come first to the one that follows: both may share a
/// stop where phases order them.
fn between_orders(line: &Line) -> i64 {
    match line.firing {
        Firing::InPhases => 0,
        Firing::AtOnce => 1,
    }
}

fn before(
    bench: &Bench<'_>,
    first: &mut Draft<'_>,
    then: &mut Draft<'_>,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let apart = between_orders(bench.line);
    if first.lo + apart > then.hi {
        diagnostics.push(impossible(
            bench,
            first.tool,
            then.tool,
            then.feature.span,
            first.nominal(),
            then.nominal(),
        ));
        return;
    }
    if first.hi + apart > then.lo {
        let middle = bench
            .geometry
            .floor_steps((first.nominal() + then.nominal()).half())
            .min(first.hi.min(then.hi - apart))
            .max(first.lo.max(then.lo - apart));
        first.hi = first.hi.min(middle);
        then.lo = then.lo.max(middle + apart);
    }
}

fn impossible(
    bench: &Bench<'_>,
    first: &Tool,
    then: &Tool,
    span: crate::quantity::Span,
    first_due: Length,
    then_due: Length,
) -> Diagnostic {
    let late = first_due - then_due;
    let but = if bench.line.firing == Firing::AtOnce && late < bench.line.grid.increment() {
        "both are due at the same stop, and all tools of a stop fire at once".to_string()
    } else {
        format!("it comes {} mm of feed later", bench.geometry.told(late))
    };
    let (first, then, line) = (&first.name, &then.name, &bench.line.name);
    Diagnostic::new(
        &E0503,
        format!(
            "tool `{first}` must fire before `{then}` where they overlap, but on line `{line}` {but}"
        ),
    )
    .at(span, format!("on {}", bench.name))
    .note("no order of stops changes this: the stations stand where they stand")
    .help("move the features apart, or make one of them at a station further upstream")
}

/// A straddling tool's footprint reaches over the member from its cut.
fn meet_edge(
    bench: &Bench<'_>,
    draft: &mut Draft<'_>,
    tool: &Tool,
    edge: &Edge,
    at_cut: Length,
    diagnostics: &mut Vec<Diagnostic>,
) {
    if !draft.tool.faces().intersects(tool.faces()) {
        return;
    }
    let centre = at_cut + bench.geometry.slug.half();
    let needed = tool.footprint + draft.tool.footprint;
    let apart = (draft.centre - centre).abs();
    let edge_slack = bench.geometry.length(edge.stroke.hi - edge.stroke.lo);
    if apart >= needed + slack(bench, draft) + edge_slack {
        return;
    }
    let cut_steps = bench.geometry.floor_steps(at_cut);
    let (edge_lo, edge_hi) = (cut_steps + edge.stroke.lo, cut_steps + edge.stroke.hi);
    let edge_due = at_cut + edge.stroke.nominal;
    if declared(bench.line, draft.tool_id, edge.stroke.tool) {
        draft.hi = draft.hi.min(edge_lo - between_orders(bench.line));
    } else if declared(bench.line, edge.stroke.tool, draft.tool_id) {
        draft.lo = draft.lo.max(edge_hi + between_orders(bench.line));
    } else if apart < needed {
        diagnostics.push(
            Diagnostic::new(
                &E0504,
                format!(
                    "tool `{}` straddles the cut and clamps over this {}, {} mm from it",
                    tool.name,
                    bench.feature_name(draft.feature),
                    bench.geometry.told(apart)
                ),
            )
            .at(draft.feature.span, format!("within {needed} mm of the cut"))
            .note("the second tool would crush or tear what the first one made")
            .help("move the feature, or declare in the line that one may fire over the other"),
        );
        return;
    } else {
        // The straddling tool keeps its whole window, so the other bears all of it.
        let stroke = &edge.stroke;
        let room = apart - needed;
        if draft.centre > centre {
            let room = room - (bench.geometry.length(stroke.hi) - stroke.nominal);
            draft.lo = draft.lo.max(bench.geometry.ceil_steps(draft.nominal() - room));
        } else {
            let room = room - (stroke.nominal - bench.geometry.length(stroke.lo));
            draft.hi = draft.hi.min(bench.geometry.floor_steps(draft.nominal() + room));
        }
        return;
    }
    if draft.lo > draft.hi {
        let (first, then, a, b) = if declared(bench.line, draft.tool_id, edge.stroke.tool) {
            (draft.tool, tool, draft.nominal(), edge_due)
        } else {
            (tool, draft.tool, edge_due, draft.nominal())
        };
        diagnostics.push(impossible(bench, first, then, draft.feature.span, a, b));
    }
}

/// Whether some tool is declared to come both before and after another.
pub fn order_runs_in_circles(line: &Line) -> Option<Diagnostic> {
    line.tools().find(|(id, _)| comes_back(line, *id, *id, 0)).map(|(_, tool)| {
        Diagnostic::new(
            &E0515,
            format!("the declared orders lead from tool `{}` back to itself", tool.name),
        )
        .at(tool.span, "must fire before itself")
        .note("no stop could satisfy them")
        .help("remove one of the overlap entries of this circle")
    })
}

fn comes_back(line: &Line, from: ToolId, to: ToolId, depth: usize) -> bool {
    depth <= line.tools.len()
        && line
            .overlaps
            .iter()
            .filter(|o| o.first == from)
            .any(|o| o.then == to || comes_back(line, o.then, to, depth + 1))
}
