//! What one profile comes to, and how the line comes to be set up for it.

use super::bounds::word;
use super::model::{ProfileReport, ShortageReport, StripKind};
use super::{units, words};
use crate::library::model::{Profile, Units};
use crate::plan::{Inputs, Least, Plan, ProfilePlan, Proof};
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
        worth_nm: of.worth.map(|worth| worth.plan.nm()),
        worth_bound_nm: of.worth.map(|worth| worth.bound.nm()),
        proved: proved(of).into_iter().map(|least| word(least).to_string()).collect(),
        on_leftovers: of.on_leftovers,
        gap: gap(inputs, of),
        shortage: of.shortage.map(|shortage| ShortageReport {
            pieces: shortage.pieces,
            strip_nm: shortage.strip.nm(),
            mass_mg: shortage.mass.mg(),
        }),
        set_up: set_up
            .map(|step| SetUpReport { from: step.from.and_then(name), time_ns: step.time.ns() }),
    }
}

/// What the plan has least, by bounds that were proved again.
fn proved(of: &ProfilePlan) -> Vec<Least> {
    let meets = |proof: &&Proof| match proof.least {
        Least::Strip => proof.strip() == of.used,
        Least::Worth => of.worth.is_some_and(|worth| worth.plan == proof.strip()),
    };
    of.proofs.iter().filter(meets).map(|proof| proof.least).collect()
}

/// How good a plan is, in plain words, "proved" only by a certificate.
fn gap(inputs: &Inputs<'_>, of: &ProfilePlan) -> String {
    let shown = inputs.batch.units;
    let mut told = of_strip(of, shown);
    let Some(worth) = of.worth.filter(|_| of.bound.is_some_and(|bound| bound < of.used)) else {
        return told;
    };
    let each = units::strip(inputs.batch.change_worth, shown, 2);
    told.push_str(&format!("; each change of coils counted as {each} {}, ", units::long(shown)));
    if proved(of).contains(&Least::Worth) {
        told.push_str("no plan comes to less: proved");
    } else if worth.plan == worth.bound {
        told.push_str("no plan comes to less");
    } else {
        let over = words::percent(worth.plan - worth.bound, worth.bound);
        told.push_str(&format!("within {over} of the bound"));
    }
    told
}

fn of_strip(of: &ProfilePlan, shown: Units) -> String {
    let used = of.used;
    let Some(bound) = of.bound else {
        return "stock is short: how little strip would do was not worked out".to_string();
    };
    let rack = if of.on_leftovers { "on the coils left by the profiles before, " } else { "" };
    if used == bound {
        let proved = if proved(of).contains(&Least::Strip) { ": proved" } else { "" };
        let whole = of.proofs.iter().any(|proof| proof.least == Least::Strip && proof.whole);
        let whole = if whole && !proved.is_empty() { " and keep frames together" } else { "" };
        return format!("{rack}no plan can use less strip{whole}{proved}");
    }
    let long = units::long(shown);
    format!(
        "{rack}no plan can use less than {} {long}; this one uses {} {long} more ({})",
        units::strip(bound, shown, 2),
        units::strip(used - bound, shown, 2),
        words::percent(used - bound, bound)
    )
}
