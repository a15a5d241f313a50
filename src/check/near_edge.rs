use super::face::Face;
use super::subject::{Draft, Subject, is_hole, shown};
use crate::diagnostic::codes::member::W0407;

/// A hole nearer to an edge of the part (an end, or the free edge of a lip or flange) than the
/// steel is thick. Figure: hole edge to part edge at least t, read in a punching guide.
pub(super) fn look(subject: &mut Subject<'_>) {
    let thickness = subject.profile.thickness;
    let least = 2 * thickness.nm();
    for item in subject.sound().iter().filter(|item| is_hole(item)) {
        for face in item.feature.faces.each() {
            let Some(geometry) = Face::of(subject.profile, face) else { continue };
            let Some(placed) = subject.placed(item, face) else { continue };
            let steel = subject.steel(face, placed.y);
            let edges = [
                (placed.x.0 - steel.0, "start", true),
                (steel.1 - placed.x.1, "end", true),
                (placed.y.0 - geometry.edge.0, "free edge", geometry.free.0),
                (geometry.edge.1 - placed.y.1, "free edge", geometry.free.1),
            ];
            for (distance, edge, counts) in edges {
                if !counts || distance >= least {
                    continue;
                }
                let says = format!(
                    "leaves {} mm of steel to the {edge}, less than the steel is thick \
                     ({thickness} mm)",
                    shown(distance)
                );
                let found = Draft::new(
                    &W0407,
                    says,
                    format!("too near the {edge}"),
                    format!("keep its edge {thickness} mm or more away"),
                )
                .note("the strip left beside the hole bulges out, and a screw tears through it");
                subject.report(item, face, found);
            }
        }
    }
}
