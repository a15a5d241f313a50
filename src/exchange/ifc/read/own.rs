//! What this program wrote beside a model's geometry, in an earlier export.

use super::Reader;
use super::first_form::cut_before;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::drawn::{DrawnMember, DrawnWaiver};
use crate::exchange::ifc::form::{told_before, told_openings};
use crate::exchange::ifc::opening::Hole;
use crate::exchange::ifc::own::{JOB_SET, MEMBER_SET, joined};
use crate::exchange::json::{member_of, waivers_of};
use crate::exchange::step::{self, Value};
use crate::library::model::Slope;
use crate::quantity::Length;
use std::collections::{BTreeMap, BTreeSet};

/// What a set of ours says of a member.
struct Words {
    member: String,
    openings: String,
    /// Whether openings are told with their types and outlines.
    typed: bool,
}

impl Reader<'_, '_> {
    /// What this program wrote about a member, if its length as it is drawn, unrounded, and its
    /// openings are still as it wrote them. Where they are others, what is not drawn is put into
    /// `member`.
    pub(super) fn own_words(
        &mut self,
        id: u64,
        member: &mut DrawnMember,
        length: Length,
        drilled: &[(u64, String, Hole)],
    ) -> Result<Option<DrawnMember>, Box<Diagnostic>> {
        let sets = self.properties.get(&id).cloned().unwrap_or_default();
        let Some(&set) = sets.first() else {
            if !(self.properties.is_empty() && self.job_sets.is_empty()) {
                self.bare.push(id);
            }
            return Ok(None);
        };
        let about = format!("member {}", member.mark);
        if sets.len() > 1 {
            return Err(self.words_lost(id, &about, "it has more than one such set"));
        }
        let words = self.words(set).map_err(|why| match why {
            Lost::Refused(refusal) => refusal,
            Lost::Why(why) => self.words_lost(set, &about, &why),
        })?;
        let Some(written) = member_of(&words.member) else {
            let why = "its text is cut, changed or of another version";
            return Err(self.words_lost(set, &about, why));
        };
        self.typed |= words.typed;
        if let Some(text) = written.mark_text.as_ref().filter(|_| written.mark != member.mark) {
            self.answer.remarks.push(format!(
                "Member {} was {} when this program wrote the model; `{text}` is still printed on it.",
                member.mark, written.mark
            ));
        }
        let all = || drilled.iter().map(|(_, word, hole)| (word.as_str(), *hole));
        let now = match words.typed {
            true => told_openings(all()),
            false => told_before(all().map(|(_, hole)| hole)),
        };
        let same = words.openings == now
            && written.length == length
            && written.profile == member.profile
            && Slope::of_end(written.start) == Slope::of_end(member.start)
            && Slope::of_end(written.end) == Slope::of_end(member.end);
        if same {
            return Ok(Some(DrawnMember {
                mark: member.mark.clone(),
                usage: member.usage,
                source: member.source.clone(),
                quantity: 1,
                ..written
            }));
        }
        self.found.push(
            Diagnostic::new(
                &codes::W1150,
                format!(
                    "member {} is not as this program wrote it: what is drawn counts",
                    member.mark
                ),
            )
            .at(self.model.step.place(id), "changed since")
            .help(
                "look at its pressed features and its tolerances, which are not drawn as openings",
            ),
        );
        member.length_tolerance = written.length_tolerance;
        member.mark_text.clone_from(&written.mark_text);
        member.turnable = written.turnable;
        // An opening that is gone from the drawing is gone; what was never one is kept.
        let cut = match words.typed {
            true => words.openings.split("; ").filter_map(|o| o.split(' ').next()).collect(),
            false => {
                let drawn = drilled.iter().map(|(_, word, _)| word.as_str());
                drawn.chain(cut_before(&words.openings, &written, self.library)).collect()
            }
        };
        let cut: BTreeSet<&str> = cut;
        let kept = written.features.iter().filter(|f| !cut.contains(&*f.kind));
        member.features.extend(kept.cloned());
        Ok(None)
    }

