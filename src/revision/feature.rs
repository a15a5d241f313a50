//! What differs between the features of two members.

use super::{Change, Changes};
use crate::library::model::Library;
use crate::member::model::{Feature, Place, Position};

/// Features that are alike but for where they are written are the same. Of the others, each of
/// the old is held against the first of the new that is as much like it as any: of its type,
/// faces and outline, else of its type and faces.
pub(super) fn compare(old: &[Feature], new: &[Feature], library: &Library, changes: &mut Changes) {
    let mut left: Vec<&Feature> = new.iter().collect();
    let mut open: Vec<&Feature> = Vec::new();
    for feature in old {
        match left.iter().position(|other| same(feature, other)) {
            Some(index) => {
                left.remove(index);
            }
            None => open.push(feature),
        }
    }
    let face = |a: &Feature, b: &Feature| a.kind == b.kind && a.faces == b.faces;
    let outline = |a: &Feature, b: &Feature| face(a, b) && a.outline == b.outline;
    for alike in [&outline as &dyn Fn(&Feature, &Feature) -> bool, &face] {
        open.retain(|feature| {
            let Some(index) = left.iter().position(|other| alike(feature, other)) else {
                return true;
            };
            differ(feature, left.remove(index), library, changes);
            false
        });
    }
    let gone = open.into_iter().map(|feature| (feature, true));
    for (feature, gone) in gone.chain(left.into_iter().map(|feature| (feature, false))) {
        let told = Some(whole(feature));
        let (old, new) = if gone { (told, None) } else { (None, told) };
        changes.0.push(Change::of(&called(feature, library), old, new));
    }
}

fn same(a: &Feature, b: &Feature) -> bool {
    *a == Feature { span: a.span, ..b.clone() }
}

fn differ(old: &Feature, new: &Feature, library: &Library, changes: &mut Changes) {
    let called = called(old, library);
    changes.words(&format!("{called}: size"), old.outline, new.outline);
    place(&called, old.place, new.place, changes);
    changes.length(&format!("{called}: across"), old.across, new.across);
    let what = format!("{called}: tolerance across");
    changes.words(&what, old.across_tolerance, new.across_tolerance);
}

fn place(called: &str, old: Place, new: Place, changes: &mut Changes) {
    let mut at = |what: &str, a: Position, b: Position| {
        if a != b {
            // Figures from two datums have no difference.
            let by_nm = (a.datum == b.datum).then(|| (b.offset - a.offset).nm());
            let (old, new) = (Some(a.to_string()), Some(b.to_string()));
            let change = Change::of(&format!("{called}: {what}"), old, new);
            changes.0.push(Change { by_nm, ..change });
        }
    };
    match (old, new) {
        (Place::Point { at: a, .. }, Place::Point { at: b, .. }) => at("place", a, b),
        (Place::Range { from: a, to: c, .. }, Place::Range { from: b, to: d, .. }) => {
            at("from", a, b);
            at("to", c, d);
        }
        (a, b) => changes.words(&format!("{called}: place"), told(a), told(b)),
    }
    changes.words(&format!("{called}: tolerance"), tolerances(old), tolerances(new));
}

fn tolerances(place: Place) -> String {
    match place {
        Place::Point { tolerance, .. } | Place::End { tolerance, .. } => tolerance.to_string(),
        Place::Range { from_tolerance: a, to_tolerance: b, .. } if a == b => a.to_string(),
        Place::Range { from_tolerance: a, to_tolerance: b, .. } => format!("{a} and {b}"),
    }
}

fn told(place: Place) -> String {
    match place {
        Place::Point { at, .. } => format!("at {at}"),
        Place::Range { from, to, .. } => format!("from {from} to {to}"),
        Place::End { end, .. } => format!("at the {end}"),
    }
}

/// `hole on web at 450`.
fn called(feature: &Feature, library: &Library) -> String {
    let kind = library.feature(feature.kind);
    let kind = kind.map_or("feature", |kind| &kind.name);
    format!("{kind} on {} {}", feature.faces, told(feature.place))
}

/// Everything about it but its name and place.
fn whole(feature: &Feature) -> String {
    format!(
        "{}, {}; across {}, {}",
        feature.outline,
        tolerances(feature.place),
        feature.across,
        feature.across_tolerance,
    )
}
