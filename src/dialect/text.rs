//! Texts: one spelling for each character, and the proof that a text ends where it ends.

use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Blanks, Characters, TextFormat, TextWidth};
use crate::quantity::Span;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Why a text has no spelling in a format.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Unspelled {
    /// It holds a character that cannot be written.
    Character(char),
    /// It takes so many characters, more than the width.
    Long(usize),
    /// It has a blank where blanks fill it up: read back, it would be without.
    Blank,
}

/// What stands where a text is wanted.
#[derive(PartialEq, Eq, Debug)]
pub(super) enum Stands<'a> {
    /// A text of so many bytes, and what it says.
    Text(usize, Cow<'a, str>),
    /// The file ends before the width is full.
    CutShort,
    /// Within the width, from this byte on, something that no text has.
    Misspelled(usize),
}

/// A text format, ready to write and read.
#[derive(Clone, Debug)]
pub(super) struct Text {
    characters: Characters,
    /// Which ASCII characters stand for themselves.
    plain: [bool; 128],
    /// What is written for the characters that have an escape.
    escapes: BTreeMap<char, Box<str>>,
    /// Which ASCII characters begin an escape: most texts end before another one.
    leads: [bool; 128],
    /// Refused characters beyond ASCII.
    refused: Vec<char>,
    /// Exact width, filled up with blanks.
    width: Option<TextWidth>,
    /// Where the format is described.
    pub(super) span: Span,
    /// Its name.
    pub(super) name: Box<str>,
}

impl Text {
    /// The format, with the proof that its characters are told apart. Where a text ends depends
    /// on what follows it: see [`Text::ends_before`].
    pub(super) fn prove(
        format: &TextFormat,
        characters: Characters,
    ) -> Result<Text, Vec<Diagnostic>> {
        let mut found = Vec::new();
        let mut escapes: BTreeMap<char, (Box<str>, Span)> = BTreeMap::new();
        for escape in &format.escapes {
            let text = escape.text.as_ref().into();
            if escapes.insert(escape.character, (text, escape.span)).is_some() {
                found.push(
                    ambiguous(
                        format,
                        escape.span,
                        format!("two escapes are given for {}", shown(escape.character)),
                        "second escape",
                    )
                    .help("keep one of them"),
                );
            }
        }
        if let Some(hex) = &format.hex {
            let width = usize::from(hex.digits);
            let controls = (0_u32..0x20).chain(0x7f..0xa0);
            for (code, control) in controls.filter_map(|c| char::from_u32(c).map(|ch| (c, ch))) {
                let digits = format!("{code:0width$x}");
                if digits.len() == width {
                    escapes
                        .entry(control)
                        .or_insert_with(|| (format!("{}{digits}", hex.before).into(), hex.span));
                }
            }
        }
        let text = Text {
            characters,
            plain: [false; 128],
            escapes: escapes.iter().map(|(&c, (text, _))| (c, text.clone())).collect(),
            leads: [false; 128],
            refused: {
                let mut refused = format.refused.clone();
                refused.sort_unstable();
                refused
            },
            width: format.width,
            span: format.span,
            name: format.name.as_ref().into(),
        };
        found.extend(check_escapes(format, &escapes, &text));
        if let Some(quote) = format.quote.filter(|&quote| text.is_plain_by_rule(quote)) {
            found.push(
                ambiguous(
                    format,
                    format.span,
                    format!("the quote {} may also stand inside a text", shown(quote)),
                    "the end of a text cannot be found",
                )
                .help("give it an escape, or list it under `refuse`"),
            );
        }
        if !found.is_empty() {
            return Err(found);
        }
        let mut plain = [false; 128];
        for (code, slot) in (0_u8..).zip(plain.iter_mut()) {
            *slot = text.is_plain_by_rule(char::from(code));
        }
        let mut leads = [false; 128];
        for first in text.escapes.values().filter_map(|escape| escape.bytes().next()) {
            if let Some(slot) = leads.get_mut(usize::from(first)) {
                *slot = true;
            }
        }
        Ok(Text { plain, leads, ..text })
    }

