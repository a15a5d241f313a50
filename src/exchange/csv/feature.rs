//! Features in a row of a list.

use super::Reader;
use super::layout::{Part, Place};
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnFeature, DrawnPlace};
use crate::exchange::map::{Ends, From};
use crate::library::Face;
use crate::member::model::{Datum, End, Faces, Position};
use crate::quantity::Length;
use std::sync::Arc;

/// A code with what stands beside it, each with its column.
struct Entry<'t> {
    code: (&'t str, usize),
    at: Vec<(&'t str, usize)>,
    to: Option<(&'t str, usize)>,
    across: Option<(&'t str, usize)>,
    size: Option<(&'t str, usize)>,
    width: Option<(&'t str, usize)>,
    face: Option<(&'t str, usize)>,
    /// Whether the map says the code, not the list.
    fixed: bool,
}

impl<'a> Reader<'a> {
    /// The features in some columns of this row.
    pub(super) fn features<'r>(
        &mut self,
        place: (usize, usize),
        columns: &Place<'a>,
        cell: &impl Fn(usize) -> &'r str,
    ) {
        let said = |column: Option<usize>| {
            column.map(|c| (cell(c), c)).filter(|(text, _)| !text.is_empty())
        };
        if let Some((column, form)) = &columns.list {
            let text = cell(*column);
            let entries: Vec<&str> = match columns.between {
                Some(between) => text.split(between).collect(),
                None => vec![text],
            };
            for entry in entries.into_iter().map(str::trim).filter(|e| !e.is_empty()) {
                self.entry_text = Some(entry.to_string());
                let Some(parts) = form.read(entry) else {
                    self.at_cell(
                        *column,
                        &codes::E1121,
                        format!("the entry `{entry}` is not written as the map's `form` says"),
                        "in this cell",
                        "correct the entry, or the map's `form` and `between`",
                    );
                    continue;
                };
                let part = |wanted: Part| {
                    parts
                        .iter()
                        .find(|(part, _)| *part == wanted)
                        .map(|(_, text)| (*text, *column))
                        .filter(|(t, _)| !t.is_empty())
                };
                let entry = Entry {
                    code: part(Part::Code).map_or(("", *column), |c| c),
                    at: part(Part::At).into_iter().collect(),
                    to: part(Part::To),
                    across: part(Part::Across),
                    size: part(Part::Size),
                    width: part(Part::Width),
                    face: part(Part::Face),
                    fixed: false,
                };
                self.entry(place, &entry);
            }
            self.entry_text = None;
            return;
        }
        let mut at: Vec<(&str, usize)> = Vec::new();
        for &column in &columns.at {
            let text = cell(column);
            match columns.between {
                Some(between) => at.extend(
                    text.split(between)
                        .map(str::trim)
                        .filter(|t| !t.is_empty())
                        .map(|t| (t, column)),
                ),
                None if !text.is_empty() => at.push((text, column)),
                None => {}
            }
        }
        let code = match (columns.is, columns.code) {
            (Some(is), _) => {
                // A fixed code stands where its place does, or for an end, where any sign does.
                match columns.at.first() {
                    Some(&column) if !at.is_empty() => (is, column),
                    _ => return self.without_place(columns, cell),
                }
            }
            (None, Some(column)) => (cell(column), column),
            (None, None) => return,
        };
        if code.0.is_empty() {
            if at.is_empty() {
                return self.without_place(columns, cell);
            }
            self.at_cell(
                code.1,
                &codes::E1114,
                "a place without a code: what is to be made there?".into(),
                "empty",
                "write the code, or clear the place",
            );
            return;
        }
        let entry = Entry {
            code,
            at,
            to: said(columns.to),
            across: said(columns.across),
            size: said(columns.size),
            width: said(columns.width),
            face: said(columns.face),
            fixed: columns.is.is_some(),
        };
        self.entry(place, &entry);
    }

    /// Cells beside a code and a place that are both empty have to be empty too.
    fn without_place<'r>(&mut self, columns: &Place<'a>, cell: &impl Fn(usize) -> &'r str) {
        let beside = [columns.to, columns.across, columns.size, columns.width, columns.face];
        for column in beside.into_iter().flatten().filter(|&column| !cell(column).is_empty()) {
            let message = "this is said of a feature that has no code and no place".to_string();
            let help = "write the code and where it is, or clear the cell";
            self.at_cell(column, &codes::E1114, message, "of what?", help);
        }
    }

    /// One code with its places.
    /// Tells a place that lies nearer the other end than the one its code shapes; whether it does.
    /// A place that cannot be read is no place of anything here.
    fn is_at_the_other_end(
        &mut self,
        entry: &Entry<'_>,
        (from, ends): (Option<From>, &[End]),
        (f, m): (usize, usize),
    ) -> bool {
        let member = self.frames.get(f).and_then(|frame| frame.drawn.members.get(m));
        let (Some(member), [end]) = (member, ends) else { return false };
        let length = member.length;
        let told = entry.at.iter().find_map(|&(text, column)| {
            let figure = self.figures.length(text).ok()?.length;
            let at = match from.unwrap_or(From::Start) {
                From::Start => figure,
                From::Middle => length.half() + figure,
                From::End => length - figure,
            };
            let beyond = match end {
                End::Start => at > length.half(),
                End::End => at < length.half(),
            };
            beyond.then(|| {
                (column, format!("`{text}` is nearer the other end of member {}", member.mark))
            })
        });
        let Some((column, message)) = told else { return false };
        let help = format!(
            "the code {} shapes the {end}, as `ends` in [[code]] of the map says: correct the one or the other",
            entry.code.0
        );
        self.at_cell(column, &codes::E1123, message, "here", &help);
        true
    }

    fn entry(&mut self, (f, m): (usize, usize), entry: &Entry<'_>) {
        let Some((code, kind)) =
            self.codes.get(entry.code.0).map(|(code, kind)| (*code, Arc::clone(kind)))
        else {
            self.unknown("code", entry.code.0, entry.code.1);
            return;
        };
        if code.is_left_out() {
            let name = code.code.value.clone();
            self.answer.leave_out(format!("code {name}"));
            return;
        }
        let mut figure = |part: Option<(&str, usize)>| match part {
            Some((text, column)) => self.length(column, text).map(Some).ok_or(()),
            None => Ok(None),
        };
        let (Ok(across), Ok(size), Ok(width), Ok(to)) =
            (figure(entry.across), figure(entry.size), figure(entry.width), figure(entry.to))
        else {
            return;
        };
        let size = size.or(code.size.as_ref().map(|at| at.value));
        let width = width.or(code.width.as_ref().map(|at| at.value));
        let faces = match entry.face {
            Some((word, column)) => match self.map.face(word) {
                Some(faces) => Some(faces),
                None => {
                    self.unknown("faces", word, column);
                    return;
                }
            },
            None => code.faces.as_ref().map(|at| Face::all(at.value.as_slice())),
        };
        if let (None, Some((_, column))) = (size, entry.width) {
            let message = format!("`{}` has a width and no length", entry.code.0);
            let help = "fill in its length; where the type has one size, take the width away";
            self.at_cell(column, &codes::E1114, message, "and how long?", help);
            return;
        }
        if let (Some(_), [_, (_, column), ..]) = (to, entry.at.as_slice()) {
            let message = format!("`{}` begins at several places and stops at one", entry.code.0);
            let help = "give each range an entry or a row of its own";
            self.at_cell(*column, &codes::E1121, message, "begins here too", help);
            return;
        }
        let made = DrawnFeature {
            kind,
            size: size.map(|size| (size, width)),
            faces: faces.filter(|faces: &Faces| !faces.is_empty()),
            across: across.or(code.across.as_ref().map(|at| at.value)),
            place: DrawnPlace::End { end: End::Start, tolerance: None },
            across_tolerance: None,
        };
        let mut places = Vec::new();
        if let Some(ends) = code.ends {
            let ends: &[End] = match ends {
                Ends::Start => &[End::Start],
                Ends::End => &[End::End],
                Ends::Both => &[End::Start, End::End],
            };
            places.extend(ends.iter().map(|&end| DrawnPlace::End { end, tolerance: None }));
            // A fixed code is put where any sign stands: that sign is no place.
            if !entry.fixed && (!entry.at.is_empty() || to.is_some()) {
                if self.is_at_the_other_end(entry, (code.from, ends), (f, m)) {
                    return;
                }
                self.answer.leave_out(format!(
                    "place beside the code {}, which shapes ends",
                    code.code.value
                ));
            }
        } else if entry.at.is_empty() {
            let name = entry.code.0.to_string();
            self.at_cell(
                entry.code.1,
                &codes::E1114,
                format!("`{name}` has no place along the member"),
                "where?",
                "fill in its place; for a type that shapes an end, say `ends` in the map",
            );
            return;
        }
        let from = code.from.unwrap_or(From::Start);
        if code.ends.is_none() {
            for &(text, column) in &entry.at {
                let Some(at) = self.length(column, text) else { continue };
                let at = position(from, at);
                places.push(match to {
                    Some(to) => {
                        DrawnPlace::Range { from: at, to: position(from, to), tolerance: None }
                    }
                    None => DrawnPlace::Point { at, tolerance: None },
                });
            }
        }
        let member = self.frames.get_mut(f).and_then(|frame| frame.drawn.members.get_mut(m));
        let Some(member) = member else { return };
        let shaped = |place: &DrawnPlace| {
            let again = DrawnFeature { place: *place, ..made.clone() };
            matches!(place, DrawnPlace::End { .. })
                && member.features.iter().any(|had| is_same_end(had, &again))
        };
        if let Some(DrawnPlace::End { end, .. }) = places.iter().find(|place| shaped(place)) {
            let message =
                format!("the {end} of member {} has its {} already", member.mark, made.kind);
            let help = "take one of them out; of a code that shapes one end `ends` in [[code]] of \
                        the map says which";
            let column = if entry.fixed {
                entry.at.first().map_or(entry.code.1, |(_, c)| *c)
            } else {
                entry.code.1
            };
            self.at_cell(column, &codes::E1123, message, "again", help);
            return;
        }
        let again = |place: &DrawnPlace| {
            member.features.contains(&DrawnFeature { place: *place, ..made.clone() })
        };
        if places.iter().any(again) {
            let message = format!("member {} has this {} already", member.mark, made.kind);
            let help = "take one of them out";
            self.at_cell(entry.code.1, &codes::E1119, message, "again", help);
            return;
        }
        member
            .features
            .extend(places.into_iter().map(|place| DrawnFeature { place, ..made.clone() }));
    }
}

/// Whether two features shape one end in one way: the tool would come down twice.
fn is_same_end(a: &DrawnFeature, b: &DrawnFeature) -> bool {
    match (a.place, b.place) {
        (DrawnPlace::End { end: x, .. }, DrawnPlace::End { end: y, .. }) => {
            x == y && a.kind == b.kind && a.faces == b.faces && a.across == b.across
        }
        _ => false,
    }
}

/// A distance from a datum as a position.
fn position(from: From, at: Length) -> Position {
    match from {
        From::Start => Position { datum: Datum::Start, offset: at },
        From::Middle => Position { datum: Datum::Middle, offset: at },
        From::End => Position { datum: Datum::End, offset: -at },
    }
}
