//! Shapes packed in rows: what is alike is said once.

use super::data::face_bits;
use crate::library::model::{Profile, ToolId};
use crate::member::model::{Datum, End, EndShape, Feature, Outline, Place, Position, Shape};
use crate::quantity::Tolerance;
use crate::report::unrolled::Unrolled;
use std::collections::BTreeMap;

/// Every shape once, every kind of feature once, every choice of tools once.
#[derive(Default)]
pub struct Shapes {
    specs: Numbered<Vec<i64>>,
    shapes: Numbered<Vec<i64>>,
    made: Numbered<Vec<Vec<u16>>>,
    contours: BTreeMap<i64, Vec<i64>>,
}

/// Values numbered in the order they first come.
struct Numbered<T> {
    numbers: BTreeMap<T, usize>,
    values: Vec<T>,
}

impl<T> Default for Numbered<T> {
    fn default() -> Self {
        Numbered { numbers: BTreeMap::new(), values: Vec::new() }
    }
}

impl<T: Ord + Clone> Numbered<T> {
    fn of(&mut self, value: T) -> i64 {
        let next = self.values.len();
        let number = *self.numbers.entry(value).or_insert_with_key(|value| {
            self.values.push(value.clone());
            next
        });
        i64::try_from(number).unwrap_or(i64::MAX)
    }
}

impl Shapes {
    /// The number of a shape. Its row: profile, length, tolerance minus and plus, start rise and
    /// run, end rise and run (nought where square), then for each feature its spec and one offset
    /// for a point, two for a range, none for an end.
    pub fn row(&mut self, shape: &Shape, profile: Option<&Profile>) -> i64 {
        let (start, end) = (slope(shape.start), slope(shape.end));
        let mut row = vec![
            i64::from(shape.profile.0),
            shape.length.nm(),
            shape.length_tolerance.minus.nm(),
            shape.length_tolerance.plus.nm(),
            start.0,
            start.1,
            end.0,
            end.1,
        ];
        for feature in &shape.features {
            row.push(self.specs.of(spec(feature)));
            match feature.place {
                Place::Point { at, .. } => row.push(at.offset.nm()),
                Place::Range { from, to, .. } => row.extend([from.offset.nm(), to.offset.nm()]),
                Place::End { .. } => {}
            }
        }
        let number = self.shapes.of(row);
        let sloped = shape.start != EndShape::Square || shape.end != EndShape::Square;
        if let Some(profile) = profile.filter(|_| sloped) {
            self.contours.entry(number).or_insert_with(|| {
                let corners = Unrolled::of(profile).contour(shape);
                corners.into_iter().flat_map(|(x, y)| [x.nm(), y.nm()]).collect()
            });
        }
        number
    }

    /// The number of a choice of tools.
    pub fn tools(&mut self, tools: Vec<Vec<ToolId>>) -> i64 {
        let plain = |tools: Vec<ToolId>| tools.into_iter().map(|tool| tool.0).collect();
        self.made.of(tools.into_iter().map(plain).collect())
    }

    /// What was packed.
    pub fn packed(self) -> Packed {
        Packed {
            specs: self.specs.values,
            shapes: self.shapes.values,
            contours: self.contours,
            made: self.made.values,
        }
    }
}

/// Shapes in rows.
pub struct Packed {
    /// What features have in common.
    pub specs: Vec<Vec<i64>>,
    /// Shapes.
    pub shapes: Vec<Vec<i64>>,
    /// Corners of sloped shapes.
    pub contours: BTreeMap<i64, Vec<i64>>,
    /// Tools by feature.
    pub made: Vec<Vec<Vec<u16>>>,
}

/// Kind, faces, across, its tolerance, outline (0 circle, 1 slot, 2 rectangle) with its two sizes,
/// form (0 point, 1 range, 2 end), first datum (0 start, 1 middle, 2 end), its tolerance, second
/// datum, its tolerance.
fn spec(of: &Feature) -> Vec<i64> {
    let (form, sizes) = match of.outline {
        Outline::Circle { diameter } => (0, (diameter, diameter)),
        Outline::Slot { length, width } => (1, (length, width)),
        // The length of a range is where it reaches to.
        Outline::Rectangle { length, width } => (2, (length, width)),
    };
    let ranged = matches!(of.place, Place::Range { .. });
    let mut row = vec![
        i64::from(of.kind.0),
        face_bits(of.faces),
        of.across.nm(),
        of.across_tolerance.minus.nm(),
        of.across_tolerance.plus.nm(),
        form,
        if ranged { 0 } else { sizes.0.nm() },
        sizes.1.nm(),
    ];
    let both = |t: Tolerance| [t.minus.nm(), t.plus.nm()];
    match of.place {
        Place::Point { at, tolerance } => {
            row.extend([0, datum(at)]);
            row.extend(both(tolerance));
        }
        Place::Range { from, from_tolerance, to, to_tolerance } => {
            row.extend([1, datum(from)]);
            row.extend(both(from_tolerance));
            row.push(datum(to));
            row.extend(both(to_tolerance));
        }
        Place::End { end, tolerance } => {
            row.extend([2, if end == End::Start { 0 } else { 2 }]);
            row.extend(both(tolerance));
        }
    }
    row
}

const fn datum(at: Position) -> i64 {
    match at.datum {
        Datum::Start => 0,
        Datum::Middle => 1,
        Datum::End => 2,
    }
}

fn slope(end: EndShape) -> (i64, i64) {
    match end {
        EndShape::Square => (0, 0),
        EndShape::Slope { rise, run } => (i64::from(rise), i64::from(run)),
    }
}
