//! What lines there are that nothing here plans for: told with the reason, not passed over.

use super::wire::{self, WorksWord};
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::library::common::Found;
use crate::library::model::Line;
use crate::quantity::Length;

/// The feed that moves the strip. `None` where there is none at all.
pub(super) fn one_feed<'w>(wire: &'w wire::Line, found: &mut Found) -> Option<&'w wire::Feed> {
    let feeds = wire.feed.value.as_slice();
    if feeds.len() != 1 {
        found.push(
            Diagnostic::new(
                &codes::E0344,
                format!("{} feeds are described; one is planned for", feeds.len()),
            )
            .at(wire.feed.span, "the strip does not move as one")
            .note(
                "With a loop between punching and forming each part of the strip has an advance of \
                 its own, and the loop must neither run empty nor full: programs here have one \
                 advance for the whole line.",
            )
            .help(
                "describe the part of the line that one feed moves, as one `[feed]`; a line with a \
                 loop cannot be compiled for",
            ),
        );
    }
    feeds.first()
}

/// A shear before the forming zone parts flat strip: said by its `works`, or by where the zone is.
pub(super) fn flat_cut(wire: &wire::Line, line: &Line, found: &mut Found) {
    let said = wire.shear.works.as_ref().filter(|at| at.value == WorksWord::Flat);
    let downstream = line.forming.0 < line.forming.1 && line.forming.1 <= Length::ZERO;
    let (span, label) = match said {
        Some(at) => (at.span, "the shear works on flat strip".to_string()),
        None if downstream => (
            wire.forming.to.span,
            format!("the zone ends at {} mm, downstream of the shear at 0", line.forming.1),
        ),
        None => return,
    };
    found.push(
        Diagnostic::new(&codes::E0343, "the shear cuts flat strip, before it is formed")
            .at(span, label)
            .note(
                "Blanks that are formed one by one stretch and creep each for itself, and stations \
                 behind the rolls find no strip that hangs together: nothing here plans or judges \
                 that.",
            )
            .help("describe a line that forms first and cuts the section, or check the signs"),
    );
}
