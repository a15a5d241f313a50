//! The values that tables are made of.

use super::quantity::{self, Fault};
use super::{Node, Reader, Wire};
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::quantity::{Length, Mass, Rational, Span, Time, Tolerance};
use ::toml::de::DeValue;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use std::borrow::Cow;

/// A value with its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct At<T> {
    /// What is written.
    pub value: T,
    /// Where.
    pub span: Span,
}

impl<T: Wire> Wire for At<T> {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<At<T>> {
        let span = reader.span(node.span());
        T::read(node, key, reader).map(|value| At { value, span })
    }
    fn expected() -> &'static str {
        T::expected()
    }
}
impl<T: JsonSchema> JsonSchema for At<T> {
    fn inline_schema() -> bool {
        T::inline_schema()
    }
    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }
    fn schema_id() -> Cow<'static, str> {
        T::schema_id()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        T::json_schema(generator)
    }
}

impl<T: Wire> Wire for Option<T> {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<Option<T>> {
        T::read(node, key, reader).map(Some)
    }
    fn expected() -> &'static str {
        T::expected()
    }
    fn absent() -> Option<Option<T>> {
        Some(None)
    }
}

impl<T: Wire> Wire for Vec<T> {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<Vec<T>> {
        let DeValue::Array(items) = node.get_ref() else {
            return reader.wrong_kind(node, key, "a list, in brackets");
        };
        let key = format!("an item of {key}");
        let read: Vec<Option<T>> = items.iter().map(|item| T::read(item, &key, reader)).collect();
        read.into_iter().collect()
    }
    fn expected() -> &'static str {
        "a list, in brackets"
    }
}

/// One value, or a list of them.
#[derive(Clone, Debug, JsonSchema)]
#[schemars(untagged, inline)]
pub enum OneOrMany<T> {
    /// A single one.
    One(T),
    /// Several.
    Many(Vec<T>),
}

impl<T> OneOrMany<T> {
    /// All of them.
    pub fn as_slice(&self) -> &[T] {
        match self {
            OneOrMany::One(one) => std::slice::from_ref(one),
            OneOrMany::Many(many) => many,
        }
    }
}
impl<T: Wire> Wire for OneOrMany<T> {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<OneOrMany<T>> {
        match node.get_ref() {
            DeValue::Array(_) => Vec::read(node, key, reader).map(OneOrMany::Many),
            _ => T::read(node, key, reader).map(OneOrMany::One),
        }
    }
    fn expected() -> &'static str {
        T::expected()
    }
}

/// A table whose keys are names of the shop's, in the order of the file.
#[derive(Clone, Debug)]
pub struct Entries<T>(pub Vec<(At<String>, T)>);

impl<T: Wire> Wire for Entries<T> {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<Entries<T>> {
        let DeValue::Table(table) = node.get_ref() else {
            return reader.wrong_kind(node, key, Self::expected());
        };
        let mut entries: Vec<_> = table.iter().collect();
        entries.sort_by_key(|(name, _)| name.span().start);
        let mut read = Some(Vec::with_capacity(entries.len()));
        for (name, value) in entries {
            let place = At { value: name.get_ref().to_string(), span: reader.span(name.span()) };
            match (T::read(value, &format!("`{}`", place.value), reader), &mut read) {
                (Some(value), Some(list)) => list.push((place, value)),
                _ => read = None,
            }
        }
        read.map(Entries)
    }
    fn expected() -> &'static str {
        "a table, such as { \"name\" = … }"
    }
}
impl<T: JsonSchema> JsonSchema for Entries<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        format!("TableOf{}", T::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let value = generator.subschema_for::<T>();
        json_schema!({ "type": "object", "additionalProperties": value })
    }
}

impl Wire for String {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<String> {
        match node.get_ref() {
            DeValue::String(text) => Some(text.to_string()),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "a text, in quotes"
    }
}

impl Wire for bool {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<bool> {
        match node.get_ref() {
            DeValue::Boolean(value) => Some(*value),
            _ => reader.wrong_kind(node, key, Self::expected()),
        }
    }
    fn expected() -> &'static str {
        "`true` or `false`, without quotes"
    }
}

impl Wire for i64 {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<i64> {
        let DeValue::Integer(integer) = node.get_ref() else {
            return reader.wrong_kind(node, key, Self::expected());
        };
        let value = i64::from_str_radix(integer.as_str(), integer.radix()).ok();
        if value.is_none() {
            reader.unreadable::<()>(node, key, &Fault::TooManyDigits);
        }
        value
    }
    fn expected() -> &'static str {
        "a whole number"
    }
}

