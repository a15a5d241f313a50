//! Which tools make which feature of a piece, told from the strokes of its program: the program
//! has been judged, so every feature has its strokes within its tolerance.

use crate::library::model::{How, Made, Slope, Tool, ToolId};
use crate::member::model::{Datum, End, EndShape, Feature, Place, Position, Shape};
use crate::plan::{Inputs, PlannedPiece, Run};
use crate::program::Event;
use crate::quantity::Length;

/// The strokes of one run, by tool.
pub struct Strokes<'a> {
    inputs: &'a Inputs<'a>,
    factor: i64,
    /// Half the web: what a sloped cut runs off its middle by.
    web: Length,
    /// Reference points of each tool's strokes on the strip, ascending.
    at: Vec<Vec<Length>>,
}

/// Where a piece really lies on the strip, from long point to long point.
struct Lies {
    start: Length,
    cut: Length,
}

/// A mark of a tool as seen from the point of its stroke.
struct Spot<'l> {
    makes: &'l Made,
    /// From the stroke's point to the mark's own.
    own: Length,
    /// The end it shapes, where it can shape only one of the two.
    end: Option<End>,
    /// Whether it makes points and ranges, and no end shapes.
    inside: bool,
}

impl<'a> Strokes<'a> {
    /// Of a run.
    pub fn of(inputs: &'a Inputs<'a>, run: &Run) -> Strokes<'a> {
        let mut at = vec![Vec::new(); inputs.line.tools.len()];
        for event in &run.program.events {
            let Event::Stop { at: advance, strokes } = event else { continue };
            for stroke in strokes {
                let Some(tool) = inputs.line.tool(stroke.tool) else { continue };
                let Some(station) = inputs.line.station(tool.station) else { continue };
                let offset = inputs.calibration.offset(tool.station, station.offset, run.profile);
                if let Some(points) = at.get_mut(usize::from(stroke.tool.0)) {
                    points.push(advance.strip_at(offset).distance());
                }
            }
        }
        Strokes {
            inputs,
            factor: inputs.calibration.strip_factor(run.profile),
            web: inputs.library.profile(run.profile).map_or(Length::ZERO, |p| p.web),
            at,
        }
    }

    /// The tools that make each feature of a piece, as it lies on the strip: `shape` is the
    /// piece's, turned where it comes off end first.
    pub fn tools(&self, piece: &PlannedPiece, shape: &Shape) -> Vec<Vec<ToolId>> {
        let half = |slope: Slope| slope.at_left(self.web).abs().stretched(self.factor);
        let lies = Lies {
            start: piece.start.distance() - half(Slope::of_start(shape.start)),
            cut: piece.cut.distance() + half(Slope::of_end(shape.end)),
        };
        shape.features.iter().map(|feature| self.tools_of(feature, shape, &lies)).collect()
    }

    fn tools_of(&self, feature: &Feature, shape: &Shape, lies: &Lies) -> Vec<ToolId> {
        let serves = |tool: &Tool| {
            self.spots(tool).into_iter().any(|spot| {
                spot.fits(feature)
                    && spot.makes.kinds.contains(&feature.kind)
                    && spot.makes.faces.intersects(feature.faces)
                    && spot.makes.likeness(feature, self.inputs.library).is_whole()
            })
        };
        let tools = self.inputs.line.tools().filter(|(_, tool)| serves(tool));
        tools
            .filter(|(id, tool)| self.strikes(*id, tool, feature, shape, lies))
            .map(|t| t.0)
            .collect()
    }

    fn strikes(&self, id: ToolId, tool: &Tool, of: &Feature, shape: &Shape, lies: &Lies) -> bool {
        let Some(points) = self.at.get(usize::from(id.0)) else { return false };
        let (lo, hi) = self.meant(of, shape, lies);
        let tightest = of.place.tightest();
        // As far as stroke and cut may be off, and rounding.
        let within = tightest.minus.max(tightest.plus)
            + shape.length_tolerance.minus.max(shape.length_tolerance.plus)
            + Length::from_um(10);
        self.spots(tool).iter().filter(|spot| spot.fits(of)).any(|spot| {
            let (lo, hi) = match (of.place, spot.end) {
                (Place::End { .. }, Some(End::Start)) => (lies.start, lies.start),
                (Place::End { .. }, Some(End::End)) => (lies.cut, lies.cut),
                _ => (lo, hi),
            };
            let first = points.partition_point(|&at| at + spot.own < lo - within);
            points.get(first).is_some_and(|&at| at + spot.own <= hi + within)
        })
    }

    /// Where the centre of a mark that makes this feature, or a bite of it, has to lie.
    fn meant(&self, of: &Feature, shape: &Shape, lies: &Lies) -> (Length, Length) {
        let strip = |finished: Length| finished.stretched(self.factor);
        let on = |at: Position| match at.datum {
            Datum::Start => lies.start + strip(at.offset),
            Datum::Middle => lies.start + (lies.cut - lies.start).half() + strip(at.offset),
            Datum::End => lies.cut + strip(at.offset),
        };
        let half = strip(of.outline.length().half());
        match of.place {
            Place::Point { at, .. } => (on(at), on(at)),
            Place::Range { from, to, .. } => (on(from).min(on(to)), on(to).max(on(from))),
            Place::End { end: End::Start, .. } => (lies.start + half, lies.start + half),
            Place::End { end: End::End, .. } => {
                debug_assert!(matches!(shape.end, EndShape::Square), "tools shape square ends");
                (lies.cut - half, lies.cut - half)
            }
        }
    }

    /// What one stroke of a tool leaves. A straddling tool leaves the same on either side.
    fn spots<'l>(&self, tool: &'l Tool) -> Vec<Spot<'l>> {
        let slug = self.inputs.line.shear.slug;
        let straddles = tool.how == How::Straddle;
        let spot = |makes, own, end, inside| Spot { makes, own, end, inside };
        let mut spots = if straddles {
            vec![
                spot(&tool.makes, slug, Some(End::Start), false),
                spot(&tool.makes, Length::ZERO, Some(End::End), false),
            ]
        } else {
            vec![spot(&tool.makes, Length::ZERO, None, tool.how != How::End)]
        };
        for part in &tool.also {
            let at = part.at.stretched(self.factor);
            if straddles {
                spots.push(spot(&part.makes, slug + at, None, true));
                spots.push(spot(&part.makes, -at, None, true));
            } else {
                spots.push(spot(&part.makes, at, None, true));
            }
        }
        spots
    }
}

impl Spot<'_> {
    fn fits(&self, feature: &Feature) -> bool {
        let place = match feature.place {
            Place::End { end, .. } => !self.inside && self.end.is_none_or(|shapes| shapes == end),
            Place::Point { .. } | Place::Range { .. } => self.inside,
        };
        // How long a bite is says nothing about the range it is one of.
        let ranged = matches!(feature.place, Place::Range { .. });
        place && (ranged || self.makes.outline.length() == feature.outline.length())
    }
}
