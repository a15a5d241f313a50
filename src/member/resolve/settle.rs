//! From a draft to a shape: tolerances by their chain, features placed, merged and sorted.

use super::along::{Centre, Placed, Site};
use super::draft::{Draft, Pending};
use super::eval::Resolver;
use super::limits;
use super::said::Said;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::library::model::{FeatureType, Form, OutlineForm, Profile};
use crate::member::model::{Datum, End, Faces, Feature, Outline, Place, Position, Shape};
use crate::quantity::{Finished, Length, Span, Tolerance};

/// A feature with where it lies on this member, for sorting.
struct Laid {
    /// Nominal first and last: of the centre for points.
    first: Finished,
    last: Finished,
    feature: Feature,
    /// Which statement it is of.
    pending: usize,
    explicit: bool,
}

/// What is made alike, but for tolerance and faces.
fn same_thing(a: &Laid, b: &Laid) -> bool {
    a.first == b.first
        && a.last == b.last
        && a.feature.kind == b.feature.kind
        && a.feature.across == b.feature.across
        && a.feature.outline == b.feature.outline
}

/// Makes one feature of those that differ only in their face, and empties `alike`.
fn join_faces(alike: &mut Vec<Laid>, features: &mut Vec<(Finished, Feature)>) {
    let first_new = features.len();
    for next in alike.drain(..) {
        let mut new = features.iter_mut().skip(first_new).map(|(_, feature)| feature);
        let same = new.find(|other| {
            other.place == next.feature.place
                && other.across_tolerance == next.feature.across_tolerance
        });
        match same {
            Some(other) => other.faces |= next.feature.faces,
            None => features.push((next.first, next.feature)),
        }
    }
}

/// Sizes of a statement's outline.
#[derive(Clone, Copy)]
enum Sizes {
    Circle(Length),
    Slot(Length, Length),
    /// Length `None` where the range says it, width `None` for the whole face.
    Rectangle(Option<Length>, Option<Length>),
}

