//! Reading TOML so that every mistake is told at once, each at its line and column.
//!
//! A derived deserialiser stops at the first mistake and knows no place of a missing key. Here the
//! spanned TOML tree is read by wire types declared with [`wire!`] and [`words!`]: one declaration
//! gives the type, its reader and its JSON Schema, so the three cannot drift apart. Wire types
//! hold what a file says; `model` holds what it means.

mod leaf;
mod quantity;
mod table;

use crate::diagnostic::{Diagnostic, TOML, closest, codes::library as codes, looks, wrong_kind};
use crate::quantity::{FileId, Sources, Span};
use ::toml::de::{DeTable, DeValue};
use std::ops::Range;

pub use leaf::{
    Acceleration, Amount, At, CoatingMass, Entries, Figure, Force, Fraction, Incline, Jerk,
    OneOrMany, PartsPerBillion, Speed,
};
pub use quantity::{Fault, decimal, length as length_text};
pub use table::Table;
pub(crate) use table::{wire, words};

/// A value of the TOML tree with its place.
pub type Node<'a> = ::toml::Spanned<DeValue<'a>>;

/// Something that can be read from a TOML value.
pub trait Wire: Sized {
    /// Reads `node`, which stands at `key`. Every mistake is reported to `reader`; `None` means
    /// that at least one was.
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<Self>;
    /// What is wanted, with an article: for messages.
    fn expected() -> &'static str;
    /// The keys of its table, in field spelling; none where it is no table.
    fn keys() -> &'static [&'static str] {
        &[]
    }
    /// The value where the key is not written; `None` where it has to be.
    fn absent() -> Option<Self> {
        None
    }
}

/// What was found while reading one file.
#[derive(Debug)]
pub struct Reader<'t> {
    file: FileId,
    text: &'t str,
    /// Keys of the file's outer level, in field spelling.
    top: &'static [&'static str],
    /// Those that were found below a table's header: they are not told to be missing as well.
    below: Vec<String>,
    found: Vec<Diagnostic>,
}

impl<'t> Reader<'t> {
    /// A reader of this file's text.
    pub fn new(file: FileId, text: &'t str) -> Reader<'t> {
        Reader { file, text, top: &[], below: Vec::new(), found: Vec::new() }
    }
    /// Whether this is a key of the file's outer level.
    pub fn is_outer(&self, key: &str) -> bool {
        self.top.iter().any(|name| name.replace('_', "-") == key)
    }
    /// A byte range of the file as a place.
    pub fn span(&self, range: Range<usize>) -> Span {
        let place = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Span::new(self.file, place(range.start), place(range.end))
    }
    /// The text in a byte range.
    pub fn text(&self, range: Range<usize>) -> &'t str {
        self.text.get(range).unwrap_or("")
    }
    /// Adds a finding.
    pub fn report(&mut self, diagnostic: Diagnostic) {
        self.found.push(diagnostic);
    }
    /// Reports that another kind of value is needed; always `None`.
    pub fn wrong_kind<T>(&mut self, node: &Node<'_>, key: &str, expected: &str) -> Option<T> {
        let found = kind_of(node.get_ref());
        let span = self.span(node.span());
        self.report(
            Diagnostic::new(&codes::E0304, format!("{key} must be {expected}, not {found}"))
                .at(span, format!("this is {found}"))
                .help(format!("write {expected}")),
        );
        None
    }
    /// Notes that a key of the outer level stands below a table's header.
    pub fn stands_below(&mut self, key: &str) {
        self.below.push(key.to_string());
    }
    /// Takes back that the whole file lacks a key which stands below a table's header.
    fn take_back_missing(&mut self, root: Span) {
        let below: Vec<String> =
            self.below.iter().map(|key| format!("`{key}` is missing")).collect();
        self.found.retain(|found| {
            found.code != &codes::E0303
                || found.span() != Some(root)
                || !below.contains(&found.message)
        });
    }
    /// What was found, in order of place.
    pub fn finish(mut self) -> Vec<Diagnostic> {
        self.found.sort_by_key(|d| d.span().map(|span| (span.start, span.end)));
        self.found
    }
}