impl Reader<'_> {
    /// Reports a quantity that cannot be read; always `None`.
    pub fn unreadable<T>(&mut self, node: &Node<'_>, key: &str, fault: &Fault) -> Option<T> {
        let span = self.span(node.span());
        let (what, help) = fault.tell();
        self.report(
            Diagnostic::new(&codes::E0305, format!("{key}: {what}"))
                .at(span, "cannot be read")
                .help(help),
        );
        None
    }
    /// A bare number of the file, exactly, by its text.
    pub(super) fn number(&self, node: &Node<'_>) -> Option<Result<Rational, Fault>> {
        match node.get_ref() {
            DeValue::Integer(i) if i.radix() == 10 => Some(quantity::decimal(i.as_str())),
            DeValue::Float(f) => Some(quantity::decimal(f.as_str())),
            _ => None,
        }
    }
}

/// A leaf that is a figure with a unit in quotes, and perhaps a bare number.
macro_rules! quantities {
    ($($(#[$meta:meta])* $type:ty, $name:literal, $expected:literal, $numbers:literal,
       |$text:ident| $of_text:expr, |$number:ident| $of_number:expr;)*) => {$(
        impl Wire for $type {
            fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<$type> {
                let read: Result<$type, Fault> = match node.get_ref() {
                    DeValue::String(text) => {
                        let $text: &str = text;
                        $of_text
                    }
                    _ => match reader.number(node) {
                        Some(Ok($number)) => $of_number,
                        Some(Err(fault)) => Err(fault),
                        None => return reader.wrong_kind(node, key, $expected),
                    },
                };
                match read {
                    Ok(value) => Some(value),
                    Err(fault) => reader.unreadable(node, key, &fault),
                }
            }
            fn expected() -> &'static str {
                $expected
            }
        }
        impl JsonSchema for $type {
            fn schema_name() -> Cow<'static, str> {
                $name.into()
            }
            fn json_schema(_: &mut SchemaGenerator) -> Schema {
                if $numbers {
                    json_schema!({
                        "description": concat!("Write ", $expected, "."),
                        "type": ["string", "number"],
                    })
                } else {
                    json_schema!({
                        "description": concat!("Write ", $expected, "."),
                        "type": "string",
                    })
                }
            }
        }
    )*};
}

/// A whole number of base units, exactly.
fn whole(
    value: Rational,
    step: &'static str,
    limit: &'static str,
    most: i128,
) -> Result<i64, Fault> {
    if value.denominator() != 1 {
        return Err(Fault::Inexact(step));
    }
    within(value.numerator(), limit, most)
}

/// A whole number no further from nought than `most`.
fn within(value: i128, limit: &'static str, most: i128) -> Result<i64, Fault> {
    match i64::try_from(value) {
        Ok(n) if value.abs() <= most => Ok(n),
        _ => Err(Fault::Beyond(limit)),
    }
}

/// A speed in micrometres a second, rounded down: never above what the shop states.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Speed(pub i64);

/// An acceleration in micrometres a second squared, rounded down.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Acceleration(pub i64);

/// A change of acceleration in micrometres a second cubed, rounded down.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Jerk(pub i64);

/// A force in newtons, rounded up: never below what the shop states.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Force(pub i64);

/// Mass of a coating on both sides, in grams per square metre.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct CoatingMass(pub i64);

/// A share or ratio, exactly.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Fraction(pub Rational);

/// A slope, rise : run, in lowest terms; each at most a million, rise nought or more.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Incline(pub i32, pub i32);

/// A small correction in parts per 10⁹.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct PartsPerBillion(pub i64);

/// An amount of money in hundredths of the currency's unit.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Amount(pub i64);

/// A whole number, written as one.
pub type Figure = i64;

const YEAR_NS: i128 = 31_557_600_000_000_000;

