//! STEP files, ISO 10303-21 in clear text: where each instance stands, and on demand what it says.
//!
//! The whole file is passed once to find the instances; only those that something leads to are
//! taken apart. So a large model costs little more than reading its bytes.

pub mod text;
mod value;

use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::quantity::{FileId, Span};
use std::collections::{BTreeMap, HashMap};
use std::hash::{BuildHasherDefault, DefaultHasher};

pub use value::Value;

type Table<K, V> = HashMap<K, V, BuildHasherDefault<DefaultHasher>>;

/// Where an instance's right side stands.
#[derive(Clone, Copy, Debug)]
struct Place {
    start: u32,
    end: u32,
}

/// A STEP file.
#[derive(Debug)]
pub struct Step<'t> {
    file: FileId,
    text: &'t str,
    /// What its header says it follows.
    pub schemas: Vec<String>,
    places: Table<u64, Place>,
    kinds: BTreeMap<&'t str, Vec<u64>>,
}

/// An instance.
#[derive(Clone, PartialEq, Debug)]
pub struct Entity<'t> {
    /// Its number.
    pub id: u64,
    /// Its keyword as it is written; empty where it is a complex one.
    pub kind: &'t str,
    /// Its parameters.
    pub values: Vec<Value<'t>>,
}

impl<'t> Entity<'t> {
    /// A parameter; what is not there is missing.
    pub fn get(&self, index: usize) -> &Value<'t> {
        self.values.get(index).unwrap_or(&Value::Missing)
    }
    /// A parameter that refers to another instance.
    pub fn reference(&self, index: usize) -> Option<u64> {
        match self.get(index) {
            Value::Ref(id) => Some(*id),
            _ => None,
        }
    }
    /// A parameter that refers to several.
    pub fn references(&self, index: usize) -> Vec<u64> {
        match self.get(index) {
            Value::List(items) => items
                .iter()
                .filter_map(|item| match item {
                    Value::Ref(id) => Some(*id),
                    _ => None,
                })
                .collect(),
            _ => Vec::new(),
        }
    }
    /// A parameter that is a text; empty where it is missing or not readable as one.
    pub fn text(&self, index: usize) -> String {
        match self.get(index) {
            Value::Text(raw) => text::decoded(raw).unwrap_or_else(|| (*raw).to_string()),
            _ => String::new(),
        }
    }
    /// A parameter that is a number, as it is written.
    pub fn number(&self, index: usize) -> Option<&'t str> {
        match self.get(index) {
            Value::Number(text) => Some(text),
            Value::Typed(_, values) => match values.as_slice() {
                [Value::Number(text)] => Some(text),
                _ => None,
            },
            _ => None,
        }
    }
    /// A parameter that is a word, without its dots.
    pub fn word(&self, index: usize) -> &'t str {
        match self.get(index) {
            Value::Enum(word) => word,
            _ => "",
        }
    }
    /// Whether it is of this class, however it is written.
    pub fn is(&self, kind: &str) -> bool {
        self.kind.eq_ignore_ascii_case(kind)
    }
}

/// What a pass over the bytes keeps.
struct Pass<'t> {
    text: &'t str,
    bytes: &'t [u8],
    at: usize,
}

impl Pass<'_> {
    fn byte(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }
    /// Passes blanks and comments.
    fn gap(&mut self) {
        loop {
            match self.byte() {
                Some(b' ' | b'\n' | b'\r' | b'\t' | 0x0c) => self.at += 1,
                Some(b'/') if self.bytes.get(self.at + 1) == Some(&b'*') => {
                    let rest = self.text.get(self.at + 2..).unwrap_or("");
                    self.at = rest.find("*/").map_or(self.bytes.len(), |end| self.at + 2 + end + 2);
                }
                _ => return,
            }
        }
    }
    /// Passes to after the semicolon that ends this statement; whether there is one.
    fn statement(&mut self) -> bool {
        while let Some(byte) = self.byte() {
            match byte {
                b';' => {
                    self.at += 1;
                    return true;
                }
                b'\'' => {
                    self.at += 1;
                    // A doubled apostrophe ends one string and begins the next: the same here.
                    let rest = self.bytes.get(self.at..).unwrap_or(&[]);
                    match rest.iter().position(|&b| b == b'\'') {
                        Some(end) => self.at += end + 1,
                        None => {
                            self.at = self.bytes.len();
                            return false;
                        }
                    }
                }
                b'/' if self.bytes.get(self.at + 1) == Some(&b'*') => self.gap(),
                _ => self.at += 1,
            }
        }
        false
    }
    fn word(&self) -> &str {
        let rest = self.bytes.get(self.at..).unwrap_or(&[]);
        let len = rest
            .iter()
            .take_while(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'!'))
            .count();
        self.text.get(self.at..self.at + len).unwrap_or("")
    }
}

