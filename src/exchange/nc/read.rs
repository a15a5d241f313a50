//! NC files as members.

use super::FACES;
use super::refused::{END_CUTS, refused_block};
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Code, Diagnostic, closest};
use crate::exchange::answer::Answer;
use crate::exchange::drawn::{DrawnFeature, DrawnFrame, DrawnJob, DrawnMember, DrawnPlace};
use crate::exchange::map::{self, Map, Meant, opening_help};
use crate::exchange::words::{kind_of, usage_of};
use crate::library::model::{Library, OutlineForm};
use crate::library::reading::length_text;
use crate::member::model::{EndShape, Faces, Position};
use crate::quantity::{FileId, Length, Sources, Span};
use std::sync::Arc;

/// Lines of the head.
const HEAD: usize = 24;

/// A line with its place.
#[derive(Clone, Copy)]
struct Line<'t> {
    text: &'t str,
    start: usize,
}

struct Reader<'a> {
    file: FileId,
    /// Bytes of the file.
    len: usize,
    map: &'a Map,
    library: Option<&'a Library>,
    found: Vec<Diagnostic>,
    answer: Answer,
}

/// Reads one part.
pub fn read(
    sources: &Sources,
    file: FileId,
    map: &Map,
    library: Option<&Library>,
) -> (Option<(DrawnJob, Answer)>, Vec<Diagnostic>) {
    let text = sources.get(file).map(|source| source.text().clone()).unwrap_or_default();
    let name = map::short_name(sources, file);
    let answer = Answer { file: name, read: "one part".into(), ..Answer::default() };
    let mut reader = Reader { file, len: text.len(), map, library, found: Vec::new(), answer };
    let job = reader.part(&text);
    match job.filter(|_| reader.found.is_empty()) {
        Some(job) => (Some((job, reader.answer)), reader.found),
        None => (None, reader.found),
    }
}

