//! Text to tokens, one at a time.
//!
//! A line end is a token, except inside `( )` and `[ ]` and after a comma, where it is a blank.

use super::number::{self, MOST_DIGITS, Written};
use super::tree::At;
use super::words::Word;

/// What a token is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A name or reserved word.
    Word(Word),
    /// A name that begins with a digit: `2B-14`.
    Mark,
    /// A number; its value is `Lexer::written`.
    Number,
    /// More digits than a number may have.
    LongNumber,
    /// A number with something stuck to it that makes it none.
    Glued,
    /// `"…"`.
    String,
    /// `"…` to the end of the line.
    OpenString,
    /// A line end or `;`.
    LineEnd,
    /// The end of the file.
    End,
    /// A character that means nothing.
    Unknown,
    /// `{`
    OpenBrace,
    /// `}`
    CloseBrace,
    /// `(`
    OpenParen,
    /// `)`
    CloseParen,
    /// `[`
    OpenBracket,
    /// `]`
    CloseBracket,
    /// `,`
    Comma,
    /// `:`
    Colon,
    /// `..`
    Dots,
    /// `=`
    Equals,
    /// `==`
    Same,
    /// `!=`
    Differs,
    /// `<`
    Less,
    /// `<=`
    LessOrEqual,
    /// `>`
    Greater,
    /// `>=`
    GreaterOrEqual,
    /// `+`
    Plus,
    /// `-`
    Minus,
    /// `*`
    Star,
    /// `/`
    Slash,
    /// `/+`
    SlashPlus,
}

/// A token and its place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Token {
    pub kind: Kind,
    pub at: At,
}

/// Reads tokens off a text.
pub struct Lexer<'a> {
    text: &'a str,
    bytes: &'a [u8],
    position: usize,
    /// Open `(` and `[`.
    depth: u32,
    after_comma: bool,
    /// First line end that was a blank inside the brackets now open.
    passed: Option<usize>,
    /// Where this line begins, and the first token on it.
    line: (usize, usize),
    /// The value of the last `Kind::Number`.
    pub written: Written,
    /// Comments met so far.
    pub comments: Vec<At>,
    /// Characters met in strings that do not show, or turn the text around: the first of each.
    pub hidden: Vec<At>,
}

/// Where a lexer stood.
#[derive(Clone, Copy)]
pub struct Mark {
    position: usize,
    depth: u32,
    after_comma: bool,
    passed: Option<usize>,
    line: (usize, usize),
}

