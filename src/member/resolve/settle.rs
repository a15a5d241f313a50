//! From a draft to a shape: sizes, places, tolerances and faces settled, features merged.

use super::along::{Placed, Site};
use super::draft::{Draft, Pending};
use super::eval::Resolver;
use super::limits;
use super::said::Said;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::library::model::{FeatureType, Form, OutlineForm, Profile};
use crate::member::model::{Faces, Feature, Outline, Place, Position, Shape};
use crate::quantity::{Length, Span, Tolerance};

/// What a level of a draft, or one that called it, says first; the member itself before all.
fn said<'a, T>(draft: &Draft<'a>, of: impl Fn(&Said<'a>) -> Option<T>) -> Option<T> {
    draft.levels.iter().find_map(|level| of(&level.said))
}

impl<'a> Resolver<'_, 'a> {
    /// The shape a draft comes to. `outer` is what frame and job say. `None` once it is reported
    /// why there is none.
    pub(super) fn shape(
        &mut self,
        draft: &Draft<'a>,
        outer: &Said<'a>,
        span: Span,
    ) -> Option<Shape> {
        let spoiled = draft.spoiled || draft.levels.iter().any(|level| level.said.spoiled);
        let profile = said(draft, |s| s.profile).or(outer.profile).map(|(value, _)| value);
        if profile.is_none() && !spoiled && !outer.spoiled {
            self.say(
                Diagnostic::new(&codes::E0234, "this member has no profile")
                    .at(span, "made of what?")
                    .note("the profile decides the strip, the rolls and what the tools can reach")
                    .help(
                        "write `profile C90` on the member, its frame, or at the head of the file",
                    ),
            );
        }
        if draft.length.is_none() && !spoiled {
            self.say(
                Diagnostic::new(&codes::E0232, "this member has no length")
                    .at(span, "how long?")
                    .note("nothing can be cut without one")
                    .help("write `length 2386`, or call a recipe that says it"),
            );
        }
        let (length, _) = draft.length?;
        let profile_id = profile?;
        let of = self.names.library.profile(profile_id)?;
        let tolerance = said(draft, |s| s.length_tolerance)
            .or(outer.length_tolerance)
            .map(|(value, _)| value)
            .or(of.length_tolerance);
        if tolerance.is_none() {
            self.say(
                Diagnostic::new(&codes::E0233, "the length of this member has no tolerance")
                    .at(span, "how exact?")
                    .note("without one nobody can say whether a piece is right")
                    .help("write `length-tolerance 1` on the member or at the head of the file, or give the profile one"),
            );
        }
        let features = self.features(draft, outer, length, of)?;
        if spoiled {
            return None;
        }
        Some(Shape {
            profile: profile_id,
            length,
            length_tolerance: tolerance?,
            start: draft.start.map_or_else(Default::default, |(shape, _)| shape),
            end: draft.end.map_or_else(Default::default, |(shape, _)| shape),
            turnable: said(draft, |s| s.turnable)
                .or(outer.turnable)
                .is_some_and(|(turnable, _)| turnable),
            features,
        })
    }

    fn features(
        &mut self,
        draft: &Draft<'a>,
        outer: &Said<'a>,
        length: Length,
        profile: &Profile,
    ) -> Option<Vec<Feature>> {
        let centres = self.centres(draft, length);
        let mut features: Vec<Feature> = Vec::with_capacity(draft.pending.len() * 2);
        let mut settled = true;
        for pending in &draft.pending {
            let Some(kind) = self.names.library.feature(pending.kind) else { continue };
            let Some(places) = self.places(draft, pending.spots, length) else {
                settled = false;
                continue;
            };
            let centred: Vec<Placed> = match pending.group {
                None => places,
                Some(group) => centres
                    .get(group)
                    .map_or(&[][..], Vec::as_slice)
                    .iter()
                    .flat_map(|centre| places.iter().map(|place| centre.apply(*place)))
                    .collect(),
            };
            let tolerance = self.tolerance_of(draft, outer, pending, kind);
            for placed in centred {
                let made = tolerance.and_then(|tolerance| {
                    self.place_one(pending, kind, placed, tolerance, length, profile)
                });
                let Some((place, outline)) = made else {
                    settled = false;
                    continue;
                };
                for &across in draft.across.get(pending.across.from..pending.across.to)? {
                    features.push(Feature {
                        kind: pending.kind,
                        faces: pending.faces,
                        place,
                        across,
                        across_tolerance: pending.across_tolerance.unwrap_or(kind.across_tolerance),
                        outline,
                        span: pending.span,
                    });
                }
                if features.len() > limits::FEATURES_OF_A_MEMBER {
                    self.too_many(pending.span);
                    return None;
                }
            }
        }
        let merged = self.merge(features, length)?;
        settled.then_some(merged)
    }

    /// Feature, then the recipes it stands in, the member, its frame, the job, the type.
    fn tolerance_of(
        &mut self,
        draft: &Draft<'a>,
        outer: &Said<'a>,
        pending: &Pending,
        kind: &FeatureType,
    ) -> Option<(Tolerance, Tolerance)> {
        if pending.tolerance.is_some() {
            return pending.tolerance;
        }
        let mut level = Some(pending.level);
        while let Some(here) = level.and_then(|l| draft.levels.get(l)) {
            if let Some((tolerance, _)) = here.said.tolerance {
                return Some((tolerance, tolerance));
            }
            level = here.parent;
        }
        let tolerance = outer.tolerance.map(|(value, _)| value).or(kind.tolerance);
        if tolerance.is_none() {
            self.say(
                Diagnostic::new(&codes::E0230, format!("this {} has no tolerance", kind.name))
                    .at(pending.span, "how exact?")
                    .note("a joint hole and a service hole differ tenfold; nobody can guess which is meant")
                    .help("write `tolerance 0.5` on it, its recipe, frame or job, or give its type one in the library"),
            );
        }
        tolerance.map(|tolerance| (tolerance, tolerance))
    }

    /// One place with its outline.
    fn place_one(
        &mut self,
        pending: &Pending,
        kind: &FeatureType,
        placed: Placed,
        tolerance: (Tolerance, Tolerance),
        length: Length,
        profile: &Profile,
    ) -> Option<(Place, Outline)> {
        // Seen from the other end, below and above nominal change places.
        let turned = |t: Tolerance| Tolerance { minus: t.plus, plus: t.minus };
        let (first, last) =
            if placed.mirrored { (turned(tolerance.1), turned(tolerance.0)) } else { tolerance };
        match (kind.form, placed.site) {
            (Form::Point, Site::Point(at)) => {
                let outline = self.outline(pending, kind, None, profile)?;
                Some((Place::Point { at, tolerance: first }, outline))
            }
            (Form::Range, Site::Range(from, to)) => {
                let (a, b) = (from.on(length), to.on(length));
                if a >= b {
                    self.backwards(placed.span, a.distance(), b.distance());
                    return None;
                }
                let outline = self.outline(pending, kind, Some(b - a), profile)?;
                Some((range(from, to, first, last), outline))
            }
            (Form::Range, Site::Point(centre)) => {
                let outline = self.outline(pending, kind, None, profile)?;
                let begin = centre.offset - outline.length().half();
                let from = Position { offset: begin, ..centre };
                let to = Position { offset: begin + outline.length(), ..centre };
                Some((range(from, to, first, last), outline))
            }
            (Form::End, Site::End(end)) => {
                let outline = self.outline(pending, kind, None, profile)?;
                Some((Place::End { end, tolerance: first }, outline))
            }
            (form, _) => {
                let (wants, help) = match form {
                    Form::Point => ("a position", "write `at 450`, or `both ends at 22`"),
                    Form::Range => ("a range or a centre", "write `at 476 .. 524`"),
                    Form::End => ("an end", "write `start`, `end` or `both ends`"),
                };
                self.say(
                    Diagnostic::new(&codes::E0253, format!("a {} is placed by {wants}", kind.name))
                        .at(placed.span, "not placed like this")
                        .note("the shop's library says how each type is placed")
                        .help(help),
                );
                None
            }
        }
    }

    /// The outline of a feature: from its type, its size and, for a range, its extent.
    fn outline(
        &mut self,
        pending: &Pending,
        kind: &FeatureType,
        extent: Option<Length>,
        profile: &Profile,
    ) -> Option<Outline> {
        let (given, given_width) = match pending.size {
            Some((length, width)) => (Some(length), width),
            None => (None, None),
        };
        match kind.outline {
            OutlineForm::Circle { diameter } => {
                if given_width.is_some() {
                    self.size_fault(pending, kind, "is round: one size says it all");
                    return None;
                }
                let diameter = self.size(pending, kind, diameter, given, "diameter")?;
                Some(Outline::Circle { diameter })
            }
            OutlineForm::Slot { length, width } => {
                let length = self.size(pending, kind, length, extent.or(given), "length")?;
                let width = self.size(pending, kind, width, given_width, "width")?;
                Some(Outline::Slot { length, width })
            }
            OutlineForm::Rectangle { length, width } => {
                if let (Some(extent), Some(given)) = (extent, given)
                    && extent != given
                {
                    let text = format!("is {extent} mm long from end to end here, not {given} mm");
                    self.size_fault(pending, kind, &text);
                    return None;
                }
                let length = self.size(pending, kind, length, extent.or(given), "length")?;
                let width = match (width, given_width) {
                    (None, None) => whole_face(profile, pending.faces),
                    (None, Some(width)) => width,
                    (fixed, given) => self.size(pending, kind, fixed, given, "width")?,
                };
                Some(Outline::Rectangle { length, width })
            }
        }
    }

    /// The size a type fixes, or the one a feature gives where the type leaves it open.
    fn size(
        &mut self,
        pending: &Pending,
        kind: &FeatureType,
        fixed: Option<Length>,
        given: Option<Length>,
        what: &str,
    ) -> Option<Length> {
        match (fixed, given) {
            (Some(fixed), Some(given)) if fixed != given => {
                let text = format!("has a {what} of {fixed} mm in the library, not {given} mm");
                self.size_fault(pending, kind, &text);
                None
            }
            (Some(size), _) | (None, Some(size)) => Some(size),
            (None, None) => {
                self.say(
                    Diagnostic::new(&codes::E0252, format!("this {} needs a {what}", kind.name))
                        .at(pending.span, format!("no {what}"))
                        .note("the library leaves this size to each member")
                        .help(format!(
                            "write it after the type, such as `{} 12` or `{0} 60 x 30`",
                            kind.name
                        )),
                );
                None
            }
        }
    }

    fn size_fault(&mut self, pending: &Pending, kind: &FeatureType, text: &str) {
        self.say(
            Diagnostic::new(&codes::E0251, format!("`{}` {text}", kind.name))
                .at(pending.size_span, "does not agree")
                .note("two sizes for one mark: one of them is not what the tool makes")
                .help("take the size out, or use a type of the size that is meant"),
        );
    }

    /// Features that differ in their face only become one; the same mark twice is refused. In the
    /// order of nominal position, type, face.
    fn merge(&mut self, mut features: Vec<Feature>, length: Length) -> Option<Vec<Feature>> {
        let key = |f: &Feature| {
            let (first, _) = f.place.extent(f.outline, length);
            (
                first,
                f.kind,
                f.across,
                f.place,
                f.outline,
                f.across_tolerance.plus,
                f.across_tolerance.minus,
            )
        };
        features.sort_by_key(|f| (key(f), f.faces.bits(), f.span));
        let mut merged: Vec<Feature> = Vec::with_capacity(features.len());
        let mut sound = true;
        for feature in features {
            let before = merged.last_mut().filter(|b| key(b) == key(&feature));
            match before {
                None => merged.push(feature),
                Some(before) if !before.faces.intersects(feature.faces) => {
                    before.faces |= feature.faces;
                }
                Some(before) => {
                    let twice = before.faces & feature.faces;
                    let name =
                        self.names.library.feature(feature.kind).map_or("feature", |k| &k.name);
                    let mut diagnostic = Diagnostic::new(
                        &codes::E0255,
                        format!("the same {name} is written twice on the {twice}"),
                    )
                    .at(feature.span, "again here");
                    if before.span != feature.span {
                        diagnostic = diagnostic.at(before.span, "first here");
                    }
                    self
                        .say(diagnostic.note("the tool would fire twice into the same place").help(
                        "take one of them out; patterns that meet count their common point twice",
                    ));
                    sound = false;
                }
            }
        }
        merged.sort_by_key(|f| {
            let (first, last) = f.place.extent(f.outline, length);
            (first + (last - first).half(), f.kind, f.faces.bits(), f.across)
        });
        sound.then_some(merged)
    }
}

fn range(from: Position, to: Position, first: Tolerance, last: Tolerance) -> Place {
    Place::Range { from, from_tolerance: first, to, to_tolerance: last }
}

/// The widest of the faces, out to out: a type without a width of its own goes over all of it.
fn whole_face(profile: &Profile, faces: Faces) -> Length {
    faces
        .each()
        .map(|face| match face {
            Faces::LEFT_FLANGE => profile.left_flange,
            Faces::RIGHT_FLANGE => profile.right_flange,
            Faces::LEFT_LIP => profile.left_lip,
            Faces::RIGHT_LIP => profile.right_lip,
            _ => profile.web,
        })
        .max()
        .unwrap_or(Length::ZERO)
}
