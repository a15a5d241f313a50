//! The house rules, held by a test: which room may import which, who may touch the world, how
//! long a file may be, and that nothing here knows the machine it was written on.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, missing_docs)]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// Longest file without a reason in its first comment.
const LONGEST: usize = 800;

/// Rooms in the order of the pipeline, each with what it may import. A path names the room and
/// everything in it. A room may import only from above: that is checked of this table itself.
const ROOMS: &[(&str, &[&str])] = &[
    ("quantity", &[]),
    ("diagnostic", &["quantity"]),
    ("member::model", &["quantity"]),
    ("member::hash", &["quantity", "member::model"]),
    ("library", &["quantity", "diagnostic", "member::model"]),
    // The tree speaks of faces, ends and usages in the words of the model.
    ("language", &["quantity", "diagnostic", "member::model"]),
    ("member::resolve", &["quantity", "diagnostic", "member::model", "library", "language"]),
    ("check", &["quantity", "diagnostic", "member::model", "member::resolve", "library"]),
    ("exchange", &["quantity", "diagnostic", "member::model", "library", "language"]),
    ("tooling", &["quantity", "diagnostic", "member::model", "library"]),
    ("program", &["quantity", "library"]),
    ("nest", &["quantity", "diagnostic", "member::model", "library", "tooling", "program"]),
    (
        "sequence",
        &[
            "quantity",
            "diagnostic",
            "member::model",
            "library",
            "tooling",
            "program",
            "nest::solution",
            // The fullest subset of lengths: nesting fills coils with it, sequencing the room
            // before a defect.
            "nest::fill",
        ],
    ),
    ("dialect", &["quantity", "diagnostic", "library", "program"]),
    ("replay", &["quantity", "diagnostic", "member::model", "library", "program"]),
    ("proof", &["quantity"]),
    ("calibrate", &["quantity", "diagnostic", "member::model", "library", "program"]),
    ("halt", &["quantity", "library", "program", "replay"]),
    (
        "plan",
        &[
            "quantity",
            "diagnostic",
            "member",
            "library",
            "language",
            "check",
            "tooling",
            "program",
            "nest",
            "sequence",
            "dialect",
            "replay",
            "proof",
        ],
    ),
    (
        "report",
        &["quantity", "diagnostic", "member::model", "member::hash", "library", "program", "plan"],
    ),
    (
        "estimate",
        &["quantity", "diagnostic", "member::model", "library", "program", "plan", "report"],
    ),
    ("revision", &["quantity", "member::model", "library", "report"]),
    ("ledger", &["quantity", "library"]),
    (
        "cli",
        &[
            "quantity",
            "diagnostic",
            "member",
            "library",
            "language",
            "check",
            "tooling",
            "program",
            "nest",
            "sequence",
            "dialect",
            "replay",
            "proof",
            "plan",
            "report",
            "estimate",
            "ledger",
            "calibrate",
            "exchange",
            "halt",
            "revision",
        ],
    ),
];

/// What touches the world; only `cli` and `ledger` may name it.
const WORLD: &[&str] = &[
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
    "std::time::Instant",
    "std::time::SystemTime",
    "std::thread::spawn",
    "std::io::stdin",
    "std::io::stdout",
    "std::io::stderr",
    "println!",
    "print!",
    "thread_rng",
    "RandomState",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every file below `folder`, by path from the root, parted by `/`.
fn files(folder: &str) -> Vec<(String, PathBuf)> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for entry in entries {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(root()).unwrap().to_str().unwrap().replace('\\', "/");
                found.push((name, path));
            }
        }
    }
    found.sort();
    found
}

/// Rust sources of the crate with their text.
fn sources() -> Vec<(String, String)> {
    let sources: Vec<_> = files("src")
        .into_iter()
        .filter(|(name, _)| name.ends_with(".rs"))
        .map(|(name, path)| (name, std::fs::read_to_string(path).unwrap()))
        .collect();
    assert!(sources.len() > 20, "the sources were not found");
    sources
}

/// Text without comments and without what stands in quotes, line for line.
fn code_only(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        if rest.starts_with("//") {
            rest = rest.find('\n').map_or("", |end| &rest[end..]);
        } else if rest.starts_with("/*") {
            let end = rest.find("*/").map_or(rest.len(), |end| end + 2);
            out.extend(rest[..end].chars().filter(|&c| c == '\n'));
            rest = &rest[end..];
        } else if let Some((open, close)) = raw_string(rest) {
            let end = rest[open..].find(&close).map_or(rest.len(), |at| open + at + close.len());
            out.extend(rest[..end].chars().filter(|&c| c == '\n'));
            rest = &rest[end..];
        } else if c == '"' {
            let mut end = rest.len();
            let mut escaped = false;
            for (at, c) in rest.char_indices().skip(1) {
                if !escaped && c == '"' {
                    end = at + 1;
                    break;
                }
                escaped = !escaped && c == '\\';
            }
            out.extend(rest[..end].chars().filter(|&c| c == '\n'));
            rest = &rest[end..];
        } else if rest.starts_with("'\"'") {
            rest = &rest[3..];
        } else if rest.starts_with("'\\\"'") || rest.starts_with("'\\\\'") {
            rest = &rest[4..];
        } else {
            out.push(c);
            rest = &rest[c.len_utf8()..];
        }
    }
    out
}