/// Finds the instances of a file.
pub fn index<'t>(file: FileId, text: &'t str) -> Result<Step<'t>, Box<Diagnostic>> {
    let mut pass = Pass { text, bytes: text.as_bytes(), at: 0 };
    let mut step = Step {
        file,
        text,
        schemas: Vec::new(),
        places: Table::with_capacity_and_hasher(text.len() / 64, BuildHasherDefault::default()),
        kinds: BTreeMap::new(),
    };
    pass.gap();
    if !pass.word().eq_ignore_ascii_case("ISO-10303-21") {
        let end = text.find('\n').unwrap_or(text.len()).min(60);
        return Err(Box::new(
            Diagnostic::new(&codes::E1141, "this is no STEP file")
                .at(step.span(0, floor(text, end).max(1)), "it does not begin with ISO-10303-21;")
                .help("name the model as a STEP file (.ifc); the forms as XML or zip are not read"),
        ));
    }
    let mut ended = false;
    let mut last = 0;
    let mut seen_kinds: Table<&'t str, Vec<u64>> = Table::default();
    loop {
        pass.gap();
        let start = pass.at;
        let Some(byte) = pass.byte() else { break };
        if byte != b'#' {
            let word = pass.word().to_ascii_uppercase();
            if !pass.statement() {
                return Err(step.cut_short(start));
            }
            match word.as_str() {
                "FILE_SCHEMA" => step.schemas = schemas(text.get(start..pass.at).unwrap_or("")),
                "END-ISO-10303-21" => {
                    ended = true;
                    break;
                }
                word if !word.starts_with(|c: char| c.is_ascii_alphabetic()) => {
                    return Err(
                        step.stumbled(start, "nothing that can stand here begins like this")
                    );
                }
                _ => {}
            }
            last = start;
            continue;
        }
        last = start;
        pass.at += 1;
        let digits = pass
            .bytes
            .get(pass.at..)
            .unwrap_or(&[])
            .iter()
            .take_while(|b| b.is_ascii_digit())
            .count();
        let id = text.get(pass.at..pass.at + digits).and_then(|t| t.parse::<u64>().ok());
        pass.at += digits;
        pass.gap();
        let (Some(id), Some(b'=')) = (id, pass.byte()) else {
            if pass.byte().is_none() {
                return Err(step.cut_short(start));
            }
            return Err(step.stumbled(start, "an instance is written #12= …;"));
        };
        pass.at += 1;
        pass.gap();
        let begin = pass.at;
        let kind_len = pass.word().len();
        let kind = text.get(begin..begin + kind_len).unwrap_or("");
        if !pass.statement() {
            return Err(step.cut_short(start));
        }
        let place = Place { start: narrow(begin), end: narrow(pass.at - 1) };
        if step.places.insert(id, place).is_some() {
            return Err(step.stumbled(start, "this number was given to another instance before"));
        }
        match seen_kinds.get_mut(kind) {
            Some(ids) => ids.push(id),
            None => {
                seen_kinds.insert(kind, vec![id]);
            }
        }
    }
    if !ended {
        return Err(step.cut_short(last));
    }
    // Behind the end only what signs the file may stand: anything else was not read.
    pass.gap();
    if pass.byte().is_some() && !pass.word().eq_ignore_ascii_case("SIGNATURE") {
        return Err(step.stumbled(pass.at, "something follows after its end, and is not read"));
    }
    step.kinds = seen_kinds.into_iter().collect();
    Ok(step)
}

fn narrow(at: usize) -> u32 {
    u32::try_from(at).unwrap_or(u32::MAX)
}

/// The nearest place at or before `at` where a character begins.
fn floor(text: &str, mut at: usize) -> usize {
    while at > 0 && !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// A text among a value's that cannot be read as one.
fn unreadable<'t>(value: &Value<'t>) -> Option<&'t str> {
    match value {
        Value::Text(raw) => {
            raw.contains('\\').then_some(*raw).filter(|raw| text::decoded(raw).is_none())
        }
        Value::List(items) | Value::Typed(_, items) => items.iter().find_map(unreadable),
        _ => None,
    }
}

