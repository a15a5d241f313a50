//! Ends that a plane cuts on a slope.

use super::Reader;
use crate::diagnostic::Diagnostic;
use crate::exchange::ifc::fixed::{Axes, ONE, Vector, rounded};
use crate::exchange::ifc::model::{Cut, Sweep};
use crate::exchange::ifc::section::Drawn;
use crate::exchange::slope::simplest;
use crate::member::model::{EndShape, Faces};

/// What part of its run a slope may be off by and still be the simpler one: a micrometre on a web
/// of a hundred millimetres. Common practice, no source.
const SIMPLER: i128 = 100_000;

/// The ends of a member along its sweep, in nanometres, to the long points.
pub(super) struct Ends {
    pub first: i128,
    pub last: i128,
    pub start: EndShape,
    pub end: EndShape,
}

/// A cut as its member has it.
struct Sloped {
    shape: EndShape,
    long_point: i128,
    /// Whether it is the start that is cut.
    at_start: bool,
}

impl Reader<'_, '_> {
    /// Where a sweep that planes may cut begins and ends.
    pub(super) fn ends(
        &self,
        sweep: &Sweep,
        flat: &Axes,
        section: &Drawn,
        id: u64,
    ) -> Result<Ends, Box<Diagnostic>> {
        let mut ends =
            Ends { first: 0, last: sweep.depth, start: EndShape::Square, end: EndShape::Square };
        let (mut starts, mut stops) = (0, 0);
        let axes = sweep.axes.then(flat);
        for cut in &sweep.cuts {
            let refused = |why: &str| {
                let refusal = self.model.not_understood(cut.id, why);
                Box::new(refusal.at(self.model.step.place(id), "of this member"))
            };
            let sloped = sloped(cut, &axes, section)
                .ok_or_else(|| refused("cut by a plane that does not stand square to the web"))?;
            if sloped.at_start {
                (ends.first, ends.start, starts) = (sloped.long_point, sloped.shape, starts + 1);
            } else {
                (ends.last, ends.end, stops) = (sloped.long_point, sloped.shape, stops + 1);
            }
            if starts > 1 || stops > 1 {
                return Err(refused("cut by two planes at one end"));
            }
        }
        // Where the steel ends before the long point, the end has a corner more.
        if ends.first < -1_000 || ends.last > sweep.depth + 1_000 {
            return Err(self.model.not_understood(id, "a member whose cut is not the whole end"));
        }
        Ok(ends)
    }
}

/// A plane as the slope of an end: it stands square to the web, and crosses the member.
fn sloped(cut: &Cut, axes: &Axes, section: &Drawn) -> Option<Sloped> {
    let web = section.faces.iter().find(|face| face.face == Faces::WEB)?;
    let seen = |v: Vector| {
        Vector(
            rounded(v.dot(axes.x), ONE),
            rounded(v.dot(axes.y), ONE),
            rounded(v.dot(axes.z), ONE),
        )
    };
    let away = seen(cut.away);
    let from = Vector(
        cut.point.0 - axes.origin.0,
        cut.point.1 - axes.origin.1,
        cut.point.2 - axes.origin.2,
    );
    let at = seen(from);
    let across = away.0 * web.across.0 + away.1 * web.across.1;
    let through = away.0 * web.across.1.abs() + away.1 * web.across.0.abs();
    // Steeper than 50 : 1 no end is cut.
    if through.abs() > ONE / 1_000_000 || away.2.abs() < ONE / 50 {
        return None;
    }
    let at_start = away.2 < 0;
    // The plane is where along = middle + slope · across, from the middle of the web.
    let (rise, run) = simplest(-across, away.2, away.2.abs() / SIMPLER)?;
    let aside = (at.0 - web.centre.0) * web.across.0 + (at.1 - web.centre.1) * web.across.1;
    let middle = at.2 - rounded(rise.checked_mul(aside)?, run);
    let reach = rounded(rise.abs().checked_mul(web.width)?, 2 * run);
    let long_point = if at_start { middle - reach } else { middle + reach };
    let rise = if at_start { -rise } else { rise };
    let (rise, run) = (i32::try_from(rise).ok()?, i32::try_from(run).ok()?);
    let shape = if rise == 0 { EndShape::Square } else { EndShape::Slope { rise, run } };
    Some(Sloped { shape, long_point, at_start })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_plane_is_an_end() {
        let mm = 1_000_000;
        let c = Drawn::channel(90 * mm, 40 * mm, 12 * mm, mm);
        let made = |point, away: Vector| {
            let cut = Cut { id: 1, point, away: away.unit().unwrap() };
            sloped(&cut, &Axes::HERE, &c).map(|end| (end.shape, end.long_point, end.at_start))
        };
        // 1 : 3 with its long point at the left, 15 mm beyond the middle of the web.
        let end = made(Vector(0, 0, 985 * mm), Vector(0, -1, 3));
        assert_eq!(end, Some((EndShape::Slope { rise: 1, run: 3 }, 1_000 * mm, false)));
        // Through the long point itself, and with the web at another place across.
        let same = made(Vector(7 * mm, 45 * mm, 1_000 * mm), Vector(0, -1, 3));
        assert_eq!(same, end);
        let start = made(Vector(0, 0, 15 * mm), Vector(0, -1, -3));
        assert_eq!(start, Some((EndShape::Slope { rise: 1, run: 3 }, 0, true)));
        assert_eq!(
            made(Vector(0, 0, 990 * mm), Vector(0, 0, 1)),
            Some((EndShape::Square, 990 * mm, false))
        );
        assert_eq!(made(Vector(0, 0, 990 * mm), Vector(1, 0, 3)), None);
        assert_eq!(made(Vector(0, 0, 990 * mm), Vector(0, 1, 0)), None);
    }
}
