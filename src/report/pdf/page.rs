//! One page as a list of what is drawn on it, in order: later lies over earlier. Places are
//! measured from the top left corner, x to the right, y down.

use super::font::{Style, can_set, settable};
use super::unit::Pt;
use std::collections::BTreeMap;

/// How large a sheet is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Paper {
    /// Across.
    pub width: Pt,
    /// Down.
    pub height: Pt,
}

impl Paper {
    /// ISO 216 A4, 210 × 297 mm, upright.
    pub const A4: Paper = Paper { width: Pt::mil(595_276), height: Pt::mil(841_890) };
    /// 8.5 × 11 in, upright.
    pub const LETTER: Paper = Paper { width: Pt::new(612), height: Pt::new(792) };
    /// The same sheet lying on its side.
    pub const fn turned(self) -> Paper {
        Paper { width: self.height, height: self.width }
    }
}

/// A place on a page.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct At {
    /// From the left edge.
    pub x: Pt,
    /// From the top edge.
    pub y: Pt,
}

/// A box on a page.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Area {
    /// Its left edge.
    pub x: Pt,
    /// Its top edge.
    pub y: Pt,
    /// Across.
    pub width: Pt,
    /// Down.
    pub height: Pt,
}

impl Area {
    /// Its right edge.
    pub fn right(&self) -> Pt {
        self.x + self.width
    }
    /// Its lower edge.
    pub fn bottom(&self) -> Pt {
        self.y + self.height
    }
}

/// How dark: papers are made for black ink alone.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Shade {
    /// Black.
    Ink,
    /// What is said beside.
    Soft,
    /// Lines of a table.
    Faint,
    /// Behind heads of a table.
    Wash,
    /// White: covers what lies below.
    Paper,
}

impl Shade {
    /// As PDF has it: nought is black.
    pub(super) const fn user(self) -> f32 {
        match self {
            Shade::Ink => 0.0,
            Shade::Soft => 0.3,
            Shade::Faint => 0.55,
            Shade::Wash => 0.9,
            Shade::Paper => 1.0,
        }
    }
}

/// A pen.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Pen {
    /// How wide its line is.
    pub width: Pt,
    /// How dark.
    pub shade: Shade,
    /// Length of dashes and of the gaps between them; a whole line without.
    pub dash: Option<Pt>,
}

impl Pen {
    /// A whole black line.
    pub const fn ink(width: Pt) -> Pen {
        Pen { width, shade: Shade::Ink, dash: None }
    }
    /// A whole grey line.
    pub const fn faint(width: Pt) -> Pen {
        Pen { width, shade: Shade::Faint, dash: None }
    }
}

/// How a closed outline is drawn.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Paint {
    /// Along its edge.
    Line(Pen),
    /// All of its inside.
    Fill(Shade),
}

/// Which way a text runs.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Runs {
    /// From left to right.
    Across,
    /// From bottom to top.
    Up,
}

#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Mark {
    Text { at: At, style: Style, shade: Shade, runs: Runs, text: String },
    Path { points: Vec<At>, closed: bool, paint: Paint },
    Circle { centre: At, radius: Pt, paint: Paint },
}

/// A page.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    /// Its size.
    pub paper: Paper,
    pub(super) marks: Vec<Mark>,
    /// Characters the font does not have, each with a text it stands in.
    pub(super) lacking: BTreeMap<char, String>,
}

impl Page {
    /// With nothing on it.
    pub const fn new(paper: Paper) -> Page {
        Page { paper, marks: Vec::new(), lacking: BTreeMap::new() }
    }

    /// A line of text: `at` is where its baseline begins. It is not broken; what the font does
    /// not have stands as [`super::settable`] says.
    pub fn text(&mut self, at: At, style: Style, text: &str) {
        self.say(at, style, Shade::Ink, Runs::Across, text);
    }

    /// As [`Page::text`], in any shade and either way.
    pub fn say(&mut self, at: At, style: Style, shade: Shade, runs: Runs, text: &str) {
        if text.is_empty() {
            return;
        }
        for c in text.chars().filter(|c| !c.is_ascii() && !c.is_control() && !can_set(*c)) {
            self.lacking.entry(c).or_insert_with(|| text.to_string());
        }
        let text = settable(text).into_owned();
        self.marks.push(Mark::Text { at, style, shade, runs, text });
    }

    /// A straight line.
    pub fn line(&mut self, from: At, to: At, pen: Pen) {
        self.path(&[from, to], pen);
    }

    /// A line through these points.
    pub fn path(&mut self, points: &[At], pen: Pen) {
        self.push(points, false, Paint::Line(pen));
    }

    /// A closed outline through these points.
    pub fn outline(&mut self, points: &[At], paint: Paint) {
        self.push(points, true, paint);
    }

    /// A box.
    pub fn area(&mut self, area: Area, paint: Paint) {
        let at = |x, y| At { x, y };
        let (right, bottom) = (area.right(), area.bottom());
        let corners =
            [at(area.x, area.y), at(right, area.y), at(right, bottom), at(area.x, bottom)];
        self.outline(&corners, paint);
    }

    /// A circle.
    pub fn circle(&mut self, centre: At, radius: Pt, paint: Paint) {
        self.marks.push(Mark::Circle { centre, radius, paint });
    }

    fn push(&mut self, points: &[At], closed: bool, paint: Paint) {
        if points.len() > 1 {
            self.marks.push(Mark::Path { points: points.to_vec(), closed, paint });
        }
    }
}
