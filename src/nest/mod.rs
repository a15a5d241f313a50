//! Which coil makes what. [`construct`] fills coils under several policies; where any bundle may be
//! made on any coil [`exact`] looks for the plan of least cost; [`improve`] goes on
//! from the best of them while effort lasts, [`bound`] says how good any plan could be, and
//! [`verify`] recomputes a solution from scratch before anyone believes it.
//!
//! Nesting counts strip by pitches and reserves heads and defect passages; the exact positions
//! are sequencing's, which keeps within the reserve or asks again.

mod bars;
mod bound;
mod construct;
pub mod cutting;
mod exact;
pub mod fill;
mod improve;
pub mod instance;
mod open;
pub mod solution;
mod verify;

use crate::library::model::Bundling;

pub use bound::bound;
pub use construct::{part_long_bundles, part_long_bundles_but};
pub use improve::Spread;
pub use instance::{Bundle, CoilSpace, Instance, Policy};
pub use solution::{Load, Solution, lost_at_end};
pub use verify::verify;

/// The best assignment found within `ticks` of work; `stop` may end it early.
pub fn nest(instance: &Instance, ticks: u64, stop: &dyn Fn() -> bool) -> Solution {
    let mut work = ticks;
    let mut first = construct::best_of_policies(instance, &mut work);
    if let Some(exact) = exact::solve(instance, work / 2, stop) {
        work = work.saturating_sub(exact.ticks);
        let better = exact.solution.cost(instance) <= first.cost(instance);
        if exact.least && better {
            return exact.solution;
        }
        if better {
            first = exact.solution;
        }
    }
    if !instance.coils.iter().any(|coil| coil.bar.is_some()) {
        return improve::improve(instance, first, work, stop);
    }
    let mut best = match instance.policy.bundling {
        // To exchange alike bars changes nothing.
        Bundling::Open(_) if bars::all_alike(instance) => first,
        Bundling::Open(_) => improve::improve(instance, first, work, stop),
        Bundling::Frame | Bundling::None => bars::improve(instance, first, work, stop),
    };
    bars::in_listed_order(instance, &mut best);
    best
}
