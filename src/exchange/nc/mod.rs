//! DSTV NC, 7th edition (July 1998), one part a file: profile code C, holes and slots.
//!
//! What is known of the format here: a file begins with ST and 24 lines about the part, goes on in
//! blocks, and ends with EN; BO holds holes, AK the outline of a face; faces are v (front), o
//! (top), u (bottom) and h (behind); a place along may be followed by the edge that the place
//! across is counted from (u lower, o upper, s axis). Order of the 24 lines as the crate `dstv`
//! reads them; the rest from memory, in particular that on the flanges of a channel the place
//! across is counted from the outside of the web. Check a part at the machine that reads it.
//!
//! A channel lies with the outside of its web to the front, its start to the left: the left flange
//! is the top.

mod read;
mod refused;
mod write;

pub use read::read;
pub use write::{Part, write};

use crate::member::model::Faces;

/// Faces that the format has, with their letters.
const FACES: [(&str, Faces); 3] =
    [("v", Faces::WEB), ("o", Faces::LEFT_FLANGE), ("u", Faces::RIGHT_FLANGE)];