impl<'a> Resolver<'_, 'a> {
    /// What the member itself says, else its recipes, the outermost first, else `outer`.
    pub(super) fn chain<T: PartialEq + Copy>(
        &mut self,
        draft: &Draft<'a>,
        what: &str,
        said: impl Fn(&Said<'a>) -> Option<(T, Span)>,
        outer: Option<(T, Span)>,
    ) -> Option<T> {
        let mut best: Option<(u32, T, Span)> = None;
        for level in &draft.levels {
            let Some((value, span)) = said(&level.said) else { continue };
            match best {
                Some((depth, before, first)) if depth == level.depth && before != value => {
                    self.said_twice(what, span, first);
                    return None;
                }
                Some((depth, ..)) if depth <= level.depth => {}
                _ => best = Some((level.depth, value, span)),
            }
        }
        best.map(|(_, value, _)| value).or(outer.map(|(value, _)| value))
    }

    /// The shape a draft comes to; `None` once it is reported why it comes to none.
    pub(super) fn settle_shape(
        &mut self,
        draft: &Draft<'a>,
        outer: &Said<'a>,
        at: Span,
    ) -> Option<Shape> {
        let profile = self.chain(draft, "profile", |said| said.profile, outer.profile);
        // What spoils a draft or the frame around it may be what is missing here.
        let whole = !draft.spoiled && !outer.spoiled;
        if profile.is_none() && whole {
            self.say(
                Diagnostic::new(&codes::E0232, format!("{} has no profile", self.subject_words()))
                    .at(at, "of what?")
                    .help("say it at the frame or the member: `profile C90`"),
            );
        }
        if draft.length.is_none() && whole {
            self.say(
                Diagnostic::new(&codes::E0230, format!("{} has no length", self.subject_words()))
                    .at(at, "how long?")
                    .help("say it at the member, `length 2386`, or in its recipe"),
            );
        }
        let (profile_id, (length, _)) = (profile?, draft.length?);
        let profile = self.names.library.profile(profile_id)?;
        let default = profile.length_tolerance.map(|t| (t, profile.span));
        let length_tolerance = self.chain(
            draft,
            "length tolerance",
            |said| said.length_tolerance,
            outer.length_tolerance.or(default),
        );
        if length_tolerance.is_none() && whole {
            self.say(
                Diagnostic::new(
                    &codes::E0234,
                    format!("nothing says how far the length of {} may be off", self.subject_words()),
                )
                .at(at, "no length tolerance")
                .note("each cut lies on the line's grid: without a tolerance nobody can say whether it is near enough")
                .help("write `length-tolerance 1` for the job, the frame or the member, or give the profile one"),
            );
        }
        let turnable = self.chain(draft, "turning", |said| said.turnable, outer.turnable);
        let laid = self.lay(draft, outer, profile, length);
        let features = self.merge(laid)?;
        if self.spent {
            return None;
        }
        Some(Shape {
            profile: profile_id,
            length,
            length_tolerance: length_tolerance?,
            start: draft.start.map(|(shape, _)| shape).unwrap_or_default(),
            end: draft.end.map(|(shape, _)| shape).unwrap_or_default(),
            turnable: turnable.unwrap_or(false),
            features,
        })
    }

    /// Every feature of the draft on a member of this length; `None` if any could not be laid.
    fn lay(
        &mut self,
        draft: &Draft<'a>,
        outer: &Said<'a>,
        profile: &Profile,
        length: Length,
    ) -> Option<Vec<Laid>> {
        let centres = self.centres(draft, length);
        let mut laid: Vec<Laid> = Vec::with_capacity(draft.pending.len() * 2);
        let mut whole = true;
        for (index, pending) in draft.pending.iter().enumerate() {
            let group = pending.group.map(|g| centres.get(g).map_or(&[][..], Vec::as_slice));
            let done =
                self.lay_one(draft, outer, profile, length, (index, pending), group, &mut laid);
            whole &= done.is_some();
            if self.spent {
                return None;
            }
        }
        whole.then_some(laid)
    }

    #[allow(clippy::too_many_arguments)] // all of one feature statement
    fn lay_one(
        &mut self,
        draft: &Draft<'a>,
        outer: &Said<'a>,
        profile: &Profile,
        length: Length,
        (index, pending): (usize, &Pending),
        group: Option<&[Centre]>,
        laid: &mut Vec<Laid>,
    ) -> Option<()> {
        let kind = self.names.library.feature(pending.kind)?;
        let sizes = self.sizes(kind, pending)?;
        let tolerances = self.tolerances(draft, outer, kind, pending)?;
        let width = self.width(kind, pending, profile, sizes)?;
        let mut places = self.places(draft, pending.spots, length)?;
        if let Some(centres) = group {
            let count = places.len().saturating_mul(centres.len());
            if count > limits::FEATURES_OF_A_MEMBER {
                self.too_many(pending.span);
                return None;
            }
            let about = |&centre: &Centre| places.iter().map(move |&p| centre.apply(p));
            places = centres.iter().flat_map(about).collect();
        }
        let across = draft.across.get(pending.across.from..pending.across.to)?;
        let count = places.len().saturating_mul(across.len());
        if laid.len().saturating_add(count) > limits::FEATURES_OF_A_MEMBER {
            self.too_many(pending.span);
            return None;
        }
        self.tick(count as u64, pending.span)?;
        for placed in places {
            let (place, extent) = self.place_on(kind, sizes, tolerances, placed, length)?;
            let (first, last) = match place {
                Place::Point { at, .. } => (at.on(length), at.on(length)),
                Place::Range { from, to, .. } => (from.on(length), to.on(length)),
                Place::End { end: End::Start, .. } => (Finished::ZERO, Finished::at(extent)),
                Place::End { end: End::End, .. } => {
                    (Finished::at(length - extent), Finished::at(length))
                }
            };
            let outline = match sizes {
                Sizes::Circle(diameter) => Outline::Circle { diameter },
                Sizes::Slot(length, width) => Outline::Slot { length, width },
                Sizes::Rectangle(..) => Outline::Rectangle { length: extent, width },
            };
            for &across in across {
                let feature = Feature {
                    kind: pending.kind,
                    faces: pending.faces,
                    place,
                    across,
                    across_tolerance: pending.across_tolerance.unwrap_or(kind.across_tolerance),
                    outline,
                    span: pending.span,
                };
                let explicit = placed.explicit;
                laid.push(Laid { first, last, feature, pending: index, explicit });
            }
        }
        Some(())
    }

    /// The sizes the type and the statement give together.
    fn sizes(&mut self, kind: &FeatureType, pending: &Pending) -> Option<Sizes> {
        let (length, width) = match pending.size {
            Some((length, width)) => (Some(length), width),
            None => (None, None),
        };
        match kind.outline {
            OutlineForm::Circle { diameter } => {
                if width.is_some() {
                    self.say(
                        Diagnostic::new(&codes::E0253, format!("a {} is round", kind.name))
                            .at(pending.size_span, "has one size")
                            .help("write its diameter alone, such as `hole 12`"),
                    );
                    return None;
                }
                Some(Sizes::Circle(self.size(kind, pending, "diameter", diameter, length)?))
            }
            OutlineForm::Slot { length: l, width: w } => {
                let length = self.size(kind, pending, "length", l, length);
                let width = self.size(kind, pending, "width", w, width)?;
                Some(Sizes::Slot(length?, width))
            }
            OutlineForm::Rectangle { length: l, width: w } => {
                let length = match kind.form {
                    // Each range says how long it is; a size must agree with it.
                    Form::Range if l.is_none() => length,
                    _ => Some(self.size(kind, pending, "length", l, length)?),
                };
                let width = match (w, width) {
                    (None, None) => None,
                    _ => Some(self.size(kind, pending, "width", w, width.or(w))?),
                };
                Some(Sizes::Rectangle(length, width))
            }
        }
    }

    /// One size: the type's or the statement's, which must agree.
    fn size(
        &mut self,
        kind: &FeatureType,
        pending: &Pending,
        word: &str,
        fixed: Option<Length>,
        given: Option<Length>,
    ) -> Option<Length> {
        match (fixed, given) {
            (Some(fixed), None) => Some(fixed),
            (Some(fixed), Some(given)) if fixed == given => Some(fixed),
            (None, Some(given)) => Some(given),
            (Some(fixed), Some(given)) => {
                self.say(
                    Diagnostic::new(
                        &codes::E0253,
                        format!("the {word} of a {} is {fixed}, not {given}", kind.name),
                    )
                    .at(pending.size_span, format!("{given} here"))
                    .at(kind.span, format!("{fixed} in the library"))
                    .note("the shop's library fixes this size: it is the size of the shop's tools")
                    .help("leave the size out, or use a type that leaves it open"),
                );
                None
            }
            (None, None) => {
                let example = match kind.outline {
                    OutlineForm::Circle { .. } => format!("{} 12", kind.name),
                    _ => format!("{} 60 x 30", kind.name),
                };
                self.say(
                    Diagnostic::new(
                        &codes::E0252,
                        format!("the {word} of this {} is not said", kind.name),
                    )
                    .at(pending.span, "how large?")
                    .note("the shop's library leaves this size to each member")
                    .help(format!("write it after the type, such as `{example}`")),
                );
                None
            }
        }
    }

    /// Tolerances along: the feature's, else of its recipe and the recipes around it, the
    /// member's, the frame's and the job's, else the type's.
    fn tolerances(
        &mut self,
        draft: &Draft<'a>,
        outer: &Said<'a>,
        kind: &FeatureType,
        pending: &Pending,
    ) -> Option<(Tolerance, Tolerance)> {
        let mut found = pending.tolerance;
        let mut level = Some(pending.level);
        while let (None, Some(index)) = (found, level) {
            let here = draft.levels.get(index)?;
            found = here.said.tolerance.map(|(t, _)| (t, t));
            level = here.parent;
        }
        let found =
            found.or(outer.tolerance.map(|(t, _)| (t, t))).or(kind.tolerance.map(|t| (t, t)));
        if found.is_none() && !outer.spoiled && !draft.spoiled {
            self.say(
                Diagnostic::new(
                    &codes::E0233,
                    format!("nothing says how far this {} may be off", kind.name),
                )
                .at(pending.span, "no tolerance")
                .note("a stroke is fired anywhere in its tolerance; without one there is no window to fire in")
                .help("write `tolerance 0.5` after it, or for its recipe, member, frame or job, or give its type one in the library"),
            );
        }
        found
    }

    /// The width this statement's outlines have. A type without a width of its own goes over the
    /// whole face: the widest of its faces, out to out.
    fn width(
        &mut self,
        kind: &FeatureType,
        pending: &Pending,
        profile: &Profile,
        sizes: Sizes,
    ) -> Option<Length> {
        if pending.faces.is_empty() {
            self.say(
                Diagnostic::new(&codes::E0250, format!("nothing says where this {} is", kind.name))
                    .at(pending.span, "on which face?")
                    .note("the shop's library gives this type no face of its own")
                    .help(format!("write `on` and a face: it can be on the {}", kind.allowed)),
            );
            return None;
        }
        Some(match sizes {
            Sizes::Circle(width) | Sizes::Slot(_, width) | Sizes::Rectangle(_, Some(width)) => {
                width
            }
            Sizes::Rectangle(_, None) => {
                let out_to_out = |face| match face {
                    Faces::LEFT_FLANGE => profile.left_flange,
                    Faces::RIGHT_FLANGE => profile.right_flange,
                    Faces::LEFT_LIP => profile.left_lip,
                    Faces::RIGHT_LIP => profile.right_lip,
                    _ => profile.web,
                };
                pending.faces.each().map(out_to_out).max().unwrap_or_default()
            }
        })
    }

    /// A place of this type on the member, and its extent along.
    fn place_on(
        &mut self,
        kind: &FeatureType,
        sizes: Sizes,
        (from_tolerance, to_tolerance): (Tolerance, Tolerance),
        placed: Placed,
        length: Length,
    ) -> Option<(Place, Length)> {
        let (from_tolerance, to_tolerance) = if placed.mirrored {
            (to_tolerance.swapped(), from_tolerance.swapped())
        } else {
            (from_tolerance, to_tolerance)
        };
        let said = match sizes {
            Sizes::Circle(diameter) => Some(diameter),
            Sizes::Slot(length, _) => Some(length),
            Sizes::Rectangle(length, _) => length,
        };
        match (kind.form, placed.site) {
            (Form::Point, Site::Point(at)) => {
                Some((Place::Point { at, tolerance: from_tolerance }, said.unwrap_or_default()))
            }
            (Form::End, Site::End(end)) => {
                Some((Place::End { end, tolerance: from_tolerance }, said.unwrap_or_default()))
            }
            (Form::Range, Site::Range(from, to)) => {
                // Whether it runs forward is for the checks to say.
                let extent = to.on(length) - from.on(length);
                if let Some(said) = said.filter(|&said| said != extent) {
                    self.say(
                        Diagnostic::new(
                            &codes::E0253,
                            format!(
                                "this {} is {extent} long from end to end, not {said}",
                                kind.name
                            ),
                        )
                        .at(placed.span, format!("{extent} from here to there"))
                        .help("leave the size out, or give one position and the size"),
                    );
                    return None;
                }
                Some((Place::Range { from, from_tolerance, to, to_tolerance }, extent))
            }
            (Form::Range, Site::Point(at)) => {
                let Some(extent) = said else {
                    self.say(
                        Diagnostic::new(
                            &codes::E0252,
                            format!("how long this {} is, is not said", kind.name),
                        )
                        .at(placed.span, "from where to where?")
                        .help(format!(
                            "write `{name} at 426 .. 474`, or its length about a centre: `{name} 48 at 450`",
                            name = kind.name
                        )),
                    );
                    return None;
                };
                if extent.nm() % 2 != 0 {
                    self.say(
                        Diagnostic::new(
                            &codes::E0224,
                            format!("half of {extent} mm does not come out even"),
                        )
                        .at(placed.span, "no exact ends")
                        .help("round the size, or write both ends: `at 426 .. 474`"),
                    );
                    return None;
                }
                let half = extent.half();
                let beside = |by| Position { datum: at.datum, offset: at.offset + by };
                let (from, to) = (beside(-half), beside(half));
                Some((Place::Range { from, from_tolerance, to, to_tolerance }, extent))
            }
            (form, _) => {
                self.wrong_form(kind, form, placed.span);
                None
            }
        }
    }

    fn wrong_form(&mut self, kind: &FeatureType, form: Form, span: Span) {
        let name = &kind.name;
        let (message, help) = match form {
            Form::Point => (
                format!("a {name} is at a point"),
                format!("write its centre, such as `{name} at 450, end - 450`"),
            ),
            Form::Range => (
                format!("a {name} runs from one position to another"),
                format!("write both, such as `{name} at 426 .. 474`"),
            ),
            Form::End => (
                format!("a {name} shapes an end of a member"),
                format!("write `{name} start`, `{name} end` or `{name} both ends`"),
            ),
        };
        self.say(Diagnostic::new(&codes::E0254, message).at(span, "not so").help(help));
    }

    /// Sorts features, makes one of those that differ only in their face, and refuses the same
    /// thing twice.
    fn merge(&mut self, laid: Option<Vec<Laid>>) -> Option<Vec<Feature>> {
        let mut laid = laid?;
        laid.sort_by(|a, b| {
            let key =
                |l: &Laid| (l.first, l.feature.kind, l.last, l.feature.across, l.feature.outline);
            let rest = |l: &Laid| (l.pending, !l.explicit);
            key(a).cmp(&key(b)).then_with(|| rest(a).cmp(&rest(b)))
        });
        let mut features: Vec<(Finished, Feature)> = Vec::with_capacity(laid.len());
        let mut alike: Vec<Laid> = Vec::new();
        let mut whole = true;
        for next in laid {
            if alike.first().is_some_and(|first| !same_thing(first, &next)) {
                join_faces(&mut alike, &mut features);
            }
            whole &= self.add_alike(&mut alike, next).is_some();
        }
        join_faces(&mut alike, &mut features);
        features.sort_by(|(x, a), (y, b)| {
            let key = |f: &Feature| (f.kind, f.faces, f.across, f.outline, f.place);
            x.cmp(y).then_with(|| key(a).cmp(&key(b)))
        });
        whole.then(|| features.into_iter().map(|(_, feature)| feature).collect())
    }

    /// Adds a feature to those that are alike but for face, datum and tolerance, unless one of
    /// them is the same.
    fn add_alike(&mut self, alike: &mut Vec<Laid>, next: Laid) -> Option<()> {
        let other = alike.iter().find(|other| other.feature.faces.intersects(next.feature.faces));
        let Some(other) = other else {
            alike.push(next);
            return Some(());
        };
        // Within one list of places, a position that a pattern also comes to is meant once, as it
        // is written: `at 22, equal at most 600 from 22 to end - 22, end - 22`.
        if other.pending == next.pending && !next.explicit {
            return Some(());
        }
        self.same_twice(&other.feature, &next.feature, next.first);
        None
    }

    fn same_twice(&mut self, first: &Feature, again: &Feature, at: Finished) {
        let name = self.names.library.feature(again.kind).map_or("", |kind| &*kind.name);
        let datum = |place: Place| match place {
            Place::Point { at, .. } => at.datum,
            Place::Range { from, .. } => from.datum,
            Place::End { .. } => Datum::Start,
        };
        let faces = first.faces & again.faces;
        let mut diagnostic = Diagnostic::new(
            &codes::E0255,
            format!("the same {name} is on the {faces} at {at} twice"),
        )
        .at(again.span, "again here");
        if first.span != again.span {
            diagnostic = diagnostic.at(first.span, "first here");
        }
        let note = if datum(first.place) == datum(again.place) {
            "one tool would strike the same place twice, or two tolerances would hold for one hole"
        } else {
            "on this length two positions from different datums are the same: nobody can tell from \
             which end it is to be measured"
        };
        self.say(diagnostic.note(note).help("take one of them out"));
    }
}
