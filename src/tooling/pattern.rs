//! Features that one stroke of a pattern tool makes together.

use super::bind::Bench;
use super::matching;
use super::place::{Asked, asked};
use crate::library::model::{How, PatternPart, Tool, ToolId};
use crate::member::model::{End, Feature, Place, Shape};
use crate::quantity::{Length, Window};

/// A stroke of a pattern tool that leaves nothing nobody asked for.
pub(super) struct Claim<'a> {
    pub tool: (ToolId, &'a Tool),
    /// The feature its own mark makes.
    pub feature: &'a Feature,
    /// All features it makes.
    pub all: Vec<&'a Feature>,
    /// Where all of them come right.
    pub asked: Asked,
}

/// The strokes pattern tools can save: the largest patterns first, each feature claimed once.
pub(super) fn claims<'a>(bench: &Bench<'a>, shape: &'a Shape) -> Vec<Claim<'a>> {
    let mut tools: Vec<(ToolId, &Tool)> =
        bench.line.tools().filter(|(_, tool)| !tool.also.is_empty()).collect();
    tools.retain(|(id, _)| bench.line.is_mounted(*id, bench.profile));
    tools.sort_by_key(|(id, tool)| (std::cmp::Reverse(tool.also.len()), *id));
    let mut claims: Vec<Claim<'a>> = Vec::new();
    for tool in tools {
        for feature in &shape.features {
            claims.extend(claim(bench, shape, tool, feature, &claims));
        }
    }
    claims
}

fn claim<'a>(
    bench: &Bench<'a>,
    shape: &'a Shape,
    (id, tool): (ToolId, &'a Tool),
    feature: &'a Feature,
    before: &[Claim<'a>],
) -> Option<Claim<'a>> {
    let taken = |one: &Feature, mine: &[&Feature]| {
        let claimed = before.iter().flat_map(|claim| &claim.all);
        claimed.chain(mine).any(|other| std::ptr::eq(*other, one))
    };
    let alike = |made: &crate::library::model::Made, how: How, one: &Feature| {
        made.kinds.contains(&one.kind)
            && made.faces == one.faces
            && matching::misses(bench.library, made, how, one).is_ok()
    };
    if taken(feature, &[]) || !alike(&tool.makes, tool.how, feature) {
        return None;
    }
    let accuracy = bench.geometry.allowance(bench.line.accuracy + tool.accuracy);
    let own = asked(bench, feature, tool.how, tool.makes.outline, accuracy)?;
    let mut all = vec![feature];
    let mut window = own.window;
    for part in &tool.also {
        let centre = centre_of(bench, tool, feature, part, own.centre);
        // The nearest of those that fit: neighbours of one kind may both be within reach.
        let (_, found, narrowed) = shape
            .features
            .iter()
            .filter(|one| !taken(one, &all) && alike(&part.makes, How::Point, one))
            .filter_map(|one| {
                let asked = asked(bench, one, How::Point, part.makes.outline, accuracy)?;
                let off = asked.centre - centre;
                let lo = window.lo.max(off + asked.window.lo);
                let hi = window.hi.min(off + asked.window.hi);
                (lo <= hi).then_some((off.abs(), one, Window { lo, hi }))
            })
            .min_by_key(|(off, ..)| *off)?;
        window = narrowed;
        all.push(found);
    }
    Some(Claim { tool: (id, tool), feature, all, asked: Asked { centre: own.centre, window } })
}

/// Where a part's centre comes to lie when the tool stands exactly at what its own feature asks.
fn centre_of(
    bench: &Bench<'_>,
    tool: &Tool,
    feature: &Feature,
    part: &PatternPart,
    reference: Length,
) -> Length {
    let at = bench.geometry.strip(part.at);
    match (tool.how, feature.place) {
        (How::Straddle, Place::End { end: End::Start, .. }) => bench.start + at,
        (How::Straddle, _) => bench.cut - at,
        _ => reference + at,
    }
}
