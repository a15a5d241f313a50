//! Outlines of faces (AK) as square and sloped ends. What is neither is refused: no notch is read
//! out of corners.

use super::FACES;
use super::angle;
use super::line::{Line, last_place, without_letter};
use super::read::{Reader, Sizes};
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::DrawnMember;
use crate::exchange::slope::simplest;
use crate::exchange::text::slope_words;
use crate::member::model::{EndShape, Faces};
use crate::quantity::Length;

/// What lengths of one part may differ by and be the same: the last place that they are usually
/// written with. Common practice, no source.
const SAME: Length = Length::from_um(10);

pub(super) fn same(a: Length, b: Length) -> bool {
    (a - b).abs() <= SAME
}

/// A corner, and how its edge to the next one goes on.
#[derive(Clone, Debug)]
pub(super) struct Corner {
    pub along: Length,
    pub across: Length,
    /// Of the arc to the next corner, counter-clockwise where positive; nought for a straight edge.
    pub radius: Length,
    /// Angles and depths of how the edge to the next corner is prepared.
    pub prepared: Vec<Length>,
    /// One more in the last place of `along`.
    last_place: Length,
}

impl Corner {
    /// Whether its edge is straight and cut square.
    pub fn is_plain(&self) -> bool {
        self.radius == Length::ZERO && self.is_square_cut()
    }
    /// Whether its edge is cut square through the steel.
    pub fn is_square_cut(&self) -> bool {
        self.prepared.iter().all(|figure| *figure == Length::ZERO)
    }
    /// Whether its edge, straight or square cut, leans as an end of this shape does.
    fn leans_as(&self, shape: EndShape) -> bool {
        let angles = || self.prepared.iter().step_by(2).filter(|angle| **angle != Length::ZERO);
        match shape {
            EndShape::Square => self.is_square_cut(),
            EndShape::Slope { rise, run } => angles().all(|angle| angle::agrees(*angle, rise, run)),
        }
    }
}

/// An outline of a face.
pub(super) struct Outline<'t> {
    pub line: Line<'t>,
    pub face: Faces,
    pub corners: Vec<Corner>,
}

/// Where the ends of the two edges of a web lie.
#[derive(Clone, Copy)]
struct Edges {
    /// First and last of the lower edge, the right flange's.
    lower: [Length; 2],
    /// First and last of the upper edge, the left flange's.
    upper: [Length; 2],
}

impl Edges {
    /// The slope of an end, 0 for the start: along the member, over the width of the web.
    fn rise(&self, end: usize) -> Length {
        let [Some(lower), Some(upper)] = [self.lower.get(end), self.upper.get(end)] else {
            return Length::ZERO;
        };
        if end == 0 { *lower - *upper } else { *upper - *lower }
    }
}

