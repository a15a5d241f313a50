//! Text to tree. Never gives up: what cannot be read is reported once and passed over.
//!
//! A statement that fails has reported why; the loop of its block passes over the rest of its line
//! (and the block that begins there, if any) and goes on.

mod body;
mod expression;
mod feature;
mod header;
mod item;
mod report;

use super::lex::{Kind, Lexer, Mark, Token};
use super::tree::*;
use super::words::Word;
use crate::diagnostic::{Diagnostic, MEMBERS, looks, wrong_kind};
use crate::quantity::FileId;

/// Deepest nesting of blocks, and of expressions, that is read.
pub const DEEPEST: u32 = 100;
/// Most findings kept of one file.
pub const MOST_FINDINGS: usize = 200;

/// A piece could not be read, and why is reported.
struct Failed;
type Parsed<T> = Result<T, Failed>;

bitflags::bitflags! {
    /// Where a statement may stand.
    #[derive(Clone, Copy, PartialEq, Eq)]
    struct Context: u8 {
        /// Outer level of the file.
        const FILE = 1;
        /// In a frame.
        const FRAME = 2;
        /// In a recipe, group or member.
        const BODY = 4;
    }
}

/// Where a block was opened, and how far the line of its `{` is indented.
#[derive(Clone, Copy)]
struct Open {
    at: At,
    indent: usize,
}

/// Children whose parent is not complete yet.
#[derive(Default)]
struct Scratch {
    ids: Vec<ExprId>,
    args: Vec<Arg>,
    settings: Vec<Setting>,
    statements: Vec<Statement>,
    branches: Vec<Branch>,
    spots: Vec<Spot>,
}

struct Parser<'a> {
    text: &'a str,
    lexer: Lexer<'a>,
    /// The token being looked at.
    token: Token,
    /// The one before it.
    last: At,
    tree: Tree,
    scratch: Scratch,
    /// Blocks and expressions entered.
    depth: u32,
    /// Height of the last expression read.
    height: u32,
    /// Bytes that may still be read again, by going back to the line of an unclosed bracket.
    again: usize,
    found: Vec<Diagnostic>,
    unsaid: usize,
    /// A block was taken to end before the statement that stands here.
    cut_short: bool,
}

/// Reads a members file. The tree holds all that could be read; the findings say what could not.
pub fn parse(file: FileId, text: &str) -> (Tree, Vec<Diagnostic>) {
    let mut lexer = Lexer::new(text);
    let token = lexer.next();
    let mut parser = Parser {
        text,
        lexer,
        token,
        last: At::default(),
        tree: Tree::empty(file, text.len()),
        scratch: Scratch::default(),
        depth: 0,
        height: 0,
        again: text.len(),
        found: Vec::new(),
        unsaid: 0,
        cut_short: false,
    };
    parser.file();
    parser.finish()
}

