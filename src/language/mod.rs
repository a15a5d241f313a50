//! The member language: text to tree and back. `grammar/members.ebnf` is its specification.

pub mod imported;
mod lex;
mod number;
mod parse;
mod print;
pub mod tree;
mod words;

pub use parse::{DEEPEST, MOST_FINDINGS, parse};
pub use print::format;
pub use tree::Tree;
pub use words::{FRAME_KINDS, RESERVED, USAGES, frame_kind_word};
