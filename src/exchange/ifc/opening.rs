//! Openings: on which face of a member each lies, and where.

use super::fixed::{Axes, ONE, Vector, rounded};
use super::form::Form;
use super::section::{Drawn, Face};
use crate::member::model::Faces;
use crate::quantity::Length;

/// An opening as its body says it, seen from the member's section: x and y across, z along.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Drill {
    /// Where its section is; its z is the way it goes.
    pub axes: Axes,
    /// How far it goes.
    pub depth: i128,
    /// What its outline is.
    pub form: Form,
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
    /// What its outline is.
    pub form: Form,
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
    /// It stops inside the steel of a face.
    PartWay(Faces),
    /// It runs along inside the steel of a face.
    EdgeOn(Faces),
}

/// How far a figure may be from a round one and be meant to be it: what is left of a double's
/// rounding after placements were multiplied.
const NOISE: i128 = 20;

/// How near to a face's surface an opening may stop and still go through: models draw the surface
/// itself, and steel with or without its coating. Common practice, no source.
const THROUGH: i128 = 50_000;

/// How far beyond the steel a cutter through one face may reach into the edge of another: where
/// two faces meet they share a corner, rounded by a radius that is not drawn. Common practice, no
/// source.
const CORNER: i128 = 3_000_000;

/// A length as it was meant: rounded as the map says; else a whole micrometre or 64th of an inch
/// that is as near as rounding explains; else as it is.
pub fn settled(value: i128, round: Option<i128>) -> Length {
    let to = |step: i128| rounded(value, step) * step;
    let near = [1_000, 396_875].into_iter().map(to).find(|near| (near - value).abs() <= NOISE);
    let settled = round.map_or(near.unwrap_or(value), to);
    Length::from_nm(i64::try_from(settled).unwrap_or(i64::MAX))
}

impl Hole {
    /// With its figures rounded to this, in nanometres.
    pub fn rounded(self, round: i128) -> Hole {
        let to = |length: Length| settled(i128::from(length.nm()), Some(round));
        Hole {
            along: to(self.along),
            across: to(self.across),
            length: to(self.length),
            width: to(self.width),
            ..self
        }
    }
}

/// The holes an opening makes: one for each place across that it goes through.
pub fn holes(drill: &Drill, section: &Drawn) -> Result<Vec<Hole>, Askew> {
    let small = ONE / 1_000;
    let way = drill.axes.z;
    if way.2.abs() > small || (way.0.abs() > small && way.1.abs() > small) {
        return Err(Askew::Direction);
    }
    // Its x along the member, or its y: then the other lies across it.
    let upright = drill.axes.y.2.abs() <= small;
    let flat = drill.axes.x.2.abs() <= small;
    let (length, width) = match (drill.form == Form::Round, upright, flat) {
        (true, _, _) | (_, true, _) => drill.size,
        (_, _, true) => (drill.size.1, drill.size.0),
        _ => return Err(Askew::Turned),
    };
    let at = drill.axes.origin;
    let nm = |value: i128| settled(value, None);
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
        let half = section.thickness / 2;
        let (near, far) = (distance - half, distance + half);
        if far < THROUGH || near > drill.depth - THROUGH {
            continue;
        }
        let across =
            (at.0 - face.centre.0) * face.across.0 + (at.1 - face.centre.1) * face.across.1;
        if 2 * across.abs() >= face.width + width {
            continue;
        }
        if near < -THROUGH || far > drill.depth + THROUGH {
            return Err(Askew::PartWay(face.face));
        }
        let across = nm(across);
        match found.iter_mut().find(|hole| hole.across == across) {
            Some(hole) => hole.faces |= face.face,
            None => found.push(Hole {
                along: nm(at.2),
                faces: face.face,
                across,
                form: drill.form,
                length: nm(length),
                width: nm(width),
            }),
        }
    }
    if found.is_empty() {
        return Err(Askew::Nothing);
    }
    let edge_on = section.faces.iter().find(|face| runs_in(drill, width, face, section.thickness));
    edge_on.map_or(Ok(found), |face| Err(Askew::EdgeOn(face.face)))
}

/// Whether an opening runs along in the steel of a face that it does not go through: further than
/// the corner where two faces meet.
fn runs_in(drill: &Drill, width: i128, face: &Face, thickness: i128) -> bool {
    let way = drill.axes.z;
    let along = rounded(way.0 * face.across.0 + way.1 * face.across.1, ONE);
    if along == 0 {
        return false;
    }
    let (dx, dy) = (drill.axes.origin.0 - face.centre.0, drill.axes.origin.1 - face.centre.1);
    let beside = dx * face.across.1.abs() + dy * face.across.0.abs();
    let from = dx * face.across.0 + dy * face.across.1;
    let to = from + along * drill.depth;
    let overlap = |a: (i128, i128), b: (i128, i128)| a.1.min(b.1) - a.0.max(b.0);
    let sheet = (-thickness / 2, thickness / 2);
    let face = (-face.width / 2, face.width / 2);
    overlap(sheet, (beside - width / 2, beside + width / 2)) > THROUGH
        && overlap(face, (from.min(to), from.max(to))) > thickness + CORNER
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drill(origin: Vector, z: Vector, depth: i128) -> Drill {
        Drill {
            axes: Axes::of(origin, z, Vector(0, 0, 1)).unwrap(),
            depth,
            form: Form::Round,
            size: (12_000_000, 12_000_000),
        }
    }

    #[test]
    fn a_hole_is_on_the_faces_it_goes_through() {
        let mm = 1_000_000;
        let c = Drawn::channel(90 * mm, 40 * mm, 12 * mm, mm);
        let made = |drill: &Drill| holes(drill, &c);
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
        // The web is from -20 to -19: through all of it, to its middle, along in a flange.
        let from = |x: i128, y: i128, depth: i128| {
            drill(Vector(x * mm, y * mm, 450 * mm), Vector(1, 0, 0), depth)
        };
        assert_eq!(made(&from(-20, 0, mm)).unwrap()[0].faces, Faces::WEB);
        let half_way = from(-21, 0, 3 * mm / 2);
        assert_eq!(made(&half_way), Err(Askew::PartWay(Faces::WEB)));
        assert_eq!(made(&from(-25, 38, 9 * mm)).unwrap()[0].faces, Faces::WEB);
        assert_eq!(made(&from(-25, 39, 30 * mm)), Err(Askew::EdgeOn(Faces::LEFT_FLANGE)));
        // A slot that leans by a degree would be made upright.
        let leaning = |degrees_in_1000: i128| Drill {
            axes: Axes::of(
                Vector(-25 * mm, 0, 450 * mm),
                Vector(1, 0, 0),
                Vector(0, degrees_in_1000, 57_296),
            )
            .unwrap(),
            depth: 20 * mm,
            form: Form::Slot,
            size: (60 * mm, 32 * mm),
        };
        assert!(made(&leaning(10)).is_ok());
        assert_eq!(made(&leaning(1_000)), Err(Askew::Turned));
    }
}
