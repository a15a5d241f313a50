//! How an imported members file begins, and whether somebody has changed it since.

use sha2::{Digest, Sha256};

/// What an imported file begins with, up to the hash of its text.
const OURS: &str = "# Imported ";

/// Digits of that hash.
const DIGITS: usize = 12;

/// An import as it is written: this text behind its mark and what it was made from.
pub fn marked(text: &str, from: &str) -> String {
    format!(
        "{OURS}{}, from {from}. Change these and import again;\n\
         # to keep what is changed here, delete these two lines.\n{text}",
        mark(text),
    )
}

/// A short hash of a text.
fn mark(text: &str) -> String {
    let hash = Sha256::digest(text.as_bytes());
    hash.iter().take(DIGITS / 2).map(|byte| format!("{byte:02x}")).collect()
}

/// Whether this is an import as it was written.
pub fn is_untouched(text: &str) -> bool {
    let mut lines = text.splitn(3, '\n');
    let (Some(first), Some(_), Some(rest)) = (lines.next(), lines.next(), lines.next()) else {
        return false;
    };
    let said = first.strip_prefix(OURS).and_then(|rest| rest.get(..DIGITS));
    said == Some(mark(rest).as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_letter_shows() {
        let text = marked("job A\nframe N1 wall {\n}\n", "list.csv, map.toml");
        assert!(is_untouched(&text));
        for changed in [text.replace("N1", "N2"), format!("{text}\n"), text[1..].to_string()] {
            assert!(!is_untouched(&changed), "{changed}");
        }
        assert!(!is_untouched("job A\n") && !is_untouched(""));
    }
}
