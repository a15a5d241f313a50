//! Sloped ends: which cut of the shear makes them, and what cannot be made so.

use super::geometry::Geometry;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::{E0512, E0520, E0521};
use crate::library::model::{Library, Line, Section, Slope};
use crate::member::model::{End, Place, Shape};
use crate::quantity::{Length, Span};

/// A cut as the shear makes it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Blade {
    /// Its slope.
    pub slope: Slope,
    /// How far upstream of its middle it lies at the left edge of the web, on the strip.
    pub at_left: Length,
}

impl Blade {
    /// Square across.
    pub const SQUARE: Blade = Blade { slope: Slope::SQUARE, at_left: Length::ZERO };

    /// From the middle of the web to the long point.
    pub fn half(self) -> Length {
        self.at_left.abs()
    }
    /// How much shorter what lies between two cuts is at one side than along the middle of the
    /// web.
    pub fn differs(self, other: Blade) -> Length {
        (self.at_left - other.at_left).abs()
    }
}

/// The cuts at a member's start and end.
pub(super) fn blades(shape: &Shape, library: &Library, geometry: &Geometry) -> [Blade; 2] {
    let web = library.profile(shape.profile).map_or(Length::ZERO, |profile| profile.web);
    [Slope::of_start(shape.start), Slope::of_end(shape.end)]
        .map(|slope| Blade { slope, at_left: geometry.strip(slope.at_left(web)) })
}

/// What the shear, or the tools for ends, cannot make of a shape's ends.
pub(super) fn check(
    shape: &Shape,
    blades: [Blade; 2],
    (name, span): (&str, Span),
    (library, line, geometry): (&Library, &Line, &Geometry),
    diagnostics: &mut Vec<Diagnostic>,
) {
    if blades == [Blade::SQUARE; 2] {
        return;
    }
    let hat = library.profile(shape.profile).is_some_and(|p| p.section == Section::Hat);
    for (which, blade) in [End::Start, End::End].into_iter().zip(blades) {
        if !blade.slope.is_square() && (hat || !line.shear.slopes.has(blade.slope)) {
            diagnostics.push(not_possible((name, span), which, blade.slope, line, hat));
        }
    }
    let [start, end] = blades;
    // Along the middle of the web, less what the shorter side lacks.
    let middle = geometry.strip(shape.length) - start.half() - end.half();
    if middle <= start.differs(end) {
        diagnostics.push(
            Diagnostic::new(
                &E0520,
                format!(
                    "the sloped ends of {name} meet: it is {} mm long at its long points",
                    shape.length
                ),
            )
            .at(span, "too short for its slopes")
            .note("at one side of the web no steel would be left between the two cuts")
            .help("make it longer, or its ends less steep"),
        );
    }
    for feature in &shape.features {
        let Place::End { end: which, .. } = feature.place else { continue };
        let blade = if which == End::Start { start } else { end };
        if blade.slope.is_square() {
            continue;
        }
        let kind = library.feature(feature.kind).map_or("feature", |kind| &kind.name);
        diagnostics.push(
            Diagnostic::new(
                &E0521,
                format!("this {kind} shapes the {which} of {name}, which is cut on a slope"),
            )
            .at(feature.span, "shapes a sloped end")
            .note(
                "tools for ends are made for square ones: at one side they would miss the steel, \
                 or strike the next member",
            )
            .help(format!(
                "draw the {which} square, or leave the {kind} out there and make it by hand"
            )),
        );
    }
}

fn not_possible(
    (name, span): (&str, Span),
    which: End,
    slope: Slope,
    line: &Line,
    hat: bool,
) -> Diagnostic {
    let (slopes, called) = (&line.shear.slopes, &line.name);
    let by_hand = "draw the end square, or cut the slope by hand after the line";
    let (what, help) = if slopes.is_empty() {
        (format!("line `{called}` cuts square"), by_hand)
    } else if hat {
        (format!("line `{called}` cuts hats square"), by_hand)
    } else {
        (
            format!("the shear of line `{called}` turns to {slopes}"),
            "draw a slope the shear can make, or cut it by hand after the line",
        )
    };
    let (rise, run) = (slope.rise.unsigned_abs(), slope.run);
    Diagnostic::new(
        &E0512,
        format!("the {which} of {name} is cut on a slope of {rise} : {run}; {what}"),
    )
    .at(span, "sloped end")
    .note("a square end where a slope is drawn will not close the joint")
    .help(help)
}
