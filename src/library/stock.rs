//! Coils on the rack: `stock.toml`.

use super::common::{Found, finding, not_negative, out_of_range, positive, unique};
use super::formula;
use super::model::{self, Coating, LengthBasis, Library};
use super::profile::{CoatingText, coating};
use super::reading::{Amount, At, Fraction, wire};
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::quantity::{Length, Mass, MassPerLength, Rational};

wire! {
    /// What is on the rack.
    pub struct Stock {
        /// One table for each coil.
        coil: Option<At<Vec<Coil>>>,
        /// One table for each kind of bar.
        bar: Option<At<Vec<Bar>>>,
    }
    /// Bars that are alike: strip cut to a fixed length, fed one by one. Each is made into pieces
    /// by itself; the first is called by the id with `.1` behind it.
    pub struct Bar {
        /// What they are called.
        id: At<String>,
        /// Heat number.
        heat: Option<String>,
        /// Mill certificate.
        certificate: Option<String>,
        /// Docket.
        docket: Option<String>,
        /// Length of each: none is shorter.
        length: At<Length>,
        /// How many there are.
        count: At<i64>,
        /// Width of the strip.
        strip_width: At<Length>,
        /// Base metal thickness, without coating.
        thickness: At<Length>,
        /// Grade, as on the certificate.
        grade: String,
        /// Coating: a designation, or a table with name, mass and thickness.
        coating: At<CoatingText>,
        /// Whether they are left over from others: used before new ones where it makes no
        /// difference.
        #[schemars(extend("default" = false))]
        part_used: Option<bool>,
        /// What each is worth, in the currency's unit with at most two decimals.
        cost: Option<At<Amount>>,
    }
    /// A coil as it is now. Its length is measured (`length`), or follows from its mass, or from
    /// its diameters; where several are given the first of these counts and the others are
    /// compared with it.
    pub struct Coil {
        /// What is written on it.
        id: At<String>,
        /// Heat number.
        heat: Option<String>,
        /// Mill certificate.
        certificate: Option<String>,
        /// Docket.
        docket: Option<String>,
        /// Width of the strip.
        strip_width: At<Length>,
        /// Base metal thickness, without coating.
        thickness: At<Length>,
        /// Grade, as on the certificate.
        grade: String,
        /// Coating: a designation, or a table with name, mass and thickness.
        coating: At<CoatingText>,
        /// Metres on it now, measured or carried forward.
        length: Option<At<Length>>,
        /// Mass of what is on it now, coating included, packing not.
        mass: Option<At<Mass>>,
        /// Outer diameter of the winding; with `inner-diameter` and `winding`.
        outer_diameter: Option<At<Length>>,
        /// Inner diameter of the winding.
        inner_diameter: Option<At<Length>>,
        /// Share of the winding that is metal and not air.
        winding: Option<At<Fraction>>,
        /// How far the length may be off.
        uncertainty: At<Fraction>,
        /// Good strip begins here, from the leading edge; what comes before is a defect.
        usable_from: Option<At<Length>>,
        /// Good strip stops here; the coil is taken to end here.
        usable_to: Option<At<Length>>,
        /// Stretches that nothing good may lie on, from the leading edge.
        defects: Option<Vec<Defect>>,
        /// Whether part of it has been used before.
        #[schemars(extend("default" = false))]
        part_used: Option<bool>,
        /// Whether it is threaded in the line now, with a clean cut at the shear.
        #[schemars(extend("default" = false))]
        threaded: Option<At<bool>>,
        /// What it is worth as it is now, in the currency's unit with at most two decimals.
        cost: Option<At<Amount>>,
    }
    /// A stretch of strip that nothing good may lie on.
    pub struct Defect {
        /// Where it begins.
        from: At<Length>,
        /// Where it stops.
        to: At<Length>,
    }
}

/// Most coils and bars together.
const MOST: usize = 10_000;

