//! One-dimensional cutting stock, exact: pieces of given lengths from stock of one or several
//! lengths at least cost, with a certificate of why no plan costs less.
//!
//! Lengths and costs are whole numbers in the caller's units. Floats only propose: plans are
//! counted again ([`verify`]) and bounds are sums of integers that the room `proof` checks with
//! arithmetic of its own.

mod bound;
mod certificate;
mod construct;
mod fill;
mod problem;
pub mod read;
mod solution;
mod verify;
mod work;

pub use certificate::{Certificate, Leaf};
pub use problem::{Item, Problem, Refusal, Stock};
pub use solution::{Cut, Pieces, Plan};
pub use verify::verify;

use work::Work;

/// What a search came to.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The best plan found; `None` where the stock there is did not do.
    pub plan: Option<Plan>,
    /// What every plan costs at least.
    pub bound: i128,
    /// Why.
    pub certificate: Certificate,
    /// Work done, in ticks.
    pub ticks: u64,
    /// Whether `stop` ended it.
    pub cut_short: bool,
}

/// The best plan that is found within `ticks` of work, and the best bound. `stop` may end it
/// early.
pub fn solve(problem: &Problem, ticks: u64, stop: &dyn Fn() -> bool) -> Outcome {
    let work = Work::new(ticks, stop);
    let (bound, certificate) = bound::by_length(problem);
    let plan = construct::quick(problem.stocks(), problem.items(), &work);
    Outcome { plan, bound, certificate, ticks: work.ticks(), cut_short: work.cut_short() }
}
