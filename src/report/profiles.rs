//! What one profile comes to, and how the line comes to be set up for it.

use super::model::{ProfileReport, ShortageReport, StripKind};
use super::{units, words};
use crate::library::model::{Profile, Units};
use crate::plan::{Inputs, Plan, ProfilePlan};
use crate::quantity::Length;
use schemars::JsonSchema;
use serde::Serialize;

/// From one profile to another.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SetUpReport {
    /// What the line was set up for, where that is known.
    pub from: Option<String>,
    /// Time it takes; nothing where it is set up so already.
    pub time_ns: i64,
}

/// Strip as a profile needs it.
fn strip_of(profile: &Profile) -> StripKind {
    StripKind {
        width_nm: profile.strip_width.nm(),
        thickness_nm: profile.thickness.nm(),
        grade: profile.grade.to_string(),
        coating: profile.coating.name.to_string(),
    }
}

pub(super) fn profile_report(inputs: &Inputs<'_>, plan: &Plan, of: &ProfilePlan) -> ProfileReport {
    let profile = inputs.library.profile(of.profile);
    let name = |id| inputs.library.profile(id).map(|profile| profile.name.to_string());
    let set_up = plan.set_ups.iter().find(|step| step.to == of.profile);
    ProfileReport {
        profile: profile.map_or_else(String::new, |p| p.name.to_string()),
        strip: profile.map_or_else(
            || StripKind {
                width_nm: 0,
                thickness_nm: 0,
                grade: String::new(),
                coating: String::new(),
            },
            strip_of,
        ),
        pieces: of.pieces,
        used_nm: of.used.nm(),
        bound_nm: of.bound.map(Length::nm),
        gap_nm: of.bound.map(|bound| (of.used - bound).nm()),
        on_leftovers: of.on_leftovers,
        gap: gap(of, inputs.batch.units),
        shortage: of.shortage.map(|shortage| ShortageReport {
            pieces: shortage.pieces,
            strip_nm: shortage.strip.nm(),
            mass_mg: shortage.mass.mg(),
        }),
        set_up: set_up
            .map(|step| SetUpReport { from: step.from.and_then(name), time_ns: step.time.ns() }),
    }
}

/// How good a plan is, in plain words.
fn gap(of: &ProfilePlan, shown: Units) -> String {
    let used = of.used;
    let Some(bound) = of.bound else {
        return "stock is short: how little strip would do was not worked out".to_string();
    };
    let rack = if of.on_leftovers { "on the coils left by the profiles before, " } else { "" };
    if used == bound {
        return format!("{rack}no plan can use less strip");
    }
    let long = units::long(shown);
    format!(
        "{rack}no plan can use less than {} {long}; this one uses {} {long} more ({})",
        units::strip(bound, shown, 2),
        units::strip(used - bound, shown, 2),
        words::percent(used - bound, bound)
    )
}
