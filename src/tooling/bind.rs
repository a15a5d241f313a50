use super::geometry::Geometry;
use super::nibble::{self, Bites};
use super::place::{asked, place};
use super::refuse::{no_grid_point, no_tool, under_accuracy};
use super::slope::{self, Blade};
use super::ways::{Picks, Ways};
use super::window::after_accuracy;
use super::{footprint, order};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::{E0507, E0508, E0509, E0511};
use crate::library::model::{How, Library, Line, Tool, ToolId};
use crate::member::model::{Datum, Feature, Position, ProfileId, Shape};
use crate::quantity::{Length, Window};

/// One stroke a member asks for. Steps and lengths are advances relative to the member's base.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct StrokeNeed {
    /// Which tool.
    pub tool: ToolId,
    /// First step it may fire at.
    pub lo: i64,
    /// Last step it may fire at.
    pub hi: i64,
    /// Where the drawing has it, exactly.
    pub nominal: Length,
}

/// What one end asks of the cut beside it: a stroke of a straddling tool. Steps and lengths are
/// advances relative to that cut.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Edge {
    /// The stroke; its window is this end's alone.
    pub stroke: StrokeNeed,
    /// How far the tool may reach on either side of the slug, in strip, accuracy included.
    pub reach: Length,
}

/// A range made by several strokes of one tool. Between its first and its last stroke others
/// follow each other at these steps; where exactly is a matter of where the strip stops anyway.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Nibbled {
    /// First stroke, of the shape's.
    pub first: usize,
    /// Last stroke.
    pub last: usize,
    /// Least steps from one to the next.
    pub least: i64,
    /// Most.
    pub most: i64,
}

/// A shape bound to a line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BoundShape {
    /// Steps from its base to its cut, which is the next member's base: length and slug.
    pub pitch: i64,
    /// Strip from start to cut, as it will really be, along the middle of the web.
    pub strip_length: Length,
    /// Cuts at its start and at its end.
    pub blades: [Blade; 2],
    /// Strokes but those of straddling tools.
    pub strokes: Vec<StrokeNeed>,
    /// Ranges made by several strokes: those between the first and the last are not in `strokes`.
    pub nibbled: Vec<Nibbled>,
    /// At its start.
    pub start: Option<Edge>,
    /// At its end.
    pub end: Option<Edge>,
    /// First stroke of each tool, with its tool's centre from the base.
    pub first: Vec<(ToolId, Length)>,
    /// Last stroke of each tool, with its tool's centre from the cut.
    pub last: Vec<(ToolId, Length)>,
    /// Least base at which every stroke (the start's straddling one too) comes after the line may
    /// first fire, counted from an advance of 0: a head of this many steps. May be negative.
    pub head: i64,
}

/// A stroke on the way to being settled: still with its feature, for messages and footprints.
pub(super) struct Draft<'a> {
    pub tool_id: ToolId,
    pub tool: &'a Tool,
    pub feature: &'a Feature,
    /// Tool centre, strip from the base.
    pub centre: Length,
    /// Station's distance from the shear.
    pub offset: Length,
    pub lo: i64,
    pub hi: i64,
    /// The nibbled range it is the first or the last bite of.
    pub hit: Option<Hit>,
}

/// Which end of which nibbled range a stroke is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Hit {
    First(usize),
    Last(usize),
}

/// What a member has come to so far.
#[derive(Default)]
pub(super) struct Work<'a> {
    pub drafts: Vec<Draft<'a>>,
    pub edges: [Option<Edge>; 2],
    pub bites: Vec<Bites>,
}

impl Draft<'_> {
    pub(super) fn nominal(&self) -> Length {
        self.centre - self.offset
    }
}

/// What binding works with.
#[derive(Clone, Copy)]
pub(super) struct Bench<'a> {
    pub library: &'a Library,
    pub line: &'a Line,
    pub geometry: &'a Geometry,
    /// What the line is set up for.
    pub profile: ProfileId,
    /// How messages call the member.
    pub name: &'a str,
    /// Strip from the base to the member's start, its long point.
    pub start: Length,
    /// Strip from the base to the member's end, its long point.
    pub cut: Length,
    /// Strip from the base to the cut, in the middle of the web.
    pub pitch: Length,
    /// Cuts at its start and at its end.
    pub blades: [Blade; 2],
}

impl Bench<'_> {
    /// A position of this member, as strip from the base, with the end where it will really be.
    pub(super) fn at(&self, position: Position) -> Length {
        let datum = match position.datum {
            Datum::Start => self.start,
            Datum::Middle => self.start + (self.cut - self.start).half(),
            Datum::End => self.cut,
        };
        datum + self.geometry.strip(position.offset)
    }
    pub(super) fn feature_name(&self, feature: &Feature) -> &str {
        self.library.feature(feature.kind).map_or("feature", |kind| &kind.name)
    }
}

