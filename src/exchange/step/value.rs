//! One instance of a STEP file taken apart, with nom.

use nom::branch::alt;
use nom::bytes::complete::{tag, take_until, take_while, take_while1};
use nom::character::complete::{char, digit1, multispace1};
use nom::combinator::{map, opt, recognize, value as constant};
use nom::error::{Error, ErrorKind};
use nom::multi::fold_many0;
use nom::sequence::{delimited, preceded};
use nom::{Err, IResult, Parser};

/// A parameter.
#[derive(Clone, PartialEq, Debug)]
pub enum Value<'t> {
    /// `$`
    Missing,
    /// `*`
    Derived,
    /// `#12`
    Ref(u64),
    /// `2396.`, as it is written.
    Number(&'t str),
    /// `'…'`, as it is written, without its apostrophes.
    Text(&'t str),
    /// `.MILLI.`, without its dots.
    Enum(&'t str),
    /// `"0F"`
    Binary,
    /// `( … )`
    List(Vec<Value<'t>>),
    /// `IFCLENGTHMEASURE(25.4)`
    Typed(&'t str, Vec<Value<'t>>),
}

/// Lists within each other.
const DEEPEST: usize = 40;

type Read<'t, T> = IResult<&'t str, T>;

/// Blanks and comments.
fn gap(text: &str) -> Read<'_, ()> {
    let comment = recognize((tag("/*"), take_until("*/"), tag("*/")));
    fold_many0(alt((multispace1, comment)), || (), |(), _| ()).parse(text)
}

fn keyword(text: &str) -> Read<'_, &str> {
    recognize((
        take_while1(|c: char| c.is_ascii_alphabetic() || c == '_' || c == '!'),
        take_while(|c: char| c.is_ascii_alphanumeric() || c == '_'),
    ))
    .parse(text)
}

/// A string up to the apostrophe that ends it.
fn string(text: &str) -> Read<'_, &str> {
    let (inside, _) = char('\'').parse(text)?;
    let bytes = inside.as_bytes();
    let mut at = 0;
    while let Some(&byte) = bytes.get(at) {
        if byte == b'\'' {
            if bytes.get(at + 1) != Some(&b'\'') {
                let (said, rest) = inside.split_at(at);
                return Ok((rest.get(1..).unwrap_or(""), said));
            }
            at += 1;
        }
        at += 1;
    }
    Err(Err::Failure(Error::new(text, ErrorKind::Char)))
}

fn number(text: &str) -> Read<'_, &str> {
    let sign = |text| opt(alt((char('-'), char('+')))).parse(text);
    recognize((
        sign,
        digit1,
        opt((char('.'), opt(digit1))),
        opt((alt((char('E'), char('e'))), sign, digit1)),
    ))
    .parse(text)
}

/// What stands between the brackets that open here.
fn list(text: &str, depth: usize) -> Read<'_, Vec<Value<'_>>> {
    if depth > DEEPEST {
        return Err(Err::Failure(Error::new(text, ErrorKind::TooLarge)));
    }
    let (mut rest, _) = preceded(gap, char('(')).parse(text)?;
    let mut values = Vec::new();
    (rest, _) = gap(rest)?;
    if let Some(after) = rest.strip_prefix(')') {
        return Ok((after, values));
    }
    loop {
        let item;
        (rest, item) = value(rest, depth)?;
        values.push(item);
        (rest, _) = gap(rest)?;
        if let Some(after) = rest.strip_prefix(',') {
            rest = after;
        } else if let Some(after) = rest.strip_prefix(')') {
            return Ok((after, values));
        } else {
            return Err(Err::Failure(Error::new(rest, ErrorKind::Char)));
        }
    }
}