/// Control characters but the tab, and those that show what follows from right to left.
pub fn is_hidden(c: char) -> bool {
    c != '\t' && c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

fn at(start: usize, end: usize) -> At {
    // Texts of 4 GiB and more are refused when they are loaded.
    let narrow = |offset: usize| u32::try_from(offset).unwrap_or(u32::MAX);
    At { start: narrow(start), end: narrow(end) }
}

impl<'a> Lexer<'a> {
    pub fn new(text: &'a str) -> Lexer<'a> {
        Lexer {
            text,
            bytes: text.as_bytes(),
            position: 0,
            depth: 0,
            after_comma: false,
            passed: None,
            line: (0, usize::MAX),
            written: Written { numerator: 0, denominator: 1, unit: None, fraction: false },
            comments: Vec::new(),
            hidden: Vec::new(),
        }
    }

    /// Where it stands, after the last token.
    pub fn mark(&self) -> Mark {
        Mark {
            position: self.position,
            depth: self.depth,
            after_comma: self.after_comma,
            passed: self.passed,
            line: self.line,
        }
    }
    /// Stands there again.
    pub fn back_to(&mut self, mark: Mark) {
        self.position = mark.position;
        self.depth = mark.depth;
        self.after_comma = mark.after_comma;
        self.passed = mark.passed;
        self.line = mark.line;
    }
    /// Forgets the brackets that are open. If a line end was passed inside them not more than
    /// `most` bytes ago, goes back to it, and says how many bytes.
    pub fn leave_brackets(&mut self, most: usize) -> Option<usize> {
        self.depth = 0;
        self.after_comma = false;
        let line_end = self.passed.take()?;
        let bytes = self.position.saturating_sub(line_end);
        if bytes > most {
            return None;
        }
        self.position = line_end;
        Some(bytes)
    }

    /// Blanks before the first token of the line the last token stands on.
    pub fn indent(&self) -> usize {
        self.line.1.saturating_sub(self.line.0)
    }
    /// Whether the token that starts at this byte is the first of the last token's line.
    pub fn begins_line(&self, start: u32) -> bool {
        self.line.1 == start as usize
    }

    fn byte(&self, offset: usize) -> u8 {
        self.bytes.get(self.position + offset).copied().unwrap_or(0)
    }

    /// Passes blanks and comments, and line ends where they are blanks.
    fn pass_blanks(&mut self) {
        loop {
            match self.byte(0) {
                b' ' | b'\t' | b'\r' => self.position += 1,
                b'\n' if self.depth > 0 || self.after_comma => {
                    if self.depth > 0 && self.passed.is_none() {
                        self.passed = Some(self.position);
                    }
                    self.position += 1;
                    self.line = (self.position, usize::MAX);
                }
                b'#' => {
                    let start = self.position;
                    let rest = self.text.get(start..).unwrap_or("");
                    self.position += rest.find('\n').unwrap_or(rest.len());
                    let written = rest.get(..self.position - start).unwrap_or("").trim_end();
                    // Going back reads comments again.
                    if self.comments.last().is_none_or(|last| (last.end as usize) <= start) {
                        self.comments.push(at(start, start + written.len()));
                    }
                }
                _ => return,
            }
        }
    }

    /// The next token.
    pub fn next(&mut self) -> Token {
        self.pass_blanks();
        self.after_comma = false;
        let start = self.position;
        if self.line.1 == usize::MAX {
            self.line.1 = start;
        }
        let kind = match self.byte(0) {
            b'a'..=b'z' | b'A'..=b'Z' | b'_' | 0x80..=0xff => self.word(),
            b'0'..=b'9' => self.number(),
            b'"' => self.string(),
            b'\n' => {
                self.line = (start + 1, usize::MAX);
                self.sign(1, Kind::LineEnd)
            }
            b';' => self.sign(1, Kind::LineEnd),
            b'{' => self.sign(1, Kind::OpenBrace),
            b'}' => self.sign(1, Kind::CloseBrace),
            b'(' => self.open(Kind::OpenParen),
            b'[' => self.open(Kind::OpenBracket),
            b')' => self.close(Kind::CloseParen),
            b']' => self.close(Kind::CloseBracket),
            b',' => {
                self.after_comma = true;
                self.sign(1, Kind::Comma)
            }
            b':' => self.sign(1, Kind::Colon),
            b'.' if self.byte(1) == b'.' => self.sign(2, Kind::Dots),
            b'=' if self.byte(1) == b'=' => self.sign(2, Kind::Same),
            b'=' => self.sign(1, Kind::Equals),
            b'!' if self.byte(1) == b'=' => self.sign(2, Kind::Differs),
            b'<' if self.byte(1) == b'=' => self.sign(2, Kind::LessOrEqual),
            b'<' => self.sign(1, Kind::Less),
            b'>' if self.byte(1) == b'=' => self.sign(2, Kind::GreaterOrEqual),
            b'>' => self.sign(1, Kind::Greater),
            b'+' => self.sign(1, Kind::Plus),
            b'-' => self.sign(1, Kind::Minus),
            b'*' => self.sign(1, Kind::Star),
            b'/' if self.byte(1) == b'+' => self.sign(2, Kind::SlashPlus),
            b'/' => self.sign(1, Kind::Slash),
            _ if start >= self.bytes.len() => Kind::End,
            _ => self.sign(1, Kind::Unknown),
        };
        Token { kind, at: at(start, self.position) }
    }

    fn sign(&mut self, bytes: usize, kind: Kind) -> Kind {
        self.position += bytes;
        kind
    }
    fn open(&mut self, kind: Kind) -> Kind {
        self.depth += 1;
        self.sign(1, kind)
    }
    fn close(&mut self, kind: Kind) -> Kind {
        self.depth = self.depth.saturating_sub(1);
        if self.depth == 0 {
            self.passed = None;
        }
        self.sign(1, kind)
    }

    /// Stands after the last character of the word that goes on here.
    fn pass_word(&mut self) {
        loop {
            let rest = self.bytes.get(self.position..).unwrap_or(&[]);
            self.position += rest
                .iter()
                .take_while(|byte| byte.is_ascii_alphanumeric() || **byte == b'_')
                .count();
            match self.byte(0) {
                b'-' if self.byte(1).is_ascii_alphanumeric() || self.byte(1) == b'_' => {
                    self.position += 2;
                }
                b'-' if self.byte(1) >= 0x80 && number::continues(self.rest()) => {
                    self.position += 1;
                }
                0x80..=0xff => match self.rest().chars().next() {
                    Some(c) if number::is_word(c) => self.position += c.len_utf8(),
                    _ => return,
                },
                _ => return,
            }
        }
    }

    fn rest(&self) -> &'a str {
        self.text.get(self.position..).unwrap_or("")
    }

    fn word(&mut self) -> Kind {
        let start = self.position;
        self.pass_word();
        if self.position == start {
            let bytes = self.rest().chars().next().map_or(1, char::len_utf8);
            return self.sign(bytes, Kind::Unknown);
        }
        Kind::Word(Word::of(self.bytes.get(start..self.position).unwrap_or(&[])))
    }

    fn number(&mut self) -> Kind {
        let start = self.position;
        let mut numerator = 0_i64;
        while let digit @ b'0'..=b'9' = self.byte(0) {
            numerator = numerator.saturating_mul(10).saturating_add(i64::from(digit - b'0'));
            self.position += 1;
        }
        let digits = self.position - start;
        if self.is_plain() {
            self.written = Written { numerator, denominator: 1, unit: None, fraction: false };
            return if digits > MOST_DIGITS { Kind::LongNumber } else { Kind::Number };
        }
        let after_digits = self.rest();
        let number = number::longest(self.text.get(start..).unwrap_or(""));
        let mark = if number::continues(after_digits) {
            self.pass_word();
            self.position - start
        } else {
            0
        };
        match number {
            Some((bytes, written)) if bytes >= mark => {
                self.position = start + bytes;
                self.written = written;
                let text = self.bytes.get(start..self.position).unwrap_or(&[]);
                if text.iter().filter(|byte| byte.is_ascii_digit()).count() > MOST_DIGITS {
                    Kind::LongNumber
                } else {
                    Kind::Number
                }
            }
            _ if mark > 0 => Kind::Mark,
            _ => {
                // `2.5-1`: whatever it was meant to be, it ends where a word would end.
                let digit = |byte: u8| byte.is_ascii_digit();
                while self.byte(0) == b'.' && digit(self.byte(1)) {
                    self.position += 1;
                    self.pass_word();
                }
                Kind::Glued
            }
        }
    }

    fn is_word_byte(&self, offset: usize) -> bool {
        let byte = self.byte(offset);
        byte.is_ascii_alphanumeric() || byte == b'_' || byte >= 0x80
    }

    /// Whether the digits just passed are all there is of a number.
    fn is_plain(&self) -> bool {
        let mut ahead = 0;
        loop {
            match self.byte(ahead) {
                b' ' | b'\t' => ahead += 1,
                b'0'..=b'9' => return false,
                b'm' if !self.is_word_byte(ahead + 1) || self.byte(ahead + 1) == b'm' => {
                    return false;
                }
                b'i' if self.byte(ahead + 1) == b'n' => return false,
                b'f' if self.byte(ahead + 1) == b't' => return false,
                b'.' if ahead == 0 => return self.byte(1) == b'.',
                b'/' | b'-' if ahead == 0 => return !self.is_word_byte(1),
                b'a'..=b'z' | b'A'..=b'Z' | b'_' | 0x80..=0xff if ahead == 0 => return false,
                _ => return true,
            }
        }
    }

    /// Notes the first character of the string that begins here, its text given, that a reader
    /// would not see.
    fn look_for_hidden(&mut self, written: &str) {
        // Nearly all strings are plain, and a file has one for each member.
        if written.bytes().all(|b| matches!(b, b' '..=b'~')) {
            return;
        }
        let Some((offset, c)) = written.char_indices().find(|(_, c)| is_hidden(*c)) else { return };
        let start = self.position + 1 + offset;
        // Going back reads strings again.
        if self.hidden.last().is_none_or(|last| (last.end as usize) <= start) {
            self.hidden.push(at(start, start + c.len_utf8()));
        }
    }

    fn string(&mut self) -> Kind {
        let rest = self.text.get(self.position + 1..).unwrap_or("");
        let end = rest.find(['"', '\n']).unwrap_or(rest.len());
        let closed = rest.as_bytes().get(end) == Some(&b'"');
        if closed {
            self.look_for_hidden(rest.get(..end).unwrap_or(""));
            return self.sign(end + 2, Kind::String);
        }
        let written = rest.get(..end).unwrap_or("").trim_end();
        // The brace of a block that begins on this line is worth more than the string.
        let written = written.strip_suffix('{').map_or(written, str::trim_end);
        self.sign(1 + written.len(), Kind::OpenString)
    }
}
