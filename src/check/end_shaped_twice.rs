use super::subject::{Draft, Item, Subject};
use crate::diagnostic::codes::member::W0410;
use crate::library::model::Purpose;
use crate::member::model::{End, Place};

/// Two types that each shape the same end on the same face.
///
/// Only types whose purpose is the end itself count: a swage (a joint) may share its end with a
/// notch.
pub(super) fn look(subject: &mut Subject<'_>) {
    // As written, so that the second one named is the second one read.
    let mut items = subject.sound();
    items.sort_by_key(|item| item.feature.span);
    for end in [End::Start, End::End] {
        let mut firsts: Vec<&Item<'_>> = Vec::new();
        for second in &items {
            let here = matches!(second.feature.place, Place::End { end: e, .. } if e == end);
            if !here || second.kind.purpose != Purpose::End {
                continue;
            }
            let other = firsts.iter().find(|first| {
                second.feature.kind != first.feature.kind
                    && second.feature.faces.intersects(first.feature.faces)
            });
            let Some(first) = other else {
                if !firsts.iter().any(|first| first.feature.kind == second.feature.kind) {
                    firsts.push(second);
                }
                continue;
            };
            let says = format!("shapes an end that `{}` shapes too", first.kind.name);
            let found = Draft::new(
                &W0410,
                says,
                "a second shape",
                "keep the one the joint needs, or put them on different faces",
            )
            .also(second.feature.span, first.feature.span, "the first shape")
            .note("what is left of the end is whatever the two tools leave between them");
            subject.report(second, second.feature.faces & first.feature.faces, found);
        }
    }
}
