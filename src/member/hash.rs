//! Identity of a member as drawn: a hash of what it is, whatever it is called and wherever and
//! in whichever order it is written.

use super::model::{EndShape, Faces, FeatureTypeId, Outline, Place, Position, Shape};
use crate::quantity::{Length, Tolerance};
use sha2::{Digest, Sha256};

/// First bytes of the hash: changes when the canonical form does, so that hashes of two forms
/// never pass for each other.
const FORM: &[u8] = b"coilwright shape 1\n";

/// A hash of everything that shapes a member: profile and feature types by name, all dimensions
/// and tolerances. Spans, marks and usage have no part in it; ids of a library neither, so a
/// library in another order gives the same hash.
///
/// The first 16 bytes of a SHA-256 over a canonical form, every number little-endian, every text
/// with its length before it.
pub fn content_hash<'n>(
    shape: &Shape,
    profile: &str,
    kind: impl Fn(FeatureTypeId) -> &'n str,
) -> [u8; 16] {
    let mut form = Canon(Sha256::new());
    form.0.update(FORM);
    form.text(profile);
    form.length(shape.length);
    form.tolerance(shape.length_tolerance);
    form.end(shape.start);
    form.end(shape.end);
    form.byte(u8::from(shape.turnable));
    form.number(shape.features.len() as u64);
    // In the order of resolve, but for the type, which sorts by an id of the library there.
    let mut features: Vec<_> = shape.features.iter().map(|f| (f, kind(f.kind))).collect();
    features.sort_by_key(|&(f, name)| {
        let (first, last) = f.place.extent(f.outline, shape.length);
        (first, last, name, f.faces, f.across, f.outline, f.place)
    });
    for (feature, name) in features {
        form.text(name);
        form.faces(feature.faces);
        form.place(feature.place);
        form.length(feature.across);
        form.tolerance(feature.across_tolerance);
        form.outline(feature.outline);
    }
    let hash = form.0.finalize();
    let mut short = [0; 16];
    for (to, from) in short.iter_mut().zip(hash) {
        *to = from;
    }
    short
}

struct Canon(Sha256);

impl Canon {
    fn byte(&mut self, byte: u8) {
        self.0.update([byte]);
    }
    fn number(&mut self, number: u64) {
        self.0.update(number.to_le_bytes());
    }
    fn text(&mut self, text: &str) {
        self.number(text.len() as u64);
        self.0.update(text.as_bytes());
    }
    fn length(&mut self, length: Length) {
        self.0.update(length.nm().to_le_bytes());
    }
    fn tolerance(&mut self, tolerance: Tolerance) {
        self.length(tolerance.minus);
        self.length(tolerance.plus);
    }
    fn faces(&mut self, faces: Faces) {
        self.byte(faces.bits());
    }
    fn position(&mut self, position: Position) {
        self.byte(position.datum as u8);
        self.length(position.offset);
    }
    fn end(&mut self, end: EndShape) {
        match end {
            EndShape::Square => self.byte(0),
            EndShape::Slope { rise, run } => {
                self.byte(1);
                self.0.update(rise.to_le_bytes());
                self.0.update(run.to_le_bytes());
            }
        }
    }
    fn place(&mut self, place: Place) {
        match place {
            Place::Point { at, tolerance } => {
                self.byte(0);
                self.position(at);
                self.tolerance(tolerance);
            }
            Place::Range { from, from_tolerance, to, to_tolerance } => {
                self.byte(1);
                self.position(from);
                self.tolerance(from_tolerance);
                self.position(to);
                self.tolerance(to_tolerance);
            }
            Place::End { end, tolerance } => {
                self.byte(2);
                self.byte(end as u8);
                self.tolerance(tolerance);
            }
        }
    }
    fn outline(&mut self, outline: Outline) {
        match outline {
            Outline::Circle { .. } => self.byte(0),
            Outline::Slot { .. } => self.byte(1),
            Outline::Rectangle { .. } => self.byte(2),
        }
        self.length(outline.length());
        self.length(outline.width());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::member::model::{Datum, Feature, ProfileId};
    use crate::quantity::{FileId, Span};

    fn feature(kind: u16, at: i64, span: u32) -> Feature {
        Feature {
            kind: FeatureTypeId(kind),
            faces: Faces::WEB,
            place: Place::Point {
                at: Position::from_start(Length::from_mm(at)),
                tolerance: Tolerance::even(Length::from_mm(1)),
            },
            across: Length::ZERO,
            across_tolerance: Tolerance::even(Length::from_mm(1)),
            outline: Outline::Circle { diameter: Length::from_mm(12) },
            span: Span::new(FileId(0), span, span + 1),
        }
    }
    fn shape(features: Vec<Feature>) -> Shape {
        Shape {
            profile: ProfileId(0),
            length: Length::from_mm(2400),
            length_tolerance: Tolerance::even(Length::from_mm(1)),
            start: EndShape::Square,
            end: EndShape::Square,
            turnable: false,
            features,
        }
    }
    fn hash(shape: &Shape, names: [&'static str; 2]) -> [u8; 16] {
        content_hash(shape, "C90", |id| names[usize::from(id.0)])
    }

    #[test]
    fn spans_and_the_order_of_the_library_do_not_matter() {
        let one = shape(vec![feature(0, 100, 1), feature(1, 100, 2), feature(0, 300, 3)]);
        let other = shape(vec![feature(0, 100, 8), feature(1, 100, 9), feature(1, 300, 7)]);
        assert_eq!(hash(&one, ["hole", "dimple"]), hash(&other, ["dimple", "hole"]));
    }

    #[test]
    fn every_dimension_matters() {
        let base = shape(vec![feature(0, 100, 1)]);
        let names = ["hole", "dimple"];
        let mut changed: Vec<Shape> = vec![shape(vec![]), shape(vec![feature(1, 100, 1)])];
        let mut with = |change: &dyn Fn(&mut Shape)| {
            let mut shape = base.clone();
            change(&mut shape);
            changed.push(shape);
        };
        let nm = Length::from_nm(1);
        with(&|s| s.length += nm);
        with(&|s| s.length_tolerance.plus += nm);
        with(&|s| s.turnable = true);
        with(&|s| s.start = EndShape::Slope { rise: 1, run: 3 });
        with(&|s| s.end = EndShape::Slope { rise: 1, run: 3 });
        with(&|s| s.end = EndShape::Slope { rise: -1, run: 3 });
        with(&|s| s.features[0].faces = Faces::LEFT_FLANGE);
        with(&|s| s.features[0].across += nm);
        with(&|s| s.features[0].across_tolerance.minus += nm);
        with(&|s| s.features[0].outline = Outline::Circle { diameter: nm });
        with(&|s| {
            // The same place, measured from the other end.
            let Place::Point { at, .. } = &mut s.features[0].place else { return };
            *at = Position { datum: Datum::End, offset: Length::from_mm(-2300) };
        });
        with(&|s| {
            let Place::Point { tolerance, .. } = &mut s.features[0].place else { return };
            tolerance.plus += nm;
        });
        let mut hashes: Vec<_> = changed.iter().map(|s| hash(s, names)).collect();
        hashes.push(hash(&base, names));
        hashes.push(content_hash(&base, "C91", |_| "hole"));
        let count = hashes.len();
        hashes.sort();
        hashes.dedup();
        assert_eq!(hashes.len(), count);
    }
}
