//! Members text of a drawn job: canonical, so that `fmt` leaves it as it is.

use super::drawn::{DrawnFeature, DrawnFrame, DrawnJob, DrawnMember, DrawnPlace};
use super::words::usage_words;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::language::tree::origin::SIGN;
use crate::language::{self, frame_kind_word};
use crate::member::model::{End, EndShape};
use crate::quantity::{FileId, Length, Tolerance};
use std::fmt::Write;

/// The job as members text, each member with its source in a comment. Text that the language
/// cannot hold (a quotation mark, a control character) is refused with the member it belongs to.
pub fn members_text(job: &DrawnJob) -> Result<String, Vec<Diagnostic>> {
    let mut writer = Writer { out: String::new(), found: Vec::new(), about: String::new() };
    writer.job(job);
    if !writer.found.is_empty() {
        return Err(writer.found);
    }
    let (tree, found) = language::parse(FileId(0), &writer.out);
    match language::format(&tree, &writer.out).filter(|_| found.is_empty()) {
        Some(text) => Ok(text),
        // What was written above is always members text; if it ever is not, say so plainly.
        None => Err(found
            .into_iter()
            .map(|fault| {
                Diagnostic::new(
                    &codes::E1102,
                    format!("this cannot be written as members text: {}", fault.message),
                )
                .help("rename what it speaks of in the file that is read")
            })
            .collect()),
    }
}

/// The slope of an end: `4 : 12 long point left`.
pub(super) fn slope_words(rise: i32, run: i32) -> String {
    let side = if rise < 0 { "right" } else { "left" };
    format!("{} : {run} long point {side}", rise.unsigned_abs())
}

/// One feature as a statement of the language.
pub fn feature_text(feature: &DrawnFeature) -> String {
    let mut out = String::new();
    group(&mut out, &[feature]);
    out
}

struct Writer {
    out: String,
    found: Vec<Diagnostic>,
    /// What is being written, for findings.
    about: String,
}

impl Writer {
    fn put(&mut self, text: &str) {
        self.out.push_str(text);
    }

    /// A name: bare where it is surely one token, else in quotes.
    fn label(&mut self, text: &str) {
        if is_plain(text) {
            self.put(text);
        } else {
            self.quoted(text);
        }
    }

    fn quoted(&mut self, text: &str) {
        let bad = |c: char| {
            c == '"'
                || c.is_control()
                || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
        };
        if let Some(c) = text.chars().find(|&c| bad(c)) {
            let shown = if c == '"' {
                "a quotation mark".to_string()
            } else {
                format!("U+{:04X}", u32::from(c))
            };
            self.found.push(
                Diagnostic::new(
                    &codes::E1102,
                    format!("{} has {shown} in `{}`", self.about, text.escape_debug()),
                )
                .note("it would be printed on papers and pieces, where it cannot be told from the text around it")
                .help("rename it in the file that is read"),
            );
        }
        self.put("\"");
        self.put(text);
        self.put("\"");
    }

    fn job(&mut self, job: &DrawnJob) {
        self.about = format!("job {}", job.name);
        self.put("job ");
        self.label(&job.name);
        if !job.title.is_empty() {
            self.put(" ");
            self.quoted(&job.title);
        }
        if !job.revision.is_empty() {
            self.put(" revision ");
            self.label(&job.revision);
        }
        self.put("\nunits mm\n");
        if !job.waivers.is_empty() {
            self.put("\n");
        }
        for waiver in &job.waivers {
            self.put("waive ");
            self.label(&waiver.rule);
            for (word, name) in [("frame", &waiver.frame), ("mark", &waiver.mark)] {
                if let Some(name) = name {
                    let _infallible = write!(self.out, " {word} ");
                    self.label(name);
                }
            }
            self.put(" reference ");
            self.quoted(&waiver.reference);
            self.put(" by ");
            self.quoted(&waiver.by);
            self.put("\n");
        }
        for frame in &job.frames {
            self.frame(frame);
        }
    }

    fn frame(&mut self, frame: &DrawnFrame) {
        self.about = format!("frame {}", frame.name);
        self.put("\nframe ");
        self.label(&frame.name);
        self.put(" ");
        self.put(frame_kind_word(frame.kind));
        if !frame.title.is_empty() {
            self.put(" ");
            self.quoted(&frame.title);
        }
        // The profile that the first member has stands for the frame, where another has it too.
        let first = frame.members.first().map(|m| &m.profile);
        let common =
            first.filter(|p| frame.members.iter().filter(|m| m.profile == **p).count() > 1);
        if let Some(profile) = common {
            self.put(" profile ");
            self.quoted(profile);
        }
        if frame.quantity != 1 {
            let _infallible = write!(self.out, " quantity {}", frame.quantity);
        }
        self.put(" {\n");
        for member in &frame.members {
            self.about = format!("member {} of frame {}", member.mark, frame.name);
            self.member(member, common.is_some_and(|profile| *profile == member.profile));
        }
        self.put("}\n");
    }

