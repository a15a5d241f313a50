//! What expressions come to, and the arithmetic on it: exact, and aware of what is a length.
//!
//! A bare number is a count or a length in its file's unit, whichever the place it is used in
//! asks for; it remembers the unit of the file it stands in, so a recipe written in millimetres
//! means the same when a file in inches includes it.

use crate::language::tree::{Binary, Unit};
use crate::member::model::Datum;
use crate::quantity::Rational;
use std::fmt;
use std::sync::Arc;

/// What a number counts.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(super) enum Dim {
    /// Written without a unit in a file whose bare numbers are in this one.
    Bare(Unit),
    /// A ratio or a count: never a length.
    Plain,
    /// Millimetres.
    Length,
}

/// What an expression comes to.
#[derive(Clone, PartialEq, Eq, Hash, Debug)]
pub(super) enum Value {
    /// A number.
    Number(Rational, Dim),
    /// A position on the member, this many millimetres from a datum.
    Position(Datum, Rational),
    /// Yes or no.
    Flag(bool),
    /// Values, never lists.
    List(Arc<[Value]>),
}

/// Why an operation has no value.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Fault {
    /// Beyond what 128 bits hold.
    TooLarge,
    /// Over nought.
    ByNought,
    /// Bare numbers from files in different units.
    Mixed(Unit, Unit),
    /// Not for these kinds of values: message and help.
    Kind(String, String),
}

impl Fault {
    fn kind(message: impl Into<String>, help: impl Into<String>) -> Fault {
        Fault::Kind(message.into(), help.into())
    }
}

pub(super) type Outcome<T> = Result<T, Fault>;

impl Value {
    /// What it is, with an article.
    pub(super) fn kind(&self) -> &'static str {
        match self {
            Value::Number(_, Dim::Length) => "a length",
            Value::Number(_, Dim::Bare(_)) => "a number",
            Value::Number(_, Dim::Plain) => "a ratio or a count",
            Value::Position(..) => "a position on the member",
            Value::Flag(_) => "yes or no",
            Value::List(_) => "a list",
        }
    }
}

/// A number for people: decimals where they end within nine places, a fraction otherwise.
pub(super) fn shown(value: Rational) -> String {
    let (n, d) = (value.numerator(), value.denominator());
    let mut power: i128 = 1;
    for places in 0..=9 {
        if power % d == 0 {
            let Some(scaled) = n.checked_mul(power / d) else { break };
            let (sign, digits) = (if scaled < 0 { "-" } else { "" }, scaled.unsigned_abs());
            if places == 0 {
                return format!("{sign}{digits}");
            }
            let digits = format!("{digits:0>width$}", width = places + 1);
            let (whole, rest) = digits.split_at(digits.len() - places);
            return format!("{sign}{whole}.{rest}");
        }
        power *= 10;
    }
    format!("{n}/{d}")
}

impl fmt::Display for Value {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Value::Number(n, Dim::Length) => write!(f, "{}mm", shown(*n)),
            Value::Number(n, _) => f.write_str(&shown(*n)),
            Value::Position(datum, offset) => {
                let word = match datum {
                    Datum::Start => "start",
                    Datum::Middle => "middle",
                    Datum::End => "end",
                };
                match offset.cmp(&Rational::ZERO) {
                    std::cmp::Ordering::Equal => f.write_str(word),
                    std::cmp::Ordering::Less => {
                        let offset = shown(*offset);
                        write!(f, "{word} - {}mm", offset.strip_prefix('-').unwrap_or(&offset))
                    }
                    std::cmp::Ordering::Greater => write!(f, "{word} + {}mm", shown(*offset)),
                }
            }
            Value::Flag(yes) => f.write_str(if *yes { "yes" } else { "no" }),
            Value::List(items) => write!(f, "a list of {}", items.len()),
        }
    }
}

