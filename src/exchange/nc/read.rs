//! NC files as members.

use super::line::{Line, lines_of};
use super::refused::END_CUTS;
use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Code, Diagnostic, closest};
use crate::exchange::answer::Answer;
use crate::exchange::drawn::{DrawnFrame, DrawnJob, DrawnMember};
use crate::exchange::map::{self, Map};
use crate::exchange::words::{kind_of, usage_of};
use crate::library::model::Library;
use crate::library::reading::length_text;
use crate::member::model::{EndShape, Faces};
use crate::quantity::{FileId, Length, Sources, Span};
use std::sync::Arc;

/// Lines of the head.
const HEAD: usize = 24;

/// Reads one file.
pub(super) struct Reader<'a> {
    file: FileId,
    /// Bytes of the file.
    len: usize,
    pub(super) map: &'a Map,
    pub(super) library: Option<&'a Library>,
    found: Vec<Diagnostic>,
    pub(super) answer: Answer,
}

/// What a file says of its section.
struct Said<'t> {
    /// Height, width of the flanges, thickness of these and of the web.
    sizes: [Length; 4],
    radius: Option<Length>,
    grade: &'t str,
}

/// A section out to out, and the part's length.
#[derive(Clone, Copy)]
pub(super) struct Sizes {
    pub length: Length,
    pub web: Length,
    pub flange: Length,
    pub flange_thickness: Length,
}

impl Sizes {
    /// How wide a face is.
    pub fn across(self, face: Faces) -> Length {
        if face == Faces::WEB { self.web } else { self.flange }
    }
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
    pub(super) fn at(&mut self, code: &'static Code, line: Line<'_>, message: String, help: &str) {
        let trimmed = line.text.trim();
        let lead = line.text.len() - line.text.trim_start().len();
        let place = |at: usize| u32::try_from(at.min(self.len)).unwrap_or(u32::MAX);
        let start = line.start + if trimmed.is_empty() { 0 } else { lead };
        let span = Span::new(self.file, place(start), place(start + trimmed.len().max(1)));
        self.found.push(Diagnostic::new(code, message).at(span, "this line").help(help));
    }

    fn part(&mut self, text: &str) -> Option<DrawnJob> {
        let lines = lines_of(text);
        let first = lines.iter().position(|line| !line.text.trim().is_empty());
        let Some(begin) =
            first.filter(|&i| lines.get(i).is_some_and(|line| line.text.trim() == "ST"))
        else {
            let line = first.and_then(|i| lines.get(i)).copied().unwrap_or_default();
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
            let line = lines.last().copied().unwrap_or_default();
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
        let line = |i: usize| head.get(i).copied().unwrap_or_default();
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
        let mut lengths = word(8).split(',');
        let length = self.figure(line(8), lengths.next().unwrap_or(""));
        if let Some(sawn) = lengths.next().map(str::trim)
            && self.figure(line(8), sawn) != length
        {
            self.answer.leave_out(format!("length to be sawn {sawn}"));
        }
        if lengths.next().is_some() {
            let what = "a third figure beside the length".into();
            self.at(
                &codes::E1161,
                line(8),
                what,
                "the ninth line says the length, and may say the length to be sawn",
            );
        }
        let web = self.figure(line(9), word(9));
        let flange = self.figure(line(10), word(10));
        let flange_thickness = self.figure(line(11), word(11));
        let thickness = self.figure(line(12), word(12));
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
        let said = Said {
            sizes: [web?, flange?, flange_thickness?, thickness?],
            radius: self.figure(line(13), word(13)),
            grade: word(4),
        };
        let profile = self.profile(line(6), word(6), &said);
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
        let sizes = Sizes {
            length: length?,
            web: web?,
            flange: flange?,
            flange_thickness: flange_thickness?,
        };
        let blocks = lines.get(begin + 1 + HEAD..).unwrap_or(&[]);
        self.blocks(blocks, line(HEAD - 1), sizes, &mut member);
        for ((i, cut), shape) in
            (16..).zip(END_CUTS).zip([member.start, member.end, EndShape::Square, EndShape::Square])
        {
            if let Some(angle) = self.figure(line(i), word(i)).filter(|a| *a != Length::ZERO) {
                self.angle(line(i), angle, shape, cut.what(word(i)), cut.help);
            }
        }
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

    pub(super) fn figure(&mut self, line: Line<'_>, text: &str) -> Option<Length> {
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

    fn profile(&mut self, line: Line<'_>, name: &str, said: &Said<'_>) -> Option<Arc<str>> {
        let [web, flange, flange_thickness, thickness] = said.sizes;
        let mapped = self.map.profile(name);
        // Steel is told apart by five hundredths, legs by a tenth. Common practice, no source.
        let near = |a: Length, b: Length| (a - b).abs() <= Length::from_um(100);
        let alike = |a: Length, b: Length| (a - b).abs() <= Length::from_um(50);
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
                    || !alike(known.thickness, thickness)
                    || !alike(known.thickness, flange_thickness)
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
                // Coil and forming are the shop's: what the file says of them is listed.
                if said.radius.is_some_and(|radius| !near(known.radius, radius)) {
                    let radius = said.radius.unwrap_or_default();
                    self.answer.leave_out(format!("radius {radius}, of {wanted} {}", known.radius));
                }
                if !said.grade.is_empty() && said.grade != &*known.grade {
                    let grade = said.grade;
                    self.answer.leave_out(format!("grade {grade}, of {wanted} {}", known.grade));
                }
                Some(Arc::clone(&known.name))
            }
        }
    }
}
