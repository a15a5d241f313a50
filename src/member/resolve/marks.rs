//! Marks: single ones, and ranges such as `S1..S7` and `S01..S12`.

use super::eval::Resolver;
use super::limits;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::language::tree::Marks;
use crate::quantity::Span;
use std::sync::Arc;

/// Longest number at the end of a mark of a range.
const DIGITS: usize = 9;

/// A mark's text before the number it ends in, and that number's digits.
fn parts(mark: &str) -> (&str, &str) {
    let digits = mark.bytes().rev().take_while(u8::is_ascii_digit).count();
    mark.split_at(mark.len() - digits)
}

impl Resolver<'_, '_> {
    /// `S1-S7` is one mark, and hardly ever meant as one: six studs would never be made.
    fn doubt_hyphen(&mut self, mark: &str, span: Span) {
        let Some((from, to)) = mark.split_once('-') else { return };
        let ((before, first), (other, last)) = (parts(from), parts(to));
        if before.is_empty() || before != other || first.is_empty() || last.is_empty() {
            return;
        }
        self.say(
            Diagnostic::new(&codes::W0275, format!("`{mark}` is one member, not a range"))
                .at(span, "one mark")
                .note("only one piece is made, and it bears this whole text")
                .help(format!("write `{from}..{to}` if members from {from} to {to} are meant")),
        );
    }

    /// The marks an entry means, each with its place, added to `marks`. `None` once it is
    /// reported why it means none.
    pub(super) fn marks(
        &mut self,
        file: usize,
        node: &Marks,
        marks: &mut Vec<(Arc<str>, Span)>,
    ) -> Option<()> {
        let from = self.names.words(file, node.from);
        let Some(to) = node.to else {
            let span = self.span(file, node.at);
            if from.trim().is_empty() {
                return self.bad_range(span, "a mark is empty", "write what the crew looks for");
            }
            if marks.len() >= limits::MARKS_OF_A_JOB {
                return self.bad_range(span, "too many marks", "split the member");
            }
            self.doubt_hyphen(from, span);
            marks.push((Arc::from(from), span));
            return Some(());
        };
        let to = self.names.words(file, to);
        let span = self.span(file, node.at);
        let ((prefix, first), (other, last)) = (parts(from), parts(to));
        if first.is_empty() || last.is_empty() || first.len() > DIGITS || last.len() > DIGITS {
            let message = format!("`{from}` .. `{to}` is not a range: both must end in a number");
            return self.bad_range(span, &message, "write it like `S1..S7`, or list the marks");
        }
        if prefix != other {
            let message = format!("`{from}` .. `{to}` is not a range: they begin differently");
            let help = format!("write `{from}..{prefix}{last}`, or list the marks");
            return self.bad_range(span, &message, &help);
        }
        let padded = first.starts_with('0') || last.starts_with('0');
        if padded && first.len() != last.len() {
            let message = format!("`{from}` .. `{to}`: one is filled up with noughts, one is not");
            let help = "give both the same number of digits, such as `S01..S12`";
            return self.bad_range(span, &message, help);
        }
        // At most nine digits each.
        let (Ok(first_number), Ok(last_number)) = (first.parse::<u32>(), last.parse::<u32>())
        else {
            return None;
        };
        if first_number > last_number {
            let message = format!("`{from}` .. `{to}` runs backwards");
            let help = format!("write `{prefix}{last}..{prefix}{first}`");
            return self.bad_range(span, &message, &help);
        }
        let count = (last_number - first_number) as usize + 1;
        if marks.len() + count > limits::MARKS_OF_A_JOB {
            let message = format!("`{from}` .. `{to}` is {count} members");
            let help = format!(
                "a job has at most {} marks; for many alike use `quantity`",
                limits::MARKS_OF_A_JOB
            );
            return self.bad_range(span, &message, &help);
        }
        let width = if padded { first.len() } else { 0 };
        marks.extend(
            (first_number..=last_number)
                .map(|n| (Arc::from(format!("{prefix}{n:0width$}").as_str()), span)),
        );
        Some(())
    }

    fn bad_range(&mut self, span: Span, message: &str, help: &str) -> Option<()> {
        self.say(Diagnostic::new(&codes::E0236, message).at(span, "").help(help));
        None
    }
}
