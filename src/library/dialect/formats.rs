//! How numbers and texts are written.

use super::wire::{
    AdvanceWord, BlanksWord, NumberTable, PaddingWord, SignWord, TextTable, UnitWord, ZerosWord,
};
use super::{Meaning, single};
use crate::diagnostic::{Diagnostic, codes, codes::dialect as e};
use crate::library::model::{
    Blanks, Escape, HexEscape, NumberFormat, Padding, Sign, TextFormat, TextWidth, Unit,
};
use crate::library::reading::{At, Entries, Figure, Fraction};
use crate::quantity::Rational;

/// Most characters of a text that has a width.
const WIDEST_TEXT: i64 = 200;

/// Largest numerator and denominator of what one in the last place counts: a format that needs
/// more counts nothing anybody knows, and the arithmetic of figures stays far inside its integers.
const FINEST_PLACE: i128 = 1_000_000;

impl Meaning<'_> {
    pub(super) fn number(&mut self, name: At<String>, table: NumberTable) -> Option<NumberFormat> {
        let mut figure = |figure: &Option<At<Figure>>, what: &str, most: i64| match figure {
            Some(At { value, span }) if !(0..=most).contains(value) => {
                self.found.push(
                    Diagnostic::new(
                        &e::E0718,
                        format!("number format `{}` has {value} {what}", name.value),
                    )
                    .at(*span, "impossible")
                    .help(match what {
                        "decimals" if *value < 0 => format!(
                            "write a number from 0 to {most}; \
                            for figures in tens or hundreds, `last-place = 10` or `100`"
                        ),
                        _ => format!("write a number from 0 to {most}"),
                    }),
                );
                None
            }
            Some(At { value, .. }) => Some(Some(*value)),
            None => Some(None),
        };
        let decimals = figure(&table.decimals, "decimals", 9);
        let width = figure(&table.width, "characters of width", 40);
        let last_place = self.last_place(&name, &table);
        if let (Some(padding), None) = (&table.padding, &table.width) {
            self.found.push(
                Diagnostic::new(
                    &e::E0718,
                    format!("number format `{}` is padded to no width", name.value),
                )
                .at(padding.span, "up to which width?")
                .help("add `width = …`, or leave `padding` out"),
            );
        }
        Some(NumberFormat {
            unit: match table.unit {
                UnitWord::Nanometre => Unit::Nanometre,
                UnitWord::Micrometre => Unit::Micrometre,
                UnitWord::Millimetre => Unit::Millimetre,
                UnitWord::Inch => Unit::Inch,
                UnitWord::Millisecond => Unit::Millisecond,
                UnitWord::Second => Unit::Second,
                UnitWord::Count => Unit::Count,
            },
            decimals: u8::try_from(decimals?.unwrap_or(0)).ok()?,
            point: table.point.map_or('.', |point| point.0),
            last_place: last_place?,
            short: table.trailing_zeros == Some(ZerosWord::Drop),
            width: width?.map(usize::try_from).transpose().ok()?,
            padding: match table.padding.map(|padding| padding.value) {
                Some(PaddingWord::Blank) => Padding::Blank,
                Some(PaddingWord::Zero) | None => Padding::Zero,
            },
            sign: match table.sign {
                Some(SignWord::Never) => Sign::Never,
                Some(SignWord::Always) => Sign::Always,
                Some(SignWord::Minus) | None => Sign::Minus,
            },
            relative: table.advance == Some(AdvanceWord::Relative),
            name: name.value.into(),
            span: name.span,
        })
    }

    pub(super) fn text(&mut self, name: At<String>, table: TextTable) -> Option<TextFormat> {
        let mut escapes = Vec::new();
        for (character, text) in table.escapes.clone().map(|Entries(list)| list).unwrap_or_default()
        {
            match single(&character.value) {
                Some(letter) => escapes.push(Escape {
                    character: letter,
                    text: text.value.into(),
                    span: character.span.to(text.span),
                }),
                None => self.found.push(
                    Diagnostic::new(
                        &codes::library::E0304,
                        format!(
                            "an escape stands for one character, not for `{}`",
                            character.value
                        ),
                    )
                    .at(character.span, "not one character")
                    .help("write the character, in quotes, and what is written for it"),
                ),
            }
        }
        let hex = match &table.control {
            None => None,
            Some(control) => match u8::try_from(control.digits.value) {
                Ok(digits @ 2..=8) => Some(HexEscape {
                    before: control.before.as_str().into(),
                    digits,
                    span: control.span,
                }),
                _ => {
                    self.found.push(
                        Diagnostic::new(
                            &codes::library::E0306,
                            format!("{} digits cannot write a code point", control.digits.value),
                        )
                        .at(control.digits.span, "impossible")
                        .help("write a number from 2 to 8"),
                    );
                    return None;
                }
            },
        };
        let width = self.text_width(&name, &table)?;
        Some(TextFormat {
            width,
            quote: table.quote.map(|letter| letter.0),
            escapes,
            hex,
            refused: table.refuse.unwrap_or_default().chars().collect(),
            name: name.value.into(),
            span: name.span,
        })
    }

    /// What one in the last place counts, where digits stand without a point.
    fn last_place(&mut self, name: &At<String>, table: &NumberTable) -> Option<Option<Rational>> {
        let Some(At { value: Fraction(place), span }) = &table.last_place else {
            return Some(None);
        };
        let mut refuse = |why: String, help: &str| {
            self.found.push(
                Diagnostic::new(&e::E0718, format!("number format `{}` {why}", name.value))
                    .at(*span, "impossible")
                    .help(help),
            );
            None
        };
        if table.decimals.is_some() {
            return refuse(
                "has decimals, and a last place that counts something else".to_string(),
                "keep one: `decimals` where a point is written, `last-place` where none is",
            );
        }
        if table.unit == UnitWord::Count {
            return refuse(
                "counts things, and its last place is no thing".to_string(),
                "leave `last-place` out",
            );
        }
        let small = |part: i128| (1..=FINEST_PLACE).contains(&part);
        if !small(place.numerator()) || !small(place.denominator()) {
            return refuse(
                "has a last place that counts nothing".to_string(),
                "write what one in the last place is in this unit, such as 0.1, 10 or \"1/64\"",
            );
        }
        Some(Some(*place))
    }

    /// The width of a text that stands in columns.
    fn text_width(&mut self, name: &At<String>, table: &TextTable) -> Option<Option<TextWidth>> {
        let mut refuse = |why: String, at, label: &str, help: &str| {
            self.found.push(
                Diagnostic::new(
                    &codes::library::E0306,
                    format!("text format `{}` {why}", name.value),
                )
                .at(at, label)
                .help(help),
            );
            None
        };
        let Some(At { value, span }) = &table.width else {
            return match &table.blanks {
                None => Some(None),
                Some(blanks) => refuse(
                    "is filled with blanks to no width".to_string(),
                    blanks.span,
                    "up to which width?",
                    "add `width = …`, or leave `blanks` out",
                ),
            };
        };
        match usize::try_from(*value) {
            Ok(characters) if (1..=WIDEST_TEXT).contains(value) => Some(Some(TextWidth {
                characters,
                blanks: match table.blanks.as_ref().map(|blanks| blanks.value) {
                    Some(BlanksWord::Before) => Blanks::Before,
                    Some(BlanksWord::Behind) | None => Blanks::Behind,
                },
            })),
            _ => refuse(
                format!("is {value} characters wide"),
                *span,
                "impossible",
                "write a number from 1 to 200, or leave `width` out",
            ),
        }
    }
}
