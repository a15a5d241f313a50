//! Figures as offices write them: what can only mean one thing is spelled out, what can mean two
//! is told.

/// What is wrong, and what to write.
pub(super) type Refused = (String, String);

/// Signs that stand for others.
const MARKS: [(char, &str); 10] = [
    ('’', "'"),
    ('‘', "'"),
    ('′', "'"),
    ('ʹ', "'"),
    ('”', "\""),
    ('“', "\""),
    ('″', "\""),
    ('ʺ', "\""),
    ('\u{2044}', "/"),
    ('\u{a0}', " "),
];

/// Fractions that are one sign.
const VULGAR: [(char, &str); 15] = [
    ('½', "1/2"),
    ('¼', "1/4"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
    ('⅓', "1/3"),
    ('⅔', "2/3"),
    ('⅕', "1/5"),
    ('⅖', "2/5"),
    ('⅗', "3/5"),
    ('⅘', "4/5"),
    ('⅙', "1/6"),
    ('⅚', "5/6"),
];

/// Units in words and capitals; a lone `M` stays as it is: it may be metres or thousands.
const UNITS: [(&str, &str); 9] = [
    ("mm", "mm"),
    ("cm", "cm"),
    ("in", "in"),
    ("inch", "in"),
    ("inches", "in"),
    ("ft", "ft"),
    ("foot", "ft"),
    ("feet", "ft"),
    ("mtr", "m"),
];

/// A part of a figure.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Token<'t> {
    /// Digits, perhaps with a point.
    Number(&'t str),
    Unit(&'t str),
    Slash,
    Hyphen,
}

/// A figure in the spelling of the language, as far as it can only mean one thing: marks and
/// fractions that printers use, units in capitals, inches behind feet that say no unit.
pub(super) fn spelled(text: &str) -> Result<String, Refused> {
    let plain = in_plain_signs(text);
    let tokens = tokens(&plain);
    refuse(&plain, &tokens)?;
    let mut out = String::new();
    let mut rest = plain.as_str();
    for token in &tokens {
        let (Token::Unit(word) | Token::Number(word)) = token else { continue };
        let Some((before, after)) = rest.split_once(word) else { continue };
        out.push_str(before);
        let unit = UNITS.iter().find(|(said, _)| word.eq_ignore_ascii_case(said));
        out.push_str(match (token, unit) {
            (Token::Unit(_), Some((_, unit))) => unit,
            _ => word,
        });
        rest = after;
    }
    out.push_str(rest);
    if is_inches_behind_feet(&tokens) {
        out.push('"');
    }
    Ok(out)
}

fn in_plain_signs(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        if let Some((_, plain)) = MARKS.iter().find(|(mark, _)| *mark == c) {
            out.push_str(plain);
        } else if let Some((_, plain)) = VULGAR.iter().find(|(sign, _)| *sign == c) {
            if out.ends_with(|c: char| c.is_ascii_digit()) {
                out.push(' ');
            }
            out.push_str(plain);
        } else {
            out.push(c);
        }
    }
    out.replace("''", "\"")
}

fn tokens(text: &str) -> Vec<Token<'_>> {
    let mut tokens = Vec::new();
    let mut rest = text.trim().trim_start_matches(['-', '−', '+']);
    while let Some(c) = rest.chars().next() {
        let taken = |part: &dyn Fn(char) -> bool| {
            rest.find(|c| !part(c)).map_or((rest, ""), |end| rest.split_at(end))
        };
        let (token, behind) = if c.is_ascii_digit() || c == '.' {
            let (word, behind) = taken(&|c| c.is_ascii_digit() || c == '.');
            (Some(Token::Number(word)), behind)
        } else if c.is_alphabetic() {
            let (word, behind) = taken(&|c| c.is_alphabetic());
            (Some(Token::Unit(word)), behind)
        } else {
            let (word, behind) = rest.split_at(c.len_utf8());
            let token = match c {
                '/' => Some(Token::Slash),
                '-' => Some(Token::Hyphen),
                c if c.is_whitespace() => None,
                _ => Some(Token::Unit(word)),
            };
            (token, behind)
        };
        tokens.extend(token);
        rest = behind;
    }
    tokens
}