/// Binds a shape to a line, or says what stands in the way. `name` is what messages call the
/// member (`S1 of N1`), `span` where it is written.
pub fn bind(
    shape: &Shape,
    name: &str,
    span: crate::quantity::Span,
    library: &Library,
    line: &Line,
    geometry: &Geometry,
) -> (Option<BoundShape>, Vec<Diagnostic>) {
    let mut diagnostics = Vec::new();
    check_line_limits(shape, name, span, library, line, &mut diagnostics);
    let blades = slope::blades(shape, library, geometry);
    slope::check(shape, blades, (name, span), (library, line, geometry), &mut diagnostics);
    let start = geometry.slug - blades[0].half();
    let Some(steps) = pitch(shape, name, span, line, geometry, blades, &mut diagnostics) else {
        return (None, diagnostics);
    };
    let pitch = geometry.length(steps);
    let cut = pitch + blades[1].half();
    let profile = shape.profile;
    let bench = Bench { library, line, geometry, profile, name, start, cut, pitch, blades };
    let pitch = steps;
    let first = Ways::first(&bench, shape);
    let mut bound = bind_way(&bench, shape, pitch, span, &first, &first.preferred());
    if bound.is_err() {
        let ways = Ways::of(&bench, shape);
        let mut instead = ways.instead();
        let other =
            instead.find_map(|picks| bind_way(&bench, shape, pitch, span, &ways, &picks).ok());
        bound = other.map_or(bound, Ok);
    }
    match bound {
        Ok(bound) if diagnostics.is_empty() => (Some(bound), diagnostics),
        Ok(_) => (None, diagnostics),
        Err(found) => {
            diagnostics.extend(found);
            (None, diagnostics)
        }
    }
}

/// Binds a shape one of the ways it may be made.
pub(super) fn bind_way<'a>(
    bench: &Bench<'a>,
    shape: &'a Shape,
    pitch: i64,
    span: crate::quantity::Span,
    ways: &Ways<'a>,
    picks: &Picks,
) -> Result<BoundShape, Vec<Diagnostic>> {
    let (line, geometry) = (bench.line, bench.geometry);
    let mut diagnostics = Vec::new();
    let mut work = Work::default();
    for claim in ways.patterns(picks) {
        let Work { drafts, edges, .. } = &mut work;
        place(bench, claim.feature, claim.tool, claim.asked, drafts, edges, &mut diagnostics);
    }
    let claimed = |feature: &Feature| {
        let mut all = ways.patterns(picks).flat_map(|claim| &claim.all);
        all.any(|one| std::ptr::eq(*one, feature))
    };
    for (i, feature) in shape.features.iter().enumerate().filter(|(_, f)| !claimed(f)) {
        bind_feature(bench, feature, ways.tools(picks, i), &mut work, &mut diagnostics);
    }
    let Work { mut drafts, edges, bites } = work;
    if !diagnostics.is_empty() {
        return Err(diagnostics);
    }
    footprint::keep_off_slugs(bench, &mut drafts, &mut diagnostics);
    order::settle(bench, &mut drafts, &edges, &mut diagnostics);
    diagnostics.extend(order::ends_too_near(bench, &edges, span));
    diagnostics.extend(nibble::in_the_way(bench, &drafts, &edges));
    check_windows(bench, &drafts, &mut diagnostics);
    if !diagnostics.is_empty() {
        return Err(diagnostics);
    }
    let strokes: Vec<StrokeNeed> = drafts
        .iter()
        .map(|d| StrokeNeed { tool: d.tool_id, lo: d.lo, hi: d.hi, nominal: d.nominal() })
        .collect();
    let [start_edge, end_edge] = edges;
    let first = geometry.ceil_steps(line.head.first_advance);
    // A tool that straddles the trim needs the strip's edge under it, not before it.
    let edge_first = start_edge.map(|edge| {
        let on_strip = geometry.ceil_steps(-geometry.offset(edge.stroke.tool));
        first.max(on_strip) - edge.stroke.hi
    });
    let head = strokes
        .iter()
        .map(|stroke| first - stroke.hi)
        .chain(edge_first)
        .max()
        .unwrap_or(i64::MIN / 4);
    Ok(BoundShape {
        pitch,
        strip_length: bench.pitch - geometry.slug,
        blades: bench.blades,
        strokes,
        nibbled: nibble::settled(&bites, &drafts),
        start: start_edge,
        end: end_edge,
        first: extremes(drafts.iter(), Length::ZERO),
        last: extremes(drafts.iter().rev(), bench.pitch),
        head,
    })
}

/// The first stroke of each tool in this order, from `origin`.
fn extremes<'d, 'a: 'd>(
    drafts: impl Iterator<Item = &'d Draft<'a>>,
    origin: Length,
) -> Vec<(ToolId, Length)> {
    let mut found: Vec<(ToolId, Length)> = Vec::new();
    for draft in drafts {
        if !found.iter().any(|(tool, _)| *tool == draft.tool_id) {
            found.push((draft.tool_id, draft.centre - origin));
        }
    }
    found
}

