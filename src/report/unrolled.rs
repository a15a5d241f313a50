//! A section laid flat: where each face lies across the strip, where the bends are, and the line
//! its ends are cut along.

use crate::library::formula::Allowance;
use crate::library::model::{Profile, Section};
use crate::member::model::{EndShape, Faces, Shape};
use crate::quantity::Length;

/// One face on the flat strip.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Lane {
    /// Which.
    pub face: Faces,
    /// Its middle, from the middle of the web, positive toward the left flange.
    pub middle: Length,
    /// Whether its own y grows the same way.
    pub upward: bool,
    /// Its outer edges or bend tangents on the strip, lower first.
    pub flat: (Length, Length),
    /// Width, out to out.
    pub width: Length,
}

/// A section laid flat. Bends take the arc of their centre line; the strip as the shop runs it may
/// be a little wider or narrower, and the drawing is of the blank.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unrolled {
    /// Faces from the left edge of the strip to the right.
    pub lanes: Vec<Lane>,
    web: Length,
    hat: bool,
}

impl Unrolled {
    /// Of a profile.
    pub fn of(profile: &Profile) -> Unrolled {
        let p = profile;
        let arc = Allowance::Centreline.arc(p.thickness, p.radius);
        let taken = p.thickness + p.radius;
        let has = |length: Length| length > Length::ZERO;
        // Flat part of a face from its middle, toward the web and away from it.
        let flat = |width: Length, near: bool, far: bool| {
            let side = |bent| width.half() - if bent { taken } else { Length::ZERO };
            (side(near).max(Length::ZERO), side(far).max(Length::ZERO))
        };
        let (right, left) = flat(p.web, has(p.right_flange), has(p.left_flange));
        let web = Lane {
            face: Faces::WEB,
            middle: Length::ZERO,
            upward: true,
            flat: (-right, left),
            width: p.web,
        };
        let side = |from: Length, parts: [(Faces, Length, bool); 2]| {
            let mut lanes = Vec::new();
            let mut from = from;
            for (face, width, bent) in parts {
                if !has(width) {
                    break;
                }
                let (near, far) = flat(width, true, bent);
                let middle = from + arc + near;
                from = middle + far;
                lanes.push((face, width, middle, near, far));
            }
            lanes
        };
        let lefts = side(
            left,
            [
                (Faces::LEFT_FLANGE, p.left_flange, has(p.left_lip)),
                (Faces::LEFT_LIP, p.left_lip, false),
            ],
        );
        let rights = side(
            right,
            [
                (Faces::RIGHT_FLANGE, p.right_flange, has(p.right_lip)),
                (Faces::RIGHT_LIP, p.right_lip, false),
            ],
        );
        let mut lanes: Vec<Lane> = lefts
            .iter()
            .rev()
            .map(|&(face, width, middle, near, far)| Lane {
                face,
                middle,
                upward: true,
                flat: (middle - near, middle + far),
                width,
            })
            .collect();
        lanes.push(web);
        lanes.extend(rights.iter().map(|&(face, width, middle, near, far)| Lane {
            face,
            middle: -middle,
            upward: false,
            flat: (-middle - far, -middle + near),
            width,
        }));
        Unrolled { lanes, web: p.web, hat: p.section == Section::Hat }
    }

    /// Lower and upper edge of the blank.
    pub fn edges(&self) -> (Length, Length) {
        let low = self.lanes.last().map_or(Length::ZERO, |lane| lane.flat.0);
        let high = self.lanes.first().map_or(Length::ZERO, |lane| lane.flat.1);
        (low, high)
    }

    /// The contour of a member: corners along its start from the left edge to the right, then back
    /// along its end. Flanges are cut straight; webs and lips with the slope.
    pub fn contour(&self, shape: &Shape) -> Vec<(Length, Length)> {
        let mut corners = self.end_line(shape.start, |inward| inward);
        let back = self.end_line(shape.end, |inward| shape.length - inward);
        corners.extend(back.into_iter().rev());
        corners
    }

    /// Middles of the bends: where across, and from where to where along a member.
    pub fn bends(&self, shape: &Shape) -> Vec<(Length, Length, Length)> {
        let starts = self.end_line(shape.start, |inward| inward);
        let ends = self.end_line(shape.end, |inward| shape.length - inward);
        // A sloped cut runs straight over a bend, from one lane's edge to the next one's.
        let over = |line: &[(Length, Length)], bend: usize, square: Length| match (
            line.get(2 * bend - 1),
            line.get(2 * bend),
        ) {
            (Some(one), Some(next)) => one.0 + (next.0 - one.0).half(),
            _ => square,
        };
        (1..self.lanes.len())
            .filter_map(|bend| {
                let (upper, lower) = (self.lanes.get(bend - 1)?, self.lanes.get(bend)?);
                let y = lower.flat.1 + (upper.flat.0 - lower.flat.1).half();
                Some((y, over(&starts, bend, Length::ZERO), over(&ends, bend, shape.length)))
            })
            .collect()
    }