/// Names in `FILE_SCHEMA(('IFC4'));`.
fn schemas(statement: &str) -> Vec<String> {
    let list = statement.trim_end_matches(';');
    let Ok(parts) = value::parts(list) else { return Vec::new() };
    let mut names = Vec::new();
    for (_, values) in parts {
        for value in values {
            if let Value::List(items) = value {
                names.extend(items.iter().filter_map(|item| match item {
                    Value::Text(name) => Some(name.to_ascii_uppercase()),
                    _ => None,
                }));
            }
        }
    }
    names
}

impl<'t> Step<'t> {
    fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.file, narrow(start), narrow(end.min(self.text.len())))
    }
    /// Where an instance stands.
    pub fn place(&self, id: u64) -> Span {
        match self.places.get(&id) {
            Some(place) => Span::new(self.file, place.start, place.end),
            None => Span::new(self.file, 0, 1),
        }
    }
    /// How many instances there are.
    pub fn count(&self) -> usize {
        self.places.len()
    }
    /// Classes that occur, with the instances of each in the order of the file.
    pub fn kinds(&self) -> impl Iterator<Item = (&'t str, &[u64])> {
        self.kinds.iter().map(|(kind, ids)| (*kind, ids.as_slice()))
    }
    /// Instances of a class, in the order of the file.
    pub fn of(&self, kind: &str) -> Vec<u64> {
        self.kinds
            .iter()
            .filter(|(name, _)| name.eq_ignore_ascii_case(kind))
            .flat_map(|(_, ids)| ids.iter().copied())
            .collect()
    }
    /// An instance that another one refers to.
    pub fn entity(&self, id: u64, from: u64) -> Result<Entity<'t>, Box<Diagnostic>> {
        let Some(place) = self.places.get(&id) else {
            return Err(Box::new(
                Diagnostic::new(&codes::E1143, format!("#{from} refers to #{id}, which is not in the file"))
                    .at(self.place(from), "refers to it")
                    .note("a file that was cut or edited holds members without their length or their holes")
                    .help("export the model again"),
            ));
        };
        let text = self.text.get(place.start as usize..place.end as usize).unwrap_or("");
        match value::parts(text) {
            Ok(mut parts) if parts.len() == 1 => {
                let (kind, values) = parts.remove(0);
                match values.iter().find_map(unreadable) {
                    Some(raw) => Err(self.misspelt(id, place, raw)),
                    None => Ok(Entity { id, kind, values }),
                }
            }
            // Schemas whose instances are read here have none of several parts.
            Ok(_) => Ok(Entity { id, kind: "", values: Vec::new() }),
            Err(left) => {
                let at = place.end as usize - left.min(text.len());
                let at = floor(self.text, at.min((place.end as usize).saturating_sub(1)));
                Err(self.stumbled_at(id, at))
            }
        }
    }

    fn misspelt(&self, id: u64, place: &Place, raw: &str) -> Box<Diagnostic> {
        let (start, end) = (place.start as usize, place.end as usize);
        let at = self.text.get(start..end).and_then(|text| text.find(raw)).unwrap_or(0);
        Box::new(
            Diagnostic::new(
                &codes::E1141,
                format!("a text of instance #{id} has letters that cannot be told"),
            )
            .at(
                self.span(start + at, start + at + raw.len()),
                "an escape in it is none of the standard's",
            )
            .note("a mark would be printed with other letters than it has")
            .help(
                "export the model again, or write plain letters: others stand as \\X2\\00FC\\X0\\",
            ),
        )
    }
    fn stumbled_at(&self, id: u64, at: usize) -> Box<Diagnostic> {
        let next =
            self.text.get(at..).and_then(|rest| rest.chars().next()).map_or(1, char::len_utf8);
        Box::new(
            Diagnostic::new(&codes::E1141, format!("instance #{id} cannot be read"))
                .at(self.span(at, at + next), "the reader stumbles here")
                .help("export the model again; a file edited by hand is easily damaged"),
        )
    }
    /// What stands from here to the end of its line, if that is not far.
    fn line_at(&self, start: usize) -> Span {
        let line = self.text.get(start..).and_then(|rest| rest.lines().next()).unwrap_or("");
        self.span(start, start + floor(line, line.len().min(40)).max(1))
    }
    fn stumbled(&self, start: usize, why: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E1141, format!("this STEP file cannot be read: {why}"))
                .at(self.line_at(start), "the reader stumbles here")
                .help("export the model again; a file edited by hand is easily damaged"),
        )
    }
    fn cut_short(&self, start: usize) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(&codes::E1142, "this STEP file is cut short")
                .at(self.line_at(start), "the last that is there")
                .note("members, or the holes of members, may be missing from it")
                .help("export or copy it again: it ends with END-ISO-10303-21;"),
        )
    }
}
