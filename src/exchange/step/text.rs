//! Strings of ISO 10303-21: apostrophes are doubled, and whatever is not plain ASCII stands in
//! escapes (clause 6.4.3 of the 2002 and 2016 editions, from memory).

/// What a string says; `None` where an escape in it is none. `raw` is without its apostrophes.
pub fn decoded(raw: &str) -> Option<String> {
    if !raw.contains(['\\', '\'']) {
        return Some(raw.to_string());
    }
    let mut out = String::with_capacity(raw.len());
    let mut rest = raw;
    while let Some(at) = rest.find(['\\', '\'']) {
        out.push_str(rest.get(..at)?);
        rest = rest.get(at..)?;
        if let Some(after) = rest.strip_prefix("''") {
            out.push('\'');
            rest = after;
        } else if let Some(after) = rest.strip_prefix("\\\\") {
            out.push('\\');
            rest = after;
        } else if let Some(after) = rest.strip_prefix("\\X2\\") {
            let (digits, beyond) = after.split_once("\\X0\\")?;
            let units: Option<Vec<u16>> =
                hex(digits, 4).map(|unit| u16::try_from(unit?).ok()).collect();
            out.push_str(&String::from_utf16(&units?).ok()?);
            rest = beyond;
        } else if let Some(after) = rest.strip_prefix("\\X4\\") {
            let (digits, beyond) = after.split_once("\\X0\\")?;
            for code in hex(digits, 8) {
                out.push(char::from_u32(code?)?);
            }
            rest = beyond;
        } else if let Some(after) = rest.strip_prefix("\\X\\") {
            let code = u32::from_str_radix(after.get(..2)?, 16).ok()?;
            out.push(char::from_u32(code)?);
            rest = after.get(2..)?;
        } else if let Some(after) = rest.strip_prefix("\\S\\") {
            // The upper half of ISO 8859-1, which is Unicode's.
            let c = after.chars().next().filter(char::is_ascii)?;
            out.push(char::from_u32(u32::from(c) + 128)?);
            rest = after.get(1..)?;
        } else if let Some(after) = rest.strip_prefix("\\N\\") {
            out.push(' ');
            rest = after;
        } else if let Some(after) = rest.strip_prefix("\\PA\\") {
            // The first page of ISO 8859 for what follows, as without it. Another page would make
            // other letters of the same bytes: refused.
            rest = after;
        } else {
            return None;
        }
    }
    out.push_str(rest);
    Some(out)
}

/// Numbers of so many hexadecimal digits each.
fn hex(digits: &str, each: usize) -> impl Iterator<Item = Option<u32>> {
    let whole = digits.len().is_multiple_of(each) && digits.is_ascii();
    digits.as_bytes().chunks(each).map(move |chunk| {
        let text = std::str::from_utf8(chunk).ok().filter(|_| whole)?;
        u32::from_str_radix(text, 16).ok()
    })
}

/// A text as a string, with its apostrophes.
pub fn encoded(text: &str) -> String {
    let mut out = String::from("'");
    let mut open = false;
    for c in text.chars() {
        let plain = matches!(c, ' '..='~');
        if open && (plain || u32::from(c) > 0xffff) {
            out.push_str("\\X0\\");
            open = false;
        }
        match c {
            '\'' => out.push_str("''"),
            '\\' => out.push_str("\\\\"),
            c if plain => out.push(c),
            c if u32::from(c) > 0xffff => {
                out.push_str(&format!("\\X4\\{:08X}\\X0\\", u32::from(c)));
            }
            c => {
                if !open {
                    out.push_str("\\X2\\");
                    open = true;
                }
                out.push_str(&format!("{:04X}", u32::from(c)));
            }
        }
    }
    if open {
        out.push_str("\\X0\\");
    }
    out.push('\'');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn escapes_are_read_in_every_spelling() {
        let read = |raw| decoded(raw).unwrap();
        assert_eq!(read("plain"), "plain");
        assert_eq!(read("it''s"), "it's");
        assert_eq!(read("a\\\\b"), "a\\b");
        assert_eq!(read("\\X2\\00FC0041\\X0\\x"), "üAx");
        assert_eq!(read("\\X4\\0001F529\\X0\\"), "🔩");
        assert_eq!(read("\\X2\\D83DDD29\\X0\\"), "🔩");
        assert_eq!(read("\\X\\FCber"), "über");
        assert_eq!(read("\\S\\|ber"), "über");
        assert_eq!(read("\\PA\\x"), "x");
        for bad in [
            "\\X2\\00F",
            "\\X2\\00F\\X0\\",
            "\\X\\G0",
            "\\Q\\",
            "\\",
            "\\S\\",
            "\\X4\\00110000\\X0\\",
            "\\X2\\D83D\\X0\\",
            "\\PB\\x",
        ] {
            assert_eq!(decoded(bad), None, "{bad}");
        }
    }

    #[test]
    fn what_is_written_is_read() {
        for text in ["", "a", "it's", "a\\b", "Größe", "über 🔩 ü", "\\X2\\", "日本語 1"] {
            let written = encoded(text);
            assert!(written.is_ascii());
            let raw = &written[1..written.len() - 1];
            assert_eq!(decoded(raw).as_deref(), Some(text));
        }
    }
}
