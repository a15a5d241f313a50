//! What the rule sets in force limit. The limits are data; here is how each measure is taken.
//!
//! Exactly on a limit is within it. The program compares and names the clause; what lies outside
//! is the engineer's to allow, by a waiver with a reference.

mod end;
mod face_edge;
mod presence;
mod size;
mod spacing;

use super::subject::{Draft, Item, Subject};
use crate::diagnostic::Code;
use crate::library::model::{Limit, Measure, Rule, RuleSet};
use crate::member::model::{Faces, Outline};
use crate::quantity::Rational;

/// Every rule in force, on this subject.
pub(super) fn look(subject: &mut Subject<'_>) {
    let items = subject.sound();
    if items.is_empty() {
        return;
    }
    let library = subject.library;
    for set in &library.rule_sets {
        for rule in &set.rules {
            if !applies_to_member(rule, subject) {
                continue;
            }
            let ruled: Vec<Ruled<'_>> = items.iter().filter_map(|item| ruled(rule, item)).collect();
            if ruled.is_empty() {
                continue;
            }
            let law = Law { set, rule };
            match rule.measure {
                Measure::Width | Measure::WidthToWeb | Measure::Length => {
                    size::look(subject, &law, &ruled);
                }
                Measure::CentreToCentre | Measure::Clear => spacing::look(subject, &law, &ruled),
                Measure::EdgeToEnd | Measure::CentreToEnd => end::look(subject, &law, &ruled),
                Measure::EdgeToFaceEdge => face_edge::look(subject, &law, &ruled),
                Measure::Presence => presence::look(subject, &law, &ruled),
            }
        }
    }
}

/// A feature a rule looks at, and the faces it looks at it on.
struct Ruled<'a> {
    item: Item<'a>,
    faces: Faces,
}

/// A rule in its set.
struct Law<'r> {
    set: &'r RuleSet,
    rule: &'r Rule,
}

fn applies_to_member(rule: &Rule, subject: &Subject<'_>) -> bool {
    rule.filter.usages.is_empty() || rule.filter.usages.contains(&subject.usage)
}

fn ruled<'a>(rule: &Rule, item: &Item<'a>) -> Option<Ruled<'a>> {
    let filter = &rule.filter;
    let kind = filter.kinds.is_empty() || filter.kinds.contains(&item.feature.kind);
    let purpose = filter.purposes.is_empty() || filter.purposes.contains(&item.kind.purpose);
    let faces = if filter.faces.is_empty() {
        item.feature.faces
    } else {
        item.feature.faces & filter.faces
    };
    let round = matches!(item.feature.outline, Outline::Circle { .. });
    let shape = filter.round.is_none_or(|only| only == round);
    (kind && purpose && shape && !faces.is_empty()).then_some(Ruled { item: *item, faces })
}

impl<'r> Law<'r> {
    /// The limit as a length in half-nanometres.
    fn length(&self) -> Option<i64> {
        match self.rule.limit {
            Limit::Length(length) => Some(2 * length.nm()),
            Limit::Ratio(_) | Limit::None => None,
        }
    }
    fn ratio(&self) -> Option<Rational> {
        match self.rule.limit {
            Limit::Ratio(ratio) => Some(ratio),
            Limit::Length(_) | Limit::None => None,
        }
    }
    /// A finding of this rule: its clause and set go into the notes, and the engineer decides.
    fn broken(&self, code: &'static Code, says: String, label: &str, instead: &str) -> Draft<'r> {
        let Law { set, rule } = self;
        let help = format!(
            "{instead}; or ask the engineer (a patch, or a rational analysis) and waive `{}` with \
             the reference",
            rule.id
        );
        let mut draft = Draft::new(code, says, label, help)
            .note(format!("rule `{}` of {}: {}", rule.id, set.title, rule.source));
        if !set.verify.is_empty() {
            draft = draft.note(set.verify.to_string());
        }
        draft.rule = Some((set, rule));
        draft
    }
}
