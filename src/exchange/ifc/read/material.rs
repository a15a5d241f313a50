//! Materials: not taken, for steel is the profile's; a section that they name must be the one that
//! is drawn.

use super::Reader;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::ifc::model::Outline;
use std::collections::{BTreeMap, BTreeSet};

/// Materials within sets within usages.
const DEEPEST: usize = 6;

/// What a material says.
#[derive(Default)]
struct Material {
    names: BTreeSet<String>,
    /// Definitions of sections.
    sections: BTreeSet<u64>,
}

impl Reader<'_, '_> {
    /// Compares the sections of materials with those drawn, and lists the materials.
    pub(super) fn materials(&mut self) {
        let mut named: BTreeMap<String, usize> = BTreeMap::new();
        for id in self.model.step.of("IFCRELASSOCIATESMATERIAL") {
            let Some(entity) = self.entity(id, id) else { continue };
            let mut members = entity.references(4);
            members.retain(|member| self.areas.contains_key(member));
            let Some(of) = entity.reference(5).filter(|_| !members.is_empty()) else { continue };
            let mut material = Material::default();
            if let Err(refusal) = self.material(of, id, &mut material, 0) {
                self.found.push(*refusal);
                continue;
            }
            for &member in &members {
                self.compare(member, &material);
            }
            for name in material.names {
                *named.entry(name).or_default() += members.len();
            }
        }
        if named.is_empty() {
            return;
        }
        let told: Vec<String> = named
            .iter()
            .take(8)
            .map(|(name, count)| {
                format!("{name} ({count} member{})", if *count == 1 { "" } else { "s" })
            })
            .collect();
        let more = if named.len() > told.len() { ", …" } else { "" };
        self.answer.remarks.push(format!(
            "Materials are not taken, the profile's steel counts: {}{more}.",
            told.join(", ")
        ));
    }

    fn material(
        &self,
        id: u64,
        from: u64,
        material: &mut Material,
        depth: usize,
    ) -> Result<(), Box<Diagnostic>> {
        let entity = self.model.step.entity(id, from)?;
        if depth > DEEPEST {
            return Err(self.model.not_understood(id, "a material that refers to itself"));
        }
        let kind = entity.kind.to_ascii_uppercase();
        // Where a class refers to others, and where its section is.
        let (inner, section) = match kind.as_str() {
            "IFCMATERIAL" => {
                material.names.insert(format!("`{}`", entity.text(0)));
                return Ok(());
            }
            "IFCMATERIALPROFILESETUSAGE" | "IFCMATERIALLAYERSETUSAGE" => (vec![0], None),
            "IFCMATERIALPROFILESETUSAGETAPERING" => (vec![0, 3], None),
            "IFCMATERIALPROFILESET" => (vec![2], None),
            "IFCMATERIALPROFILE" | "IFCMATERIALPROFILEWITHOFFSETS" => (vec![2], Some(3)),
            "IFCMATERIALCONSTITUENTSET" => (vec![2], None),
            "IFCMATERIALCONSTITUENT" => (vec![2], None),
            "IFCMATERIALLIST"
            | "IFCMATERIALLAYERSET"
            | "IFCMATERIALLAYER"
            | "IFCMATERIALLAYERWITHOFFSETS" => (vec![0], None),
            _ => {
                material.names.insert(kind);
                return Ok(());
            }
        };
        if kind.starts_with("IFCMATERIALLAYER") {
            material.names.insert("layers".into());
        }
        material.sections.extend(section.and_then(|at| entity.reference(at)));
        for at in inner {
            let more = entity.references(at);
            for next in entity.reference(at).into_iter().chain(more) {
                self.material(next, id, material, depth + 1)?;
            }
        }
        Ok(())
    }

    /// Refuses a member whose material is of another section than is drawn.
    fn compare(&mut self, member: u64, material: &Material) {
        let drawn = self.areas.get(&member).and_then(|area| self.sections.get(area));
        let Some(Some((drawn, _, _))) = drawn else { return };
        let drawn = drawn.clone();
        for &section in &material.sections {
            let said = match self.model.outline(section, member) {
                Ok((Outline::Section(said), _, _)) if said.agrees(&drawn) => continue,
                Ok((Outline::Section(said), _, _)) => said.told(),
                Ok((Outline::Circle(_) | Outline::Rectangle(..), _, _)) => "solid".to_string(),
                Ok((Outline::Other(what), _, _)) => what,
                Err(refusal) => {
                    self.found.push(*refusal);
                    continue;
                }
            };
            self.found.push(
                Diagnostic::new(
                    &codes::E1148,
                    format!("#{member} is drawn as a {}, and its material is {said}", drawn.told()),
                )
                .at(self.model.step.place(member), "this member")
                .at(self.model.step.place(section), "the section of its material")
                .help("correct one of the two in the drawing"),
            );
        }
    }
}
