use crate::library::model::{Coil, Library, Line, Stock};
use crate::member::model::ProfileId;
use crate::plan::Plan;
use crate::quantity::Length;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The rack over many batches. What is written on a coil names it: a coil that an earlier batch
/// has used is taken as that batch left it, whichever stock file lists it again. So is a line, by
/// its name: it stands with the profile that was made last, whatever a later batch says.
#[derive(Debug, Default)]
pub struct Rack {
    used: BTreeMap<Arc<str>, Coil>,
    /// For each line that has run: the profile it is set up for.
    stands: BTreeMap<Arc<str>, Arc<str>>,
}

impl Rack {
    /// The stock as it will be when the batches before have been made. On a line that has run
    /// no coil is threaded but the one that was left so.
    pub fn now(&self, stock: &Stock, line: &Line) -> Stock {
        let has_run = self.stands.contains_key(&line.name);
        let as_listed = |coil: &Coil| Coil { threaded: coil.threaded && !has_run, ..coil.clone() };
        let coils = stock
            .coils
            .iter()
            .map(|coil| self.used.get(&coil.id).cloned().unwrap_or_else(|| as_listed(coil)));
        Stock { coils: coils.filter(|coil| coil.length > Length::ZERO).collect() }
    }
    /// What the line is set up for when the batches before have been made; `None` where none of
    /// them ran on it, or this library does not know the profile.
    pub fn set_up(&self, line: &Line, library: &Library) -> Option<ProfileId> {
        let (id, _) = library.profile_named(self.stands.get(&line.name)?)?;
        line.set_ups.iter().any(|set_up| set_up.profile == id).then_some(id)
    }
    /// Takes off what a plan uses, and notes what the line stands with when it is done.
    pub fn take(&mut self, plan: &Plan, line: &Line, library: &Library) {
        let parting = line.parting;
        let last = plan.runs.last().and_then(|run| library.profile(run.profile));
        if let Some(profile) = last {
            self.stands.insert(Arc::clone(&line.name), Arc::clone(&profile.name));
        }
        for run in &plan.runs {
            // A coil that stayed threaded is out of the line once another is in it.
            for coil in self.used.values_mut().filter(|coil| coil.id != run.coil.id) {
                *coil = coil.out_of_the_line(parting);
            }
        }
        for coil in &plan.rack {
            self.used.insert(Arc::clone(&coil.id), coil.clone());
        }
    }
}
