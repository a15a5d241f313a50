//! Papers that are read: one model of what a paper says ([`model`]), one file per format.

pub mod html;
pub mod markdown;
pub mod model;
pub mod pdf;
