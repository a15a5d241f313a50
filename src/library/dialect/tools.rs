//! What a description calls the tools of a line.

use super::Meaning;
use super::wire::TypeTable;
use crate::diagnostic::{Diagnostic, codes, codes::dialect as e};
use crate::library::common::faces;
use crate::library::model::{ToolCode, ToolNames, TypeCode};
use crate::library::reading::{At, Entries, Figure};
use crate::quantity::Span;

impl Meaning<'_> {
    pub(super) fn tool_names(
        &mut self,
        table: Option<Entries<At<String>>>,
        numbers_from: Option<At<Figure>>,
        width: Option<At<Figure>>,
        types: Option<Vec<TypeTable>>,
    ) -> Option<ToolNames> {
        let types = types.filter(|types| !types.is_empty());
        if let (None, Some(width)) = (&numbers_from, &width) {
            self.found.push(
                Diagnostic::new(
                    &codes::library::E0303,
                    "`tool-numbers-width` stands without `tool-numbers-from`",
                )
                .at(width.span, "of which numbers?")
                .help("add `tool-numbers-from = 1`, or leave the width out: codes in `[tools]` are written as they are"),
            );
            return None;
        }
        let second = match (&table, &numbers_from, &types) {
            (Some(_), Some(At { span, .. }), _) => Some(*span),
            (Some(_), _, Some(types)) | (_, Some(_), Some(types)) => {
                types.first().map(|table| table.span)
            }
            _ => None,
        };
        if let Some(span) = second {
            self.found.push(
                Diagnostic::new(&e::E0720, "tools are named in two ways")
                    .at(span, "the second one")
                    .note("the program would not say which tool a code means")
                    .help("keep one of the table `[tools]`, `tool-numbers-from` and `[[feature]]`"),
            );
            return None;
        }
        if let Some(types) = types {
            return Some(ToolNames::Types(self.types(types)));
        }
        if let Some(Entries(tools)) = table {
            let code = |(tool, code): (At<String>, At<String>)| ToolCode {
                tool: tool.value.into(),
                code: code.value.into(),
                span: tool.span.to(code.span),
            };
            return Some(ToolNames::Codes(tools.into_iter().map(code).collect()));
        }
        let Some(At { value, span }) = numbers_from else { return Some(ToolNames::Own) };
        let width = self.tool_width(width)?;
        match u16::try_from(value) {
            Ok(first @ ..10_000) => Some(ToolNames::NumbersFrom { first, width }),
            _ => {
                self.found.push(
                    Diagnostic::new(
                        &codes::library::E0306,
                        format!("tools cannot be numbered from {value}"),
                    )
                    .at(span, "impossible")
                    .help("write a number from 0 to 9999"),
                );
                None
            }
        }
    }

    /// How many digits the number of a tool has.
    fn tool_width(&mut self, width: Option<At<Figure>>) -> Option<Option<(usize, Span)>> {
        let Some(At { value, span }) = width else { return Some(None) };
        match usize::try_from(value) {
            Ok(digits @ 1..=9) => Some(Some((digits, span))),
            _ => {
                self.found.push(
                    Diagnostic::new(
                        &codes::library::E0306,
                        format!("the number of a tool cannot have {value} digits"),
                    )
                    .at(span, "impossible")
                    .help("write a number from 1 to 9, or leave it out"),
                );
                None
            }
        }
    }

    fn types(&mut self, tables: Vec<TypeTable>) -> Vec<TypeCode> {
        let one = |table: TypeTable| {
            let on = table.faces.map(|list| faces(self.found, "faces", &list));
            TypeCode {
                span: table.name.span,
                kind: table.name.value.into(),
                id: None,
                faces: on,
                code: table.code.value.into(),
            }
        };
        tables.into_iter().map(one).collect()
    }
}
