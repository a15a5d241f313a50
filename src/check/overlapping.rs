use super::subject::{Draft, Item, Subject, place_words, shown};
use crate::diagnostic::codes::member::E0405;
use crate::library::model::Purpose;
use crate::member::model::Place;

/// Two features on one face that spoil each other.
///
/// Real members overlap on purpose: a dimple inside a swaged end, an anchor hole between flange
/// notches, a screw hole in the middle of its dimple. So it goes by form and purpose:
///
/// - two point features (holes, dimples) must not overlap, unless two types share one centre, and
///   none of them or both are service holes: a screw hole in the middle of a service hole has no
///   steel around it;
/// - two ranges or end features must not overlap if they are of one type: one was meant, and the
///   tool would strike its own edge. Different types are made for each other;
/// - a point feature may lie in a range or end feature, except a service hole: pipes do not pass
///   where a member is swaged, notched or nested in another.
pub(super) fn look(subject: &mut Subject<'_>) {
    let items = subject.sound();
    for (i, a) in items.iter().enumerate() {
        for b in items.iter().skip(i + 1) {
            if b.x.0 >= a.x.1 {
                break; // sorted by where they begin
            }
            if !may_not_overlap(a, b) {
                continue;
            }
            let common = (a.feature.faces & b.feature.faces).each();
            let Some(face) = common.into_iter().find(|&face| {
                match (subject.placed(a, face), subject.placed(b, face)) {
                    (Some(pa), Some(pb)) if is_point(a) && is_point(b) => {
                        pa.nearer_than(&pb, 0)
                            && (pa.centre() != pb.centre()
                                || a.feature.kind == b.feature.kind
                                || is_service(a) != is_service(b))
                    }
                    (Some(pa), Some(pb)) => pa.nearer_than(&pb, 0),
                    _ => false,
                }
            }) else {
                continue;
            };
            let along = b.x.1.min(a.x.1) - b.x.0;
            let says = format!("overlaps the {} at {}", a.kind.name, place_words(a.feature.place));
            let label = format!("{} mm of it in the other", shown(along));
            let help = if a.feature.kind == b.feature.kind && !is_point(a) {
                "write one that covers both, or move them apart"
            } else {
                "move one of them"
            };
            let found = Draft::new(&E0405, says, label, help)
                .also(b.feature.span, a.feature.span, format!("this {}", a.kind.name))
                .note(
                    "the second stroke would meet steel that is no longer there or no longer flat",
                );
            subject.report(b, face, found);
            break;
        }
    }
}

fn is_point(item: &Item<'_>) -> bool {
    matches!(item.feature.place, Place::Point { .. })
}

fn is_service(item: &Item<'_>) -> bool {
    item.kind.purpose == Purpose::Service
}

fn may_not_overlap(a: &Item<'_>, b: &Item<'_>) -> bool {
    match (is_point(a), is_point(b)) {
        (true, true) => true,
        (false, false) => a.feature.kind == b.feature.kind,
        (true, false) => is_service(a),
        (false, true) => is_service(b),
    }
}
