//! Bounds of an output folder, proved again: the problem is made anew from the stored inputs and the
//! coils as the replayed programs left them, the certificate is checked, and what the plan comes to
//! is counted from the replay.

use super::judged::{Judged, Made};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::files::E0921;
use crate::plan::{self, Anew, Least, Shop};
use crate::proof::{self, Piece, Stock, text};
use crate::quantity::Length;
use crate::report::BoundReport;
use crate::report::bounds::{figures, word};
use serde::Deserialize;

/// What of the bounds of a folder holds.
#[derive(Debug, Default)]
pub struct Bounds {
    /// Those that were proved again.
    pub proved: Vec<BoundReport>,
    /// Why others were not.
    pub found: Vec<Diagnostic>,
}

/// Of a report only the bounds matter here.
#[derive(Deserialize)]
struct Listed {
    bounds: Vec<BoundReport>,
}

/// Proves the bounds that `report` lists again.
pub fn prove(report: Option<&[u8]>, shop: &Shop, judged: &Judged) -> Bounds {
    let mut bounds = Bounds::default();
    let listed = report.and_then(|bytes| serde_json::from_slice::<Listed>(bytes).ok());
    let Some(listed) = listed else {
        bounds.found.push(refused("the report", "it cannot be read as a report"));
        return bounds;
    };
    let inputs = shop.inputs();
    let anew = Anew::of(&inputs);
    for bound in listed.bounds {
        match holds(&bound, shop, &anew, judged) {
            Ok(()) => bounds.proved.push(bound),
            Err(why) => bounds.found.push(refused(&format!("`{}`", bound.profile), why)),
        }
    }
    bounds
}

fn holds(
    bound: &BoundReport,
    shop: &Shop,
    anew: &Anew<'_>,
    judged: &Judged,
) -> Result<(), &'static str> {
    let least = [Least::Strip, Least::Worth].into_iter().find(|least| word(*least) == bound.least);
    let least = least.ok_or("it does not say of what it is")?;
    let made = judged.made.iter().find(|made| made.profile == bound.profile);
    let made = made.ok_or("no program makes that profile")?;
    if plan_of(shop, made, least).nm() != bound.plan_nm {
        return Err("the programs do not come to what it says");
    }
    let last = judged.made.last().is_some_and(|last| last.profile == made.profile);
    let profile = shop.loaded.library.profile_named(&bound.profile).map(|(id, _)| id);
    let profile = profile.ok_or("there is no such profile")?;
    let again = anew.problem(profile, &made.rack, last, least, bound.frames_whole);
    let (problem, unit) = again.ok_or("no such problem comes of the stored inputs")?;
    let (stocks, pieces) = figures(&problem);
    if (&stocks, &pieces, unit.nm()) != (&bound.stocks, &bound.pieces, bound.unit_nm) {
        return Err("it is for other coils or pieces than the stored inputs");
    }
    let reason = text::read(bound.certificate.iter().map(String::as_str));
    let reason = reason.ok_or("its certificate cannot be read")?;
    let stock = |s: &crate::report::bounds::StockReport| Stock {
        length: s.length_units,
        count: Some(s.there),
        cost: s.cost_units,
        kept: s.kept_length_units.zip(s.kept_cost_units),
    };
    let stocks: Vec<Stock> = bound.stocks.iter().map(stock).collect();
    let pieces = bound.pieces.iter().map(|p| Piece { length: p.length_units, demand: p.wanted });
    let pieces: Vec<Piece> = pieces.collect();
    proof::check(&stocks, &pieces, i128::from(bound.bound_units), &reason, &|| false)
        .map_err(|_| "its certificate does not prove it")?;
    let met =
        i128::from(bound.bound_units) * i128::from(bound.unit_nm) == i128::from(bound.plan_nm);
    if met == bound.met { Ok(()) } else { Err("it is met where it says it is not, or not met") }
}

/// What the replayed programs come to.
fn plan_of(shop: &Shop, made: &Made, least: Least) -> Length {
    let inputs = shop.inputs();
    let changes = made.loaded.iter().map(|coil| plan::change_worth(&inputs, coil));
    match least {
        Least::Strip => made.used,
        Least::Worth => made.used + changes.sum::<Length>(),
    }
}

fn refused(what: &str, why: &str) -> Diagnostic {
    Diagnostic::new(&E0921, format!("a bound of {what} was not proved again: {why}"))
        .note("what the papers say about how good the plan is does not stand")
        .help("compile again from the inputs that are meant")
}
