//! The member language from outside: its specification, its formatter, its bad days.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    missing_docs
)]

mod agreement;
mod bad_input;
mod examples;
mod grammar;
mod listings;
mod printing;
mod random;
mod shape;

use coilwright::language::{Tree, parse};
use coilwright::quantity::FileId;
use std::path::{Path, PathBuf};

pub fn read(text: &str) -> (Tree, Vec<coilwright::diagnostic::Diagnostic>) {
    parse(FileId(0), text)
}

/// Every members file among the fixtures: all of them are right.
pub fn members_files() -> Vec<(PathBuf, String)> {
    let mut files = Vec::new();
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|extension| extension == "members") {
                let text = std::fs::read_to_string(&path).unwrap();
                files.push((path, text));
            }
        }
    }
    files.sort();
    assert!(files.len() >= 6, "six realistic files at least");
    files
}

/// The findings of a text, one a line: `E0106 3:14-19 message | help`.
pub fn listing(text: &str) -> String {
    let source = coilwright::quantity::SourceFile::new("test", text);
    let mut lines = String::new();
    for finding in read(text).1 {
        let span = finding.span().expect("every finding of the parser has a place");
        let (from, to) = (source.position(span.start), source.position(span.end));
        lines += &format!(
            "{} {}:{}-{} {} | {}\n",
            finding.code.number,
            from.line,
            from.column,
            to.column.saturating_sub(1),
            finding.message,
            finding.help.as_deref().expect("every finding says what to write"),
        );
    }
    lines
}
