//! Ranges longer than the tool that makes them.
//!
//! A notch of length N by a tool of length t, neighbouring strokes sharing o or more, takes
//! m = ⌈(N − o)/(t − o)⌉ strokes; each must bite δ or more, so (m − 1)·δ ≤ N − t. Both ends are
//! exact: the first and the last stroke have windows of their own, those between them follow each
//! other at δ to t − o and are placed where the strip stops.

use super::bind::{Bench, Draft, Edge, Hit, Nibbled, Work};
use super::matching::range_slack;
use super::place::{Asked, place};
use super::refuse::under_accuracy;
use super::window::after_accuracy;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::{E0504, E0519};
use crate::library::model::{How, Tool, ToolId};
use crate::member::model::{Feature, Place};
use crate::quantity::{Length, Tolerance};

/// How strokes of one nibbled range follow each other, in steps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Bites {
    least: i64,
    most: i64,
}

/// How many strokes a range of `length` takes; `None` where it cannot be made: shorter than the
/// tool, or longer by less than a bite.
pub fn strokes_of(
    length: Length,
    tool: Length,
    overlap: Length,
    least_bite: Length,
) -> Option<i64> {
    if length == tool {
        return Some(1);
    }
    let (over, each) = ((length - overlap).nm(), (tool - overlap).nm());
    if length < tool || each <= 0 {
        return None;
    }
    let count = -(-over).div_euclid(each);
    let bites = least_bite.nm().checked_mul(count - 1)?;
    (bites <= (length - tool).nm()).then_some(count)
}

/// Whether a nibbling tool makes this range, by one stroke or several.
pub(super) fn makes(tool: &Tool, feature: &Feature) -> bool {
    let How::Nibble { overlap, least_bite } = tool.how else { return false };
    let (length, own) = (feature.outline.length(), tool.makes.outline.length());
    !by_bites(tool, feature) || strokes_of(length, own, overlap, least_bite).is_some()
}

/// Whether one stroke does not make it.
pub(super) fn by_bites(tool: &Tool, feature: &Feature) -> bool {
    let Place::Range { from_tolerance, to_tolerance, .. } = feature.place else { return true };
    let excess = tool.makes.outline.length() - feature.outline.length();
    range_slack(excess, from_tolerance, to_tolerance).is_none()
}

/// Places the first and the last stroke of a range, and notes how others follow between them.
pub(super) fn bites<'a>(
    bench: &Bench<'a>,
    feature: &'a Feature,
    (tool_id, tool): (ToolId, &'a Tool),
    taken: Length,
    work: &mut Work<'a>,
) -> Result<(), Box<Diagnostic>> {
    let How::Nibble { overlap, least_bite } = tool.how else { return Ok(()) };
    let Place::Range { from, from_tolerance, to, to_tolerance } = feature.place else {
        return Ok(());
    };
    let geometry = bench.geometry;
    let own = geometry.strip(tool.makes.outline.length());
    // What neighbours share must be left when both are off as far as they may be.
    let shared = geometry.strip(overlap).max(taken.times(2));
    let bites = Bites {
        least: geometry.ceil_steps(geometry.strip(least_bite).max(tool.refire)).max(1),
        most: geometry.floor_steps(own - shared),
    };
    if bites.most < bites.least.saturating_mul(2) {
        return Err(Box::new(no_bite(bench, feature, tool)));
    }
    let strip = |tolerance: Tolerance| Tolerance {
        minus: geometry.strip(tolerance.minus),
        plus: geometry.strip(tolerance.plus),
    };
    let ends = [
        (bench.at(from) + own.half(), from_tolerance, Hit::First(work.bites.len())),
        (bench.at(to) - (own - own.half()), to_tolerance, Hit::Last(work.bites.len())),
    ];
    for (centre, tolerance, hit) in ends {
        let Some(window) = after_accuracy(strip(tolerance), taken) else {
            return Err(Box::new(under_accuracy(bench, feature, tool)));
        };
        let before = work.drafts.len();
        let mut found = Vec::new();
        let Work { drafts, edges, .. } = &mut *work;
        place(bench, feature, (tool_id, tool), Asked { centre, window }, drafts, edges, &mut found);
        if let Some(refusal) = found.pop() {
            return Err(Box::new(refusal));
        }
        for draft in work.drafts.iter_mut().skip(before) {
            draft.hit = Some(hit);
        }
    }
    work.bites.push(bites);
    Ok(())
}

