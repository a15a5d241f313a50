use super::face::Face;
use super::outline::Placed;
use crate::diagnostic::{Code, Severity};
use crate::library::model::{FeatureType, Library, Profile, Rule, RuleSet};
use crate::member::model::{
    Datum, EndShape, Faces, Feature, Outline, Place, Position, Shape, Usage,
};
use crate::quantity::{Length, Span};
use std::collections::BTreeMap;

/// One shape under examination.
pub(super) struct Subject<'a> {
    pub(super) shape: &'a Shape,
    pub(super) usage: Usage,
    pub(super) library: &'a Library,
    pub(super) profile: &'a Profile,
    /// Its features with their types, by where they begin; see [`Subject::sound`].
    pub(super) items: Vec<Item<'a>>,
    found: Vec<Found>,
    index: BTreeMap<Key, usize>,
    /// How many findings of one code and rule there are, and the last of them.
    alike: BTreeMap<Kind, (usize, usize)>,
}

/// Code and rule of a finding.
type Kind = (&'static str, Option<(String, String)>);

/// Most findings of one code and rule that are told of one shape; the others are counted. A
/// thousand holes on top of each other are one mistake.
const MOST_ALIKE: usize = 100;

/// A feature with what is known about it.
#[derive(Clone, Copy)]
pub(super) struct Item<'a> {
    pub(super) feature: &'a Feature,
    pub(super) kind: &'a FeatureType,
    /// First and last half-nanometre along the member.
    pub(super) x: (i64, i64),
    /// Whether the basic checks accepted it.
    pub(super) sound: bool,
}

/// Something found on a shape, at one or several places that are alike.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) code: &'static Code,
    pub(super) severity: Severity,
    /// The rule it breaks, as `(set, id)`.
    pub(super) rule: Option<(String, String)>,
    /// What is wrong: the type's name.
    pub(super) what: String,
    /// On which faces.
    pub(super) faces: Faces,
    /// Where along the member, as the drawing gives it.
    pub(super) at: Vec<String>,
    /// What is wrong with it, with the numbers.
    pub(super) says: String,
    pub(super) span: Span,
    pub(super) label: String,
    /// Another place that belongs to it.
    pub(super) also: Option<(Span, String)>,
    pub(super) notes: Vec<String>,
    pub(super) help: String,
    /// How many more of the kind the shape has, which are not told.
    pub(super) left_out: usize,
}

/// What makes two findings the same.
pub(super) type Key = (
    &'static str,
    Option<(String, String)>,
    String,
    Faces,
    Vec<String>,
    String,
    Span,
    Option<Span>,
);

impl Found {
    pub(super) fn key(&self) -> Key {
        (
            self.code.number,
            self.rule.clone(),
            self.what.clone(),
            self.faces,
            self.at.clone(),
            self.says.clone(),
            self.span,
            self.also.as_ref().map(|(span, _)| *span),
        )
    }
}

impl<'a> Subject<'a> {
    /// `None` where the library does not know the profile: resolve has said so.
    pub(super) fn new(shape: &'a Shape, usage: Usage, library: &'a Library) -> Option<Self> {
        let profile = library.profile(shape.profile)?;
        let mut items: Vec<Item<'a>> = shape
            .features
            .iter()
            .filter_map(|feature| {
                let kind = library.feature(feature.kind)?;
                let x = extent(feature, shape.length);
                Some(Item { feature, kind, x, sound: true })
            })
            .collect();
        items.sort_by_key(|item| item.x);
        Some(Subject {
            shape,
            usage,
            library,
            profile,
            items,
            found: Vec::new(),
            index: BTreeMap::new(),
            alike: BTreeMap::new(),
        })
    }

    /// The features no basic check has refused, by where they begin.
    pub(super) fn sound(&self) -> Vec<Item<'a>> {
        self.items.iter().filter(|item| item.sound).copied().collect()
    }

    /// The outline of a feature on one face, kept to that face where the type covers all of it.
    pub(super) fn placed(&self, item: &Item<'_>, face: Faces) -> Option<Placed> {
        Some(Placed::new(item, &Face::of(self.profile, face)?))
    }

    /// First and last half-nanometre of steel along the member between two places across a
    /// face: sloped ends leave less than the whole length.
    pub(super) fn steel(&self, face: Faces, y: (i64, i64)) -> (i64, i64) {
        let lip = match face {
            Faces::LEFT_LIP => self.profile.left_lip,
            Faces::RIGHT_LIP => self.profile.right_lip,
            _ => Length::ZERO,
        };
        let lost = |shape| slope_loss(shape, face, y, (self.profile.web, lip));
        (lost(self.shape.start), 2 * self.shape.length.nm() - lost(self.shape.end))
    }

    /// Notes a finding about a feature; the same one at other places is one finding.
    pub(super) fn report(&mut self, item: &Item<'_>, faces: Faces, found: Draft<'_>) {
        let at = place_words(item.feature.place);
        let rule = found.rule.map(|(set, rule)| (set.name.to_string(), rule.id.to_string()));
        let severity = found.rule.map_or(found.code.severity, |(_, rule)| rule.severity);
        let mut new = Found {
            code: found.code,
            severity,
            rule,
            what: item.kind.name.to_string(),
            faces: Faces::empty(),
            at: Vec::new(),
            says: found.says,
            span: item.feature.span,
            label: found.label,
            also: found.also,
            notes: found.notes,
            help: found.help,
            left_out: 0,
        };
        // Keyed without its places and faces: they are what is gathered.
        let key = new.key();
        match self.index.get(&key).and_then(|&index| self.found.get_mut(index)) {
            Some(same) => {
                same.faces |= faces;
                // Features come in order, so the same one again (both flanges) is the last noted.
                if same.at.last() != Some(&at) {
                    same.at.push(at);
                }
            }
            None => {
                let alike = self.alike.entry((new.code.number, new.rule.clone())).or_default();
                if alike.0 == MOST_ALIKE {
                    if let Some(last) = self.found.get_mut(alike.1) {
                        last.left_out += 1;
                    }
                    return;
                }
                *alike = (alike.0 + 1, self.found.len());
                self.index.insert(key, self.found.len());
                new.faces = faces;
                new.at.push(at);
                self.found.push(new);
            }
        }
    }

    pub(super) fn into_found(self) -> Vec<Found> {
        self.found
    }
}

