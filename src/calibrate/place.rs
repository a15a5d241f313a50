//! Where a program puts what was taped: pieces, cuts and strokes on the strip.

use super::model::{Ran, RanPiece, RanProgram};
use crate::library::model::{self, Slope, StationId, Tool};
use crate::member::model::{End, Feature, Place};
use crate::program::{Event, Serial};
use crate::quantity::{Length, Strip};
use std::collections::BTreeMap;

/// A piece as its program makes it.
#[derive(Debug)]
pub(super) struct Placed<'r, 'a> {
    pub program: &'r RanProgram<'a>,
    pub piece: &'r RanPiece<'a>,
    /// Where it starts on the strip, as programmed: its long point.
    pub start: Strip,
    /// Where it ends: its long point.
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
        let mut edge = Slope::SQUARE;
        let web = ran.library.profile(program.profile).map_or(Length::ZERO, |p| p.web);
        let factor = ran.calibration.strip_factor(program.profile);
        let half = |slope: Slope| slope.at_left(web).abs().stretched(factor);
        for event in &program.program.events {
            let Event::Cut { at, piece, slope } = event else { continue };
            let cut = at.strip_at(Length::ZERO);
            if let Some(piece) = piece.and_then(|serial| named.get(&serial)) {
                let (start, cut) = (start - half(edge), cut + half(*slope));
                placed.insert(piece.serial, Placed { program, piece, start, cut });
            }
            edge = *slope;
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
    /// What it leaves there.
    pub makes: &'l model::Made,
    /// From the start of the piece to the mark's own point, on the strip: its centre; for a
    /// straddling tool the face of the cut on this piece.
    pub at: Length,
    /// How far the mark's edges lie from its own point, finished.
    pub reach: Length,
}

/// Every stroke that makes this feature, or the taped edge of it, on the piece: one a station.
/// `edge` is the end of the feature that was taped, the start's side or the end's; the centre
/// where it is `None`.
pub(super) fn strokes<'a>(
    ran: &Ran<'a>,
    placed: &Placed<'_, '_>,
    feature: &Feature,
    edge: Option<End>,
) -> Vec<Made<'a>> {
    let factor = ran.calibration.strip_factor(placed.program.profile);
    let shape = &*placed.piece.shape;
    let strip = |finished: Length| finished.stretched(factor);
    let tolerance = feature.place.tightest();
    // The stroke stands within the feature's tolerance of its place, and the cut within its own.
    let within = tolerance.minus.max(tolerance.plus)
        + shape.length_tolerance.minus.max(shape.length_tolerance.plus)
        + Length::from_mm(1);
    let mut made: Vec<Made<'a>> = Vec::new();
    for (id, tool) in ran.line.tools() {
        let Some(station) = ran.line.station(tool.station) else { continue };
        let offset = ran.calibration.offset(tool.station, station.offset, placed.program.profile);
        for spot in tool.spots(ran.line.shear.slug, factor) {
            if !spot.serves(feature, ran.library) {
                continue;
            }
            let reach = spot.reach();
            // Where the mark's own point is meant to be.
            let meant = match feature.place {
                Place::End { end: End::Start, .. } if spot.end.is_some() => Length::ZERO,
                Place::End { end: End::End, .. } if spot.end.is_some() => placed.strip(),
                Place::End { end: End::Start, .. } => strip(reach),
                Place::End { end: End::End, .. } => placed.strip() - strip(reach),
                Place::Point { at, .. } => strip(at.on(shape.length).distance()),
                // A range may be made by several strokes: the first makes one edge, the last
                // the other.
                Place::Range { from, to, .. } => strip(match edge {
                    Some(End::Start) => from.on(shape.length).distance() + reach,
                    Some(End::End) => to.on(shape.length).distance() - reach,
                    None => {
                        (from.on(shape.length).distance() + to.on(shape.length).distance()).half()
                    }
                }),
            };
            let nearest = placed
                .program
                .program
                .events
                .iter()
                .filter_map(|event| match event {
                    Event::Stop { at, strokes } if strokes.iter().any(|s| s.tool == id) => {
                        Some(at.strip_at(offset) - placed.start + spot.own)
                    }
                    _ => None,
                })
                .min_by_key(|at| (*at - meant).abs());
            let Some(at) = nearest.filter(|at| (*at - meant).abs() <= within) else { continue };
            if made.iter().all(|other| other.station != tool.station) {
                let (station, makes) = (tool.station, spot.makes);
                made.push(Made { station, tool, makes, at, reach });
            }
        }
    }
    made
}
