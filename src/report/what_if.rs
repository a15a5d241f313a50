//! What a batch would come to with another stock, bundling or keep length: the same batch planned
//! once for each choice, side by side.

use super::model::Report;
use schemars::JsonSchema;
use serde::Serialize;

/// Version of the form.
pub const VERSION: u32 = 1;

/// A batch planned in several ways.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WhatIf {
    /// Version of this form.
    pub version: u32,
    /// Name of the batch.
    pub batch: String,
    /// Line it is for.
    pub line: String,
    /// The choices, in the order they were asked for; the first is the batch as it is.
    pub choices: Vec<Choice>,
}

/// One way.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Choice {
    /// The stock file, as it was named.
    pub stock: String,
    /// How members are bundled: `frame`, `open=N` or `none`.
    pub bundling: String,
    /// Shortest remnant that goes back.
    pub keep_nm: i64,
    /// Pieces made.
    pub pieces: usize,
    /// Pieces for which strip is missing.
    pub pieces_short: usize,
    /// Strip used up.
    pub used_nm: i64,
    /// Of that, no good pieces.
    pub scrap_nm: i64,
    /// Mass of the scrap.
    pub scrap_mg: i64,
    /// What is sure to be used by any plan of this choice; absent where stock is short.
    pub bound_nm: Option<i64>,
    /// What the strip used costs, where every coil used has a cost.
    pub cost_minor: Option<i64>,
    /// Coils loaded.
    pub coil_changes: usize,
    /// Bars loaded.
    pub bars: usize,
    /// Machine time at the line's availability.
    pub planned_ns: i64,
    /// Whether the search was stopped before its ticks were spent.
    pub cut_short: bool,
}

impl Choice {
    /// Of a report, under the words it was asked for with.
    pub fn of(report: &Report, stock: String, bundling: String, keep_nm: i64) -> Choice {
        let total = &report.total;
        let bounds: Option<Vec<i64>> = report.profiles.iter().map(|of| of.bound_nm).collect();
        let loaded = report.runs.iter().filter(|run| !run.warm);
        let bars = loaded.clone().filter(|run| run.coil.bar.is_some()).count();
        Choice {
            stock,
            bundling,
            keep_nm,
            pieces: total.pieces,
            pieces_short: total.pieces_short,
            used_nm: total.account.used_nm,
            scrap_nm: total.account.scrap_nm(),
            scrap_mg: total.account.scrap_mg,
            bound_nm: bounds.map(|bounds| bounds.iter().sum()),
            cost_minor: total.cost_minor,
            coil_changes: loaded.count() - bars,
            bars,
            planned_ns: total.planned_ns,
            cut_short: report.cut_short,
        }
    }
}
