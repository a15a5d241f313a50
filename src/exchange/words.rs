//! The language's words, as files of other programs have them.

use crate::diagnostic::closest;
use crate::language::{FRAME_KINDS, USAGES};
use crate::member::model::{FrameKind, Usage};

/// The words for a usage that the formatter prints.
pub fn usage_words(usage: Usage) -> String {
    let words = USAGES.iter().find(|(_, known)| *known == usage).map(|(words, _)| *words);
    words.unwrap_or(&["other"]).join(" ")
}

/// The usage of these words, however they are spaced.
pub fn usage_of(words: &str) -> Option<Usage> {
    let words: Vec<String> = words.split_whitespace().map(str::to_lowercase).collect();
    let said = |known: &[&str]| known.iter().copied().eq(words.iter().map(String::as_str));
    USAGES.iter().find(|(known, _)| said(known)).map(|(_, usage)| *usage)
}

/// What to write instead of a usage that is none.
pub(super) fn usage_help(text: &str) -> String {
    let words: Vec<String> = USAGES.iter().map(|(words, _)| words.join(" ")).collect();
    match closest(text, words.iter().map(String::as_str)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("write one of {}", words.join(", ")),
    }
}

/// The kind of frame of this word.
pub(super) fn kind_of(word: &str) -> Option<FrameKind> {
    FRAME_KINDS.iter().find(|(known, _)| known.eq_ignore_ascii_case(word)).map(|(_, kind)| *kind)
}

/// Whether a text is a name of the language, so that it can stand for a feature type.
pub(super) fn is_word(text: &str) -> bool {
    let begins =
        |part: &str| !part.is_empty() && part.chars().all(|c| c.is_alphanumeric() || c == '_');
    text.chars().next().is_some_and(|c| c.is_alphabetic() || c == '_')
        && text.split('-').all(begins)
}
