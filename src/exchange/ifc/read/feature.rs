//! What an opening stands for, and what this program wrote beside it.

use super::{Reader, size_told, told_openings};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnFeature, DrawnMember, DrawnPlace};
use crate::exchange::ifc::opening::Hole;
use crate::exchange::map::{Meant, opening_help};
use crate::exchange::step;
use crate::library::model::{Form, OutlineForm, Slope};
use crate::member::model::{End, Faces, Position};
use crate::quantity::Length;
use std::sync::Arc;

impl Reader<'_, '_> {
    /// The feature that a hole stands for: by its word, else by its size.
    pub(super) fn feature(&mut self, id: u64, word: &str, hole: &Hole, member: &mut DrawnMember) {
        let code = self.map.code(word);
        let (kind, said): (Arc<str>, Option<bool>) = if let Some(code) = code {
            match &code.feature {
                Some(at) if !code.is_left_out() => (Arc::from(at.value.as_str()), None),
                _ => {
                    self.answer.leave_out(format!("opening `{word}`"));
                    return;
                }
            }
        } else {
            let by_name = self
                .library
                .and_then(|library| library.feature_named(word))
                .map(|(_, kind)| Arc::clone(&kind.name));
            match (self.map.opening(hole.round, hole.length, hole.width), by_name) {
                (Some(Meant::LeftOut), _) => {
                    self.answer.leave_out(format!("opening {}", size_told(hole)));
                    return;
                }
                (Some(Meant::Type(name, said)), _) => (Arc::from(name), Some(said)),
                (None, Some(name)) => (name, None),
                (None, None) => {
                    if self.told.insert((hole.round, hole.length, hole.width), ()).is_none() {
                        self.found.push(
                            Diagnostic::new(
                                &codes::E1149,
                                format!(
                                    "an opening {} stands for nothing in the map",
                                    size_told(hole)
                                ),
                            )
                            .at(self.model.step.place(id), "the first of them")
                            .help(opening_help(
                                hole.round,
                                hole.length,
                                hole.width,
                            )),
                        );
                    }
                    return;
                }
            }
        };
        let known =
            self.library.and_then(|library| library.feature_named(&kind)).map(|(_, kind)| kind);
        let open = known.map(|kind| kind.outline.leaves_size_open());
        let width_open = known.is_none_or(|kind| {
            matches!(
                kind.outline,
                OutlineForm::Slot { .. } | OutlineForm::Rectangle { width: Some(_), .. }
            )
        });
        let say = said.or(open).unwrap_or(false);
        let size = say.then(|| (hole.length, (!hole.round && width_open).then_some(hole.width)));
        let usual_faces = known.map(|kind| kind.default_faces);
        let usual_across = known.map(|kind| kind.across);
        let place = match known.map(|kind| kind.form) {
            Some(Form::End) => {
                let end = if hole.along < member.length.half() { End::Start } else { End::End };
                DrawnPlace::End { end, tolerance: None }
            }
            Some(Form::Range) => DrawnPlace::Range {
                from: Position::from_start(hole.along - hole.length.half()),
                to: Position::from_start(hole.along - hole.length.half() + hole.length),
                tolerance: None,
            },
            _ => DrawnPlace::Point { at: Position::from_start(hole.along), tolerance: None },
        };
        let size = if matches!(place, DrawnPlace::Range { .. }) { None } else { size };
        member.features.push(DrawnFeature {
            kind,
            size,
            faces: Some(hole.faces).filter(|faces| {
                Some(*faces) != usual_faces && (known.is_some() || *faces != Faces::WEB)
            }),
            across: Some(hole.across).filter(|across| match usual_across {
                Some(usual) => *across != usual,
                None => *across != Length::ZERO,
            }),
            place,
            across_tolerance: None,
        });
    }

    /// What this program wrote about a member, if its openings are still as it wrote them.
    pub(super) fn own_words(
        &mut self,
        id: u64,
        member: &mut DrawnMember,
        drilled: &[(u64, String, Hole)],
    ) -> Option<DrawnMember> {
        let set = *self.properties.get(&id)?;
        let set = self.model.step.entity(set, id).ok()?;
        let (mut line, mut openings) = (None, None);
        for property in set.references(4) {
            let property = self.model.step.entity(property, set.id).ok()?;
            let said = match property.get(2) {
                step::Value::Typed(_, values) => match values.as_slice() {
                    [step::Value::Text(raw)] => step::text::decoded(raw),
                    _ => None,
                },
                _ => None,
            };
            match property.text(0).as_str() {
                "Member" => line = said,
                "Openings" => openings = said,
                _ => {}
            }
        }
        let written = crate::exchange::json::member_of(&line?)?;
        let all: Vec<Hole> = drilled.iter().map(|(_, _, hole)| *hole).collect();
        let same = openings.is_some_and(|said| said == told_openings(&all))
            && written.length == member.length
            && written.profile == member.profile
            && Slope::of_end(written.start) == Slope::of_end(member.start)
            && Slope::of_end(written.end) == Slope::of_end(member.end);
        if same {
            return Some(DrawnMember {
                mark: member.mark.clone(),
                usage: member.usage,
                source: member.source.clone(),
                quantity: 1,
                ..written
            });
        }
        self.found.push(
            Diagnostic::new(
                &codes::W1150,
                format!(
                    "member {} is not as this program wrote it: what is drawn counts",
                    member.mark
                ),
            )
            .at(self.model.step.place(id), "changed since")
            .help(
                "look at its pressed features and its tolerances, which are not drawn as openings",
            ),
        );
        member.length_tolerance = written.length_tolerance;
        member.mark_text = written.mark_text;
        member.turnable = written.turnable;
        let drawn: Vec<&str> = drilled.iter().map(|(_, word, _)| word.as_str()).collect();
        member.features.extend(written.features.into_iter().filter(|f| !drawn.contains(&&*f.kind)));
        None
    }
}
