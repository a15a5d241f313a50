use super::geometry::Geometry;
use super::window::after_accuracy;
use super::{footprint, matching, order};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::{
    E0501, E0505, E0506, E0507, E0508, E0509, E0511, E0512, E0514,
};
use crate::library::model::{How, Library, Line, Tool, ToolId};
use crate::member::model::{Datum, End, EndShape, Feature, Place, Position, ProfileId, Shape};
use crate::quantity::{Length, Tolerance, Window};

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

/// A shape bound to a line.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct BoundShape {
    /// Steps from its base to its cut, which is the next member's base: length and slug.
    pub pitch: i64,
    /// Strip from start to cut, as it will really be.
    pub strip_length: Length,
    /// Strokes but those of straddling tools.
    pub strokes: Vec<StrokeNeed>,
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
}

impl Draft<'_> {
    pub(super) fn nominal(&self) -> Length {
        self.centre - self.offset
    }
}

/// What binding works with.
pub(super) struct Bench<'a> {
    pub library: &'a Library,
    pub line: &'a Line,
    pub geometry: &'a Geometry,
    /// What the line is set up for.
    pub profile: ProfileId,
    /// How messages call the member.
    pub name: &'a str,
    /// Strip from the base to the member's start.
    pub start: Length,
    /// Strip from the base to the member's cut.
    pub cut: Length,
}

