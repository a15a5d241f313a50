//! Who is part of what, which openings are whose, and our own properties.

use super::own::is_own;
use super::{MEMBERS, Reader, numbers};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::ifc::own::{JOB_SET, MEMBER_SET};
use crate::exchange::step::Value;
use std::collections::{BTreeMap, BTreeSet};

impl Reader<'_, '_> {
    pub(super) fn relations(&mut self) {
        let mut wholes = BTreeSet::new();
        for id in self.model.step.of("IFCRELAGGREGATES") {
            let Some(entity) = self.entity(id, id) else { continue };
            let Some(whole) = entity.reference(4) else { continue };
            let parts = entity.references(5);
            if !parts.is_empty() && wholes.insert(whole) {
                self.tell_built_up(whole, id);
            }
            for part in parts {
                match self.parents.insert(part, whole) {
                    Some(before) if before != whole => self.tell_twice(part, before, whole),
                    _ => {}
                }
            }
        }
        self.tell_empty(&wholes);
        for id in self.model.step.of("IFCRELVOIDSELEMENT") {
            let Some(entity) = self.entity(id, id) else { continue };
            if let (Some(element), Some(opening)) = (entity.reference(4), entity.reference(5)) {
                let openings = self.openings.entry(element).or_default();
                // Said twice it is still one opening.
                if !openings.contains(&opening) {
                    openings.push(opening);
                }
            }
        }
        self.own_sets();
    }

    /// Sets that this program wrote, and whose they are.
    fn own_sets(&mut self) {
        if !self.own {
            return;
        }
        if self.map.is_geometry_only() {
            let sets = self.model.step.of("IFCPROPERTYSET");
            for set in sets {
                if let Some(name) = self.entity(set, set).map(|set| set.text(2))
                    && is_own(&name)
                {
                    self.answer.leave_out(format!("sets {name}, with what is not drawn"));
                }
            }
            return;
        }
        for id in self.model.step.of("IFCRELDEFINESBYPROPERTIES") {
            let Some(entity) = self.entity(id, id) else { continue };
            let Some(set) = entity.reference(5) else { continue };
            let Some(name) = self.entity(set, id).map(|set| set.text(2)) else { continue };
            match name.as_str() {
                MEMBER_SET => {
                    for object in entity.references(4) {
                        self.properties.entry(object).or_default().push(set);
                    }
                }
                JOB_SET if !entity.references(4).is_empty() => self.job_sets.push(set),
                _ => {}
            }
        }
    }

    /// What a model says of whether members are there already or are to go: listed, for all are
    /// read alike.
    pub(super) fn statuses(&mut self) {
        if !self.says_status {
            return;
        }
        let mut listed: BTreeMap<String, usize> = BTreeMap::new();
        for id in self.model.step.of("IFCRELDEFINESBYPROPERTIES") {
            let Some(entity) = self.entity(id, id) else { continue };
            let members =
                entity.references(4).iter().filter(|id| self.areas.contains_key(id)).count();
            let Some(set) = entity.reference(5).filter(|_| members > 0) else { continue };
            let Some(set) = self.entity(set, id) else { continue };
            for property in set.references(4) {
                let Some(property) = self.entity(property, set.id) else { continue };
                if property.text(0) != "Status" {
                    continue;
                }
                for status in words_of(property.get(2)) {
                    *listed.entry(status).or_default() += members;
                }
            }
        }
        listed.retain(|status, _| !["NEW", "NOTKNOWN", "UNSET"].contains(&status.as_str()));
        if listed.is_empty() {
            return;
        }
        let told: Vec<String> =
            listed.iter().take(8).map(|(status, count)| format!("{status}: {count}")).collect();
        self.answer.remarks.push(format!(
            "Members whose status is another than NEW are read like all others ({}).",
            told.join(", ")
        ));
    }

    /// A member in two assemblies would be made for one of them, or for both.
    fn tell_twice(&mut self, part: u64, before: u64, whole: u64) {
        let kind = match self.entity(part, whole) {
            Some(entity) => entity.kind.to_ascii_uppercase(),
            None => return,
        };
        if !MEMBERS.contains(&kind.as_str()) && kind != "IFCELEMENTASSEMBLY" {
            return;
        }
        self.found.push(
            Diagnostic::new(
                &codes::E1156,
                format!("{kind} #{part} is part of two assemblies, #{before} and #{whole}"),
            )
            .at(self.model.step.place(part), "this one")
            .at(self.model.step.place(before), "part of this")
            .at(self.model.step.place(whole), "and of this")
            .note("it cannot be told in which frame it is wanted, or whether in both")
            .help("leave it in one of them in the drawing, or draw it twice"),
        );
    }

    /// A member that other members are parts of would be made as it is drawn, and its parts too.
    fn tell_built_up(&mut self, whole: u64, from: u64) {
        let Some(entity) = self.entity(whole, from) else { return };
        if MEMBERS.contains(&entity.kind.to_ascii_uppercase().as_str()) {
            let refusal = self.model.not_understood(whole, "a member put together from parts");
            self.found.push(*refusal);
        }
    }

    /// Assemblies of which the model does not say what they consist of.
    fn tell_empty(&mut self, wholes: &BTreeSet<u64>) {
        const CLASS: &str = "IFCELEMENTASSEMBLY";
        let mut empty = self.model.step.of(CLASS);
        empty.retain(|id| !wholes.contains(id));
        let Some(&first) = empty.first() else { return };
        if self.is_left_out(CLASS) {
            self.answer
                .left_out
                .insert(format!("{CLASS} without parts: {}", numbers(&empty)), empty.len());
            return;
        }
        let s = if empty.len() == 1 { "y has" } else { "ies have" };
        self.found.push(
            Diagnostic::new(
                &codes::E1146,
                format!("{} assembl{s} no parts: {}", empty.len(), numbers(&empty)),
            )
            .at(self.model.step.place(first), "the first")
            .note("its members are drawn as one body, or stand in no frame")
            .help(format!(
                "say in the drawing which members are its own, or put it aside: `leave-out = \
                 [\"{CLASS}\"]` in [ifc] of the map"
            )),
        );
    }
}

/// The texts of a property's value, or of its several values.
fn words_of(value: &Value<'_>) -> Vec<String> {
    match value {
        Value::Text(raw) => vec![raw.to_ascii_uppercase()],
        Value::List(values) | Value::Typed(_, values) => values.iter().flat_map(words_of).collect(),
        _ => Vec::new(),
    }
}
