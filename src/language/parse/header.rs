//! First lines of jobs, frames, members, recipes; waivers, constants and settings.

use super::super::lex::Kind;
use super::super::tree::*;
use super::super::words::{FRAME_KINDS, USAGES, Word};
use super::{Context, Failed, Open, Parsed, Parser};
use crate::member::model::{FrameKind, Usage};

use super::item::Entry;

impl Parser<'_> {
    /// `job KP07 "title" revision B`.
    pub(super) fn job(&mut self) -> Parsed<Job> {
        let start = self.bump();
        let name = self.label("the job's name")?;
        let title = if self.on(Kind::String) { Some(self.bump()) } else { None };
        let revision =
            if self.take_text("revision") { Some(self.label("the revision")?) } else { None };
        Ok(Job { at: self.since(start), name, title, revision })
    }

    /// `let name = value`.
    pub(super) fn constant(&mut self) -> Parsed<Let> {
        let start = self.bump();
        let name = self.name("a name for the value")?;
        if !self.take(Kind::Equals) {
            return Err(self.say_expected("`=`", "write `let wall-height = 2400`"));
        }
        let value = self.expression("a value")?;
        Ok(Let { at: self.since(start), name, value })
    }

    /// A setting; its word stands here.
    pub(super) fn setting(&mut self) -> Parsed<Setting> {
        let start = self.token.at;
        let Kind::Word(word) = self.token.kind else { return Err(Failed) };
        self.bump();
        let valued = !matches!(word, Word::Turnable | Word::Not);
        if valued && self.on(Kind::Equals) {
            return Err(self.say_setting_equals(start));
        }
        let kind = match word {
            Word::Length => SettingKind::Length(self.expression("a length")?),
            Word::Quantity => SettingKind::Quantity(self.expression("how many")?),
            Word::Tolerance => SettingKind::Tolerance(self.tolerance()?),
            Word::LengthTolerance => SettingKind::LengthTolerance(self.tolerance()?),
            Word::Profile => SettingKind::Profile(self.label("a profile's name")?),
            Word::MarkText => SettingKind::MarkText(self.string("the text to print")?),
            Word::Not => {
                if !self.take_word(Word::Turnable) {
                    return Err(self.say_expected("`turnable`", "write `not turnable`"));
                }
                SettingKind::Turnable(false)
            }
            _ => SettingKind::Turnable(true),
        };
        Ok(Setting { at: self.since(start), kind })
    }

    fn settings(&mut self, allowed: impl Fn(Word) -> bool) -> (Slice<Setting>, Parsed<()>) {
        let first = self.scratch.settings.len();
        let mut read = Ok(());
        while let Kind::Word(word) = self.token.kind
            && allowed(word)
        {
            match self.setting() {
                Ok(setting) => self.scratch.settings.push(setting),
                Err(failed) => {
                    read = Err(failed);
                    break;
                }
            }
        }
        (self.tree.keep(&mut self.scratch.settings, first), read)
    }

    /// `waive RULE frame N1 mark S3 reference "…" by "…"`.
    pub(super) fn waive(&mut self) -> Parsed<Waive> {
        let start = self.bump();
        let rule = self.label("the rule or code that is waived")?;
        let frame =
            if self.take_word(Word::Frame) { Some(self.label("a frame's name")?) } else { None };
        let mark = if self.take_text("mark") { Some(self.label("a mark")?) } else { None };
        let help = "write `waive hole-to-end mark C2 reference \"letter 12\" by \"the engineer\"`";
        if !self.take_text("reference") {
            return Err(self.say_expected("`reference`", help));
        }
        let reference = self.string("the letter or drawing")?;
        if !self.take_text("by") {
            return Err(self.say_expected("`by`", help));
        }
        let by = self.string("who allowed it")?;
        Ok(Waive { at: self.since(start), rule, frame, mark, reference, by })
    }

    /// `recipe name(params) { … }` or `group name(params) { … }`.
    pub(super) fn recipe(&mut self) -> Parsed<Recipe> {
        let start = self.bump();
        let name = self.name("a name for it");
        let mut params = Vec::new();
        let header = match &name {
            Ok(_) => self.params(&mut params),
            Err(_) => Err(Failed),
        };
        let params = self.tree.keep(&mut params, 0);
        let (body, broken) = self.body_after(header, "its statements");
        let at = self.since(start);
        name.map(|name| Recipe { at, name, params, body, broken })
    }

    fn params(&mut self, params: &mut Vec<Param>) -> Parsed<()> {
        let open = self.token.at;
        if !self.take(Kind::OpenParen) {
            return Err(self.say_expected(
                "`(`",
                "parameters stand in brackets, even if there are none: `recipe end-joint() { … }`",
            ));
        }
        if !self.on(Kind::CloseParen) {
            loop {
                let name = self.name("a parameter's name")?;
                let default = if self.take(Kind::Equals) {
                    Some(self.expression("a default")?)
                } else {
                    None
                };
                params.push(Param { name, default });
                if !self.take(Kind::Comma) {
                    break;
                }
            }
        }
        if self.take(Kind::CloseParen) {
            Ok(())
        } else {
            Err(self.say_unclosed_bracket(open, ")", false))
        }
    }

    /// `frame N1 wall "title" profile C90 quantity 2 { … }`.
    pub(super) fn frame(&mut self) -> Frame {
        let start = self.bump();
        let mut frame = Frame {
            at: start,
            name: start,
            kind: None,
            title: None,
            settings: Slice::EMPTY,
            body: start,
            parts: Slice::EMPTY,
            broken: false,
        };
        let header = self.frame_header(&mut frame);
        if header.and_then(|()| self.expect_block("the frame's members")).is_err() {
            frame.broken = true;
            self.recover(true);
        }
        if self.on(Kind::OpenBrace) {
            let open = self.open_block();
            self.frame_body(open, &mut frame);
        }
        frame.at = self.since(start);
        frame
    }

    fn frame_header(&mut self, frame: &mut Frame) -> Parsed<()> {
        frame.name = self.label("the frame's name")?;
        frame.kind = self.frame_kind();
        frame.broken = frame.kind.is_none();
        if self.on(Kind::String) {
            frame.title = Some(self.bump());
        }
        let (settings, read) = self.settings(|word| matches!(word, Word::Profile | Word::Quantity));
        frame.settings = settings;
        read
    }

    /// Reports one it does not know, and passes over it.
    fn frame_kind(&mut self) -> Option<FrameKind> {
        for &(word, kind) in FRAME_KINDS {
            if self.take_text(word) {
                return Some(kind);
            }
        }
        self.say_frame_kind();
        if self.on_word(Word::Name) {
            self.bump();
        }
        None
    }

    fn frame_body(&mut self, open: Open, frame: &mut Frame) {
        let mut parts = Vec::new();
        while !self.block_ends(open, Context::FRAME) {
            parts.push(match self.entry(Context::FRAME) {
                Entry::Member(member) => FramePart::Member(member),
                Entry::Let(constant) => FramePart::Let(constant),
                Entry::Setting(setting) => FramePart::Setting(setting),
                Entry::Waive(waive) => FramePart::Waive(waive),
                other => FramePart::Broken(other.at()),
            });
        }
        frame.parts = self.tree.keep(&mut parts, 0);
        frame.body = self.since(open.at);
    }

    /// `member S1..S7 stud length 2386 = recipe(args) { … }`.
    pub(super) fn member(&mut self) -> Member {
        let start = self.bump();
        let mut member = Member {
            at: start,
            marks: Slice::EMPTY,
            usage: None,
            usage_at: start,
            settings: Slice::EMPTY,
            recipe: None,
            body: None,
            broken: false,
        };
        let header = self.member_header(&mut member);
        if header.is_err() || self.on(Kind::OpenBrace) {
            let (body, broken) = self.body_after(header, "the member's features");
            member.broken |= broken;
            member.body = Some(body);
        }
        member.at = self.since(start);
        member
    }

    fn member_header(&mut self, member: &mut Member) -> Parsed<()> {
        let mut marks = Vec::new();
        let read = self.marks(&mut marks);
        member.marks = self.tree.keep(&mut marks, 0);
        read?;
        member.usage_at = self.token.at;
        member.usage = self.usage();
        member.usage_at = self.since(member.usage_at);
        member.broken = member.usage.is_none();
        let (settings, read) = self.settings(|word| {
            matches!(
                word,
                Word::Length
                    | Word::Quantity
                    | Word::Tolerance
                    | Word::LengthTolerance
                    | Word::Profile
                    | Word::MarkText
                    | Word::Not
                    | Word::Turnable
            )
        });
        member.settings = settings;
        read?;
        if self.take(Kind::Equals) {
            let name = self.name("a recipe's name")?;
            if !self.on(Kind::OpenParen) {
                return Err(
                    self.say_expected("`(`", "write the recipe's arguments: `= stud(2386)`")
                );
            }
            member.recipe = Some(self.deeper(|p| p.call(name))?);
        }
        match self.token.kind {
            Kind::LineEnd | Kind::End | Kind::CloseBrace | Kind::OpenBrace => Ok(()),
            _ => Err(self.say_member_leftover()),
        }
    }

    fn marks(&mut self, marks: &mut Vec<Marks>) -> Parsed<()> {
        loop {
            let from = self.label("the member's mark")?;
            let to = if self.range_sign(from) { Some(self.label("the last mark")?) } else { None };
            marks.push(Marks { at: self.since(from), from, to });
            if !self.take(Kind::Comma) {
                return Ok(());
            }
        }
    }

    /// Passes over `..` between two marks; and over what else is written there, which it reports:
    /// what is meant is plain, and the member can be read.
    fn range_sign(&mut self, from: At) -> bool {
        if !self.on_range_sign() {
            return false;
        }
        let stand = self.stand();
        let start = self.token.at;
        if self.take(Kind::Dots) && !self.on_range_sign() {
            return true;
        }
        while self.on_range_sign() {
            self.bump();
        }
        let sign = self.since(start);
        let last = self.token.at.text(self.text);
        let mark = matches!(self.token.kind, Kind::Word(_) | Kind::Mark | Kind::Number);
        if mark && last.ends_with(|c: char| c.is_ascii_digit()) {
            self.say_range_sign(from, sign, last);
            return true;
        }
        self.back_to(stand);
        self.take(Kind::Dots)
    }
    fn on_range_sign(&self) -> bool {
        match self.token.kind {
            Kind::Word(Word::To) | Kind::Dots | Kind::Minus | Kind::Colon => true,
            Kind::Unknown => matches!(self.token.at.text(self.text), "." | "…" | "–" | "—"),
            _ => self.on_text("through") || self.on_text("thru"),
        }
    }

    /// Reports one it does not know, and passes over it.
    fn usage(&mut self) -> Option<Usage> {
        if self.on_word(Word::Name) {
            let first = self.token.at.text(self.text);
            for &(phrase, usage) in USAGES {
                if phrase.first() == Some(&first) && self.take_phrase(phrase) {
                    return Some(usage);
                }
            }
        }
        self.say_usage();
        while self.on_word(Word::Name) {
            self.bump();
        }
        None
    }

    /// Takes a phrase of which the first word stands here.
    fn take_phrase(&mut self, phrase: &[&str]) -> bool {
        let stand = self.stand();
        self.bump();
        for word in phrase.iter().skip(1) {
            let member = *word == "member" && self.take_word(Word::Member);
            if !member && !self.take_text(word) {
                self.back_to(stand);
                return false;
            }
        }
        true
    }
}
