use super::subject::{Draft, Subject, is_hole, place_words, shown};
use crate::diagnostic::codes::member::W0406;

/// Two holes with less steel between them than it is thick.
///
/// The layout figure for a hole and an edge of the part (distance at least the thickness; read in
/// a punching guide) is applied to the edge of the other hole: common practice, no source.
pub(super) fn look(subject: &mut Subject<'_>) {
    let items: Vec<_> = subject.sound().into_iter().filter(is_hole).collect();
    let least = 2 * subject.profile.thickness.nm();
    for (i, a) in items.iter().enumerate() {
        for b in items.iter().skip(i + 1) {
            if b.x.0 >= a.x.1 + least {
                break;
            }
            let mut close = (a.feature.faces & b.feature.faces).each().filter_map(|face| {
                let (pa, pb) = (subject.placed(a, face)?, subject.placed(b, face)?);
                let between = pa.nearer_than(&pb, least) && !pa.nearer_than(&pb, 0);
                between.then(|| (face, pa.clear(&pb)))
            });
            let Some((face, clear)) = close.next() else { continue };
            let thickness = subject.profile.thickness;
            let says = format!(
                "leaves {} mm of steel beside the {} at {}, less than the steel is thick ({thickness} mm)",
                shown(clear),
                a.kind.name,
                place_words(a.feature.place),
            );
            let found = Draft::new(
                &W0406,
                says,
                "too near the other",
                format!("leave {thickness} mm or more between the edges"),
            )
            .also(b.feature.span, a.feature.span, format!("this {}", a.kind.name))
            .note("the second punch draws the strip between them in, and both come out of round");
            subject.report(b, face, found);
            break;
        }
    }
}
