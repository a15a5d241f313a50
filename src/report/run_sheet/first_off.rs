//! What to tape: the first piece of each run, and the first of each shape.

use super::set_up::on;
use crate::library::model::{Library, Units};
use crate::member::model::{
    Datum, End, EndShape, Faces, Feature, FeatureTypeId, Outline, Place, Position, Shape,
};
use crate::plan::{Inputs, PlannedPiece, Run};
use crate::quantity::{Length, Tolerance};
use crate::report::model::{PieceReport, RunReport};
use crate::report::sheet::model::{Block, Cell, Table, Words, bold};
use crate::report::units::{figure, fraction, outline, tolerance};
use crate::report::words::end_shape;
use std::collections::BTreeSet;

/// Letters there is room for where a reading is written down.
const MEASURED: usize = 8;
/// Columns of a table to tape by, and where readings are written: beside what they are read for.
const HEADS: [&str; 8] = ["what", "on", "no.", "tol.", "first", "reads", "last", "reads"];
const READS: [usize; 2] = [5, 7];

/// The first piece, and one table for each further shape at the first piece of it, with the
/// serials of these pieces. Shapes in `taped` stand on the sheet already.
pub fn blocks(
    run: &RunReport,
    planned: &Run,
    inputs: &Inputs<'_>,
    taped: &mut BTreeSet<String>,
) -> (Vec<Block>, BTreeSet<u32>) {
    let mut serials = BTreeSet::new();
    let units = inputs.batch.units;
    let Some(first) = run.pieces.first() else { return (Vec::new(), serials) };
    let is_sloped =
        |of: &PlannedPiece| [of.shape.start, of.shape.end].iter().any(|e| *e != EndShape::Square);
    let run_is_sloped = planned.pieces.iter().any(is_sloped);
    let how = Words::from("Stop after ").bold(format!("serial {}", first.serial)).plain(format!(
        " ({} {} {}). Tape it, write down what the tape reads, and go on \
             when all of it is within tolerance. Hook the tape at the leading end{}. Where (T …) \
             stands, the drawing measures from the trailing end: tape that figure from there; \
             (M …) from the middle. Of what lies at an end the figure is the inner edge, of holes \
             and dimples the centre.",
        first.job,
        first.frame,
        first.mark,
        if run_is_sloped { ", where it is sloped at its long point" } else { "" },
    ));
    let mut blocks = vec![Block::Heading(3, "First piece".into()), Block::Prose(how)];
    let mut further = false;
    for (i, (piece, of)) in run.pieces.iter().zip(&planned.pieces).enumerate() {
        // A shape made end first lies the other way round under the tape.
        let lies =
            if piece.turned { format!("{} turned", piece.drawn) } else { piece.drawn.clone() };
        if !taped.insert(lies) && i > 0 {
            continue;
        }
        if i > 0 && !further {
            further = true;
            blocks.push(Block::Heading(3, "First of each further shape".into()));
        }
        serials.insert(piece.serial);
        blocks.extend(one(piece, of, inputs.library, units));
    }
    (blocks, serials)
}

fn one(piece: &PieceReport, of: &PlannedPiece, library: &Library, units: Units) -> [Block; 2] {
    let turned = of.turned.then(|| of.shape.turned()).flatten();
    let shape = turned.as_ref().unwrap_or(&of.shape);
    let PieceReport { job, frame, mark, usage, .. } = piece;
    let turned = if piece.turned { ", comes off end first and is taped so" } else { "" };
    let caption = bold(format!("Serial {}", piece.serial))
        .plain(format!(": {job} {frame} {mark}, {usage}{turned}"));
    let length = figure(shape.length, units);
    let length = match fraction(shape.length, units) {
        Some(fraction) => format!("{length} = {fraction}"),
        None => length,
    };
    let mut rows: Vec<Vec<Cell>> = vec![vec![
        bold("length").into(),
        "".into(),
        "".into(),
        tolerance(shape.length_tolerance, units).into(),
        length.into(),
    ]];
    for (end, word) in [(shape.start, "leading end"), (shape.end, "trailing end")] {
        if end != EndShape::Square {
            rows.push(vec![word.into(), "".into(), "".into(), "".into(), end_shape(end).into()]);
        }
    }
    rows.extend(features(shape, library, units));
    for row in &mut rows {
        row.resize(HEADS.len(), Cell::default());
    }
    let table = Table::new(&HEADS, &[2], rows);
    let table = READS.into_iter().fold(table, |table, column| table.with_room(column, MEASURED));
    [Block::Caption(caption), Block::Table(table)]
}

