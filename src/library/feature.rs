//! Feature types: `features.toml`.

use super::common::{
    Face, Found, MOST, Outline, Sizes, faces, few_enough, finding, meant, plain_name, unique,
};
use super::model::{self, Form, OutlineForm};
use super::reading::{At, OneOrMany, wire, words};
use crate::diagnostic::codes::library as codes;
use crate::quantity::{Length, Tolerance};

words! {
    /// How a feature is placed along a member.
    pub enum FormWord {
        /// Its centre at a position.
        Point = "point",
        /// From one position to another.
        Range = "range",
        /// At an end, reaching inward.
        End = "end",
    }
    /// What a feature is for.
    pub enum PurposeWord {
        /// Members meet here: tight.
        Joint = "joint",
        /// Pipes and cables pass here: may be loose.
        Service = "service",
        /// Fixed to the ground or another storey.
        Anchor = "anchor",
        /// Shapes a member's end.
        End = "end",
    }
}

wire! {
    /// Feature types: what members may have made on them.
    pub struct FeatureFile {
        /// One table for each type.
        feature: Vec<Feature>,
    }
    /// A feature type.
    pub struct Feature {
        /// Name used in member files.
        name: At<String>,
        /// How it is placed along the member.
        form: At<FormWord>,
        /// Its outline; a size that is left out is given by each feature. A range takes its
        /// length from the member; a rectangle without `width` spans the whole face.
        outline: At<Outline>,
        /// Diameter of a circle.
        diameter: Option<At<Length>>,
        /// Length along the member of a slot or rectangle.
        length: Option<At<Length>>,
        /// Width across the face of a slot or rectangle.
        width: Option<At<Length>>,
        /// Faces it can be on.
        faces: At<OneOrMany<Face>>,
        /// Faces it is on where a member does not say; all of `faces` when left out.
        #[schemars(extend("x-left-out" = "all of faces"))]
        default_faces: Option<At<OneOrMany<Face>>>,
        /// Where across the face, from its centre line, where a member does not say; 0 when left
        /// out.
        #[schemars(extend("default" = "0 mm"))]
        across: Option<At<Length>>,
        /// How far across may be off.
        across_tolerance: At<Tolerance>,
        /// Default tolerance along the member. Where neither the type nor the member has one,
        /// the feature is refused.
        tolerance: Option<At<Tolerance>>,
        /// What it is for: rule sets go by it.
        purpose: At<PurposeWord>,
    }
}

/// The feature types of one file.
pub(super) fn settle(file: FeatureFile, found: &mut Found) -> Vec<model::FeatureType> {
    few_enough(found, "feature types", file.feature.len(), MOST, file.span);
    unique(found, "feature type", file.feature.iter().map(|f| &f.name));
    file.feature.into_iter().map(|feature| settle_one(&feature, found)).collect()
}

fn settle_one(feature: &Feature, found: &mut Found) -> model::FeatureType {
    let form = match feature.form.value {
        FormWord::Point => Form::Point,
        FormWord::Range => Form::Range,
        FormWord::End => Form::End,
    };
    let sizes = Sizes {
        outline: &feature.outline,
        diameter: &feature.diameter,
        length: &feature.length,
        width: &feature.width,
    };
    let outline = sizes.settle(found);
    let fits = match (form, outline) {
        (Form::Point, _)
        | (Form::End, OutlineForm::Rectangle { .. } | OutlineForm::Slot { .. }) => Ok(()),
        (Form::Range, OutlineForm::Rectangle { length: None, .. }) => Ok(()),
        (Form::Range, OutlineForm::Rectangle { length: Some(_), .. }) => Err((
            "a range takes its length from the member, not from its type",
            "leave `length` out, or make it a point",
        )),
        (Form::Range, _) => Err(("a range is a rectangle", "write outline = \"rectangle\"")),
        (Form::End, OutlineForm::Circle { .. }) => {
            Err(("a circle cannot shape an end", "write outline = \"rectangle\""))
        }
    };
    if let Err((what, help)) = fits {
        let label = "does not go with this outline";
        found.push(finding(&codes::E0310, feature.form.span, what, label, help));
    }
    let allowed = faces(found, "faces", &feature.faces);
    let default_faces =
        feature.default_faces.as_ref().map_or(allowed, |list| faces(found, "default-faces", list));
    if let Some(list) = &feature.default_faces
        && !allowed.contains(default_faces)
    {
        found.push(finding(
            &codes::E0310,
            list.span,
            format!("`default-faces` has {} that `faces` has not", default_faces - allowed),
            "not among the faces it can be on",
            "add them to `faces`, or take them out here",
        ));
    }
    let across = feature.across.as_ref().map_or(Length::ZERO, |at| {
        super::common::not_negative(
            found,
            "across",
            &At { value: at.value.abs(), span: at.span },
            Length::from_mm(5_000),
        );
        at.value
    });
    model::FeatureType {
        name: plain_name(found, "the name of a feature type", &feature.name),
        form,
        outline,
        allowed,
        default_faces,
        across,
        across_tolerance: meant(found, "across-tolerance", &feature.across_tolerance),
        tolerance: feature.tolerance.as_ref().map(|at| meant(found, "tolerance", at)),
        purpose: purpose(feature.purpose.value),
        span: feature.name.span,
    }
}

/// The model's purpose for a word.
pub(super) fn purpose(word: PurposeWord) -> model::Purpose {
    match word {
        PurposeWord::Joint => model::Purpose::Joint,
        PurposeWord::Service => model::Purpose::Service,
        PurposeWord::Anchor => model::Purpose::Anchor,
        PurposeWord::End => model::Purpose::End,
    }
}
