use super::model::{Inputs, PieceRef};
use super::pieces::{Pieces, profiles};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::W0510;
use crate::library::model::{How, Tool};
use crate::member::model::{Member, ProfileId, Shape};
use crate::sequence::{self, Shapes};
use crate::tooling::{self, Alternatives, BoundShape, Geometry};
use std::collections::{BTreeMap, BTreeSet};

/// A profile's pieces, bound to the line.
pub(super) struct BoundProfile {
    pub profile: ProfileId,
    pub geometry: Geometry,
    /// Bound shapes of this profile.
    pub shapes: Vec<BoundShape>,
    /// Pieces of this profile: indices into the batch's pieces.
    pub pieces: Vec<u32>,
    /// Bound shape of each of `pieces`.
    pub shape_of: Vec<u32>,
    /// Bound shape of each made turned end for end: the same where it may not be, or where that
    /// makes no difference.
    pub turned: Vec<u32>,
    /// For each bound shape those with plainer ends; empty where the line has no pattern over a cut.
    pub plain: Vec<[u32; 3]>,
    /// The least head that any of its pieces asks for, in steps.
    pub least_head: i64,
}

impl BoundProfile {
    /// Adds a bound shape, and what it is with ends by plain straddling tools instead of patterns.
    fn add(&mut self, inputs: &Inputs<'_>, shape: &Shape, made: BoundShape) -> Option<u32> {
        let number = u32::try_from(self.shapes.len()).ok()?;
        let over_a_cut = |tool: &Tool| tool.how == How::Straddle && !tool.also.is_empty();
        if !inputs.line.tools.iter().any(over_a_cut) {
            self.shapes.push(made);
            return Some(number);
        }
        let span = inputs.line.span;
        let (library, line) = (inputs.library, inputs.line);
        let ways = Alternatives::of(shape, span, library, line, &self.geometry, &made);
        let plain = [[true, false], [false, true], [true, true]]
            .map(|ends| ways.as_ref().and_then(|ways| ways.plain_ends(ends)));
        self.shapes.push(made);
        // Shapes with plainer ends are themselves looked up for nothing else.
        let mut numbers = [number; 3];
        for (place, plain) in numbers.iter_mut().zip(plain) {
            if let Some(plain) = plain {
                *place = u32::try_from(self.shapes.len()).ok()?;
                self.shapes.push(plain);
            }
        }
        self.plain.resize(self.shapes.len(), [number; 3]);
        if let Some(of) = self.plain.get_mut(number as usize) {
            *of = numbers;
        }
        Some(number)
    }
    /// Its pieces, as sequencing numbers them.
    pub(super) fn numbers(&self) -> std::ops::Range<u32> {
        0..u32::try_from(self.shape_of.len()).unwrap_or(u32::MAX)
    }
    /// The shapes of its pieces, for sequencing.
    pub(super) fn sequenced(&self) -> Shapes<'_> {
        Shapes {
            bounds: &self.shapes,
            of_piece: &self.shape_of,
            turned: &self.turned,
            plain: &self.plain,
        }
    }
}

