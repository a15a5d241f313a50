//! What an opening stands for.

use super::Reader;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnFeature, DrawnMember, DrawnPlace};
use crate::exchange::ifc::opening::Hole;
use crate::exchange::ifc::section::Drawn;
use crate::exchange::map::{Meant, opening_help};
use crate::library::model::FeatureType;
use crate::member::model::Faces;
use crate::quantity::Length;
use std::sync::Arc;

/// How it is known what an opening stands for.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Known {
    /// By its size; whether the map has each feature say it.
    BySize(bool),
    /// By the word it bears; the size that the map gives for that.
    ByWord(Option<Length>, Option<Length>),
}

impl Reader<'_, '_> {
    /// The feature that a hole stands for: by its word, else by its size.
    pub(super) fn feature(
        &mut self,
        id: u64,
        word: &str,
        hole: &Hole,
        section: &Drawn,
        member: &mut DrawnMember,
    ) {
        let Some((kind, known)) = self.meant(id, word, hole) else { return };
        let library = self.library;
        let of = library.and_then(|library| library.feature_named(&kind)).map(|(_, kind)| kind);
        let made = self.drawn(id, hole, section, member, (Arc::clone(&kind), of), known);
        match made {
            Ok(feature) => member.features.push(feature),
            Err(refusal) => self.found.push(*refusal),
        }
    }

    fn drawn(
        &self,
        id: u64,
        hole: &Hole,
        section: &Drawn,
        member: &DrawnMember,
        (kind, of): (Arc<str>, Option<&FeatureType>),
        known: Known,
    ) -> Result<DrawnFeature, Box<Diagnostic>> {
        self.inside(id, hole, section, member, of)?;
        let size = self.size(id, hole, section, (&kind, of), known)?;
        let place = self.place(id, hole, (&kind, of), member)?;
        let (usual_faces, usual_across) = (of.map(|kind| kind.default_faces), of.map(|k| k.across));
        let size = match (place, size) {
            // A range says its length itself.
            (DrawnPlace::Range { .. }, Some((_, None))) => None,
            _ => size,
        };
        Ok(DrawnFeature {
            kind,
            size,
            faces: Some(hole.faces).filter(|faces| {
                Some(*faces) != usual_faces && (of.is_some() || *faces != Faces::WEB)
            }),
            across: Some(hole.across).filter(|across| match usual_across {
                Some(usual) => *across != usual,
                None => *across != Length::ZERO,
            }),
            place,
            across_tolerance: None,
        })
    }

    /// The type an opening stands for; `None` where it was put aside or told.
    fn meant(&mut self, id: u64, word: &str, hole: &Hole) -> Option<(Arc<str>, Known)> {
        let map = self.map;
        if let Some(code) = map.code(word) {
            let Some(at) = code.feature.as_ref().filter(|_| !code.is_left_out()) else {
                self.answer.leave_out(format!("opening `{word}`"));
                return None;
            };
            let said = code.size.as_ref().map(|at| at.value);
            let width = code.width.as_ref().map(|at| at.value);
            return Some((Arc::from(at.value.as_str()), Known::ByWord(said, width)));
        }
        match map.opening(hole.is_round(), hole.length, hole.width) {
            Some(Meant::LeftOut) => {
                self.answer.leave_out(format!("opening {}", hole.size_told()));
                return None;
            }
            Some(Meant::Type(name, said)) => return Some((Arc::from(name), Known::BySize(said))),
            None => {}
        }
        let named = self.library.and_then(|library| library.feature_named(word));
        if let Some((_, kind)) = named {
            return Some((Arc::clone(&kind.name), Known::ByWord(None, None)));
        }
        if self.told.insert((hole.is_round(), hole.length, hole.width), ()).is_none() {
            self.found.push(
                Diagnostic::new(
                    &codes::E1149,
                    format!("an opening {} stands for nothing in the map", hole.size_told()),
                )
                .at(self.model.step.place(id), "the first of them")
                .help(opening_help(hole.is_round(), hole.length, hole.width)),
            );
        }
        None
    }
}