/// The stock; coatings may be those that the library's profiles declare.
pub(super) fn settle(wire: &Stock, library: &Library, found: &mut Found) -> model::Stock {
    let coils: &[Coil] = wire.coil.as_ref().map_or(&[], |at| &at.value);
    let bars: &[Bar] = wire.bar.as_ref().map_or(&[], |at| &at.value);
    if coils.is_empty() && bars.is_empty() {
        let written = wire.coil.as_ref().map(|at| at.span).or(wire.bar.as_ref().map(|at| at.span));
        found.push(finding(
            &codes::E0329,
            written.unwrap_or(wire.span),
            "there is no coil in this stock",
            "an empty rack",
            "add a [[coil]] for each coil that may be used, or [[bar]] for bars",
        ));
    }
    if let Some(at) = &wire.coil {
        super::common::few_enough(found, "coils", coils.len(), MOST, at.span);
    }
    unique(found, "coil or bar", coils.iter().map(|c| &c.id).chain(bars.iter().map(|b| &b.id)));
    let threaded = |coil: &&Coil| coil.threaded.as_ref().is_some_and(|at| at.value);
    let mut in_line = coils.iter().filter(threaded);
    if let Some(first) = in_line.next() {
        for other in in_line {
            found.push(
                Diagnostic::new(
                    &codes::E0330,
                    format!("`{}` and `{}` are both threaded", first.id.value, other.id.value),
                )
                .at(other.threaded.as_ref().map_or(other.id.span, |at| at.span), "threaded too")
                .at(first.threaded.as_ref().map_or(first.id.span, |at| at.span), "threaded")
                .help("leave `threaded = true` at the coil that stands in the line now"),
            );
        }
    }
    let mut settled: Vec<model::Coil> =
        coils.iter().map(|coil| settle_one(coil, library, found)).collect();
    for bar in bars {
        let room = MOST.saturating_sub(settled.len());
        settled.extend(settle_bars(bar, room, library, found));
    }
    let first_bar = coils.len();
    for coil in coils {
        let same = settled.iter().skip(first_bar).find(|bar| *bar.id == *coil.id.value);
        if let Some(bar) = same {
            let message = format!("coil `{}` is called as one of the bars is", bar.id);
            found.push(
                Diagnostic::new(&codes::E0308, message)
                    .at(coil.id.span, "the coil")
                    .at(bar.span, "bars are numbered")
                    .help("rename one of them"),
            );
        }
    }
    model::Stock { coils: settled }
}

/// Each of several bars by itself, at most `room` of them.
fn settle_bars(bar: &Bar, room: usize, library: &Library, found: &mut Found) -> Vec<model::Coil> {
    let length = positive(found, "length", &bar.length, Length::from_mm(100_000));
    let strip_width = positive(found, "strip-width", &bar.strip_width, Length::from_mm(5_000));
    let thickness = positive(found, "thickness", &bar.thickness, Length::from_mm(10));
    let coating = coating(&bar.coating, &library.profiles, found);
    let per_metre = formula::coated_mass(strip_width, thickness, coating.grams_per_square_metre);
    if let Some(at) = &bar.cost
        && at.value.0 < 0
    {
        out_of_range(found, at.span, "`cost` is negative", "write what each bar is worth now");
    }
    let count = usize::try_from(bar.count.value).ok().filter(|&count| count <= room);
    if count.is_none() {
        let message = format!("there cannot be {} bars", bar.count.value);
        let help = format!("write 0 or more; coils and bars together are at most {MOST}");
        out_of_range(found, bar.count.span, message, help);
    }
    let name = super::common::plain_name(found, "the id of bars", &bar.id);
    let text = |text: &Option<String>| text.as_deref().unwrap_or_default().into();
    let one = model::Coil {
        id: name.clone(),
        bar: Some(name.clone()),
        heat: text(&bar.heat),
        certificate: text(&bar.certificate),
        docket: text(&bar.docket),
        strip_width,
        thickness,
        grade: bar.grade.as_str().into(),
        coating: coating.name,
        length,
        basis: LengthBasis::Measured,
        uncertainty: 0,
        defects: Vec::new(),
        part_used: bar.part_used.unwrap_or(false),
        threaded: false,
        cost: bar.cost.as_ref().map(|at| at.value.0),
        mass: Some(per_metre.of(length)),
        span: bar.id.span,
    };
    (1..=count.unwrap_or(0))
        .map(|n| model::Coil { id: format!("{name}.{n}").into(), ..one.clone() })
        .collect()
}

