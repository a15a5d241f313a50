//! What people look at: the page, the sheets, the labels and the drawings, against the model they
//! are made from.
//!
//! With COILWRIGHT_EXPORT=FOLDER the batches that a browser and other outside tools are shown are
//! written there, each with what its papers have to say (`expected.json`).
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    clippy::print_stdout,
    missing_docs
)]

#[path = "pages/drawings.rs"]
mod drawings;
#[path = "../benches/house/mod.rs"]
mod house;
#[path = "pages/labels.rs"]
mod labels;
#[path = "pages/made.rs"]
mod made;
#[path = "pages/page.rs"]
mod page;
#[path = "pages/papers.rs"]
mod papers;
#[path = "pages/poppler.rs"]
mod poppler;
#[path = "pages/ugly.rs"]
mod ugly;
