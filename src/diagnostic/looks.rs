//! What kind of file a text looks like, for when it is not the kind that was wanted: a page of
//! findings about a file that was merely named in the wrong place helps nobody.

use super::{Diagnostic, codes::files};
use crate::quantity::{FileId, Span};

/// A members file.
pub const MEMBERS: &str = "a members file";
/// Any TOML.
pub const TOML: &str = "a TOML file";

/// Lines that are looked at.
const LINES: usize = 40;

/// What `text` looks like, with an article; `None` where that is not clear.
pub fn looks(text: &str) -> Option<&'static str> {
    if text.contains('\0') {
        return Some("no text at all");
    }
    let lines: Vec<&str> = text
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty() && !line.starts_with('#'))
        .take(LINES)
        .collect();
    let first = *lines.first()?;
    let share = |is: fn(&str) -> bool| lines.iter().filter(|line| is(line)).count() * 5;
    if first.starts_with('<') {
        return Some("XML or a web page");
    }
    if first.starts_with(['{', '[']) && lines.iter().any(|line| line.starts_with('"')) {
        return Some("JSON");
    }
    if lines.iter().any(|line| begins_members(line)) && share(is_entry) < lines.len() * 2 {
        return Some(MEMBERS);
    }
    let header = lines.iter().any(|line| is_header(line));
    if share(|line| is_entry(line) || is_header(line)) >= lines.len() * if header { 2 } else { 3 } {
        return Some(TOML);
    }
    is_csv(&lines).then_some("a table of values (CSV)")
}

/// The one finding about a file of another kind than the one wanted, at its first line.
pub fn wrong_kind(file: FileId, text: &str, looks: &str, wanted: &str) -> Diagnostic {
    let blank = |line: &str| line.trim().is_empty() || line.trim_start().starts_with('#');
    let passed: usize = text.split_inclusive('\n').take_while(|l| blank(l)).map(str::len).sum();
    let start = if passed < text.len() { passed } else { 0 };
    let line = text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or("");
    let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
    let span = Span::new(file, place(start), place(start + line.trim_end().len()));
    Diagnostic::new(&files::E0919, format!("{wanted} is wanted here, and this looks like {looks}"))
        .at(span, "begins like this")
        .note("nothing more is told about it: what it says was not meant for this")
        .help("name the right file where this one is named, or put the right text into it")
}

/// What a file's first bytes say it is, for bytes that are no text.
pub(super) fn begins_like(bytes: &[u8]) -> Option<&'static str> {
    Some(match bytes {
        [b'P', b'K', 3, 4, ..] => "a spreadsheet or another zip archive",
        [b'%', b'P', b'D', b'F', ..] => "a PDF",
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => "UTF-16 text",
        [0x89, b'P', b'N', b'G', ..] | [0xff, 0xd8, ..] => "a picture",
        [0x1f, 0x8b, ..] => "a gzip archive",
        [0x7f, b'E', b'L', b'F', ..] | [b'M', b'Z', ..] => "a program",
        _ => return None,
    })
}

/// First words of a members file's statements that are the key of no TOML file.
const OPENERS: [&str; 8] = ["job", "include", "recipe", "group", "frame", "member", "units", "let"];

/// `job KP07`, `frame N1 wall`, `include "…"`: two words side by side, the first of a statement.
fn begins_members(line: &str) -> bool {
    let mut words = line.split_whitespace();
    let first = words.next().unwrap_or("");
    OPENERS.contains(&first) && words.next().is_some_and(|second| !second.starts_with('='))
}

/// `[feed]`, `[[station.tool]]`.
fn is_header(line: &str) -> bool {
    line.starts_with('[') && line.ends_with(']') && !line.contains(['"', ',', ' '])
}

/// `key = value`, with one word for a key.
fn is_entry(line: &str) -> bool {
    let Some((key, value)) = line.split_once('=') else { return false };
    let key = key.trim().trim_matches('"');
    let word = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    !key.is_empty() && !OPENERS.contains(&key) && key.chars().all(word) && !value.starts_with('=')
}

/// Some lines, each with the same separator equally often, and no block.
fn is_csv(lines: &[&str]) -> bool {
    let [first, second, rest @ ..] = lines else { return false };
    [',', ';', '\t'].iter().any(|&separator| {
        let count = |line: &str| line.matches(separator).count();
        let plain = |line: &&str| !line.contains(['{', '}', '(', '[', '=']);
        count(first) > 0
            && count(first) == count(second)
            && rest.iter().filter(|line| count(line) == count(first)).count() * 2 >= rest.len()
            && lines.iter().all(plain)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_of_text_are_told_apart() {
        for (text, kind) in [
            ("job J1 \"x\"\n\nframe N1 wall {\n  member S1 stud length 2400\n}\n", Some(MEMBERS)),
            ("# shared\nlet a = 2\nlet b = 3\n", Some(MEMBERS)),
            ("# rack\n\n[[coil]]\nid = \"K-1\"\nlength = \"86 m\"\n", Some(TOML)),
            ("name = \"a\"\njobs = [\n  \"a.members\",\n]\nkeep = 1\nshift = 2\n", Some(TOML)),
            ("mark,length,qty\nS1,2400,3\nS2,1200,1\n", Some("a table of values (CSV)")),
            ("mark;length\nS1;2400\n", Some("a table of values (CSV)")),
            ("{\n  \"a\": 1\n}\n", Some("JSON")),
            ("<?xml version=\"1.0\"?>\n<a/>\n", Some("XML or a web page")),
            ("\u{7f}ELF\0\0\u{1}", Some("no text at all")),
            ("Dear all,\nplease find the studs below.\n", None),
            ("", None),
            ("# nothing\n", None),
        ] {
            assert_eq!(looks(text), kind, "{text}");
        }
    }
}
