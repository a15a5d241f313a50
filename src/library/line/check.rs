//! What must hold of a line as a whole.

use super::wire;
use crate::diagnostic::{Diagnostic, codes::library as codes};
use crate::library::common::{Found, finding, out_of_range};
use crate::library::model::{
    FeatureType, Form, How, Library, Line, Made, OutlineForm, Press, Station, Tool, Works,
};
use crate::member::model::Outline;
use crate::quantity::{Length, Span};

/// Everything about a line that one figure alone does not show.
pub(super) fn whole(wire: &wire::Line, line: &Line, library: &Library, found: &mut Found) {
    if line.shortest > line.longest {
        out_of_range(
            found,
            wire.shortest.span,
            format!(
                "`shortest` ({} mm) is longer than `longest` ({} mm)",
                line.shortest, line.longest
            ),
            "exchange the two figures",
        );
    }
    if line.head.least < line.shear.slug {
        out_of_range(
            found,
            wire.head.least.span,
            format!("a head of {} mm is shorter than the slug of its trim", line.head.least),
            format!("write at least {} mm: the trim's slug is part of the head", line.shear.slug),
        );
    }
    forming(wire, line, found);
    encoder(wire, line, found);
    tools(wire, line, library, found);
    collisions(line, found);
    overlaps(wire, line, found);
    presses(line, found);
}

/// One press a station, and force enough for each of its tools.
fn presses(line: &Line, found: &mut Found) {
    for (index, station) in line.stations.iter().enumerate() {
        let drives = |press: &&Press| press.stations.iter().any(|s| usize::from(s.0) == index);
        let mut driving = line.presses.iter().filter(drives);
        let (Some(press), second) = (driving.next(), driving.next()) else { continue };
        if let Some(second) = second {
            found.push(finding(
                &codes::E0342,
                second.span,
                format!(
                    "`{}` is driven by `{}` and by `{}`",
                    station.name, press.name, second.name
                ),
                "the second press of this station",
                "list the station under the press that really drives it",
            ));
        }
        let Some(most) = press.force else { continue };
        for tool in line.tools.iter().filter(|tool| usize::from(tool.station.0) == index) {
            let what = match tool.force {
                0 => format!("`{}` does not say what force it needs", tool.name),
                force if force > most => format!("`{}` needs {force} N", tool.name),
                _ => continue,
            };
            found.push(finding(
                &codes::E0342,
                tool.span,
                format!("{what}; press `{}` has {most} N", press.name),
                "a tool of this press",
                "write its `force`, such as \"60 kN\", as the die's maker says",
            ));
        }
    }
}

/// Patterns and nibbling.
fn special(wire: &wire::Tool, line: &Line, library: &Library, tool: &Tool, found: &mut Found) {
    if let How::Nibble { overlap, least_bite } = tool.how {
        if overlap + least_bite >= tool.makes.outline.length() {
            found.push(finding(
                &codes::E0340,
                wire.how.span,
                format!("`{}` can never get on", tool.name),
                format!(
                    "{} mm long; {overlap} mm are shared and {least_bite} mm the least bite",
                    tool.makes.outline.length()
                ),
                "check `length`, `bite-overlap` and `least-bite`",
            ));
        }
    } else {
        for at in [&wire.bite_overlap, &wire.least_bite].into_iter().flatten() {
            found.push(finding(
                &codes::E0340,
                at.span,
                format!("`{}` does not nibble", tool.name),
                "of no use here",
                "take it away, or write how = \"nibble\"",
            ));
        }
    }
    for (part, written) in tool.also.iter().zip(wire.also.iter().flatten()) {
        let refuse = |found: &mut Found, label: String, help: &str| {
            found.push(
                finding(
                    &codes::E0341,
                    written.at.span,
                    format!("`{}` cannot make this with the same stroke", tool.name),
                    label,
                    help,
                )
                .note("A pattern tool's marks come off together, wherever it strikes."),
            );
        };
        let half = ceil_half(part.makes.outline.length());
        match tool.how {
            How::End => refuse(
                found,
                "an end tool turns its pattern outward at one of the two ends".to_string(),
                "describe it as a straddling tool if it works over the cut",
            ),
            How::Nibble { .. } => refuse(
                found,
                "it would be made again with each bite".to_string(),
                "take it away, or write how = \"point\"",
            ),
            How::Point if part.at.abs() + half > tool.footprint => refuse(
                found,
                format!("it reaches {} mm from the tool's centre", part.at.abs() + half),
                "make `footprint` what the stripper really clamps, or check `at`",
            ),
            How::Straddle if part.at < half => refuse(
                found,
                format!("it reaches over the end: its half is {half} mm"),
                "`at` is its centre from the end, inward",
            ),
            How::Straddle if part.at + half + ceil_half(line.shear.slug) > tool.footprint => {
                refuse(
                    found,
                    format!("it reaches {} mm inward", part.at + half),
                    "make `footprint` what the stripper really clamps, or check `at`",
                )
            }
            How::Point | How::Straddle => {}
        }
        for name in written.makes.value.as_slice() {
            let Some((_, feature)) = library.feature_named(&name.value) else { continue };
            if feature.form != Form::Point {
                refuse(
                    found,
                    format!("`{}` is no point", feature.name),
                    "only points can be further marks of a pattern",
                );
            }
            mark_against_type(feature, &tool.name, &part.makes, name.span, found);
        }
    }
}

