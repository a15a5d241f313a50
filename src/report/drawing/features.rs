//! Features on the blank: one figure on each face.

use super::figure::Figure;
use super::{Item, Layer};
use crate::library::model::{FeatureType, Library, OutlineForm, Units};
use crate::member::model::{Feature, Outline, Place, Shape};
use crate::quantity::Length;
use crate::report::units;
use crate::report::unrolled::{Lane, Unrolled};

/// A feature with the letter that dimensions know its kind by.
pub struct Lettered<'a> {
    pub letter: String,
    pub feature: &'a Feature,
    pub kind: &'a FeatureType,
}

/// What features have in common that bear one letter: a range's length is told by its dimensions.
type Alike = (u16, Outline, bool);

/// The features of a shape, alike ones under one letter: A to Z, then AA and on.
pub fn lettered<'a>(shape: &'a Shape, library: &'a Library) -> Vec<Lettered<'a>> {
    let mut seen: Vec<Alike> = Vec::new();
    let features = shape.features.iter();
    features
        .filter_map(|feature| {
            let kind = library.feature(feature.kind)?;
            let ranged = matches!(feature.place, Place::Range { .. });
            let outline = match feature.outline {
                Outline::Rectangle { width, .. } if ranged => {
                    Outline::Rectangle { length: Length::ZERO, width }
                }
                other => other,
            };
            let alike = (feature.kind.0, outline, ranged);
            let number = seen.iter().position(|one| *one == alike).unwrap_or_else(|| {
                seen.push(alike);
                seen.len() - 1
            });
            Some(Lettered { letter: letter(number), feature, kind })
        })
        .collect()
}

fn letter(number: usize) -> String {
    let one = |n: usize| char::from_digit((n % 26 + 10) as u32, 36).unwrap_or('?');
    let small = match number / 26 {
        0 => one(number).to_string(),
        tens => format!("{}{}", one(tens - 1), one(number)),
    };
    small.to_uppercase()
}

impl Lettered<'_> {
    /// Its kind and size: `dimple Ø10`, `lip-notch 12 wide`.
    pub fn words(&self) -> String {
        let figure = |length| units::figure(length, Units::Millimetres);
        let size = match (self.feature.outline, self.feature.place) {
            (Outline::Rectangle { width, .. }, Place::Range { .. }) => {
                format!("{} wide", figure(width))
            }
            (Outline::Slot { length, width }, _) => {
                format!("{} × {}, ends round", figure(length), figure(width))
            }
            (outline, _) => units::outline(outline, Units::Millimetres),
        };
        format!("{} {size}", self.kind.name)
    }

    /// Its figure on each face that the section has.
    pub fn items(&self, shape: &Shape, flat: &Unrolled) -> Vec<Item> {
        let lanes = flat.lanes.iter().filter(|lane| self.feature.faces.contains(lane.face));
        let place = self.feature.place;
        lanes
            .map(|lane| Item {
                layer: Layer::of(self.kind.purpose),
                figure: self.on(shape, lane),
                about: format!("{} {} at {}, {}", self.letter, self.words(), at(place), lane.face),
            })
            .collect()
    }

    fn on(&self, shape: &Shape, lane: &Lane) -> Figure {
        let Feature { place, across, outline, .. } = *self.feature;
        let (first, last) = place.extent(outline, shape.length);
        let (first, last) = (first.distance(), last.distance());
        let middle = if lane.upward { lane.middle + across } else { lane.middle - across };
        let centre = (first + (last - first).half(), middle);
        match outline {
            Outline::Circle { diameter } => Figure::Circle { centre, diameter },
            Outline::Slot { length, width } => Figure::Slot { centre, length, width },
            Outline::Rectangle { width, .. } => {
                // A type that covers its faces is as wide as the widest of them.
                let whole = matches!(self.kind.outline, OutlineForm::Rectangle { width: None, .. });
                let width = if whole { width.min(lane.width) } else { width };
                let (low, high) = (middle - width.half(), middle - width.half() + width);
                Figure::Outline(vec![(first, low), (last, low), (last, high), (first, high)])
            }
        }
    }
}

/// Where a feature is, in the drawing's words.
pub fn at(place: Place) -> String {
    match place {
        Place::Point { at, .. } => at.to_string(),
        Place::Range { from, to, .. } => format!("{from} to {to}"),
        Place::End { end, .. } => end.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::letter;

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 51, 52].map(letter), ["A", "Z", "AA", "AZ", "BA"]);
    }
}
