use super::{Law, Ruled};
use crate::check::subject::{Subject, shown};
use crate::diagnostic::codes::member::W0414;
use crate::library::model::Measure;
use crate::member::model::End;

/// Least distance to the member's ends: from the near edge, or from the centre. Where an end is
/// sloped, to the steel's nearest edge beside the feature.
pub(super) fn look(subject: &mut Subject<'_>, law: &Law<'_>, ruled: &[Ruled<'_>]) {
    let Some(least) = law.length() else { return };
    let centre = law.rule.measure == Measure::CentreToEnd;
    for Ruled { item, faces } in ruled {
        for face in faces.each() {
            let Some(placed) = subject.placed(item, face) else { continue };
            let steel = subject.steel(face, placed.y);
            let half = if centre { (placed.x.1 - placed.x.0) / 2 } else { 0 };
            for (end, distance) in
                [(End::Start, placed.x.0 + half - steel.0), (End::End, steel.1 - placed.x.1 + half)]
            {
                if distance >= least {
                    continue;
                }
                let from = if centre { "centre" } else { "near edge" };
                let says = format!(
                    "has its {from} {} mm from the {end}; at least {} mm",
                    shown(distance),
                    shown(least)
                );
                let found =
                    law.broken(&W0414, says, "too near the end", "move it away from the end");
                subject.report(item, face, found);
            }
        }
    }
}
