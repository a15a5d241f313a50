//! Expressions as written.

use super::{At, ExprId, Slice};
use crate::member::model::Datum;
use crate::quantity::Rational;

/// Units a number can be written in.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Unit {
    /// Millimetres: what a bare number is in, unless the file says otherwise.
    Millimetre,
    /// Metres.
    Metre,
    /// Inches; feet-inches are counted in inches.
    Inch,
    /// Feet.
    Foot,
}

impl Unit {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Unit::Millimetre => "mm",
            Unit::Metre => "m",
            Unit::Inch => "in",
            Unit::Foot => "ft",
        }
    }
    /// Millimetres in one: 1, 1000, 25.4, 304.8, exactly.
    pub fn millimetres(self) -> Rational {
        let tenths = match self {
            Unit::Millimetre => 10,
            Unit::Metre => 10_000,
            Unit::Inch => 254,
            Unit::Foot => 3_048,
        };
        Rational::new(tenths, 10).unwrap_or(Rational::ZERO)
    }
}

/// A number as written: `450`, `0.75`, `3 1/2in`, `5-1/2`, `8ft 4 1/2in`.
#[derive(Clone, Copy, Debug)]
pub struct Number {
    /// Where.
    pub at: At,
    /// Over `denominator`; not reduced.
    pub numerator: i64,
    /// Zero where the writer divided by nought: [`Number::value`] is `None` then.
    pub denominator: i64,
    /// `None` for a bare number: a count, or a length in the file's unit.
    pub unit: Option<Unit>,
}

impl Number {
    /// Its value in its own unit; `None` when its fraction is over nought.
    pub fn value(self) -> Option<Rational> {
        Rational::new(i128::from(self.numerator), i128::from(self.denominator))
    }
}

/// `a + b` and the like.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
#[allow(missing_docs)] // each is its sign
pub enum Binary {
    Add,
    Subtract,
    Multiply,
    Divide,
    Less,
    LessOrEqual,
    Greater,
    GreaterOrEqual,
    Equal,
    NotEqual,
    And,
    Or,
}

impl Binary {
    /// As written.
    pub const fn sign(self) -> &'static str {
        match self {
            Binary::Add => "+",
            Binary::Subtract => "-",
            Binary::Multiply => "*",
            Binary::Divide => "/",
            Binary::Less => "<",
            Binary::LessOrEqual => "<=",
            Binary::Greater => ">",
            Binary::GreaterOrEqual => ">=",
            Binary::Equal => "==",
            Binary::NotEqual => "!=",
            Binary::And => "and",
            Binary::Or => "or",
        }
    }
}

/// `-a` or `not a`.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
#[allow(missing_docs)] // each is its sign
pub enum Unary {
    Negate,
    Not,
}

/// An expression.
#[derive(Clone, Copy, Debug)]
pub enum Expr {
    /// A number.
    Number(Number),
    /// A constant or parameter.
    Name(At),
    /// `start`, `middle`, `end`: a position on the member; a length may be added to it.
    Datum(At, Datum),
    /// `yes`, `no`.
    Flag(At, bool),
    /// One operand.
    Unary {
        /// All of it.
        at: At,
        /// Which.
        op: Unary,
        /// What it works on.
        operand: ExprId,
    },
    /// Two operands.
    Binary {
        /// All of it.
        at: At,
        /// Which.
        op: Binary,
        /// Left of it.
        left: ExprId,
        /// Right of it.
        right: ExprId,
    },
    /// `( … )`: means what is in it.
    Paren {
        /// All of it.
        at: At,
        /// What is in it.
        inner: ExprId,
    },
    /// `min(a, b)`; which functions there are is not the tree's business.
    Call(Call),
    /// `[a, b]`.
    List {
        /// All of it.
        at: At,
        /// Its items.
        items: Slice<ExprId>,
    },
    /// Could not be read; reported already.
    Missing(At),
}

impl Expr {
    /// All of it.
    pub const fn at(self) -> At {
        match self {
            Expr::Number(Number { at, .. })
            | Expr::Name(at)
            | Expr::Datum(at, _)
            | Expr::Flag(at, _)
            | Expr::Unary { at, .. }
            | Expr::Binary { at, .. }
            | Expr::Paren { at, .. }
            | Expr::Call(Call { at, .. })
            | Expr::List { at, .. }
            | Expr::Missing(at) => at,
        }
    }
}

/// `name(args)`: a function in an expression, a recipe or group in a body.
#[derive(Clone, Copy, Debug)]
pub struct Call {
    /// All of it.
    pub at: At,
    /// What is called.
    pub name: At,
    /// With what.
    pub args: Slice<Arg>,
}

/// One argument.
#[derive(Clone, Copy, Debug)]
pub struct Arg {
    /// `name = …`, if it is given by name.
    pub name: Option<At>,
    /// Its value.
    pub value: ExprId,
}

/// `0.5`, or `-0.5/+1`.
#[derive(Clone, Copy, Debug)]
pub struct Tolerance {
    /// All of it.
    pub at: At,
    /// How far below (written without its sign when the two differ).
    pub minus: ExprId,
    /// How far above; the same as below when `None`.
    pub plus: Option<ExprId>,
}
