//! The lines of an NC file.

use crate::quantity::Length;

/// A line with its place.
#[derive(Clone, Copy, Default)]
pub(super) struct Line<'t> {
    pub text: &'t str,
    pub start: usize,
}

/// The lines of a file but its remarks, which begin with two stars.
pub(super) fn lines_of(text: &str) -> Vec<Line<'_>> {
    let mut at = 0;
    let mut lines = Vec::new();
    for line in text.split_inclusive('\n') {
        let start = at;
        at += line.len();
        let line = Line { text: line.trim_end_matches(['\r', '\n']), start };
        if !line.text.trim_start().starts_with("**") {
            lines.push(line);
        }
    }
    lines
}

/// A place along the part without the letter behind it, which says what a measure is held from
/// where the section is rolled larger or smaller than it should be. Figures are counted from the
/// lower edge whatever the letter.
pub(super) fn without_letter(word: &str) -> &str {
    word.strip_suffix(['u', 'o', 's']).unwrap_or(word)
}

/// How many decimals a figure has.
pub(super) fn decimals(word: &str) -> usize {
    word.split_once('.').map_or(0, |(_, decimals)| decimals.len())
}

/// What one more in a figure's last place is.
pub(super) fn last_place(word: &str) -> Length {
    let power = u32::try_from(decimals(word)).ok().and_then(|n| 10_i64.checked_pow(n));
    Length::from_nm((1_000_000 / power.unwrap_or(i64::MAX)).max(1))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_letters_and_last_places() {
        assert_eq!(without_letter("100.00s"), "100.00");
        assert_eq!(without_letter("100.00"), "100.00");
        // No letter of a place: whoever reads the figure refuses it.
        assert_eq!(without_letter("100.00t"), "100.00t");
        assert_eq!(last_place("12"), Length::from_mm(1));
        assert_eq!(last_place("12.50"), Length::from_um(10));
        assert_eq!(last_place("12.0000000000000000000000000"), Length::from_nm(1));
    }
}