impl Reader<'_> {
    fn at(&mut self, code: &'static Code, line: Line<'_>, message: String, help: &str) {
        let trimmed = line.text.trim();
        let lead = line.text.len() - line.text.trim_start().len();
        let place = |at: usize| u32::try_from(at.min(self.len)).unwrap_or(u32::MAX);
        let start = line.start + if trimmed.is_empty() { 0 } else { lead };
        let span = Span::new(self.file, place(start), place(start + trimmed.len().max(1)));
        self.found.push(Diagnostic::new(code, message).at(span, "this line").help(help));
    }

    fn part(&mut self, text: &str) -> Option<DrawnJob> {
        let mut at = 0;
        let mut lines: Vec<Line<'_>> = Vec::new();
        for line in text.split_inclusive('\n') {
            let start = at;
            at += line.len();
            let line = Line { text: line.trim_end_matches(['\r', '\n']), start };
            // Lines that begin with two stars are remarks.
            if !line.text.trim_start().starts_with("**") {
                lines.push(line);
            }
        }
        let first = lines.iter().position(|line| !line.text.trim().is_empty());
        let Some(begin) =
            first.filter(|&i| lines.get(i).is_some_and(|line| line.text.trim() == "ST"))
        else {
            let line =
                first.and_then(|i| lines.get(i)).copied().unwrap_or(Line { text: "", start: 0 });
            self.at(
                &codes::E1161,
                line,
                "a part begins with ST".into(),
                "name an NC file of one part",
            );
            return None;
        };
        let head: Vec<Line<'_>> =
            lines.get(begin + 1..).unwrap_or(&[]).iter().take(HEAD).copied().collect();
        if head.len() < HEAD {
            let line = lines.last().copied().unwrap_or(Line { text: "", start: 0 });
            self.at(
                &codes::E1161,
                line,
                format!(
                    "the file is cut short: {} of {HEAD} lines about the part are there",
                    head.len()
                ),
                "copy the file again",
            );
            return None;
        }
        let line = |i: usize| head.get(i).copied().unwrap_or(Line { text: "", start: 0 });
        let word = |i: usize| line(i).text.trim();
        let code = word(7);
        if !matches!(code, "C" | "U") {
            self.at(
                &codes::E1162,
                line(7),
                format!("this part has the profile code `{code}`"),
                "channels have C or U; take the part out",
            );
        }
        // The length may be followed by the length to be sawn.
        let length = self.figure(line(8), word(8).split(',').next().unwrap_or(""));
        let web = self.figure(line(9), word(9));
        let flange = self.figure(line(10), word(10));
        let thickness = self.figure(line(12), word(12));
        for (i, cut) in (16..).zip(END_CUTS) {
            if self.figure(line(i), word(i)).is_some_and(|angle| angle != Length::ZERO) {
                self.at(&codes::E1163, line(i), cut.what(word(i)), cut.help);
            }
        }
        let quantity = word(5).parse::<u32>().ok().filter(|&n| n > 0);
        if quantity.is_none() {
            self.at(
                &codes::E1161,
                line(5),
                format!("`{}` is no number of parts", word(5)),
                "the sixth line says how many are wanted",
            );
        }
        let mark = word(3);
        if mark.is_empty() {
            self.at(
                &codes::E1161,
                line(3),
                "the part bears no mark".into(),
                "the fourth line names it",
            );
        }
        let profile = self.profile(line(6), word(6), web?, flange?, thickness?);
        let usage = usage_of(word(20)).unwrap_or_else(|| {
            if !word(20).is_empty() {
                self.answer.leave_out(format!("text `{}`", word(20)));
            }
            self.map.default_usage()
        });
        let kind = kind_of(word(21)).unwrap_or_else(|| {
            if !word(21).is_empty() {
                self.answer.leave_out(format!("text `{}`", word(21)));
            }
            self.map.default_kind()
        });
        for i in 22..HEAD {
            if !word(i).is_empty() {
                self.answer.leave_out(format!("text `{}`", word(i)));
            }
        }
        let mut member = DrawnMember {
            mark: mark.to_string(),
            usage,
            quantity: quantity.unwrap_or(1),
            profile: profile.unwrap_or_else(|| Arc::from("")),
            length: length?,
            length_tolerance: None,
            start: EndShape::Square,
            end: EndShape::Square,
            turnable: false,
            mark_text: None,
            features: Vec::new(),
            source: self.answer.file.clone(),
        };
        let sizes = (length?, web?, flange?);
        self.blocks(lines.get(begin + 1 + HEAD..).unwrap_or(&[]), sizes, &mut member);
        let frame = match word(1) {
            "" => self.map.default_frame().unwrap_or("loose"),
            named => named,
        };
        let said = self.map.job.as_ref();
        let job = said.map_or_else(|| word(0).to_string(), |job| job.name.value.clone());
        if job.is_empty() {
            self.at(
                &codes::E1103,
                line(0),
                "neither the map nor the part says which job this is".into(),
                "add [job] with `name` to the map",
            );
        }
        let revision = match said.and_then(|job| job.revision.as_ref()) {
            Some(at) => at.value.clone(),
            None if word(2) == "-" => String::new(),
            None => word(2).to_string(),
        };
        Some(DrawnJob {
            name: job,
            title: said
                .and_then(|job| job.title.as_ref())
                .map_or(String::new(), |at| at.value.clone()),
            revision,
            frames: vec![DrawnFrame {
                name: frame.to_string(),
                kind,
                title: String::new(),
                quantity: 1,
                members: vec![member],
            }],
            waivers: Vec::new(),
        })
    }

    fn figure(&mut self, line: Line<'_>, text: &str) -> Option<Length> {
        match length_text(&format!("{} mm", text.trim())) {
            Ok(length) => Some(length),
            Err(fault) => {
                let (what, _) = fault.tell();
                self.at(
                    &codes::E1161,
                    line,
                    format!("`{text}` is no figure: {what}"),
                    "figures are millimetres, with a point",
                );
                None
            }
        }
    }

    fn profile(
        &mut self,
        line: Line<'_>,
        name: &str,
        web: Length,
        flange: Length,
        thickness: Length,
    ) -> Option<Arc<str>> {
        let mapped = self.map.profile(name);
        let near = |a: Length, b: Length| (a - b).abs() <= Length::from_um(100);
        match (mapped, self.library) {
            (Some(mapped), None) => Some(Arc::from(mapped)),
            (None, None) => {
                self.at(
                    &codes::E1148,
                    line,
                    format!("the map knows no profile `{name}`"),
                    "add it to [profiles] of the map",
                );
                None
            }
            (mapped, Some(library)) => {
                let wanted = mapped.unwrap_or(name);
                let Some((_, known)) = library.profile_named(wanted) else {
                    let help = match closest(wanted, library.profiles.iter().map(|p| &*p.name)) {
                        Some(near) => format!("did you mean `{near}`? map it in [profiles]"),
                        None => "map it in [profiles]".to_string(),
                    };
                    self.at(
                        &codes::E1148,
                        line,
                        format!("the library has no profile `{wanted}`"),
                        &help,
                    );
                    return None;
                };
                if !near(known.web, web)
                    || !near(known.left_flange, flange)
                    || !near(known.thickness, thickness)
                {
                    let message = format!(
                        "`{name}` is {web} × {flange}, {thickness} thick in this file, and {wanted} is another"
                    );
                    self.at(
                        &codes::E1148,
                        line,
                        message,
                        "correct [profiles] of the map, or the file",
                    );
                    return None;
                }
                Some(Arc::clone(&known.name))
            }
        }
    }

    fn blocks(
        &mut self,
        lines: &[Line<'_>],
        sizes: (Length, Length, Length),
        member: &mut DrawnMember,
    ) {
        let mut block = String::new();
        let mut outline: Vec<Line<'_>> = Vec::new();
        let mut ended = false;
        for &line in lines {
            let text = line.text.trim_end();
            if text.trim().is_empty() {
                continue;
            }
            if ended {
                self.at(
                    &codes::E1161,
                    line,
                    "something follows after the end of the part".into(),
                    "one part a file",
                );
                return;
            }
            let begins = !text.starts_with([' ', '\t']);
            if begins {
                self.outline(&std::mem::take(&mut outline), sizes);
                block = text.trim().to_string();
                match block.as_str() {
                    "BO" | "AK" => {}
                    "EN" => ended = true,
                    other => {
                        let (what, help) = refused_block(other);
                        self.at(&codes::E1163, line, what, help);
                    }
                }
                continue;
            }
            match block.as_str() {
                "BO" => self.hole(line, sizes, member),
                "AK" => outline.push(line),
                "" => self.at(
                    &codes::E1161,
                    line,
                    "this line belongs to no block".into(),
                    "the part has 24 lines after ST",
                ),
                _ => {}
            }
        }
        if !ended {
            let line = lines.last().copied().unwrap_or(Line { text: "", start: 0 });
            self.at(
                &codes::E1161,
                line,
                "the file is cut short: a part ends with EN".into(),
                "copy the file again",
            );
        }
    }

    /// An outline has to be the whole face.
    fn outline(&mut self, lines: &[Line<'_>], (length, web, flange): (Length, Length, Length)) {
        let Some(&first) = lines.first() else { return };
        let mut across = web;
        for &line in lines {
            let mut words = line.text.split_whitespace().peekable();
            if let Some(letter) = words.next_if(|w| matches!(*w, "v" | "o" | "u" | "h")) {
                across = if matches!(letter, "v" | "h") { web } else { flange };
            }
            let mut next = |reader: &mut Self| {
                let word = words.next().unwrap_or("");
                reader.figure(line, word.trim_end_matches(['u', 'o', 's']))
            };
            let (Some(x), Some(y)) = (next(self), next(self)) else { return };
            let corner = (x == Length::ZERO || x == length) && (y == Length::ZERO || y == across);
            let plain = words.all(|word| word.chars().all(|c| matches!(c, '0' | '.')));
            if !corner || !plain {
                self.at(
                    &codes::E1163,
                    first,
                    "this outline is not the whole face".into(),
                    "draw the notch or cut as a feature of the member, by hand",
                );
                return;
            }
        }
    }

    fn hole(
        &mut self,
        line: Line<'_>,
        (length, web, flange): (Length, Length, Length),
        member: &mut DrawnMember,
    ) {
        let words: Vec<&str> = line.text.split_whitespace().collect();
        let (Some(&letter), Some(&x)) = (words.first(), words.get(1)) else { return };
        let Some((_, face)) = FACES.iter().find(|(known, _)| *known == letter) else {
            self.at(
                &codes::E1163,
                line,
                format!("a hole on `{letter}`"),
                "a channel has v (web), o and u (flanges)",
            );
            return;
        };
        let edge = x.chars().next_back().filter(char::is_ascii_alphabetic);
        let along = self.figure(line, x.trim_end_matches(char::is_alphabetic));
        let plain: Vec<Option<Length>> =
            words.iter().skip(2).map(|w| self.figure(line, w)).collect();
        let plain: Option<Vec<Length>> = plain.into_iter().collect();
        let (Some(along), Some(plain)) = (along, plain) else { return };
        let (y, diameter, slot) = match plain.as_slice() {
            [y, d] | [y, d, _] => (*y, *d, Length::ZERO),
            // A slot along the member: no wider than its ends, not turned.
            [y, d, _, longer, Length::ZERO, Length::ZERO] | [y, d, _, longer, Length::ZERO] => {
                (*y, *d, *longer)
            }
            _ => {
                self.at(
                    &codes::E1163,
                    line,
                    "this hole is turned, or more than a hole or slot".into(),
                    "only plain holes and slots along the member are read",
                );
                return;
            }
        };
        if plain.get(2).is_some_and(|depth| *depth != Length::ZERO) {
            self.at(
                &codes::E1163,
                line,
                "this hole does not go through".into(),
                "only holes that go through are read",
            );
            return;
        }
        if along < Length::ZERO || along > length || diameter <= Length::ZERO || slot < Length::ZERO
        {
            self.at(
                &codes::E1161,
                line,
                "this hole lies outside the part, or has no size".into(),
                "correct the file",
            );
            return;
        }
        let width = if *face == Faces::WEB { web } else { flange };
        let across = match edge {
            None | Some('u') => y - width.half(),
            Some('o') => width.half() - y,
            Some('s') => y,
            Some(other) => {
                self.at(
                    &codes::E1163,
                    line,
                    format!("`{other}` after a place along is not understood"),
                    "u, o and s say which edge a place across is counted from",
                );
                return;
            }
        };
        let round = slot == Length::ZERO;
        let size = (slot + diameter, diameter);
        let (kind, said) = match self.map.opening(round, size.0, size.1) {
            Some(Meant::Type(kind, said)) => (Arc::<str>::from(kind), said),
            Some(Meant::LeftOut) => {
                self.answer.leave_out(if round {
                    format!("hole Ø{diameter}")
                } else {
                    format!("slot {} × {}", size.0, size.1)
                });
                return;
            }
            None => {
                self.at(
                    &codes::E1149,
                    line,
                    "a hole of this size stands for nothing in the map".into(),
                    &opening_help(round, size.0, size.1),
                );
                return;
            }
        };
        let known =
            self.library.and_then(|library| library.feature_named(&kind)).map(|(_, kind)| kind);
        let drilled = |form: OutlineForm| !matches!(form, OutlineForm::Rectangle { .. });
        let open =
            known.is_some_and(|kind| drilled(kind.outline) && kind.outline.leaves_size_open());
        let usual = known.map(|kind| kind.default_faces);
        // The same on the other flange makes one feature of two.
        let place = DrawnPlace::Point { at: Position::from_start(along), tolerance: None };
        let across = Some(across).filter(|a| *a != known.map_or(Length::ZERO, |kind| kind.across));
        let size = (said || open).then_some((size.0, (!round).then_some(size.1)));
        let same = member
            .features
            .iter_mut()
            .find(|f| f.kind == kind && f.place == place && f.across == across && f.size == size);
        let settled = |faces: Faces| Some(faces).filter(|f| Some(*f) != usual);
        match same {
            Some(other) => {
                other.faces = settled(other.faces.or(usual).unwrap_or(Faces::empty()) | *face)
            }
            None => member.features.push(DrawnFeature {
                kind,
                size,
                faces: settled(*face),
                across,
                place,
                across_tolerance: None,
            }),
        }
    }
}
