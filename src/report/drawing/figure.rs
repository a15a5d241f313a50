//! What a drawing is put together from. Everything is whole nanometres.

use crate::quantity::Length;

/// Along the member, and across the blank.
pub type Point = (Length, Length);

/// Something drawn.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Figure {
    /// A closed line through these corners.
    Outline(Vec<Point>),
    /// From one point to another.
    Line(Point, Point),
    /// A circle.
    Circle {
        /// Its middle.
        centre: Point,
        /// Its diameter.
        diameter: Length,
    },
    /// A slot with round ends.
    Slot {
        /// Its middle.
        centre: Point,
        /// Overall, along the member.
        length: Length,
        /// Overall, across.
        width: Length,
    },
    /// Words.
    Text(Text),
}

/// A line of words.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Text {
    /// Where it begins or ends, half way up its letters.
    pub at: Point,
    /// Height of a capital letter.
    pub height: Length,
    /// What it says.
    pub words: String,
    /// Which of its ends stands there.
    pub anchor: Anchor,
    /// Whether it runs upward in place of to the right.
    pub upward: bool,
}

/// An end of a text.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Anchor {
    /// Where it begins.
    Begin,
    /// Where it stops.
    End,
}

impl Text {
    /// More than its width may come to: letters of usual founts are no wider than high, on
    /// average.
    fn room(&self) -> Length {
        self.height.times(i64::try_from(self.words.chars().count()).unwrap_or(0))
    }
}

/// A corner of a slot, and whether a half circle leads to the next.
pub type Corner = (Point, bool);

/// The corners of a slot, counter-clockwise.
pub fn slot(centre: Point, length: Length, width: Length) -> [Corner; 4] {
    let (x, y) = centre;
    let radius = length.min(width).half();
    let straight = (length - width).abs().half();
    if length >= width {
        [
            ((x - straight, y - radius), false),
            ((x + straight, y - radius), true),
            ((x + straight, y + radius), false),
            ((x - straight, y + radius), true),
        ]
    } else {
        [
            ((x + radius, y - straight), false),
            ((x + radius, y + straight), true),
            ((x - radius, y + straight), false),
            ((x - radius, y - straight), true),
        ]
    }
}

impl Figure {
    /// Points it lies between.
    pub fn corners(&self) -> Vec<Point> {
        let boxed = |(x, y): Point, length: Length, width: Length| {
            let (along, across) = (length.half(), width.half());
            vec![(x - along, y - across), (x + along, y + across)]
        };
        match self {
            Figure::Outline(corners) => corners.clone(),
            Figure::Line(from, to) => vec![*from, *to],
            Figure::Circle { centre, diameter } => boxed(*centre, *diameter, *diameter),
            Figure::Slot { centre, length, width } => boxed(*centre, *length, *width),
            Figure::Text(text) => {
                let back = match text.anchor {
                    Anchor::Begin => Length::ZERO,
                    Anchor::End => text.room(),
                };
                let (x, y) = text.at;
                let (from, to) = (-back, text.room() - back);
                let half = text.height;
                if text.upward {
                    vec![(x - half, y + from), (x + half, y + to)]
                } else {
                    vec![(x + from, y - half), (x + to, y + half)]
                }
            }
        }
    }
}