/// The strip a station's tools clamp when the strip stands, as distances from the shear.
fn clamped(line: &Line, index: usize, station: &Station) -> (Length, Length) {
    let mut reach = (station.offset, station.offset);
    for tool in line.tools.iter().filter(|t| usize::from(t.station.0) == index) {
        let centre = match tool.how {
            How::Straddle => station.offset + line.shear.slug.half(),
            How::Point | How::Nibble { .. } | How::End => station.offset,
        };
        reach.0 = reach.0.min(centre - tool.footprint);
        reach.1 = reach.1.max(centre + tool.footprint);
    }
    reach
}

fn forming(wire: &wire::Line, line: &Line, found: &mut Found) {
    let (from, to) = line.forming;
    if from >= to {
        out_of_range(
            found,
            wire.forming.from.span,
            format!("the forming zone runs from {from} mm to {to} mm"),
            "`from` is the end nearer the shear, `to` the one further upstream",
        );
        return;
    }
    if from < Length::ZERO && to > Length::ZERO {
        found.push(finding(
            &codes::E0320,
            wire.forming.from.span,
            "the shear stands inside the forming zone",
            format!("{from} mm to {to} mm, and the shear is at 0"),
            "distances are measured from the shear, positive upstream: check the signs",
        ));
        return;
    }
    for (index, station) in line.stations.iter().enumerate() {
        let at = station.offset;
        let Some(written) = wire.station.get(index) else { continue };
        if from < at && at < to {
            found.push(
                finding(
                    &codes::E0320,
                    written.offset.span,
                    format!("`{}` stands inside the forming zone", station.name),
                    format!("{at} mm lies between {from} mm and {to} mm"),
                    "measure its distance from the shear again, or the zone's",
                )
                .note(
                    "Among the rolls the strip is neither flat nor a section: no tool fits there.",
                ),
            );
            continue;
        }
        let wrong = match station.works {
            Works::Flat if at <= from => Some(("flat strip", "downstream of", "formed")),
            Works::Formed if at >= to => Some(("the formed section", "upstream of", "flat")),
            _ => None,
        };
        if let Some((what, side, other)) = wrong {
            found.push(
                finding(
                    &codes::E0321,
                    written.works.span,
                    format!(
                        "`{}` works on {what} but stands {side} the forming zone",
                        station.name
                    ),
                    format!("at {at} mm; the zone is {from} mm to {to} mm"),
                    format!("write works = \"{other}\", or measure `offset` again"),
                )
                .note("Which stroke meets the strip first goes by it."),
            );
            continue;
        }
        let (low, high) = clamped(line, index, station);
        if low < to && high > from {
            found.push(finding(
                &codes::E0320,
                written.offset.span,
                format!("the tools of `{}` reach into the forming zone", station.name),
                format!("they clamp {low} mm to {high} mm; the zone is {from} mm to {to} mm"),
                "check `offset`, the tools' `footprint`, and the zone",
            ));
        }
    }
    if let (Some(marker), Some(written)) = (&line.marker, &wire.marker)
        && from < marker.offset
        && marker.offset < to
    {
        found.push(finding(
            &codes::E0320,
            written.offset.span,
            "the marker stands inside the forming zone",
            format!("{} mm lies between {from} mm and {to} mm", marker.offset),
            "measure its distance from the shear again, or the zone's",
        ));
    }
}

