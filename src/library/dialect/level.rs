//! How much a controller is told, and what it is taken to do with it.

use super::Meaning;
use super::wire::{ControllerTable, LevelWord, OffsetsWord, SnappingWord, TiesWord};
use crate::diagnostic::{Diagnostic, codes::dialect as e, codes::library::E0306};
use crate::library::model::{
    Controller, Dialect, Level, Library, Offsets, Scope, Snapping, Ties, ToolNames,
};
use crate::library::reading::{At, one_of};
use crate::quantity::{Length, Span};

/// Farthest that strokes are merged: beyond it the model merges what nobody would.
const FARTHEST_MERGED: Length = Length::from_mm(100);

impl Meaning<'_> {
    pub(super) fn level(
        &mut self,
        level: &At<LevelWord>,
        controller: &Option<ControllerTable>,
    ) -> Option<Level> {
        match (level.value, controller) {
            (LevelWord::Stop, None) => Some(Level::Stop),
            (LevelWord::Member, Some(table)) => Some(Level::Member(self.controller(table)?)),
            (LevelWord::Member, None) => {
                self.found.push(
                    Diagnostic::new(&e::E0701, "this controller is told members, and no `[controller]` says what it does with them")
                        .at(level.span, "what does it do with members?")
                        .note(
                            "what can be proved about such a program depends on a model of the \
                             controller",
                        )
                        .help(
                            "add a table `[controller]` with `offsets`, `snapping` and `ties`, or \
                             write `level = \"stop\"` and describe the controller's stop list",
                        ),
                );
                None
            }
            (LevelWord::Stop, Some(table)) => {
                self.found.push(
                    Diagnostic::new(
                        &e::E0701,
                        "a dialect at stop level says what its controller does with members",
                    )
                    .at(table.span, "it is given no members")
                    .at(level.span, "every stop is told")
                    .note("a stop list leaves the controller nothing to decide")
                    .help("leave the table out, or write `level = \"member\"`"),
                );
                None
            }
        }
    }

    fn controller(&mut self, table: &ControllerTable) -> Option<Controller> {
        let merges = match &table.merges_within {
            None => Length::ZERO,
            Some(At { value, span }) if *value < Length::ZERO || *value > FARTHEST_MERGED => {
                self.found.push(
                    Diagnostic::new(&E0306, format!("`merges-within` is {value} mm"))
                        .at(*span, "out of range")
                        .help(format!(
                            "write 0 to {FARTHEST_MERGED} mm: how far apart strokes are due that \
                             the controller does at one stop"
                        )),
                );
                return None;
            }
            Some(At { value, .. }) => *value,
        };
        Some(Controller {
            offsets: match table.offsets {
                OffsetsWord::Controller => Offsets::Controller,
                OffsetsWord::Program => Offsets::Program,
            },
            merges,
            ties: match table.ties {
                TiesWord::Together => Ties::Together,
                TiesWord::Listed => Ties::Listed,
            },
            snapping: match table.snapping {
                SnappingWord::Nearest => Snapping::Nearest,
                SnappingWord::Down => Snapping::Down,
            },
            span: table.span,
        })
    }
}

/// A record that programs of this level have no place for.
pub(super) fn of_another_level(scope: Scope, level: &Level, span: Span) -> Diagnostic {
    let (told, instead) = match level {
        Level::Stop => (
            "every stop and every stroke",
            "describe `stop`, `stroke`, `cut-piece`, `cut-scrap`, `mark`; or write \
             `level = \"member\"` and a table `[controller]`",
        ),
        Level::Member(_) => (
            "members and what is made on them",
            "describe `member`, `feature`, and where it is needed `scrap` and `mark`; or write \
             `level = \"stop\"`",
        ),
    };
    Diagnostic::new(
        &e::E0701,
        format!("record `{scope}` is not of a dialect at {} level", level.word()),
    )
    .at(span, "of the other level")
    .note(format!("at this level the controller is told {told}"))
    .help(instead)
}

/// Looks up in the library the feature types that a dialect calls tools by.
pub fn name_types(dialect: &mut Dialect, library: &Library) -> Vec<Diagnostic> {
    let ToolNames::Types(types) = &mut dialect.tools else { return Vec::new() };
    let mut found = Vec::new();
    for code in types {
        code.id = library.feature_named(&code.kind).map(|(id, _)| id);
        if code.id.is_none() {
            let all = library.features.iter().map(|kind| &*kind.name);
            found.push(
                Diagnostic::new(
                    &crate::diagnostic::codes::library::E0309,
                    format!("there is no feature type `{}`", code.kind),
                )
                .at(code.span, "not declared anywhere")
                .help(one_of(&code.kind, all)),
            );
        }
    }
    found
}
