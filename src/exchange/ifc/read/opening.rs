//! Where an opening lies on its member.

use super::Reader;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::ifc::fixed::Axes;
use crate::exchange::ifc::form::Form;
use crate::exchange::ifc::model::Outline;
use crate::exchange::ifc::opening::{Askew, Drill, Hole, holes};
use crate::exchange::ifc::section::Drawn;

impl Reader<'_, '_> {
    /// The holes of one opening, with the word it bears.
    pub(super) fn opening(
        &mut self,
        id: u64,
        from: u64,
        member: &Axes,
        section: &Drawn,
    ) -> Result<Vec<(u64, String, Hole)>, Box<Diagnostic>> {
        let entity = self.model.step.entity(id, from)?;
        let object = entity.text(4);
        let word = if object.is_empty() { entity.text(2) } else { object };
        let Some(shape) = entity.reference(6) else {
            return Err(self.model.not_understood(id, "an opening without a body"));
        };
        let placed = match entity.reference(5) {
            Some(placement) => self.model.placement(placement, id)?,
            None => Axes::HERE,
        };
        let sweeps = self.model.body(shape, id)?;
        if sweeps.is_empty() {
            return Err(self.model.not_understood(id, "an opening without a body"));
        }
        let mut made = Vec::new();
        for sweep in sweeps {
            if !sweep.cuts.is_empty() {
                return Err(self.model.not_understood(id, "an opening that a plane cuts"));
            }
            let (outline, flat, _) = self.model.outline(sweep.area, id)?;
            let (form, size) = match outline {
                Outline::Circle(diameter) => (Form::Round, (diameter, diameter)),
                Outline::Rectangle(x, y, radius) => (Form::of_corners((x, y), radius), (x, y)),
                Outline::Section(_) => {
                    return Err(self
                        .model
                        .not_understood(id, "an opening in the form of a section"));
                }
                Outline::Other(what) => {
                    return Err(self.model.not_understood(id, &format!("an opening as {what}")));
                }
            };
            let axes = member.seeing(&placed.then(&sweep.axes).then(&flat));
            let drill = Drill { axes, depth: sweep.depth, form, size };
            match holes(&drill, section) {
                Ok(found) => made.extend(found.into_iter().map(|hole| (id, word.clone(), hole))),
                Err(why) => return Err(self.askew(id, why)),
            }
        }
        Ok(made)
    }

    fn askew(&self, id: u64, why: Askew) -> Box<Diagnostic> {
        let why = match why {
            Askew::Direction => "does not go square through a face".to_string(),
            Askew::Turned => "is turned about its own axis".to_string(),
            Askew::Nothing => "meets no face of its member".to_string(),
            Askew::PartWay(face) => format!("stops inside the steel of the {face}"),
            Askew::EdgeOn(face) => format!("runs along inside the steel of the {face}"),
        };
        Box::new(
            Diagnostic::new(&codes::E1149, format!("the opening #{id} {why}"))
                .at(self.model.step.place(id), "this opening")
                .help("draw it through one face, square to it and to the member"),
        )
    }
}
