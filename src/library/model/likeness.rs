use super::Library;
use super::feature_type::OutlineForm;
use super::line::Made;
use crate::member::model::Feature;
use crate::quantity::{Length, Tolerance};

/// How far a tool's mark is what a drawing asks for, looked at across the face: where along the
/// member it lies, how long it is and on which faces are questions of their own.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Likeness {
    /// The same kind of outline.
    pub outline: bool,
    /// As wide, or wider where the type goes over the whole face.
    pub width: bool,
    /// The tool's gauge within the tolerance across the face.
    pub gauge: bool,
}

impl Likeness {
    /// Whether it is in every respect.
    pub const fn is_whole(self) -> bool {
        self.outline && self.width && self.gauge
    }
}

impl Made {
    /// What of `feature` this mark is.
    pub fn likeness(&self, feature: &Feature, library: &Library) -> Likeness {
        // A type without a width of its own goes over the whole face: the tool may reach beyond it.
        let whole_face = library
            .feature(feature.kind)
            .is_some_and(|kind| matches!(kind.outline, OutlineForm::Rectangle { width: None, .. }));
        let wider = self.outline.width() - feature.outline.width();
        let spare = if whole_face { wider.half().max(Length::ZERO) } else { Length::ZERO };
        let across = Tolerance {
            minus: feature.across_tolerance.minus + spare,
            plus: feature.across_tolerance.plus + spare,
        };
        Likeness {
            outline: std::mem::discriminant(&self.outline)
                == std::mem::discriminant(&feature.outline),
            width: wider == Length::ZERO || spare > Length::ZERO,
            gauge: across.admits(self.across - feature.across),
        }
    }
}
