use super::{Law, Ruled};
use crate::check::subject::Subject;
use crate::diagnostic::codes::member::N0416;

/// Features a rule set does not allow without the engineer: cut flanges of a stud, for instance.
pub(super) fn look(subject: &mut Subject<'_>, law: &Law<'_>, ruled: &[Ruled<'_>]) {
    for Ruled { item, faces } in ruled {
        let found = law.broken(
            &N0416,
            "needs the engineer".to_string(),
            "needs the engineer",
            "leave it out where the design does not ask for it",
        );
        subject.report(item, *faces, found);
    }
}
