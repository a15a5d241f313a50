//! The ways a line offers to make a member: pattern strokes or single ones, one station or
//! another.

use super::bind::{self, Bench, BoundShape};
use super::geometry::Geometry;
use super::matching;
use super::pattern::{self, Claim};
use crate::library::model::{How, Library, Line, ToolId};
use crate::member::model::{End, Feature, Place, Shape};
use crate::quantity::Span;

/// Most ways to make one feature that are looked at.
const MOST_COVERS: usize = 12;

/// The ways of one member on one line.
pub(super) struct Ways<'a> {
    /// Strokes of pattern tools that could be used.
    claims: Vec<Claim<'a>>,
    /// For each feature the tools that make it together, what is preferred first; none where the
    /// line cannot make it.
    covers: Vec<Vec<Vec<ToolId>>>,
}

/// One of the ways.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Picks {
    /// Which pattern strokes are used.
    patterns: Vec<bool>,
    /// Which tools make each feature that no pattern stroke makes.
    covers: Vec<u8>,
}

impl<'a> Ways<'a> {
    /// All of them.
    pub(super) fn of(bench: &Bench<'a>, shape: &'a Shape) -> Ways<'a> {
        Ways::with(bench, shape, MOST_COVERS)
    }

    /// Only what is preferred: no second way to make a feature is looked for.
    pub(super) fn first(bench: &Bench<'a>, shape: &'a Shape) -> Ways<'a> {
        Ways::with(bench, shape, 1)
    }

    fn with(bench: &Bench<'a>, shape: &'a Shape, most: usize) -> Ways<'a> {
        let covers = |feature| matching::covers(bench, feature, most);
        Ways {
            claims: pattern::claims(bench, shape),
            covers: shape.features.iter().map(covers).collect(),
        }
    }

    /// What is preferred: one stroke for several features is a stop less, and of the stations
    /// that nearest the shear asks for the least head.
    pub(super) fn preferred(&self) -> Picks {
        Picks { patterns: vec![true; self.claims.len()], covers: vec![0; self.covers.len()] }
    }

    /// What to try where that does not go: no pattern strokes, then one tool left out at a time.
    pub(super) fn instead(&self) -> impl Iterator<Item = Picks> {
        let mut replaced: Vec<ToolId> = Vec::new();
        for covers in self.covers.iter().filter(|covers| covers.len() > 1) {
            for tool in covers.iter().flatten() {
                if !replaced.contains(tool) && avoiding(covers, *tool).is_some_and(|pick| pick > 0)
                {
                    replaced.push(*tool);
                }
            }
        }
        let single = |covers| Picks { patterns: vec![false; self.claims.len()], covers };
        let left_out = replaced.into_iter().map(move |tool| {
            single(self.covers.iter().map(|of| avoiding(of, tool).unwrap_or(0)).collect())
        });
        let plain = (!self.claims.is_empty()).then(|| single(vec![0; self.covers.len()]));
        plain.into_iter().chain(left_out)
    }

    /// The pattern strokes of a way.
    pub(super) fn patterns(&self, picks: &Picks) -> impl Iterator<Item = &Claim<'a>> {
        self.claims.iter().zip(&picks.patterns).filter(|(_, used)| **used).map(|(claim, _)| claim)
    }

    /// The tools for the feature of this number.
    pub(super) fn tools(&self, picks: &Picks, feature: usize) -> Option<&[ToolId]> {
        let pick = picks.covers.get(feature).copied().unwrap_or(0);
        self.covers.get(feature)?.get(usize::from(pick)).map(Vec::as_slice)
    }
}

/// The first that does without a tool.
fn avoiding(covers: &[Vec<ToolId>], tool: ToolId) -> Option<u8> {
    let first = covers.iter().position(|cover| !cover.contains(&tool))?;
    u8::try_from(first).ok()
}

/// A member for which the line offers more than one way.
pub struct Alternatives<'a> {
    bench: Bench<'a>,
    shape: &'a Shape,
    pitch: i64,
    span: Span,
    ways: Ways<'a>,
    base: Picks,
}

impl<'a> Alternatives<'a> {
    /// Of a shape that can be made; `None` where there is nothing to choose.
    pub fn of(
        shape: &'a Shape,
        span: Span,
        library: &'a Library,
        line: &'a Line,
        geometry: &'a Geometry,
        bound: &BoundShape,
    ) -> Option<Alternatives<'a>> {
        let blades = bound.blades;
        let start = geometry.slug - blades[0].half();
        let pitch = geometry.length(bound.pitch);
        let cut = pitch + blades[1].half();
        let profile = shape.profile;
        let bench = Bench { library, line, geometry, profile, name: "", start, cut, pitch, blades };
        let ways = Ways::of(&bench, shape);
        if ways.claims.is_empty() && ways.covers.iter().all(|covers| covers.len() < 2) {
            return None;
        }
        let base = std::iter::once(ways.preferred())
            .chain(ways.instead())
            .find(|picks| bind::bind_way(&bench, shape, bound.pitch, span, &ways, picks).is_ok())?;
        Some(Alternatives { bench, shape, pitch: bound.pitch, span, ways, base })
    }

    /// The way that [`bind`](super::bind) takes.
    pub fn base(&self) -> &Picks {
        &self.base
    }

    /// The usual way but for patterns over the cut at these ends, start and end: what they make is
    /// made by single tools. `None` where nothing is different, or where that does not go.
    pub fn plain_ends(&self, ends: [bool; 2]) -> Option<BoundShape> {
        let mut picks = self.base.clone();
        for (claim, used) in self.ways.claims.iter().zip(&mut picks.patterns) {
            let Place::End { end, .. } = claim.feature.place else { continue };
            let [start, stop] = ends;
            let here = if end == End::Start { start } else { stop };
            *used &= !(here && claim.tool.1.how == How::Straddle);
        }
        if picks == self.base { None } else { self.bind(&picks) }
    }

    /// The ways that differ from one in a single choice.
    pub fn near(&self, picks: &Picks) -> Vec<Picks> {
        let mut near = Vec::new();
        for (i, used) in picks.patterns.iter().enumerate() {
            let mut patterns = picks.patterns.clone();
            if let Some(slot) = patterns.get_mut(i) {
                *slot = !used;
            }
            near.push(Picks { patterns, ..picks.clone() });
        }
        let in_pattern = |feature: &Feature| {
            let mut all = self.ways.patterns(picks).flat_map(|claim| &claim.all);
            all.any(|one| std::ptr::eq(*one, feature))
        };
        for (i, (feature, covers)) in self.shape.features.iter().zip(&self.ways.covers).enumerate()
        {
            if covers.len() < 2 || in_pattern(feature) {
                continue;
            }
            for pick in (0..covers.len()).filter_map(|pick| u8::try_from(pick).ok()) {
                let mut other = picks.covers.clone();
                match other.get_mut(i) {
                    Some(slot) if *slot != pick => *slot = pick,
                    _ => continue,
                }
                near.push(Picks { covers: other, ..picks.clone() });
            }
        }
        near
    }

    /// The member made so; `None` where that does not go.
    pub fn bind(&self, picks: &Picks) -> Option<BoundShape> {
        bind::bind_way(&self.bench, self.shape, self.pitch, self.span, &self.ways, picks).ok()
    }
}