impl Reader<'_> {
    /// The corners of an outline, without the one that closes it.
    pub(super) fn corners<'t>(&mut self, lines: &[Line<'t>]) -> Option<Outline<'t>> {
        let line = *lines.first()?;
        let mut face = None;
        let mut corners: Vec<Corner> = Vec::new();
        for &line in lines {
            let mut words = line.text.split_whitespace().peekable();
            if let Some(letter) = words.next_if(|word| matches!(*word, "v" | "o" | "u" | "h")) {
                let named = FACES.iter().find(|(known, _)| *known == letter).map(|(_, face)| *face);
                if named.is_none() || face.is_some_and(|face| Some(face) != named) {
                    let what = format!("an outline on `{letter}`");
                    let help =
                        "a channel has v (web), o and u (flanges), each with its own outline";
                    self.at(&codes::E1163, line, what, help);
                    return None;
                }
                face = named;
            }
            let along = words.next().unwrap_or("");
            let last_place = last_place(without_letter(along));
            let along = self.figure(line, without_letter(along))?;
            let across = words.next().unwrap_or("");
            if across.ends_with(['t', 'w']) {
                let what = "a corner that is cut out round or tangent".to_string();
                self.at(&codes::E1163, line, what, BY_HAND);
                return None;
            }
            let across = self.figure(line, across)?;
            let rest: Option<Vec<Length>> = words.map(|word| self.figure(line, word)).collect();
            let mut rest = rest?.into_iter();
            let radius = rest.next().unwrap_or_default();
            corners.push(Corner { along, across, radius, prepared: rest.collect(), last_place });
        }
        let is_closed = match corners.as_slice() {
            [first, _, .., last] => first.along == last.along && first.across == last.across,
            _ => false,
        };
        if !is_closed {
            let what = "this outline does not end where it begins".to_string();
            self.at(
                &codes::E1163,
                line,
                what,
                "repeat its first corner at its end, if it is whole",
            );
            return None;
        }
        corners.pop();
        // The web where no face is named, as the crate `dstv` has it.
        Some(Outline { line, face: face.unwrap_or(Faces::WEB), corners })
    }

    /// The member's ends, of the outlines of its faces.
    pub(super) fn ends(
        &mut self,
        outlines: &[Outline<'_>],
        sizes: Sizes,
        member: &mut DrawnMember,
    ) {
        let whole = [Length::ZERO, sizes.length];
        let mut edges = Edges { lower: whole, upper: whole };
        let mut webs = outlines.iter().filter(|outline| outline.face == Faces::WEB);
        if let Some(outline) = webs.next() {
            let Some(found) = web(&outline.corners, sizes) else {
                let what = "this outline is neither the whole web nor one with sloped ends".into();
                return self.at(&codes::E1163, outline.line, what, BY_HAND);
            };
            edges = found;
            for end in 0..2 {
                let Some(shape) = self.slope(outline, &edges, end, sizes) else { return };
                match end {
                    0 => member.start = shape,
                    _ => member.end = shape,
                }
            }
        }
        if let Some(second) = webs.next() {
            let what = "a second outline of the web".into();
            return self.at(&codes::E1163, second.line, what, "keep one of them");
        }
        for outline in outlines.iter().filter(|outline| outline.face != Faces::WEB) {
            let ends = [member.start, member.end];
            if !is_flange(outline, &edges, ends, sizes) {
                let what = "this outline of a flange does not fit the ends of the web";
                return self.at(&codes::E1163, outline.line, what.into(), BY_HAND);
            }
        }
    }

    /// The shape of one end, with a remark where it slopes.
    fn slope(
        &mut self,
        outline: &Outline<'_>,
        edges: &Edges,
        end: usize,
        sizes: Sizes,
    ) -> Option<EndShape> {
        let rise = edges.rise(end);
        if rise == Length::ZERO {
            return Some(EndShape::Square);
        }
        // Two figures of one line each may be off by half of their last place.
        let off = outline.corners.iter().map(|corner| corner.last_place.nm()).max().unwrap_or(0);
        let nm = |length: Length| i128::from(length.nm());
        let named = ["start", "end"].get(end).copied().unwrap_or("");
        let fraction = simplest(nm(rise), nm(sizes.web), i128::from(off));
        let fraction = fraction
            .and_then(|(rise, run)| Some((i32::try_from(rise).ok()?, i32::try_from(run).ok()?)));
        let Some((rise, run)) = fraction.filter(|(rise, _)| *rise != 0) else {
            let what =
                format!("the {named} of this web is off square by less than it is written to");
            self.at(&codes::E1163, outline.line, what, "draw it square, or with more decimals");
            return None;
        };
        let shape = EndShape::Slope { rise, run };
        self.answer.remarks.push(format!(
            "The {named} slopes {}: the simplest that its outline allows.",
            slope_words(rise, run)
        ));
        Some(shape)
    }

    /// Angles of the head that no outline bears out.
    pub(super) fn angle(
        &mut self,
        line: Line<'_>,
        angle: Length,
        shape: EndShape,
        what: String,
        help: &str,
    ) {
        match shape {
            EndShape::Slope { rise, run } if angle::agrees(angle, rise, run) => {}
            EndShape::Slope { rise, run } => {
                let what = format!(
                    "{} degrees are said of an end whose outline slopes {}",
                    line.text.trim(),
                    slope_words(rise, run)
                );
                self.at(&codes::E1163, line, what, "correct the one or the other");
            }
            EndShape::Square => self.at(&codes::E1163, line, what, help),
        }
    }
}

