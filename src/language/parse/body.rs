//! Bodies of recipes, groups and members: their statements, conditions and repetitions.

use super::super::lex::Kind;
use super::super::tree::*;
use super::super::words::Word;
use super::item::Entry;
use super::{Context, Parsed, Parser};
use crate::member::model::End;

impl Parser<'_> {
    /// A body; `{` stands here.
    fn body(&mut self) -> Parsed<Block> {
        if self.depth >= super::DEEPEST {
            return Err(self.say_deep());
        }
        self.depth += 1;
        let open = self.open_block();
        let first = self.scratch.statements.len();
        while !self.block_ends(open, Context::BODY) {
            let statement = match self.entry(Context::BODY) {
                Entry::Statement(statement) => statement,
                Entry::Setting(setting) => Statement::Setting(setting),
                Entry::Let(constant) => Statement::Let(constant),
                other => Statement::Broken(other.at()),
            };
            self.scratch.statements.push(statement);
        }
        self.depth -= 1;
        let statements = self.tree.keep(&mut self.scratch.statements, first);
        Ok(Block { at: self.since(open.at), statements })
    }

    /// A body, `of` what is said; it is read even if what stands before it could not be.
    pub(super) fn body_after(&mut self, header: Parsed<()>, of: &str) -> (Block, bool) {
        let mut broken = header.and_then(|()| self.expect_block(of)).is_err();
        if broken {
            self.recover(true);
        }
        let start = self.last;
        if broken && !self.on(Kind::OpenBrace) {
            return (Block { at: start, statements: Slice::EMPTY }, true);
        }
        let block = self.body().unwrap_or_else(|_| {
            broken = true;
            self.recover(false);
            Block { at: start, statements: Slice::EMPTY }
        });
        (block, broken)
    }

    /// `if … { } else if … { } else { }`.
    pub(super) fn condition(&mut self) -> Statement {
        let start = self.bump();
        let first = self.scratch.branches.len();
        let mut otherwise = None;
        let mut broken = false;
        loop {
            let condition = self.condition_value();
            let missing = self.since(self.last.to(self.last));
            let header = condition.as_ref().map(|_| ()).map_err(|_| super::Failed);
            let condition = condition.unwrap_or_else(|_| self.tree.add(Expr::Missing(missing)));
            let (block, bad) = self.body_after(header, "what is made then");
            broken |= bad;
            self.scratch.branches.push(Branch { condition, block });
            if !self.take_word(Word::Else) {
                break;
            }
            if !self.take_word(Word::If) {
                let (block, bad) = self.body_after(Ok(()), "what is made otherwise");
                broken |= bad;
                otherwise = Some(block);
                break;
            }
        }
        let branches = self.tree.keep(&mut self.scratch.branches, first);
        let at = self.since(start);
        if broken && self.tree.get(branches).iter().all(|branch| branch.block.statements.is_empty())
        {
            return Statement::Broken(at);
        }
        Statement::If(If { at, branches, otherwise })
    }

    fn condition_value(&mut self) -> Parsed<ExprId> {
        let condition = self.expression("a condition")?;
        if self.on(Kind::Equals) {
            return Err(self.say_single_equals());
        }
        Ok(condition)
    }

    /// `for name in list { }`.
    pub(super) fn repetition(&mut self) -> Statement {
        let start = self.bump();
        let header = self.repetition_header();
        let read = header.as_ref().map(|_| ()).map_err(|_| super::Failed);
        let (block, _) = self.body_after(read, "what is made for each");
        let at = self.since(start);
        match header {
            Ok((name, list)) => Statement::For(For { at, name, list, block }),
            Err(_) => Statement::Broken(at),
        }
    }

    fn repetition_header(&mut self) -> Parsed<(At, ExprId)> {
        let name = self.name("a name for each item")?;
        if !self.take_word(Word::In) {
            return Err(self.say_expected("`in`", "write `for nog in nogs { … }`"));
        }
        Ok((name, self.expression("a list")?))
    }

    /// `start square`, `end slope 4 : 12 long point left`, `both ends square`.
    pub(super) fn end_shape(&mut self) -> Parsed<EndShape> {
        let start = self.token.at;
        let ends = if self.take_word(Word::Start) {
            Ends::One(End::Start)
        } else if self.take_word(Word::End) {
            Ends::One(End::End)
        } else {
            self.bump();
            self.ends_word()?;
            Ends::Both
        };
        if self.take_text("square") {
            return Ok(EndShape { at: self.since(start), ends, slope: None });
        }
        if !self.take_text("slope") {
            return Err(self.say_expected(
                "`square` or `slope`",
                "write `start square`, or `end slope 4 : 12 long point left`",
            ));
        }
        let rise = self.expression("the rise")?;
        if !self.take(Kind::Colon) {
            return Err(
                self.say_expected("`:`", "write a slope as rise : run, such as `slope 4 : 12`")
            );
        }
        let run = self.expression("the run")?;
        let long = if self.take_text("long") {
            if !self.take_text("point") {
                return Err(self.say_expected("`point`", "write `long point left`"));
            }
            Some(self.side()?)
        } else {
            None
        };
        Ok(EndShape { at: self.since(start), ends, slope: Some(Slope { rise, run, long }) })
    }

    fn side(&mut self) -> Parsed<Side> {
        if self.take_text("left") {
            Ok(Side::Left)
        } else if self.take_text("right") {
            Ok(Side::Right)
        } else {
            Err(self.say_expected(
                "`left` or `right`",
                "name the flange at which the member is longest: `long point left`",
            ))
        }
    }
}
