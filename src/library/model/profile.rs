use crate::quantity::{Length, MassPerLength, Span, Tolerance};
use std::sync::Arc;

/// Form of a cold-formed section. All dimensions out to out.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Section {
    /// Lipped channel.
    LippedChannel,
    /// Plain channel: track, plate.
    PlainChannel,
    /// Hat: web on top, flanges down, lips outward.
    Hat,
    /// Z: one flange each way, with lips where they are not zero.
    Zed,
    /// Angle: web and one flange (the right one).
    Angle,
}

impl Section {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Section::LippedChannel => "lipped channel",
            Section::PlainChannel => "plain channel",
            Section::Hat => "hat",
            Section::Zed => "Z",
            Section::Angle => "angle",
        }
    }
}

/// Metal coating of the strip.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Coating {
    /// Designation, such as `Z275`.
    pub name: Arc<str>,
    /// Mass on both sides together, in grams per square metre.
    pub grams_per_square_metre: i64,
    /// What both sides together add to the thickness.
    pub thickness: Length,
}

/// A cold-formed section and the strip it needs.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Profile {
    /// Name used in member files and stock.
    pub name: Arc<str>,
    /// Its form.
    pub section: Section,
    /// Web, out to out.
    pub web: Length,
    /// Left flange, out to out.
    pub left_flange: Length,
    /// Right flange, out to out.
    pub right_flange: Length,
    /// Left lip, out to out; zero where there is none.
    pub left_lip: Length,
    /// Right lip, out to out; zero where there is none.
    pub right_lip: Length,
    /// Base metal thickness.
    pub thickness: Length,
    /// Inside bend radius.
    pub radius: Length,
    /// Coating.
    pub coating: Coating,
    /// Grade of steel, as on the certificate.
    pub grade: Arc<str>,
    /// Strip width, as the shop runs it.
    pub strip_width: Length,
    /// Default tolerance of a member's length.
    pub length_tolerance: Option<Tolerance>,
    /// Mass of a metre of strip: base steel plus coating, over the strip width.
    pub coated_mass: MassPerLength,
    /// Where it is described.
    pub span: Span,
}

impl Profile {
    /// Whether a half turn about the web normal lays the section on itself.
    pub fn may_turn(&self) -> bool {
        self.left_flange == self.right_flange && self.left_lip == self.right_lip
    }
}
