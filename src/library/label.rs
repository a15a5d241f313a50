//! Layouts of labels: how sheets or rolls are divided, and what has room on a label.

use super::common::{Found, finding, not_negative, out_of_range, positive};
use super::model::{LabelLayout, LabelPaper, Units};
use super::reading::{At, wire};
use super::shelf::read;
use crate::diagnostic::codes::labels as codes;
use crate::diagnostic::{Diagnostic, any_error, load};
use crate::quantity::{Files, Length, MemoryFiles, Sources};

/// Layouts on plain paper, for shops that have none of their own yet: labels and tickets on A4, and
/// on Letter.
const PLAIN: [[&str; 2]; 2] = [
    [include_str!("shipped/plain-labels.toml"), include_str!("shipped/plain-tickets.toml")],
    [
        include_str!("shipped/plain-labels-letter.toml"),
        include_str!("shipped/plain-tickets-letter.toml"),
    ],
];

/// Largest side of a sheet.
const LARGEST_SHEET: Length = Length::from_mm(1_500);
/// Most labels side by side or below each other.
const MOST: i64 = 200;
/// Highest capitals where nothing is said.
const LARGEST: Length = Length::from_mm(8);
/// Lowest capitals where nothing is said: what is read at arm's length. Common practice, no
/// source.
const LEAST: Length = Length::from_um(1_500);
/// Lowest capitals that any printer of a shop tells apart. Common practice, no source.
const LOWEST: Length = Length::from_um(500);
/// Least side of a code with its white: what a telephone reads. Common practice, no source.
const LEAST_CODE: Length = Length::from_mm(10);
/// Least room for words beside the code.
const LEAST_WORDS: Length = Length::from_mm(12);

wire! {
    /// How labels lie on their paper: name a [sheet] or a [roll].
    pub struct Labels {
        /// What the layout is called.
        name: At<String>,
        /// Sheets with rows of labels.
        sheet: Option<Sheet>,
        /// A roll: one row of labels after the other.
        roll: Option<Roll>,
        /// One label.
        label: Label,
    }
    /// Sheets with rows of labels.
    pub struct Sheet {
        /// Width of the sheet.
        width: At<Length>,
        /// Height of the sheet.
        height: At<Length>,
        /// Labels side by side.
        columns: At<i64>,
        /// Labels below each other.
        rows: At<i64>,
        /// From the left edge of the sheet to the first label.
        left: At<Length>,
        /// From the upper edge of the sheet to the first label.
        top: At<Length>,
        /// Between two labels side by side; none when left out.
        gap_across: Option<At<Length>>,
        /// Between two labels below each other; none when left out.
        gap_down: Option<At<Length>>,
    }
    /// A roll. A page is one row of labels; the gap to the next is the printer's to find.
    pub struct Roll {
        /// Width of the roll.
        width: At<Length>,
        /// Labels side by side; 1 when left out.
        columns: Option<At<i64>>,
        /// From the left edge of the roll to the first label; none when left out.
        left: Option<At<Length>>,
        /// Between two labels side by side; none when left out.
        gap_across: Option<At<Length>>,
    }
    /// One label.
    pub struct Label {
        /// Its width.
        width: At<Length>,
        /// Its height.
        height: At<Length>,
        /// Kept free along its edges; 1.5 mm when left out.
        inset: Option<At<Length>>,
        /// Side of the QR code, with the white around it that belongs to it; none is printed when
        /// left out.
        code: Option<At<Length>>,
        /// Height of the largest capitals; 8 mm when left out.
        largest: Option<At<Length>>,
        /// Height of the smallest capitals: what does not fit so is shortened, and told; 1.5 mm
        /// when left out, at least 0.5 mm.
        least: Option<At<Length>>,
        /// Whether its edges are drawn, for plain paper that is cut by hand.
        outline: Option<bool>,
    }
}

/// Reads a layout of labels; `None` where anything in it cannot be.
pub fn load_labels(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
) -> (Option<LabelLayout>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let layout = match load(files, sources, path, None) {
        Ok(file) => {
            read::<Labels>(sources, file, &mut found).and_then(|wire| settle(&wire, &mut found))
        }
        Err(diagnostic) => {
            found.push(*diagnostic);
            None
        }
    };
    (layout.filter(|_| !any_error(&found)), found)
}

impl LabelLayout {
    /// Refuses labels that are too small for tickets.
    pub fn check_tickets(&self) -> Result<(), Box<Diagnostic>> {
        if self.holds_tickets() {
            return Ok(());
        }
        let (wide, high) = (self.width, self.height);
        let message = format!("labels of {wide} × {high} mm are too small for tickets");
        Err(Box::new(
            Diagnostic::new(&codes::E1213, message)
                .at(self.span, "described here")
                .note("a ticket has five lines, and a list of what is in the bundle")
                .help("name a layout of larger labels, such as four on a sheet"),
        ))
    }
}

/// The layout of labels, or of tickets, on the plain paper of a shop that works in these units.
pub fn plain_layout(tickets: bool, units: Units) -> Option<LabelLayout> {
    let [labels, tagged] = PLAIN.get(usize::from(units == Units::Inches))?;
    let text = if tickets { tagged } else { labels };
    let files = MemoryFiles::of([("labels.toml", *text)]);
    load_labels(&files, &mut Sources::default(), "labels.toml").0
}

/// A number of labels.
fn count(key: &str, at: &At<i64>, found: &mut Found) -> u32 {
    if !(1..=MOST).contains(&at.value) {
        let message = format!("`{key}` is {}", at.value);
        out_of_range(found, at.span, message, format!("write a number from 1 to {MOST}"));
    }
    u32::try_from(at.value.clamp(1, MOST)).unwrap_or(1)
}