/// A number as millimetres, where a length is meant. `None` for a plain number other than nought.
pub(super) fn as_millimetres(number: Rational, dim: Dim) -> Outcome<Option<Rational>> {
    match dim {
        Dim::Length => Ok(Some(number)),
        Dim::Bare(Unit::Millimetre) => Ok(Some(number)),
        Dim::Bare(unit) => number.checked_mul(unit.millimetres()).map(Some).ok_or(Fault::TooLarge),
        Dim::Plain => Ok((number == Rational::ZERO).then_some(number)),
    }
}

/// Two numbers made comparable and summable.
fn alike(a: (Rational, Dim), b: (Rational, Dim)) -> Outcome<(Rational, Rational, Dim)> {
    let not_plain = || {
        Fault::kind(
            "a length and a plain ratio or count do not add up or compare",
            "multiply the plain number by a length first, or write its unit",
        )
    };
    match (a.1, b.1) {
        (x, y) if x == y => Ok((a.0, b.0, x)),
        // Nought is nought in every unit.
        (Dim::Bare(_), Dim::Bare(_)) if a.0 == Rational::ZERO => Ok((a.0, b.0, b.1)),
        (Dim::Bare(_), Dim::Bare(_)) if b.0 == Rational::ZERO => Ok((a.0, b.0, a.1)),
        (Dim::Bare(x), Dim::Bare(y)) => Err(Fault::Mixed(x, y)),
        (Dim::Plain, Dim::Bare(_)) | (Dim::Bare(_), Dim::Plain) => Ok((a.0, b.0, Dim::Plain)),
        _ => {
            let x = as_millimetres(a.0, a.1)?.ok_or_else(not_plain)?;
            let y = as_millimetres(b.0, b.1)?.ok_or_else(not_plain)?;
            Ok((x, y, Dim::Length))
        }
    }
}

fn sum(a: Rational, b: Rational, minus: bool) -> Outcome<Rational> {
    if minus { a.checked_sub(b) } else { a.checked_add(b) }.ok_or(Fault::TooLarge)
}

/// `a + b`, or `a - b` when `minus`.
fn add(a: &Value, b: &Value, minus: bool) -> Outcome<Value> {
    let word = if minus { "subtract" } else { "add" };
    match (a, b) {
        (&Value::Number(x, dx), &Value::Number(y, dy)) => {
            let (x, y, dim) = alike((x, dx), (y, dy))?;
            Ok(Value::Number(sum(x, y, minus)?, dim))
        }
        (&Value::Position(datum, offset), &Value::Number(n, dim)) => {
            let by = as_millimetres(n, dim)?.ok_or_else(|| {
                Fault::kind(
                    format!("cannot {word} a plain ratio or count and a position"),
                    "multiply it by a length first, or write its unit",
                )
            })?;
            Ok(Value::Position(datum, sum(offset, by, minus)?))
        }
        (&Value::Number(..), &Value::Position(..)) if !minus => add(b, a, false),
        (&Value::Position(x, a), &Value::Position(y, b)) if minus && x == y => {
            Ok(Value::Number(sum(a, b, true)?, Dim::Length))
        }
        (&Value::Position(..), &Value::Position(..)) => Err(Fault::kind(
            "two positions measured from different datums do not make a length",
            "give the recipe its length as a parameter and reckon with that",
        )),
        _ => Err(Fault::kind(
            format!("cannot {word} {} and {}", a.kind(), b.kind()),
            "numbers, lengths and positions add up; nothing else does",
        )),
    }
}

fn multiply(a: &Value, b: &Value) -> Outcome<Value> {
    let (&Value::Number(x, dx), &Value::Number(y, dy)) = (a, b) else {
        return Err(Fault::kind(
            format!("cannot multiply {} and {}", a.kind(), b.kind()),
            "multiply numbers and lengths",
        ));
    };
    let dim = match (dx, dy) {
        (Dim::Length, Dim::Length) => {
            return Err(Fault::kind(
                "a length times a length is an area, and nothing here is one",
                "write one of the two without a unit",
            ));
        }
        (Dim::Length, _) | (_, Dim::Length) => Dim::Length,
        (Dim::Bare(p), Dim::Bare(q)) if p != q => return Err(Fault::Mixed(p, q)),
        (Dim::Bare(p), _) | (_, Dim::Bare(p)) => Dim::Bare(p),
        (Dim::Plain, Dim::Plain) => Dim::Plain,
    };
    Ok(Value::Number(x.checked_mul(y).ok_or(Fault::TooLarge)?, dim))
}

