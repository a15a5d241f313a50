//! Numbers as the trade writes them: `450`, `0.75`, `1/2`, `3 1/2in`, `5-1/2`, `8ft 4 1/2in`.

use super::tree::Unit;
use nom::branch::alt;
use nom::bytes::complete::{tag, take_while, take_while1};
use nom::character::complete::{char, digit1};
use nom::combinator::{map, opt, value};
use nom::sequence::{preceded, terminated};
use nom::{IResult, Parser};

/// Most digits one number may have, all its parts together: keeps every value inside `i64`.
pub const MOST_DIGITS: usize = 15;

/// A number before it has a place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Written {
    pub numerator: i64,
    pub denominator: i64,
    pub unit: Option<Unit>,
    /// A bare fraction, which may not follow a division sign.
    pub fraction: bool,
}

type Read<'a, T> = IResult<&'a str, T, ()>;

fn blank(input: &str) -> Read<'_, &str> {
    take_while(|c| c == ' ' || c == '\t')(input)
}

/// Between a whole number and its fraction, or feet and inches: blanks, or one hyphen.
fn joint(input: &str) -> Read<'_, ()> {
    value((), alt((value((), char('-')), value((), take_while1(|c| c == ' ' || c == '\t')))))
        .parse(input)
}

fn unit(input: &str) -> Read<'_, Unit> {
    alt((
        value(Unit::Millimetre, tag("mm")),
        value(Unit::Metre, tag("m")),
        value(Unit::Inch, tag("in")),
        value(Unit::Foot, tag("ft")),
    ))
    .parse(input)
}

/// Digits as a value; longer ones than any number may have come out as nought and are refused by
/// their count.
fn integer(input: &str) -> Read<'_, i64> {
    map(
        digit1,
        |digits: &str| {
            if digits.len() > MOST_DIGITS { 0 } else { digits.bytes().fold(0, append) }
        },
    )
    .parse(input)
}

fn append(number: i64, digit: u8) -> i64 {
    number * 10 + i64::from(digit - b'0')
}

fn ratio(input: &str) -> Read<'_, Ratio> {
    (integer, preceded(char('/'), integer)).parse(input)
}

type Ratio = (i64, i64);

fn mixed(input: &str) -> Read<'_, Ratio> {
    map((integer, preceded(joint, ratio)), |(whole, (n, d))| {
        (whole.saturating_mul(d).saturating_add(n), d)
    })
    .parse(input)
}

fn decimal(input: &str) -> Read<'_, Ratio> {
    map((digit1, opt(preceded(char('.'), digit1))), |(whole, part): (&str, Option<&str>)| {
        let part = part.unwrap_or("");
        if whole.len() + part.len() > MOST_DIGITS {
            return (0, 1);
        }
        let numerator = whole.bytes().chain(part.bytes()).fold(0, append);
        (numerator, part.bytes().fold(1, |scale, _| scale * 10))
    })
    .parse(input)
}

fn amount(input: &str) -> Read<'_, Ratio> {
    alt((mixed, ratio, decimal)).parse(input)
}

fn feet_and_inches(input: &str) -> Read<'_, Written> {
    let feet = terminated(integer, (blank, tag("ft"), joint));
    let inches = terminated(amount, (blank, tag("in")));
    map((feet, inches), |(feet, (n, denominator))| {
        let numerator = feet.saturating_mul(12).saturating_mul(denominator).saturating_add(n);
        Written { numerator, denominator, unit: Some(Unit::Inch), fraction: false }
    })
    .parse(input)
}

fn measure(input: &str) -> Read<'_, Written> {
    map((amount, preceded(blank, unit)), |(amount, unit)| bare(amount, Some(unit))).parse(input)
}

const fn bare((numerator, denominator): Ratio, unit: Option<Unit>) -> Written {
    Written { numerator, denominator, unit, fraction: false }
}

/// The longest number `input` begins with that ends where a word would end: its bytes and value.
pub fn longest(input: &str) -> Option<(usize, Written)> {
    let mut longest: Option<(usize, Written)> = None;
    let forms = [
        feet_and_inches(input),
        measure(input),
        mixed(input).map(|(rest, ratio)| (rest, bare(ratio, None))),
        ratio(input).map(|(rest, ratio)| (rest, Written { fraction: true, ..bare(ratio, None) })),
        decimal(input).map(|(rest, ratio)| (rest, bare(ratio, None))),
    ];
    for (rest, written) in forms.into_iter().flatten() {
        let bytes = input.len() - rest.len();
        if !continues(rest) && longest.is_none_or(|(most, _)| bytes > most) {
            longest = Some((bytes, written));
        }
    }
    longest
}

/// Whether the text before `rest` goes on as a word.
pub fn continues(rest: &str) -> bool {
    let mut chars = rest.chars();
    match chars.next() {
        Some('-') => chars.next().is_some_and(is_word),
        Some(c) => is_word(c),
        None => false,
    }
}

/// Letters of any script, ASCII digits, underscore.
pub fn is_word(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '_' || (!c.is_ascii() && c.is_alphabetic())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[track_caller]
    fn reads(input: &str, bytes: usize, numerator: i64, denominator: i64, unit: Option<Unit>) {
        let (got, written) = longest(input).unwrap();
        let value = (written.numerator, written.denominator, written.unit);
        assert_eq!((got, value), (bytes, (numerator, denominator, unit)), "{input}");
    }

    #[test]
    fn reads_what_the_trade_writes() {
        reads("450,", 3, 450, 1, None);
        reads("0.75 ", 4, 75, 100, None);
        reads("3 1/2in", 7, 7, 2, Some(Unit::Inch));
        reads("5-1/2in,", 7, 11, 2, Some(Unit::Inch));
        reads("5-1/2", 5, 11, 2, None);
        reads("1/2 on", 3, 1, 2, None);
        reads("12 ft", 5, 12, 1, Some(Unit::Foot));
        reads("8ft 4 1/2in", 11, 201, 2, Some(Unit::Inch));
        reads("8ft-4-1/2in", 11, 201, 2, Some(Unit::Inch));
        reads("11ft-8in", 8, 140, 1, Some(Unit::Inch));
        reads("2 mark-text", 1, 2, 1, None);
        reads("2 m from", 3, 2, 1, Some(Unit::Metre));
        reads("7..9", 1, 7, 1, None);
    }

    #[test]
    fn what_goes_on_as_a_word_is_no_number() {
        for glued in ["60x30", "2386-24", "2.5-1", "1m-2", "5in_"] {
            assert_eq!(longest(glued), None, "{glued}");
        }
    }
}