/// The encoder has to run on flat strip or on the section, and on strip at all from the first stop
/// on.
fn encoder(wire: &wire::Line, line: &Line, found: &mut Found) {
    let (Some(at), Some(written)) = (line.encoder, &wire.encoder) else { return };
    let (from, to) = line.forming;
    if from < at && at < to {
        found.push(
            finding(
                &codes::E0320,
                written.offset.span,
                "the encoder stands inside the forming zone",
                format!("{at} mm lies between {from} mm and {to} mm"),
                "measure its distance from the shear again, or the zone's",
            )
            .note("Among the rolls the strip is being stretched: what is counted there is neither flat strip nor section."),
        );
    }
    // One that is negative is told already.
    if !at.is_negative() && -line.head.first_advance > at {
        out_of_range(
            found,
            wire.head.first_advance.span,
            format!(
                "the strip's edge is {} mm before the shear, and the encoder stands at {at} mm",
                -line.head.first_advance
            ),
            "tools may fire only where the encoder counts: make `first-advance` its distance at most",
        );
    }
}

/// Each tool against the types it makes and against its own footprint.
fn tools(wire: &wire::Line, line: &Line, library: &Library, found: &mut Found) {
    let written: Vec<&wire::Tool> = wire.station.iter().flat_map(|s| &s.tool).collect();
    for tool in &line.tools {
        let Some(wire) = written.iter().find(|w| w.name.span == tool.span) else { continue };
        let reach = tool.makes.outline.length();
        let (least, what) = match tool.how {
            How::Point | How::Nibble { .. } | How::End => {
                (ceil_half(reach), "half of its mark's length")
            }
            How::Straddle => {
                (ceil_half(line.shear.slug) + reach, "half the slug and its reach beyond it")
            }
        };
        if tool.footprint < least {
            found.push(
                finding(
                    &codes::E0323,
                    wire.footprint.span,
                    format!("the footprint of `{}` is smaller than what it marks", tool.name),
                    format!("{} mm; {what} is {least} mm", tool.footprint),
                    format!("write at least {least} mm: what the stripper and die clamp, from the centre"),
                )
                .note("Footprints keep strokes off cuts and off each other's marks."),
            );
        }
        special(wire, line, library, tool, found);
        for name in wire.makes.value.as_slice() {
            if let Some((_, feature)) = library.feature_named(&name.value) {
                type_against_tool(feature, tool, name.span, found);
            }
        }
    }
    for (station, model) in wire.station.iter().zip(&line.stations) {
        if station.tool.is_empty() {
            found.push(finding(
                &codes::W0325,
                model.span,
                format!("the station `{}` has no tool", model.name),
                "nothing is made here",
                "add a [[station.tool]], or leave the station out",
            ));
        }
    }
}

/// Half a length, rounded up.
fn ceil_half(length: Length) -> Length {
    length - length.half()
}

fn type_against_tool(feature: &FeatureType, tool: &Tool, span: Span, found: &mut Found) {
    let kind = &feature.name;
    let name = &tool.name;
    let mut refuse = |what, help| found.push(cannot_make(feature, span, what, help));
    let how_fits = match feature.form {
        Form::Point => tool.how == How::Point,
        Form::Range => matches!(tool.how, How::Point | How::Nibble { .. }),
        Form::End => matches!(tool.how, How::End | How::Straddle),
    };
    if !how_fits {
        let (is, needs) = match feature.form {
            Form::Point => ("a point", "how = \"point\""),
            Form::Range => {
                ("a range", "how = \"point\", with the length of the range, or how = \"nibble\"")
            }
            Form::End => ("an end shape", "how = \"end\" or how = \"straddle\""),
        };
        refuse(format!("`{kind}` is {is}, and `{name}` is not used so"), format!("write {needs}"));
    }
    mark_against_type(feature, name, &tool.makes, span, found);
}

fn cannot_make(feature: &FeatureType, span: Span, what: String, help: String) -> Diagnostic {
    Diagnostic::new(&codes::E0322, what)
        .at(span, "cannot be made so")
        .at(feature.span, "the type is described here")
        .help(help)
}