fn divide(a: &Value, b: &Value) -> Outcome<Value> {
    let (&Value::Number(x, dx), &Value::Number(y, dy)) = (a, b) else {
        return Err(Fault::kind(
            format!("cannot divide {} by {}", a.kind(), b.kind()),
            "divide numbers and lengths",
        ));
    };
    if y == Rational::ZERO {
        return Err(Fault::ByNought);
    }
    let (x, y, dim) = match (dx, dy) {
        (Dim::Plain, Dim::Length) => {
            return Err(Fault::kind(
                "a plain ratio or count divided by a length is nothing a member has",
                "divide a length by a number, or a length by a length",
            ));
        }
        (Dim::Length | Dim::Bare(_), Dim::Length) => {
            let x = as_millimetres(x, dx)?.unwrap_or(x);
            (x, y, Dim::Plain)
        }
        (Dim::Length, _) => (x, y, Dim::Length),
        (Dim::Bare(p), Dim::Bare(q)) if p != q => return Err(Fault::Mixed(p, q)),
        (Dim::Bare(p), _) => (x, y, Dim::Bare(p)),
        (Dim::Plain, _) => (x, y, Dim::Plain),
    };
    Ok(Value::Number(x.checked_div(y).ok_or(Fault::TooLarge)?, dim))
}

/// How two values order.
fn order(a: &Value, b: &Value) -> Outcome<std::cmp::Ordering> {
    match (a, b) {
        (&Value::Number(x, dx), &Value::Number(y, dy)) => {
            let (x, y, _) = alike((x, dx), (y, dy))?;
            Ok(x.cmp(&y))
        }
        (&Value::Position(x, a), &Value::Position(y, b)) if x == y => Ok(a.cmp(&b)),
        (&Value::Position(..), &Value::Position(..)) => Err(Fault::kind(
            "which of two positions from different datums comes first depends on the length",
            "give the recipe its length as a parameter and compare with that",
        )),
        _ => Err(Fault::kind(
            format!("{} and {} have no order", a.kind(), b.kind()),
            "compare numbers with numbers",
        )),
    }
}

fn same(a: &Value, b: &Value) -> Outcome<bool> {
    match (a, b) {
        (Value::Number(..), Value::Number(..)) => Ok(order(a, b)?.is_eq()),
        (Value::Position(x, a), Value::Position(y, b)) => Ok(x == y && a == b),
        (Value::Flag(a), Value::Flag(b)) => Ok(a == b),
        (Value::List(a), Value::List(b)) => {
            if a.len() != b.len() {
                return Ok(false);
            }
            for (a, b) in a.iter().zip(b.iter()) {
                if !same(a, b)? {
                    return Ok(false);
                }
            }
            Ok(true)
        }
        _ => Err(Fault::kind(
            format!("{} is never equal to {}", a.kind(), b.kind()),
            "compare two values of one kind",
        )),
    }
}

/// `a op b`, all but `and` and `or`, which need not look at their right side.
pub(super) fn binary(op: Binary, a: &Value, b: &Value) -> Outcome<Value> {
    let flag = |yes| Ok(Value::Flag(yes));
    match op {
        Binary::Add => add(a, b, false),
        Binary::Subtract => add(a, b, true),
        Binary::Multiply => multiply(a, b),
        Binary::Divide => divide(a, b),
        Binary::Less => flag(order(a, b)?.is_lt()),
        Binary::LessOrEqual => flag(order(a, b)?.is_le()),
        Binary::Greater => flag(order(a, b)?.is_gt()),
        Binary::GreaterOrEqual => flag(order(a, b)?.is_ge()),
        Binary::Equal => flag(same(a, b)?),
        Binary::NotEqual => flag(!same(a, b)?),
        Binary::And | Binary::Or => Err(Fault::kind(
            format!("`{}` joins conditions", op.sign()),
            "write a condition on each side",
        )),
    }
}

