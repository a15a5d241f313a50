use crate::member::model::Faces;
use crate::quantity::{Length, Span, Tolerance};
use std::sync::Arc;

/// How a feature of a type is placed along a member.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Form {
    /// Its centre at a position.
    Point,
    /// From one position to another.
    Range,
    /// At an end, reaching inward.
    End,
}

/// What a feature is for: rule sets and default tolerances go by it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Purpose {
    /// Members meet here: tight.
    Joint,
    /// Pipes and cables pass here: may be loose.
    Service,
    /// Fixed to the ground or another storey.
    Anchor,
    /// Shapes a member's end.
    End,
}

/// Outline of a type; a size that is `None` is given by each feature.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum OutlineForm {
    /// Round.
    Circle {
        /// Diameter.
        diameter: Option<Length>,
    },
    /// Slot with round ends.
    Slot {
        /// Overall, along the member.
        length: Option<Length>,
        /// Across the face.
        width: Option<Length>,
    },
    /// Rectangle. In a range the length is what the range says and is `None` here.
    Rectangle {
        /// Along the member.
        length: Option<Length>,
        /// Across the face; `None` means the whole face.
        width: Option<Length>,
    },
}

impl OutlineForm {
    /// Whether each feature has to give a size, where it is no range.
    pub fn leaves_size_open(self) -> bool {
        match self {
            OutlineForm::Circle { diameter } => diameter.is_none(),
            OutlineForm::Slot { length, width } => length.is_none() || width.is_none(),
            OutlineForm::Rectangle { length, .. } => length.is_none(),
        }
    }
}

/// A kind of thing that can be made on a member.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FeatureType {
    /// Name used in member files.
    pub name: Arc<str>,
    /// How it is placed.
    pub form: Form,
    /// Its outline.
    pub outline: OutlineForm,
    /// Faces it can be on.
    pub allowed: Faces,
    /// Faces it is on where a member does not say.
    pub default_faces: Faces,
    /// Where across the face it is where a member does not say.
    pub across: Length,
    /// How far across may be off.
    pub across_tolerance: Tolerance,
    /// Default tolerance along the member; a feature without any is an error.
    pub tolerance: Option<Tolerance>,
    /// What it is for.
    pub purpose: Purpose,
    /// Where it is described.
    pub span: Span,
}
