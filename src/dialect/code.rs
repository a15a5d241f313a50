//! Codes: tools and yes/no words, one to one with what is written.

use super::text::{shown, unwritable};
use crate::diagnostic::{Diagnostic, closest, codes::dialect as codes};
use crate::library::model::{Characters, Dialect, Line, Tool, ToolCode, ToolNames, TypeCode};
use crate::quantity::Span;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// Some words, each for one index.
#[derive(Clone, Debug)]
pub(super) struct Codes {
    /// By index.
    words: Vec<Box<str>>,
    /// By word: in order of length, then text, so that few words are compared in full.
    sorted: Vec<(Box<str>, u16)>,
    /// Characters of all words: the ASCII ones as bits, and the others.
    ascii: u128,
    beyond: BTreeSet<char>,
    /// Number of characters, where all words have the same.
    width: Option<usize>,
}

impl Codes {
    fn new(words: impl IntoIterator<Item = Box<str>>) -> Codes {
        let words: Vec<Box<str>> = words.into_iter().collect();
        let mut sorted: Vec<(Box<str>, u16)> = words.iter().cloned().zip(0_u16..).collect();
        sorted.sort_by(|(a, _), (b, _)| by_length(a, b));
        let widths: BTreeSet<usize> = words.iter().map(|word| word.chars().count()).collect();
        let letters = || words.iter().flat_map(|word| word.chars());
        Codes {
            ascii: letters().filter_map(bit).fold(0, |bits, bit| bits | bit),
            beyond: letters().filter(|c| !c.is_ascii()).collect(),
            width: widths.first().copied().filter(|_| widths.len() == 1),
            sorted,
            words,
        }
    }

    /// The word of this index.
    pub(super) fn word(&self, index: u16) -> Option<&str> {
        self.words.get(usize::from(index)).map(|word| &**word)
    }
    /// The index of this word.
    pub(super) fn index(&self, word: &str) -> Option<u16> {
        let at = self.sorted.binary_search_by(|(other, _)| by_length(other, word)).ok()?;
        self.sorted.get(at).map(|&(_, index)| index)
    }
    /// All words.
    pub(super) fn words(&self) -> impl Iterator<Item = &str> {
        self.words.iter().map(|word| &**word)
    }
    fn may_hold(&self, character: char) -> bool {
        match bit(character) {
            Some(bit) => self.ascii & bit != 0,
            None => self.beyond.contains(&character),
        }
    }
    /// Whether a word standing without quotes always ends where `next` begins.
    pub(super) fn ends_before(&self, next: &str) -> bool {
        next.chars().next().is_some_and(|first| !self.may_hold(first))
    }
    /// Whether all words have the same width.
    pub(super) fn is_fixed(&self) -> bool {
        self.width.is_some()
    }
    /// How many bytes of `rest` a word takes; `None` where the file ends before a fixed width.
    pub(super) fn extent(&self, rest: &str) -> Option<usize> {
        match self.width {
            None => Some(rest.find(|c| !self.may_hold(c)).unwrap_or(rest.len())),
            Some(0) => Some(0),
            Some(width) => {
                let (last, c) = rest.char_indices().nth(width - 1)?;
                Some(last + c.len_utf8())
            }
        }
    }
}

fn by_length(a: &str, b: &str) -> Ordering {
    a.len().cmp(&b.len()).then_with(|| a.cmp(b))
}

fn bit(character: char) -> Option<u128> {
    character.is_ascii().then(|| 1 << u32::from(character))
}

/// What each tool of the line is called; proved one to one and writable.
pub(super) fn tools(dialect: &Dialect, line: &Line) -> Result<Codes, Vec<Diagnostic>> {
    let entries: Vec<(&str, &str, Span)> = match &dialect.tools {
        ToolNames::Codes(table) => table.iter().map(|e| (&*e.tool, &*e.code, e.span)).collect(),
        ToolNames::Own => line.tools.iter().map(|t| (&*t.name, &*t.name, t.span)).collect(),
        ToolNames::NumbersFrom { first, width } => return numbers(*first, *width, line),
        ToolNames::Types(types) => return by_type(dialect, line, types),
    };
    let mut found = Vec::new();
    let mut by_code: BTreeMap<&str, (&str, Span)> = BTreeMap::new();
    let mut by_tool: BTreeMap<&str, &str> = BTreeMap::new();
    for (tool, code, span) in entries {
        found.extend(check_code(tool, code, span, dialect.characters));
        if let Some((other, first)) = by_code.get(code) {
            found.push(
                Diagnostic::new(
                    &codes::E0711,
                    format!("tools `{other}` and `{tool}` are both written `{code}`"),
                )
                .at(span, "same code again")
                .at(*first, "first used here")
                .note("the program would not say which of them fires")
                .help("give each tool a code of its own"),
            );
        } else if by_tool.contains_key(tool) {
            found.push(
                Diagnostic::new(&codes::E0711, format!("tool `{tool}` has two codes"))
                    .at(span, "second code")
                    .note("the reader would take two spellings for one stroke")
                    .help("keep the one the controller knows"),
            );
        }
        by_code.entry(code).or_insert((tool, span));
        by_tool.entry(tool).or_insert(code);
    }
    let mut words: Vec<Box<str>> = Vec::new();
    for tool in &line.tools {
        match by_tool.get(&*tool.name) {
            Some(code) => words.push((*code).into()),
            None => found.push(without_code(dialect, line, &tool.name, tool.span)),
        }
    }
    if found.is_empty() { Ok(Codes::new(words)) } else { Err(found) }
}

