//! Members in and out, in formats that others write and read: lists as CSV, JSON, IFC, DSTV NC.
//!
//! Every reader ends in a [`DrawnJob`], which [`text`] writes as members text; every writer begins
//! with one, made from a resolved job by [`from_job`]. What a file says and a reader does not
//! understand is a finding or an entry of the answer, never dropped.

pub mod drawn;
mod from_job;
pub mod json;
mod text;

pub use drawn::DrawnJob;
pub use from_job::drawn;
pub use text::{feature_text, members_text, usage_of, usage_words};