/// `-a`.
pub(super) fn negate(a: &Value) -> Outcome<Value> {
    match *a {
        Value::Number(n, dim) => Ok(Value::Number(n.checked_neg().ok_or(Fault::TooLarge)?, dim)),
        _ => Err(Fault::kind(
            format!("{} has no opposite", a.kind()),
            "put the minus before a number: `end - 45`, not `-end`",
        )),
    }
}

/// Names of the functions, for "did you mean".
pub(super) const FUNCTIONS: [&str; 7] =
    ["min", "max", "round", "round-up", "round-down", "abs", "count"];

/// `name(args)`. `None` when there is no such function.
pub(super) fn call(name: &str, args: &[Value]) -> Option<Outcome<Value>> {
    Some(match (name, args) {
        ("min" | "max", [Value::List(items)]) => extreme(name, items),
        ("min" | "max", [_, _, ..]) => extreme(name, args),
        ("min" | "max", _) => {
            wrong_args(name, "two or more values, or a list", "max(450, height / 2)")
        }
        ("round" | "round-up" | "round-down", [value, step]) => round(name, value, step),
        ("round" | "round-up" | "round-down", _) => {
            wrong_args(name, "a value and a step", "round(height / 3, 0.5)")
        }
        ("abs", [value @ Value::Number(n, _)]) => {
            if *n < Rational::ZERO {
                negate(value)
            } else {
                Ok(value.clone())
            }
        }
        ("abs", _) => wrong_args(name, "a number", "abs(rise)"),
        ("count", [Value::List(items)]) => {
            let n = i64::try_from(items.len()).unwrap_or(i64::MAX);
            Ok(Value::Number(Rational::whole(n), Dim::Plain))
        }
        ("count", _) => wrong_args(name, "a list", "count(nogs)"),
        _ => return None,
    })
}

fn wrong_args(name: &str, wants: &str, example: &str) -> Outcome<Value> {
    Err(Fault::kind(format!("`{name}` takes {wants}"), format!("write it like `{example}`")))
}

fn extreme(name: &str, items: &[Value]) -> Outcome<Value> {
    let Some((first, rest)) = items.split_first() else {
        return Err(Fault::kind(
            format!("`{name}` of an empty list is nothing"),
            "ask first: `if count(list) > 0 { … }`",
        ));
    };
    let mut best = first;
    for item in rest {
        let comes_first = order(item, best)?;
        if if name == "min" { comes_first.is_lt() } else { comes_first.is_gt() } {
            best = item;
        }
    }
    Ok(best.clone())
}

