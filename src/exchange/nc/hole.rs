//! Holes and slots (BO), and openings of any kind as features.

use super::FACES;
use super::line::{Line, without_letter};
use super::read::{Reader, Sizes};
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnFeature, DrawnMember, DrawnPlace};
use crate::exchange::map::{Meant, opening_help};
use crate::library::model::OutlineForm;
use crate::member::model::{Faces, Position};
use crate::quantity::Length;
use std::sync::Arc;

/// An opening: its middle along the part and from the lower edge of its face, and its size.
pub(super) struct Opening {
    pub face: Faces,
    pub along: Length,
    pub across: Length,
    pub round: bool,
    pub length: Length,
    pub width: Length,
}

impl Reader<'_> {
    /// A line of BO.
    pub(super) fn hole(&mut self, line: Line<'_>, sizes: Sizes, member: &mut DrawnMember) {
        let words: Vec<&str> = line.text.split_whitespace().collect();
        let (Some(&letter), Some(&x)) = (words.first(), words.get(1)) else { return };
        let Some((_, face)) = FACES.iter().find(|(known, _)| *known == letter) else {
            self.at(
                &codes::E1163,
                line,
                format!("a hole on `{letter}`"),
                "a channel has v (web), o and u (flanges)",
            );
            return;
        };
        let along = self.figure(line, without_letter(x));
        // The depth of a slot is followed by the letter l.
        let plain: Option<Vec<Length>> = (2..)
            .zip(words.iter().skip(2))
            .map(|(i, word)| {
                let word = if i == 4 { word.strip_suffix('l').unwrap_or(word) } else { word };
                self.figure(line, word)
            })
            .collect();
        let (Some(along), Some(plain)) = (along, plain) else { return };
        let (across, diameter, longer) = match plain.as_slice() {
            [y, d] | [y, d, _] => (*y, *d, Length::ZERO),
            // A slot along the member: no wider than its ends, not turned.
            [y, d, _, longer, Length::ZERO, Length::ZERO] | [y, d, _, longer, Length::ZERO] => {
                (*y, *d, *longer)
            }
            _ => {
                self.at(
                    &codes::E1163,
                    line,
                    "this hole is turned, or more than a hole or slot".into(),
                    "only plain holes and slots along the member are read",
                );
                return;
            }
        };
        if plain.get(2).is_some_and(|depth| *depth != Length::ZERO) {
            self.at(
                &codes::E1163,
                line,
                "this hole does not go through".into(),
                "only holes that go through are read",
            );
            return;
        }
        if diameter <= Length::ZERO || longer.is_negative() {
            let what = "this hole has no size".to_string();
            self.at(&codes::E1161, line, what, "correct the file");
            return;
        }
        // A slot's place is the middle of its first half circle.
        let opening = Opening {
            face: *face,
            along: along + longer.half(),
            across,
            round: longer == Length::ZERO,
            length: longer + diameter,
            width: diameter,
        };
        self.opening(line, &opening, sizes, member);
    }

    /// An opening, as the feature that it stands for.
    pub(super) fn opening(
        &mut self,
        line: Line<'_>,
        opening: &Opening,
        sizes: Sizes,
        member: &mut DrawnMember,
    ) {
        let Opening { face, along, across, round, length, width } = *opening;
        let wide = sizes.across(face);
        let outside = |at: Length, end: Length| at.is_negative() || at > end;
        if outside(along, sizes.length) || outside(across, wide) {
            self.at(
                &codes::E1161,
                line,
                "this hole lies outside the part".into(),
                "places along are counted from the start, places across from the lower edge of the face, whatever letter stands between: correct the file",
            );
            return;
        }
        let across = across - wide.half();
        let size = (length, width);
        let told = match round {
            true => format!("hole Ø{length}"),
            false => format!("slot or rectangle {length} × {width}"),
        };
        let (kind, said) = match self.map.opening(round, size.0, size.1) {
            Some(Meant::Type(kind, said)) => (Arc::<str>::from(kind), said),
            Some(Meant::LeftOut) => {
                self.answer.leave_out(told);
                return;
            }
            None => {
                let what = format!("a {told} stands for nothing in the map");
                self.at(&codes::E1149, line, what, &opening_help(round, size.0, size.1));
                return;
            }
        };
        let known =
            self.library.and_then(|library| library.feature_named(&kind)).map(|(_, kind)| kind);
        let drilled = |form: OutlineForm| !matches!(form, OutlineForm::Rectangle { .. });
        let open =
            known.is_some_and(|kind| drilled(kind.outline) && kind.outline.leaves_size_open());
        let usual = known.map(|kind| kind.default_faces);
        // The same on the other flange makes one feature of two.
        let place = DrawnPlace::Point { at: Position::from_start(along), tolerance: None };
        let across = Some(across).filter(|a| *a != known.map_or(Length::ZERO, |kind| kind.across));
        let size = (said || open).then_some((size.0, (!round).then_some(size.1)));
        let same = member
            .features
            .iter_mut()
            .find(|f| f.kind == kind && f.place == place && f.across == across && f.size == size);
        let settled = |faces: Faces| Some(faces).filter(|f| Some(*f) != usual);
        match same {
            Some(other) if other.faces.or(usual).unwrap_or(Faces::empty()).contains(face) => {
                let what = "this hole is there already".into();
                self.at(&codes::E1161, line, what, "take one of the two out of the file");
            }
            Some(other) => {
                other.faces = settled(other.faces.or(usual).unwrap_or(Faces::empty()) | face)
            }
            None => member.features.push(DrawnFeature {
                kind,
                size,
                faces: settled(face),
                across,
                place,
                across_tolerance: None,
            }),
        }
    }
}
