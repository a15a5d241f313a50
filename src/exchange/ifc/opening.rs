//! Openings: on which face of a member each lies, and where.

use super::fixed::{Axes, ONE, Vector, rounded};
use super::section::Drawn;
use crate::member::model::Faces;
use crate::quantity::Length;

/// An opening as its body says it, seen from the member's section: x and y across, z along.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Drill {
    /// Where its section is; its z is the way it goes.
    pub axes: Axes,
    /// How far it goes.
    pub depth: i128,
    /// Whether it is round.
    pub round: bool,
    /// Its size along its own x and y; twice the radius where it is round.
    pub size: (i128, i128),
}

/// An opening on a member.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Hole {
    /// Its middle along the member.
    pub along: Length,
    /// The faces it goes through at the same place.
    pub faces: Faces,
    /// Where across them.
    pub across: Length,
    /// Whether it is round.
    pub round: bool,
    /// Its size along the member.
    pub length: Length,
    /// Its size across.
    pub width: Length,
}

/// Why an opening cannot be said.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Askew {
    /// It does not go square through any face.
    Direction,
    /// It is turned about its own axis.
    Turned,
    /// It meets no face.
    Nothing,
}

/// How far a figure may be from a round one and be meant to be it: what is left of a double's
/// rounding after placements were multiplied.
const NOISE: i128 = 20;

/// A length as it was meant: rounded as the map says; else a whole micrometre or 64th of an inch
/// that is as near as rounding explains; else as it is.
pub fn settled(value: i128, round: Option<i128>) -> Length {
    let to = |step: i128| rounded(value, step) * step;
    let near = [1_000, 396_875].into_iter().map(to).find(|near| (near - value).abs() <= NOISE);
    let settled = round.map_or(near.unwrap_or(value), to);
    Length::from_nm(i64::try_from(settled).unwrap_or(i64::MAX))
}

/// The holes an opening makes: one for each place across that it goes through. `round` is what
/// positions are rounded to, in nanometres, where it is said.
pub fn holes(drill: &Drill, section: &Drawn, round: Option<i128>) -> Result<Vec<Hole>, Askew> {
    let small = ONE / 1_000;
    let way = drill.axes.z;
    if way.2.abs() > small || (way.0.abs() > small && way.1.abs() > small) {
        return Err(Askew::Direction);
    }
    let upright = drill.axes.x.2.abs() >= ONE - small;
    let flat = drill.axes.y.2.abs() >= ONE - small;
    let (length, width) = match (drill.round, upright, flat) {
        (true, _, _) | (_, true, _) => drill.size,
        (_, _, true) => (drill.size.1, drill.size.0),
        _ => return Err(Askew::Turned),
    };
    let at = drill.axes.origin;
    let nm = |value: i128| settled(value, round);
    let mut found: Vec<Hole> = Vec::new();
    for face in &section.faces {
        // The normal of a face is square to the way across it.
        let normal = Vector(face.across.1.abs(), face.across.0.abs(), 0);
        let through = rounded(way.dot(normal), 1);
        if through.abs() < ONE - small {
            continue;
        }
        let away = Vector(face.centre.0 - at.0, face.centre.1 - at.1, 0);
        let distance = rounded(away.dot(normal), 1) * through.signum();
        if distance < -1_000 || distance > drill.depth + 1_000 {
            continue;
        }
        let across =
            (at.0 - face.centre.0) * face.across.0 + (at.1 - face.centre.1) * face.across.1;
        if 2 * across.abs() >= face.width + width {
            continue;
        }
        let across = nm(across);
        match found.iter_mut().find(|hole| hole.across == across) {
            Some(hole) => hole.faces |= face.face,
            None => found.push(Hole {
                along: nm(at.2),
                faces: face.face,
                across,
                round: drill.round,
                length: nm(length),
                width: nm(width),
            }),
        }
    }
    if found.is_empty() { Err(Askew::Nothing) } else { Ok(found) }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drill(origin: Vector, z: Vector, depth: i128) -> Drill {
        Drill {
            axes: Axes::of(origin, z, Vector(0, 0, 1)).unwrap(),
            depth,
            round: true,
            size: (12_000_000, 12_000_000),
        }
    }

    #[test]
    fn a_hole_is_on_the_faces_it_goes_through() {
        let mm = 1_000_000;
        let c = Drawn::channel(90 * mm, 40 * mm, 12 * mm, mm);
        let made = |drill: &Drill| holes(drill, &c, None);
        let from_outside = drill(Vector(-25 * mm, 10 * mm, 450 * mm), Vector(1, 0, 0), 20 * mm);
        let hole = made(&from_outside).unwrap();
        assert_eq!(hole.len(), 1);
        assert_eq!(
            (hole[0].faces, hole[0].across, hole[0].along),
            (Faces::WEB, Length::from_mm(10), Length::from_mm(450))
        );
        // Through both flanges, 5 from their middle toward the open side.
        let through = drill(Vector(5 * mm, 50 * mm, 20 * mm), Vector(0, -1, 0), 200 * mm);
        let hole = made(&through).unwrap();
        assert_eq!((hole[0].faces, hole[0].across), (Faces::FLANGES, Length::from_mm(5)));
        let one = drill(Vector(5 * mm, 50 * mm, 20 * mm), Vector(0, -1, 0), 20 * mm);
        assert_eq!(made(&one).unwrap()[0].faces, Faces::LEFT_FLANGE);
        let lip = drill(Vector(25 * mm, -38 * mm, 20 * mm), Vector(-1, 0, 0), 10 * mm);
        let hole = made(&lip).unwrap();
        assert_eq!((hole[0].faces, hole[0].across), (Faces::RIGHT_LIP, Length::from_mm(1)));
        assert_eq!(made(&drill(Vector(0, 0, 0), Vector(1, 1, 0), 20 * mm)), Err(Askew::Direction));
        assert_eq!(
            made(&drill(Vector(0, 200 * mm, 0), Vector(1, 0, 0), 20 * mm)),
            Err(Askew::Nothing)
        );
    }
}
