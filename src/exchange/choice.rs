//! What becomes of each feature type in a format that knows holes only: the shop says it, for
//! nothing in the library tells a hole from a dent.

use crate::diagnostic::codes::exchange as codes;
use crate::diagnostic::{Diagnostic, closest};
use crate::library::model::{FeatureType, Library};
use crate::member::model::{Feature, FeatureTypeId, Job};
use std::collections::BTreeMap;

/// What a feature type is in a format.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Sort {
    /// Steel is taken away.
    Cut,
    /// Steel is pressed.
    Pressed,
    /// It is left out by name.
    LeftOut,
}

/// Feature types by what they are.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Choice {
    /// Types that take steel away.
    pub cut: Vec<String>,
    /// Types that press it.
    pub pressed: Vec<String>,
    /// Types that are left out.
    pub leave_out: Vec<String>,
}

impl Choice {
    /// What a type of this name is.
    pub fn sort(&self, name: &str) -> Option<Sort> {
        let has = |list: &[String]| list.iter().any(|known| known == name);
        if has(&self.leave_out) {
            Some(Sort::LeftOut)
        } else if has(&self.cut) {
            Some(Sort::Cut)
        } else if has(&self.pressed) {
            Some(Sort::Pressed)
        } else {
            None
        }
    }

    /// Names that are no feature types, and types of the job of which nothing is said.
    pub fn check(&self, job: &Job, library: &Library) -> Vec<Diagnostic> {
        let mut found = Vec::new();
        for name in self.cut.iter().chain(&self.pressed).chain(&self.leave_out) {
            if library.feature_named(name).is_none() {
                let help = match closest(name, library.features.iter().map(|f| &*f.name)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "name types of the library".to_string(),
                };
                found.push(
                    Diagnostic::new(&codes::E1171, format!("there is no feature type `{name}`"))
                        .help(help),
                );
            }
        }
        let mut met: BTreeMap<FeatureTypeId, (usize, &Feature)> = BTreeMap::new();
        for (_, member) in job.members() {
            for feature in &member.shape.features {
                met.entry(feature.kind).or_insert((0, feature)).0 += 1;
            }
        }
        for (kind, (count, first)) in met {
            let Some(kind) = library.feature(kind) else { continue };
            if self.sort(&kind.name).is_none() {
                found.push(undecided(kind, count, first));
            }
        }
        found
    }
}

fn undecided(kind: &FeatureType, count: usize, first: &Feature) -> Diagnostic {
    Diagnostic::new(
        &codes::E1171,
        format!("it is not said whether a {} takes steel away ({count} of them)", kind.name),
    )
    .at(first.span, "the first")
    .note("a dimple written as a hole would be drilled")
    .help(format!("name it: `--cut {0}`, `--pressed {0}` or `--leave-out {0}`", kind.name))
}
