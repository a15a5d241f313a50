//! What a model holds besides members: put aside by name, or told by number.

use super::{MEMBERS, Reader, numbers};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::step::Value;

/// Classes of things that bear an identifier and are no parts of a building that somebody makes:
/// where it stands, how it is planned, what holes are in it. Openings are told apart. From memory
/// of IFC4 and IFC4X3; a class that is missing here is told, never passed over.
const NO_PARTS: [&str; 64] = [
    "IFCPROJECT",
    "IFCPROJECTLIBRARY",
    "IFCSITE",
    "IFCBUILDING",
    "IFCBUILDINGSTOREY",
    "IFCSPACE",
    "IFCSPATIALZONE",
    "IFCEXTERNALSPATIALELEMENT",
    "IFCFACILITY",
    "IFCFACILITYPART",
    "IFCFACILITYPARTCOMMON",
    "IFCBRIDGE",
    "IFCBRIDGEPART",
    "IFCROAD",
    "IFCROADPART",
    "IFCRAILWAY",
    "IFCRAILWAYPART",
    "IFCMARINEFACILITY",
    "IFCMARINEPART",
    "IFCGROUP",
    "IFCSYSTEM",
    "IFCBUILDINGSYSTEM",
    "IFCBUILTSYSTEM",
    "IFCDISTRIBUTIONSYSTEM",
    "IFCDISTRIBUTIONCIRCUIT",
    "IFCZONE",
    "IFCINVENTORY",
    "IFCASSET",
    "IFCACTOR",
    "IFCOCCUPANT",
    "IFCTASK",
    "IFCPROCEDURE",
    "IFCEVENT",
    "IFCWORKPLAN",
    "IFCWORKSCHEDULE",
    "IFCWORKCALENDAR",
    "IFCCOSTITEM",
    "IFCCOSTSCHEDULE",
    "IFCPERMIT",
    "IFCPROJECTORDER",
    "IFCACTIONREQUEST",
    "IFCPERFORMANCEHISTORY",
    "IFCCONSTRUCTIONPRODUCTRESOURCE",
    "IFCCONSTRUCTIONMATERIALRESOURCE",
    "IFCCONSTRUCTIONEQUIPMENTRESOURCE",
    "IFCLABORRESOURCE",
    "IFCCREWRESOURCE",
    "IFCSUBCONTRACTRESOURCE",
    "IFCGRID",
    "IFCANNOTATION",
    "IFCVIRTUALELEMENT",
    "IFCPORT",
    "IFCDISTRIBUTIONPORT",
    "IFCREFERENT",
    "IFCALIGNMENT",
    "IFCPOSITIONINGELEMENT",
    "IFCOPENINGELEMENT",
    "IFCOPENINGSTANDARDCASE",
    "IFCVOIDINGFEATURE",
    "IFCELEMENTASSEMBLY",
    "IFCPROPERTYSET",
    "IFCELEMENTQUANTITY",
    "IFCREINFORCEMENTDEFINITIONPROPERTIES",
    "IFCPERMEABLECOVERINGPROPERTIES",
];

/// Classes that cut an opening into something.
const OPENINGS: [&str; 3] = ["IFCOPENINGELEMENT", "IFCOPENINGSTANDARDCASE", "IFCVOIDINGFEATURE"];

/// Whether a class of things with an identifier may hold parts.
fn may_be_parts(kind: &str) -> bool {
    let ends = |word: &str| kind.ends_with(word);
    let families = kind.starts_with("IFCREL")
        || kind.starts_with("IFCSTRUCTURAL")
        || ends("TYPE")
        || ends("STYLE")
        || ends("TEMPLATE")
        || ends("PANELPROPERTIES")
        || ends("LININGPROPERTIES");
    !families && !NO_PARTS.contains(&kind) && !MEMBERS.contains(&kind)
}

impl Reader<'_, '_> {
    /// Whether the map puts a class aside.
    pub(super) fn is_left_out(&self, kind: &str) -> bool {
        let listed = self.map.ifc.iter().flat_map(|ifc| ifc.leave_out.iter().flatten());
        listed.into_iter().any(|at| at.value.eq_ignore_ascii_case(kind))
    }

    /// Elements that are no members: put aside by name, or told.
    pub(super) fn others(&mut self) {
        let mut kinds: std::collections::BTreeMap<String, Vec<u64>> =
            std::collections::BTreeMap::new();
        for (kind, ids) in self.model.step.kinds() {
            let upper = kind.to_ascii_uppercase();
            if may_be_parts(&upper) && ids.iter().take(20).any(|&id| self.bears_identifier(id)) {
                kinds.entry(upper).or_default().extend(ids);
            }
        }
        for (kind, ids) in kinds {
            if self.is_left_out(&kind) {
                self.answer.left_out.insert(format!("{kind}: {}", numbers(&ids)), ids.len());
                continue;
            }
            let Some(&first) = ids.first() else { continue };
            self.found.push(
                Diagnostic::new(
                    &codes::E1146,
                    format!(
                        "the model has {} {kind}, which is no member: {}",
                        ids.len(),
                        numbers(&ids)
                    ),
                )
                .at(self.model.step.place(first), "the first")
                .help(format!("put them aside: `leave-out = [\"{kind}\"]` in [ifc] of the map")),
            );
        }
    }

    /// Whether an instance begins with an identifier of 22 signs, as everything does that is
    /// somewhere or belongs to somebody.
    fn bears_identifier(&self, id: u64) -> bool {
        let entity = self.model.step.entity(id, id);
        entity.is_ok_and(|entity| match entity.get(0) {
            // An owner follows, or nothing, and more: names of materials may be as long.
            Value::Text(text) => {
                text.len() == 22
                    && text.starts_with(|c: char| matches!(c, '0'..='3'))
                    && text.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'$'))
                    && matches!(entity.get(1), Value::Missing | Value::Ref(_))
                    && entity.values.len() >= 5
            }
            _ => false,
        })
    }

    /// Openings in something that is no member: they go with what was put aside, or are told.
    pub(super) fn other_openings(&mut self) {
        let mut hosts: Vec<(u64, Vec<u64>)> =
            self.openings.iter().map(|(host, openings)| (*host, openings.clone())).collect();
        hosts.sort_unstable();
        let mut placed: Vec<u64> = Vec::new();
        for (host, openings) in hosts {
            placed.extend(&openings);
            let Some(entity) = self.entity(host, openings.first().copied().unwrap_or(host)) else {
                continue;
            };
            let kind = entity.kind.to_ascii_uppercase();
            if MEMBERS.contains(&kind.as_str()) && !self.is_left_out(&kind) {
                continue;
            }
            if may_be_parts(&kind) || MEMBERS.contains(&kind.as_str()) {
                self.answer.leave_out(format!("openings in {kind}"));
                continue;
            }
            self.opening_left(&openings, &format!("in #{host}, which is no member"));
        }
        placed.sort_unstable();
        let loose: Vec<u64> = OPENINGS
            .iter()
            .flat_map(|kind| self.model.step.of(kind))
            .filter(|id| placed.binary_search(id).is_err())
            .collect();
        if !loose.is_empty() {
            self.opening_left(&loose, "in nothing");
        }
    }

    fn opening_left(&mut self, openings: &[u64], whose: &str) {
        let first = openings.first().copied().unwrap_or(0);
        self.found.push(
            Diagnostic::new(
                &codes::E1149,
                format!("{} openings are {whose}: {}", openings.len(), numbers(openings)),
            )
            .at(self.model.step.place(first), "the first")
            .note("a hole that belongs to nobody is found on site")
            .help("draw it in its member, or delete it and export again"),
        );
    }
}
