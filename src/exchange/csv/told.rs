//! Findings of a list, each at its cell, and what reading came to.

use super::cell::{Said, Wrong};
use super::{Reader, cells_of};
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Code as Kind, Diagnostic, closest};
use crate::exchange::answer::Answer;
use crate::exchange::drawn::DrawnJob;
use crate::exchange::merged;
use crate::exchange::stopped;
use crate::language::frame_kind_word;
use crate::quantity::{Length, Span};

impl Reader<'_> {
    pub(super) fn length(&mut self, column: usize, text: &str) -> Option<Length> {
        match self.figures.length(text) {
            Ok(said) => self.in_its_unit(column, text, said).then_some(said.length),
            Err(Wrong::Figure(what, help)) => {
                self.at_cell(column, &codes::E1115, what, "no figure", &help);
                None
            }
            Err(Wrong::NoUnit) => {
                if self.no_unit.is_none() {
                    self.no_unit = Some((text.to_string(), self.cell_span(column), 0));
                }
                if let Some((_, _, count)) = &mut self.no_unit {
                    *count += 1;
                }
                None
            }
            Err(Wrong::Unit(what)) => {
                let unit = self.figures.unit.map_or("", |unit| unit.word());
                let message = format!("{what}, which is the unit of this list");
                let help = format!(
                    "write it in {unit}; if cells may say another unit than `unit` in [table] of \
                     the map, write `mixed-units = true` there"
                );
                self.at_cell(column, &codes::E1117, message, "another unit", &help);
                None
            }
        }
    }

    /// Whether a figure that says its unit may say it here; where it may be another than that of
    /// its list or column, it is counted.
    fn in_its_unit(&mut self, column: usize, text: &str, said: Said) -> bool {
        let mut other = said.other;
        if let (None, Some(system)) = (self.figures.unit, said.system) {
            match self.systems.get(&column).copied() {
                None => {
                    let at = self.cell_span(column);
                    self.systems.insert(column, (system, at));
                }
                Some((first, _)) if first == system => {}
                Some(_) if self.figures.mixed => other = true,
                Some((first, at)) => {
                    let here = self.cell_span(column);
                    self.found.push(
                        Diagnostic::new(
                            &codes::E1117,
                            format!(
                                "`{text}` is not in {}, and others of its column are",
                                first.words()
                            ),
                        )
                        .at(here, "another unit")
                        .at(at, "the first of its column")
                        .help(
                            "write a column in units of one kind; if they may be mixed, write \
                             `mixed-units = true` in [table] of the map",
                        ),
                    );
                    return false;
                }
            }
        }
        if other {
            self.other_units.get_or_insert((self.row.line, 0)).1 += 1;
        }
        true
    }

    /// Counts something that a cell leaves to the map or to the usual.
    pub(super) fn unsaid(&mut self, what: &'static str, taken: String) {
        *self.unsaid.entry((what, taken)).or_default() += 1;
    }

    pub(super) fn needed<'r>(
        &mut self,
        column: usize,
        cell: &impl Fn(usize) -> &'r str,
        what: &str,
    ) -> Option<&'r str> {
        let text = cell(column);
        if text.is_empty() {
            self.at_cell(
                column,
                &codes::E1114,
                format!("line {} has no {what}", self.row.line),
                "empty",
                "fill it in; a row that is no member is put aside by a [[skip]] of the map",
            );
            return None;
        }
        Some(text)
    }

    pub(super) fn unknown(&mut self, table: &'static str, word: &str, column: usize) {
        let key = (table, word.to_string());
        if let Some((_, times)) = self.unknown.get_mut(&key) {
            *times += 1;
            return;
        }
        // Where it stands is looked for once: a word may be met in a million rows.
        let span = self.cell_span(column);
        self.unknown.insert(key, (span, 1));
    }

    pub(super) fn at_cell(
        &mut self,
        column: usize,
        code: &'static Kind,
        message: String,
        label: &str,
        help: &str,
    ) {
        let span = self.cell_span(column);
        self.found.push(Diagnostic::new(code, message).at(span, label).help(help));
    }

    pub(super) fn cell_span(&self, column: usize) -> Span {
        let record = self.text.get(self.row.start..self.row.end).unwrap_or("");
        let (ranges, _) = cells_of(record, self.layout.separator);
        let range = ranges.get(column).cloned().unwrap_or(0..1);
        let within = record.get(range.clone()).unwrap_or("");
        let entry = self.entry_text.as_deref();
        let range = match entry.and_then(|entry| Some((within.find(entry)?, entry.len()))) {
            Some((at, len)) => range.start + at..range.start + at + len,
            None => range,
        };
        let start = self.row.start + range.start;
        // An empty cell is shown by the separator beside it.
        self.span(start, (self.row.start + range.end).max(start + 1))
    }

    pub(super) fn span(&self, start: usize, end: usize) -> Span {
        let place = |at: usize| u32::try_from(at.min(self.text.len())).unwrap_or(u32::MAX);
        Span::new(self.file, place(start), place(end))
    }

    pub(super) fn finish(mut self, rows: usize) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
        for ((table, word), (span, count)) in std::mem::take(&mut self.unknown) {
            let (what, words) = self.map.words(table);
            let add = match table {
                "code" => "add it as a [[code]] with its `feature`, or with `leave-out = true`"
                    .to_string(),
                table => format!("add `\"{word}\" = \"…\"` to [{table}] of the map"),
            };
            // Of codes of a letter or two any is like any other.
            let near = closest(&word, words).filter(|_| word.chars().count() > 2);
            let help = match near {
                Some(near) => format!("did you mean `{near}`? else {add}"),
                None => add,
            };
            let often = if count == 1 { String::new() } else { format!(" ({count} times)") };
            self.found.push(
                Diagnostic::new(&codes::E1113, format!("the map knows no {what} `{word}`{often}"))
                    .at(span, if count == 1 { "here" } else { "the first" })
                    .help(help),
            );
        }
        if let Some((text, at, count)) = self.no_unit.take() {
            let often = if count == 1 { String::new() } else { format!(" ({count} figures)") };
            let what = format!("`{text}` says no unit, and the map says none for this list{often}");
            self.found.push(
                Diagnostic::new(&codes::E1115, what)
                    .at(at, if count == 1 { "here" } else { "the first" })
                    .help("add `unit = \"mm\"` (or m, in, ft) to [table] of the map"),
            );
        }
        if let Some(line) = self.stopped {
            stopped(&mut self.found, format!(" at line {line}"));
        }
        let job = self.map.drawn_job();
        if job.is_none() && self.found.is_empty() {
            self.found.push(
                Diagnostic::new(
                    &codes::E1103,
                    "the map does not say which job these members are of",
                )
                .at(self.map.span, "in this map")
                .help("add [job] with `name`, and `title` and `revision` where there are"),
            );
        }
        let frames = std::mem::take(&mut self.frames);
        if self.layout.kind.is_some() {
            for frame in frames.iter().filter(|frame| frame.said.kind.is_none()) {
                self.unsaid("kind", frame_kind_word(frame.drawn.kind).to_string());
            }
        }
        self.answer.said = merged::Said::List(frames.iter().map(|frame| frame.said).collect());
        let drawn = DrawnJob {
            frames: frames.into_iter().map(|frame| frame.drawn).collect(),
            ..job.unwrap_or_default()
        };
        if drawn.frames.is_empty() && self.found.is_empty() {
            self.found.push(
                Diagnostic::new(&codes::E1104, "there is no member in this list")
                    .at(self.span(0, 1), "read to its end")
                    .help("check that it is the right file, and that the map's [[skip]] does not put all rows aside"),
            );
        }
        let s = |n: usize| if n == 1 { "" } else { "s" };
        for ((what, taken), count) in std::mem::take(&mut self.unsaid) {
            let of = if what == "kind" { "frame" } else { "row" };
            let remark = format!("{count} {of}{} without a {what}: {taken} taken.", s(count));
            self.answer.remarks.push(remark);
        }
        if let Some((line, count)) = self.other_units {
            self.answer.remarks.push(format!(
                "{count} figure{} in another unit than the others, the first in line {line}: look \
                 at them.",
                s(count)
            ));
        }
        self.answer.read = format!("{rows} row{}", if rows == 1 { "" } else { "s" });
        match self.found.is_empty() {
            true => (Some((drawn, self.answer)), self.found),
            false => (None, self.found),
        }
    }
}
