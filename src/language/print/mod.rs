//! Tree to text, one way of writing each thing. Comments and single blank lines stay where they
//! are; a comment inside a statement that has no comma to stand after moves to its end.
//!
//! What is printed parses to the same tree, and printing that changes nothing.

mod expression;
mod statement;

use super::tree::{At, Tree};

/// Blanks a line is indented by for each block it is in.
const STEP: usize = 2;
/// Columns a line may have before it is broken after a comma.
const WIDTH: usize = 100;

/// The file in canonical form; `None` if part of it could not be read. `text` is what the tree
/// was made from.
pub fn format(tree: &Tree, text: &str) -> Option<String> {
    if tree.broken {
        return None;
    }
    let mut printer = Printer {
        tree,
        text,
        out: String::with_capacity(text.len() + text.len() / 8),
        line: 0,
        indent: 0,
        comments: tree.comments.iter().copied().peekable(),
        printed: 0,
        opened: true,
    };
    for item in &tree.items {
        printer.line_of(item.at(), |p| p.item(item));
    }
    printer.own_comments(u32::MAX);
    Some(printer.out)
}

struct Printer<'a> {
    tree: &'a Tree,
    text: &'a str,
    out: String,
    /// Where the line being printed begins in `out`.
    line: usize,
    indent: usize,
    comments: std::iter::Peekable<std::iter::Copied<std::slice::Iter<'a, At>>>,
    /// Up to where the source is printed.
    printed: u32,
    /// Nothing stands in this block yet: no blank line is kept.
    opened: bool,
}

impl Printer<'_> {
    fn put(&mut self, text: &str) {
        self.out.push_str(text);
    }
    /// As it is written.
    fn source(&mut self, at: At) {
        self.put(at.text(self.text));
    }
    fn end_line(&mut self) {
        self.out.push('\n');
        self.line = self.out.len();
    }
    fn indent(&mut self) {
        self.out.extend(std::iter::repeat_n(' ', self.indent));
    }
    /// Goes on with a statement on a new line.
    fn break_line(&mut self) {
        self.end_line();
        self.indent();
        self.out.extend(std::iter::repeat_n(' ', 2 * STEP));
    }
    fn column(&self) -> usize {
        self.out.get(self.line..).unwrap_or("").chars().count()
    }

    /// What the source has between two places.
    fn between(&self, from: u32, to: u32) -> &str {
        At { start: from, end: to }.text(self.text)
    }
    fn comment_before(&mut self, before: u32) -> Option<At> {
        self.comments.next_if(|comment| comment.start < before)
    }

    /// Keeps one blank line where the source has any before this place.
    fn blank_line(&mut self, start: u32) {
        let lines = self.between(self.printed, start).bytes().filter(|&b| b == b'\n').count();
        if lines > 1 && !self.opened {
            self.end_line();
        }
        self.opened = false;
    }

    /// Comments that stand on lines of their own before this place.
    fn own_comments(&mut self, before: u32) {
        while let Some(comment) = self.comment_before(before) {
            self.blank_line(comment.start);
            self.indent();
            self.source(comment);
            self.printed = comment.end;
            self.end_line();
        }
    }

    /// Ends a line whose source ends at `end`: with the comment that stands there or inside it.
    /// A line holds one; others follow on their own.
    fn close_line(&mut self, end: u32) {
        let follows = self.comments.peek().copied().filter(|comment| {
            let gap = self.between(end, comment.start.max(end));
            gap.bytes().all(|b| matches!(b, b' ' | b'\t' | b'\r' | b';'))
        });
        self.printed = end;
        if let Some(comment) = follows {
            self.comments.next();
            self.put("  ");
            self.source(comment);
            self.printed = end.max(comment.end);
        }
        self.end_line();
        while let Some(comment) = self.comment_before(end) {
            self.indent();
            self.source(comment);
            self.end_line();
        }
    }

    /// One statement on a line of its own, with the comments around it.
    fn line_of(&mut self, at: At, print: impl FnOnce(&mut Self)) {
        self.own_comments(at.start);
        self.blank_line(at.start);
        self.indent();
        print(self);
        self.close_line(at.end);
    }

    /// `{ … }`; `at` is all of it.
    fn block<T>(&mut self, at: At, parts: &[T], mut print: impl FnMut(&mut Self, &T)) {
        self.put("{");
        let commented = self.comments.peek().is_some_and(|comment| comment.start < at.end);
        if parts.is_empty() && !commented {
            self.put(" }");
            return;
        }
        self.indent += STEP;
        self.close_line(at.start.saturating_add(1));
        self.opened = true;
        for part in parts {
            print(self, part);
        }
        self.own_comments(at.end);
        self.opened = false;
        self.indent -= STEP;
        self.indent();
        self.put("}");
    }

    /// Items separated by commas. A comment after a comma stays there; a line that grows too long
    /// is broken.
    fn commas<T: Copy>(
        &mut self,
        items: &[T],
        at: impl Fn(&Self, T) -> At,
        mut print: impl FnMut(&mut Self, T),
    ) {
        for (i, &item) in items.iter().enumerate() {
            if i == 0 {
                print(self, item);
                continue;
            }
            self.put(",");
            let start = at(self, item).start;
            let mut broken = false;
            while let Some(comment) = self.comment_before(start) {
                self.put(if broken { "" } else { "  " });
                self.source(comment);
                self.break_line();
                broken = true;
            }
            if broken {
                print(self, item);
                continue;
            }
            let (place, line) = (self.out.len(), self.line);
            self.put(" ");
            print(self, item);
            if self.line == line && self.column() > WIDTH {
                let printed = self.out.split_off(place);
                self.break_line();
                self.put(printed.get(1..).unwrap_or(""));
            }
        }
    }
}
