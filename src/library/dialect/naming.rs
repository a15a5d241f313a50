//! What the files of programs are called.

use super::Meaning;
use super::wire::{FilesTable, LettersWord};
use crate::diagnostic::{Diagnostic, codes::dialect as e};
use crate::library::model::{FileNaming, Limits, NamePart, NameValue};
use crate::library::reading::{At, one_of};

impl Meaning<'_> {
    pub(super) fn naming(&mut self, table: FilesTable, limits: &Limits) -> Option<FileNaming> {
        let longest = self.limit(table.longest, "how many characters a file's name may have")?;
        let name = self.pattern(&table.name)?;
        let named = FileNaming {
            name,
            ending: match table.ending {
                Some(ending) => Some(self.plain(ending, "an ending")?.into()),
                None => None,
            },
            capitals: table.letters == Some(LettersWord::Capitals),
            longest,
            span: table.name.span,
        };
        let refuse = |why: &str, help: &str| {
            Diagnostic::new(&e::E0722, why).at(table.name.span, "this name").help(help)
        };
        if !named.has(NameValue::Program) && !named.has(NameValue::Run) {
            self.found.push(
                refuse(
                    "the files of a batch would all be called alike",
                    "put `{run}` or `{program}` into the name",
                )
                .note("the second program would lie over the first"),
            );
            return None;
        }
        let splits = [limits.members.is_some(), limits.lines.is_some(), limits.bytes.is_some()];
        if splits.contains(&true) && !named.has(NameValue::Part) && !named.has(NameValue::Program) {
            self.found.push(
                refuse(
                    "the files of a run that is split would all be called alike",
                    "put `{part}` into the name, or leave out the limits of a file",
                )
                .note("the limits on a file split long runs into several"),
            );
            return None;
        }
        Some(named)
    }

    /// `{batch}-{run}`: values in braces, and plain text.
    fn pattern(&mut self, name: &At<String>) -> Option<Vec<NamePart>> {
        let mut refuse = |why: String, help: String| {
            self.found.push(Diagnostic::new(&e::E0722, why).at(name.span, "this name").help(help));
            None
        };
        let mut parts = Vec::new();
        let mut rest = name.value.as_str();
        while !rest.is_empty() {
            let (text, after) = rest.split_once('{').unwrap_or((rest, ""));
            if let Some(bad) = text.chars().find(|&c| !is_plain(c)) {
                return refuse(
                    format!("a file's name cannot hold `{}`", bad.escape_debug()),
                    "use letters, digits, `-` and `_`: every system and memory card takes these"
                        .to_string(),
                );
            }
            if !text.is_empty() {
                parts.push(NamePart::Literal(text.into()));
            }
            if text.len() == rest.len() {
                break;
            }
            let Some((word, behind)) = after.split_once('}') else {
                let help = "write values as `{run}`, with both braces";
                return refuse("a brace is opened and not closed".to_string(), help.to_string());
            };
            let Some(value) = NameValue::ALL.into_iter().find(|value| value.word() == word) else {
                let all = NameValue::ALL.iter().map(|value| value.word());
                return refuse(format!("a run has no `{word}`"), one_of(word, all));
            };
            parts.push(NamePart::Value(value));
            rest = behind;
        }
        Some(parts)
    }

    fn plain(&mut self, text: At<String>, what: &str) -> Option<String> {
        if text.value.is_empty() || !text.value.chars().all(is_plain) {
            self.found.push(
                Diagnostic::new(&e::E0722, format!("`{}` cannot be {what} of a file", text.value))
                    .at(text.span, "not plain")
                    .help("use letters, digits, `-` and `_`, without a point; or leave it out"),
            );
            return None;
        }
        Some(text.value)
    }
}

/// What every system can name a file by.
fn is_plain(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '-' || c == '_'
}
