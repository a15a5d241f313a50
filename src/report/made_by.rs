//! Which tools make which feature of a piece, told from the strokes of its program: the program
//! has been judged, so every feature has its strokes within its tolerance.

use crate::library::model::{Slope, Tool, ToolId};
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
        let tools = self.inputs.line.tools();
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
        let spots = tool.spots(self.inputs.line.shear.slug, self.factor);
        spots.iter().filter(|spot| spot.serves(of, self.inputs.library)).any(|spot| {
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
}
