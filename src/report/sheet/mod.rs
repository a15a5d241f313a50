//! Papers that are read: one model of what a paper says ([`model`]), one file per format.

pub mod markdown;
pub mod model;
