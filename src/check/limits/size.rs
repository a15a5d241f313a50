use super::{Law, Ruled};
use crate::check::subject::{Subject, shown};
use crate::diagnostic::codes::member::{W0411, W0412};
use crate::library::model::Measure;
use crate::quantity::{Length, Rational};

/// Widest across the face, as a length or as a share of the web out to out; longest along the
/// member.
pub(super) fn look(subject: &mut Subject<'_>, law: &Law<'_>, ruled: &[Ruled<'_>]) {
    let web = subject.profile.web;
    for Ruled { item, faces } in ruled {
        let along = item.x.1 - item.x.0;
        for face in faces.each() {
            let Some(placed) = subject.placed(item, face) else { continue };
            let across = placed.y.1 - placed.y.0;
            let found = match law.rule.measure {
                Measure::Length => law.length().filter(|&most| along > most).map(|most| {
                    law.broken(
                        &W0412,
                        format!("is {} mm long; at most {} mm", shown(along), shown(most)),
                        "too long",
                        "make it shorter",
                    )
                }),
                Measure::WidthToWeb => law
                    .ratio()
                    .filter(|&most| share(across, web).is_some_and(|share| share > most))
                    .map(|most| {
                        law.broken(
                            &W0411,
                            format!(
                                "is {} mm wide on a web of {web} mm; at most {most} of the web",
                                shown(across)
                            ),
                            "too wide",
                            "make it narrower",
                        )
                    }),
                _ => law.length().filter(|&most| across > most).map(|most| {
                    law.broken(
                        &W0411,
                        format!("is {} mm wide; at most {} mm", shown(across), shown(most)),
                        "too wide",
                        "make it narrower",
                    )
                }),
            };
            if let Some(found) = found {
                subject.report(item, face, found);
            }
        }
    }
}

/// A width in half-nanometres as a share of the web.
fn share(across: i64, web: Length) -> Option<Rational> {
    Rational::new(i128::from(across), 2 * i128::from(web.nm()))
}