fn value(text: &str, depth: usize) -> Read<'_, Value<'_>> {
    let (text, _) = gap(text)?;
    match text.bytes().next() {
        Some(b'(') => map(|t| list(t, depth + 1), Value::List).parse(text),
        Some(b'a'..=b'z' | b'A'..=b'Z' | b'!') => {
            let (rest, kind) = keyword(text)?;
            map(|t| list(t, depth + 1), |values| Value::Typed(kind, values)).parse(rest)
        }
        Some(b'#') => {
            let (rest, digits) = preceded(char('#'), digit1).parse(text)?;
            match digits.parse() {
                Ok(id) => Ok((rest, Value::Ref(id))),
                Err(_) => Err(Err::Failure(Error::new(text, ErrorKind::Digit))),
            }
        }
        _ => alt((
            constant(Value::Missing, char('$')),
            constant(Value::Derived, char('*')),
            map(string, Value::Text),
            map(
                delimited(
                    char('.'),
                    take_while1(|c: char| c.is_ascii_alphanumeric() || c == '_'),
                    char('.'),
                ),
                Value::Enum,
            ),
            map(number, Value::Number),
            constant(
                Value::Binary,
                (char('"'), take_while(|c: char| c.is_ascii_hexdigit()), char('"')),
            ),
        ))
        .parse(text),
    }
}

/// The parts of an instance's right side: one, or several of a complex one. The error is what was
/// left where the reader stumbled.
pub fn parts(text: &str) -> Result<Vec<(&str, Vec<Value<'_>>)>, usize> {
    let stumbled = |error: Err<Error<&str>>| match error {
        Err::Error(error) | Err::Failure(error) => error.input.len(),
        Err::Incomplete(_) => 0,
    };
    let one = |text| -> Read<'_, (&str, Vec<Value<'_>>)> {
        let (rest, kind) = preceded(gap, keyword).parse(text)?;
        map(|t| list(t, 0), |values| (kind, values)).parse(rest)
    };
    let (inside, _) = gap(text).map_err(stumbled)?;
    let mut parts = Vec::new();
    let rest = match inside.strip_prefix('(') {
        None => {
            let (rest, part) = one(inside).map_err(stumbled)?;
            parts.push(part);
            rest
        }
        Some(mut rest) => loop {
            (rest, _) = gap(rest).map_err(stumbled)?;
            if let Some(after) = rest.strip_prefix(')') {
                break after;
            }
            let part;
            (rest, part) = one(rest).map_err(stumbled)?;
            parts.push(part);
        },
    };
    let (rest, ()) = gap(rest).map_err(stumbled)?;
    if rest.is_empty() { Ok(parts) } else { Err(rest.len()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odd_spacing_comments_and_complex_instances() {
        let read =
            parts(" IFCX /* a */ ( 'it''s (;' ,\n $,*, #12,( 1., -2.5E-3 ),.T.,IFCM(2.),\"0F\" ) ")
                .unwrap();
        assert_eq!(read.len(), 1);
        assert_eq!(
            read[0].1,
            vec![
                Value::Text("it''s (;"),
                Value::Missing,
                Value::Derived,
                Value::Ref(12),
                Value::List(vec![Value::Number("1."), Value::Number("-2.5E-3")]),
                Value::Enum("T"),
                Value::Typed("IFCM", vec![Value::Number("2.")]),
                Value::Binary,
            ]
        );
        let complex = parts("( LENGTH_UNIT ( ) NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) )").unwrap();
        assert_eq!(
            complex.iter().map(|p| p.0).collect::<Vec<_>>(),
            ["LENGTH_UNIT", "NAMED_UNIT", "SI_UNIT"]
        );
    }

    #[test]
    fn nonsense_is_refused_and_never_overflows() {
        for text in [
            "",
            "IFCX",
            "IFCX(",
            "IFCX(1,)",
            "IFCX(1))",
            "IFCX('a)",
            "(A()",
            "IFCX(#)",
            "IFCX(#99999999999999999999)",
            "7()",
        ] {
            assert!(parts(text).is_err(), "{text}");
        }
        assert!(parts(&format!("A({}", "(".repeat(100_000))).is_err());
    }
}
