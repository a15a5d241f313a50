//! What no plan can beat, with everything it takes to prove it again: the problem as numbers, the
//! bound, and the certificate.

use crate::plan::{Inputs, Least, Plan, Problem, Proof, certificate_lines};
use crate::quantity::Length;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A bound on what every plan of a profile comes to. A checker that knows nothing of planning has
/// accepted it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoundReport {
    /// The profile.
    pub profile: String,
    /// Of what: `strip` used up, or `worth`: strip used up, and each coil loaded counted as the
    /// batch says.
    pub least: String,
    /// Whether it is for plans that keep frames together (one that no coil holds is parted).
    pub frames_whole: bool,
    /// Unit of lengths and costs here.
    pub unit_nm: i64,
    /// What there is to make them from.
    pub stocks: Vec<StockReport>,
    /// What has to be made, by length, longest first: slugs included.
    pub pieces: Vec<LengthReport>,
    /// No plan costs less, in units.
    pub bound_units: i64,
    /// What the plan costs, to the nanometre.
    pub plan_nm: i64,
    /// Whether the plan meets the bound.
    pub met: bool,
    /// Why: worths of pieces, and cases where these are needed; see the developers' page.
    pub certificate: Vec<String>,
}

/// Coils or bars that are alike to the bound.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockReport {
    /// The most that can be made from one.
    pub length_units: i64,
    /// How many there are.
    pub there: u64,
    /// What one costs used up.
    pub cost_units: i64,
    /// The most that can be made from one that goes back to the rack.
    pub kept_length_units: Option<i64>,
    /// What that costs beside the length of what is made from it.
    pub kept_cost_units: Option<i64>,
}

/// Frames or pieces of one length.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LengthReport {
    /// Their length.
    pub length_units: i64,
    /// How many.
    pub wanted: u64,
}

/// The problem of a bound, as reported.
pub fn figures(problem: &Problem) -> (Vec<StockReport>, Vec<LengthReport>) {
    let stocks = problem.stocks().iter().map(|stock| StockReport {
        length_units: stock.length,
        there: stock.count.unwrap_or(problem.pieces()),
        cost_units: stock.cost,
        kept_length_units: stock.kept.map(|kept| kept.room),
        kept_cost_units: stock.kept.map(|kept| kept.cost),
    });
    let pieces = problem.items().iter();
    let pieces = pieces.map(|item| LengthReport { length_units: item.length, wanted: item.demand });
    (stocks.collect(), pieces.collect())
}

/// The word for what is least.
pub fn word(least: Least) -> &'static str {
    match least {
        Least::Strip => "strip",
        Least::Worth => "worth",
    }
}

pub(super) fn bounds(inputs: &Inputs<'_>, plan: &Plan) -> Vec<BoundReport> {
    let of_profile = plan.profiles.iter().flat_map(|of| {
        let name = inputs.library.profile(of.profile).map(|profile| profile.name.to_string());
        of.proofs.iter().map(move |proof| {
            let comes_to = match proof.least {
                Least::Strip => of.used,
                Least::Worth => of.worth.map_or(of.used, |worth| worth.plan),
            };
            one(name.clone().unwrap_or_default(), proof, comes_to)
        })
    });
    of_profile.collect()
}

fn one(profile: String, proof: &Proof, comes_to: Length) -> BoundReport {
    let (stocks, pieces) = figures(&proof.problem);
    BoundReport {
        profile,
        least: word(proof.least).to_string(),
        frames_whole: proof.whole,
        unit_nm: proof.unit.nm(),
        stocks,
        pieces,
        bound_units: i64::try_from(proof.bound).unwrap_or(i64::MAX),
        plan_nm: comes_to.nm(),
        met: proof.strip() == comes_to,
        certificate: certificate_lines(&proof.certificate),
    }
}
