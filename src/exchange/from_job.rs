//! A resolved job as a drawn one: what the library says anyway is left out.

use super::drawn::{DrawnFeature, DrawnFrame, DrawnJob, DrawnMember, DrawnPlace, DrawnWaiver};
use crate::library::model::{FeatureType, Library, OutlineForm, Profile};
use crate::member::model::{Faces, Feature, Job, Outline, Place, Shape};
use crate::quantity::{Length, Tolerance};
use std::sync::Arc;

/// The job in names. `mark_text` gives what a piece bears where its job says nothing, from frame
/// and mark: members that bear that say nothing about it.
pub fn drawn(job: &Job, library: &Library, mark_text: impl Fn(&str, &str) -> String) -> DrawnJob {
    let some = |text: &Option<Arc<str>>| text.as_ref().map(|t| t.to_string());
    DrawnJob {
        name: job.name.to_string(),
        title: job.title.to_string(),
        revision: job.revision.to_string(),
        frames: job
            .frames
            .iter()
            .map(|frame| DrawnFrame {
                name: frame.name.to_string(),
                kind: frame.kind,
                title: frame.title.to_string(),
                quantity: frame.quantity,
                members: frame
                    .members
                    .iter()
                    .map(|member| {
                        let usual = mark_text(&frame.name, &member.mark);
                        DrawnMember {
                            mark: member.mark.to_string(),
                            usage: member.usage,
                            quantity: member.quantity,
                            mark_text: (usual != *member.mark_text)
                                .then(|| member.mark_text.to_string()),
                            ..shape(&member.shape, library)
                        }
                    })
                    .collect(),
            })
            .collect(),
        waivers: job
            .waivers
            .iter()
            .map(|waiver| DrawnWaiver {
                rule: waiver.rule.to_string(),
                frame: some(&waiver.frame),
                mark: some(&waiver.mark),
                reference: waiver.reference.to_string(),
                by: waiver.by.to_string(),
            })
            .collect(),
    }
}

/// A member of this shape, without a name.
fn shape(shape: &Shape, library: &Library) -> DrawnMember {
    let profile = library.profile(shape.profile);
    let usual = profile.and_then(|p| p.length_tolerance);
    DrawnMember {
        mark: String::new(),
        usage: crate::member::model::Usage::Other,
        quantity: 1,
        profile: profile.map_or_else(|| Arc::from(""), |p| Arc::clone(&p.name)),
        length: shape.length,
        length_tolerance: Some(shape.length_tolerance).filter(|t| Some(*t) != usual),
        start: shape.start,
        end: shape.end,
        turnable: shape.turnable,
        mark_text: None,
        features: shape
            .features
            .iter()
            .filter_map(|f| feature(f, library.feature(f.kind)?, profile?))
            .collect(),
        source: String::new(),
    }
}

/// A feature in names.
fn feature(feature: &Feature, kind: &FeatureType, profile: &Profile) -> Option<DrawnFeature> {
    let unusual = |t: Tolerance| Some(t).filter(|t| Some(*t) != kind.tolerance);
    let place = match feature.place {
        Place::Point { at, tolerance } => DrawnPlace::Point { at, tolerance: unusual(tolerance) },
        Place::End { end, tolerance } => DrawnPlace::End { end, tolerance: unusual(tolerance) },
        Place::Range { from, from_tolerance, to, to_tolerance } => {
            let usual = unusual(from_tolerance).is_none() && unusual(to_tolerance).is_none();
            let tolerance = (!usual).then_some((from_tolerance, to_tolerance));
            DrawnPlace::Range { from, to, tolerance }
        }
    };
    Some(DrawnFeature {
        kind: Arc::clone(&kind.name),
        size: size(feature, kind, profile),
        faces: Some(feature.faces).filter(|f| *f != kind.default_faces),
        across: Some(feature.across).filter(|a| *a != kind.across),
        place,
        across_tolerance: Some(feature.across_tolerance).filter(|t| *t != kind.across_tolerance),
    })
}

/// The size a feature says itself: what its type leaves open.
fn size(
    feature: &Feature,
    kind: &FeatureType,
    profile: &Profile,
) -> Option<(Length, Option<Length>)> {
    match (kind.outline, feature.outline) {
        (OutlineForm::Circle { diameter: Some(_) }, _) => None,
        (OutlineForm::Circle { .. }, outline) => Some((outline.length(), None)),
        (OutlineForm::Slot { length: Some(_), width: Some(_) }, _) => None,
        (OutlineForm::Slot { .. }, outline) => Some((outline.length(), Some(outline.width()))),
        (OutlineForm::Rectangle { length, width }, Outline::Rectangle { .. }) => {
            let own_width = feature.outline.width();
            let usual = width.unwrap_or_else(|| whole_face(feature.faces, profile));
            let long = length.is_none() && !matches!(feature.place, Place::Range { .. });
            match (long, own_width != usual) {
                (false, false) => None,
                (true, false) => Some((feature.outline.length(), None)),
                (_, true) => Some((feature.outline.length(), Some(own_width))),
            }
        }
        (OutlineForm::Rectangle { .. }, _) => None,
    }
}

/// The width of an outline that goes over the whole of its faces: the widest, out to out.
pub(super) fn whole_face(faces: Faces, profile: &Profile) -> Length {
    faces.each().map(|face| face_width(face, profile)).max().unwrap_or_default()
}

/// A face, out to out.
pub(super) fn face_width(face: Faces, profile: &Profile) -> Length {
    match face {
        Faces::LEFT_FLANGE => profile.left_flange,
        Faces::RIGHT_FLANGE => profile.right_flange,
        Faces::LEFT_LIP => profile.left_lip,
        Faces::RIGHT_LIP => profile.right_lip,
        _ => profile.web,
    }
}
