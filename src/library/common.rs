//! What several kinds of library file have in common: ranges, names, faces, outlines.

use super::model::OutlineForm;
use super::reading::{At, OneOrMany, one_of, words};
use crate::diagnostic::{Code, Diagnostic, codes::library as codes};
use crate::member::model::Faces;
use crate::quantity::{Length, Span, Time, Tolerance};
use std::sync::Arc;

/// Most feature types and profiles of a library: well within the 16 bits of their indices.
pub(super) const MOST: usize = 2_000;

/// Findings of a file being turned into a model.
pub(super) type Found = Vec<Diagnostic>;

/// Reports a figure that cannot be.
pub(super) fn out_of_range(
    found: &mut Found,
    span: Span,
    message: impl Into<String>,
    help: impl Into<String>,
) {
    found.push(Diagnostic::new(&codes::E0306, message).at(span, "out of range").help(help));
}

/// A dimension greater than nought and at most `most`.
pub(super) fn positive(found: &mut Found, key: &str, at: &At<Length>, most: Length) -> Length {
    if at.value <= Length::ZERO || at.value > most {
        out_of_range(
            found,
            at.span,
            format!("`{key}` is {} mm", at.value),
            format!("write a length above nought and at most {most} mm"),
        );
    }
    at.value
}

/// A dimension from nought to `most`.
pub(super) fn not_negative(found: &mut Found, key: &str, at: &At<Length>, most: Length) -> Length {
    if at.value.is_negative() || at.value > most {
        out_of_range(
            found,
            at.span,
            format!("`{key}` is {} mm", at.value),
            format!("write a length from 0 to {most} mm"),
        );
    }
    at.value
}

/// A tolerance that somebody can mean.
pub(super) fn meant(found: &mut Found, key: &str, at: &At<Tolerance>) -> Tolerance {
    if at.value.too_loose() {
        let most = Tolerance::LOOSEST;
        found.push(
            Diagnostic::new(
                &codes::E0333,
                format!("`{key}` is {} mm, and more than {most} mm is no tolerance", at.value),
            )
            .at(at.span, "too loose")
            .note("a stroke is fired anywhere in its tolerance: the piece would be far from its drawing, and proved")
            .help(format!("check the figure and its unit; write at most \"{most} mm\" each way")),
        );
    }
    at.value
}

/// A time of a machine: from nought to a day.
pub(super) fn machine_time(found: &mut Found, key: &str, at: &At<Time>) -> Time {
    if at.value < Time::ZERO || at.value > Time::from_ms(86_400_000) {
        let help = "write a time from \"0 s\" to \"24 h\"";
        out_of_range(found, at.span, format!("`{key}` cannot be {}", at.value), help);
    }
    at.value
}

/// Reports a list of more than `most` items.
pub(super) fn few_enough(found: &mut Found, what: &str, count: usize, most: usize, span: Span) {
    if count > most {
        let message = format!("{count} {what} are more than the {most} there can be");
        out_of_range(found, span, message, "split the file, by line or by job");
    }
}

/// A name that can be written in member files, programs and file names: letters, digits and
/// `-`, `_`, `.`, beginning with a letter or digit.
pub(super) fn plain_name(found: &mut Found, what: &str, at: &At<String>) -> Arc<str> {
    let mut chars = at.value.chars();
    let good = chars.next().is_some_and(char::is_alphanumeric)
        && chars.all(|c| c.is_alphanumeric() || matches!(c, '-' | '_' | '.'))
        && at.value.chars().count() <= 80;
    if !good {
        found.push(
            Diagnostic::new(&codes::E0311, format!("`{}` will not do as {what}", at.value))
                .at(at.span, "not a plain name")
                .note("It is written in member files, programs and on papers, where spaces and signs part words.")
                .help("use letters, digits, `-`, `_` and `.`, beginning with a letter or digit, at most 80"),
        );
    }
    at.value.as_str().into()
}

/// Reports a name that is declared twice; gives the first place.
pub(super) fn unique<'a>(
    found: &mut Found,
    what: &str,
    names: impl Iterator<Item = &'a At<String>>,
) {
    let mut seen: std::collections::BTreeMap<&str, Span> = std::collections::BTreeMap::new();
    for name in names {
        match seen.get(name.value.as_str()) {
            Some(&first) => found.push(
                Diagnostic::new(
                    &codes::E0308,
                    format!("{what} `{}` is declared twice", name.value),
                )
                .at(name.span, "again here")
                .at(first, "first here")
                .help("rename one of them, or leave one out"),
            ),
            None => {
                seen.insert(&name.value, name.span);
            }
        }
    }
}

