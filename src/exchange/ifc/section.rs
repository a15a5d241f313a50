//! Sections: out-to-out sizes and where each face lies, from the profile definitions that say so
//! and from outlines that are ribbons of one thickness.

use super::fixed::rounded;
use crate::library::model::{Profile, Section};
use crate::member::model::Faces;
use crate::quantity::Length;

/// A face: the middle of its thickness and width, and which way y grows across it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Face {
    /// Which.
    pub face: Faces,
    /// Its middle, in nanometres.
    pub centre: (i128, i128),
    /// Across it: a unit step along one axis.
    pub across: (i128, i128),
    /// Its width, out to out, in nanometres.
    pub width: i128,
}

/// A section as a model draws it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Drawn {
    /// Its form.
    pub form: Section,
    /// Sizes out to out: web, left and right flange, left and right lip.
    pub sizes: [i128; 5],
    /// Thickness of the steel.
    pub thickness: i128,
    /// Its faces.
    pub faces: Vec<Face>,
}

/// How far sizes of a model and of the library may differ and be the same section: a tenth of a
/// millimetre (models round). Thickness, which may be with or without coating, likewise.
/// Common practice, no source.
const SAME: i128 = 100_000;

impl Drawn {
    /// A channel, its web at the left, its open side to the right: as IFC draws C and U shapes,
    /// the middle of its box at the origin. No lips where `lip` is nought.
    pub fn channel(web: i128, flange: i128, lip: i128, thickness: i128) -> Drawn {
        let (half, out, t2) = (web / 2, flange / 2, thickness / 2);
        let mut faces = vec![
            Face { face: Faces::WEB, centre: (-out + t2, 0), across: (0, 1), width: web },
            Face {
                face: Faces::LEFT_FLANGE,
                centre: (0, half - t2),
                across: (1, 0),
                width: flange,
            },
            Face {
                face: Faces::RIGHT_FLANGE,
                centre: (0, -half + t2),
                across: (1, 0),
                width: flange,
            },
        ];
        if lip > 0 {
            let y = half - lip / 2;
            faces.push(Face {
                face: Faces::LEFT_LIP,
                centre: (out - t2, y),
                across: (0, -1),
                width: lip,
            });
            faces.push(Face {
                face: Faces::RIGHT_LIP,
                centre: (out - t2, -y),
                across: (0, 1),
                width: lip,
            });
        }
        let form = if lip > 0 { Section::LippedChannel } else { Section::PlainChannel };
        Drawn { form, sizes: [web, flange, flange, lip, lip], thickness, faces }
    }

    /// The section whose outline this closed polygon is (without its first point again at its
    /// end), if it is a ribbon of one thickness in right angles; radii may not be drawn.
    pub fn ribbon(outline: &[(i128, i128)]) -> Option<Drawn> {
        let points = corners(outline);
        let n = points.len();
        let legs = n.checked_sub(2)? / 2;
        if !n.is_multiple_of(2) || !(2..=5).contains(&legs) {
            return None;
        }
        let at = |i: usize| points.get(i % n).copied();
        let edge = |i: usize| -> Option<i128> {
            let (a, b) = (at(i)?, at(i + 1)?);
            let (dx, dy) = ((b.0 - a.0).abs(), (b.1 - a.1).abs());
            (dx == 0 || dy == 0).then_some(dx + dy)
        };
        // The two free edges are as long as the steel is thick and stand opposite each other.
        let opposite = legs + 1;
        let (first, thickness) = (0..n)
            .filter_map(|i| Some((i, edge(i)?, edge(i + opposite)?)))
            .filter(|(_, a, b)| (a - b).abs() <= 10)
            .map(|(i, a, _)| (i, a))
            .min_by_key(|&(_, length)| length)?;
        let mut rects = Vec::with_capacity(legs);
        for leg in 0..legs {
            // One side goes on from the first free edge, the other back to it.
            let side = [
                at(first + 1 + leg)?,
                at(first + 2 + leg)?,
                at(n + first - leg)?,
                at(2 * n + first - leg - 1)?,
            ];
            let xs = side.map(|p| p.0);
            let ys = side.map(|p| p.1);
            let (x0, x1) = (*xs.iter().min()?, *xs.iter().max()?);
            let (y0, y1) = (*ys.iter().min()?, *ys.iter().max()?);
            let (w, h) = (x1 - x0, y1 - y0);
            if (w.min(h) - thickness).abs() > 10 {
                return None;
            }
            rects.push(((x0 + x1, y0 + y1), w.max(h), w > h));
        }
        // Neighbours stand square to each other.
        if rects.windows(2).any(|pair| matches!(pair, [a, b] if a.2 == b.2)) {
            return None;
        }
        from_legs(&rects, thickness)
    }

