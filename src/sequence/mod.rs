//! From the members of one coil to the events of one program: their order ([`order`]), where
//! each lies ([`layout`]), which way each is made where there are several ([`choose`]), where
//! the strip stops and what fires there ([`stops`]; [`exact`] where
//! strokes get in each other's way), how long it all takes ([`time`]), and what no choice of stops
//! can beat ([`bound`]).

mod at_once;
pub mod bound;
mod choose;
mod circular;
pub mod ends;
mod events;
pub mod exact;
mod gaps;
pub mod layout;
pub mod least_time;
mod nibble;
mod order;
mod plainer;
mod sharing;
mod sloped;
pub mod stops;
mod sweep;
mod tight;
pub mod time;

pub use bound::{Claim, Need, RunBound, StopsBound, nibble_needs, run_bound, stops_bound};
pub use choose::{Choosing, Chosen, choose};
pub use circular::circular;
pub use events::{Marking, Sequenced, events};
pub use gaps::fewest_runs;
pub use layout::{Laid, Overrun, ScrapCut, ScrapWhy, Strip, lay};
pub use order::{Shapes, arrange, heads, heads_ascending};
pub use plainer::plainer;
pub use stops::{Due, Standstill, stops};
pub use tight::tightest;
pub use time::{Moment, TimeBreakdown, moments, time_of};