quantities! {
    Length, "Length", "a length such as \"12 mm\", \"3.6 m\" or \"3/32 in\" (a bare number is millimetres)", true,
        |text| quantity::length(text),
        |number| quantity::millimetres(number);
    Time, "Time", "a time such as \"0.2 s\", \"150 ms\" or \"12 min\"", false,
        |text| quantity::with_unit(text, quantity::TIME, "\"0.2 s\", \"150 ms\", \"12 min\"")
            .and_then(|v| whole(v, "nanoseconds", "a year", YEAR_NS)).map(Time::from_ns),
        |_number| Err(Fault::NoUnit("\"0.2 s\", \"150 ms\", \"12 min\""));
    Speed, "Speed", "a speed such as \"60 m/min\" or \"1 m/s\"", false,
        |text| quantity::with_unit(text, quantity::SPEED, "\"60 m/min\", \"1 m/s\"")
            .and_then(|v| within(v.floor(), "100 m/s", 100_000_000)).map(Speed),
        |_number| Err(Fault::NoUnit("\"60 m/min\", \"1 m/s\""));
    Acceleration, "Acceleration", "an acceleration such as \"5 m/s2\"", false,
        |text| quantity::with_unit(text, quantity::ACCELERATION, "\"5 m/s2\"")
            .and_then(|v| within(v.floor(), "1000 m/s2", 1_000_000_000)).map(Acceleration),
        |_number| Err(Fault::NoUnit("\"5 m/s2\""));
    Force, "Force", "a force such as \"120 kN\"", false,
        |text| quantity::with_unit(text, quantity::FORCE, "\"120 kN\"")
            .and_then(|v| within(v.ceil(), "100 MN", 100_000_000)).map(Force),
        |_number| Err(Fault::NoUnit("\"120 kN\""));
    Jerk, "Jerk", "a jerk such as \"50 m/s3\"", false,
        |text| quantity::with_unit(text, quantity::JERK, "\"50 m/s3\"")
            .and_then(|v| within(v.floor(), "1000000 m/s3", 1_000_000_000_000)).map(Jerk),
        |_number| Err(Fault::NoUnit("\"50 m/s3\""));
    Mass, "Mass", "a mass such as \"3000 kg\" or \"2.5 t\"", false,
        |text| quantity::with_unit(text, quantity::MASS, "\"3000 kg\", \"2.5 t\"")
            .and_then(|v| within(v.floor(), "1000 t", 1_000_000_000_000)).map(Mass::from_mg),
        |_number| Err(Fault::NoUnit("\"3000 kg\", \"2.5 t\""));
    CoatingMass, "CoatingMass", "a coating mass on both sides such as \"275 g/m2\"", false,
        |text| quantity::with_unit(text, quantity::COATING, "\"275 g/m2\"")
            .and_then(|v| whole(v, "grams per square metre", "2000 g/m2", 2_000)).map(CoatingMass),
        |_number| Err(Fault::NoUnit("\"275 g/m2\""));
    Fraction, "Fraction", "a ratio such as 0.5, \"1/2\" or \"50 %\"", true,
        |text| ratio(text).map(Fraction),
        |number| Ok(Fraction(number));
    Incline, "Incline", "a slope, rise : run, such as \"4 : 12\"", false,
        |text| incline(text),
        |_number| Err(Fault::NoRatio);
    PartsPerBillion, "Correction", "a correction such as \"-0.12 %\" or \"350 ppm\"", false,
        |text| quantity::with_unit(text, quantity::SHARE, "\"-0.12 %\", \"350 ppm\"")
            .and_then(|v| v.checked_mul(Rational::whole(1_000_000_000)).ok_or(Fault::TooManyDigits))
            .and_then(|v| whole(v, "parts per billion", "5 %", 50_000_000)).map(PartsPerBillion),
        |_number| Err(Fault::NoUnit("\"-0.12 %\", \"350 ppm\""));
    Amount, "Amount", "an amount of money such as 1250 or \"1250.50\"", true,
        |text| quantity::decimal(text.trim()).and_then(hundredths),
        |number| hundredths(number);
}

/// `0.5`, `1/2`, `50 %`.
fn ratio(text: &str) -> Result<Rational, Fault> {
    let text = text.trim();
    if let Some((over, under)) = text.split_once('/') {
        let (over, under) = (quantity::decimal(over.trim())?, quantity::decimal(under.trim())?);
        if under == Rational::ZERO {
            return Err(Fault::DividesByNought);
        }
        return over.checked_div(under).ok_or(Fault::TooManyDigits);
    }
    match quantity::decimal(text) {
        Ok(plain) => Ok(plain),
        Err(_) => quantity::with_unit(text, quantity::SHARE, "0.5, \"1/2\", \"50 %\""),
    }
}