fn settle_one(coil: &Coil, library: &Library, found: &mut Found) -> model::Coil {
    let strip_width = positive(found, "strip-width", &coil.strip_width, Length::from_mm(5_000));
    let thickness = positive(found, "thickness", &coil.thickness, Length::from_mm(10));
    let coating = coating(&coil.coating, &library.profiles, found);
    let per_metre = formula::coated_mass(strip_width, thickness, coating.grams_per_square_metre);
    let uncertainty = uncertainty(&coil.uncertainty, found);
    let (whole, basis) = length(coil, thickness, &coating, per_metre, uncertainty, found)
        .unwrap_or((Length::ZERO, LengthBasis::Measured));
    let (length, defects) = usable(coil, whole, found);
    if let Some(at) = &coil.cost
        && at.value.0 < 0
    {
        out_of_range(found, at.span, "`cost` is negative", "write what the coil is worth now");
    }
    let text = |text: &Option<String>| text.as_deref().unwrap_or_default().into();
    model::Coil {
        id: super::common::plain_name(found, "the id of a coil", &coil.id),
        bar: None,
        heat: text(&coil.heat),
        certificate: text(&coil.certificate),
        docket: text(&coil.docket),
        strip_width,
        thickness,
        grade: coil.grade.as_str().into(),
        coating: coating.name,
        length,
        basis,
        uncertainty,
        defects,
        part_used: coil.part_used.unwrap_or(false),
        threaded: coil.threaded.as_ref().is_some_and(|at| at.value),
        cost: coil.cost.as_ref().map(|at| at.value.0),
        mass: Some(coil.mass.as_ref().map_or_else(|| per_metre.of(whole), |at| at.value)),
        span: coil.id.span,
    }
}

/// Parts per million, rounded up.
fn uncertainty(at: &At<Fraction>, found: &mut Found) -> i64 {
    let ppm = at.value.0.checked_mul(Rational::whole(1_000_000)).map(Rational::ceil);
    let ppm = ppm.and_then(|n| i64::try_from(n).ok()).filter(|n| (0..=500_000).contains(n));
    ppm.unwrap_or_else(|| {
        let help =
            "write \"0 %\" to \"50 %\"; the thickness tolerance alone moves metres by up to 7 %";
        out_of_range(found, at.span, "`uncertainty` is how far the length may be off", help);
        0
    })
}

