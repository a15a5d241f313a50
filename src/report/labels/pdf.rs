//! Labels as PDF, where the layout has them.

use super::code::{self, Squares, WHITE};
use super::fit::{Fitted, Room, em, fit, line_height};
use super::list;
use super::made::{Label, Line};
use crate::diagnostic::codes::labels as codes;
use crate::diagnostic::{Code, Diagnostic};
use crate::library::model::LabelLayout;
use crate::quantity::Length;
use crate::report::pdf::{Area, At, Document, Page, Paint, Paper, Pen, Pt, Shade, Weight};
use crate::report::words::count;

/// Least side of a square of a code. Common practice, no source.
const LEAST_SQUARE: Length = Length::from_um(300);
/// Most labels that a finding names.
const NAMED: usize = 5;

/// The labels on their paper, the first at place `start` (from 0) of the first page, with what did
/// not go as it should. Refused where a label has no room for what they have to hold.
pub fn print(
    labels: &[Label],
    layout: &LabelLayout,
    start: usize,
    title: &str,
) -> Result<(Document, Vec<Diagnostic>), Box<Diagnostic>> {
    if labels.iter().any(|label| !label.band.is_empty()) {
        layout.check_tickets()?;
    }
    let mut document = Document::new(title);
    let (width, height) = layout.page();
    let paper = Paper { width: Pt::of(width), height: Pt::of(height) };
    let each = layout.on_a_page().max(1);
    let mut told = Told::default();
    let mut page: Option<Page> = None;
    for (n, label) in labels.iter().enumerate() {
        let place = (start + n) % each;
        if place == 0 {
            document.pages.extend(page.take());
        }
        let page = page.get_or_insert_with(|| Page::new(paper));
        let (x, y) = layout.corner(place);
        Sticker { layout, corner: At { x: Pt::of(x), y: Pt::of(y) } }.draw(page, label, &mut told);
    }
    document.pages.extend(page);
    Ok((document, told.findings(layout)))
}

/// What did not go as it should, by label.
#[derive(Default)]
struct Told {
    shortened: Vec<String>,
    uncoded: Vec<String>,
    cut: Vec<String>,
}

impl Told {
    fn findings(self, layout: &LabelLayout) -> Vec<Diagnostic> {
        let one = |code: &'static Code, labels: Vec<String>, what: &str, help: &str| {
            let more = labels.len().saturating_sub(NAMED);
            let named: Vec<&str> = labels.iter().take(NAMED).map(String::as_str).collect();
            let more = if more > 0 { format!(" and {more} more") } else { String::new() };
            (!labels.is_empty()).then(|| {
                let message = format!("{}: {what}", count(labels.len(), "label"));
                Diagnostic::new(code, message)
                    .at(layout.span, "in this layout")
                    .note(format!("{}{more}", named.join("; ")))
                    .help(help)
            })
        };
        [
            one(
                &codes::W1215,
                self.shortened,
                "a text is shortened",
                "take larger labels or smaller letters (`least`), or shorten the names",
            ),
            one(
                &codes::W1216,
                self.uncoded,
                "no code, its squares would be smaller than 0.3 mm",
                "give the layout a larger `code`, or the names fewer letters",
            ),
            one(
                &codes::W1217,
                self.cut,
                "the list is not whole",
                "take larger tickets or smaller letters (`least`)",
            ),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

/// A label's place on its page.
struct Sticker<'a> {
    layout: &'a LabelLayout,
    corner: At,
}

impl Sticker<'_> {
    fn draw(&self, page: &mut Page, label: &Label, told: &mut Told) {
        let layout = self.layout;
        let whole = Area {
            x: self.corner.x,
            y: self.corner.y,
            width: Pt::of(layout.width),
            height: Pt::of(layout.height),
        };
        if layout.outline {
            page.area(whole, Paint::Line(Pen::faint(Pt::mil(300))));
        }
        let inset = Pt::of(layout.inset);
        let inside = Area {
            x: whole.x + inset,
            y: whole.y + inset,
            width: whole.width - inset.times(2),
            height: whole.height - inset.times(2),
        };
        let code = self.code(page, inside, label, told);
        let head = if label.band.is_empty() {
            inside.height
        } else {
            // A ticket's head is as high as its code, or as its lines want to be.
            code.max(inside.height.part(LabelLayout::TICKET_HEAD, 100))
        };
        let words = Area { width: inside.width - code, height: head, ..inside };
        let mut whole = self.lines(page, words, &label.lines);
        if !label.band.is_empty() {
            let left = inside.height - head;
            let band = Area {
                y: inside.y + head,
                height: left.part(LabelLayout::TICKET_PLACE, 100),
                ..inside
            };
            whole &= self.lines(page, band, &label.band);
            let top = band.bottom() + Pt::mil(1_500);
            let rule = At { x: inside.x, y: top };
            page.line(rule, At { x: inside.right(), y: top }, Pen::ink(Pt::mil(500)));
            let list = Area {
                y: top + Pt::mil(1_500),
                height: inside.bottom() - top - Pt::mil(1_500),
                ..inside
            };
            let set = list::set(&label.list, self.room(list, 2));
            set.draw(page, At { x: list.x, y: list.y }, &label.list, &label.counts);
            if set.left_out > 0 {
                told.cut.push(label.about.clone());
            }
            whole &= !set.shortened;
        }
        if !whole {
            told.shortened.push(label.about.clone());
        }
    }

