//! The member language: text to tree and back. `grammar/members.ebnf` is its specification.

pub mod tree;

pub use tree::Tree;
