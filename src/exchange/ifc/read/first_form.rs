//! Models of the first form: they list the openings of a member, and not of which type each was.

use crate::exchange::drawn::{DrawnFeature, DrawnMember, DrawnPlace};
use crate::library::model::{Library, OutlineForm};
use crate::member::model::{End, Position};
use crate::quantity::Length;
use std::collections::BTreeSet;

/// Types that were openings in a model of the first form: each of their features is one of the
/// openings it lists.
pub(super) fn cut_before<'w>(
    openings: &str,
    written: &'w DrawnMember,
    library: Option<&Library>,
) -> Vec<&'w str> {
    let listed = |feature: &DrawnFeature| -> Option<bool> {
        let kind = library?.feature_named(&feature.kind)?.1;
        let along = middle(feature, kind.outline, written.length)?;
        let across = feature.across.unwrap_or(kind.across);
        let faces = feature.faces.unwrap_or(kind.default_faces);
        Some(faces.each().all(|face| {
            let begins = format!("{along} {face} {across} ");
            openings.split("; ").any(|opening| opening.starts_with(&begins))
        }))
    };
    let pressed: BTreeSet<&str> = written
        .features
        .iter()
        .filter(|feature| listed(feature) != Some(true))
        .map(|feature| &*feature.kind)
        .collect();
    written.features.iter().map(|f| &*f.kind).filter(|kind| !pressed.contains(kind)).collect()
}

/// The middle of a feature along its member.
fn middle(feature: &DrawnFeature, outline: OutlineForm, length: Length) -> Option<Length> {
    let on = |at: Position| at.on(length).distance();
    match feature.place {
        DrawnPlace::Point { at, .. } => Some(on(at)),
        DrawnPlace::Range { from, to, .. } => Some((on(from) + on(to)).half()),
        DrawnPlace::End { end, .. } => {
            let fixed = match outline {
                OutlineForm::Slot { length, .. } | OutlineForm::Rectangle { length, .. } => length,
                OutlineForm::Circle { diameter } => diameter,
            };
            let half = feature.size.map(|(length, _)| length).or(fixed)?.half();
            Some(if end == End::Start { half } else { length - half })
        }
    }
}