/// The ranges with their first and last strokes where they stand now.
pub(super) fn settled(bites: &[Bites], drafts: &[Draft<'_>]) -> Vec<Nibbled> {
    let at = |hit: Hit| drafts.iter().position(|draft| draft.hit == Some(hit));
    let nibbled = bites.iter().enumerate().filter_map(|(i, bites)| {
        Some(Nibbled {
            first: at(Hit::First(i))?,
            last: at(Hit::Last(i))?,
            least: bites.least,
            most: bites.most,
        })
    });
    nibbled.collect()
}

/// Strokes between the first and the last fall anywhere there: nothing else may clamp there, nor
/// a straddling tool over the range from its cut.
pub(super) fn in_the_way(
    bench: &Bench<'_>,
    drafts: &[Draft<'_>],
    edges: &[Option<Edge>; 2],
) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for first in drafts {
        let Some(Hit::First(range)) = first.hit else { continue };
        let Some(last) = drafts.iter().find(|d| d.hit == Some(Hit::Last(range))) else { continue };
        let (from, to) = (first.centre, last.centre);
        for other in drafts {
            let own = matches!(other.hit, Some(Hit::First(r) | Hit::Last(r)) if r == range);
            let apart = first.tool.footprint + other.tool.footprint;
            let near = other.centre + apart > from && other.centre - apart < to;
            if !own && near && first.tool.faces().intersects(other.tool.faces()) {
                found.push(between(bench, first, other.feature, &other.tool.name));
            }
        }
        let cuts = [Length::ZERO, bench.cut];
        for (edge, cut) in edges.iter().zip(cuts) {
            let Some(tool) = edge.and_then(|edge| bench.line.tool(edge.stroke.tool)) else {
                continue;
            };
            let centre = cut + bench.geometry.slug.half();
            let apart = first.tool.footprint + tool.footprint;
            let near = centre + apart > from && centre - apart < to;
            if near && first.tool.faces().intersects(tool.faces()) {
                found.push(between(bench, first, first.feature, &tool.name));
            }
        }
    }
    found
}

fn between(bench: &Bench<'_>, first: &Draft<'_>, other: &Feature, tool: &str) -> Diagnostic {
    let range = bench.feature_name(first.feature);
    Diagnostic::new(
        &E0504,
        format!(
            "tool `{}` nibbles this {range}, and tool `{tool}` clamps within it on a common face",
            first.tool.name
        ),
    )
    .at(first.feature.span, "made by several strokes")
    .at(other.span, "clamps over it")
    .note(
        "a bite falls anywhere in the range, and the second tool would crush the first one's edge",
    )
    .help("move one of them, or make the range with one stroke of a tool of its length")
}

fn no_bite(bench: &Bench<'_>, feature: &Feature, tool: &Tool) -> Diagnostic {
    Diagnostic::new(
        &E0519,
        format!(
            "tool `{}` cannot nibble this {}: its bites leave no room between the least and the \
             most",
            tool.name,
            bench.feature_name(feature)
        ),
    )
    .at(feature.span, format!("longer than the tool's {} mm", tool.makes.outline.length()))
    .note("what neighbouring strokes share must outlast the accuracy of line and tool")
    .help("mount a longer tool, or measure and enter a better accuracy or re-fire distance")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_as_on_paper() {
        let um = Length::from_um;
        let of = |length: i64| strokes_of(um(length), um(40_000), um(2_000), um(5_000));
        // (150 − 2)/38 = 3.9; a sliver of 1 mm and a range shorter than the tool cannot be made.
        assert_eq!(
            [of(150_000), of(40_000), of(41_000), of(39_000)],
            [Some(4), Some(1), None, None]
        );
    }
}
