//! One-dimensional cutting stock, exact: pieces of given lengths from stock of one or several
//! lengths at least cost, with a certificate of why no plan costs less.
//!
//! Lengths and costs are whole numbers in the caller's units. Floats only propose: plans are
//! counted again ([`verify`]) and bounds are sums of integers that the room `proof` checks with
//! arithmetic of its own.

mod bound;
mod branch;
mod certificate;
mod closed;
mod construct;
mod costs;
mod covering;
mod dive;
mod fill;
mod lp;
mod node;
mod price;
mod problem;
pub mod read;
mod relax;
mod search;
mod solution;
mod spread;
mod threes;
mod verify;
mod work;

pub use bound::by_length;
pub use certificate::{Certificate, Leaf};
pub use problem::{Item, Kept, Problem, Refusal, Stock};
pub use search::{Outcome, solve};
pub use solution::{Cut, Pieces, Plan};
pub use verify::verify;
