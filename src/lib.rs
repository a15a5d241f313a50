//! Coilwright compiles light steel frame members into proved punch-and-cut programs for
//! coil-fed roll-forming lines. The pipeline, told on one page:
//!
//! ```text
//!  members files          batch, line, rack, library, dialect (TOML)
//!       │ language             │ library
//!       │   text → tree        │   text → values, each mistake at its line
//!       ▼                      │
//!  member::resolve ◀───────────┤   names, recipes, arithmetic, patterns → Vec<Job>
//!       │                      │
//!       ▼                      │
//!  check                       │   what is wrong without a line; waivers
//!       │                      │
//!       ▼                      ▼
//!  tooling    binds each shape to the line: tools, windows in grid steps, head, pitch; or refuses
//!       │
//!       ▼
//!  nest ⇄ sequence    bundles onto coils, with a bound ⇄ order, layout past defects; asks again
//!       │
//!       ▼
//!  sequence → program     stops with their strokes, cuts, marks: the canonical events
//!       │
//!       ▼
//!  dialect    prints the bytes the controller reads, and reads them back
//!       │
//!       ▼
//!  replay     executes what the bytes say on a virtual strip, and judges what falls off
//!       │
//!       ▼
//!  plan → report, estimate → cli     papers, programs and manifest, whole or not at all
//! ```
//!
//! Every stage is a function from values to a value and its [`diagnostic::Diagnostic`]s. Nothing
//! here but [`cli`] touches the disk, the clock or the environment. [`quantity`] holds the exact
//! lengths, coordinates and times that all of it counts in, [`program`] the events that stand
//! between planning and text. [`nest::cutting`] solves plain cutting stock, and [`proof`] proves its
//! bounds again. [`plan::Shop::open`] and [`plan::plan`] are the whole way in two
//! calls. [`calibrate`] goes the other way: from what a tape reads on made pieces to the
//! calibration that programs should have had; [`halt`] says what became of a run that was stopped,
//! so that only what is not begun is compiled again. [`revision`] says what differs between two
//! revisions of a job.

pub mod calibrate;
pub mod check;
pub mod cli;
pub mod diagnostic;
pub mod dialect;
pub mod estimate;
pub mod exchange;
pub mod halt;
pub mod language;
pub mod library;
pub mod member;
pub mod nest;
pub mod plan;
pub mod program;
pub mod proof;
pub mod quantity;
pub mod replay;
pub mod report;
pub mod revision;
pub mod sequence;
pub mod tooling;