/// Binds every distinct shape of the batch to the line.
pub(super) fn bind_all(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    diagnostics: &mut Vec<Diagnostic>,
) -> Vec<BoundProfile> {
    let mut bound: Vec<BoundProfile> = profiles(pieces)
        .into_iter()
        .map(|profile| BoundProfile {
            profile,
            geometry: Geometry::new(inputs.line, inputs.calibration, profile),
            shapes: Vec::new(),
            pieces: Vec::new(),
            shape_of: Vec::new(),
            turned: Vec::new(),
            plain: Vec::new(),
            least_head: 0,
        })
        .collect();
    // Where each shape of the batch went: profile, and number there.
    let mut places: Vec<Option<(usize, u32)>> = Vec::with_capacity(pieces.shapes.len());
    let mut told = BTreeSet::new();
    let mut others: BTreeMap<(usize, u32), u32> = BTreeMap::new();
    for (shape, first) in &pieces.shapes {
        let place = bound.iter().position(|b| b.profile == shape.profile);
        let placed = place.and_then(|p| bound.get_mut(p).map(|b| (p, b))).and_then(|(p, of)| {
            let (name, span) = name_of(inputs, first);
            let (made, found) =
                tooling::bind(shape, &name, span, inputs.library, inputs.line, &of.geometry);
            // One place in a recipe serves many shapes: it is told once.
            for one in found {
                if told.insert((one.code.number, one.span(), one.message.clone())) {
                    diagnostics.push(one);
                }
            }
            let made = made?;
            let turned = turned(inputs, shape, &made, &of.geometry);
            let number = of.add(inputs, shape, made)?;
            let other = match turned.zip(shape.turned()) {
                Some((made, shape)) => of.add(inputs, &shape, made)?,
                None => number,
            };
            others.insert((p, number), other);
            Some((p, number))
        });
        places.push(placed);
    }
    for (piece, &shape) in (0_u32..).zip(&pieces.shape_of) {
        let Some(Some((profile, number))) = places.get(shape as usize) else { continue };
        if let Some(of) = bound.get_mut(*profile) {
            of.pieces.push(piece);
            of.shape_of.push(*number);
            of.turned.push(others.get(&(*profile, *number)).copied().unwrap_or(*number));
        }
    }
    for of in &mut bound {
        of.least_head = sequence::heads(of.sequenced()).into_iter().min().unwrap_or(0);
    }
    warn_of_blank_pieces(inputs, pieces, &bound, &places, diagnostics);
    bound
}

/// The shape made turned end for end, where the member, its section and the line's tools allow it
/// and something is different then.
fn turned(
    inputs: &Inputs<'_>,
    shape: &Shape,
    made: &BoundShape,
    geometry: &Geometry,
) -> Option<BoundShape> {
    if !shape.turnable || !inputs.library.profile(shape.profile)?.may_turn() {
        return None;
    }
    let turned = shape.turned()?;
    let no_span = crate::quantity::Span::new(crate::quantity::FileId(0), 0, 0);
    let span = shape.features.first().map_or(no_span, |feature| feature.span);
    let (bound, _) = tooling::bind(&turned, "turned", span, inputs.library, inputs.line, geometry);
    bound.filter(|turned| turned != made && turned.pitch == made.pitch)
}

fn name_of(inputs: &Inputs<'_>, piece: &PieceRef) -> (String, crate::quantity::Span) {
    match piece.of(inputs.jobs) {
        Some((_, frame, member)) => (format!("{} of {}", member.mark, frame.name), member.span),
        None => {
            ("a member".to_string(), crate::quantity::Span::new(crate::quantity::FileId(0), 0, 0))
        }
    }
}

/// One warning for each frame with pieces too short for their marks.
fn warn_of_blank_pieces(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    bound: &[BoundProfile],
    places: &[Option<(usize, u32)>],
    diagnostics: &mut Vec<Diagnostic>,
) {
    let Some(marker) = &inputs.line.marker else { return };
    let mut blank: BTreeMap<(u32, u32), Vec<&Member>> = BTreeMap::new();
    let mut last = None;
    for (piece, &shape) in pieces.all.iter().zip(&pieces.shape_of) {
        let same = (piece.job, piece.frame, piece.member);
        if piece.copy > 0 || last == Some(same) {
            continue;
        }
        last = Some(same);
        let Some((_, _, member)) = piece.of(inputs.jobs) else { continue };
        let Some(Some((p, number))) = places.get(shape as usize) else { continue };
        let Some(of) = bound.get(*p) else { continue };
        let Some(made) = of.shapes.get(*number as usize) else { continue };
        if tooling::mark_window(marker, &of.geometry, made, &member.mark_text).is_none() {
            blank.entry((piece.job, piece.frame)).or_default().push(member);
        }
    }
    for members in blank.values() {
        let marks: Vec<&str> = members.iter().map(|m| &*m.mark).collect();
        let Some(first) = members.first() else { continue };
        diagnostics.push(
            Diagnostic::new(
                &W0510,
                format!("no room for the mark `{}` on {}", first.mark_text, marks.join(", ")),
            )
            .at(first.span, "leaves the line blank")
            .note("the crew knows a blank piece only by its place in the order")
            .help("write the mark by hand as it comes off, or shorten the mark text of the batch"),
        );
    }
}
