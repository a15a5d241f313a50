//! Running dimensions from the start, below the blank.

use super::features::Lettered;
use super::figure::{Anchor, Figure, Text};
use super::{Item, Layer};
use crate::library::model::Units;
use crate::member::model::{End, Place, Shape};
use crate::quantity::Length;
use crate::report::units;
use std::collections::{BTreeMap, BTreeSet};

/// Height of a figure's letters.
pub const HEIGHT: Length = Length::from_mm(5);
/// From one figure to the next.
const PITCH: Length = Length::from_mm(8);

/// Lines and figures, and how far down they reach.
pub fn rows(shape: &Shape, features: &[Lettered<'_>], low: Length) -> (Vec<Item>, Length) {
    let mut places: BTreeMap<Length, BTreeSet<&str>> = BTreeMap::new();
    places.entry(Length::ZERO).or_default();
    places.entry(shape.length).or_default();
    for one in features {
        for x in dimensioned(one, shape) {
            places.entry(x).or_default().insert(&one.letter);
        }
    }
    let step = |n: i64| low - Length::from_mm(n);
    let mut items = vec![Item::plain(
        Layer::Dimensions,
        Figure::Line((Length::ZERO, step(12)), (shape.length, step(12))),
    )];
    let labels = spread(places.keys().copied(), shape.length);
    let mut longest = 0;
    for ((x, letters), label) in places.iter().zip(labels) {
        let mut words = units::figure(*x, Units::Millimetres);
        for letter in letters {
            words.push(' ');
            words.push_str(letter);
        }
        longest = longest.max(words.chars().count());
        let line = |from, to| Item::plain(Layer::Dimensions, Figure::Line(from, to));
        items.push(line((*x, step(4)), (*x, step(16))));
        items.push(line((*x, step(16)), (label, step(26))));
        items.push(Item::plain(
            Layer::Dimensions,
            Figure::Text(Text {
                at: (label, step(28)),
                height: HEIGHT,
                words,
                anchor: Anchor::End,
                upward: true,
            }),
        ));
    }
    let below = step(28) - HEIGHT.times(i64::try_from(longest).unwrap_or(0));
    (items, below)
}

/// What is taped of a feature: centre, both edges, or the inner edge.
fn dimensioned(one: &Lettered<'_>, shape: &Shape) -> Vec<Length> {
    let inner = one.feature.outline.length();
    match one.feature.place {
        Place::Point { at, .. } => vec![at.on(shape.length).distance()],
        Place::Range { from, to, .. } => {
            vec![from.on(shape.length).distance(), to.on(shape.length).distance()]
        }
        Place::End { end: End::Start, .. } => vec![inner],
        Place::End { end: End::End, .. } => vec![shape.length - inner],
    }
}

/// Where figures stand, in order: as near below their places as they leave room to each other,
/// beyond the end where there are more than the length has room for.
fn spread(places: impl Iterator<Item = Length>, length: Length) -> Vec<Length> {
    let mut at: Vec<Length> = Vec::new();
    for place in places {
        let next = at.last().map_or(place, |before| *before + PITCH);
        at.push(place.max(next));
    }
    let room = PITCH.times(i64::try_from(at.len().saturating_sub(1)).unwrap_or(0));
    let mut most = length.max(room);
    for place in at.iter_mut().rev() {
        *place = (*place).min(most);
        most = *place - PITCH;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_keep_apart_and_stay_where_there_is_room() {
        let mm = Length::from_mm;
        let spread =
            |places: &[i64], length| spread(places.iter().map(|&place| mm(place)), mm(length));
        assert_eq!(spread(&[0, 100, 300], 300), [mm(0), mm(100), mm(300)]);
        assert_eq!(spread(&[0, 298, 299, 300], 300), [mm(0), mm(284), mm(292), mm(300)]);
        assert_eq!(spread(&[0, 1, 2, 3], 3), [mm(0), mm(8), mm(16), mm(24)]);
    }
}