/// Each tool by its place in the line's file, in so many digits.
fn numbers(
    first: u16,
    width: Option<(usize, Span)>,
    line: &Line,
) -> Result<Codes, Vec<Diagnostic>> {
    let numbers: Vec<u32> = (u32::from(first)..).take(line.tools.len()).collect();
    let (digits, span) = width.unzip();
    let digits = digits.unwrap_or(0);
    let last = numbers.last().map(u32::to_string).unwrap_or_default();
    if let Some(span) = span.filter(|_| last.len() > digits) {
        return Err(vec![
            Diagnostic::new(
                &codes::E0713,
                format!(
                    "line `{}` has {} tools, and the number {last} of the last has more than \
                     {digits} digits",
                    line.name,
                    line.tools.len()
                ),
            )
            .at(span, "too few digits")
            .help(format!("write `tool-numbers-width = {}` or more", last.len())),
        ]);
    }
    Ok(Codes::new(numbers.iter().map(|number| format!("{number:0digits$}").into())))
}

/// Each tool by the code of what it makes: proved that no two tools of the line make what one code
/// names, for then the controller chooses, and nobody knows which fires.
fn by_type(dialect: &Dialect, line: &Line, types: &[TypeCode]) -> Result<Codes, Vec<Diagnostic>> {
    let mut found = Vec::new();
    let mut by_code: BTreeMap<&str, &TypeCode> = BTreeMap::new();
    for entry in types {
        found.extend(check_code(&entry.kind, &entry.code, entry.span, dialect.characters));
        if let Some(first) = by_code.insert(&entry.code, entry) {
            found.push(
                Diagnostic::new(
                    &codes::E0711,
                    format!("two features are both written `{}`", entry.code),
                )
                .at(entry.span, "same code again")
                .at(first.span, "first used here")
                .note("the program would not say which of them is made")
                .help("give each a code of its own"),
            );
        }
    }
    let made_as = |tool: &Tool| {
        types.iter().find(|entry| {
            entry.id.is_some_and(|id| tool.makes.kinds.contains(&id))
                && entry.faces.is_none_or(|faces| faces == tool.makes.faces)
        })
    };
    let mut words: Vec<Box<str>> = Vec::new();
    let mut taken: BTreeMap<&str, &Tool> = BTreeMap::new();
    for tool in &line.tools {
        let Some(entry) = made_as(tool).filter(|_| tool.also.is_empty()) else {
            found.push(makes_no_one_type(dialect, line, tool, types));
            continue;
        };
        words.push((*entry.code).into());
        if let Some(other) = taken.insert(&entry.code, tool) {
            found.push(
                Diagnostic::new(
                    &codes::E0711,
                    format!(
                        "tools `{}` and `{}` of line `{}` both make what is written `{}`",
                        other.name, tool.name, line.name, entry.code
                    ),
                )
                .at(entry.span, "this code")
                .at(other.span, "made by this tool")
                .at(tool.span, "and by this one")
                .note(
                    "the controller would choose one of them, and where on the strip it fires, \
                     and into what, would not be proved",
                )
                .help(
                    "give the two an entry for different `faces`, call tools by `[tools]`, or take \
                     one of them out of the line's file",
                ),
            );
        }
    }
    if found.is_empty() { Ok(Codes::new(words)) } else { Err(found) }
}