const BY_HAND: &str = "draw the notch or cut as a feature of the member, by hand";

/// A web that is as long as the part, its ends square or sloped from edge to edge.
fn web(corners: &[Corner], sizes: Sizes) -> Option<Edges> {
    let [lower, upper] = quadrilateral(corners, sizes.web)?;
    let plain = corners.iter().all(Corner::is_plain);
    let first = lower.iter().chain(&upper).copied().min()?;
    let last = lower.iter().chain(&upper).copied().max()?;
    (plain && same(first, Length::ZERO) && same(last, sizes.length))
        .then_some(Edges { lower, upper })
}

/// First and last of the lower and the upper edge of a face of four corners that is this wide.
fn quadrilateral(corners: &[Corner], wide: Length) -> Option<[[Length; 2]; 2]> {
    if corners.len() != 4 {
        return None;
    }
    let side = |corner: &Corner| {
        if same(corner.across, Length::ZERO) {
            Some(false)
        } else {
            same(corner.across, wide).then_some(true)
        }
    };
    let sides: Option<Vec<bool>> = corners.iter().map(side).collect();
    let sides = sides?;
    // Round the face: two corners of an edge, then two of the other, the other way.
    let first = (0..4)
        .find(|&i| !sides.get(i).unwrap_or(&true) && *sides.get((i + 3) % 4).unwrap_or(&false))?;
    let turned = |i: usize| corners.get((first + i) % 4).map(|corner| corner.along);
    let expected = [false, false, true, true];
    if !expected.iter().enumerate().all(|(i, e)| sides.get((first + i) % 4) == Some(e)) {
        return None;
    }
    let [a, b, c, d] = [turned(0)?, turned(1)?, turned(2)?, turned(3)?];
    let onward = a < b && d < c;
    let backward = b < a && c < d;
    if onward { Some([[a, b], [d, c]]) } else { backward.then_some([[b, a], [c, d]]) }
}

/// Whether a flange ends where its edge of the web does: to what a cut leans in its thickness, and
/// with its ends prepared by no other angle.
fn is_flange(outline: &Outline<'_>, edges: &Edges, ends: [EndShape; 2], sizes: Sizes) -> bool {
    let web_edge = if outline.face == Faces::LEFT_FLANGE { edges.upper } else { edges.lower };
    let Some([lower, upper]) = quadrilateral(&outline.corners, sizes.flange) else { return false };
    let square = same(lower[0], upper[0]) && same(lower[1], upper[1]);
    let lean = |shape: EndShape| match shape {
        EndShape::Square => Length::ZERO,
        EndShape::Slope { rise, run } => {
            sizes.flange_thickness.scaled(i64::from(rise).abs(), i64::from(run.max(1)))
        }
    };
    let fits =
        |drawn: Length, edge: Length, end: EndShape| (drawn - edge).abs() <= lean(end) + SAME;
    let [start, end] = ends;
    let leans = outline.corners.iter().enumerate().all(|(i, corner)| {
        let next = outline.corners.get((i + 1) % 4);
        let is_end = next.is_some_and(|next| same(next.along, corner.along));
        let shape = match is_end {
            true if same(corner.along, lower[0]) => start,
            true => end,
            false => EndShape::Square,
        };
        corner.radius == Length::ZERO && corner.leans_as(shape)
    });
    square && leans && fits(lower[0], web_edge[0], start) && fits(lower[1], web_edge[1], end)
}