    /// The code at the upper right; gives the width it takes.
    fn code(&self, page: &mut Page, inside: Area, label: &Label, told: &mut Told) -> Pt {
        let Some(side) = self.layout.code.map(Pt::of) else { return Pt::ZERO };
        let fine = |squares: &Squares| {
            Pt::mil(side.thousandths() / (squares.side + 2 * WHITE)) >= Pt::of(LEAST_SQUARE)
        };
        let code = [false, true]
            .into_iter()
            .find_map(|small| code::squares(&label.code, small).filter(fine));
        let Some(code) = code else {
            told.uncoded.push(label.about.clone());
            return Pt::ZERO;
        };
        let square = Pt::mil(side.thousandths() / (code.side + 2 * WHITE));
        let left = inside.right() - side + (side - square.times(code.side)).half();
        let top = inside.y + (side - square.times(code.side)).half();
        for dark in &code.dark {
            let area = Area {
                x: left + square.times(dark.x),
                y: top + square.times(dark.y),
                width: square.times(dark.wide),
                height: square.times(dark.high),
            };
            page.area(area, Paint::Fill(Shade::Ink));
        }
        side
    }

    fn room(&self, area: Area, part: i64) -> Room {
        let (largest, least) = (Pt::of(self.layout.largest), Pt::of(self.layout.least));
        let sizes = (em(largest).part(1, part).max(em(least)), em(least));
        Room { width: area.width, height: area.height, sizes }
    }

    /// Lines one below the other, each in its share of the height. Gives whether all are whole.
    fn lines(&self, page: &mut Page, area: Area, lines: &[Line]) -> bool {
        let mut y = area.y;
        let mut whole = true;
        for line in lines {
            let height = area.height.part(line.share, 100);
            let weight = if line.bold { Weight::Bold } else { Weight::Book };
            let room = self.room(Area { height, ..area }, 1);
            // Lines of an unlucky share still have room for the least letters.
            let fitted = fit(&line.words, line.gives, weight, room);
            self.words(page, At { x: area.x, y: y + (height - fitted.height()).half() }, &fitted);
            whole &= fitted.whole;
            y += height.max(line_height(room.sizes.1));
        }
        whole
    }

    fn words(&self, page: &mut Page, at: At, fitted: &Fitted) {
        for (n, line) in fitted.lines.iter().enumerate() {
            let place = At { x: at.x, y: at.y + fitted.baseline(n) };
            page.text(place, fitted.style, line.trim_end());
        }
    }
}
