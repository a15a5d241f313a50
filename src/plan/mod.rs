//! The whole way from members to proved programs: `plan(inputs, options) → Plan`. Nests,
//! sequences within what nesting reserved or asks it again, prints, reads back, replays, judges.

mod bound_shapes;
mod model;
mod nesting;
mod pieces;
mod run;
mod shop;
mod stock;
mod threads;

pub use model::{
    Inputs, MachineTime, Options, PieceRef, Plan, PlannedPiece, ProfilePlan, Remnant, Run,
    Shortage, Watch,
};
pub use shop::Shop;

use crate::diagnostic::{Diagnostic, any_error};
use crate::member::model::ProfileId;
use crate::program::Serial;
use crate::tooling;
use nesting::CoilState;

/// Plans a batch. `None` when something stands in the way; the diagnostics say what.
///
/// A shortage of stock is a finding, and the plan then holds what can be made: previews show it,
/// compiling refuses it.
pub fn plan(
    inputs: &Inputs<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> (Option<Plan>, Vec<Diagnostic>) {
    let mut diagnostics: Vec<Diagnostic> = Vec::new();
    diagnostics.extend(tooling::order_runs_in_circles(inputs.line));
    if let Some(found) = pieces::too_many(inputs.jobs) {
        diagnostics.push(found);
        return (None, diagnostics);
    }
    let pieces = pieces::collect(inputs.jobs);
    let mut bound = bound_shapes::bind_all(inputs, &pieces, &mut diagnostics);
    if any_error(&diagnostics) {
        return (None, diagnostics);
    }
    let mut coils: Vec<CoilState> = stock::states(inputs.stock);
    let mut profiles = Vec::new();
    let mut drafts = Vec::new();
    let order: Vec<ProfileId> = bound.iter().map(|b| b.profile).collect();
    for (i, of_profile) in bound.iter_mut().enumerate() {
        if watch.stopped() {
            return (None, diagnostics);
        }
        watch.tell("nesting", i, order.len());
        let last = i + 1 == order.len();
        let outcome = nesting::nest_profile(
            inputs,
            options,
            watch,
            &pieces,
            of_profile,
            &mut coils,
            last,
            &mut diagnostics,
        );
        profiles.push(outcome.profile);
        drafts.extend(outcome.drafts);
    }
    if any_error(&diagnostics) && !profiles.iter().any(|p| p.shortage.is_some()) {
        return (None, diagnostics);
    }
    let mut serial = 0_u32;
    for draft in &mut drafts {
        for _ in &draft.laid.pieces {
            serial += 1;
            draft.serials.push(Serial(serial));
        }
    }
    let total = drafts.len();
    let made = threads::in_order(options.threads, drafts, watch, |i, draft| {
        watch.tell("sequencing and proving", i, total);
        run::make(inputs, &pieces, i, draft)
    });
    let mut runs = Vec::with_capacity(total);
    for (run, found) in made {
        diagnostics.extend(found);
        runs.extend(run);
    }
    if watch.stopped() || runs.len() < total {
        return (None, diagnostics);
    }
    model::attach_set_ups(inputs.line, &mut runs);
    (Some(Plan { profiles, runs, remnants: stock::remnants(&coils) }), diagnostics)
}
