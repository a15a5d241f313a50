//! Where a program puts what was taped: pieces, cuts and strokes on the strip.

use super::model::{Ran, RanPiece, RanProgram};
use crate::library::model::{How, OutlineForm, StationId, Tool};
use crate::member::model::{End, Feature, Outline, Place};
use crate::program::{Event, Serial};
use crate::quantity::{Length, Strip};
use std::collections::BTreeMap;

/// A piece as its program makes it.
#[derive(Debug)]
pub(super) struct Placed<'r, 'a> {
    pub program: &'r RanProgram<'a>,
    pub piece: &'r RanPiece<'a>,
    /// Where it starts on the strip, as programmed.
    pub start: Strip,
    /// Where it is cut.
    pub cut: Strip,
}

impl Placed<'_, '_> {
    /// How much strip it is, as programmed.
    pub(super) fn strip(&self) -> Length {
        self.cut - self.start
    }
    /// As messages call it: `piece 3 (N1 S2)`.
    pub(super) fn words(&self) -> String {
        format!("piece {} ({} {})", self.piece.serial, self.piece.frame, self.piece.mark)
    }
}

/// Every piece that was run, by serial.
pub(super) fn all<'r, 'a>(ran: &'r Ran<'a>) -> BTreeMap<Serial, Placed<'r, 'a>> {
    let mut placed = BTreeMap::new();
    for program in &ran.programs {
        let named: BTreeMap<Serial, &RanPiece<'a>> =
            program.pieces.iter().map(|piece| (piece.serial, piece)).collect();
        // A strip that stands threaded begins at the shear with a clean edge, its slug taken.
        let mut start = Strip::ZERO;
        for event in &program.program.events {
            let Event::Cut { at, piece } = event else { continue };
            let cut = at.strip_at(Length::ZERO);
            if let Some(piece) = piece.and_then(|serial| named.get(&serial)) {
                placed.insert(piece.serial, Placed { program, piece, start, cut });
            }
            start = cut + ran.line.shear.slug;
        }
    }
    placed
}

/// The stroke that makes a feature on a piece.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Made<'l> {
    pub station: StationId,
    pub tool: &'l Tool,
    /// From the start of the piece to the stroke's own point, on the strip: the centre of its
    /// mark; for a straddling tool the face of the cut on this piece.
    pub at: Length,
}

/// Every stroke that makes this feature, or part of it, on the piece: one a station.
pub(super) fn strokes<'a>(
    ran: &Ran<'a>,
    placed: &Placed<'_, '_>,
    feature: &Feature,
) -> Vec<Made<'a>> {
    let factor = ran.calibration.strip_factor(placed.program.profile);
    let slug = ran.line.shear.slug;
    let length = placed.piece.shape.length;
    let tolerance = feature.place.tightest();
    // The stroke stands within the feature's tolerance of its place, and the cut within a step.
    let reach = tolerance.minus.max(tolerance.plus)
        + placed.piece.shape.length_tolerance.minus.max(placed.piece.shape.length_tolerance.plus)
        + Length::from_mm(1);
    let mut made: Vec<Made<'a>> = Vec::new();
    for (id, tool) in ran.line.tools().filter(|(_, tool)| serves(ran, tool, feature)) {
        let Some(station) = ran.line.station(tool.station) else { continue };
        let offset = ran.calibration.offset(tool.station, station.offset);
        let half = tool.makes.outline.length().half();
        // Where the stroke is meant to be, and how far its own point lies from its reference.
        let (meant, own) = match (feature.place, tool.how) {
            (Place::End { end: End::Start, .. }, How::Straddle) => (-slug, slug),
            (Place::End { end: End::End, .. }, How::Straddle) => (placed.strip(), Length::ZERO),
            (Place::End { end: End::Start, .. }, _) => (half.stretched(factor), Length::ZERO),
            (Place::End { end: End::End, .. }, _) => {
                (placed.strip() - half.stretched(factor), Length::ZERO)
            }
            (Place::Point { at, .. }, _) => {
                (at.on(length).distance().stretched(factor), Length::ZERO)
            }
            (Place::Range { from, to, .. }, _) => {
                let middle = (from.on(length).distance() + to.on(length).distance()).half();
                (middle.stretched(factor), Length::ZERO)
            }
        };
        let nearest = placed
            .program
            .program
            .events
            .iter()
            .filter_map(|event| match event {
                Event::Stop { at, strokes } if strokes.iter().any(|stroke| stroke.tool == id) => {
                    Some(at.strip_at(offset) - placed.start)
                }
                _ => None,
            })
            .min_by_key(|at| (*at - meant).abs());
        let Some(at) = nearest.filter(|at| (*at - meant).abs() <= reach) else { continue };
        if made.iter().all(|other| other.station != tool.station) {
            made.push(Made { station: tool.station, tool, at: at + own });
        }
    }
    made
}

/// Whether a stroke of the tool leaves this feature, on one of its faces at least.
fn serves(ran: &Ran<'_>, tool: &Tool, feature: &Feature) -> bool {
    let made = &tool.makes;
    let at_end = matches!(feature.place, Place::End { .. });
    if !made.kinds.contains(&feature.kind)
        || !made.faces.intersects(feature.faces)
        || at_end == (tool.how == How::Point)
        || std::mem::discriminant(&made.outline) != std::mem::discriminant(&feature.outline)
    {
        return false;
    }
    let longer = (made.outline.length() - feature.outline.length()).abs();
    let length_fits = match feature.place {
        Place::Range { from_tolerance: a, to_tolerance: b, .. } => {
            longer <= a.minus.max(a.plus) + b.minus.max(b.plus)
        }
        _ => longer == Length::ZERO,
    };
    // A type without a width of its own goes over the whole face: the tool may reach beyond it.
    let whole_face = ran
        .library
        .feature(feature.kind)
        .is_some_and(|kind| matches!(kind.outline, OutlineForm::Rectangle { width: None, .. }));
    let wider = made.outline.width() - feature.outline.width();
    let spare = if whole_face { wider.half().max(Length::ZERO) } else { Length::ZERO };
    let across = feature.across_tolerance;
    length_fits
        && (wider == Length::ZERO || spare > Length::ZERO)
        && (made.across - feature.across).abs() <= across.minus.max(across.plus) + spare
}

/// Half the mark of a stroke along the member, finished; the whole reach for a straddling tool.
pub(super) fn reach(tool: &Tool) -> Length {
    let length = Outline::length(tool.makes.outline);
    if tool.how == How::Straddle { length } else { length.half() }
}