fn round(name: &str, value: &Value, step: &Value) -> Outcome<Value> {
    let &Value::Number(s, ds) = step else {
        return Err(Fault::kind(
            format!("the step of `{name}` is a number or a length, not {}", step.kind()),
            "write the step after a comma: `round(height / 3, 0.5)`",
        ));
    };
    let (number, s, whole): (Rational, Rational, &dyn Fn(Rational) -> Value) = match *value {
        Value::Number(n, dn) => {
            let (n, s, dim) = alike((n, dn), (s, ds))?;
            (n, s, &move |n| Value::Number(n, dim))
        }
        Value::Position(datum, offset) => {
            let s = as_millimetres(s, ds)?.unwrap_or(s);
            (offset, s, &move |n| Value::Position(datum, n))
        }
        _ => {
            return Err(Fault::kind(
                format!("`{name}` rounds numbers, lengths and positions, not {}", value.kind()),
                "round each item of a list by itself",
            ));
        }
    };
    if s <= Rational::ZERO {
        return Err(Fault::kind(
            format!("the step of `{name}` must be more than nought"),
            "round to what the drawing needs, such as 0.5",
        ));
    }
    let rounded = match name {
        "round" => number.round_to(s),
        _ => number.checked_div(s).and_then(|steps| {
            let steps = if name == "round-up" { steps.ceil() } else { steps.floor() };
            Rational::new(steps, 1)?.checked_mul(s)
        }),
    };
    Ok(whole(rounded.ok_or(Fault::TooLarge)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bare(n: i64, unit: Unit) -> Value {
        Value::Number(Rational::whole(n), Dim::Bare(unit))
    }
    fn mm(n: i64) -> Value {
        Value::Number(Rational::whole(n), Dim::Length)
    }
    fn plain(n: i64) -> Value {
        Value::Number(Rational::whole(n), Dim::Plain)
    }

    #[test]
    fn bare_numbers_take_the_unit_of_their_file() {
        let inch = bare(2, Unit::Inch);
        assert_eq!(
            binary(Binary::Add, &mm(1), &inch),
            Ok(Value::Number(Rational::new(518, 10).unwrap(), Dim::Length))
        );
        assert_eq!(
            binary(Binary::Add, &bare(2, Unit::Millimetre), &inch),
            Err(Fault::Mixed(Unit::Millimetre, Unit::Inch))
        );
        assert_eq!(
            binary(Binary::Less, &bare(0, Unit::Millimetre), &inch),
            Ok(Value::Flag(true)),
            "nought is nought in every unit"
        );
    }

    #[test]
    fn a_ratio_never_becomes_a_length() {
        let ratio = binary(Binary::Divide, &mm(2400), &mm(600)).unwrap();
        assert_eq!(ratio, plain(4));
        assert_eq!(as_millimetres(Rational::whole(4), Dim::Plain), Ok(None));
        assert!(binary(Binary::Add, &ratio, &mm(1)).is_err());
        assert_eq!(binary(Binary::Multiply, &ratio, &mm(10)), Ok(mm(40)));
        assert!(binary(Binary::Multiply, &mm(2), &mm(2)).is_err(), "an area");
        assert_eq!(binary(Binary::Divide, &mm(1), &mm(0)), Err(Fault::ByNought));
    }

    #[test]
    fn positions_of_one_datum_have_a_distance() {
        let at = |datum, n| Value::Position(datum, Rational::whole(n));
        assert_eq!(
            binary(Binary::Subtract, &at(Datum::End, -45), &at(Datum::End, -100)),
            Ok(mm(55))
        );
        assert!(binary(Binary::Subtract, &at(Datum::End, 0), &at(Datum::Start, 0)).is_err());
        assert_eq!(binary(Binary::Add, &mm(5), &at(Datum::End, -45)), Ok(at(Datum::End, -40)));
        assert!(negate(&at(Datum::End, 0)).is_err());
    }

    #[test]
    fn functions_round_and_choose() {
        let third = Value::Number(Rational::new(2386, 3).unwrap(), Dim::Length);
        let half = Value::Number(Rational::new(1, 2).unwrap(), Dim::Bare(Unit::Millimetre));
        let round = |name| call(name, &[third.clone(), half.clone()]).unwrap().unwrap().to_string();
        assert_eq!(round("round"), "795.5mm");
        assert_eq!(round("round-down"), "795mm");
        assert_eq!(round("round-up"), "795.5mm");
        assert_eq!(call("max", &[mm(3), mm(9), mm(4)]), Some(Ok(mm(9))));
        assert!(call("min", &[Value::List(Arc::from([]))]).unwrap().is_err());
        assert!(call("sin", &[mm(3)]).is_none());
        assert!(call("round", &[mm(3), mm(0)]).unwrap().is_err());
        assert!(call("round", &[mm(3), mm(-1)]).unwrap().is_err());
    }

    #[test]
    fn shows_decimals_where_they_end() {
        let r = |n, d| shown(Rational::new(n, d).unwrap());
        assert_eq!(r(2386, 3), "2386/3");
        assert_eq!(r(-1, 2), "-0.5");
        assert_eq!(r(254, 640), "0.396875");
        assert_eq!(r(i128::MAX, 2), format!("{}/2", i128::MAX));
        assert_eq!(r(7, 1), "7");
    }
}