    fn member(&mut self, member: &DrawnMember, profile_said: bool) {
        self.put("  member ");
        self.label(&member.mark);
        self.put(" ");
        self.put(&usage_words(member.usage));
        if !profile_said {
            self.put(" profile ");
            self.quoted(&member.profile);
        }
        let _infallible = write!(self.out, " length {}", member.length);
        if member.quantity != 1 {
            let _infallible = write!(self.out, " quantity {}", member.quantity);
        }
        let mut body = String::new();
        let mut line = |text: &str| {
            body.push_str("    ");
            body.push_str(text);
            body.push('\n');
        };
        if let Some(tolerance) = member.length_tolerance {
            line(&format!("length-tolerance {}", tolerance_text(tolerance)));
        }
        if member.turnable {
            line("turnable");
        }
        for (word, shape) in [("start", member.start), ("end", member.end)] {
            if let EndShape::Slope { rise, run } = shape {
                line(&format!("{word} slope {}", slope_words(rise, run)));
            }
        }
        let mark_text = member.mark_text.as_ref();
        if let Some(text) = mark_text {
            let before = std::mem::take(&mut self.out);
            self.quoted(text);
            let quoted = std::mem::replace(&mut self.out, before);
            line(&format!("mark-text {quoted}"));
        }
        for alike in groups(&member.features) {
            body.push_str("    ");
            group(&mut body, &alike);
            body.push('\n');
        }
        if !body.is_empty() {
            self.put(" {");
        }
        if !member.source.is_empty() {
            self.put("  ");
            self.put(SIGN);
            self.put(" ");
            let shown: String =
                member.source.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            self.put(shown.trim_end());
        }
        self.put("\n");
        if !body.is_empty() {
            self.put(&body);
            self.put("  }\n");
        }
    }
}

/// Whether a text is one token that can stand for a name wherever one may: a name of ASCII
/// letters, or digits, perhaps with capitals after them (a small letter could be a unit).
fn is_plain(text: &str) -> bool {
    let digits = text.bytes().take_while(u8::is_ascii_digit).count();
    if digits == text.len() {
        return (1..=15).contains(&digits);
    }
    let first = text.as_bytes().get(digits).copied().unwrap_or(b' ');
    let begins = if digits > 0 {
        digits <= 15 && first.is_ascii_uppercase()
    } else {
        first.is_ascii_alphabetic() || first == b'_'
    };
    let word = |b: u8| b.is_ascii_alphanumeric() || b == b'_';
    begins
        && text.split('-').all(|part| !part.is_empty() && part.bytes().all(word))
        && text.len() <= 80
}

/// Features written in one statement: everything alike but where along.
fn groups(features: &[DrawnFeature]) -> Vec<Vec<&DrawnFeature>> {
    let mut groups: Vec<Vec<&DrawnFeature>> = Vec::new();
    for feature in features {
        let alike = groups.iter_mut().find(|g| g.first().is_some_and(|f| alike(f, feature)));
        match alike {
            Some(group) => group.push(feature),
            None => groups.push(vec![feature]),
        }
    }
    groups
}

fn alike(a: &DrawnFeature, b: &DrawnFeature) -> bool {
    let place = match (a.place, b.place) {
        (DrawnPlace::Point { tolerance: a, .. }, DrawnPlace::Point { tolerance: b, .. }) => a == b,
        (DrawnPlace::Range { tolerance: a, .. }, DrawnPlace::Range { tolerance: b, .. }) => a == b,
        // Both ends in one statement mirror their tolerance.
        (
            DrawnPlace::End { end: x, tolerance: None },
            DrawnPlace::End { end: y, tolerance: None },
        ) => x != y,
        _ => false,
    };
    place
        && a.kind == b.kind
        && a.size == b.size
        && a.faces == b.faces
        && a.across == b.across
        && a.across_tolerance == b.across_tolerance
}

fn group(out: &mut String, alike: &[&DrawnFeature]) {
    let Some(first) = alike.first() else { return };
    out.push_str(&first.kind);
    if let Some((length, width)) = first.size {
        let _infallible = write!(out, " {length}");
        if let Some(width) = width {
            let _infallible = write!(out, " x {width}");
        }
    }
    if let Some(faces) = first.faces {
        let _infallible = write!(out, " on {faces}");
    }
    if let Some(across) = first.across {
        let _infallible = write!(out, " across {across}");
    }
    let more = first.size.is_some() || first.faces.is_some() || first.across.is_some();
    for (i, feature) in alike.iter().enumerate() {
        let before = if i == 0 { " at " } else { ", " };
        match feature.place {
            DrawnPlace::Point { at, .. } => {
                let _infallible = write!(out, "{before}{at}");
            }
            DrawnPlace::Range { from, to, .. } => {
                let _infallible = write!(out, "{before}{from} .. {to}");
            }
            DrawnPlace::End { .. } if alike.len() > 1 => {
                if i == 0 {
                    out.push_str(if more { ", both ends" } else { " both ends" });
                }
            }
            DrawnPlace::End { end: End::Start, .. } => out.push_str(" start"),
            DrawnPlace::End { end: End::End, .. } => out.push_str(" end"),
        }
    }
    match first.place {
        DrawnPlace::Point { tolerance: Some(t), .. }
        | DrawnPlace::End { tolerance: Some(t), .. } => {
            let _infallible = write!(out, " tolerance {}", tolerance_text(t));
        }
        DrawnPlace::Range { tolerance: Some((a, b)), .. } => {
            let _infallible =
                write!(out, " tolerance {} .. {}", tolerance_text(a), tolerance_text(b));
        }
        _ => {}
    }
    if let Some(t) = first.across_tolerance {
        let _infallible = write!(out, " across-tolerance {}", tolerance_text(t));
    }
}

fn tolerance_text(tolerance: Tolerance) -> String {
    if tolerance.minus == tolerance.plus {
        return tolerance.plus.to_string();
    }
    let zero = Length::ZERO;
    debug_assert!(tolerance.minus >= zero && tolerance.plus >= zero);
    format!("-{}/+{}", tolerance.minus, tolerance.plus)
}