/// What can mean two things.
fn refuse(text: &str, tokens: &[Token<'_>]) -> Result<(), Refused> {
    let told = |what: &str, help: String| Err((format!("`{text}`: {what}"), help));
    for (number, token) in tokens.iter().enumerate() {
        let after = tokens.get(number + 1..).unwrap_or_default();
        let Token::Number(first) = token else { continue };
        match after {
            [Token::Unit("e" | "E"), ..] => {
                return told(
                    "it is written with an exponent",
                    "write its digits out, such as 2396".into(),
                );
            }
            // A whole number and a fraction behind it.
            [Token::Number(over), Token::Slash, Token::Number(under), ..]
            | [Token::Hyphen, Token::Number(over), Token::Slash, Token::Number(under), ..] => {
                if first.contains('.') {
                    return told(
                        "a fraction stands behind a decimal figure",
                        "write one of the two: 94.5 or 94 1/2".into(),
                    );
                }
                if let (Ok(o), Ok(u)) = (over.parse::<u64>(), under.parse::<u64>())
                    && o >= u
                {
                    return told(
                        &format!("the fraction {over}/{under} is no less than one"),
                        "write a whole number and what is over, such as 10 1/8".into(),
                    );
                }
            }
            [Token::Number(second), ..]
                if !matches!(tokens.get(number.wrapping_sub(1)), Some(Token::Slash)) =>
            {
                return told(
                    "two figures stand here with a blank between them",
                    match second.len() == 3 {
                        true => {
                            format!("write it without a blank between thousands: {first}{second}")
                        }
                        false => "write one figure; a fraction as 94 1/2".into(),
                    },
                );
            }
            _ => {}
        }
        if is_feet(tokens, number) {
            let digits = first.split('.').next().unwrap_or("");
            let over_twelve = digits.parse::<u64>().is_ok_and(|n| n >= 12);
            let counts = !matches!(after, [Token::Slash, ..]);
            if counts && over_twelve {
                return told(
                    &format!("{first} inches stand behind feet"),
                    "write the feet that are in them as feet, or all of it in inches".into(),
                );
            }
            if counts && digits.len() > 2 {
                return told(
                    "it may be feet and inches, or a figure with a mark between thousands",
                    "write it without a mark between thousands, or inches with their own (\")"
                        .into(),
                );
            }
        }
    }
    Ok(())
}

/// Whether the number at this place stands behind feet.
fn is_feet(tokens: &[Token<'_>], number: usize) -> bool {
    let is_unit = |at: usize| matches!(tokens.get(at), Some(Token::Unit(u)) if *u == "'" || u.eq_ignore_ascii_case("ft"));
    match number.checked_sub(1).map(|at| (at, tokens.get(at))) {
        Some((at, Some(Token::Hyphen))) => at.checked_sub(1).is_some_and(is_unit),
        Some((at, Some(Token::Unit(_)))) => is_unit(at),
        _ => false,
    }
}

/// Whether what stands last is a figure behind feet: it says no unit and can only be inches.
fn is_inches_behind_feet(tokens: &[Token<'_>]) -> bool {
    let last_unit = tokens.iter().rposition(|token| matches!(token, Token::Unit(_)));
    let last = last_unit.is_some_and(|at| {
        let mut behind = tokens.iter().skip(at + 1);
        is_feet(tokens, at + 1)
            || (behind.next() == Some(&Token::Hyphen) && is_feet(tokens, at + 2))
    });
    last && matches!(tokens.last(), Some(Token::Number(_)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_can_only_mean_one_thing_is_spelled_out() {
        for (said, meant) in [
            ("1’-5”", "1'-5\""),
            ("7′ 10½″", "7' 10 1/2\""),
            ("94½", "94 1/2"),
            ("½\"", "1/2\""),
            ("94 1/2''", "94 1/2\""),
            ("2396 MM", "2396 mm"),
            ("2396Mm", "2396mm"),
            ("8 FT 3 In", "8 ft 3 in"),
            ("94 inches", "94 in"),
            ("7'-10.375", "7'-10.375\""),
            ("2'1", "2'1\""),
            ("7' 10 3/8", "7' 10 3/8\""),
            ("7 ft 10", "7 ft 10\""),
            ("7'", "7'"),
            ("-7'-6\"", "-7'-6\""),
            ("2396\u{a0}mm", "2396 mm"),
            ("3\u{2044}4 in", "3/4 in"),
            ("2396.5", "2396.5"),
            ("2396 M", "2396 M"),
            ("5/4 in", "5/4 in"),
        ] {
            assert_eq!(spelled(said).as_deref(), Ok(meant), "{said}");
        }
    }

    #[test]
    fn what_can_mean_two_things_is_told() {
        for (said, why, help) in [
            ("2 396", "two figures", "2396"),
            ("2\u{a0}396 mm", "two figures", "2396"),
            ("12 34", "two figures", "one figure"),
            ("1e3 mm", "exponent", "digits"),
            ("2.396e3", "exponent", "digits"),
            ("94.5 1/2\"", "behind a decimal", "94.5 or 94 1/2"),
            ("7' 13\"", "13 inches", "as feet"),
            ("7'-12", "12 inches", "as feet"),
            ("2'396", "396 inches", "as feet"),
            ("2'011", "between thousands", "inches with their own"),
            ("7'10 9/8\"", "9/8 is no less than one", "whole number"),
        ] {
            let (what, do_so) = spelled(said).unwrap_err();
            assert!(what.contains(why) && do_so.contains(help), "{said}: {what}; {do_so}");
        }
    }
}