impl Bench<'_> {
    /// A position of this member, as strip from the base, with the end where it will really be.
    fn at(&self, position: Position) -> Length {
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
    let start = geometry.slug;
    let Some(pitch) = pitch(shape, name, span, line, geometry, &mut diagnostics) else {
        return (None, diagnostics);
    };
    let cut = geometry.length(pitch);
    let bench = Bench { library, line, geometry, profile: shape.profile, name, start, cut };
    let mut drafts = Vec::new();
    let mut edges: [Option<Edge>; 2] = [None, None];
    for feature in &shape.features {
        bind_feature(&bench, feature, &mut drafts, &mut edges, &mut diagnostics);
    }
    if !diagnostics.is_empty() {
        return (None, diagnostics);
    }
    footprint::keep_off_slugs(&bench, &mut drafts, &mut diagnostics);
    order::settle(&bench, &mut drafts, &edges, &mut diagnostics);
    diagnostics.extend(order::ends_too_near(&bench, &edges, span));
    check_windows(&bench, &drafts, &mut diagnostics);
    if !diagnostics.is_empty() {
        return (None, diagnostics);
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
    let bound = BoundShape {
        pitch,
        strip_length: cut - start,
        strokes,
        start: start_edge,
        end: end_edge,
        first: extremes(drafts.iter(), Length::ZERO),
        last: extremes(drafts.iter().rev(), cut),
        head,
    };
    (Some(bound), diagnostics)
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
    for (which, end_shape) in [(End::Start, shape.start), (End::End, shape.end)] {
        if end_shape != EndShape::Square {
            diagnostics.push(
                Diagnostic::new(
                    &E0512,
                    format!(
                        "the {which} of {name} is cut on a slope; line `{line_name}` cuts square"
                    ),
                )
                .at(span, "sloped end")
                .note("a square end where a slope is drawn will not close the joint")
                .help("draw the end square, or cut the slope by hand after the line"),
            );
        }
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
    let nominal = geometry.slug + geometry.strip(shape.length);
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

fn bind_feature<'a>(
    bench: &Bench<'a>,
    feature: &'a Feature,
    drafts: &mut Vec<Draft<'a>>,
    edges: &mut [Option<Edge>; 2],
    diagnostics: &mut Vec<Diagnostic>,
) {
    let Some(tools) = matching::cover(bench.library, bench.line, bench.profile, feature) else {
        diagnostics.push(no_tool(bench, feature));
        return;
    };
    for tool_id in tools {
        let Some(tool) = bench.line.tool(tool_id) else { continue };
        let accuracy = bench.line.accuracy + tool.accuracy;
        let taken = bench.geometry.allowance(accuracy);
        let Some((centre, window)) = centre_window(bench, feature, tool, taken) else {
            let tolerance = feature.place.tightest();
            diagnostics.push(
                Diagnostic::new(
                    &E0506,
                    format!(
                        "this {} may be off {tolerance} mm; tool `{}` places it to ±{accuracy} mm",
                        bench.feature_name(feature),
                        tool.name
                    ),
                )
                .at(feature.span, "tolerance under the line's accuracy")
                .note(format!(
                    "±{} mm of that is the line's feed, ±{} mm the tool's own",
                    bench.line.accuracy, tool.accuracy
                ))
                .help("allow more on the feature, or make it with a more accurate tool"),
            );
            continue;
        };
        let offset = bench.geometry.offset(tool_id);
        let due = centre - offset;
        let lo = bench.geometry.ceil_steps(due + window.lo);
        // Nothing fires at what is already cut off.
        let last = match (tool.how, feature.place) {
            (How::Straddle, Place::End { end: End::Start, .. }) => 0,
            _ => bench.geometry.floor_steps(bench.cut),
        };
        let hi = bench.geometry.floor_steps(due + window.hi).min(last);
        if let (How::Straddle, Place::End { end, .. }) = (tool.how, feature.place) {
            // Windows of the start count from the base, those of the end from the cut.
            let back = if end == End::Start { 0 } else { bench.geometry.floor_steps(bench.cut) };
            let stroke = StrokeNeed {
                tool: tool_id,
                lo: lo - back,
                hi: hi - back,
                nominal: due - bench.geometry.length(back),
            };
            // What it clamps counts as well as what it marks: neither may meet a neighbour.
            let clamped = tool.footprint - bench.geometry.slug.half();
            let reach = (bench.geometry.strip(tool.makes.outline.length()) + taken).max(clamped);
            let slot = if end == End::Start { edges.first_mut() } else { edges.last_mut() };
            if let Some(slot) = slot {
                if let Some(other) = slot.as_ref() {
                    diagnostics.push(two_straddles(bench, feature, other, tool));
                }
                *slot = Some(Edge { stroke, reach });
            }
            if lo > hi {
                diagnostics.push(no_grid_point(bench, feature, tool, due, window));
            }
            continue;
        }
        let draft = Draft { tool_id, tool, feature, centre, offset, lo, hi };
        if offset.is_negative() && lo > last {
            diagnostics.push(cut_off_before(bench, &draft));
            continue;
        }
        if lo > hi {
            diagnostics.push(no_grid_point(bench, feature, tool, due, window));
            continue;
        }
        drafts.push(draft);
    }
}

/// Where the tool's reference comes to lie (strip from the base), and how far the stroke may be
/// moved from there. For a straddling tool the reference is the cut.
fn centre_window(
    bench: &Bench<'_>,
    feature: &Feature,
    tool: &Tool,
    accuracy: Length,
) -> Option<(Length, Window<Length>)> {
    let geometry = bench.geometry;
    // What a tool leaves is described as it is on the finished member.
    let made = geometry.strip(tool.makes.outline.length());
    let strip = |tolerance: Tolerance| Tolerance {
        minus: geometry.strip(tolerance.minus),
        plus: geometry.strip(tolerance.plus),
    };
    match feature.place {
        Place::Point { at, tolerance } => {
            Some((bench.at(at), after_accuracy(strip(tolerance), accuracy)?))
        }
        Place::Range { from, from_tolerance, to, to_tolerance } => {
            let (begin, finish) = (bench.at(from), bench.at(to));
            let slack = matching::range_slack(
                made - (finish - begin),
                strip(from_tolerance),
                strip(to_tolerance),
            )?;
            let window = after_accuracy(slack, accuracy)?;
            // Nominal is where both edges are off alike.
            let centre = begin + (finish - begin).half();
            let leading = centre - made.half() - begin;
            Some((centre, Window { lo: window.lo - leading, hi: window.hi - leading }))
        }
        Place::End { end, tolerance } => {
            let window = after_accuracy(strip(tolerance), accuracy)?;
            // The inner edge is what is drawn, whatever the tool's own length.
            let drawn = geometry.strip(feature.outline.length());
            let shift = drawn - made;
            let moved = |by: Length| Window { lo: window.lo + by, hi: window.hi + by };
            let (reference, outward) = match (tool.how, end) {
                (How::Straddle, End::Start) => return Some((Length::ZERO, moved(shift))),
                (How::Straddle, End::End) => return Some((bench.cut, moved(-shift))),
                (_, End::Start) => (bench.start + drawn - made.half(), -1),
                (_, End::End) => (bench.cut - drawn + made.half(), 1),
            };
            // Beyond the end it may reach into the slug, never into the neighbour; short of the
            // end no further than its tolerance.
            let room = geometry.slug - accuracy;
            let window = if outward < 0 {
                let (lo, hi) = (-room - shift, window.hi - shift);
                Window { lo: window.lo.max(lo), hi: window.hi.min(hi) }
            } else {
                let (lo, hi) = (window.lo + shift, room + shift);
                Window { lo: window.lo.max(lo), hi: window.hi.min(hi) }
            };
            (!window.is_empty()).then_some((reference, window))
        }
    }
}

fn no_tool(bench: &Bench<'_>, feature: &Feature) -> Diagnostic {
    let name = bench.feature_name(feature);
    let asked = format!("{name} {} on the {}", feature.outline, feature.faces);
    let diagnostic =
        Diagnostic::new(&E0501, format!("line `{}` has no tool for {asked}", bench.line.name))
            .at(feature.span, format!("asked for by {}", bench.name));
    let out = matching::out_in_set_up(bench.library, bench.line, bench.profile, feature);
    if !out.is_empty() {
        let tools: Vec<String> = out.iter().map(|tool| format!("`{}`", tool.name)).collect();
        let profile = bench.library.profile(bench.profile).map_or("this profile", |p| &p.name);
        return diagnostic
            .note(format!(
                "{} would, but cannot be used when the line is set up for `{profile}`",
                tools.join(", ")
            ))
            .help("change the feature, batch the member for another line, or mount the tool and take it out of the set-up's `without`");
    }
    match matching::nearest(bench.library, bench.line, feature) {
        Some((tool, miss)) => diagnostic
            .note(format!("nearest: {}", miss.words(tool, feature)))
            .help("change the feature to what the tool makes, or mount a tool that makes this"),
        None => diagnostic
            .note(format!("no tool of this line makes `{name}` at all"))
            .help("batch the member for another line, or mount and describe such a tool"),
    }
}

fn no_grid_point(
    bench: &Bench<'_>,
    feature: &Feature,
    tool: &Tool,
    due: Length,
    window: Window<Length>,
) -> Diagnostic {
    let grid = bench.geometry.grid;
    let below = grid.floor(crate::quantity::Advance::at(due)).distance() - due;
    Diagnostic::new(
        &E0505,
        format!(
            "no stop of line `{}` brings this {} under tool `{}` within its tolerance",
            bench.line.name,
            bench.feature_name(feature),
            tool.name
        ),
    )
    .at(feature.span, "between two stops of the line")
    .note(format!(
        "after the accuracy of the line and tool it may be {} to {} mm off; the nearest stops are \
         {below} and {} mm off",
        window.lo,
        window.hi,
        below + grid.increment()
    ))
    .help(format!(
        "allow more on the feature, or move it to where the line's increment of {} mm meets it",
        grid.increment()
    ))
}

fn two_straddles(bench: &Bench<'_>, feature: &Feature, other: &Edge, tool: &Tool) -> Diagnostic {
    let first = bench.line.tool(other.stroke.tool).map_or("another tool", |t| &t.name);
    Diagnostic::new(
        &E0501,
        format!("one end of {} asks for two tools that straddle the cut", bench.name),
    )
    .at(feature.span, format!("`{}` here, besides `{first}`", tool.name))
    .note("both would work over the same slug, and one would crush what the other shaped")
    .help("keep one of the two end features")
}

/// A station below the shear works on the member while it is still held: at the latest at the
/// cut.
fn cut_off_before(bench: &Bench<'_>, draft: &Draft<'_>) -> Diagnostic {
    Diagnostic::new(
        &E0514,
        format!(
            "tool `{}` stands {} mm below the shear: this {} reaches it only after the member is \
             cut off",
            draft.tool.name,
            draft.offset.abs(),
            bench.feature_name(draft.feature)
        ),
    )
    .at(draft.feature.span, "too near the end for this tool")
    .note("the piece is no longer held when the tool would fire")
    .help(format!(
        "keep it {} mm or more from the end, or make it at a station above the shear",
        draft.offset.abs()
    ))
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