    /// Whether a text always takes the same width.
    pub(super) fn is_fixed(&self) -> bool {
        self.width.is_some()
    }

    /// The width, for a message; nought where there is none.
    pub(super) fn width(&self) -> usize {
        self.width.map_or(0, |width| width.characters)
    }

    /// Whether a text always ends where `next` begins: `next` cannot continue it.
    pub(super) fn ends_before(&self, next: &str) -> bool {
        let Some(first) = next.chars().next() else { return false };
        !self.is_plain(first) && !self.escapes.values().any(|escape| alike(escape, next))
    }

    /// Appends the spelling of a text, filled up to its width.
    pub(super) fn write(&self, text: &str, out: &mut String) -> Result<(), Unspelled> {
        let start = out.len();
        for character in text.chars() {
            if self.is_plain(character) {
                out.push(character);
            } else {
                let escape = self.escapes.get(&character);
                out.push_str(escape.ok_or(Unspelled::Character(character))?);
            }
        }
        let Some(TextWidth { characters, blanks }) = self.width else { return Ok(()) };
        let spelled = out.get(start..).unwrap_or_default();
        let long = spelled.chars().count();
        let missing = characters.checked_sub(long).ok_or(Unspelled::Long(long))?;
        if filled_off(spelled, blanks) != spelled {
            return Err(Unspelled::Blank);
        }
        match blanks {
            Blanks::Behind => out.extend(std::iter::repeat_n(' ', missing)),
            Blanks::Before => out.insert_str(start, &" ".repeat(missing)),
        }
        Ok(())
    }

    /// Reads the text at the start of `rest`, up to its width or, where it has none, to the first
    /// character that is neither plain nor begins an escape.
    pub(super) fn read<'a>(&self, rest: &'a str) -> Stands<'a> {
        let Some(TextWidth { characters, blanks }) = self.width else {
            let (length, said) = self.run(rest);
            return Stands::Text(length, said);
        };
        let Some((last, c)) = characters.checked_sub(1).and_then(|n| rest.char_indices().nth(n))
        else {
            return Stands::CutShort;
        };
        let whole = rest.get(..last + c.len_utf8()).unwrap_or_default();
        let spelled = filled_off(whole, blanks);
        let (length, said) = self.run(spelled);
        if length < spelled.len() {
            let before = if blanks == Blanks::Before { whole.len() - spelled.len() } else { 0 };
            return Stands::Misspelled(before + length);
        }
        Stands::Text(whole.len(), said)
    }

    /// The text at the start of `rest`: how many bytes it takes and what it says. It ends at the
    /// first character that is neither plain nor begins an escape.
    fn run<'a>(&self, rest: &'a str) -> (usize, Cow<'a, str>) {
        let first = self.plain_run(rest);
        let mut said = Cow::Borrowed(rest.get(..first).unwrap_or_default());
        let mut at = first;
        while let Some(tail) = rest.get(at..).filter(|tail| self.may_escape(tail)) {
            // Escapes are prefix-free, so at most one fits.
            let Some((&character, escape)) =
                self.escapes.iter().find(|(_, escape)| tail.starts_with(&***escape))
            else {
                break;
            };
            let after = at + escape.len();
            let run = self.plain_run(rest.get(after..).unwrap_or_default());
            let said = said.to_mut();
            said.push(character);
            said.push_str(rest.get(after..after + run).unwrap_or_default());
            at = after + run;
        }
        (at, said)
    }

    /// Whether an escape may begin here, by the first byte.
    fn may_escape(&self, tail: &str) -> bool {
        tail.bytes()
            .next()
            .is_some_and(|first| self.leads.get(usize::from(first)).copied().unwrap_or(true))
    }

    /// Whether an escape of this format begins with this character.
    pub(super) fn begins_escape(&self, character: char) -> bool {
        self.escapes.values().any(|escape| escape.starts_with(character))
    }

    /// Bytes of `rest` up to its first character that is not plain.
    fn plain_run(&self, rest: &str) -> usize {
        let plain = |byte: &u8| self.plain.get(usize::from(*byte)).copied().unwrap_or(false);
        let ascii = rest.bytes().take_while(plain).count();
        match rest.as_bytes().get(ascii) {
            // A wider character: go on character by character.
            Some(byte) if !byte.is_ascii() => rest
                .char_indices()
                .skip(ascii)
                .find(|&(_, c)| !self.is_plain(c))
                .map_or(rest.len(), |(at, _)| at),
            _ => ascii,
        }
    }
    fn is_plain(&self, character: char) -> bool {
        match self.plain.get(character as usize) {
            Some(&plain) => plain,
            None => self.is_plain_by_rule(character),
        }
    }
    fn is_plain_by_rule(&self, character: char) -> bool {
        !character.is_control()
            && self.characters.hold(character)
            && self.refused.binary_search(&character).is_err()
            && !self.escapes.contains_key(&character)
    }
}

