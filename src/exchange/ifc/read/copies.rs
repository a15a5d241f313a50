//! Members that are drawn twice where one is meant.

use super::{Reader, numbers};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::ifc::fixed::{Axes, rounded};

/// What places are rounded to before they are compared, in nanometres: a copy that was left in its
/// original has its very place.
const SAME_PLACE: i128 = 1_000_000;

impl Reader<'_, '_> {
    /// Keeps what would tell that a member is drawn twice: its identifier and its place.
    pub(super) fn remember(&mut self, id: u64, identifier: String, mark: &str, frame: &Axes) {
        if let Some(&first) = self.identifiers.get(&identifier) {
            self.drawn_twice.push((first, id));
            return;
        }
        self.identifiers.insert(identifier, id);
        let at = frame.origin;
        let at = [at.0, at.1, at.2].map(|part| rounded(part, SAME_PLACE));
        match self.places.get(&(mark.to_string(), at)) {
            Some(&first) => self.drawn_twice.push((first, id)),
            None => {
                self.places.insert((mark.to_string(), at), id);
            }
        }
    }

    /// Tells of members that bear the identifier of another, or lie in another of their mark.
    pub(super) fn tell_copies(&mut self) {
        let Some(&(first, again)) = self.drawn_twice.first() else { return };
        let copies: Vec<u64> = self.drawn_twice.iter().map(|(_, id)| *id).collect();
        let s = if copies.len() == 1 { " is" } else { "s are" };
        self.found.push(
            Diagnostic::new(
                &codes::W1157,
                format!(
                    "{} member{s} drawn twice, in one place or under one identifier: {}",
                    copies.len(),
                    numbers(&copies)
                ),
            )
            .at(self.model.step.place(again), "again")
            .at(self.model.step.place(first), "first")
            .note("each is counted as a piece to make")
            .help(
                "see whether both are wanted; if not, delete one in the drawing and export again",
            ),
        );
    }
}
