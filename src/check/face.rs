use crate::library::model::Profile;
use crate::member::model::Faces;

/// A face of a section across the member, in half-nanometres from the middle of its out-to-out
/// width.
///
/// On the web y grows toward the left flange; on flanges and lips it grows away from the web, so
/// that the same y on both flanges is the same place of a symmetric section, and the half turn
/// changes its sign on the web alone.
///
/// The flat part of a face is its out-to-out width less base thickness plus inside radius
/// (t + r) on each side that is bent; a side without a neighbour is a free edge and flat to the
/// edge. Coating is left out: it is a few hundredths of a millimetre.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Face {
    /// Outer edges.
    pub(super) edge: (i64, i64),
    /// Bend tangents, or the edge itself where it is free.
    pub(super) flat: (i64, i64),
    /// Whether each edge is free (not bent).
    pub(super) free: (bool, bool),
}

impl Face {
    /// The given single face; `None` where the section has none.
    pub(super) fn of(profile: &Profile, face: Faces) -> Option<Face> {
        let p = profile;
        let (width, low_neighbour, high_neighbour) = if face == Faces::WEB {
            (p.web, p.right_flange, p.left_flange)
        } else if face == Faces::LEFT_FLANGE {
            (p.left_flange, p.web, p.left_lip)
        } else if face == Faces::RIGHT_FLANGE {
            (p.right_flange, p.web, p.right_lip)
        } else if face == Faces::LEFT_LIP {
            (p.left_lip, p.left_flange, crate::quantity::Length::ZERO)
        } else if face == Faces::RIGHT_LIP {
            (p.right_lip, p.right_flange, crate::quantity::Length::ZERO)
        } else {
            return None;
        };
        let half = width.nm();
        if half <= 0 {
            return None;
        }
        let free = (low_neighbour.nm() <= 0, high_neighbour.nm() <= 0);
        let bend = 2 * (p.thickness.nm() + p.radius.nm());
        let low = if free.0 { -half } else { (-half + bend).min(0) };
        let high = if free.1 { half } else { (half - bend).max(0) };
        Some(Face { edge: (-half, half), flat: (low, high), free })
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::library::model::{Coating, Section};
    use crate::quantity::{FileId, Length, MassPerLength, Span};

    /// C 90 × 40 × 12, t 0.75, r 1.5.
    pub(in crate::check) fn c90() -> Profile {
        Profile {
            name: "C90".into(),
            section: Section::LippedChannel,
            web: Length::from_mm(90),
            left_flange: Length::from_mm(40),
            right_flange: Length::from_mm(40),
            left_lip: Length::from_mm(12),
            right_lip: Length::from_mm(12),
            thickness: Length::from_um(750),
            radius: Length::from_um(1500),
            coating: Coating {
                name: "Z275".into(),
                grams_per_square_metre: 275,
                thickness: Length::from_nm(38_515),
            },
            grade: "G550".into(),
            strip_width: Length::from_mm(182),
            length_tolerance: None,
            coated_mass: MassPerLength::from_ug_per_m(1_121_575_000),
            span: Span::new(FileId(0), 0, 0),
        }
    }

    fn mm(halves: i64) -> String {
        super::super::subject::shown(halves).to_string()
    }

    #[test]
    fn a_face_is_flat_between_its_bends() {
        let c = c90();
        let web = Face::of(&c, Faces::WEB).unwrap();
        assert_eq!((mm(web.flat.0), mm(web.flat.1)), ("-42.75".into(), "42.75".into()));
        let flange = Face::of(&c, Faces::LEFT_FLANGE).unwrap();
        assert_eq!((mm(flange.flat.0), mm(flange.flat.1)), ("-17.75".into(), "17.75".into()));
        let lip = Face::of(&c, Faces::RIGHT_LIP).unwrap();
        assert_eq!((mm(lip.flat.0), mm(lip.flat.1)), ("-3.75".into(), "6".into()));
        assert_eq!(lip.free, (false, true));
    }

    #[test]
    fn a_track_has_no_lips_and_its_flanges_end_free() {
        let mut track = c90();
        (track.left_lip, track.right_lip) = (Length::ZERO, Length::ZERO);
        assert_eq!(Face::of(&track, Faces::LEFT_LIP), None);
        let flange = Face::of(&track, Faces::RIGHT_FLANGE).unwrap();
        assert_eq!((mm(flange.flat.0), mm(flange.flat.1)), ("-17.75".into(), "20".into()));
        track.left_flange = Length::ZERO; // an angle
        let web = Face::of(&track, Faces::WEB).unwrap();
        assert_eq!((mm(web.flat.0), mm(web.flat.1)), ("-42.75".into(), "45".into()));
    }
}
