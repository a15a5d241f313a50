//! Which profile of the shop's a drawn section is.

use super::{Reader, Section};
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Diagnostic, closest};
use crate::exchange::ifc::model::{Outline, Sweep};
use crate::exchange::ifc::section::Drawn;
use std::sync::Arc;

impl Reader<'_, '_> {
    /// The section of a sweep, looked up once for each definition. `None` where what is wrong with
    /// it was told.
    pub(super) fn section(
        &mut self,
        sweep: &Sweep,
        from: u64,
    ) -> Result<Option<Section>, Box<Diagnostic>> {
        if let Some(known) = self.sections.get(&sweep.area) {
            return Ok(known.clone());
        }
        self.sections.insert(sweep.area, None);
        let (outline, flat, name) = self.model.outline(sweep.area, from)?;
        let drawn = match outline {
            Outline::Section(drawn) => drawn,
            Outline::Other(what) => {
                let message = format!("the section #{} is {what}", sweep.area);
                return Err(self.profile_refused(
                    sweep.area,
                    message,
                    "draw it as a C or U shape, or as an outline of one thickness in right angles",
                ));
            }
            Outline::Circle(_) | Outline::Rectangle(..) => {
                let message = format!("the section #{} is solid", sweep.area);
                return Err(self.profile_refused(
                    sweep.area,
                    message,
                    "members are formed from strip: draw the section's thickness",
                ));
            }
        };
        let profile = self.profile(sweep.area, &drawn, &name)?;
        let section = (drawn, flat, profile);
        self.sections.insert(sweep.area, Some(section.clone()));
        Ok(Some(section))
    }

    fn profile(&mut self, id: u64, drawn: &Drawn, name: &str) -> Result<Arc<str>, Box<Diagnostic>> {
        let mapped = self.map.profile(name);
        let Some(library) = self.library else {
            return match mapped.filter(|name| !name.is_empty()) {
                Some(name) => Ok(Arc::from(name)),
                None => {
                    let message = format!("the map knows no profile `{name}` ({})", drawn.told());
                    Err(self.profile_refused(id, message, "add it to [profiles] of the map, or name the shop's library with --library"))
                }
            };
        };
        if let (Some(mapped), true) = (mapped, self.map.profiles.is_some()) {
            let Some((_, known)) = library.profile_named(mapped) else {
                let message = format!(
                    "the library has no profile `{mapped}`, which the map gives for `{name}`"
                );
                return Err(self.profile_refused(id, message, "correct [profiles] of the map"));
            };
            if !drawn.is(known) {
                let message =
                    format!("`{name}` is drawn as a {}, and {mapped} is another", drawn.told());
                return Err(self.profile_refused(
                    id,
                    message,
                    "correct [profiles] of the map, or the drawing",
                ));
            }
            return Ok(Arc::clone(&known.name));
        }
        let same: Vec<_> = library.profiles.iter().filter(|p| drawn.is(p)).collect();
        match same.as_slice() {
            // The name of another profile: which of the two is meant cannot be told.
            [one] if *one.name != *name && library.profile_named(name).is_some() => Err(self
                .profile_refused(
                    id,
                    format!("`{name}` is drawn as a {}, which is {}", drawn.told(), one.name),
                    "correct the drawing, or say in [profiles] of the map which is meant",
                )),
            [one] => Ok(Arc::clone(&one.name)),
            [] => {
                let near = closest(name, library.profiles.iter().map(|p| &*p.name));
                let help = near.map_or(
                    "add it to the library, or name it in [profiles] of the map".to_string(),
                    |near| format!("is it meant to be {near}? its sizes differ"),
                );
                Err(self.profile_refused(
                    id,
                    format!("the library has no profile like `{name}`, a {}", drawn.told()),
                    &help,
                ))
            }
            several => match several.iter().find(|p| *p.name == *name) {
                Some(one) => Ok(Arc::clone(&one.name)),
                None => {
                    let names: Vec<&str> = several.iter().map(|p| &*p.name).collect();
                    Err(self.profile_refused(
                        id,
                        format!("`{name}` could be any of {}", names.join(", ")),
                        "say which in [profiles] of the map",
                    ))
                }
            },
        }
    }

    fn profile_refused(&self, id: u64, message: String, help: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E1148, message)
                .at(self.model.step.place(id), "this section")
                .help(help),
        )
    }
}