impl Parser<'_> {
    fn finish(mut self) -> (Tree, Vec<Diagnostic>) {
        self.say_hidden();
        self.say_unsaid();
        self.tree.comments = std::mem::take(&mut self.lexer.comments);
        self.tree.broken = !self.found.is_empty();
        if self.tree.broken
            && self.tree.items.iter().all(|item| matches!(item, Item::Broken(_)))
            && let Some(kind) = looks(self.text).filter(|kind| *kind != MEMBERS)
        {
            let told = wrong_kind(self.tree.file, self.text, kind, MEMBERS);
            return (self.tree, vec![told]);
        }
        if !self.tree.broken {
            self.say_astray();
        }
        (self.tree, self.found)
    }

    fn bump(&mut self) -> At {
        self.last = self.token.at;
        self.token = self.lexer.next();
        self.last
    }
    fn on(&self, kind: Kind) -> bool {
        self.token.kind == kind
    }
    fn on_word(&self, word: Word) -> bool {
        self.token.kind == Kind::Word(word)
    }
    /// Whether the token is this word, which is not reserved.
    fn on_text(&self, text: &str) -> bool {
        self.on_word(Word::Name) && self.token.at.text(self.text) == text
    }
    fn take(&mut self, kind: Kind) -> bool {
        let on = self.on(kind);
        if on {
            self.bump();
        }
        on
    }
    fn take_word(&mut self, word: Word) -> bool {
        self.take(Kind::Word(word))
    }
    fn take_text(&mut self, text: &str) -> bool {
        let on = self.on_text(text);
        if on {
            self.bump();
        }
        on
    }
    fn since(&self, start: At) -> At {
        At { start: start.start, end: self.last.end.max(start.end) }
    }
    fn stand(&self) -> (Token, Mark, At) {
        (self.token, self.lexer.mark(), self.last)
    }
    fn back_to(&mut self, (token, mark, last): (Token, Mark, At)) {
        self.token = token;
        self.last = last;
        self.lexer.back_to(mark);
    }

    /// A string, a name, a word or a whole number: what jobs, frames, marks and profiles are
    /// called.
    fn label(&mut self, what: &str) -> Parsed<At> {
        let text = self.token.at.text(self.text);
        match self.token.kind {
            Kind::String | Kind::Word(_) | Kind::Mark => Ok(self.bump()),
            Kind::Number | Kind::LongNumber if text.bytes().all(|b| b.is_ascii_digit()) => {
                Ok(self.bump())
            }
            Kind::Number => Err(self.say_quote(what)),
            _ => {
                Err(self
                    .say_expected(what, &format!("write {what}, such as `N1`, or one in quotes")))
            }
        }
    }
    /// A string in quotes.
    fn string(&mut self, what: &str) -> Parsed<At> {
        if self.on(Kind::String) {
            return Ok(self.bump());
        }
        Err(self.say_expected(what, &format!("write {what} in quotes on this line: \"…\"")))
    }
    /// A name that is not reserved.
    fn name(&mut self, what: &str) -> Parsed<At> {
        match self.token.kind {
            Kind::Word(Word::Name) => Ok(self.bump()),
            Kind::Word(_) => Err(self.say_reserved(what)),
            _ => Err(self.say_expected(
                what,
                "a name begins with a letter; letters, digits, `_` and hyphens follow: `wall-height`",
            )),
        }
    }

    fn deeper<T>(&mut self, read: impl FnOnce(&mut Self) -> Parsed<T>) -> Parsed<T> {
        if self.depth >= DEEPEST {
            return Err(self.say_deep());
        }
        self.depth += 1;
        let result = read(self);
        self.depth -= 1;
        result
    }

    fn pass_line_ends(&mut self) {
        while self.take(Kind::LineEnd) {}
    }

    /// After a statement: its line must end here.
    fn end_of_statement(&mut self) -> Parsed<()> {
        match self.token.kind {
            _ if std::mem::take(&mut self.cut_short) => Ok(()),
            Kind::LineEnd | Kind::End | Kind::CloseBrace => Ok(()),
            _ => Err(self.say_leftover()),
        }
    }

    /// Passes over the rest of a line that could not be read. Stops before `{` where `at_block`,
    /// else passes over the block that begins there.
    fn recover(&mut self, at_block: bool) {
        if let Some(bytes) = self.lexer.leave_brackets(self.again) {
            self.again -= bytes;
            self.bump();
        }
        loop {
            match self.token.kind {
                Kind::LineEnd | Kind::End | Kind::CloseBrace => return,
                Kind::OpenBrace if at_block => return,
                Kind::OpenBrace => self.pass_block(),
                _ => {
                    self.bump();
                    self.lexer.leave_brackets(0);
                }
            }
        }
    }

    /// Passes over a block, from `{` to its `}`.
    fn pass_block(&mut self) {
        let mut open = 0_usize;
        loop {
            match self.token.kind {
                Kind::OpenBrace => open += 1,
                Kind::CloseBrace => open = open.saturating_sub(1),
                Kind::End => return,
                _ => {}
            }
            self.bump();
            self.lexer.leave_brackets(0);
            if open == 0 {
                return;
            }
        }
    }

    /// A block must begin here.
    fn expect_block(&mut self, of: &str) -> Parsed<()> {
        if self.on(Kind::OpenBrace) {
            return Ok(());
        }
        let help = format!("write {of} between `{{` and `}}`, the `{{` on the same line");
        Err(self.say_expected("`{`", &help))
    }
    fn open_block(&mut self) -> Open {
        let indent = self.lexer.indent();
        Open { at: self.bump(), indent }
    }

    /// Whether the block opened at `open` ends here: at its `}`, at the end of the file, or where
    /// a statement begins that stands further left than the block and does not belong in it.
    fn block_ends(&mut self, open: Open, here: Context) -> bool {
        self.pass_line_ends();
        match self.token.kind {
            Kind::CloseBrace => {
                self.bump();
                true
            }
            Kind::End => {
                self.say_unclosed(open.at);
                true
            }
            Kind::Word(word) if !item::contexts(word).intersects(here) => {
                let closes = word != Word::Else
                    && !item::contexts(word).is_empty()
                    && self.lexer.begins_line(self.token.at.start)
                    && self.lexer.indent() <= open.indent;
                if closes {
                    self.say_unclosed(open.at);
                    self.cut_short = true;
                }
                closes
            }
            _ => false,
        }
    }
}
