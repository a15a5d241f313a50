use super::{Law, Ruled};
use crate::check::subject::{Subject, shown};
use crate::diagnostic::codes::member::W0413;
use crate::library::model::Measure;
use crate::member::model::Faces;

/// Least distance between two features the rule looks at, on one face: between their centres, or
/// of the steel between their outlines. Straight from one to the other, also where they lie side
/// by side across the face.
pub(super) fn look(subject: &mut Subject<'_>, law: &Law<'_>, ruled: &[Ruled<'_>]) {
    let Some(least) = law.length() else { return };
    let centres = law.rule.measure == Measure::CentreToCentre;
    for face in Faces::all().each() {
        let mut placed: Vec<_> = ruled
            .iter()
            .filter(|r| r.faces.contains(face))
            .filter_map(|r| Some((r, subject.placed(&r.item, face)?)))
            .collect();
        if centres {
            placed.sort_by_key(|(_, p)| p.centre());
        }
        for (i, (a, pa)) in placed.iter().enumerate() {
            for (b, pb) in placed.iter().skip(i + 1) {
                // Sorted along the member: from here on all are far enough.
                let along =
                    if centres { (pb.centre().0 - pa.centre().0) / 2 } else { pb.x.0 - pa.x.1 };
                if along >= least {
                    break;
                }
                let (too_near, distance) = if centres {
                    let square = pa.centres_squared(pb);
                    let needed = 2 * i128::from(least);
                    (
                        square < needed * needed,
                        i64::try_from(square.isqrt() / 2).unwrap_or(i64::MAX),
                    )
                } else {
                    (pa.nearer_than(pb, least), pa.clear(pb))
                };
                if !too_near {
                    continue;
                }
                let how = if centres { "centre to centre" } else { "clear" };
                let says = format!(
                    "lies {} mm {how} from the {} before it; at least {} mm",
                    shown(distance),
                    a.item.kind.name,
                    shown(least)
                );
                let (here, there) = (b.item.feature.span, a.item.feature.span);
                let found = law
                    .broken(&W0413, says, "too near the one before", "move them apart")
                    .also(here, there, "the one before");
                subject.report(&b.item, face, found);
                break;
            }
        }
    }
}
