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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::model::LengthBasis;
    use crate::quantity::{FileId, Span};

    #[test]
    fn a_coil_is_counted_from_its_new_edge() {
        let m = |m: i64| Length::from_mm(1000 * m);
        let coil = Coil {
            id: "K1".into(),
            heat: "".into(),
            certificate: "".into(),
            docket: "".into(),
            strip_width: Length::from_mm(188),
            thickness: Length::from_um(750),
            grade: "G550".into(),
            coating: "Z275".into(),
            length: m(100),
            basis: LengthBasis::DocketMass,
            uncertainty: 10_000,
            defects: vec![(m(10), m(12)), (m(39), m(41)), (m(90), m(91))],
            part_used: false,
            threaded: true,
            cost: Some(1_000),
            mass: Some(Mass::from_kg(200)),
            span: Span::new(FileId(0), 0, 0),
        };
        let after = coil_after(&coil, m(40), false);
        assert_eq!(after.length, m(60));
        assert_eq!(after.defects, [(m(0), m(1)), (m(50), m(51))]);
        assert_eq!((after.cost, after.mass), (Some(600), Some(Mass::from_kg(120))));
        assert!(after.part_used && !after.threaded);
        assert!(coil_after(&coil, m(40), true).threaded);
        assert!(!coil_after(&coil, m(100), true).threaded, "nothing is left to be threaded");
    }
}
