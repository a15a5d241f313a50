//! Names of files that every system takes.

use std::collections::BTreeSet;

/// Longest part of a name.
const LONGEST: usize = 40;

/// Names given so far, in small letters: some systems do not tell `n1` from `N1`.
#[derive(Default)]
pub struct Names(BTreeSet<String>);

impl Names {
    /// A new name of these parts, in plain letters, digits, `-` and `_`; numbered where another
    /// has it. Three parts are no device's name on any system.
    pub fn free(&mut self, parts: &[&str]) -> String {
        let plain = |text: &&str| -> String {
            let letters = text.chars().take(LONGEST);
            letters.map(|c| if c.is_ascii_alphanumeric() || c == '-' { c } else { '_' }).collect()
        };
        let mut name = parts.iter().map(plain).collect::<Vec<_>>().join("-");
        if name.starts_with('-') {
            // A command would take it for an option.
            name.replace_range(..1, "_");
        }
        let new = std::iter::once(name.clone())
            .chain((2_u32..).map(|n| format!("{name}-{n}")))
            .find(|name| self.0.insert(name.to_lowercase()));
        new.unwrap_or(name)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_plain_short_and_told_apart() {
        let mut names = Names::default();
        assert_eq!(names.free(&["KP26", "N1", "S1"]), "KP26-N1-S1");
        assert_eq!(names.free(&["KP26", "n1", "S1"]), "KP26-n1-S1-2");
        assert_eq!(names.free(&["../x", "a b", "<ß>"]), "___x-a_b-___");
        assert_eq!(names.free(&["../x", "a b", "<ü>"]), "___x-a_b-___-2");
        assert_eq!(names.free(&["-j", "", "con"]), "_j--con");
        let long = names.free(&["j", "f", &"m".repeat(500)]);
        assert_eq!(long.len(), 4 + LONGEST);
    }
}
