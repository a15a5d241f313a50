//! Binds members to a line: which tool makes each feature, in which window of advances, what
//! head that asks for, and what pitch the member takes. What cannot be made is refused here,
//! with the tool that comes nearest and why it does not do.
//!
//! All of it is in **steps** of the line's increment, relative to the member's *base*: the cut
//! (or trim) before its start. Every base is a grid point and every start is base + slug, so the
//! windows of a shape are the same wherever it lies on the strip.

mod bind;
mod footprint;
mod geometry;
mod mark;
mod matching;
mod nibble;
mod order;
mod pattern;
mod place;
mod refuse;
mod slope;
mod ways;
mod window;

pub use bind::{BoundShape, Edge, Nibbled, StrokeNeed, bind};
pub use geometry::Geometry;
pub use mark::mark_window;
pub use nibble::strokes_of;
pub use order::order_runs_in_circles;
pub use slope::Blade;
pub use ways::{Alternatives, Picks};