/// Names in the description that this line has no tool for: told, and no fault, for one
/// description may serve several lines.
pub(super) fn strays(dialect: &Dialect, line: &Line) -> Vec<Diagnostic> {
    let stray = |message: String, span: Span, help: String| {
        Diagnostic::new(&codes::N0723, message).at(span, "not on this line").help(help)
    };
    match &dialect.tools {
        ToolNames::Codes(table) => {
            let is_there = |name: &str| line.tools.iter().any(|tool| &*tool.name == name);
            let strays = table.iter().filter(|entry| !is_there(&entry.tool));
            let told = strays.map(|entry| {
                let near = closest(&entry.tool, line.tools.iter().map(|tool| &*tool.name));
                stray(
                    format!("line `{}` has no tool `{}`", line.name, entry.tool),
                    entry.span,
                    match near {
                        Some(near) => {
                            format!("did you mean `{near}`? Else leave it: nothing calls it")
                        }
                        None => "leave it where another line has that tool: nothing calls it here"
                            .to_string(),
                    },
                )
            });
            told.collect()
        }
        ToolNames::Types(types) => {
            let is_made = |entry: &&TypeCode| {
                line.tools.iter().any(|tool| {
                    entry.id.is_some_and(|id| tool.makes.kinds.contains(&id))
                        && entry.faces.is_none_or(|faces| faces == tool.makes.faces)
                })
            };
            let strays = types.iter().filter(|entry| !is_made(entry));
            let told = strays.map(|entry| {
                stray(
                    format!("no tool of line `{}` makes `{}` there", line.name, entry.kind),
                    entry.span,
                    "leave it where another line makes that: nothing asks for it here".to_string(),
                )
            });
            told.collect()
        }
        ToolNames::Own | ToolNames::NumbersFrom { .. } => Vec::new(),
    }
}

fn makes_no_one_type(
    dialect: &Dialect,
    line: &Line,
    tool: &Tool,
    types: &[TypeCode],
) -> Diagnostic {
    let (label, help) = if tool.also.is_empty() {
        ("this tool", "add a `[[feature]]` for what it makes, with its code")
    } else {
        (
            "this tool makes several features in one stroke",
            "call tools by `[tools]`: a code of one feature cannot ask for such a stroke",
        )
    };
    Diagnostic::new(
        &codes::E0712,
        format!(
            "dialect `{}` has no code for what tool `{}` of line `{}` makes",
            dialect.name, tool.name, line.name
        ),
    )
    .at(types.first().map_or(dialect.span, |entry| entry.span), "these features have codes")
    .at(tool.span, label)
    .note("a member that needs it could be planned but not written")
    .help(help)
}

/// The two words of a choice: index 1 for yes.
pub(super) fn choice(
    yes: &str,
    no: &str,
    span: Span,
    characters: Characters,
) -> Result<Codes, Vec<Diagnostic>> {
    let mut found = Vec::new();
    for word in [no, yes] {
        found.extend(check_code(word, word, span, characters));
    }
    if yes == no {
        found.push(
            Diagnostic::new(&codes::E0711, format!("yes and no are both written `{yes}`"))
                .at(span, "same word")
                .note("the program would not say whether the strip is already threaded")
                .help("write two different words"),
        );
    }
    if found.is_empty() { Ok(Codes::new([no.into(), yes.into()])) } else { Err(found) }
}

fn check_code(what: &str, code: &str, span: Span, characters: Characters) -> Option<Diagnostic> {
    if code.is_empty() {
        return Some(
            Diagnostic::new(&codes::E0713, format!("the code of `{what}` is empty"))
                .at(span, "nothing would be written")
                .help("write what the controller calls it"),
        );
    }
    let bad = unwritable(code, characters, false)?;
    Some(
        Diagnostic::new(&codes::E0713, format!("the code `{code}` holds {}", shown(bad)))
            .at(span, "cannot be written")
            .help(format!("use characters of {} only, without line ends", characters.word())),
    )
}

fn without_code(dialect: &Dialect, line: &Line, tool: &str, tool_span: Span) -> Diagnostic {
    let table: &[ToolCode] = match &dialect.tools {
        ToolNames::Codes(table) => table,
        ToolNames::Own | ToolNames::NumbersFrom { .. } | ToolNames::Types(_) => &[],
    };
    // Names in the table that no tool of the line has: one of them may be a slip.
    let strays = table
        .iter()
        .map(|entry| &*entry.tool)
        .filter(|name| !line.tools.iter().any(|tool| &*tool.name == *name));
    let help = match closest(tool, strays) {
        Some(stray) => format!("the dialect has a code for `{stray}`: did you mean `{tool}`?"),
        None => format!("add `\"{tool}\" = \"...\"` to `[tools]`"),
    };
    let list = table.first().map(|entry| entry.span);
    Diagnostic::new(
        &codes::E0712,
        format!("dialect `{}` has no code for tool `{tool}` of line `{}`", dialect.name, line.name),
    )
    .at(list.unwrap_or(dialect.span), "this list has no code for it")
    .at(tool_span, "this tool")
    .note("a member that needs it could be planned but not written")
    .help(help)
}
