use super::face::Face;
use super::subject::{Draft, Subject};
use crate::diagnostic::codes::member::E0403;
use crate::member::model::Faces;

/// A feature on a lip or flange the section does not have.
pub(super) fn look(subject: &mut Subject<'_>) {
    let profile = subject.profile;
    for index in 0..subject.items.len() {
        let Some(item) = subject.items.get_mut(index) else { continue };
        let missing: Faces =
            item.feature.faces.each().filter(|&f| Face::of(profile, f).is_none()).collect();
        if missing.is_empty() {
            continue;
        }
        item.sound = false;
        let item = *item;
        let left = item.feature.faces - missing;
        let help = if left.is_empty() {
            "leave it out, or give the member a profile that has this face".to_string()
        } else {
            format!("write `on {left}`, or give the member a profile that has this face")
        };
        let says =
            format!("has no steel to be made in: profile `{}` has no {missing}", profile.name);
        let found = Draft::new(&E0403, says, format!("no {missing} here"), help)
            .note("the tool would punch air, or the edge of the strip");
        subject.report(&item, missing, found);
    }
}
