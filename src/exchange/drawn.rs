//! A job as another program says it: names instead of indices, only what differs from the
//! library's defaults, and for each member where it was read.

use crate::member::model::{End, EndShape, Faces, FrameKind, Position, Usage};
use crate::quantity::{Length, Tolerance};
use std::sync::Arc;

/// A job.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct DrawnJob {
    /// Its identifier.
    pub name: String,
    /// Title, may be empty.
    pub title: String,
    /// Revision, may be empty.
    pub revision: String,
    /// Its frames.
    pub frames: Vec<DrawnFrame>,
    /// What somebody has taken responsibility for.
    pub waivers: Vec<DrawnWaiver>,
}

/// A frame.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrawnFrame {
    /// Its name, unique in its job.
    pub name: String,
    /// What it is.
    pub kind: FrameKind,
    /// Title, may be empty.
    pub title: String,
    /// How many are wanted.
    pub quantity: u32,
    /// Its members.
    pub members: Vec<DrawnMember>,
}

/// A member.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrawnMember {
    /// Its mark, unique in its frame.
    pub mark: String,
    /// What it is for.
    pub usage: Usage,
    /// How many are wanted.
    pub quantity: u32,
    /// Name of its profile in the shop's library.
    pub profile: Arc<str>,
    /// To the long point.
    pub length: Length,
    /// Where it is not the profile's.
    pub length_tolerance: Option<Tolerance>,
    /// Shape of the start.
    pub start: EndShape,
    /// Shape of the end.
    pub end: EndShape,
    /// Whether it may be made turned end for end.
    pub turnable: bool,
    /// What is printed on it, where it is not the batch's usual text.
    pub mark_text: Option<String>,
    /// Its features.
    pub features: Vec<DrawnFeature>,
    /// Where it was read, for a comment: `walls.csv:14`. Empty where that says nothing.
    pub source: String,
}

impl DrawnMember {
    /// Whether another is the same part, wherever it was read and however many are wanted.
    pub fn is_part(&self, other: &DrawnMember) -> bool {
        let DrawnMember {
            mark,
            usage,
            quantity: _,
            profile,
            length,
            length_tolerance,
            start,
            end,
            turnable,
            mark_text,
            features,
            source: _,
        } = self;
        *mark == other.mark
            && *usage == other.usage
            && *profile == other.profile
            && *length == other.length
            && *length_tolerance == other.length_tolerance
            && (*start, *end) == (other.start, other.end)
            && *turnable == other.turnable
            && *mark_text == other.mark_text
            && *features == other.features
    }
}

/// A feature.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrawnFeature {
    /// Name of its type in the shop's library.
    pub kind: Arc<str>,
    /// Diameter or length, and width; where the type leaves them open.
    pub size: Option<(Length, Option<Length>)>,
    /// Its faces, where not the type's usual ones.
    pub faces: Option<Faces>,
    /// Where across the face, where not the type's usual place.
    pub across: Option<Length>,
    /// Where along the member.
    pub place: DrawnPlace,
    /// How far across it may be off, where not as usual.
    pub across_tolerance: Option<Tolerance>,
}

/// Where along the member a feature lies; tolerances where they are not the type's.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum DrawnPlace {
    /// Its centre. A range type with a size may be placed so too.
    Point {
        /// Where.
        at: Position,
        /// How far it may be off.
        tolerance: Option<Tolerance>,
    },
    /// From one position to another.
    Range {
        /// Where it begins.
        from: Position,
        /// Where it stops.
        to: Position,
        /// How far each may be off.
        tolerance: Option<(Tolerance, Tolerance)>,
    },
    /// At an end.
    End {
        /// Which.
        end: End,
        /// How far its inner edge may be off.
        tolerance: Option<Tolerance>,
    },
}

/// A waiver.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct DrawnWaiver {
    /// Which rule or code.
    pub rule: String,
    /// Frame it is limited to.
    pub frame: Option<String>,
    /// Mark it is limited to.
    pub mark: Option<String>,
    /// What allows it.
    pub reference: String,
    /// Who allows it.
    pub by: String,
}

impl DrawnJob {
    /// Each frame with each of its members.
    pub fn members(&self) -> impl Iterator<Item = (&DrawnFrame, &DrawnMember)> {
        self.frames.iter().flat_map(|frame| frame.members.iter().map(move |m| (frame, m)))
    }
    /// Pieces to be made of its members, and the features on all of them.
    pub fn to_make(&self) -> (u64, u64) {
        self.members().fold((0, 0), |(p, f), (frame, member)| {
            let pieces = u64::from(frame.quantity).saturating_mul(u64::from(member.quantity));
            let features = u64::try_from(member.features.len()).unwrap_or(u64::MAX);
            (
                u64::saturating_add(p, pieces),
                u64::saturating_add(f, features.saturating_mul(pieces)),
            )
        })
    }
    /// Members and features, counted.
    pub fn counts(&self) -> (usize, usize) {
        self.members().fold((0, 0), |(m, f), (_, member)| (m + 1, f + member.features.len()))
    }
}
