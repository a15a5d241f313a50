//! Expressions, by precedence: `or`, `and`, `not`, comparison, sum, product, sign.

use super::super::lex::Kind;
use super::super::tree::*;
use super::super::words::Word;
use super::{DEEPEST, Failed, Parsed, Parser};
use crate::member::model::Datum;

const ANY: u8 = 1;
const NOT: u8 = 3;
const COMPARISON: u8 = 4;
const SUM: u8 = 5;
const PRODUCT: u8 = 6;

fn operator(kind: Kind) -> Option<(Binary, u8)> {
    Some(match kind {
        Kind::Word(Word::Or) => (Binary::Or, ANY),
        Kind::Word(Word::And) => (Binary::And, 2),
        Kind::Less => (Binary::Less, COMPARISON),
        Kind::LessOrEqual => (Binary::LessOrEqual, COMPARISON),
        Kind::Greater => (Binary::Greater, COMPARISON),
        Kind::GreaterOrEqual => (Binary::GreaterOrEqual, COMPARISON),
        Kind::Same => (Binary::Equal, COMPARISON),
        Kind::Differs => (Binary::NotEqual, COMPARISON),
        Kind::Plus => (Binary::Add, SUM),
        Kind::Minus => (Binary::Subtract, SUM),
        Kind::Star => (Binary::Multiply, PRODUCT),
        Kind::Slash => (Binary::Divide, PRODUCT),
        _ => return None,
    })
}

