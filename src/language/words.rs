//! The words that mean something by themselves, and the trade's words for what members are.

use crate::member::model::{FrameKind, Usage};

macro_rules! reserved {
    ($($bytes:literal $text:literal $name:ident),* $(,)?) => {
        /// A word: reserved, or any other name.
        #[derive(Clone, Copy, PartialEq, Eq, Debug)]
        pub enum Word {
            /// Not reserved.
            Name,
            $(#[doc = $text] $name,)*
        }
        /// Every reserved word: none of them can be the name of a constant, recipe or type.
        pub const RESERVED: &[&str] = &[$($text),*];

        impl Word {
            /// Which word this is. A match on bytes compiles to a decision tree.
            pub const fn of(text: &[u8]) -> Word {
                match text {
                    $($bytes => Word::$name,)*
                    _ => Word::Name,
                }
            }
        }
    };
}
reserved! {
    b"job" "job" Job,
    b"units" "units" Units,
    b"include" "include" Include,
    b"profile" "profile" Profile,
    b"tolerance" "tolerance" Tolerance,
    b"length-tolerance" "length-tolerance" LengthTolerance,
    b"across-tolerance" "across-tolerance" AcrossTolerance,
    b"let" "let" Let,
    b"recipe" "recipe" Recipe,
    b"group" "group" Group,
    b"frame" "frame" Frame,
    b"member" "member" Member,
    b"waive" "waive" Waive,
    b"if" "if" If,
    b"else" "else" Else,
    b"for" "for" For,
    b"in" "in" In,
    b"length" "length" Length,
    b"quantity" "quantity" Quantity,
    b"start" "start" Start,
    b"end" "end" End,
    b"middle" "middle" Middle,
    b"both" "both" Both,
    b"turnable" "turnable" Turnable,
    b"not" "not" Not,
    b"mark-text" "mark-text" MarkText,
    b"on" "on" On,
    b"across" "across" Across,
    b"at" "at" At,
    b"every" "every" Every,
    b"equal" "equal" Equal,
    b"from" "from" From,
    b"to" "to" To,
    b"and" "and" And,
    b"or" "or" Or,
    b"yes" "yes" Yes,
    b"no" "no" No,
    b"mm" "mm" Mm,
    b"m" "m" M,
    b"ft" "ft" Ft,
    b"place" "place" Place,
    b"join" "join" Join,
    b"connect" "connect" Connect,
}

/// Words for what a frame is.
pub const FRAME_KINDS: &[(&str, FrameKind)] = &[
    ("wall", FrameKind::Wall),
    ("floor", FrameKind::Floor),
    ("truss", FrameKind::Truss),
    ("roof", FrameKind::Roof),
    ("loose", FrameKind::Loose),
];

/// The word for what a frame is.
pub fn frame_kind_word(kind: FrameKind) -> &'static str {
    FRAME_KINDS.iter().find(|(_, known)| *known == kind).map_or("", |(word, _)| word)
}

/// Words for what a member is for; the first of each usage is the one the formatter prints.
/// A phrase that begins another stands after it.
pub const USAGES: &[(&[&str], Usage)] = &[
    (&["stud"], Usage::Stud),
    (&["king", "stud"], Usage::KingStud),
    (&["jamb", "stud"], Usage::KingStud),
    (&["trimmer", "stud"], Usage::TrimmerStud),
    (&["trimmer"], Usage::TrimmerStud),
    (&["cripple", "stud"], Usage::CrippleStud),
    (&["cripple"], Usage::CrippleStud),
    (&["top", "plate"], Usage::TopPlate),
    (&["top", "track"], Usage::TopPlate),
    (&["bottom", "plate"], Usage::BottomPlate),
    (&["bottom", "track"], Usage::BottomPlate),
    (&["plate"], Usage::Plate),
    (&["track"], Usage::Plate),
    (&["nogging"], Usage::Nogging),
    (&["noggin"], Usage::Nogging),
    (&["blocking"], Usage::Nogging),
    (&["dwang"], Usage::Nogging),
    (&["bridging"], Usage::Nogging),
    (&["lintel"], Usage::Lintel),
    (&["header"], Usage::Lintel),
    (&["sill"], Usage::Sill),
    (&["brace"], Usage::Brace),
    (&["joist"], Usage::Joist),
    (&["rim", "joist"], Usage::Rim),
    (&["rim"], Usage::Rim),
    (&["rafter"], Usage::Rafter),
    (&["top", "chord"], Usage::TopChord),
    (&["bottom", "chord"], Usage::BottomChord),
    (&["web", "member"], Usage::TrussWeb),
    (&["truss", "web"], Usage::TrussWeb),
    (&["batten"], Usage::Batten),
    (&["purlin"], Usage::Batten),
    (&["girt"], Usage::Batten),
    (&["other"], Usage::Other),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_reserved_word_is_known_as_such() {
        for word in RESERVED {
            assert_ne!(Word::of(word.as_bytes()), Word::Name, "{word}");
        }
        assert_eq!(Word::of(b"stud"), Word::Name);
        assert_eq!(Word::of(b""), Word::Name);
    }

    #[test]
    fn a_longer_phrase_is_tried_before_its_beginning() {
        for (i, (phrase, _)) in USAGES.iter().enumerate() {
            for (later, _) in &USAGES[i + 1..] {
                assert!(!later.starts_with(phrase), "{later:?} is never reached");
            }
        }
    }
}
