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
        let (says, help) = if first == last {
            (
                "has no length: it ends where it begins".to_string(),
                format!("give it a length: `{from} .. …`"),
            )
        } else {
            (
                format!("runs backwards: it begins at {first} mm and ends at {last} mm"),
                format!("write `{to} .. {from}`, the lower place first"),
            )
        };
        let found = Draft::new(&E0404, says, "ends before it begins", help)
            .note("on a shorter member a range from the start can pass one from the end: look at the length too");
        subject.report(&item, item.feature.faces, found);
    }
}
