//! Findings for a shop that reads inches: behind each figure in millimetres the same in inches, in
//! brackets as drawings with two dimensions have them. What a finding says is made where nobody
//! knows how the file it points into is written, so it is read again here; the exact figure stays.

use crate::diagnostic::{Diagnostic, MEMBERS, looks};
use crate::language;
use crate::language::tree::{Item, Unit};
use crate::library::model::Units;
use crate::quantity::{FileId, Length, Sources};
use crate::report::units::thickness;
use std::collections::BTreeMap;

/// What a figure in millimetres ends with.
const MM: &str = " mm";

/// What one in inches ends with.
const IN: &str = " in";

/// Lines of a batch in which its units stand: before any table.
const HEAD: usize = 200;

/// What stands between two figures that share a unit.
const BETWEEN: [&str; 4] = [" to ", " .. ", " × ", " and "];

/// Adds inches to what points into a members file that is written in them; and in a batch that has
/// its papers in inches, to what points into no members file.
pub fn add<'f>(found: impl Iterator<Item = &'f mut Diagnostic>, sources: &Sources) {
    let batch = || sources.iter().any(|(_, source)| is_batch_in_inches(source.text()));
    let mut of_batch = None;
    let mut members: BTreeMap<FileId, Option<bool>> = BTreeMap::new();
    for finding in found {
        let own = finding.span().and_then(|span| {
            *members.entry(span.file).or_insert_with(|| {
                let text = sources.get(span.file)?.text();
                (looks(text) == Some(MEMBERS)).then(|| is_in_inches(span.file, text))
            })
        });
        if !own.unwrap_or_else(|| *of_batch.get_or_insert_with(batch)) {
            continue;
        }
        let labels = finding.labels.iter_mut().map(|label| &mut label.text);
        let texts = labels.chain(&mut finding.notes).chain(&mut finding.help);
        for text in texts.chain([&mut finding.message]) {
            *text = with_inches(text);
        }
    }
}

fn is_in_inches(file: FileId, text: &str) -> bool {
    let (tree, _) = language::parse(file, text);
    tree.items.iter().any(|item| matches!(item, Item::Units(_, Unit::Inch | Unit::Foot)))
}

fn is_batch_in_inches(text: &str) -> bool {
    text.lines().take(HEAD).any(|line| {
        let said = line.split_once('=').filter(|(key, _)| key.trim() == "units");
        said.is_some_and(|(_, value)| value.trim().starts_with("\"in\""))
    })
}

/// A text with inches behind its millimetres. What is quoted stays, and so does a text that has
/// inches of its own.
fn with_inches(text: &str) -> String {
    // Not `S1 in frame N1`, nor `12 in frame N1`.
    let inches = |(before, after): (&str, &str)| {
        before.ends_with(digit) && !after.starts_with(|c: char| c == ' ' || c.is_alphanumeric())
    };
    let around = text.match_indices(IN).filter_map(|(at, _)| {
        let (before, after) = text.split_at_checked(at)?;
        Some((before, after.strip_prefix(IN)?))
    });
    if around.into_iter().any(inches) {
        return text.to_string();
    }
    let parts = text.split('`').enumerate();
    let parts = parts.map(|(n, part)| if n % 2 == 0 { outside(part) } else { part.to_string() });
    parts.collect::<Vec<_>>().join("`")
}

fn outside(text: &str) -> String {
    let mut out = String::with_capacity(2 * text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(MM) {
        out.push_str(before);
        out.push_str(MM);
        let ends = !after.starts_with(|c: char| c.is_alphanumeric() || "²³/".contains(c));
        if let Some(inches) = inches_of(before).filter(|_| ends) {
            out.push_str(&format!(" [{inches} in]"));
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

/// The figure that a text ends with in inches, with the one it shares its unit with.
fn inches_of(text: &str) -> Option<String> {
    let (before, last) = figure_at_end(text)?;
    let pair = BETWEEN.iter().find_map(|between| {
        let (_, first) = figure_at_end(before.strip_suffix(between)?)?;
        Some(format!("{first}{between}{last}"))
    });
    Some(pair.unwrap_or(last))
}

/// The figure in millimetres that a text ends with, in inches, and what stands before it. Nought is
/// nought in any unit, and of a tolerance with two sides one alone says nothing.
fn figure_at_end(text: &str) -> Option<(&str, String)> {
    let before = text.trim_end_matches(|c| digit(c) || c == '.');
    let millimetres: Length = exact(text.get(before.len()..)?)?;
    let (before, sign) = match before.chars().next_back() {
        Some('±') => (before.strip_suffix('±')?, "±"),
        Some('-') => (before.strip_suffix('-')?, "-"),
        Some(c) if c.is_alphanumeric() || "+/".contains(c) => return None,
        _ => (before, ""),
    };
    let inches = thickness(millimetres, Units::Inches);
    (millimetres != Length::ZERO).then(|| (before, format!("{sign}{inches}")))
}

/// `57.15` in millimetres.
fn exact(figure: &str) -> Option<Length> {
    let (whole, part) = figure.split_once('.').unwrap_or((figure, ""));
    let padded = format!("{part:0<6}");
    let nm = format!("{whole}{padded}").parse().ok().filter(|_| padded.len() == 6);
    nm.map(Length::from_nm)
}

fn digit(c: char) -> bool {
    c.is_ascii_digit()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_their_inches_behind_them() {
        for (said, wanted) in [
            ("reaches 57.15 mm past", "reaches 57.15 mm [2.25 in] past"),
            ("at end - 45 mm, 3 mm", "at end - 45 mm [1.7717 in], 3 mm [0.1181 in]"),
            ("(±1 mm allowed)", "(±1 mm [±0.0394 in] allowed)"),
            ("from -5 mm", "from -5 mm [-0.1969 in]"),
            ("sweeps 100 to 200 mm", "sweeps 100 to 200 mm [3.937 to 7.874 in]"),
            ("strip 188 × 0.75 mm", "strip 188 × 0.75 mm [7.4016 × 0.0295 in]"),
            (
                "S1 in frame 7, 12 in frame 8: 254 mm",
                "S1 in frame 7, 12 in frame 8: 254 mm [10 in]",
            ),
            ("1.08712 mm", "1.08712 mm [0.0428 in]"),
        ] {
            assert_eq!(with_inches(said), wanted);
        }
    }

    #[test]
    fn what_is_quoted_or_no_length_stays() {
        for said in [
            "`offset = 4 mm`",
            "leaves 0 mm of steel",
            "444 mm² of steel, 25 mm/s, 3 mmm",
            "read (24 in, 610 mm, centre to centre)",
            "-0.5/+1 mm",
            "write one of mm, in",
            "0.1234567 mm, 99999999999999999999 mm, 1.2.3 mm, . mm",
            "",
        ] {
            assert_eq!(with_inches(said), said);
        }
    }
}
