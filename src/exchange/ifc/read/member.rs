//! One element as a member.

use super::Reader;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::DrawnMember;
use crate::exchange::ifc::fixed::{Axes, Vector};
use crate::exchange::ifc::opening::settled;
use crate::exchange::map::MarkFrom;
use crate::exchange::step::Entity;
use crate::exchange::words::usage_of;
use crate::member::model::Usage;
use crate::quantity::Length;

impl Reader<'_, '_> {
    pub(super) fn member(&mut self, id: u64) -> Result<Option<DrawnMember>, Box<Diagnostic>> {
        let entity = self.model.step.entity(id, id)?;
        let (name, tag) = (entity.text(2), entity.text(7));
        let by_tag = self.map.ifc.as_ref().and_then(|ifc| ifc.mark) == Some(MarkFrom::Tag);
        let mark = if by_tag || name.is_empty() { tag } else { name };
        if mark.is_empty() {
            return Err(self.refused(
                id,
                "this member bears no mark",
                "name it in the drawing, or say `mark = \"tag\"` in [ifc] of the map",
            ));
        }
        if let Some(history) = entity.reference(1)
            && self.model.step.entity(history, id)?.word(3).eq_ignore_ascii_case("DELETED")
        {
            return Err(self.refused(
                id,
                "this member is marked as deleted",
                "take it out of the drawing and export again",
            ));
        }
        let usage = self.usage(&entity);
        let Some(shape) = entity.reference(6) else {
            return Err(self.model.not_understood(id, &format!("member {mark}, without a body")));
        };
        let sweeps = self.model.body(shape, id).map_err(|refusal| {
            Box::new(refusal.at(self.model.step.place(id), format!("member {mark}")))
        })?;
        let sweep = match sweeps.as_slice() {
            [sweep] => sweep.clone(),
            other => {
                let why = format!("member {mark}, with a body of {} parts", other.len());
                return Err(self.model.not_understood(id, &why));
            }
        };
        // What is wrong with a section is told once, not with each of its members.
        let Some((section, flat, profile)) = self.section(&sweep, id)? else { return Ok(None) };
        let ends = self.ends(&sweep, &flat, &section, id)?;
        let length = settled(ends.last - ends.first, self.round);
        if length <= Length::ZERO || length > Length::LIMIT {
            return Err(self.model.not_understood(id, &format!("member {mark}, of no length")));
        }
        let mut member = DrawnMember {
            mark,
            usage,
            quantity: 1,
            profile,
            length,
            length_tolerance: None,
            start: ends.start,
            end: ends.end,
            turnable: false,
            mark_text: None,
            features: Vec::new(),
            source: format!("{}:#{id}", self.name),
        };
        self.areas.insert(id, sweep.area);
        let openings = self.openings.get(&id).cloned().unwrap_or_default();
        let placed = match entity.reference(5) {
            Some(placement) => self.model.placement(placement, id)?,
            None => Axes::HERE,
        };
        let mut frame = placed.then(&sweep.axes).then(&flat);
        frame.origin = frame.point(Vector(0, 0, ends.first));
        self.remember(id, entity.text(0), &member.mark, &frame);
        let mut drilled = Vec::new();
        for opening in openings {
            drilled.extend(self.opening(opening, id, &frame, &section)?);
        }
        let drawn = settled(ends.last - ends.first, None);
        if let Some(own) = self.own_words(id, &mut member, drawn, &drilled)? {
            return Ok(Some(own));
        }
        for (opening, word, hole) in &drilled {
            let hole = self.round.map_or(*hole, |round| hole.rounded(round));
            self.feature(*opening, word, &hole, &section, &mut member);
        }
        Ok(Some(member))
    }

    fn usage(&self, entity: &Entity<'_>) -> Usage {
        let object = entity.text(4);
        let by_words = (!object.is_empty())
            .then(|| self.map.usage(&object).or_else(|| usage_of(&object)))
            .flatten();
        let by_class = match entity.word(8) {
            "STUD" => Some(Usage::Stud),
            "PLATE" => Some(Usage::Plate),
            "PURLIN" => Some(Usage::Batten),
            "RAFTER" => Some(Usage::Rafter),
            "BRACE" => Some(Usage::Brace),
            "JOIST" => Some(Usage::Joist),
            "LINTEL" => Some(Usage::Lintel),
            _ => None,
        };
        by_words.or(by_class).unwrap_or_else(|| self.map.default_usage())
    }

    fn refused(&self, id: u64, message: &str, help: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E1147, format!("#{id}: {message}"))
                .at(self.model.step.place(id), "this member")
                .help(help),
        )
    }
}
