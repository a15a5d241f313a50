use super::face::Face;
use super::outline::whole_face;
use super::subject::{Draft, Subject, shown};
use crate::diagnostic::codes::member::E0402;

/// A feature that reaches over the outer edge of its face: off the section, or round the corner.
///
/// Types that cover a whole face are kept to it and cannot. What stays on the face but comes into
/// its bends is `near_bend`'s affair.
pub(super) fn look(subject: &mut Subject<'_>) {
    let profile = subject.profile;
    for index in 0..subject.items.len() {
        let Some(item) = subject.items.get(index).copied() else { continue };
        if !item.sound || whole_face(&item) {
            continue;
        }
        for face in item.feature.faces.each() {
            let Some(geometry) = Face::of(profile, face) else { continue };
            let Some(placed) = subject.placed(&item, face) else { continue };
            let over = (geometry.edge.0 - placed.y.0).max(placed.y.1 - geometry.edge.1);
            if over <= 0 {
                continue;
            }
            if let Some(item) = subject.items.get_mut(index) {
                item.sound = false;
            }
            let wide = geometry.edge.1 - geometry.edge.0;
            let says = format!(
                "is {} mm wide and reaches {} mm over the edge of its face, which is {} mm wide \
                 in profile `{}`",
                item.feature.outline.width(),
                shown(over),
                shown(wide),
                profile.name
            );
            let help = if placed.y.1 - placed.y.0 > wide {
                "make it narrower, or give the member a wider profile"
            } else {
                "move it towards the middle of the face"
            };
            let found = Draft::new(&E0402, says, "over the edge of its face", help)
                .note("the tool would punch the bend or the air beside the strip");
            subject.report(&item, face, found);
        }
    }
}