/// Reads a whole file, already in `sources`, as a `T`.
///
/// A file that is not TOML reports every place the parser stumbles at and is not read further:
/// what a half-understood file lacks cannot be told from what it says.
pub fn read<T: Wire>(sources: &Sources, file: FileId) -> (Option<T>, Vec<Diagnostic>) {
    let text = sources.get(file).map(|source| source.text().clone()).unwrap_or_default();
    let mut reader = Reader::new(file, &text);
    let (root, errors) = DeTable::parse_recoverable(&text);
    let wanted = kind_with(T::keys()).unwrap_or(TOML);
    if let Some(kind) = other_kind::<T>(&text, root.get_ref(), errors.is_empty()) {
        return (None, vec![wrong_kind(file, &text, kind, wanted)]);
    }
    for error in &errors {
        let diagnostic = syntax_error(&reader, error);
        reader.report(diagnostic);
    }
    if !errors.is_empty() {
        return (None, reader.finish());
    }
    let anchor = first_key(&text, root.get_ref());
    let node = Node::new(anchor, DeValue::Table(root.into_inner()));
    reader.top = T::keys();
    let value = T::read(&node, "the file", &mut reader);
    let root = reader.span(node.span());
    reader.take_back_missing(root);
    (value, reader.finish())
}

/// What a file is, if it is of another kind than `T`.
fn other_kind<T: Wire>(text: &str, root: &DeTable<'_>, is_toml: bool) -> Option<&'static str> {
    if !is_toml {
        return looks(text).filter(|kind| *kind != TOML);
    }
    let names: Vec<&str> = root.keys().take(100).map(|key| key.get_ref().as_ref()).collect();
    let known: Vec<String> = T::keys().iter().map(|key| key.replace('_', "-")).collect();
    let known = |name: &&&str| closest(name, known.iter().map(String::as_str)).is_some();
    // One strange key in a file is a slip; most of its keys strange, and those of another kind of
    // file, is that file.
    if names.iter().filter(known).count() * 2 > names.len() {
        return None;
    }
    kind_with(&names).filter(|kind| Some(*kind) != kind_with(T::keys()))
}

/// The kind of TOML file that has these keys at its outer level, by one that no other kind has.
fn kind_with(keys: &[&str]) -> Option<&'static str> {
    let telling = [
        ("a batch", &["jobs"][..]),
        ("a line", &["station", "shear", "feed"]),
        ("a stock file", &["coil", "bar"]),
        ("a file of feature types", &["feature"]),
        ("a file of profiles", &["profile"]),
        ("a rule set", &["rule"]),
        ("a calibration", &["applied-by", "applied_by"]),
        ("a file of taped pieces", &["tape", "piece"]),
        ("a layout of labels", &["label", "sheet", "roll"]),
        ("a dialect", &["characters", "line-end", "line_end"]),
        ("a library", &["features", "profiles", "rules", "shipped"]),
    ];
    telling
        .into_iter()
        .find(|(_, telling)| telling.iter().any(|key| keys.contains(key)))
        .map(|(kind, _)| kind)
}

/// Where a key that the whole file lacks is reported: its first key, or its first character.
fn first_key(text: &str, root: &DeTable<'_>) -> Range<usize> {
    let first = text.chars().next().map_or(0, char::len_utf8);
    root.keys().map(|key| key.span()).min_by_key(|span| span.start).unwrap_or(0..first)
}

fn syntax_error(reader: &Reader<'_>, error: &::toml::de::Error) -> Diagnostic {
    let range = error.span().unwrap_or(0..0);
    // An empty range shows no caret: take in the character before it, or the one after.
    let range = if range.is_empty() {
        let before = reader.text(0..range.start).chars().next_back().map_or(0, char::len_utf8);
        let after = reader.text(range.start..reader.text.len()).chars().next();
        match before {
            0 => range.start..range.start + after.map_or(0, char::len_utf8),
            _ => range.start - before..range.end,
        }
    } else {
        range
    };
    let line_start = reader.text(0..range.start).rfind('\n').map_or(0, |at| at + 1);
    let line = reader.text(line_start..reader.text.len()).lines().next().unwrap_or("");
    let unquoted = line.split_once('=').map(|(_, value)| value.trim_start()).is_some_and(|value| {
        value.starts_with(|c: char| c.is_ascii_digit()) && value.contains(' ')
    });
    let help = if unquoted {
        "a figure with a unit stands in quotes: `offset = \"3.6 m\"`"
    } else {
        "each line is `key = value`, `[table]` or `[[list item]]`; text stands in quotes"
    };
    Diagnostic::new(&codes::E0301, format!("this is not TOML: {}", error.message()))
        .at(reader.span(range), "the reader stumbles here")
        .help(help)
}