    /// The profile of the library that it is.
    pub fn is(&self, profile: &Profile) -> bool {
        let p = profile;
        let sizes = [p.web, p.left_flange, p.right_flange, p.left_lip, p.right_lip];
        let same = |(a, b): (&Length, i128)| (i128::from(a.nm()) - b).abs() <= SAME;
        let thickness = i128::from(profile.thickness.nm());
        let coated = thickness + i128::from(profile.coating.thickness.nm());
        self.form == profile.section
            && sizes.iter().zip(self.sizes).all(same)
            && ((self.thickness - thickness).abs() <= SAME / 2
                || (self.thickness - coated).abs() <= SAME / 2)
    }

    /// Whether another is drawn in the same form and sizes.
    pub fn agrees(&self, other: &Drawn) -> bool {
        let same = |(a, b): (&i128, i128)| (a - b).abs() <= SAME;
        self.form == other.form
            && self.sizes.iter().zip(other.sizes).all(same)
            && (self.thickness - other.thickness).abs() <= SAME / 2
    }

    /// `C 90 × 40 × 12 × 0.75`, for findings.
    pub fn told(&self) -> String {
        let mm = |nm: i128| {
            Length::from_nm(i64::try_from(rounded(nm, 1_000) * 1_000).unwrap_or(i64::MAX))
                .to_string()
        };
        let [web, left, right, lip, _] = self.sizes;
        let word = self.form.words();
        let mut sizes = vec![mm(web), mm(left)];
        if left != right {
            sizes.push(mm(right));
        }
        if lip > 0 {
            sizes.push(mm(lip));
        }
        format!("{word} {}, {} thick", sizes.join(" × "), mm(self.thickness))
    }
}

/// The outline without points that lie on a straight line between their neighbours.
fn corners(outline: &[(i128, i128)]) -> Vec<(i128, i128)> {
    let n = outline.len();
    if !(4..=200).contains(&n) {
        return Vec::new();
    }
    (0..n)
        .filter_map(|i| {
            let (a, b, c) =
                (outline.get((i + n - 1) % n)?, outline.get(i)?, outline.get((i + 1) % n)?);
            let straight = (a.0 == b.0 && b.0 == c.0) || (a.1 == b.1 && b.1 == c.1);
            (!straight && a != b).then_some(*b)
        })
        .collect()
}

/// A section from its legs in order: twice their middle, their width, and whether they lie flat.
fn from_legs(legs: &[((i128, i128), i128, bool)], thickness: i128) -> Option<Drawn> {
    let middle = |i: usize| legs.get(i).map(|leg| leg.0);
    let side = |of: usize, other: usize| -> Option<(i128, i128)> {
        // The way from one leg to a neighbour, square to the neighbour's own direction.
        let (a, b) = (middle(of)?, middle(other)?);
        let flat = legs.get(of)?.2;
        Some(if flat { ((b.0 - a.0).signum(), 0) } else { (0, (b.1 - a.1).signum()) })
    };
    let half = |p: (i128, i128)| (p.0 / 2, p.1 / 2);
    let (web, flanges, lips): (usize, Vec<usize>, Vec<usize>) = match legs.len() {
        5 => (2, vec![1, 3], vec![0, 4]),
        3 => (1, vec![0, 2], vec![]),
        _ => return None,
    };
    // Toward the flanges the web faces inside; outward is the other way.
    let web_leg = legs.get(web)?;
    let inward = |flange: usize| -> Option<(i128, i128)> {
        let (a, b) = (web_leg.0, middle(flange)?);
        Some(if web_leg.2 { (0, (b.1 - a.1).signum()) } else { ((b.0 - a.0).signum(), 0) })
    };
    let (one, other) = (*flanges.first()?, *flanges.last()?);
    let inside = inward(one)?;
    let zed = inside != inward(other)?;
    if zed {
        return None;
    }
    // With z toward the reader and the outside of the web toward the eye, the left flange is
    // where the outward normal points after a quarter turn clockwise.
    let outward = (-inside.0, -inside.1);
    let left_dir = (outward.1, -outward.0);
    let (left, right) = if side(web, one)? == left_dir { (one, other) } else { (other, one) };
    let beyond = |flange: usize| lips.iter().copied().find(|&lip| lip.abs_diff(flange) == 1);
    let width = |i: Option<usize>| i.and_then(|i| legs.get(i)).map_or(0, |leg| leg.1);
    let mut faces = vec![Face {
        face: Faces::WEB,
        centre: half(web_leg.0),
        across: left_dir,
        width: web_leg.1,
    }];
    let mut out_turned = false;
    for (flange, name, lip_name) in [
        (left, Faces::LEFT_FLANGE, Faces::LEFT_LIP),
        (right, Faces::RIGHT_FLANGE, Faces::RIGHT_LIP),
    ] {
        faces.push(Face {
            face: name,
            centre: half(middle(flange)?),
            across: inside,
            width: width(Some(flange)),
        });
        if let Some(lip) = beyond(flange) {
            // Away from the web along the strip: from the flange to the lip's free edge.
            let (a, b) = (middle(flange)?, middle(lip)?);
            let away =
                if web_leg.2 { ((b.0 - a.0).signum(), 0) } else { (0, (b.1 - a.1).signum()) };
            let toward_middle = (web_leg.0.0 - a.0).signum() == away.0
                && (web_leg.0.1 - a.1).signum() == away.1
                || (away.0 != 0 && (web_leg.0.0 - a.0).signum() == away.0)
                || (away.1 != 0 && (web_leg.0.1 - a.1).signum() == away.1);
            out_turned |= !toward_middle;
            faces.push(Face {
                face: lip_name,
                centre: half(b),
                across: away,
                width: width(Some(lip)),
            });
        }
    }
    let form = match (lips.is_empty(), out_turned) {
        (true, _) => Section::PlainChannel,
        (false, true) => Section::Hat,
        (false, false) => Section::LippedChannel,
    };
    let sizes = [
        web_leg.1,
        width(Some(left)),
        width(Some(right)),
        width(beyond(left)),
        width(beyond(right)),
    ];
    Some(Drawn { form, sizes, thickness, faces })
}

