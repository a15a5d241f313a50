//! What slopes the shear can be turned to.

use super::wire;
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::library::common::{Found, machine_time, out_of_range};
use crate::library::model::{Slope, SlopeRange, Slopes};
use crate::library::reading::{At, Incline};
use crate::quantity::Time;

/// Slopes, and the time to turn from one to another.
pub(super) fn slopes(wire: &wire::Shear, found: &mut Found) -> (Slopes, Time) {
    let mut listed: Vec<Slope> = Vec::new();
    for at in wire.slopes.iter().flatten() {
        let Some(slope) = slope(at, found) else { continue };
        if listed.contains(&slope) {
            found.push(
                Diagnostic::new(
                    &codes::E0308,
                    format!("the slope {slope} is listed twice", slope = told(slope)),
                )
                .at(at.span, "again here")
                .help("list each slope once: it holds for either hand"),
            );
            continue;
        }
        listed.push(slope);
    }
    let range = match (&wire.slope_step, &wire.steepest) {
        (Some(step), Some(steepest)) => slope(step, found)
            .zip(slope(steepest, found))
            .map(|(step, steepest)| SlopeRange { step, steepest }),
        (Some(one), None) | (None, Some(one)) => {
            let missing = if wire.steepest.is_none() { "steepest" } else { "slope-step" };
            found.push(missing_key(one.span, missing, "\"4 : 12\""));
            None
        }
        (None, None) => None,
    };
    let slopes = Slopes { listed, range };
    let first = wire.slopes.iter().flatten().next().or(wire.slope_step.as_ref());
    let time = match (&wire.slope_time, first) {
        (Some(time), _) => machine_time(found, "slope-time", time),
        (None, Some(first)) => {
            found.push(missing_key(first.span, "slope-time", "\"6 s\""));
            Time::ZERO
        }
        (None, None) => Time::ZERO,
    };
    (slopes, time)
}

fn slope(at: &At<Incline>, found: &mut Found) -> Option<Slope> {
    let Incline(rise, run) = at.value;
    let slope = Slope::new(rise, run).filter(|slope| !slope.is_square());
    if slope.is_none() {
        let help = "leave it out: every shear cuts square";
        out_of_range(found, at.span, "a slope without a rise is square", help);
    }
    slope
}

fn told(slope: Slope) -> String {
    format!("{} : {}", slope.rise, slope.run)
}

fn missing_key(span: crate::quantity::Span, key: &str, example: &str) -> Diagnostic {
    Diagnostic::new(&codes::E0303, format!("`{key}` is missing"))
        .at(span, "goes with this")
        .help(format!("add `{key} = {example}` to [shear], as the line really is"))
}