/// Faces, outline and sizes of a mark against the type it is to be.
fn mark_against_type(
    feature: &FeatureType,
    name: &str,
    makes: &Made,
    span: Span,
    found: &mut Found,
) {
    let kind = &feature.name;
    let mut refuse = |what, help| found.push(cannot_make(feature, span, what, help));
    let stray = makes.faces - feature.allowed;
    if !stray.is_empty() {
        refuse(
            format!("`{name}` marks the {stray}, where `{kind}` cannot be"),
            format!("`{kind}` can be on the {}: change `faces` here or there", feature.allowed),
        );
    }
    let differs = |fixed: Option<Length>, made: Length| fixed.is_some_and(|f| f != made);
    let fits = match (feature.outline, makes.outline) {
        (OutlineForm::Circle { diameter: d }, Outline::Circle { diameter }) => {
            !differs(d, diameter)
        }
        (OutlineForm::Slot { length: l, width: w }, Outline::Slot { length, width })
        | (OutlineForm::Rectangle { length: l, width: w }, Outline::Rectangle { length, width }) => {
            !differs(l, length) && !differs(w, width)
        }
        _ => false,
    };
    if !fits {
        refuse(
            format!("`{name}` leaves {}, which is not the outline of `{kind}`", makes.outline),
            format!(
                "make the type's outline and sizes those of the die, or take `{kind}` out of `makes`"
            ),
        );
    }
}

/// Stations that clamp the same strip, and stations in the shear's way.
fn collisions(line: &Line, found: &mut Found) {
    let mut order: Vec<(usize, &Station)> = line.stations.iter().enumerate().collect();
    order.sort_by_key(|(index, station)| (station.offset, *index));
    for pair in order.windows(2) {
        let [(a, near), (b, far)] = pair else { continue };
        let (_, near_high) = clamped(line, *a, near);
        let (far_low, _) = clamped(line, *b, far);
        let same = near.offset == far.offset;
        if !same && near_high <= far_low {
            continue;
        }
        let label = if same {
            format!("both at {} mm", far.offset)
        } else {
            format!("`{}` clamps up to {near_high} mm, `{}` from {far_low} mm", near.name, far.name)
        };
        found.push(
            Diagnostic::new(
                &codes::E0319,
                format!("the stations `{}` and `{}` collide", near.name, far.name),
            )
            .at(far.span, label)
            .at(near.span, "the other one")
            .note("Two units cannot stand in one place: one of the distances is wrong, and every hole would be too.")
            .help("measure both from the shear again, or mount the tools on one station"),
        );
    }
    let blade = (Length::ZERO, line.shear.slug);
    for (index, station) in order {
        let combined = station.offset == Length::ZERO
            && line
                .tools
                .iter()
                .filter(|t| usize::from(t.station.0) == index)
                .all(|t| t.how == How::Straddle);
        let (low, high) = clamped(line, index, station);
        if !combined && low < blade.1.max(Length::from_nm(1)) && high > blade.0 {
            found.push(finding(
                &codes::E0319,
                station.span,
                format!("the station `{}` stands in the shear's way", station.name),
                format!("it clamps {low} mm to {high} mm; the shear is at 0"),
                "measure its distance again; only a straddling tool built into the shear stands at 0",
            ));
        }
    }
}

/// Orders that the places of the stations make impossible.
fn overlaps(wire: &wire::Line, line: &Line, found: &mut Found) {
    let written = wire.overlap.iter().flatten();
    for overlap in written {
        let tool = |name: &str| line.tools.iter().find(|t| *t.name == *name);
        let (Some(first), Some(then)) = (tool(&overlap.first.value), tool(&overlap.then.value))
        else {
            continue;
        };
        if std::ptr::eq(first, then) {
            found.push(finding(
                &codes::E0324,
                overlap.then.span,
                format!("`{}` is paired with itself", first.name),
                "the same tool",
                "name two tools; how near one may fire again is `refire`",
            ));
            continue;
        }
        let offset = |tool: &Tool| line.station(tool.station).map(|s| s.offset);
        let (Some(d_first), Some(d_then)) = (offset(first), offset(then)) else { continue };
        // On overlapping footprints a must precede b: possible only where x_a − d_a ≤ x_b − d_b.
        if d_then - d_first > first.footprint + then.footprint {
            found.push(
                finding(
                    &codes::E0324,
                    overlap.first.span,
                    format!("`{}` cannot fire before `{}` on one place", first.name, then.name),
                    format!("it stands {} mm further downstream", d_then - d_first),
                    "exchange `first` and `then`, if the tools bear it in that order",
                )
                .note("Strip passes the upstream station first."),
            );
        }
    }
}
