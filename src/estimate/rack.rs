use crate::library::model::{Coil, Stock};
use crate::plan::Plan;
use crate::quantity::Length;
use std::collections::BTreeMap;
use std::sync::Arc;

/// The rack over many batches. What is written on a coil names it: a coil that an earlier batch
/// has used is taken as that batch left it, whichever stock file lists it again.
#[derive(Debug, Default)]
pub struct Rack {
    used: BTreeMap<Arc<str>, Coil>,
}

impl Rack {
    /// The stock as it will be when the batches before have been made.
    pub fn now(&self, stock: &Stock) -> Stock {
        let coils = stock.coils.iter().map(|coil| self.used.get(&coil.id).unwrap_or(coil));
        Stock { coils: coils.filter(|coil| coil.length > Length::ZERO).cloned().collect() }
    }
    /// Takes off what a plan uses, on a line that loses `parting` when a coil is taken off.
    pub fn take(&mut self, plan: &Plan, parting: Length) {
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
