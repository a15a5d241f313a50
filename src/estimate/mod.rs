//! What weeks of batches will need: strip, coils, machine hours and what is missing, over many
//! batches planned one after the other on the same rack.

pub mod model;
mod rack;
pub mod text;

pub use model::Estimate;
pub use rack::Rack;
