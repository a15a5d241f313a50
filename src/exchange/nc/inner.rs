//! Openings that are drawn by their outlines (IK): circles, slots and rectangles along the member.

use super::hole::Opening;
use super::line::Line;
use super::outline::{Corner, Outline, same};
use super::read::{Reader, Sizes};
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::DrawnMember;
use crate::quantity::Length;

impl Reader<'_> {
    /// An opening that is drawn by its outline.
    pub(super) fn inner(&mut self, lines: &[Line<'_>], sizes: Sizes, member: &mut DrawnMember) {
        let Some(outline) = self.corners(lines) else { return };
        let found = circle(&outline).or_else(|| slot(&outline)).or_else(|| rectangle(&outline));
        match found {
            Some(opening) => self.opening(outline.line, &opening, sizes, member),
            None => self.at(
                &codes::E1163,
                outline.line,
                "an opening that is no circle, and no slot or rectangle along the member".into(),
                "write it as a feature of the member, by hand",
            ),
        }
    }
}

/// The least and the greatest of some lengths.
fn ends_of(lengths: impl Iterator<Item = Length> + Clone) -> Option<[Length; 2]> {
    Some([lengths.clone().min()?, lengths.max()?])
}

fn opening(outline: &Outline<'_>, round: bool, x: [Length; 2], y: [Length; 2]) -> Opening {
    let (length, width) = (x[1] - x[0], y[1] - y[0]);
    Opening {
        face: outline.face,
        along: x[0] + length.half(),
        across: y[0] + width.half(),
        round,
        length,
        width,
    }
}

/// Two half circles on one another.
fn circle(outline: &Outline<'_>) -> Option<Opening> {
    let [a, b] = outline.corners.as_slice() else { return None };
    let diameter = (a.along - b.along).abs();
    let half =
        |corner: &Corner| corner.is_square_cut() && same(corner.radius.abs().times(2), diameter);
    let alike = a.radius.is_negative() == b.radius.is_negative();
    if a.across != b.across || diameter == Length::ZERO || !alike || !half(a) || !half(b) {
        return None;
    }
    let x = ends_of([a.along, b.along].into_iter())?;
    let y = [a.across - diameter.half(), a.across - diameter.half() + diameter];
    Some(opening(outline, true, x, y))
}

/// Four corners of a rectangle: where it begins and stops along and across.
fn box_of(corners: &[Corner]) -> Option<[[Length; 2]; 2]> {
    let [a, b, c, d] = corners else { return None };
    let x = ends_of(corners.iter().map(|corner| corner.along))?;
    let y = ends_of(corners.iter().map(|corner| corner.across))?;
    let standing =
        a.along == b.along && b.across == c.across && c.along == d.along && d.across == a.across;
    let lying =
        a.across == b.across && b.along == c.along && c.across == d.across && d.along == a.along;
    ((standing || lying) && x[0] < x[1] && y[0] < y[1]).then_some([x, y])
}

fn rectangle(outline: &Outline<'_>) -> Option<Opening> {
    let [x, y] = box_of(&outline.corners)?;
    outline.corners.iter().all(Corner::is_plain).then(|| opening(outline, false, x, y))
}

/// Two half circles with straight edges along the member between them.
fn slot(outline: &Outline<'_>) -> Option<Opening> {
    let [x, y] = box_of(&outline.corners)?;
    let width = y[1] - y[0];
    // Round which way: twice the area, of which only the sign matters.
    let next = |i: usize| outline.corners.get((i + 1) % 4);
    let mut area = 0_i128;
    for (i, corner) in outline.corners.iter().enumerate() {
        let next = next(i)?;
        area += i128::from(corner.along.nm()) * i128::from(next.across.nm())
            - i128::from(next.along.nm()) * i128::from(corner.across.nm());
    }
    let radius = if area > 0 { width.half() } else { -width.half() };
    for (i, corner) in outline.corners.iter().enumerate() {
        let end = next(i)?.along == corner.along;
        let wanted = if end { radius } else { Length::ZERO };
        if !same(corner.radius, wanted) || !corner.is_square_cut() {
            return None;
        }
    }
    Some(opening(outline, false, [x[0] - width.half(), x[1] + width.half()], y))
}
