//! The registry of diagnostic codes, one file per area.
//!
//! | numbers | area |
//! |---|---|
//! | x01nn | words and grammar of the member language |
//! | x02nn | names, arithmetic, recipes |
//! | x03nn | the shop's library files |
//! | x04nn | members, without a line |
//! | x05nn | members on a line |
//! | x06nn | stock and nesting |
//! | x07nn | dialects and programs as text |
//! | x08nn | replay and verify |
//! | x09nn | files, output, usage; from x0951 on pieces that were taped |
//! | x10nn | plain lists of lengths to be cut from stock |
//! | x11nn | lists and open formats, in and out |
//! | x12nn | drawings and labels |
//!
//! The first letter is the usual severity: E error, W warning, N note.

use super::Code;

macro_rules! areas {
    ($($area:ident),* $(,)?) => {
        $(#[allow(missing_docs)] // each code documents itself
        pub mod $area;)*
        /// Every code, in order of area.
        pub fn all() -> impl Iterator<Item = &'static Code> {
            [$($area::ALL),*].into_iter().flatten().copied()
        }
    };
}

/// Declares the codes of one area and the list of them.
macro_rules! codes {
    ($($number:ident $slug:literal $severity:ident $title:literal $explanation:literal)*) => {
        #[allow(unused_imports)] // an area may be empty of a severity
        use crate::diagnostic::{Code, Severity};
        $(
            #[doc = $title]
            pub static $number: Code = Code {
                number: stringify!($number),
                slug: $slug,
                severity: Severity::$severity,
                title: $title,
                explanation: $explanation,
            };
        )*
        /// Every code of this area.
        pub static ALL: &[&Code] = &[$(&$number),*];
    };
}
pub(crate) use codes;

areas!(
    grammar, resolve, library, member, line, stock, dialect, replay, files, measured, cutting,
    exchange, labels
);

/// The code of this number, in any case.
pub fn find(number: &str) -> Option<&'static Code> {
    all().find(|code| code.number.eq_ignore_ascii_case(number))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn numbers_and_slugs_are_unique_and_say_their_severity() {
        let mut numbers = BTreeSet::new();
        let mut slugs = BTreeSet::new();
        for code in all() {
            assert!(numbers.insert(code.number), "{} twice", code.number);
            assert!(slugs.insert(code.slug), "{} twice", code.slug);
            let letter = code.severity.word().to_uppercase();
            assert_eq!(code.number.get(..1), letter.get(..1), "{}", code.number);
            assert!(code.explanation.len() > 80, "{}: explain what it means", code.number);
        }
    }
}
