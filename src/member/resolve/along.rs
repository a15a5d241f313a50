//! Patterns along a member, once its length is known: `every`, `equal at most`, both ends, and
//! groups about many centres.

use super::draft::{Along, Draft, Placement, Run, Spot};
use super::eval::Resolver;
use super::limits;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::member::model::{Datum, End, Position};
use crate::quantity::{Length, Span};

/// One place along a member.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Site {
    Point(Position),
    Range(Position, Position),
    End(End),
}

/// A place as it comes out of a spot.
#[derive(Clone, Copy)]
pub(super) struct Placed {
    pub(super) site: Site,
    /// Seen from the other end: below and above nominal change places.
    pub(super) mirrored: bool,
    /// Written as such, not counted out by a pattern.
    pub(super) explicit: bool,
    pub(super) span: Span,
}

/// Where the centre of a group lies, and which way it looks.
#[derive(Clone, Copy)]
pub(super) struct Centre {
    at: Position,
    mirrored: bool,
}

impl Centre {
    fn place(self, relative: Position) -> Position {
        let by = if self.mirrored { -relative.offset } else { relative.offset };
        Position { datum: self.at.datum, offset: self.at.offset + by }
    }
    /// A place relative to this centre, on the member.
    pub(super) fn apply(self, placed: Placed) -> Placed {
        let site = match placed.site {
            Site::Point(at) => Site::Point(self.place(at)),
            Site::Range(from, to) if self.mirrored => Site::Range(self.place(to), self.place(from)),
            Site::Range(from, to) => Site::Range(self.place(from), self.place(to)),
            Site::End(end) => Site::End(end),
        };
        Placed { site, mirrored: placed.mirrored != self.mirrored, ..placed }
    }
}

/// Seen from the end: this far inward.
fn from_end(inward: Position) -> Position {
    Position { datum: Datum::End, offset: -inward.offset }
}

impl Resolver<'_, '_> {
    /// The places a run of spots means on a member of this length. `None` once it is reported
    /// why there are none to be had.
    pub(super) fn places(
        &mut self,
        draft: &Draft<'_>,
        spots: Run,
        length: Length,
    ) -> Option<Vec<Placed>> {
        let spots = draft.spots.get(spots.from..spots.to)?;
        let mut placed = Vec::with_capacity(spots.len());
        for spot in spots {
            let first = placed.len();
            self.along(spot, length, &mut placed)?;
            if spot.mirrored {
                for place in placed.get_mut(first..).unwrap_or_default() {
                    place.mirrored = true;
                    place.site = match place.site {
                        Site::Point(at) => Site::Point(from_end(at)),
                        Site::Range(from, to) => Site::Range(from_end(to), from_end(from)),
                        Site::End(end) => Site::End(end),
                    };
                }
            }
            if placed.len() > limits::FEATURES_OF_A_MEMBER {
                self.too_many(spot.span);
                return None;
            }
        }
        Some(placed)
    }

    pub(super) fn too_many(&mut self, span: Span) {
        self.spent = true;
        self.say(
            Diagnostic::new(
                &codes::E0213,
                format!("more than {} features on one member", limits::FEATURES_OF_A_MEMBER),
            )
            .at(span, "too many here")
            .note("recipes that call recipes, or lists of lists, multiply quickly")
            .help("check the step and the counts; a member has tens of features, not thousands"),
        );
    }

    fn along(&mut self, spot: &Spot, length: Length, placed: &mut Vec<Placed>) -> Option<()> {
        let span = spot.span;
        let mut put = |site, explicit| {
            placed.push(Placed { site, mirrored: false, explicit, span });
        };
        match spot.along {
            Along::One(at) => put(Site::Point(at), true),
            Along::Range(from, to) => put(Site::Range(from, to), true),
            Along::End(end) => put(Site::End(end), true),
            Along::Every { step, from, to } => {
                let room = to.on(length) - from.on(length);
                if room.is_negative() {
                    self.nothing_fits(span, from.on(length).distance(), to.on(length).distance());
                    return Some(());
                }
                let steps = self.steps_that_fit(room, step, span)?;
                for i in 0..=steps {
                    let offset = from.offset + step.times(i);
                    put(Site::Point(Position { datum: from.datum, offset }), false);
                }
            }
            Along::Equal { most, from, to, round } => {
                let room = to.on(length) - from.on(length);
                if room.is_negative() {
                    self.backwards(span, from.on(length).distance(), to.on(length).distance());
                    return None;
                }
                put(Site::Point(from), false);
                if room == Length::ZERO {
                    return Some(());
                }
                for offset in self.between(room, most, from.offset, round, span)? {
                    put(Site::Point(Position { datum: from.datum, offset }), false);
                }
                put(Site::Point(to), false);
            }
        }
        Some(())
    }