pub(super) fn settle(wire: &Labels, found: &mut Found) -> Option<LabelLayout> {
    let label = &wire.label;
    let most = LARGEST_SHEET;
    let or = |at: &Option<At<Length>>, key: &str, usual: Length, found: &mut Found| {
        at.as_ref().map_or(usual, |at| not_negative(found, key, at, most))
    };
    let above = |at: &Option<At<Length>>, key: &str, usual: Length, found: &mut Found| {
        at.as_ref().map_or(usual, |at| positive(found, key, at, most))
    };
    let (paper, paper_width, columns, left, gap_across) = match (&wire.sheet, &wire.roll) {
        (Some(sheet), None) => {
            let paper = LabelPaper::Sheet {
                height: positive(found, "height", &sheet.height, most),
                rows: count("rows", &sheet.rows, found),
                top: not_negative(found, "top", &sheet.top, most),
                gap_down: or(&sheet.gap_down, "gap-down", Length::ZERO, found),
            };
            let width = positive(found, "width", &sheet.width, most);
            let columns = count("columns", &sheet.columns, found);
            let left = not_negative(found, "left", &sheet.left, most);
            (paper, width, columns, left, or(&sheet.gap_across, "gap-across", Length::ZERO, found))
        }
        (None, Some(roll)) => {
            let width = positive(found, "width", &roll.width, most);
            let columns = roll.columns.as_ref().map_or(1, |at| count("columns", at, found));
            let left = or(&roll.left, "left", Length::ZERO, found);
            let gap = or(&roll.gap_across, "gap-across", Length::ZERO, found);
            (LabelPaper::Roll, width, columns, left, gap)
        }
        (sheet, roll) => {
            let (span, what) = match (sheet, roll) {
                (Some(sheet), Some(_)) => (sheet.span, "both a [sheet] and a [roll]"),
                _ => (wire.name.span, "neither a [sheet] nor a [roll]"),
            };
            let message = format!("the labels of `{}` are on {what}", wire.name.value);
            let help = "describe the one they are on: [sheet] or [roll]";
            found.push(finding(&codes::E1211, span, message, "which of the two?", help));
            return None;
        }
    };
    let layout = LabelLayout {
        name: wire.name.value.as_str().into(),
        paper,
        paper_width,
        columns,
        left,
        gap_across,
        width: positive(found, "width", &label.width, most),
        height: positive(found, "height", &label.height, most),
        inset: or(&label.inset, "inset", LEAST, found),
        code: label.code.as_ref().map(|at| positive(found, "code", at, most)),
        largest: above(&label.largest, "largest", LARGEST, found),
        least: above(&label.least, "least", LEAST, found),
        outline: label.outline.unwrap_or(false),
        span: label.span,
    };
    if any_error(found) {
        return None;
    }
    on_the_page(wire, &layout, found);
    room(label, &layout, found);
    Some(layout)
}

/// Every label has to lie on the paper, with a tenth of a millimetre to spare for layouts told in
/// inches.
fn on_the_page(wire: &Labels, layout: &LabelLayout, found: &mut Found) {
    let (width, height) = layout.page();
    let (x, y) = layout.corner(layout.on_a_page().saturating_sub(1));
    let slack = Length::from_um(100);
    let label = &wire.label;
    let mut told = |what: &str, many: u32, needed: Length, there: Length, at: &At<Length>| {
        if needed > there + slack {
            let message =
                format!("{many} labels {what} need {needed} mm, and the paper has {there} mm");
            let over = format!("{} mm too much", needed - there);
            let help = "take off a label, a gap or a margin, or check the sizes with a ruler";
            found.push(finding(&codes::E1212, at.span, message, over, help));
        }
    };
    told("side by side", layout.columns, x + layout.width, width, &label.width);
    told("below each other", layout.rows(), y + layout.height, height, &label.height);
}

/// Five lines of the least letters beside the code.
fn room(label: &Label, layout: &LabelLayout, found: &mut Found) {
    let inside = |side: Length| side - layout.inset.times(2);
    let (wide, high) = (inside(layout.width), inside(layout.height));
    let mut told = |message: String, at: crate::quantity::Span, help: String| {
        let why = "nothing readable would stand on it";
        found.push(finding(&codes::E1213, at, message, why, help));
    };
    let least = layout.least.times(11);
    if high < least {
        told(
            format!("{high} mm inside the insets is no height for five lines"),
            label.height.span,
            format!(
                "labels are at least {} mm high with these letters",
                layout.height - high + least
            ),
        );
    }
    if let (Some(code), Some(at)) = (layout.code, &label.code)
        && (code > high || code < LEAST_CODE)
    {
        told(
            format!("a code of {code} mm does not go onto a label {high} mm high inside"),
            at.span,
            format!("write a side from {LEAST_CODE} to {high} mm, or leave the code out"),
        );
        return;
    }
    let words = wide - layout.code.unwrap_or_default();
    if words < LEAST_WORDS {
        told(
            format!("{words} mm are left for words beside the code"),
            label.width.span,
            format!("leave {LEAST_WORDS} mm: a smaller code or inset, or wider labels"),
        );
    }
    if layout.least < LOWEST {
        told(
            format!("the least letters are {} mm high", layout.least),
            label.least.as_ref().map_or(label.span, |at| at.span),
            format!("write at least {LOWEST} mm; 1.5 mm is read at arm's length"),
        );
    }
    if layout.least > layout.largest {
        told(
            format!("the least letters, {} mm, are above the largest", layout.least),
            label.least.as_ref().or(label.largest.as_ref()).map_or(label.span, |at| at.span),
            format!("write `least` below `largest`, {} mm", layout.largest),
        );
    }
}