/// One row for each kind of feature of one size in one place across: how many there are, the
/// first and the last.
fn features(shape: &Shape, library: &Library, units: Units) -> Vec<Vec<Cell>> {
    let alike = |f: &Feature| (f.kind, f.faces, f.across, f.outline);
    let mut groups: Vec<(FeatureTypeId, Faces, Length, Outline)> =
        shape.features.iter().map(alike).collect();
    groups.sort_unstable();
    groups.dedup();
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    for group in groups {
        let mut of_it: Vec<&Feature> =
            shape.features.iter().filter(|f| alike(f) == group).collect();
        of_it.sort_by_key(|f| f.place.extent(f.outline, shape.length));
        let Some(first) = of_it.first() else { continue };
        let last = of_it.last().filter(|_| of_it.len() > 1);
        let (kind, faces, across, size) = group;
        let name = library.feature(kind).map_or("feature", |kind| &*kind.name);
        let allowed = [Some(first), last].map(|f| f.map(|f| allowed(f, units)));
        rows.push(vec![
            format!("{name} {}", outline(size, units)).into(),
            on(faces, across, units).into(),
            of_it.len().to_string().into(),
            match allowed {
                [Some(a), Some(b)] if a != b => format!("{a}; {b}").into(),
                [a, _] => a.unwrap_or_default().into(),
            },
            place(first, shape, units).into(),
            "".into(),
            last.map_or_else(String::new, |f| place(f, shape, units)).into(),
        ]);
    }
    rows
}

fn allowed(feature: &Feature, units: Units) -> String {
    let told = |t: Tolerance| tolerance(t, units);
    match feature.place {
        Place::Point { tolerance, .. } | Place::End { tolerance, .. } => told(tolerance),
        Place::Range { from_tolerance: from, to_tolerance: to, .. } if from == to => told(from),
        Place::Range { from_tolerance, to_tolerance, .. } => {
            format!("{} to {}", told(from_tolerance), told(to_tolerance))
        }
    }
}

/// Where it is from the leading end: the centre of a point, both edges of a range, the inner
/// edge of an end.
fn place(feature: &Feature, shape: &Shape, units: Units) -> String {
    match feature.place {
        Place::Point { at, .. } => from_leading(at, shape, units),
        Place::Range { from, to, .. } if from.datum == Datum::End && to.datum == Datum::End => {
            let on = |at: Position| figure(at.on(shape.length).distance(), units);
            let back = |at: Position| figure(at.offset.abs(), units);
            format!("{} to {} (T {} to {})", on(from), on(to), back(from), back(to))
        }
        Place::Range { from, to, .. } => {
            format!("{} to {}", from_leading(from, shape, units), from_leading(to, shape, units))
        }
        Place::End { end: End::Start, .. } => figure(feature.outline.length(), units),
        Place::End { end: End::End, .. } => {
            from_leading(Position::from_end(-feature.outline.length()), shape, units)
        }
    }
}

/// The figure from the leading end, and where the drawing dimensions from elsewhere that figure
/// too, for its tolerance holds there.
fn from_leading(at: Position, shape: &Shape, units: Units) -> String {
    let from_start = figure(at.on(shape.length).distance(), units);
    let offset = figure(at.offset.abs(), units);
    match at.datum {
        Datum::Start => from_start,
        Datum::End => format!("{from_start} (T {offset})"),
        Datum::Middle => {
            let sign = if at.offset.is_negative() { "−" } else { "+" };
            format!("{from_start} (M {sign}{offset})")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::member::model::ProfileId;

    #[test]
    fn says_where_a_dimension_is_drawn_from() {
        let shape = Shape {
            profile: ProfileId(0),
            length: Length::from_mm(2386),
            length_tolerance: Tolerance::even(Length::from_mm(1)),
            start: EndShape::Square,
            end: EndShape::Square,
            turnable: false,
            features: Vec::new(),
        };
        let told = |at| from_leading(at, &shape, Units::Millimetres);
        assert_eq!(told(Position::from_end(Length::from_mm(-45))), "2341 (T 45)");
        assert_eq!(told(Position::from_start(Length::from_mm(22))), "22");
        let middle = Position { datum: Datum::Middle, offset: Length::from_mm(-3) };
        assert_eq!(told(middle), "1190 (M −3)");
    }
}