/// Length of a raw string's opening, and its closing.
fn raw_string(text: &str) -> Option<(usize, String)> {
    let after = text.strip_prefix("br").or_else(|| text.strip_prefix('r'))?;
    let hashes = after.len() - after.trim_start_matches('#').len();
    after[hashes..].starts_with('"').then(|| {
        let open = text.len() - after.len() + hashes + 1;
        (open, format!("\"{}", "#".repeat(hashes)))
    })
}

/// Modules of tests may look further than the room they test.
fn without_tests(code: &str) -> &str {
    code.find("#[cfg(test)]").map_or(code, |at| &code[..at])
}

/// Every path from the crate's root that the text of module `here` names: `crate::a::b::C` as
/// `a::b::C`, `super::` resolved, braces spelled out.
fn imports(code: &str, here: &str) -> Vec<String> {
    let mut found = Vec::new();
    for word in ["crate::", "super::"] {
        for (at, _) in code.match_indices(word) {
            let before = code[..at].chars().next_back();
            // A second `super` belongs to the first.
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '$' || c == ':') {
                continue;
            }
            let mut prefix = String::new();
            let mut tail = &code[at + word.len()..];
            if word == "super::" {
                let mut parts: Vec<&str> = here.split("::").collect();
                parts.pop();
                while let Some(more) = tail.strip_prefix("super::") {
                    parts.pop();
                    tail = more;
                }
                prefix = parts.join("::");
            }
            path(tail, prefix, &mut found);
        }
    }
    found
}

/// Reads one path, or a braced list of them, after `prefix`; gives what is left.
fn path<'a>(text: &'a str, prefix: String, found: &mut Vec<String>) -> &'a str {
    let text = text.trim_start();
    if let Some(mut rest) = text.strip_prefix('{') {
        loop {
            rest = path(rest, prefix.clone(), found).trim_start();
            // `as` gives another name to what was already taken.
            if let Some(renamed) = rest.strip_prefix("as ") {
                let renamed = renamed.trim_start();
                let end = renamed.find(|c: char| !c.is_alphanumeric() && c != '_');
                rest = end.map_or("", |end| &renamed[end..]).trim_start();
            }
            match rest.strip_prefix(',') {
                Some(more) if !more.trim_start().starts_with('}') => rest = more,
                Some(more) => return more.trim_start().strip_prefix('}').unwrap_or(more),
                None => return rest.strip_prefix('}').unwrap_or(rest),
            }
        }
    }
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_' && c != '*');
    let (word, rest) = text.split_at(end.unwrap_or(text.len()));
    let joined = if prefix.is_empty() { word.to_string() } else { format!("{prefix}::{word}") };
    match rest.strip_prefix("::") {
        Some(more) if !more.starts_with('<') => path(more, joined, found),
        _ => {
            found.push(joined);
            rest
        }
    }
}

/// The room a file or a path lies in: the longest that fits.
fn room(path: &str) -> Option<&'static str> {
    ROOMS
        .iter()
        .map(|&(room, _)| room)
        .filter(|room| within(path, room))
        .max_by_key(|room| room.len())
}

/// Whether a path is `room` or something in it.
fn within(path: &str, room: &str) -> bool {
    path.strip_prefix(room).is_some_and(|rest| rest.is_empty() || rest.starts_with("::"))
}

/// `src/member/resolve/names.rs` as `member::resolve::names`.
fn module(file: &str) -> String {
    file.trim_start_matches("src/")
        .trim_end_matches(".rs")
        .trim_end_matches("/mod")
        .replace('/', "::")
}

#[test]
fn the_table_itself_runs_down_the_list() {
    for (at, (room, allowed)) in ROOMS.iter().enumerate() {
        for import in *allowed {
            let above =
                ROOMS[..at].iter().any(|(above, _)| within(import, above) || within(above, import));
            assert!(above, "{room} may not import {import}: it does not stand above it");
        }
    }
}

