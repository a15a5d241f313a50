//! DSTV NC, 7th edition (July 1998), one part a file: profile code C, holes and slots.
//!
//! What is known of the format here, and from where:
//! - A file begins with ST and 24 lines about the part, goes on in blocks, and ends with EN; BO
//!   holds holes, AK the outline of a face, IK an opening by its outline, SI a sign; faces are v
//!   (front), o (top), u (bottom) and h (behind): order of the 24 lines and figures of a line as
//!   the crate `dstv` reads them.
//! - A place along may be followed by a letter (u, o, s). It says what a measure is held from where
//!   the section is rolled off its size; figures across are counted from the lower edge whatever
//!   the letter. Read off the public samples: `P1.nc` has a pair of holes at 38.10 and 127.00 with
//!   s on a flange 165.10 wide, and the outline of `0008-SE0004.nc1`, all o, has the edge of its
//!   top flange at the height of the web.
//! - A slot's place is the middle of its first half circle: `P465.nc` (counted from its middle the
//!   slot would leave 4 mm of steel), and a published converter of NC files to drawings.
//! - An arc of an outline begins at the corner that bears its radius, counter-clockwise where that
//!   is positive: `0008-SE0008.nc1`, and the same converter.
//! - The last four figures of the head are angles of the ends. Which way they turn is not known
//!   here, so an angle counts only where an outline says the same slope. Ends are written as
//!   outlines, and the angles as noughts, as `0008-SE0004.nc1` has both.
//! - From memory: on the flanges of a channel the place across is counted from the outside of the
//!   web. Check a part at the machine that reads it.
//!
//! A channel lies with the outside of its web to the front, its start to the left: the left flange
//! is the top.

mod angle;
mod blocks;
mod hole;
mod inner;
mod line;
mod outline;
mod read;
mod refused;
mod write;
mod written;

pub use read::read;
pub use write::{Part, write};

use crate::member::model::Faces;

/// Faces that the format has, with their letters.
const FACES: [(&str, Faces); 3] =
    [("v", Faces::WEB), ("o", Faces::LEFT_FLANGE), ("u", Faces::RIGHT_FLANGE)];