/// Reports a name that nothing declares.
pub(super) fn unknown<'a>(
    found: &mut Found,
    what: &str,
    name: &At<String>,
    candidates: impl IntoIterator<Item = &'a str>,
) {
    // A file with hundreds of them is the wrong file: no time is spent on likenesses then.
    let help = if found.len() < 500 {
        one_of(&name.value, candidates)
    } else {
        "check that the right library is named".to_string()
    };
    found.push(
        Diagnostic::new(&codes::E0309, format!("there is no {what} `{}`", name.value))
            .at(name.span, "not declared anywhere")
            .help(help),
    );
}

/// One finding with one place.
pub(super) fn finding(
    code: &'static Code,
    span: Span,
    message: impl Into<String>,
    label: impl Into<String>,
    help: impl Into<String>,
) -> Diagnostic {
    Diagnostic::new(code, message).at(span, label).help(help)
}

words! {
    /// Faces of a section, looking at the outside of the web with the start to the left.
    pub enum Face {
        /// The web (face).
        Web = "web",
        /// The left flange.
        LeftFlange = "left-flange",
        /// The right flange.
        RightFlange = "right-flange",
        /// Both flanges.
        Flanges = "flanges",
        /// The lip of the left flange.
        LeftLip = "left-lip",
        /// The lip of the right flange.
        RightLip = "right-lip",
        /// Both lips.
        Lips = "lips",
    }
    /// Outline of what a stroke leaves.
    pub enum Outline {
        /// Round; its size is `diameter`.
        Circle = "circle",
        /// Slot with round ends; its sizes are `length` along the member, overall, and `width`.
        Slot = "slot",
        /// Rectangle; its sizes are `length` along the member and `width` across.
        Rectangle = "rectangle",
    }
}

impl Face {
    /// The faces that these words name together.
    pub fn all(words: &[Face]) -> Faces {
        let one = |word: &Face| match word {
            Face::Web => Faces::WEB,
            Face::LeftFlange => Faces::LEFT_FLANGE,
            Face::RightFlange => Faces::RIGHT_FLANGE,
            Face::Flanges => Faces::FLANGES,
            Face::LeftLip => Faces::LEFT_LIP,
            Face::RightLip => Faces::RIGHT_LIP,
            Face::Lips => Faces::LIPS,
        };
        words.iter().map(one).collect()
    }
}

/// The faces of a list, at least one.
pub(super) fn faces(found: &mut Found, key: &str, list: &At<OneOrMany<Face>>) -> Faces {
    let all = Face::all(list.value.as_slice());
    if all.is_empty() {
        let help = "name at least one: web, left-flange, right-flange, flanges, lips …";
        out_of_range(found, list.span, format!("`{key}` names no face"), help);
    }
    all
}

/// Sizes as written beside an outline.
pub(super) struct Sizes<'a> {
    pub outline: &'a At<Outline>,
    pub diameter: &'a Option<At<Length>>,
    pub length: &'a Option<At<Length>>,
    pub width: &'a Option<At<Length>>,
}

impl Sizes<'_> {
    /// The outline with the sizes given, each in range and each one it has.
    pub fn settle(&self, found: &mut Found) -> OutlineForm {
        let most = Length::from_mm(10_000);
        let mut size = |key: &str, at: &Option<At<Length>>| {
            at.as_ref().map(|at| positive(found, key, at, most))
        };
        let (diameter, length, width) = (
            size("diameter", self.diameter),
            size("length", self.length),
            size("width", self.width),
        );
        let strangers: &[(&str, &Option<At<Length>>)] = match self.outline.value {
            Outline::Circle => &[("length", self.length), ("width", self.width)],
            Outline::Slot | Outline::Rectangle => &[("diameter", self.diameter)],
        };
        for (key, at) in strangers {
            if let Some(at) = at {
                let (shape, sizes) = match self.outline.value {
                    Outline::Circle => ("a circle", "`diameter`"),
                    Outline::Slot => ("a slot", "`length` and `width`"),
                    Outline::Rectangle => ("a rectangle", "`length` and `width`"),
                };
                found.push(
                    Diagnostic::new(&codes::E0310, format!("{shape} has no `{key}`"))
                        .at(at.span, "not a size of this outline")
                        .at(self.outline.span, shape)
                        .help(format!("give {sizes}, or another outline")),
                );
            }
        }
        match self.outline.value {
            Outline::Circle => OutlineForm::Circle { diameter },
            Outline::Rectangle => OutlineForm::Rectangle { length, width },
            Outline::Slot => {
                if let (Some(l), Some(w), Some(at)) = (length, width, self.length)
                    && l < w
                {
                    found.push(finding(
                        &codes::E0310,
                        at.span,
                        format!("a slot {l} mm long cannot be {w} mm wide with round ends"),
                        "shorter than it is wide",
                        "`length` is overall, along the member; `width` is across it",
                    ));
                }
                OutlineForm::Slot { length, width }
            }
        }
    }
}
