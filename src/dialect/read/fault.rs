//! What is wrong with a program's bytes, and where.

use super::super::text::{Text, shown};
use super::{Reader, e};
use crate::diagnostic::{Code, Diagnostic};
use crate::library::model::{Field, Scope};
use crate::quantity::{Advance, Span};
use std::ops::Range;

pub(super) const COMPILE_AGAIN: &str =
    "compile the batch again instead of repairing the file: an edited program is not proved";

impl Reader<'_> {
    pub(super) fn fault(
        &self,
        code: &'static Code,
        message: String,
        range: Range<usize>,
        label: &str,
    ) -> Diagnostic {
        Diagnostic::new(code, message).at(self.span(range), label)
    }

    pub(super) fn span(&self, range: Range<usize>) -> Span {
        // The text is no longer than its bytes twice over, and those fit 32 bits; a text too
        // long for a span is shown at its end.
        let at = |offset: usize| u32::try_from(offset).unwrap_or(u32::MAX);
        Span::new(self.file, at(range.start), at(range.end))
    }

    /// The record that began at `start`, without its last line end.
    pub(super) fn line_span(&self, start: usize) -> Span {
        let end = self.at.saturating_sub(self.of.line_end.text().len()).max(start);
        self.span(start..end)
    }

    /// A place to show something at `at`: the rest of its line up to `most` characters, or the
    /// character before where the line or the file ends there.
    pub(super) fn place(&self, at: usize, most: usize) -> Range<usize> {
        let tail = self.text.get(at..).unwrap_or_default();
        let line = tail.split(['\r', '\n']).next().unwrap_or_default();
        let shown = line.chars().take(most).map(char::len_utf8).sum::<usize>();
        if shown > 0 {
            return at..at + shown;
        }
        let before = self.text.get(..at).unwrap_or_default();
        let last = before.trim_end_matches(['\r', '\n']).chars().next_back();
        let end = before.trim_end_matches(['\r', '\n']).len();
        end - last.map_or(0, char::len_utf8)..end
    }

    pub(super) fn truncated(&self) -> Box<Diagnostic> {
        let found = self.fault(
            &e::E0755,
            "the program ends here, before its end record is complete".to_string(),
            self.place(self.text.len(), 1),
            "the file ends here",
        );
        Box::new(
            found
                .note("a controller would stop in the middle of a member")
                .help("copy the file again, or compile the batch again"),
        )
    }

    pub(super) fn unknown_record(&self, scopes: &[Scope]) -> Box<Diagnostic> {
        let leads: Vec<String> =
            scopes.iter().map(|&scope| format!("`{}`", cut_short(self.lead(scope)))).collect();
        let found = self.fault(
            &e::E0750,
            format!("no record of dialect `{}` begins like this line", self.of.name),
            self.place(self.at, 40),
            "unknown",
        );
        Box::new(found.note(format!("here a line begins {}", leads.join(", "))).help(COMPILE_AGAIN))
    }

    /// The file has something else than the literal `wanted`.
    pub(super) fn mismatch(&self, wanted: &str, before: Option<&Text>) -> Box<Diagnostic> {
        let rest = self.rest();
        let same = wanted.chars().zip(rest.chars()).take_while(|(a, b)| a == b);
        let same: usize = same.map(|(c, _)| c.len_utf8()).sum();
        let (wanted, got) =
            (wanted.get(same..).unwrap_or_default(), rest.get(same..).unwrap_or_default());
        let Some(first) = got.chars().next() else { return self.truncated() };
        let at = self.at + same;
        let line_end = |text: &str| text.starts_with('\n') || text.starts_with("\r\n");
        if line_end(wanted) && line_end(got) {
            let found = self.fault(
                &e::E0757,
                format!("this line does not end the way dialect `{}` ends lines", self.of.name),
                self.place(at, 1),
                "wrong line end",
            );
            return Box::new(found.help("copy the file again without converting line ends"));
        }
        if let Some(text) = before.filter(|_| same == 0)
            && (text.begins_escape(first) || (first.is_control() && first != '\n'))
        {
            return self.no_such_text(text, at);
        }
        let found = self.fault(
            &e::E0751,
            format!("dialect `{}` writes `{}` here", self.of.name, cut_short(wanted)),
            self.place(at, wanted.chars().count().clamp(1, 20)),
            &format!("the file has {}", shown(first)),
        );
        Box::new(found.help(COMPILE_AGAIN))
    }

    pub(super) fn misspelled(
        &self,
        field: Field,
        spelled: &str,
        why: &str,
        write: Option<String>,
    ) -> Box<Diagnostic> {
        // Every program ends with a line end: a field that reaches its end is cut short.
        if self.at + spelled.len() == self.text.len() {
            return self.truncated();
        }
        let what = match spelled {
            "" => "nothing".to_string(),
            some => format!("`{}`", cut_short(some)),
        };
        let found = self.fault(
            &e::E0752,
            format!("{what} for `{field}` {why}"),
            match spelled {
                "" => self.place(self.at, 1),
                some => self.at..self.at + some.len(),
            },
            "not the spelling of a number",
        );
        Box::new(match write {
            Some(write) => found.help(format!("the dialect writes `{write}`; {COMPILE_AGAIN}")),
            None => found.help(COMPILE_AGAIN),
        })
    }

    /// Within the width of a text stands something that no text has.
    pub(super) fn no_such_text(&self, text: &Text, at: usize) -> Box<Diagnostic> {
        let found = self.fault(
            &e::E0753,
            format!("this is not how text format `{}` writes a character", text.name),
            self.place(at, 2),
            "no such spelling",
        );
        Box::new(found.at(text.span, "this format").help(COMPILE_AGAIN))
    }

    /// A stroke says another advance than its stop.
    pub(super) fn another_place(&self, stands: Advance, said: Range<usize>) -> Box<Diagnostic> {
        let found = self.fault(
            &e::E0759,
            format!("this stroke says another advance than its stop, which is at {stands} mm"),
            said,
            "another advance",
        );
        Box::new(found.note("the controller would fire it elsewhere").help(COMPILE_AGAIN))
    }

    /// The two figures of a cut's slope have a common divisor, or stand for no slope.
    pub(super) fn not_lowest(&self, rise: i32, run: i32, began: usize) -> Box<Diagnostic> {
        let found = self.fault(
            &e::E0752,
            format!("the slope {rise} : {run} is not in lowest terms"),
            self.place(began, 40),
            "a slope of another spelling",
        );
        Box::new(found.help(COMPILE_AGAIN))
    }

    /// A time that the line decides is another one.
    pub(super) fn another_time(
        &self,
        field: Field,
        range: Range<usize>,
        wanted: Option<String>,
    ) -> Box<Diagnostic> {
        let spelled = self.text.get(range.clone()).unwrap_or_default();
        if range.end == self.text.len() {
            return self.truncated();
        }
        let place = if range.is_empty() { self.place(range.start, 1) } else { range.clone() };
        let found = self.fault(
            &e::E0759,
            format!("`{}` for `{field}` is not what this line needs", cut_short(spelled)),
            place,
            "another time",
        );
        let found = found.note("too short, and the strip moves while the tool is still in it");
        Box::new(match wanted {
            Some(wanted) => found.help(format!("the dialect writes `{wanted}`; {COMPILE_AGAIN}")),
            None => found.help(COMPILE_AGAIN),
        })
    }

    /// Strokes of one phase in another order than that of the line's tools.
    pub(super) fn out_of_order(&self, began: usize) -> Box<Diagnostic> {
        let found = self.fault(
            &e::E0759,
            "the strokes of this phase stand in another order".to_string(),
            self.place(began, 40),
            "belongs further up",
        );
        Box::new(found.help(COMPILE_AGAIN))
    }

    /// A release that is not that of the stroke it stands for.
    pub(super) fn released_another(&self, began: usize) -> Box<Diagnostic> {
        let found = self.fault(
            &e::E0759,
            "this releases another tool than the one that was fired".to_string(),
            self.place(began, 40),
            "another tool",
        );
        let note = "the tool that was fired would stay in the strip";
        Box::new(found.note(note).help(COMPILE_AGAIN))
    }

    pub(super) fn unknown_code(&self, field: Field, word: &str, length: usize) -> Box<Diagnostic> {
        // As for numbers.
        if self.at + length == self.text.len() {
            return self.truncated();
        }
        let place = if length == 0 { self.place(self.at, 1) } else { self.at..self.at + length };
        let word = match word {
            "" => "an empty code".to_string(),
            some => format!("`{}`", cut_short(some)),
        };
        let what = match field {
            Field::Warm => "is neither of the two words for `warm`",
            _ => "is the code of no tool of this line",
        };
        let found = self.fault(&e::E0754, format!("{word} {what}"), place, "unknown");
        Box::new(
            found.help("check that the program is for this line and dialect, and compile again"),
        )
    }

    pub(super) fn line_too_long(&self, line: Range<usize>) -> Box<Diagnostic> {
        let bytes = self.of.bytes_of(self.text.get(line.clone()).unwrap_or_default());
        let (most, limit) = self.of.limits.line.unzip();
        let found = self.fault(
            &e::E0732,
            format!("this line has {bytes} bytes; the controller takes {}", most.unwrap_or(0)),
            self.place(line.start, 40),
            "too long",
        );
        let found = match limit {
            Some(span) => found.at(span, "this limit"),
            None => found,
        };
        Box::new(found.help(COMPILE_AGAIN))
    }
}

/// A few characters of some text, printable.
fn cut_short(text: &str) -> String {
    let mut short: String = text.chars().take(40).flat_map(char::escape_debug).collect();
    if text.chars().nth(40).is_some() {
        short.push('…');
    }
    short.replace("\\\"", "\"").replace("\\'", "'")
}
