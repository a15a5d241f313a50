use crate::library::model::{Coil, Stock};
use crate::plan::Plan;
use crate::quantity::{Length, Mass};
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
    /// Takes off what a plan uses.
    pub fn take(&mut self, plan: &Plan) {
        for run in &plan.runs {
            // A coil that stayed threaded for this run is out of the line once another is in it.
            for coil in self.used.values_mut() {
                coil.threaded = false;
            }
            let gone = run.account.consumed();
            self.used.insert(Arc::clone(&run.coil.id), coil_after(&run.coil, gone, run.stays));
        }
    }
}

/// A coil when `gone` of its strip has left it: its defect zones are counted from the new edge, cost
/// and mass go down with its length.
pub fn coil_after(coil: &Coil, gone: Length, stays: bool) -> Coil {
    let length = coil.length - gone;
    let share = |whole: i64| {
        let of = i128::from(coil.length.nm()).max(1);
        i64::try_from(i128::from(whole) * i128::from(length.nm()) / of).unwrap_or(0)
    };
    Coil {
        length,
        defects: coil
            .defects
            .iter()
            .filter(|(_, to)| *to > gone)
            .map(|(from, to)| ((*from - gone).max(Length::ZERO), *to - gone))
            .collect(),
        part_used: true,
        threaded: stays && length > Length::ZERO,
        cost: coil.cost.map(share),
        mass: coil.mass.map(|mass| Mass::from_mg(share(mass.mg()))),
        ..coil.clone()
    }
}