#[test]
fn rooms_import_only_what_stands_above_them() {
    let mut wrong = Vec::new();
    let mut seen = 0;
    for (file, text) in sources() {
        let here = module(&file);
        // The crate's page and the room that only lists two others hold no code.
        if ["lib", "main", "member"].contains(&here.as_str()) {
            continue;
        }
        let Some((home, allowed)) = ROOMS.iter().find(|(name, _)| Some(*name) == room(&here))
        else {
            wrong.push(format!("{file}: no room of this name in the table"));
            continue;
        };
        for import in imports(without_tests(&code_only(&text)), &here) {
            seen += 1;
            if !within(&import, home) && !allowed.iter().any(|room| within(&import, room)) {
                wrong.push(format!("{file}: {home} must not import {import}"));
            }
        }
    }
    assert!(seen > 20, "only {seen} imports were found: the reader of this test is broken");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A command that does not do what it was asked for leaves by `Console::refuse`, which never ends
/// clean: what was read as nothing cannot pass for done.
#[test]
fn no_command_ends_early_without_a_reason() {
    let (mut told, mut wrong) = (0, Vec::new());
    for (file, text) in sources().iter().filter(|(file, _)| file.starts_with("src/cli/")) {
        let code = code_only(text);
        for (number, line) in without_tests(&code).lines().enumerate() {
            told += usize::from(line.contains(".refuse("));
            if line.contains(".tell(")
                && ["return ", "Err(", "None"].iter().any(|w| line.contains(w))
            {
                wrong.push(format!("{file}:{}: use `refuse`", number + 1));
            }
        }
    }
    assert!(told > 40, "only {told} refusals were found: the reader of this test is broken");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn only_cli_and_ledger_touch_the_world() {
    let mut wrong = Vec::new();
    for (file, text) in sources() {
        let here = module(&file);
        if ["main", "cli", "ledger"].iter().any(|room| within(&here, room)) {
            continue;
        }
        let code = code_only(&text);
        for (number, line) in without_tests(&code).lines().enumerate() {
            for name in WORLD {
                if line.contains(name) {
                    wrong.push(format!("{file}:{}: {name}", number + 1));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_long_file_says_why() {
    let mut wrong = Vec::new();
    let tests = files("tests").into_iter().chain(files("benches"));
    let tests = tests.filter(|(name, _)| name.ends_with(".rs"));
    let tests = tests.map(|(name, path)| (name, std::fs::read_to_string(path).unwrap()));
    for (file, text) in sources().into_iter().chain(tests) {
        let lines = text.lines().count();
        let first: String =
            text.lines().take_while(|line| line.starts_with("//")).collect::<Vec<_>>().join(" ");
        if lines > LONGEST && !first.contains("Long because") {
            wrong.push(format!(
                "{file}: {lines} lines; split it, or begin it with a comment `Long because …`"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn nothing_knows_the_machine_it_was_written_on() {
    let mut wrong = Vec::new();
    let mut named: Vec<(String, PathBuf)> = ["src", "tests", "fixtures", "grammar", "benches"]
        .iter()
        .flat_map(|folder| files(folder))
        .collect();
    for entry in std::fs::read_dir(root()).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() && !path.ends_with(".git") {
            named.push((path.file_name().unwrap().to_string_lossy().to_string(), path));
        }
    }
    let personal: BTreeSet<String> =
        ["work", "root", "tmp", "home"].iter().map(|top| format!("/{top}/")).collect();
    for (file, path) in named {
        let Ok(text) = std::fs::read_to_string(path) else { continue };
        for (number, line) in text.lines().enumerate() {
            for top in &personal {
                let known = line.match_indices(top.as_str()).any(|(at, _)| {
                    let begins = line[..at]
                        .chars()
                        .next_back()
                        .is_none_or(|c| !c.is_alphanumeric() && !"._-/}>".contains(c));
                    // A made-up single name in a test of paths is nobody's folder.
                    let name = |c: char| c.is_alphanumeric() || "._-".contains(c);
                    let deeper = line[at + top.len()..].trim_start_matches(name).starts_with('/');
                    begins && deeper
                });
                if known {
                    wrong.push(format!("{file}:{}: {}", number + 1, line.trim()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_reader_of_this_test_finds_what_it_looks_for() {
    let code = code_only(
        "use crate::a::{b, c::{D, self}, e as f}; // crate::not\n\
         let x = \"crate::not\"; let y = crate::g::h(r#\"crate::not\"#);\n\
         use super::super::i::J; use super::{k, l::M};\n\
         #[cfg(test)] mod tests { use crate::z; }",
    );
    let found = imports(without_tests(&code), "x::y::z");
    let expected =
        ["a::b", "a::c::D", "a::c::self", "a::e", "g::h", "x::i::J", "x::y::k", "x::y::l::M"];
    assert_eq!(found, expected);
    assert_eq!(room("member::resolve::names"), Some("member::resolve"));
    assert_eq!(room("nesting"), None);
    assert_eq!(module("src/member/model.rs"), "member::model");
    assert_eq!(module("src/cli/mod.rs"), "cli");
}