    /// How many whole steps fit; `None` once it is reported that they are too many.
    fn steps_that_fit(&mut self, room: Length, step: Length, span: Span) -> Option<i64> {
        let steps = room.nm() / step.nm();
        if usize::try_from(steps).is_ok_and(|steps| steps < limits::FEATURES_OF_A_MEMBER) {
            return Some(steps);
        }
        self.too_many(span);
        None
    }

    fn nothing_fits(&mut self, span: Span, from: Length, to: Length) {
        self.say(
            Diagnostic::new(
                &codes::W0258,
                format!("this pattern makes nothing: it runs from {from} to {to}"),
            )
            .at(span, "nothing fits")
            .note("on this member the pattern's end lies before its beginning")
            .help("exchange the two, or put the pattern in an `if` that short members skip"),
        );
    }
    fn backwards(&mut self, span: Span, from: Length, to: Length) {
        self.say(
            Diagnostic::new(
                &codes::E0256,
                format!("these equal spaces run backwards: from {from} to {to}"),
            )
            .at(span, "its end lies before its beginning")
            .note("positions grow from the member's start to its end")
            .help("exchange the two, or check the length they are reckoned from"),
        );
    }

    /// Offsets between the first and the last, at the fewest equal spaces of at most `most` that
    /// also hold after rounding.
    fn between(
        &mut self,
        room: Length,
        most: Length,
        first: Length,
        round: Option<Length>,
        span: Span,
    ) -> Option<Vec<Length>> {
        let (room, most) = (i128::from(room.nm()), i128::from(most.nm()));
        let first = i128::from(first.nm());
        let mut count = (room + most - 1) / most;
        loop {
            if count > i128::try_from(limits::FEATURES_OF_A_MEMBER).unwrap_or(0) {
                self.too_many(span);
                return None;
            }
            let Some(round) = round else {
                if room % count != 0 {
                    self.uneven(span, room, count);
                    return None;
                }
                let at = |i: i128| i64::try_from(first + room * i / count).ok();
                return (1..count).map(|i| at(i).map(Length::from_nm)).collect();
            };
            let round = i128::from(round.nm());
            if round >= most {
                self.say(
                    Diagnostic::new(
                        &codes::E0259,
                        "positions are rounded more coarsely than they are spaced",
                    )
                    .at(span, "")
                    .help("round to a small part of the space, such as `round 0.5`"),
                );
                return None;
            }
            let mut offsets = Vec::new();
            let (mut before, mut holds) = (first, true);
            for i in 1..count {
                // Nearest multiple of `round`, halves away from nought.
                let (n, d) = (first * count + room * i, count * round);
                let steps = (2 * n.abs() + d) / (2 * d) * n.signum();
                let at = steps * round;
                holds &= at - before <= most && before < at;
                before = at;
                offsets.push(Length::from_nm(i64::try_from(at).ok()?));
            }
            holds &= first + room - before <= most && before < first + room;
            if holds {
                return Some(offsets);
            }
            // Rounding opened one space too far (or closed one): one more space.
            self.tick(u64::try_from(count).unwrap_or(u64::MAX), span)?;
            count += 1;
        }
    }

    fn uneven(&mut self, span: Span, room: i128, count: i128) {
        let thousandths = room / count / 1_000;
        let (whole, rest) = (thousandths / 1_000, thousandths % 1_000);
        self.say(
            Diagnostic::new(
                &codes::E0224,
                format!("{count} equal spaces of about {whole}.{rest:03} mm do not come out even"),
            )
            .at(span, "no exact positions")
            .note("lengths are whole nanometres, so that no two of them ever differ by a rounding")
            .help("say how to round the positions between: `… to end - 150 round 0.5 mm`"),
        );
    }

    /// The centres of each placement of groups, in order; those of a group in a group are all
    /// its centres about each centre of the outer one.
    pub(super) fn centres(&mut self, draft: &Draft<'_>, length: Length) -> Vec<Vec<Centre>> {
        let mut all: Vec<Vec<Centre>> = Vec::with_capacity(draft.placements.len());
        let mut count = 0;
        for &Placement { parent, spots, span } in &draft.placements {
            let mut centres = Vec::new();
            for placed in self.places(draft, spots, length).unwrap_or_default() {
                let Site::Point(at) = placed.site else {
                    self.say(
                        Diagnostic::new(&codes::E0254, "a group's centre is one position")
                            .at(placed.span, "not one position")
                            .help("write where each centre is, such as `at 300, end - 300`"),
                    );
                    continue;
                };
                let own = Centre { at, mirrored: placed.mirrored };
                match parent {
                    None => centres.push(own),
                    Some(parent) => {
                        for outer in all.get(parent).map_or(&[][..], Vec::as_slice) {
                            let mirrored = outer.mirrored != own.mirrored;
                            centres.push(Centre { at: outer.place(at), mirrored });
                        }
                    }
                }
                if count + centres.len() > limits::FEATURES_OF_A_MEMBER {
                    self.too_many(span);
                    centres.clear();
                    break;
                }
            }
            count += centres.len();
            all.push(centres);
        }
        all
    }
}