    fn end_line(&self, end: EndShape, x: impl Fn(Length) -> Length) -> Vec<(Length, Length)> {
        let (low, high) = self.edges();
        let EndShape::Slope { rise, run } = end else {
            // Two corners; a sloped end has two for each lane.
            return vec![(x(Length::ZERO), high), (x(Length::ZERO), low)];
        };
        // How far inward of the long point the cut lies at this place across the section.
        let inward = |across: Length| {
            let half = self.web.half();
            let from_long = if rise > 0 { half - across } else { half + across };
            from_long
                .max(Length::ZERO)
                .scaled(i64::from(rise.unsigned_abs()), i64::from(run.max(1)))
        };
        let mut line = Vec::new();
        for lane in &self.lanes {
            let up = if lane.upward { 1 } else { -1 };
            let edge = self.web.half().scaled(up, 1);
            let lip = lane.face == Faces::LEFT_LIP || lane.face == Faces::RIGHT_LIP;
            let flange = lane.face == Faces::LEFT_FLANGE || lane.face == Faces::RIGHT_FLANGE;
            let reach = (lane.flat.1 - lane.flat.0).scaled(if self.hat { -up } else { up }, 1);
            // At the upper and at the lower edge of the lane.
            let (above, below) = match (lip, flange, lane.upward) {
                (true, _, true) => (edge - reach, edge),
                (true, _, false) => (edge, edge - reach),
                (_, true, _) => (edge, edge),
                _ => (self.web.half(), -self.web.half()),
            };
            line.push((x(inward(above)), lane.flat.1));
            line.push((x(inward(below)), lane.flat.0));
        }
        line
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::model::Coating;
    use crate::quantity::{FileId, MassPerLength, Span};

    fn lane(of: &Unrolled, face: Faces) -> Lane {
        *of.lanes.iter().find(|lane| lane.face == face).unwrap()
    }

    fn c90() -> Profile {
        let mm = Length::from_mm;
        Profile {
            name: "C90".into(),
            section: Section::LippedChannel,
            web: mm(90),
            left_flange: mm(40),
            right_flange: mm(40),
            left_lip: mm(12),
            right_lip: mm(12),
            thickness: Length::from_um(750),
            radius: Length::from_um(1_500),
            coating: Coating {
                name: "Z275".into(),
                grams_per_square_metre: 275,
                thickness: Length::from_um(39),
            },
            grade: "G550".into(),
            strip_width: mm(188),
            length_tolerance: None,
            coated_mass: MassPerLength::from_ug_per_m(1),
            span: Span::new(FileId(0), 0, 0),
        }
    }

    #[test]
    fn faces_lie_side_by_side_with_their_bends_between() {
        let flat = Unrolled::of(&c90());
        let faces: Vec<Faces> = flat.lanes.iter().map(|lane| lane.face).collect();
        let (l, r) = (Faces::LEFT_LIP, Faces::RIGHT_LIP);
        assert_eq!(faces, [l, Faces::LEFT_FLANGE, Faces::WEB, Faces::RIGHT_FLANGE, r]);
        // By hand: 85.5 + 2·35.5 + 2·9.75 flat, four arcs of π/2·(1.5 + 0.375).
        let (low, high) = flat.edges();
        assert_eq!((high - low).nm() / 1_000, 176_000 + 11_780);
        assert_eq!(low, -high);
        let left = lane(&flat, Faces::LEFT_FLANGE);
        let right = lane(&flat, Faces::RIGHT_FLANGE);
        assert_eq!(left.middle, -right.middle);
        assert!(left.upward && !right.upward);
    }

    #[test]
    fn a_track_has_three_faces_and_an_angle_two() {
        let mut track = c90();
        (track.left_lip, track.right_lip) = (Length::ZERO, Length::ZERO);
        assert_eq!(Unrolled::of(&track).lanes.len(), 3);
        track.left_flange = Length::ZERO;
        let angle = Unrolled::of(&track);
        assert_eq!(angle.lanes.len(), 2);
        assert_eq!(angle.edges().1, Length::from_mm(45), "free to the edge of the web");
    }

    #[test]
    fn a_sloped_end_runs_across_web_and_lips_and_straight_over_flanges() {
        let flat = Unrolled::of(&c90());
        let mm = Length::from_mm;
        let shape = Shape {
            profile: crate::member::model::ProfileId(0),
            length: mm(1_000),
            length_tolerance: crate::quantity::Tolerance::even(mm(1)),
            start: EndShape::Square,
            end: EndShape::Slope { rise: 1, run: 2 },
            turnable: false,
            features: Vec::new(),
        };
        let contour = flat.contour(&shape);
        // Long point at the left: the left flange ends at 1000, the right at 1000 − 90/2.
        let at = |y: Length| -> Vec<i64> {
            contour.iter().filter(|p| p.1 == y && p.0 > mm(500)).map(|p| p.0.nm() / 1_000).collect()
        };
        assert_eq!(at(lane(&flat, Faces::LEFT_FLANGE).flat.0), [1_000_000]);
        assert_eq!(at(lane(&flat, Faces::RIGHT_FLANGE).flat.1), [955_000]);
        // The right lip turns in from the right flange: its free edge is 9.75 nearer the long point.
        assert_eq!(at(flat.edges().0), [955_000 + 4_875]);
        assert_eq!(at(flat.edges().1), [1_000_000 - 4_875]);
        assert_eq!(contour.iter().map(|p| p.0).max(), Some(shape.length));
    }
}
