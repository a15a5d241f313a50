//! The whole way from members to proved programs: `plan(inputs, options) → Plan`. Nests,
//! sequences within what nesting reserved or asks it again, prints, reads back, replays, judges.

mod bound_shapes;
mod findings;
mod laying;
mod least;
mod mend;
mod model;
mod nesting;
mod order_check;
mod pieces;
mod profile_order;
mod proved;
mod run;
mod shop;
mod stock;
mod threads;
mod tighter;
mod ways;

pub use crate::nest::cutting::Problem;
pub use crate::sequence::Moment;
pub use least::{Least, Proof};
pub use model::{
    Inputs, MachineTime, Options, PieceRef, Plan, PlannedPiece, ProfilePlan, Run, SetUpStep,
    Shortage, Watch, Worth,
};
pub use nesting::{Anew, change_worth};
pub use proved::{certificate_lines, proved, reason};
pub use shop::Shop;

use crate::diagnostic::codes::line::E0517;
use crate::diagnostic::{Diagnostic, any_error};
use crate::dialect::files;
use crate::member::model::ProfileId;
use crate::program::Serial;
use crate::quantity::Time;
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
    let pieces = pieces::collect(inputs.jobs, &inputs.batch.done);
    let mut bound = bound_shapes::bind_all(inputs, &pieces, &mut diagnostics);
    if any_error(&diagnostics) {
        return (None, diagnostics);
    }
    let least_set_up = profile_order::arrange(inputs, &mut bound);
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
    if let Some(found) = order_check::broken(inputs, &pieces, &drafts) {
        diagnostics.push(found);
        return (None, diagnostics);
    }
    let mut serial = inputs.batch.done.last_serial;
    for draft in &mut drafts {
        for _ in &draft.laid.pieces {
            serial = serial.saturating_add(1);
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
    if let Some(found) = files::clash(runs.iter().flat_map(|run| &run.files)) {
        diagnostics.push(*found);
        return (None, diagnostics);
    }
    let set_ups = model::attach_set_ups(inputs, &mut runs);
    let rack = coils.into_iter().filter(|state| state.touched).map(|state| state.coil).collect();
    let plan = Plan { profiles, runs, rack, set_ups, least_set_up };
    if let Some(found) = years(&plan, inputs) {
        diagnostics.push(found);
        return (None, diagnostics);
    }
    (Some(plan), diagnostics)
}

/// Most machine time one batch may take: a year. Nobody means more, and sums of less are safe.
const YEAR: Time = Time::from_ns(31_557_600_000_000_000);

/// A plan that takes years, told with where the time goes.
fn years(plan: &Plan, inputs: &Inputs<'_>) -> Option<Diagnostic> {
    let time = plan.time(inputs.line);
    if time.planned <= YEAR {
        return None;
    }
    let parts = time.parts;
    Some(
        Diagnostic::new(&E0517, format!("the batch would take {} of machine time", time.planned))
            .at(inputs.line.span, "as this line is described")
            .note(format!(
                "{} of it moving, {} settling, {} of strokes, {} of cuts, {} unloading",
                parts.moves, parts.settle, parts.strokes, parts.cuts, parts.unloading
            ))
            .help("check the units of the feed's speeds and accelerations and of all times"),
    )
}