impl Parser<'_> {
    /// An expression; `what` says what for.
    pub(super) fn expression(&mut self, what: &str) -> Parsed<ExprId> {
        self.climb(ANY, what)
    }
    /// Products and quotients only: what may follow `-` in a tolerance.
    pub(super) fn product(&mut self, what: &str) -> Parsed<ExprId> {
        self.climb(PRODUCT, what)
    }

    fn climb(&mut self, least: u8, what: &str) -> Parsed<ExprId> {
        let start = self.token.at;
        let mut left = if self.on_word(Word::Not) && least <= NOT {
            self.bump();
            let operand = self.deeper(|p| p.climb(NOT, "a condition"))?;
            self.grow()?;
            let at = self.since(start);
            self.tree.add(Expr::Unary { at, op: Unary::Not, operand })
        } else {
            self.unary(what)?
        };
        while let Some((op, level)) = operator(self.token.kind) {
            if level < least {
                break;
            }
            self.bump();
            if op == Binary::Divide && self.divides_by_fraction() {
                return Err(self.say_fraction_divisor());
            }
            let before = self.height;
            let right = self.climb(level + 1, "a value")?;
            self.height = self.height.max(before);
            self.grow()?;
            let at = self.since(start);
            left = self.tree.add(Expr::Binary { at, op, left, right });
            if level == COMPARISON && operator(self.token.kind).is_some_and(|(_, l)| l == level) {
                return Err(self.say_chained());
            }
        }
        Ok(left)
    }

    fn grow(&mut self) -> Result<(), Failed> {
        self.height += 1;
        if self.height > DEEPEST { Err(self.say_deep()) } else { Ok(()) }
    }

    /// `a / 1/2` could mean two things. Signs before the fraction change nothing.
    fn divides_by_fraction(&mut self) -> bool {
        let fraction = |p: &Self| p.on(Kind::Number) && p.lexer.written.fraction;
        if !self.on(Kind::Minus) {
            return fraction(self);
        }
        let stand = self.stand();
        while self.take(Kind::Minus) {}
        let divides = fraction(self);
        self.back_to(stand);
        divides
    }

    fn unary(&mut self, what: &str) -> Parsed<ExprId> {
        if !self.on(Kind::Minus) {
            return self.primary(what);
        }
        let start = self.bump();
        let operand = self.deeper(|p| p.unary("a value"))?;
        self.grow()?;
        let at = self.since(start);
        Ok(self.tree.add(Expr::Unary { at, op: Unary::Negate, operand }))
    }

    fn primary(&mut self, what: &str) -> Parsed<ExprId> {
        self.height = 1;
        let at = self.token.at;
        let expr = match self.token.kind {
            Kind::Number => return Ok(self.number()),
            Kind::Word(Word::Name) => {
                self.bump();
                if self.on(Kind::OpenParen) {
                    return self.function(at);
                }
                return Ok(self.tree.add(Expr::Name(at)));
            }
            Kind::Word(Word::Start) => Expr::Datum(at, Datum::Start),
            Kind::Word(Word::Middle) => Expr::Datum(at, Datum::Middle),
            Kind::Word(Word::End) => Expr::Datum(at, Datum::End),
            Kind::Word(Word::Yes) => Expr::Flag(at, true),
            Kind::Word(Word::No) => Expr::Flag(at, false),
            Kind::OpenParen => return self.deeper(|p| p.paren(at)),
            Kind::OpenBracket => return self.deeper(|p| p.list(at)),
            _ => return Err(self.say_no_value(what)),
        };
        self.bump();
        Ok(self.tree.add(expr))
    }

    /// The number that stands here.
    pub(super) fn number(&mut self) -> ExprId {
        let written = self.lexer.written;
        let at = self.bump();
        self.tree.add(Expr::Number(Number {
            at,
            numerator: written.numerator,
            denominator: written.denominator,
            unit: written.unit,
        }))
    }

    fn function(&mut self, name: At) -> Parsed<ExprId> {
        let call = self.deeper(|p| p.call(name))?;
        self.grow()?;
        Ok(self.tree.add(Expr::Call(call)))
    }

    fn paren(&mut self, open: At) -> Parsed<ExprId> {
        self.bump();
        let inner = self.expression("a value")?;
        if !self.take(Kind::CloseParen) {
            return Err(self.say_unclosed_bracket(open, ")", true));
        }
        self.grow()?;
        let at = self.since(open);
        Ok(self.tree.add(Expr::Paren { at, inner }))
    }

    fn list(&mut self, open: At) -> Parsed<ExprId> {
        self.bump();
        let first = self.scratch.ids.len();
        let read = self.items(open);
        let height = self.height;
        let items = self.tree.keep(&mut self.scratch.ids, first);
        read?;
        self.height = height;
        self.grow()?;
        let at = self.since(open);
        Ok(self.tree.add(Expr::List { at, items }))
    }

    fn items(&mut self, open: At) -> Parsed<()> {
        let mut height = 0;
        if !self.on(Kind::CloseBracket) {
            loop {
                let item = self.expression("an item of the list")?;
                height = height.max(self.height);
                self.scratch.ids.push(item);
                if !self.take(Kind::Comma) {
                    break;
                }
            }
        }
        self.height = height;
        if self.take(Kind::CloseBracket) {
            Ok(())
        } else {
            Err(self.say_unclosed_bracket(open, "]", false))
        }
    }

    /// `(args)` after the name of what is called; `(` stands here.
    pub(super) fn call(&mut self, name: At) -> Parsed<Call> {
        let open = self.bump();
        let first = self.scratch.args.len();
        let read = self.args(open);
        let height = self.height;
        let args = self.tree.keep(&mut self.scratch.args, first);
        read?;
        self.height = height;
        Ok(Call { at: self.since(name), name, args })
    }

    fn args(&mut self, open: At) -> Parsed<()> {
        let mut height = 0;
        if !self.on(Kind::CloseParen) {
            loop {
                let arg = self.arg()?;
                height = height.max(self.height);
                self.scratch.args.push(arg);
                if !self.take(Kind::Comma) {
                    break;
                }
            }
        }
        self.height = height;
        if self.take(Kind::CloseParen) {
            Ok(())
        } else {
            Err(self.say_unclosed_bracket(open, ")", false))
        }
    }

    fn arg(&mut self) -> Parsed<Arg> {
        if self.on_word(Word::Name) {
            let stand = self.stand();
            let name = self.bump();
            if self.take(Kind::Equals) {
                return Ok(Arg { name: Some(name), value: self.expression("a value")? });
            }
            self.back_to(stand);
        }
        Ok(Arg { name: None, value: self.expression("an argument")? })
    }

    /// `0.5`, or `-0.5/+1`.
    pub(super) fn tolerance(&mut self) -> Parsed<Tolerance> {
        let start = self.token.at;
        if self.on(Kind::Minus) {
            let stand = self.stand();
            self.bump();
            let silent = self.found.len();
            let unsaid = self.unsaid;
            if let Ok(minus) = self.product("how far below")
                && self.take(Kind::SlashPlus)
            {
                let plus = Some(self.product("how far above, after `/+`")?);
                return Ok(Tolerance { at: self.since(start), minus, plus });
            }
            // No `/+` follows: an ordinary value with a sign, read from its beginning.
            self.found.truncate(silent);
            self.unsaid = unsaid;
            self.back_to(stand);
        }
        let minus = self.expression("a tolerance such as `0.5` or `-0.5/+1`")?;
        Ok(Tolerance { at: self.since(start), minus, plus: None })
    }
}