#[cfg(test)]
mod tests {
    use super::*;

    const C: [(i128, i128); 12] = [
        (0, 0),
        (40_000, 0),
        (40_000, 12_000),
        (39_000, 12_000),
        (39_000, 1_000),
        (1_000, 1_000),
        (1_000, 89_000),
        (39_000, 89_000),
        (39_000, 78_000),
        (40_000, 78_000),
        (40_000, 90_000),
        (0, 90_000),
    ];

    #[test]
    fn an_outline_gives_the_sizes_and_faces_its_channel_has() {
        let drawn = Drawn::ribbon(&C).unwrap();
        let by_name = Drawn::channel(90_000, 40_000, 12_000, 1_000);
        assert_eq!(drawn.form, Section::LippedChannel);
        assert_eq!((drawn.sizes, drawn.thickness), (by_name.sizes, by_name.thickness));
        for face in &by_name.faces {
            let same = drawn.faces.iter().find(|f| f.face == face.face).unwrap();
            // The outline's corner is at the origin, the channel's middle is.
            assert_eq!(
                (same.centre.0 - 20_000, same.centre.1 - 45_000),
                face.centre,
                "{:?}",
                face.face
            );
            assert_eq!(same.across, face.across, "{:?}", face.face);
        }
        let mut back = C;
        back.reverse();
        assert_eq!(Drawn::ribbon(&back).unwrap().sizes, drawn.sizes);
        let mirrored: Vec<_> = C.iter().map(|&(x, y)| (-x, y)).collect();
        assert_eq!(Drawn::ribbon(&mirrored).unwrap().form, Section::LippedChannel);
    }

    #[test]
    fn a_hat_is_told_from_a_channel() {
        let hat = [
            (0, 0),
            (15_000, 0),
            (15_000, 29_000),
            (55_000, 29_000),
            (55_000, 0),
            (70_000, 0),
            (70_000, 1_000),
            (56_000, 1_000),
            (56_000, 30_000),
            (14_000, 30_000),
            (14_000, 1_000),
            (0, 1_000),
        ];
        let hat = Drawn::ribbon(&hat).unwrap();
        assert_eq!(hat.form, Section::Hat);
        assert_eq!(hat.sizes, [42_000, 30_000, 30_000, 15_000, 15_000]);
        let plain: Vec<_> =
            [(0, 0), (30, 0), (30, 1), (1, 1), (1, 59), (30, 59), (30, 60), (0, 60)]
                .iter()
                .map(|&(x, y): &(i128, i128)| (x * 1_000, y * 1_000))
                .collect();
        let plain = Drawn::ribbon(&plain).unwrap();
        assert_eq!(
            (plain.form, plain.sizes),
            (Section::PlainChannel, [60_000, 30_000, 30_000, 0, 0])
        );
        for not in [&[(0, 0), (10, 0), (10, 10), (0, 10)][..], &[(0, 0)], &[]] {
            assert_eq!(Drawn::ribbon(not), None);
        }
    }
}