fn check_line_limits(
    shape: &Shape,
    name: &str,
    span: crate::quantity::Span,
    library: &Library,
    line: &Line,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let line_name = &line.name;
    if !line.set_ups.iter().any(|s| s.profile == shape.profile) {
        let profile = library.profile(shape.profile).map_or("this profile", |p| &p.name);
        diagnostics.push(
            Diagnostic::new(&E0511, format!("line `{line_name}` has no set-up for `{profile}`"))
                .at(span, format!("{name} is made of it"))
                .note("without rolls set for the section the strip leaves the line as scrap")
                .help(format!(
                    "add a set-up for `{profile}` to the line, or batch this for another line"
                )),
        );
    }
    if shape.length < line.shortest {
        diagnostics.push(
            Diagnostic::new(
                &E0508,
                format!(
                    "{name} is {} mm long; line `{line_name}` lets nothing under {} mm go",
                    shape.length, line.shortest
                ),
            )
            .at(span, "too short for the line")
            .note("a piece that does not clear the shear jams against the next one")
            .help("make it longer, or cut it by hand from a longer member"),
        );
    }
    if shape.length > line.longest {
        diagnostics.push(
            Diagnostic::new(
                &E0509,
                format!(
                    "{name} is {} mm long; the run-out of line `{line_name}` takes {} mm",
                    shape.length, line.longest
                ),
            )
            .at(span, "too long for the line")
            .note("the piece would leave the table before the shear cuts it")
            .help("splice it from two members, or batch it for a line with a longer run-out"),
        );
    }
}

/// Steps from base to cut: the grid point nearest to start + length that the length tolerance
/// and the machine's accuracy allow.
fn pitch(
    shape: &Shape,
    name: &str,
    span: crate::quantity::Span,
    line: &Line,
    geometry: &Geometry,
    blades: [Blade; 2],
    diagnostics: &mut Vec<Diagnostic>,
) -> Option<i64> {
    let Some(window) = after_accuracy(shape.length_tolerance, line.accuracy) else {
        diagnostics.push(
            Diagnostic::new(
                &E0507,
                format!(
                    "the length of {name} may be off {} mm; line `{}` cuts to ±{} mm",
                    shape.length_tolerance, line.name, line.accuracy
                ),
            )
            .at(span, "length tolerance under the line's accuracy")
            .note("some pieces would be out of tolerance however the line is programmed")
            .help("allow more on the length, or make it on a more accurate line"),
        );
        return None;
    };
    // The length is to the long points; a cut stands where it crosses the middle of the web.
    let [at_start, at_end] = blades.map(Blade::half);
    let nominal = geometry.slug + geometry.strip(shape.length) - at_start - at_end;
    let lo = geometry.ceil_steps(nominal + geometry.strip(window.lo));
    let hi = geometry.floor_steps(nominal + geometry.strip(window.hi));
    if lo > hi {
        diagnostics.push(
            Diagnostic::new(
                &E0507,
                format!(
                    "no stop of line `{}` cuts {name} to {} mm {}: its increment is {} mm and its \
                     accuracy ±{} mm",
                    line.name,
                    shape.length,
                    shape.length_tolerance,
                    line.grid.increment(),
                    line.accuracy
                ),
            )
            .at(span, "no grid point within the length tolerance")
            .note("the shear can only cut where the strip can stop")
            .help("allow more on the length, or choose a length the line's increment meets"),
        );
        return None;
    }
    let nearest = geometry
        .floor_steps(geometry.grid.nearest(crate::quantity::Advance::at(nominal)).distance());
    Some(nearest.clamp(lo, hi))
}

/// The strokes of one feature that no pattern has claimed.
fn bind_feature<'a>(
    bench: &Bench<'a>,
    feature: &'a Feature,
    tools: Option<&[ToolId]>,
    work: &mut Work<'a>,
    diagnostics: &mut Vec<Diagnostic>,
) {
    let Some(tools) = tools else {
        diagnostics.push(no_tool(bench, feature));
        return;
    };
    for &tool_id in tools {
        let Some(tool) = bench.line.tool(tool_id) else { continue };
        let taken = bench.geometry.allowance(bench.line.accuracy + tool.accuracy);
        if let How::Nibble { .. } = tool.how
            && nibble::by_bites(tool, feature)
        {
            match nibble::bites(bench, feature, (tool_id, tool), taken, work) {
                Ok(()) => {}
                Err(refusal) => diagnostics.push(*refusal),
            }
            continue;
        }
        match asked(bench, feature, tool.how, tool.makes.outline, taken) {
            Some(asked) => {
                let Work { drafts, edges, .. } = &mut *work;
                place(bench, feature, (tool_id, tool), asked, drafts, edges, diagnostics);
            }
            None => diagnostics.push(under_accuracy(bench, feature, tool)),
        }
    }
}

/// After footprints and orders have narrowed the windows, each must still hold a grid point.
fn check_windows(bench: &Bench<'_>, drafts: &[Draft<'_>], diagnostics: &mut Vec<Diagnostic>) {
    if !diagnostics.is_empty() {
        return;
    }
    for draft in drafts.iter().filter(|d| d.lo > d.hi) {
        let due = draft.nominal();
        let window = Window {
            lo: bench.geometry.length(draft.lo) - due,
            hi: bench.geometry.length(draft.hi) - due,
        };
        diagnostics.push(no_grid_point(bench, draft.feature, draft.tool, due, window));
    }
}