    /// The waivers that this program wrote beside the project.
    pub(super) fn own_waivers(&mut self) -> Vec<DrawnWaiver> {
        let (set, more) = match self.job_sets.as_slice() {
            [] => {
                // Models of the first form had no set at the project.
                if self.typed {
                    self.found.push(
                        Diagnostic::new(
                            &codes::W1155,
                            format!(
                                "the set {JOB_SET} of the project is gone: waivers may be missing"
                            ),
                        )
                        .help("look which findings were waived before, and waive them again"),
                    );
                }
                return Vec::new();
            }
            [set, more @ ..] => (*set, !more.is_empty()),
        };
        let read = match self.held(set) {
            _ if more => Err(Lost::Why("it has more than one such set".into())),
            Err(refusal) => Err(Lost::Refused(refusal)),
            Ok(held) => match joined(&held, &["Waivers"]).map_err(Lost::Why) {
                Ok(Some(texts)) => texts
                    .first()
                    .and_then(|text| waivers_of(text))
                    .ok_or_else(|| Lost::Why("its text is of another version".into())),
                Ok(None) => Err(Lost::Why("its property `Parts` is missing".into())),
                Err(why) => Err(why),
            },
        };
        read.unwrap_or_else(|why| {
            self.found.push(match why {
                Lost::Refused(refusal) => *refusal,
                Lost::Why(why) => *self.words_lost(set, "the project", &why),
            });
            Vec::new()
        })
    }

    /// Members without words of ours among members that have them, and sets that are nobody's.
    pub(super) fn tell_bare(&mut self) {
        if let Some(&first) = self.bare.first() {
            let s = if self.bare.len() == 1 { " has" } else { "s have" };
            self.found.push(
                Diagnostic::new(
                    &codes::W1155,
                    format!(
                        "{} member{s} no set {MEMBER_SET}, as this program writes it: {}",
                        self.bare.len(),
                        super::numbers(&self.bare)
                    ),
                )
                .at(self.model.step.place(first), "the first")
                .note("what is drawn counts; pressed features and tolerances are not drawn")
                .help("if they were added since, see that nothing is to be pressed on them; if not, export the model again"),
            );
        }
        let attached: BTreeSet<u64> =
            self.properties.values().flatten().chain(&self.job_sets).copied().collect();
        let mut loose = Vec::new();
        for set in self.model.step.of("IFCPROPERTYSET") {
            if attached.contains(&set) {
                continue;
            }
            if self.entity(set, set).is_some_and(|set| is_own(&set.text(2))) {
                loose.push(set);
            }
        }
        let Some(&first) = loose.first() else { return };
        let mut refusal = self.words_lost(
            first,
            &format!("{} of the model's things", loose.len()),
            &format!(
                "the sets stand in the file and belong to nothing: {}",
                super::numbers(&loose)
            ),
        );
        refusal.message = format!(
            "{} sets of what this program wrote belong to nothing: {}",
            loose.len(),
            super::numbers(&loose)
        );
        self.found.push(*refusal);
    }

    /// The texts of a set about a member.
    fn words(&self, set: u64) -> Result<Words, Lost> {
        let mut held = self.held(set).map_err(Lost::Refused)?;
        if let Some(texts) = joined(&held, &["Member", "Openings"]).map_err(Lost::Why)? {
            let mut texts = texts.into_iter();
            return Ok(Words {
                member: texts.next().unwrap_or_default(),
                openings: texts.next().unwrap_or_default(),
                typed: true,
            });
        }
        match held.remove("Member") {
            Some(member) => Ok(Words {
                member,
                openings: held.remove("Openings").unwrap_or_default(),
                typed: false,
            }),
            None => Err(Lost::Why("it has no property `Member`".into())),
        }
    }

    /// The texts of a set's properties.
    fn held(&self, set: u64) -> Result<BTreeMap<String, String>, Box<Diagnostic>> {
        let set = self.model.step.entity(set, set)?;
        let mut held = BTreeMap::new();
        for id in set.references(4) {
            let property = self.model.step.entity(id, set.id)?;
            let text = match property.get(2) {
                Value::Text(raw) => step::text::decoded(raw),
                Value::Typed(_, values) => match values.as_slice() {
                    [Value::Text(raw)] => step::text::decoded(raw),
                    _ => None,
                },
                _ => None,
            };
            if let Some(text) = text {
                held.insert(property.text(0), text);
            }
        }
        Ok(held)
    }

    fn words_lost(&self, at: u64, about: &str, why: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(
                &codes::E1151,
                format!("what this program wrote beside {about} cannot be read: {why}"),
            )
            .at(self.model.step.place(at), "it stood here")
            .note("a member without them is made without its dimples and swages, and looks right in the model")
            .help("export the model again and have texts kept whole; or say `geometry-only = true` in [ifc] of the map, and see to what is pressed by hand"),
        )
    }
}

/// Why words of ours are lost.
enum Lost {
    /// The file itself is damaged there.
    Refused(Box<Diagnostic>),
    /// They are not as they were written.
    Why(String),
}

/// Whether a set of this name is ours.
pub(super) fn is_own(name: &str) -> bool {
    name == MEMBER_SET || name == JOB_SET
}
