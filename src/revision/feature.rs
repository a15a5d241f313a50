//! What differs between the features of two members.

use super::{Change, Changes, FeatureOf, Spot};
use crate::library::model::Library;
use crate::member::model::{Datum, Faces, Feature, Place, Position};

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
        let change = Change::of(&called(feature, library), old, new);
        let feature = Some(named(feature, library));
        changes.0.push(Change { property: "feature".to_string(), feature, ..change });
    }
}

fn same(a: &Feature, b: &Feature) -> bool {
    *a == Feature { span: a.span, ..b.clone() }
}

fn differ(old: &Feature, new: &Feature, library: &Library, changes: &mut Changes) {
    let mut of = Changes::default();
    match (old.place, new.place) {
        // How long a range is follows from where it begins and stops.
        (Place::Range { .. }, Place::Range { .. }) => {
            of.length("width", old.outline.width(), new.outline.width());
        }
        _ => of.words("size", old.outline, new.outline),
    }
    place(old.place, new.place, &mut of);
    of.length("across", old.across, new.across);
    of.words("tolerance across", old.across_tolerance, new.across_tolerance);
    let called = called(old, library);
    changes.0.extend(of.0.into_iter().map(|change| Change {
        what: format!("{called}: {}", change.property),
        feature: Some(named(old, library)),
        ..change
    }));
}

fn place(old: Place, new: Place, changes: &mut Changes) {
    let mut at = |what: &str, a: Position, b: Position| {
        if a != b {
            // Figures from two datums have no difference.
            let by_nm = (a.datum == b.datum).then(|| (b.offset - a.offset).nm());
            let change = Change::of(what, Some(a.to_string()), Some(b.to_string()));
            changes.0.push(Change { by_nm, ..change });
        }
    };
    match (old, new) {
        (Place::Point { at: a, .. }, Place::Point { at: b, .. }) => at("place", a, b),
        (Place::Range { from: a, to: c, .. }, Place::Range { from: b, to: d, .. }) => {
            at("from", a, b);
            at("to", c, d);
        }
        (a, b) => changes.words("place", told(a), told(b)),
    }
    changes.words("tolerance", tolerances(old), tolerances(new));
}

fn named(feature: &Feature, library: &Library) -> FeatureOf {
    let spot = |at: Position| {
        let datum = match at.datum {
            Datum::Start => "start",
            Datum::Middle => "middle",
            Datum::End => "end",
        };
        Some(Spot { datum: datum.to_string(), offset_nm: at.offset.nm() })
    };
    let faces = Faces::NAMES.iter().filter(|(face, _)| feature.faces.contains(*face));
    let nowhere = FeatureOf {
        kind: library.feature(feature.kind).map_or(String::new(), |kind| kind.name.to_string()),
        faces: faces.map(|(_, word)| (*word).to_string()).collect(),
        at: None,
        from: None,
        to: None,
        end: None,
    };
    match feature.place {
        Place::Point { at, .. } => FeatureOf { at: spot(at), ..nowhere },
        Place::Range { from, to, .. } => FeatureOf { from: spot(from), to: spot(to), ..nowhere },
        Place::End { end, .. } => FeatureOf { end: Some(end.to_string()), ..nowhere },
    }
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
