//! Settings: what is said about members, at each of the levels where it can be said.

use super::eval::Resolver;
use super::limits;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::language::tree::{Setting, SettingKind};
use crate::member::model::ProfileId;
use crate::quantity::{Span, Tolerance};

/// What one level says, each with its place. `None` where it says nothing.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Said<'a> {
    /// Of features along the member.
    pub(super) tolerance: Option<(Tolerance, Span)>,
    /// Of a member's length.
    pub(super) length_tolerance: Option<(Tolerance, Span)>,
    /// The profile.
    pub(super) profile: Option<(ProfileId, Span)>,
    /// How many.
    pub(super) quantity: Option<(u32, Span)>,
    /// Whether it may be turned end for end.
    pub(super) turnable: Option<(bool, Span)>,
    /// Template of the mark's text.
    pub(super) mark_text: Option<(&'a str, Span)>,
    /// A profile is said that does not exist, or another value that could not be found.
    pub(super) spoiled: bool,
}

/// What can be said for many members at once.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Topic {
    Tolerance,
    LengthTolerance,
    Profile,
    Turnable,
    MarkText,
}

impl Topic {
    const ALL: [Topic; 5] = [
        Topic::Tolerance,
        Topic::LengthTolerance,
        Topic::Profile,
        Topic::Turnable,
        Topic::MarkText,
    ];
    pub(super) fn word(self) -> &'static str {
        match self {
            Topic::Tolerance => "tolerance",
            Topic::LengthTolerance => "length tolerance",
            Topic::Profile => "profile",
            Topic::Turnable => "turning",
            Topic::MarkText => "mark text",
        }
    }
}

/// What stands for the frames of a file.
#[derive(Clone, Debug, Default)]
pub(super) struct Defaults<'a> {
    pub(super) said: Said<'a>,
    /// On what two of the included files disagree, with both places: told when a frame needs it.
    pub(super) torn: Vec<(Topic, Span, Span)>,
}

impl<'a> Defaults<'a> {
    /// Adds what an included file says.
    pub(super) fn include(&mut self, included: &Defaults<'a>) {
        let other = &included.said;
        for &torn in &included.torn {
            if self.torn.iter().all(|(topic, ..)| *topic != torn.0) {
                self.torn.push(torn);
            }
        }
        for topic in Topic::ALL {
            if let (Some(first), Some(again)) = (self.said.place(topic), other.place(topic))
                && !self.said.agrees(other, topic)
                && self.torn.iter().all(|(t, ..)| *t != topic)
            {
                self.torn.push((topic, first, again));
            }
        }
        self.said = self.said.or(*other);
    }
    /// With what the file says itself before it.
    pub(super) fn under(mut self, own: &Said<'a>) -> Defaults<'a> {
        self.torn.retain(|(topic, ..)| own.place(*topic).is_none());
        Defaults { said: own.or(self.said), torn: self.torn }
    }
}

/// The part of it that shapes a member: members of one recipe, with equal arguments, under equal
/// standing rules are made alike.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub(super) struct Standing {
    tolerance: Option<Tolerance>,
    length_tolerance: Option<Tolerance>,
    profile: Option<ProfileId>,
    turnable: Option<bool>,
}

impl<'a> Said<'a> {
    /// What this level says, and the outer one where this one is silent. A quantity is not handed
    /// down.
    pub(super) fn or(self, outer: Said<'a>) -> Said<'a> {
        Said {
            tolerance: self.tolerance.or(outer.tolerance),
            length_tolerance: self.length_tolerance.or(outer.length_tolerance),
            profile: self.profile.or(outer.profile),
            quantity: self.quantity,
            turnable: self.turnable.or(outer.turnable),
            mark_text: self.mark_text.or(outer.mark_text),
            spoiled: self.spoiled || outer.spoiled,
        }
    }
    /// Where something is said of this, if it is.
    pub(super) fn place(&self, topic: Topic) -> Option<Span> {
        match topic {
            Topic::Tolerance => self.tolerance.map(|(_, span)| span),
            Topic::LengthTolerance => self.length_tolerance.map(|(_, span)| span),
            Topic::Profile => self.profile.map(|(_, span)| span),
            Topic::Turnable => self.turnable.map(|(_, span)| span),
            Topic::MarkText => self.mark_text.map(|(_, span)| span),
        }
    }
    fn agrees(&self, other: &Said<'_>, topic: Topic) -> bool {
        let text = |said: &Said<'_>| said.mark_text.map(|(text, _)| text.to_string());
        match topic {
            Topic::MarkText => text(self) == text(other),
            Topic::Tolerance => self.standing().tolerance == other.standing().tolerance,
            Topic::LengthTolerance => {
                self.standing().length_tolerance == other.standing().length_tolerance
            }
            Topic::Profile => self.standing().profile == other.standing().profile,
            Topic::Turnable => self.standing().turnable == other.standing().turnable,
        }
    }
    pub(super) fn standing(&self) -> Standing {
        Standing {
            tolerance: self.tolerance.map(|(value, _)| value),
            length_tolerance: self.length_tolerance.map(|(value, _)| value),
            profile: self.profile.map(|(value, _)| value),
            turnable: self.turnable.map(|(value, _)| value),
        }
    }
}

impl<'a> Resolver<'_, 'a> {
    /// Adds a setting to what its level says. `None` if it could not be settled; the reason is
    /// reported. Lengths are not kept here.
    pub(super) fn set(
        &mut self,
        said: &mut Said<'a>,
        file: usize,
        setting: &Setting,
    ) -> Option<()> {
        let span = self.span(file, setting.at);
        let done = match setting.kind {
            SettingKind::Length(_) => Some(()),
            SettingKind::Tolerance(node) => self
                .tolerance(file, &node)
                .and_then(|value| self.put(&mut said.tolerance, value, span, "tolerance")),
            SettingKind::LengthTolerance(node) => self
                .tolerance(file, &node)
                .and_then(|v| self.put(&mut said.length_tolerance, v, span, "length tolerance")),
            SettingKind::Profile(at) => self
                .names
                .profile(file, self.names.words(file, at))
                .and_then(|value| self.put(&mut said.profile, value, span, "profile")),
            SettingKind::Quantity(id) => self
                .count(file, id, limits::PIECES)
                .and_then(|value| self.put(&mut said.quantity, value, span, "quantity")),
            SettingKind::Turnable(value) => self.put(&mut said.turnable, value, span, "turning"),
            SettingKind::MarkText(at) => {
                let text = self.names.words(file, at);
                self.put(&mut said.mark_text, text, span, "mark text")
            }
        };
        said.spoiled |= done.is_none();
        done
    }

    /// Says something, unless it is said already; `None` if otherwise.
    pub(super) fn put<T: PartialEq>(
        &mut self,
        slot: &mut Option<(T, Span)>,
        value: T,
        span: Span,
        what: &str,
    ) -> Option<()> {
        match slot {
            None => *slot = Some((value, span)),
            Some((before, _)) if *before == value => {}
            Some((_, first)) => {
                let first = *first;
                self.said_twice(what, span, first);
                return None;
            }
        }
        Some(())
    }
    pub(super) fn said_twice(&mut self, what: &str, again: Span, first: Span) {
        let mut diagnostic = Diagnostic::new(&codes::E0231, format!("the {what} is said twice"))
            .at(again, "again, and otherwise, here");
        if first != again {
            diagnostic = diagnostic.at(first, "first here");
        }
        self.say(
            diagnostic
                .note("nobody can tell which of the two is meant")
                .help("keep one of them; inside a recipe, choose with `if`"),
        );
    }
}
