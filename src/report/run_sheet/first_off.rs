//! What to tape: the first piece of each run, and the first of each shape.

use super::set_up::on;
use crate::library::model::{Library, Units};
use crate::member::model::{
    Datum, End, EndShape, Faces, Feature, FeatureTypeId, Outline, Place, Position, Shape,
};
use crate::plan::{Inputs, PlannedPiece, Run};
use crate::quantity::{Length, Tolerance};
use crate::report::markdown::{prose, table, text};
use crate::report::model::{PieceReport, RunReport};
use crate::report::units::{figure, fraction, outline, tolerance};
use crate::report::words::end_shape;
use std::collections::BTreeSet;

/// The first piece, and one table for each further shape at the first piece of it, with the
/// serials of these pieces. Shapes in `taped` stand on the sheet already.
pub fn print(
    run: &RunReport,
    planned: &Run,
    inputs: &Inputs<'_>,
    taped: &mut BTreeSet<String>,
) -> (String, BTreeSet<u32>) {
    let mut sheet = String::from("### First piece\n\n");
    let mut serials = BTreeSet::new();
    let units = inputs.batch.units;
    let Some(first) = run.pieces.first() else { return (String::new(), serials) };
    sheet.push_str(&prose(
        &format!(
            "Stop after **serial {}** ({} {} {}). Tape it; go on when all of it is within \
             tolerance. Hook the tape at the leading end, long point. Where (T …) stands, the \
             drawing measures from the trailing end: tape that figure from there; (M …) from the \
             middle. Of what lies at an end the figure is the inner edge, of holes and dimples \
             the centre.",
            first.serial,
            text(&first.job),
            text(&first.frame),
            text(&first.mark)
        ),
        0,
    ));
    sheet.push('\n');
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
            sheet.push_str("### First of each further shape\n\n");
        }
        serials.insert(piece.serial);
        sheet.push_str(&one(piece, of, inputs.library, units));
    }
    (sheet, serials)
}

fn one(piece: &PieceReport, of: &PlannedPiece, library: &Library, units: Units) -> String {
    let turned = of.turned.then(|| of.shape.turned()).flatten();
    let shape = turned.as_ref().unwrap_or(&of.shape);
    let mut sheet = format!(
        "**Serial {}**: {} {} {}, {}{}\n\n",
        piece.serial,
        text(&piece.job),
        text(&piece.frame),
        text(&piece.mark),
        piece.usage,
        if piece.turned { ", comes off end first and is taped so" } else { "" }
    );
    let blank = String::new;
    let mut rows = vec![vec![
        "**length**".to_string(),
        blank(),
        blank(),
        figure(shape.length, units),
        fraction(shape.length, units).map_or_else(blank, |fraction| format!("= {fraction}")),
        tolerance(shape.length_tolerance, units),
        blank(),
    ]];
    for (end, word) in [(shape.start, "leading end"), (shape.end, "trailing end")] {
        if end != EndShape::Square {
            let cut = vec![word.to_string(), blank(), blank(), end_shape(end)];
            rows.push([cut, vec![blank(), blank(), blank()]].concat());
        }
    }
    rows.extend(features(shape, library, units));
    sheet.push_str(&table(
        &["what", "on", "no.", "first", "last", "tol.", "measured"],
        &[2],
        &rows,
    ));
    sheet.push('\n');
    sheet
}

/// One row for each kind of feature of one size in one place across: how many there are, the
/// first and the last.
fn features(shape: &Shape, library: &Library, units: Units) -> Vec<Vec<String>> {
    let alike = |f: &Feature| (f.kind, f.faces, f.across, f.outline);
    let mut groups: Vec<(FeatureTypeId, Faces, Length, Outline)> =
        shape.features.iter().map(alike).collect();
    groups.sort_unstable();
    groups.dedup();
    let mut rows = Vec::new();
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
            format!("{} {}", text(name), outline(size, units)),
            on(faces, across, units),
            of_it.len().to_string(),
            place(first, shape, units),
            last.map_or_else(String::new, |f| place(f, shape, units)),
            match allowed {
                [Some(a), Some(b)] if a != b => format!("{a}; {b}"),
                [a, _] => a.unwrap_or_default(),
            },
            String::new(),
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