/// A text without the blanks that fill it up.
fn filled_off(text: &str, blanks: Blanks) -> &str {
    match blanks {
        Blanks::Behind => text.trim_end_matches(' '),
        Blanks::Before => text.trim_start_matches(' '),
    }
}

/// Whether one of two texts is the beginning of the other: seeing one, the reader may take it
/// for the other.
pub(super) fn alike(a: &str, b: &str) -> bool {
    a.starts_with(b) || b.starts_with(a)
}

/// Whether a fixed text can stand in a program: characters of the set, and line ends only where
/// the caller allows them.
pub(super) fn unwritable(text: &str, characters: Characters, line_ends: bool) -> Option<char> {
    text.chars()
        .find(|&c| !characters.hold(c) || c == '\r' || c == '\0' || (c == '\n' && !line_ends))
}

/// A character, for a message.
pub(super) fn shown(character: char) -> String {
    if character == ' ' {
        "a blank".to_string()
    } else if character.is_control() || character == '\u{feff}' {
        format!("the control character U+{:04X}", u32::from(character))
    } else {
        format!("`{character}`")
    }
}

fn ambiguous(format: &TextFormat, span: Span, why: String, label: &str) -> Diagnostic {
    Diagnostic::new(&codes::E0715, format!("text format `{}`: {why}", format.name)).at(span, label)
}

/// Every escape is writable, begins with a character that never stands for itself, and is not
/// the beginning of another one.
fn check_escapes(
    format: &TextFormat,
    escapes: &BTreeMap<char, (Box<str>, Span)>,
    text: &Text,
) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    for (&character, (escape, span)) in escapes {
        let what = || shown(character);
        if let Some(bad) = unwritable(escape, text.characters, false) {
            found.push(
                Diagnostic::new(
                    &codes::E0714,
                    format!("the escape for {} holds {}", what(), shown(bad)),
                )
                .at(*span, "cannot be written")
                .help(format!("use characters of {} only", text.characters.word())),
            );
        }
        match escape.chars().next() {
            None => found.push(
                ambiguous(format, *span, format!("the escape for {} is empty", what()), "empty")
                    .help("write what stands for it, or list it under `refuse`"),
            ),
            Some(first) if text.is_plain_by_rule(first) => found.push(
                ambiguous(
                    format,
                    *span,
                    format!(
                        "the escape for {} begins with {}, which also stands for itself",
                        what(),
                        shown(first)
                    ),
                    "may be read as plain characters",
                )
                .help(format!("give {} an escape too, or list it under `refuse`", shown(first))),
            ),
            Some(_) => {}
        }
    }
    // In order of their texts, an escape that begins another stands directly before one.
    let mut sorted: Vec<_> = escapes.iter().map(|(c, (text, span))| (text, *c, *span)).collect();
    sorted.sort_by(|a, b| a.0.cmp(b.0));
    for pair in sorted.windows(2) {
        if let [(first, a, _), (second, b, span)] = pair
            && !first.is_empty()
            && second.starts_with(&***first)
        {
            found.push(
                ambiguous(
                    format,
                    *span,
                    format!("the escapes for {} and {} begin alike", shown(*a), shown(*b)),
                    "the reader cannot tell them apart",
                )
                .help("let neither be the beginning of the other"),
            );
        }
    }
    found
}
