use super::seen::Seen;
use crate::library::model::{Library, OutlineForm};
use crate::member::model::{End, Faces, Feature, Outline, Place};
use crate::quantity::{Length, Tolerance};

/// Where one feature must be on this piece, from its real ends.
#[derive(Clone, Copy, Debug)]
pub(super) enum Target {
    /// Its centre.
    Point { centre: Length, tolerance: Tolerance },
    /// Both its edges. An end feature reaches from the end itself to its inner edge.
    Span { from: Length, from_tolerance: Tolerance, to: Length, to_tolerance: Tolerance },
}

/// One feature on one face.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wanted<'s> {
    pub feature: &'s Feature,
    pub target: Target,
    /// The feature covers its face from edge to edge.
    pub whole_face: bool,
    /// Where across the face it must be, and how far off that it may be.
    pub across: Length,
    pub across_tolerance: Tolerance,
}

impl<'s> Wanted<'s> {
    pub(super) fn new(feature: &'s Feature, length: Length, library: &Library) -> Wanted<'s> {
        let reach = feature.outline.length();
        let target = match feature.place {
            Place::Point { at, tolerance } => {
                Target::Point { centre: at.on(length).distance(), tolerance }
            }
            Place::Range { from, from_tolerance, to, to_tolerance } => Target::Span {
                from: from.on(length).distance(),
                from_tolerance,
                to: to.on(length).distance(),
                to_tolerance,
            },
            Place::End { end, tolerance } => {
                let (from, to) = match end {
                    End::Start => (Length::ZERO, reach),
                    End::End => (length - reach, length),
                };
                Target::Span { from, from_tolerance: tolerance, to, to_tolerance: tolerance }
            }
        };
        let whole_face = library
            .feature(feature.kind)
            .is_some_and(|kind| matches!(kind.outline, OutlineForm::Rectangle { width: None, .. }));
        let Feature { across, across_tolerance, .. } = *feature;
        Wanted { feature, target, whole_face, across, across_tolerance }
    }

    /// The same on a piece whose end came first: seen from there everything lies the other way
    /// round, and on the web on the other side.
    pub(super) fn turned(self, face: Faces, length: Length) -> Wanted<'s> {
        let flipped = |t: Tolerance| Tolerance { minus: t.plus, plus: t.minus };
        let target = match self.target {
            Target::Point { centre, tolerance } => {
                Target::Point { centre: length - centre, tolerance: flipped(tolerance) }
            }
            Target::Span { from, from_tolerance, to, to_tolerance } => Target::Span {
                from: length - to,
                from_tolerance: flipped(to_tolerance),
                to: length - from,
                to_tolerance: flipped(from_tolerance),
            },
        };
        if face != Faces::WEB {
            return Wanted { target, ..self };
        }
        let (across, across_tolerance) = (-self.across, flipped(self.across_tolerance));
        Wanted { target, across, across_tolerance, ..self }
    }

    /// Where the first edge of what lies on the piece may be, and a little more for rounding:
    /// only such marks need be looked at.
    pub(super) fn first_edge(&self) -> (Length, Length) {
        let slack = Length::from_nm(4);
        let before = self.feature.outline.length().half();
        let (at, tolerance) = match self.target {
            Target::Point { centre, tolerance } => (centre - before, tolerance),
            Target::Span { from, from_tolerance, .. } => (from, from_tolerance),
        };
        (at - tolerance.minus - slack, at + tolerance.plus + slack)
    }

    /// Whether the mark's tool makes this type in this outline across the face.
    pub(super) fn alike(&self, seen: &Seen) -> bool {
        seen.made.kinds.contains(&self.feature.kind) && self.outline_fits(seen)
    }

    fn outline_fits(&self, seen: &Seen) -> bool {
        let (made, drawn) = (seen.made.outline, self.feature.outline);
        let off = seen.made.across - self.across;
        let tolerance = self.across_tolerance;
        let point = matches!(self.target, Target::Point { .. });
        match (made, drawn) {
            (Outline::Circle { diameter }, Outline::Circle { diameter: wanted }) => {
                diameter == wanted && tolerance.admits(off)
            }
            (Outline::Slot { length, width }, Outline::Slot { length: long, width: wide }) => {
                width == wide && (!point || length == long) && tolerance.admits(off)
            }
            (
                Outline::Rectangle { length, width },
                Outline::Rectangle { length: long, width: wide },
            ) => {
                // What goes over the whole face may overrun its edges.
                let spare = if self.whole_face { (width - wide).half() } else { Length::ZERO };
                let width_fits = if self.whole_face { width >= wide } else { width == wide };
                let tolerance =
                    Tolerance { minus: tolerance.minus + spare, plus: tolerance.plus + spare };
                width_fits && (!point || length == long) && tolerance.admits(off)
            }
            _ => false,
        }
    }

    /// Whether one mark alone is this feature, wherever within its accuracy it falls (`moved`),
    /// or with the line exact.
    pub(super) fn is_made_by(&self, seen: &Seen, length: Length, moved: bool) -> bool {
        if !seen.is_on() || !self.alike(seen) {
            return false;
        }
        let by = if moved { seen.accuracy } else { Length::ZERO };
        match self.target {
            Target::Point { centre, tolerance } => {
                let off = seen.centre - centre;
                let whole = seen.from - by >= Length::ZERO && seen.to + by <= length;
                whole && tolerance.admits(off - by) && tolerance.admits(off + by)
            }
            Target::Span { .. } => self.edges_fit(
                (seen.from - by, seen.from + by),
                (seen.to - by, seen.to + by),
                length,
            ),
        }
    }

    /// Whether both edges, each anywhere between two places, are where they may be. The cuts end
    /// what is swept past them.
    pub(super) fn edges_fit(
        &self,
        first: (Length, Length),
        last: (Length, Length),
        length: Length,
    ) -> bool {
        let Target::Span { from, from_tolerance, to, to_tolerance } = self.target else {
            return false;
        };
        let clip = |x: Length| x.max(Length::ZERO).min(length);
        let fits = |edge: (Length, Length), at: Length, tolerance: Tolerance| {
            tolerance.admits(clip(edge.0) - at) && tolerance.admits(clip(edge.1) - at)
        };
        fits(first, from, from_tolerance) && fits(last, to, to_tolerance)
    }

    /// Whether all that can lie on the piece of this mark stays within what this feature may
    /// cover: such a mark may be part of it.
    pub(super) fn may_hold(&self, seen: &Seen) -> bool {
        let Target::Span { from, from_tolerance, to, to_tolerance } = self.target else {
            return false;
        };
        seen.reach.0 >= from - from_tolerance.minus
            && seen.reach.1 <= to + to_tolerance.plus
            && self.alike(seen)
    }

    /// Nominal middle, to say which mark is nearest.
    pub(super) fn middle(&self) -> Length {
        match self.target {
            Target::Point { centre, .. } => centre,
            Target::Span { from, to, .. } => (from + to).half(),
        }
    }
}
