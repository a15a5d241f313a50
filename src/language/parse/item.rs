//! Which statement stands here, and whether it may: the outer level, frames and bodies share it,
//! so that one in the wrong place is still read and reported as such.

use super::super::lex::Kind;
use super::super::tree::*;
use super::super::words::Word;
use super::{Context, Parsed, Parser};

/// Any statement.
pub(super) enum Entry {
    Item(Item),
    Member(Member),
    Statement(Statement),
    Let(Let),
    Setting(Setting),
    Waive(Waive),
    Broken(At),
}

impl Entry {
    pub(super) fn at(&self) -> At {
        match self {
            Entry::Item(item) => item.at(),
            Entry::Member(member) => member.at,
            Entry::Statement(statement) => statement.at(),
            Entry::Let(constant) => constant.at,
            Entry::Setting(setting) => setting.at,
            Entry::Waive(waive) => waive.at,
            Entry::Broken(at) => *at,
        }
    }
}

/// Where a statement that begins with this word may stand; none for words that begin none.
pub(super) fn contexts(word: Word) -> Context {
    match word {
        Word::Job | Word::Units | Word::Include | Word::Recipe | Word::Group | Word::Frame => {
            Context::FILE
        }
        Word::Member => Context::FRAME,
        Word::Waive => Context::FILE | Context::FRAME,
        Word::Let
        | Word::Tolerance
        | Word::LengthTolerance
        | Word::Profile
        | Word::MarkText
        | Word::Not
        | Word::Turnable => Context::all(),
        Word::Length
        | Word::Quantity
        | Word::If
        | Word::For
        | Word::Start
        | Word::End
        | Word::Both
        | Word::Name => Context::BODY,
        _ => Context::empty(),
    }
}

/// Words a statement can begin with here.
pub(super) fn openers(here: Context) -> impl Iterator<Item = &'static str> {
    super::super::words::RESERVED
        .iter()
        .copied()
        .filter(move |word| contexts(Word::of(word.as_bytes())).intersects(here))
}

impl Parser<'_> {
    /// The outer level.
    pub(super) fn file(&mut self) {
        loop {
            self.pass_line_ends();
            match self.token.kind {
                Kind::End => return,
                Kind::CloseBrace => {
                    self.say_stray_brace();
                    self.bump();
                }
                _ => {
                    let item = match self.entry(Context::FILE) {
                        Entry::Item(item) => item,
                        Entry::Let(constant) => Item::Let(constant),
                        Entry::Setting(setting) => Item::Setting(setting),
                        Entry::Waive(waive) => Item::Waive(waive),
                        other => Item::Broken(other.at()),
                    };
                    self.tree.items.push(item);
                }
            }
        }
    }

    /// One statement, to the end of its line or block. Always passes over something.
    pub(super) fn entry(&mut self, here: Context) -> Entry {
        let start = self.token.at;
        let Kind::Word(mut word) = self.token.kind else {
            self.say_no_statement(here);
            // Whatever stands here is passed over even if the rest of the line is to be kept.
            self.pass_one();
            self.recover(false);
            return Entry::Broken(self.since(start));
        };
        let misplaced = !contexts(word).intersects(here);
        if misplaced {
            match self.say_misplaced(word, here) {
                Some(meant) => word = meant,
                None => {
                    self.pass_one();
                    self.recover(false);
                    return Entry::Broken(self.since(start));
                }
            }
        }
        let entry = self.statement(word, here).and_then(|entry| {
            self.end_of_statement()?;
            Ok(entry)
        });
        match entry {
            Ok(entry) => entry,
            Err(_) => {
                self.recover(false);
                Entry::Broken(self.since(start))
            }
        }
    }

    fn pass_one(&mut self) {
        if self.on(Kind::OpenBrace) {
            self.pass_block();
        } else if !self.on(Kind::CloseBrace) {
            self.bump();
        }
    }

    fn statement(&mut self, word: Word, here: Context) -> Parsed<Entry> {
        Ok(match word {
            Word::Job => Entry::Item(Item::Job(self.job()?)),
            Word::Units => Entry::Item(self.units()?),
            Word::Include => {
                let start = self.bump();
                let path = self.string("a file's path")?;
                Entry::Item(Item::Include(self.since(start), path))
            }
            Word::Recipe => Entry::Item(Item::Recipe(self.recipe()?)),
            Word::Group => Entry::Item(Item::Group(self.recipe()?)),
            Word::Frame => Entry::Item(Item::Frame(self.frame())),
            Word::Member => Entry::Member(self.member()),
            Word::Waive => Entry::Waive(self.waive()?),
            Word::Let => Entry::Let(self.constant()?),
            Word::Profile => self.profile(here)?,
            Word::Tolerance
            | Word::LengthTolerance
            | Word::MarkText
            | Word::Not
            | Word::Turnable
            | Word::Length
            | Word::Quantity => Entry::Setting(self.setting()?),
            Word::If => Entry::Statement(self.condition()),
            Word::For => Entry::Statement(self.repetition()),
            Word::Start | Word::End | Word::Both => {
                Entry::Statement(Statement::EndShape(self.end_shape()?))
            }
            _ => Entry::Statement(self.feature_or_call()?),
        })
    }

    fn units(&mut self) -> Parsed<Item> {
        let start = self.bump();
        let unit = match self.token.kind {
            Kind::Word(Word::Mm) => Unit::Millimetre,
            Kind::Word(Word::In) => Unit::Inch,
            _ => return Err(self.say_expected("`mm` or `in`", "write `units mm` or `units in`")),
        };
        self.bump();
        Ok(Item::Units(self.since(start), unit))
    }

    /// `profile C90` chooses one, `profile C90 = "…"` gives one a short name.
    fn profile(&mut self, here: Context) -> Parsed<Entry> {
        let start = self.token.at;
        let setting = self.setting()?;
        let SettingKind::Profile(name) = setting.kind else { return Ok(Entry::Setting(setting)) };
        if here != Context::FILE || !self.on(Kind::Equals) {
            return Ok(Entry::Setting(setting));
        }
        if Word::of(name.text(self.text).as_bytes()) != Word::Name || !self.is_name(name) {
            return Err(self.say_alias(name));
        }
        self.bump();
        let profile = self.string("the profile's name in the shop's library")?;
        Ok(Entry::Item(Item::Profile(self.since(start), name, profile)))
    }

    fn is_name(&self, at: At) -> bool {
        let first = at.text(self.text).chars().next();
        first.is_some_and(|c| c == '_' || c.is_alphabetic())
    }
}