/// What a value is, with an article.
fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) => "a whole number",
        DeValue::Float(_) => "a decimal number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// Help for a word that is not one of `candidates`: the nearest, and all of them while they are
/// few.
pub fn one_of<'a>(word: &str, candidates: impl IntoIterator<Item = &'a str>) -> String {
    let candidates: Vec<&str> = candidates.into_iter().collect();
    let quoted = || candidates.iter().map(|c| format!("`{c}`")).collect::<Vec<_>>().join(", ");
    match closest(word, candidates.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None if candidates.is_empty() => "there are none here yet".to_string(),
        None if candidates.len() <= 24 => format!("write one of {}", quoted()),
        None => "check the spelling against the file that declares it".to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Length, SourceFile, Tolerance};

    words! {
        /// Two words.
        enum Side { Left = "left-hand", Right = "right-hand" }
    }
    wire! {
        /// A whole file.
        struct Root {
            name: At<String>,
            shop: Shop,
            rack: Option<Vec<Rack>>,
        }
        /// A table.
        struct Shop { strip_width: At<Length>, side: Option<Side>, tolerance: Option<Tolerance> }
        /// An item.
        struct Rack { at: Length }
    }

    fn told(text: &str) -> (Option<Root>, Vec<String>) {
        let mut sources = Sources::default();
        let file = sources.add(SourceFile::new("t.toml", text));
        let (root, found) = read::<Root>(&sources, file);
        let source = sources.get(file).unwrap();
        let told = found
            .iter()
            .map(|d| {
                assert!(d.help.is_some(), "{}", d.message);
                let span = d.span().unwrap();
                let from = source.position(span.start);
                let shown = sources.text_of(span);
                format!("{} {}:{} `{shown}` {}", d.code.number, from.line, from.column, d.message)
            })
            .collect();
        (root, told)
    }

    #[test]
    fn a_good_file_is_read_exactly() {
        let (root, found) = told(
            "name = \"x\"\n[shop]\nstrip-width = 182.5\nside = \"left-hand\"\n\
             tolerance = \"-1/64 in/+0.5 mm\"\n[[rack]]\nat = \"3.6 m\"\n[[rack]]\nat = 2\n",
        );
        assert!(found.is_empty(), "{found:?}");
        let root = root.unwrap();
        assert_eq!(root.name.value, "x");
        assert_eq!(root.shop.strip_width.value, Length::from_um(182_500));
        assert_eq!(root.shop.side, Some(Side::Left));
        let tolerance = root.shop.tolerance.unwrap();
        assert_eq!(tolerance.minus, Length::from_nm(396_875));
        assert_eq!(tolerance.plus, Length::from_um(500));
        assert_eq!(root.rack.unwrap().iter().map(|r| r.at).sum::<Length>(), Length::from_mm(3_602));
    }

    #[test]
    fn every_mistake_is_told_at_its_place() {
        let (root, found) = told(
            "nmae = \"x\"\n[shop]\nstrip-width = \"12 mn\"\nside = \"left\"\n\
             tolerance = -1\n[[rack]]\nat = true\n[[rack]]\n",
        );
        assert!(root.is_none());
        insta::assert_snapshot!(found.join("\n"));
    }

    #[test]
    fn a_key_of_the_file_below_a_table_is_told_as_such() {
        let (root, found) = told("[shop]\nstrip-width = 3\nname = \"x\"\n");
        assert!(root.is_none());
        // And not that it is missing above.
        assert_eq!(found, ["E0302 3:1 `name` there is no key `name` here"]);
        let mut sources = Sources::default();
        let file =
            sources.add(SourceFile::new("t.toml", "[shop]\nstrip-width = 3\nname = \"x\"\n"));
        let help = read::<Root>(&sources, file).1[0].help.clone().unwrap();
        assert!(help.contains("above the first line in brackets"), "{help}");
    }

    #[test]
    fn several_syntax_errors_are_told() {
        let (root, found) = told("name = x\nshop = 12 mm\n[rack\n");
        assert!(root.is_none());
        insta::assert_snapshot!(found.join("\n"));
    }

    #[test]
    fn odd_files_are_survived() {
        for text in ["", "\n", "\u{0}", "a", "[", "=", "a.b.c.d = 1", "\"\" = 1", "name = '''"] {
            let (root, found) = told(text);
            assert!(root.is_none() && !found.is_empty(), "{text:?}");
        }
        let deep = format!("name = {}", "[".repeat(100_000));
        assert!(!told(&deep).1.is_empty());
    }
}
