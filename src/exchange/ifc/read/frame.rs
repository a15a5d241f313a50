//! The job and the frames of a model.

use super::Reader;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnFrame, DrawnJob};
use crate::member::model::FrameKind;

impl Reader<'_, '_> {
    pub(super) fn project(&mut self) -> DrawnJob {
        if let Some(job) = self.map.drawn_job() {
            return job;
        }
        let project = self.model.step.of("IFCPROJECT").first().copied();
        let entity = project.and_then(|id| self.entity(id, id));
        let (name, title, revision) =
            entity.map_or_else(Default::default, |e| (e.text(2), e.text(5), e.text(6)));
        if name.is_empty() {
            self.found.push(
                Diagnostic::new(
                    &codes::E1103,
                    "neither the map nor the model says which job this is",
                )
                .help("add [job] with `name` to the map"),
            );
        }
        DrawnJob { name, title, revision, ..DrawnJob::default() }
    }

    /// The assembly an element is in, however deep.
    pub(super) fn assembly(&mut self, id: u64) -> Option<u64> {
        let mut at = id;
        for _ in 0..20 {
            at = *self.parents.get(&at)?;
            let entity = self.model.step.entity(at, id).ok()?;
            if entity.is("IFCELEMENTASSEMBLY") {
                return Some(at);
            }
        }
        None
    }

    pub(super) fn frame(&mut self, assembly: Option<u64>) -> DrawnFrame {
        let entity = assembly.and_then(|id| self.entity(id, id));
        let default = self.map.default_frame().unwrap_or("loose");
        let (mut name, title, object, kind) = match &entity {
            Some(e) => (e.text(2), e.text(3), e.text(4), e.word(9)),
            None => (default.to_string(), String::new(), String::new(), ""),
        };
        if name.is_empty() {
            name = assembly.map_or_else(|| default.to_string(), |id| format!("#{id}"));
        }
        let by_class = match kind {
            "TRUSS" => Some(FrameKind::Truss),
            "SLAB_FIELD" | "DECK" => Some(FrameKind::Floor),
            _ => None,
        };
        let said = (!object.is_empty()).then(|| self.map.kind(&object)).flatten();
        let usual = if assembly.is_some() { self.map.default_kind() } else { FrameKind::Loose };
        let kind = said.or(by_class).unwrap_or(usual);
        DrawnFrame { name, kind, title, quantity: 1, members: Vec::new() }
    }
}
