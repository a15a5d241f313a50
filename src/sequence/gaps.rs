//! How many gaps between members no order avoids: neighbours whose ends cannot share a cut lose a
//! second cut and the least piece that drops between them.

use super::ends::trails;
use super::order::{Joint, Shapes, joints};
use crate::library::model::{How, Line, Tool};
use crate::quantity::Length;
use std::collections::BTreeSet;

/// How few runs of shared cuts these pieces can fall into, and what each run but the first costs
/// at least: a cut more, the least piece that drops, half of the least difference of slopes there
/// is. Where some may be turned, as if all might; where another tool might do for an end, as if
/// its ends met any: never too many.
pub fn fewest_runs(
    line: &Line,
    shapes: Shapes<'_>,
    pieces: impl IntoIterator<Item = u32>,
) -> (usize, Length) {
    let mut turning = false;
    let ends: Vec<(Joint, Joint)> = pieces
        .into_iter()
        .inspect(|piece| turning |= shapes.other(*piece).is_some())
        .filter_map(|piece| Some(joints(shapes.get(piece)?)))
        .collect();
    let straddled = straddled_ends_meet_no_others(line);
    // Which straddling tool does not matter: one may do for another.
    let kind = |joint: &Joint| (joint.blade.at_left.nm(), straddled && joint.tool.is_some());
    let kinds: Vec<(i64, bool)> = ends
        .iter()
        .flat_map(|(a, b)| [kind(a), kind(b)])
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect();
    let gap = line.shear.slug + line.shear.least_drop;
    let steps = kinds.windows(2).filter_map(|pair| match pair {
        [a, b] => Some(b.0 - a.0),
        _ => None,
    });
    let Some(least) = steps.min() else { return (1, gap) };
    let number = |joint: &Joint| {
        kinds.binary_search(&kind(joint)).ok().and_then(|i| i64::try_from(i).ok()).unwrap_or(0)
    };
    let numbered: Vec<(i64, i64)> = ends.iter().map(|(a, b)| (number(a), number(b))).collect();
    (trails::runs(&numbered, turning).len(), gap + Length::from_nm(least))
}

/// Whether what straddling tools of this line leave can be had by them alone: then an end that
/// one of them shapes is straddled in every plan, and others in none.
fn straddled_ends_meet_no_others(line: &Line) -> bool {
    let (over, others): (Vec<&Tool>, Vec<&Tool>) =
        line.tools.iter().partition(|tool| tool.how == How::Straddle);
    let elsewhere = |kinds: &[_]| {
        let mut made = others.iter().flat_map(|tool| tool.marks());
        made.any(|made| made.kinds.iter().any(|kind| kinds.contains(kind)))
    };
    over.iter().all(|tool| tool.marks().any(|made| !elsewhere(&made.kinds)))
}
