use super::{Law, Ruled};
use crate::check::face::Face;
use crate::check::subject::{Subject, shown};
use crate::diagnostic::codes::member::W0415;

/// Least distance from the near edge to the outer edge of the face (out to out).
pub(super) fn look(subject: &mut Subject<'_>, law: &Law<'_>, ruled: &[Ruled<'_>]) {
    let Some(least) = law.length() else { return };
    for Ruled { item, faces } in ruled {
        for face in faces.each() {
            let Some(geometry) = Face::of(subject.profile, face) else { continue };
            let Some(placed) = subject.placed(item, face) else { continue };
            let distance = (placed.y.0 - geometry.edge.0).min(geometry.edge.1 - placed.y.1);
            if distance >= least {
                continue;
            }
            let says = format!(
                "has its near edge {} mm from the edge of its face; at least {} mm",
                shown(distance),
                shown(least)
            );
            let found = law.broken(
                &W0415,
                says,
                "too near the edge of the face",
                "move it towards the middle of the face",
            );
            subject.report(item, face, found);
        }
    }
}
