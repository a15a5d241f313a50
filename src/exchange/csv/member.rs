//! What a row says of the member it is of.

use super::{Frame, Reader, Table};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnFrame, DrawnMember};
use crate::exchange::merged::FrameSaid;
use crate::exchange::words::usage_words;
use crate::member::model::{EndShape, Usage};
use crate::quantity::{Length, Span};
use std::sync::Arc;

impl Reader<'_> {
    /// The member this row is of: frame and place in it.
    pub(super) fn member<'r>(
        &mut self,
        cell: &impl Fn(usize) -> &'r str,
    ) -> Option<(usize, usize)> {
        let layout = self.layout;
        let mark = self.needed(layout.mark, cell, "mark")?;
        let default = self.map.default.as_ref();
        let frame_name = match layout.frame {
            Some(column) => self.needed(column, cell, "frame")?,
            None => self.map.default_frame().unwrap_or("1"),
        };
        // Rows of one member mostly follow each other.
        let same = self.last.filter(|&(f, m)| {
            self.frames.get(f).is_some_and(|frame| {
                frame.drawn.name == frame_name
                    && frame.drawn.members.get(m).is_some_and(|m| m.mark == mark)
            })
        });
        let known = same.or_else(|| {
            let f = *self.by_name.get(frame_name)?;
            Some((f, *self.frames.get(f)?.marks.get(mark)?))
        });
        if let Some(place) = known {
            self.last = Some(place);
            if !self.by_feature {
                let frame = frame_name.to_string();
                let message = format!("mark {mark} is twice in frame {frame}");
                self.at_cell(layout.mark, &codes::E1119, message, "again here", "give it another mark; with a row for each feature, say `rows = \"feature\"` in [table] of the map");
                return None;
            }
            if self.layout.features.iter().all(|columns| columns.is_empty(cell)) {
                let source = self.frames.get(place.0).and_then(|f| f.drawn.members.get(place.1));
                let source = source.map_or(String::new(), |member| member.source.clone());
                let message = format!(
                    "this row says no feature of member {mark}, which {source} has already"
                );
                self.at_cell(layout.mark, &codes::E1119, message, "again here", "take it out; a further member needs a mark of its own, one that is alike a quantity");
                return None;
            }
            self.again(place, cell);
            return Some(place);
        }
        let usage = self.usage(cell).unwrap_or_else(|| self.map.default_usage());
        if layout.usage.is_some_and(|column| cell(column).is_empty()) {
            self.unsaid("usage", usage_words(usage));
        }
        if layout.quantity.is_some_and(|column| cell(column).is_empty()) {
            self.unsaid("quantity", "1".to_string());
        }
        let profile = match layout.profile {
            Some(column) => {
                let word = self.needed(column, cell, "profile")?;
                self.profile(word, column)
            }
            None => default
                .and_then(|d| d.profile.as_ref())
                .map_or_else(|| Arc::from(""), |at| Arc::from(at.value.as_str())),
        };
        self.needed(layout.length, cell, "length")?;
        let length = self.length(layout.length, cell(layout.length));
        if length.is_some_and(|length| length <= Length::ZERO) {
            let message = "a length is above nought".to_string();
            let help = "write how long the member is";
            self.at_cell(layout.length, &codes::E1115, message, "not above nought", help);
        }
        let length = length.unwrap_or(Length::ZERO);
        let quantity = self.quantity(cell);
        let (start, end) = (self.end(layout.start, cell), self.end(layout.end, cell));
        let f = self.frame(frame_name, cell);
        let source = format!("{}:{}", self.name, self.row.line);
        let frame = self.frames.get_mut(f)?;
        frame.marks.insert(mark.to_string(), frame.drawn.members.len());
        frame.drawn.members.push(DrawnMember {
            mark: mark.to_string(),
            usage,
            quantity: quantity.unwrap_or(1),
            profile,
            length,
            length_tolerance: None,
            start: start.unwrap_or_default(),
            end: end.unwrap_or_default(),
            turnable: false,
            mark_text: None,
            features: Vec::new(),
            source,
        });
        let place = (f, frame.drawn.members.len() - 1);
        self.last = Some(place);
        Some(place)
    }

    /// The frame of this name, begun where there is none yet. What rows say of it must agree.
    fn frame<'r>(&mut self, name: &str, cell: &impl Fn(usize) -> &'r str) -> usize {
        let f = match self.by_name.get(name) {
            Some(&f) => f,
            None => {
                let drawn = DrawnFrame {
                    name: name.to_string(),
                    kind: self.map.default_kind(),
                    title: String::new(),
                    quantity: 1,
                    members: Vec::new(),
                };
                let begins = self.cell_span(self.layout.frame.unwrap_or(self.layout.mark));
                let said = FrameSaid { begins, kind: None, title: None };
                self.frames.push(Frame { drawn, marks: Table::default(), said });
                self.by_name.insert(name.to_string(), self.frames.len() - 1);
                self.frames.len() - 1
            }
        };
        self.frame_says(f, cell);
        f
    }

    /// What this row says of its frame, and whether an earlier row said something else.
    fn frame_says<'r>(&mut self, f: usize, cell: &impl Fn(usize) -> &'r str) {
        let said = |column: Option<usize>| {
            column.map(|column| (column, cell(column))).filter(|(_, text)| !text.is_empty())
        };
        let kind = match said(self.layout.kind) {
            Some((column, word)) => match self.map.kind(word) {
                Some(kind) => Some((column, kind)),
                None => {
                    self.unknown("kinds", word, column);
                    None
                }
            },
            None => None,
        };
        let title = said(self.layout.title);
        let Some(frame) = self.frames.get(f) else { return };
        let was = (frame.said.kind, frame.said.title);
        let differs = [
            kind.filter(|(_, kind)| *kind != frame.drawn.kind)
                .zip(was.0)
                .map(|((c, _), at)| (c, at, "kind")),
            title
                .filter(|(_, title)| *title != frame.drawn.title)
                .zip(was.1)
                .map(|((c, _), at)| (c, at, "title")),
        ];
        let name = frame.drawn.name.clone();
        for (column, first, what) in differs.into_iter().flatten() {
            let message =
                format!("this row says another {what} of frame {name} than one before it");
            let at = self.cell_span(column);
            self.found.push(
                Diagnostic::new(&codes::E1118, message)
                    .at(at, "differs")
                    .at(first, "first said here")
                    .help("correct the one that is wrong, or give the frame another name"),
            );
        }
        let at = |reader: &Self, said: Option<usize>, was: Option<Span>| match (said, was) {
            (Some(column), None) => Some(reader.cell_span(column)),
            _ => None,
        };
        let kind_at = at(self, kind.map(|(column, _)| column), was.0);
        let title_at = at(self, title.map(|(column, _)| column), was.1);
        let Some(frame) = self.frames.get_mut(f) else { return };
        if let (Some((_, kind)), Some(at)) = (kind, kind_at) {
            (frame.drawn.kind, frame.said.kind) = (kind, Some(at));
        }
        if let (Some((_, title)), Some(at)) = (title, title_at) {
            (frame.drawn.title, frame.said.title) = (title.to_string(), Some(at));
        }
    }

    /// The shape of an end that a column says; `None` where it says nothing, or nothing readable.
    fn end<'r>(
        &mut self,
        column: Option<usize>,
        cell: &impl Fn(usize) -> &'r str,
    ) -> Option<EndShape> {
        let column = column?;
        let word = cell(column);
        if word.is_empty() {
            return None;
        }
        let shape = self.map.end(word);
        if shape.is_none() {
            self.unknown("ends", word, column);
        }
        shape
    }

    /// A further row of a member: what it says must be what its first row said.
    fn again<'r>(&mut self, (f, m): (usize, usize), cell: &impl Fn(usize) -> &'r str) {
        let layout = self.layout;
        let Some(member) = self.frames.get(f).and_then(|frame| frame.drawn.members.get(m)) else {
            return;
        };
        let (mark, length, usage, profile, quantity, source) = (
            member.mark.clone(),
            member.length,
            member.usage,
            Arc::clone(&member.profile),
            member.quantity,
            member.source.clone(),
        );
        let ends = [(layout.start, member.start, "start"), (layout.end, member.end, "end")];
        self.frame_says(f, cell);
        let differs = |reader: &mut Self, column: usize, what: &str| {
            let message =
                format!("this row says another {what} of member {mark} than {source} does");
            reader.at_cell(
                column,
                &codes::E1118,
                message,
                "differs",
                "correct the one that is wrong, or give the member another mark",
            );
        };
        if !cell(layout.length).is_empty()
            && self.length(layout.length, cell(layout.length)).is_some_and(|l| l != length)
        {
            differs(self, layout.length, "length");
        }
        if let Some(column) = layout.usage.filter(|&column| !cell(column).is_empty())
            && self.usage(cell).is_some_and(|u| u != usage)
        {
            differs(self, column, "usage");
        }
        if let Some(column) = layout.profile.filter(|&column| !cell(column).is_empty())
            && self.profile(cell(column), column) != profile
        {
            differs(self, column, "profile");
        }
        if let Some(column) = layout.quantity.filter(|&column| !cell(column).is_empty())
            && self.quantity(cell).is_some_and(|q| q != quantity)
        {
            differs(self, column, "quantity");
        }
        for (column, was, what) in ends {
            if let (Some(column), Some(shape)) = (column, self.end(column, cell))
                && shape != was
            {
                differs(self, column, what);
            }
        }
    }

    fn usage<'r>(&mut self, cell: &impl Fn(usize) -> &'r str) -> Option<Usage> {
        let column = self.layout.usage?;
        let word = cell(column);
        if word.is_empty() {
            return None;
        }
        let usage = self.map.usage(word);
        if usage.is_none() {
            self.unknown("usages", word, column);
        }
        usage
    }

    fn profile(&mut self, word: &str, column: usize) -> Arc<str> {
        if let Some(known) = self.profiles.get(word) {
            return Arc::clone(known);
        }
        match self.map.profile(word) {
            Some(profile) => {
                let profile: Arc<str> = Arc::from(profile);
                self.profiles.insert(word.to_string(), Arc::clone(&profile));
                profile
            }
            None => {
                self.unknown("profiles", word, column);
                Arc::from("")
            }
        }
    }

    fn quantity<'r>(&mut self, cell: &impl Fn(usize) -> &'r str) -> Option<u32> {
        let column = self.layout.quantity?;
        let text = cell(column);
        if text.is_empty() {
            return None;
        }
        match text.parse::<u32>().ok().filter(|&n| n > 0) {
            Some(n) => Some(n),
            None => {
                self.at_cell(
                    column,
                    &codes::E1115,
                    format!("`{text}` is no number of members"),
                    "not a whole number above nought",
                    "write how many are wanted; take the row out if none is",
                );
                None
            }
        }
    }
}
