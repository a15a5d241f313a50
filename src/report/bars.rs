//! How many bars of each kind a batch opens.

use super::units;
use crate::library::model::{Coil, Units};
use crate::plan::{Inputs, Plan};
use crate::quantity::Length;
use schemars::JsonSchema;
use serde::Serialize;
use std::sync::Arc;

/// Bars that are alike.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BarReport {
    /// What they are called.
    pub bar: String,
    /// Length of each.
    pub length_nm: i64,
    /// How many there are before the batch.
    pub there: usize,
    /// How many of them it uses.
    pub used: usize,
}

/// Bars by kind, as the stock lists them: those of which any is used.
pub(super) fn bars(inputs: &Inputs<'_>, plan: &Plan) -> Vec<BarReport> {
    let mut kinds: Vec<(Arc<str>, BarReport)> = Vec::new();
    let of = |coil: &Coil| coil.bar.clone();
    for coil in &inputs.stock.coils {
        let Some(bar) = of(coil) else { continue };
        match kinds.iter_mut().find(|(kind, _)| *kind == bar) {
            Some((_, report)) => report.there += 1,
            None => {
                let (name, length_nm) = (bar.to_string(), coil.length.nm());
                kinds.push((bar, BarReport { bar: name, length_nm, there: 1, used: 0 }));
            }
        }
    }
    for coil in &plan.rack {
        let report = kinds.iter_mut().find(|(kind, _)| Some(kind) == coil.bar.as_ref());
        if let Some((_, report)) = report {
            report.used += 1;
        }
    }
    kinds.into_iter().map(|(_, report)| report).filter(|report| report.used > 0).collect()
}

/// `Bars B7 of 6.0 m: 12 of 40 used`.
pub(super) fn told(bars: &BarReport, shown: Units) -> String {
    format!(
        "Bars {} of {} {}: {} of {} used",
        bars.bar,
        units::strip(Length::from_nm(bars.length_nm), shown, 1),
        units::long(shown),
        bars.used,
        bars.there
    )
}
