//! Blocks as they are written: the outlines of sloped ends, openings, holes.

use super::FACES;
use super::line::{decimals, last_place};
use crate::exchange::from_job::face_width;
use crate::exchange::slope::simplest;
use crate::library::model::Profile;
use crate::library::reading::length_text;
use crate::member::model::{EndShape, Faces, Feature, Outline, Shape};
use crate::quantity::Length;
use std::fmt::Write;

/// A figure in millimetres: two decimals, more where it has them.
pub(super) fn mm(length: Length) -> String {
    let text = length.to_string();
    match decimals(&text) {
        0 => format!("{text}.00"),
        1 => format!("{text}0"),
        _ => text,
    }
}

/// Openings of a part: holes and slots for BO, rectangles for IK.
#[derive(Default)]
pub(super) struct Openings {
    pub holes: String,
    pub rectangles: String,
}

impl Openings {
    /// Puts down a feature on a face, its middle at `along`. Whether it could be said: a rectangle
    /// that reaches an edge is no opening.
    pub fn put(
        &mut self,
        (letter, face): (&str, Faces),
        feature: &Feature,
        profile: &Profile,
        along: Length,
        shape: &Shape,
    ) -> bool {
        let wide = face_width(face, profile);
        let across = wide.half() + feature.across;
        let (length, width) = (feature.outline.length(), feature.outline.width());
        match feature.outline {
            Outline::Circle { .. } => {
                let _infallible = writeln!(
                    self.holes,
                    "  {letter}  {}u  {}  {}  0.00",
                    mm(along),
                    mm(across),
                    mm(width)
                );
            }
            Outline::Slot { .. } => {
                // The middle of its first half circle; how much longer than wide, how much wider
                // than its ends, its angle.
                let longer = length - width;
                let _infallible = writeln!(
                    self.holes,
                    "  {letter}  {}u  {}  {}  0.00l  {}  0.00  0.00",
                    mm(along - longer.half()),
                    mm(across),
                    mm(width),
                    mm(longer)
                );
            }
            Outline::Rectangle { .. } => {
                let (first, lower) = (along - length.half(), across - width.half());
                let (last, upper) = (first + length, lower + width);
                let inside = first > Length::ZERO
                    && last < shape.length
                    && lower > Length::ZERO
                    && upper < wide;
                if !inside {
                    return false;
                }
                let corners =
                    [(first, lower), (last, lower), (last, upper), (first, upper), (first, lower)];
                self.rectangles.push_str("IK\n");
                corners_of(&mut self.rectangles, letter, &corners.map(|(x, y)| (mm(x), y)));
            }
        }
        true
    }
}

fn corners_of(out: &mut String, letter: &str, corners: &[(String, Length)]) {
    for (along, across) in corners {
        let _infallible = writeln!(out, "  {letter}  {along}u  {}  0.00", mm(*across));
    }
}

/// The outlines of the faces of a member with a sloped end, empty where both are square. `None`
/// where no figures tell a slope from a simpler one.
pub(super) fn outlines(shape: &Shape, profile: &Profile) -> Option<String> {
    if (shape.start, shape.end) == (EndShape::Square, EndShape::Square) {
        return Some(String::new());
    }
    let [lower, upper] = (2..=6).find_map(|decimals| edges(shape, profile.web, decimals))?;
    let mut out = String::new();
    for (letter, face) in FACES {
        let (lower, upper) = match face {
            Faces::WEB => (&lower, &upper),
            Faces::LEFT_FLANGE => (&upper, &upper),
            _ => (&lower, &lower),
        };
        let wide = face_width(face, profile);
        let corners = [
            (&lower[0], Length::ZERO),
            (&lower[1], Length::ZERO),
            (&upper[1], wide),
            (&upper[0], wide),
            (&lower[0], Length::ZERO),
        ];
        out.push_str("AK\n");
        corners_of(&mut out, letter, &corners.map(|(along, across)| (along.clone(), across)));
    }
    Some(out)
}

/// Where the lower edge of a web (the right flange's) and the upper one begin and stop, to so many
/// decimals; `None` where the ends' slopes are not read back from that.
fn edges(shape: &Shape, web: Length, decimals: usize) -> Option<[[String; 2]; 2]> {
    let edge = |upper: bool| {
        let (start, end) = (short(shape.start, upper, web), short(shape.end, upper, web));
        [rounded(start, decimals), rounded(shape.length - end, decimals)]
    };
    let (lower, upper) = (edge(false), edge(true));
    for (i, end) in [shape.start, shape.end].into_iter().enumerate() {
        let (below, above) = (lower.get(i)?, upper.get(i)?);
        let read = |text: &str| Some(length_text(&format!("{text} mm")).ok()?.nm());
        let rise = if i == 0 { read(below)? - read(above)? } else { read(above)? - read(below)? };
        let off = last_place(below).nm().max(last_place(above).nm());
        let found = simplest(i128::from(rise), i128::from(web.nm()), i128::from(off))?;
        let wanted = match end {
            EndShape::Square => (0, 1),
            EndShape::Slope { rise, run } => (i128::from(rise), i128::from(run)),
        };
        if found.0 * wanted.1 != wanted.0 * found.1 {
            return None;
        }
    }
    Some([lower, upper])
}

/// How far an edge stops short of the long point of an end: that lies at the left flange, above,
/// where the slope rises.
fn short(end: EndShape, upper: bool, web: Length) -> Length {
    match end {
        EndShape::Slope { rise, run } if (rise < 0) == upper => {
            web.scaled(i64::from(rise).abs(), i64::from(run))
        }
        _ => Length::ZERO,
    }
}

/// To so many decimals, to the nearest; at least two.
fn rounded(length: Length, wanted: usize) -> String {
    let step = u32::try_from(6 - wanted.min(6)).map_or(1, |zeros| 10_i64.pow(zeros));
    let nm = length.nm();
    let half = if nm < 0 { -step / 2 } else { step / 2 };
    let text = mm(Length::from_nm((nm + half) / step * step));
    let lacking = wanted.saturating_sub(decimals(&text));
    text + &"0".repeat(lacking)
}