/// `4 : 12`, `2.5:10`.
fn incline(text: &str) -> Result<Incline, Fault> {
    let (rise, run) = text.split_once(':').ok_or(Fault::NoRatio)?;
    let (rise, run) = (quantity::decimal(rise.trim())?, quantity::decimal(run.trim())?);
    if run == Rational::ZERO {
        return Err(Fault::DividesByNought);
    }
    let ratio = rise.checked_div(run).ok_or(Fault::TooManyDigits)?;
    let small = |n: i128| i32::try_from(n).ok().filter(|n| (0..=1_000_000).contains(n));
    match (small(ratio.numerator()), small(ratio.denominator())) {
        (Some(rise), Some(run)) => Ok(Incline(rise, run)),
        _ if ratio < Rational::ZERO => Err(Fault::Beyond("0 : 1 to 1000000 : 1")),
        _ => Err(Fault::TooManyDigits),
    }
}

fn hundredths(amount: Rational) -> Result<Amount, Fault> {
    let cents = amount.checked_mul(Rational::whole(100)).ok_or(Fault::TooManyDigits)?;
    whole(cents, "hundredths", "ten thousand million", 1_000_000_000_000).map(Amount)
}

const TOLERANCE: &str =
    "a tolerance such as \"0.5 mm\", \"-0.25/+0.5 mm\" or { minus = \"1 mm\", plus = \"0.5 mm\" }";

/// `"0.5 mm"`, `"-0.25/+0.5 mm"`, `"-1/64 in/+1/32 in"` or a table with `minus` and `plus`.
impl Wire for Tolerance {
    fn read(node: &Node<'_>, key: &str, reader: &mut Reader<'_>) -> Option<Tolerance> {
        let read = match node.get_ref() {
            DeValue::Table(_) => {
                let table = super::Table::of(node, key, &["minus", "plus"], reader)?;
                let minus: Option<Length> = table.field("minus", reader);
                let plus: Option<Length> = table.field("plus", reader);
                Ok(Tolerance { minus: minus?, plus: plus? })
            }
            DeValue::String(text) => tolerance(text),
            _ => match reader.number(node) {
                Some(number) => number.and_then(quantity::millimetres).map(Tolerance::even),
                None => return reader.wrong_kind(node, key, TOLERANCE),
            },
        };
        match read {
            Ok(tolerance) if tolerance.minus.is_negative() || tolerance.plus.is_negative() => {
                let span = reader.span(node.span());
                reader.report(
                    Diagnostic::new(&codes::E0306, format!("{key} must not be negative"))
                        .at(span, "below nought on one side")
                        .help("write how far it may be off each way, as positive figures"),
                );
                None
            }
            Ok(tolerance) => Some(tolerance),
            Err(fault) => reader.unreadable(node, key, &fault),
        }
    }
    fn expected() -> &'static str {
        TOLERANCE
    }
}

fn tolerance(text: &str) -> Result<Tolerance, Fault> {
    let text = text.trim();
    let Some((minus, plus)) = text.split_once("/+") else {
        let even = text.strip_prefix('±').or_else(|| text.strip_prefix("+/-")).unwrap_or(text);
        return quantity::length(even).map(Tolerance::even);
    };
    let Some(minus) = minus.trim().strip_prefix(['-', '−']) else {
        return Err(Fault::NoFigure);
    };
    let plus_length = quantity::length(plus)?;
    let minus_length = match quantity::length(minus) {
        Err(Fault::NoUnit(_)) => {
            // `-0.25/+0.5 mm`: the unit at the end counts for both.
            let unit: String =
                plus.trim().trim_start_matches(|c: char| !c.is_alphabetic() && c != '"').into();
            quantity::length(&format!("{minus} {unit}"))
        }
        other => other,
    }?;
    Ok(Tolerance { minus: minus_length, plus: plus_length })
}

impl JsonSchema for Tolerance {
    fn schema_name() -> Cow<'static, str> {
        "Tolerance".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let length = generator.subschema_for::<Length>();
        json_schema!({
            "description": "Write a tolerance such as \"0.5 mm\" or \"-0.25/+0.5 mm\", or a table.",
            "anyOf": [
                { "type": ["string", "number"] },
                {
                    "type": "object",
                    "properties": { "minus": length, "plus": length },
                    "required": ["minus", "plus"],
                    "additionalProperties": false,
                },
            ],
        })
    }
}