/// What a check says; [`Subject::report`] adds which feature and where.
pub(super) struct Draft<'r> {
    pub(super) code: &'static Code,
    pub(super) rule: Option<(&'r RuleSet, &'r Rule)>,
    pub(super) says: String,
    pub(super) label: String,
    pub(super) also: Option<(Span, String)>,
    pub(super) notes: Vec<String>,
    pub(super) help: String,
}

impl Draft<'_> {
    pub(super) fn new(
        code: &'static Code,
        says: impl Into<String>,
        label: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Draft {
            code,
            rule: None,
            says: says.into(),
            label: label.into(),
            also: None,
            notes: Vec::new(),
            help: help.into(),
        }
    }
    /// Points at another place too, unless it is the same one.
    pub(super) fn also(mut self, here: Span, span: Span, text: impl Into<String>) -> Self {
        if here != span {
            self.also = Some((span, text.into()));
        }
        self
    }
    pub(super) fn note(mut self, text: impl Into<String>) -> Self {
        self.notes.push(text.into());
        self
    }
}

/// Where a feature lies, in the drawing's words.
pub(super) fn place_words(place: Place) -> String {
    match place {
        Place::Point { at, .. } => with_unit(at),
        Place::Range { from, to, .. } => format!("{from} .. {}", with_unit(to)),
        Place::End { end, .. } => format!("the {end}"),
    }
}

/// A position; an end or the middle itself has no figure.
fn with_unit(at: Position) -> String {
    let is_figure = at.datum == Datum::Start || at.offset != Length::ZERO;
    format!("{at}{}", if is_figure { " mm" } else { "" })
}

/// First and last place of a feature along a member, in half-nanometres: exact for odd lengths.
fn extent(feature: &Feature, length: Length) -> (i64, i64) {
    let whole = 2 * length.nm();
    let size = feature.outline.length().nm();
    match feature.place {
        Place::Point { at, .. } => (halves(at, length) - size, halves(at, length) + size),
        Place::Range { from, to, .. } => (halves(from, length), halves(to, length)),
        Place::End { end: crate::member::model::End::Start, .. } => (0, 2 * size),
        Place::End { end: crate::member::model::End::End, .. } => (whole - 2 * size, whole),
    }
}

/// A position in half-nanometres from the start.
fn halves(position: Position, length: Length) -> i64 {
    let datum = match position.datum {
        Datum::Start => 0,
        Datum::Middle => length.nm(),
        Datum::End => 2 * length.nm(),
    };
    datum + 2 * position.offset.nm()
}

/// What a sloped end takes off the length at the worst place between `y.0` and `y.1`, in
/// half-nanometres, rounded up. `DEVELOPERS.md` fixes the slope: the long point is at the left
/// flange where the rise is positive.
fn slope_loss(shape: EndShape, face: Faces, y: (i64, i64), (web, lip): (Length, Length)) -> i64 {
    let EndShape::Slope { rise, run } = shape else { return 0 };
    if run <= 0 {
        return 0;
    }
    // Distance from the long point, across the web. The web's y grows toward the left flange.
    let left_is_long = rise >= 0;
    let across = if face == Faces::WEB {
        if left_is_long { web.nm() - y.0 } else { web.nm() + y.1 }
    } else {
        let on_left = Faces::LEFT_FLANGE.union(Faces::LEFT_LIP).contains(face);
        // A lip turns in from its flange, parallel to the web.
        if on_left == left_is_long { 2 * lip.nm() } else { 2 * web.nm() }
    };
    let product = i128::from(across.max(0)) * i128::from(rise.unsigned_abs());
    let run = i128::from(run);
    i64::try_from((product + run - 1) / run).unwrap_or(i64::MAX / 4)
}

/// Half-nanometres as a length for people: to the micrometre below.
pub(super) fn shown(halves: i64) -> Length {
    Length::from_um(halves.div_euclid(2_000))
}

/// Whether a feature is a hole or dimple: round or a slot, at a point. Rectangles and ranges are
/// notches, cuts and swages, which are meant to reach edges and bends.
pub(super) fn is_hole(item: &Item<'_>) -> bool {
    matches!(item.feature.place, Place::Point { .. })
        && matches!(item.feature.outline, Outline::Circle { .. } | Outline::Slot { .. })
}
