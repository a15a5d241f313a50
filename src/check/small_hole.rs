use super::subject::{Draft, Subject, is_hole};
use crate::diagnostic::codes::member::W0409;
use crate::quantity::Length;

/// A hole smaller than a punch stands. Figure: diameter at least the thickness, and 1 mm; read in
/// a punching guide.
pub(super) fn look(subject: &mut Subject<'_>) {
    let least = subject.profile.thickness.max(Length::from_mm(1));
    for item in subject.sound().iter().filter(|item| is_hole(item)) {
        let outline = item.feature.outline;
        let across = outline.width().min(outline.length());
        if across >= least {
            continue;
        }
        let says = format!("is {across} mm across, less than {least} mm");
        let found =
            Draft::new(&W0409, says, "a thin punch", format!("make it {least} mm or larger"))
                .note("a punch thinner than the steel it goes through, or than 1 mm, breaks");
        subject.report(item, item.feature.faces, found);
    }
}