/// Its length and what that rests on: measured before mass before diameters.
fn length(
    coil: &Coil,
    thickness: Length,
    coating: &Coating,
    per_metre: MassPerLength,
    uncertainty: i64,
    found: &mut Found,
) -> Option<(Length, LengthBasis)> {
    let mut bases = Vec::new();
    if let Some(at) = &coil.length {
        bases.push((at.value, LengthBasis::Measured, at.span));
    }
    if let Some(at) = &coil.mass {
        if at.value <= Mass::ZERO {
            out_of_range(found, at.span, "`mass` is not above nought", "write it as weighed");
        }
        bases.push((
            formula::length_from_mass(at.value, per_metre),
            LengthBasis::DocketMass,
            at.span,
        ));
    }
    match (&coil.outer_diameter, &coil.inner_diameter, &coil.winding) {
        (Some(outer), Some(inner), Some(winding)) => {
            let share = winding.value.0;
            if share <= Rational::ZERO || share > Rational::whole(1) {
                let message = "`winding` is the share of the winding that is metal";
                out_of_range(found, winding.span, message, "write \"1 %\" to \"100 %\"");
            }
            let total = formula::total_thickness(thickness, coating);
            match formula::length_from_diameters(outer.value, inner.value, total, share) {
                Some(length) => bases.push((length, LengthBasis::Diameter, outer.span)),
                None => out_of_range(
                    found,
                    outer.span,
                    format!("outer {} mm and inner {} mm are no winding", outer.value, inner.value),
                    "the outer diameter is the larger, at most 5 m",
                ),
            }
        }
        (None, None, None) => {}
        (outer, inner, winding) => {
            let written = [
                outer.as_ref().map(|at| at.span),
                inner.as_ref().map(|at| at.span),
                winding.as_ref().map(|at| at.span),
            ];
            let span = written.into_iter().flatten().next().unwrap_or(coil.span);
            found.push(finding(
                &codes::E0326,
                span,
                format!("the diameters of `{}` do not give a length", coil.id.value),
                "one of three",
                "give `outer-diameter`, `inner-diameter` and `winding` together",
            ));
            return None;
        }
    }
    let Some(&(length, basis, span)) = bases.first() else {
        // A figure that is out of range has been told already.
        if coil.outer_diameter.is_none() {
            found.push(finding(
                &codes::E0326,
                coil.id.span,
                format!("how much strip is on `{}` is not told", coil.id.value),
                "no length",
                "give `length`, or `mass`, or `outer-diameter`, `inner-diameter` and `winding`",
            ));
        }
        return None;
    };
    for &(other, _, place) in bases.iter().skip(1) {
        let off = i128::from((other - length).nm().abs()) * 1_000_000;
        if off > i128::from(length.nm().abs()) * i128::from(uncertainty) {
            found.push(
                Diagnostic::new(
                    &codes::W0328,
                    format!(
                        "the figures of `{}` differ: {} m and {} m",
                        coil.id.value,
                        metres(length),
                        metres(other)
                    ),
                )
                .at(place, format!("this makes {} m", metres(other)))
                .at(span, format!("{} m counts", metres(length)))
                .note("They differ by more than the `uncertainty` stated: a plan may run out of strip.")
                .help("weigh or measure again, or state a larger `uncertainty`"),
            );
        }
    }
    if length <= Length::ZERO || length > Length::LIMIT {
        let message = format!("`{}` would hold {} m of strip", coil.id.value, metres(length));
        out_of_range(found, span, message, "a coil holds more than nought and at most 10 km");
        return None;
    }
    Some((length, basis))
}

/// Whole metres and centimetres, for messages.
fn metres(length: Length) -> String {
    let centimetres = length.nm().div_euclid(10_000_000);
    format!("{}.{:02}", centimetres.div_euclid(100), centimetres.rem_euclid(100))
}

/// The end of good strip, and the defect zones before it, in order and not touching.
fn usable(coil: &Coil, length: Length, found: &mut Found) -> (Length, Vec<(Length, Length)>) {
    let mut zones = Vec::new();
    let end = coil.usable_to.as_ref().map_or(length, |at| at.value);
    if let Some(at) = &coil.usable_to
        && length > Length::ZERO
        && (at.value <= Length::ZERO || at.value > length)
    {
        let message = format!("`usable-to` is not on the {} m of this coil", metres(length));
        out_of_range(found, at.span, message, "measure it from the leading edge");
    }
    if let Some(at) = &coil.usable_from {
        not_negative(found, "usable-from", at, Length::LIMIT);
        if end > Length::ZERO && at.value >= end {
            let message = "no good strip is left after `usable-from`";
            out_of_range(found, at.span, message, "measure it from the leading edge");
        }
        if at.value > Length::ZERO {
            zones.push((Length::ZERO, at.value.min(end)));
        }
    }
    for defect in coil.defects.iter().flatten() {
        let (from, to) = (defect.from.value, defect.to.value);
        if from.is_negative() || from >= to || (length > Length::ZERO && to > length) {
            let what = if from >= to {
                format!("a defect from {} m to {} m has no length", metres(from), metres(to))
            } else {
                format!("a defect from {} m to {} m is not on the coil", metres(from), metres(to))
            };
            let label = format!("the coil runs from 0 to {} m", metres(length));
            let help = "measure both from the leading edge, the nearer one first";
            found.push(finding(&codes::E0327, defect.from.span, what, label, help));
        } else if from < end {
            zones.push((from, to.min(end)));
        }
    }
    zones.sort();
    let mut merged: Vec<(Length, Length)> = Vec::new();
    for (from, to) in zones {
        match merged.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    (end, merged)
}
