use super::subject::{Draft, Subject};
use crate::diagnostic::codes::member::E0404;
use crate::member::model::Place;

/// A range that ends at or before the place where it begins.
pub(super) fn look(subject: &mut Subject<'_>) {
    for index in 0..subject.items.len() {
        let Some(item) = subject.items.get_mut(index) else { continue };
        let Place::Range { from, to, .. } = item.feature.place else { continue };
        if item.x.0 < item.x.1 {
            continue;
        }
        item.sound = false;
        let item = *item;
        let length = subject.shape.length;
        let (first, last) = (from.on(length), to.on(length));
        let says = if first == last {
            "has no length: it ends where it begins".to_string()
        } else {
            format!("runs backwards: it begins at {first} mm and ends at {last} mm")
        };
        // Places with two datums pass each other where the member is too short: turning them
        // round would be a range nobody drew.
        let (help, note) = if from.datum != to.datum {
            (
                "make the member longer, or leave the range out of members as short as this (a \
                 condition in the recipe)"
                    .to_string(),
                format!(
                    "its two places are measured from different ends, and pass each other on a \
                     member of {length} mm"
                ),
            )
        } else if first == last {
            (
                format!("give it a length: `{from} .. …`"),
                "no tool makes a stretch of nothing".to_string(),
            )
        } else {
            (
                format!("write `{to} .. {from}`, the lower place first"),
                "which of its edges is which decides its tolerances".to_string(),
            )
        };
        let found = Draft::new(&E0404, says, "ends before it begins", help).note(note);
        subject.report(&item, item.feature.faces, found);
    }
}
