use super::face::Face;
use super::subject::{Draft, Subject, is_hole, shown};
use crate::diagnostic::codes::member::W0408;

/// A hole in a bend, or nearer to it than twice the thickness.
///
/// Figure: hole edge to bend at least 2 t + r, read in a punching guide; measured from the inside
/// of the wall beyond the bend, so 2 t from the bend's tangent.
pub(super) fn look(subject: &mut Subject<'_>) {
    let thickness = subject.profile.thickness;
    let least = 4 * thickness.nm();
    for item in subject.sound().iter().filter(|item| is_hole(item)) {
        for face in item.feature.faces.each() {
            let Some(geometry) = Face::of(subject.profile, face) else { continue };
            let Some(placed) = subject.placed(item, face) else { continue };
            let sides = [
                (placed.y.0 - geometry.flat.0, geometry.free.0),
                (geometry.flat.1 - placed.y.1, geometry.free.1),
            ];
            let nearest = sides.into_iter().filter(|&(_, free)| !free).map(|(d, _)| d).min();
            let Some(distance) = nearest.filter(|&d| d < least) else { continue };
            let says = if distance < 0 {
                format!("reaches {} mm into the bend", shown(-distance))
            } else {
                format!("leaves {} mm of flat to the bend", shown(distance))
            };
            let found = Draft::new(
                &W0408,
                format!("{says}; {} mm (twice the thickness) keep it round", thickness.times(2)),
                "too near the bend",
                "move it towards the middle of the face, or make it smaller",
            )
            .note("forming pulls a hole beside a bend out of round, and the bend bulges there");
            subject.report(item, face, found);
        }
    }
}
