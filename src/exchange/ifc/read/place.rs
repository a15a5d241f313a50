//! Where along its member a feature lies, and whether its opening lies on the member at all.

use super::Reader;
use super::size::SAME_SIZE;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnMember, DrawnPlace};
use crate::exchange::ifc::fixed::rounded;
use crate::exchange::ifc::opening::Hole;
use crate::exchange::ifc::section::Drawn;
use crate::library::model::{FeatureType, Form};
use crate::member::model::{End, EndShape, Faces, Position};
use crate::quantity::{Length, Tolerance};

/// How far beyond its member an opening may reach: sections are compared to a tenth of a
/// millimetre, so their edges are known no better. Common practice, no source.
const BEYOND: Length = Length::from_um(100);

impl Reader<'_, '_> {
    /// Where a feature lies: at the end its opening is drawn at, else where it is drawn.
    pub(super) fn place(
        &self,
        id: u64,
        hole: &Hole,
        (name, of): (&str, Option<&FeatureType>),
        member: &DrawnMember,
    ) -> Result<DrawnPlace, Box<Diagnostic>> {
        let (first, last) = hole.extent();
        match of.map(|kind| kind.form) {
            Some(Form::End) => match at_end(first, last, of, member.length) {
                Some(end) => Ok(DrawnPlace::End { end, tolerance: None }),
                None => Err(self.at_no_end(id, hole, name, member)),
            },
            Some(Form::Range) => Ok(DrawnPlace::Range {
                from: Position::from_start(first),
                to: Position::from_start(last),
                tolerance: None,
            }),
            _ => Ok(DrawnPlace::Point { at: Position::from_start(hole.along), tolerance: None }),
        }
    }

    /// Refuses an opening that is partly or wholly drawn beside its member's steel.
    pub(super) fn inside(
        &self,
        id: u64,
        hole: &Hole,
        section: &Drawn,
        member: &DrawnMember,
        of: Option<&FeatureType>,
    ) -> Result<(), Box<Diagnostic>> {
        let (first, last) = hole.extent();
        // At a sloped end it goes on to the long point.
        let shapes_end = of.is_some_and(|kind| kind.form == Form::End);
        if first < -BEYOND || last > member.length + BEYOND {
            let what = format!(
                "it is drawn from {first} to {last} along, and the member is {} long",
                member.length
            );
            return Err(self.outside(id, member, &what));
        }
        if !shapes_end {
            self.before_slopes(id, hole, section, member)?;
        }
        let half = hole.width.half();
        let (low, high) = (hole.across - half, hole.across + half);
        for face in section.faces.iter().filter(|face| hole.faces.contains(face.face)) {
            let edge = Length::from_nm(i64::try_from(face.width / 2).unwrap_or(i64::MAX));
            let over = (low < -edge - BEYOND, high > edge + BEYOND);
            // What is wider than its face goes over the whole of it.
            if matches!(over, (true, false) | (false, true)) && !(low <= -edge && high >= edge) {
                let what = format!(
                    "it is drawn from {low} to {high} across the {}, whose edges are at -{edge} \
                     and {edge}",
                    face.face
                );
                return Err(self.outside(id, member, &what));
            }
        }
        Ok(())
    }

    /// Refuses an opening that lies beyond a sloped end, where its member is shorter than to its
    /// long point.
    fn before_slopes(
        &self,
        id: u64,
        hole: &Hole,
        section: &Drawn,
        member: &DrawnMember,
    ) -> Result<(), Box<Diagnostic>> {
        let Some(web) = section.faces.iter().find(|face| face.face == Faces::WEB) else {
            return Ok(());
        };
        let (first, last) = hole.extent();
        let half = i128::from(hole.width.nm()) / 2;
        let across = i128::from(hole.across.nm());
        for face in section.faces.iter().filter(|face| hole.faces.contains(face.face)) {
            // Where along the web's width a place across the face is.
            let turn = face.across.0 * web.across.0 + face.across.1 * web.across.1;
            let centre = (face.centre.0 - web.centre.0) * web.across.0
                + (face.centre.1 - web.centre.1) * web.across.1;
            let at = |across: i128| centre + turn * across;
            // The points of a round hole that lie furthest out; of others, less.
            for (along, across) in [
                (first, across),
                (last, across),
                (hole.along, across - half),
                (hole.along, across + half),
            ] {
                let start = short(member.start, at(across), web.width);
                let end = member.length - short(member.end, at(across), web.width);
                if along < start - BEYOND || along > end + BEYOND {
                    let what = format!(
                        "it reaches {along} along, and the {} is from {start} to {end} there",
                        face.face
                    );
                    return Err(self.outside(id, member, &what));
                }
            }
        }
        Ok(())
    }

    fn outside(&self, id: u64, member: &DrawnMember, what: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(
                &codes::E1152,
                format!("the opening #{id} lies beyond member {}: {what}", member.mark),
            )
            .at(self.model.step.place(id), "not wholly on its member")
            .note("what is drawn beside the steel was meant to be somewhere else")
            .help("move it onto its member, or make it as large as what it takes away"),
        )
    }

    fn at_no_end(&self, id: u64, hole: &Hole, name: &str, member: &DrawnMember) -> Box<Diagnostic> {
        let (first, last) = hole.extent();
        let from_end = member.length - last;
        let (off, end) =
            if first.abs() <= from_end.abs() { (first, "start") } else { (from_end, "end") };
        let side = if off.is_negative() { "beyond" } else { "from" };
        Box::new(
            Diagnostic::new(
                &codes::E1153,
                format!(
                    "the opening #{id} lies {} {side} the {end} of member {}, and {name} shapes \
                     an end",
                    off.abs(),
                    member.mark
                ),
            )
            .at(self.model.step.place(id), format!("drawn from {first} to {last}"))
            .note("made at the end, the steel would be whole where it is drawn, and gone where it is not")
            .help("move it to the end, or say with its name or in the map that it stands for a type that lies along the member"),
        )
    }
}

/// How much shorter than to its long point a sloped end is, so far across from the middle of the
/// web toward the left.
fn short(end: EndShape, left: i128, web: i128) -> Length {
    let EndShape::Slope { rise, run } = end else { return Length::ZERO };
    let rise = i128::from(rise);
    // Twice the way from the long point's side.
    let aside = web - 2 * left * rise.signum();
    let short = rounded(rise.abs() * aside, 2 * i128::from(run).max(1));
    Length::from_nm(i64::try_from(short).unwrap_or(i64::MAX))
}

/// The end that an opening lies at, by as much as its type may be off.
fn at_end(first: Length, last: Length, of: Option<&FeatureType>, length: Length) -> Option<End> {
    let none = Tolerance::even(Length::ZERO);
    let tolerance = of.and_then(|kind| kind.tolerance).unwrap_or(none);
    let admits =
        |off: Length| off >= -tolerance.minus - SAME_SIZE && off <= tolerance.plus + SAME_SIZE;
    if admits(first) {
        Some(End::Start)
    } else if admits(last - length) {
        Some(End::End)
    } else {
        None
    }
}
