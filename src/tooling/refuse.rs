//! Why a member cannot be made on a line, in words.

use super::bind::{Bench, Draft, Edge};
use super::matching;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::{E0501, E0505, E0506, E0514};
use crate::library::model::Tool;
use crate::member::model::Feature;
use crate::quantity::{Length, Window};

pub(super) fn under_accuracy(bench: &Bench<'_>, feature: &Feature, tool: &Tool) -> Diagnostic {
    let accuracy = bench.line.accuracy + tool.accuracy;
    Diagnostic::new(
        &E0506,
        format!(
            "this {} may be off {} mm; tool `{}` places it to ±{accuracy} mm",
            bench.feature_name(feature),
            feature.place.tightest(),
            tool.name
        ),
    )
    .at(feature.span, "tolerance under the line's accuracy")
    .note(format!(
        "±{} mm of that is the line's feed, ±{} mm the tool's own",
        bench.line.accuracy, tool.accuracy
    ))
    .help("allow more on the feature, or make it with a more accurate tool")
}

pub(super) fn no_tool(bench: &Bench<'_>, feature: &Feature) -> Diagnostic {
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

pub(super) fn no_grid_point(
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

pub(super) fn two_straddles(
    bench: &Bench<'_>,
    feature: &Feature,
    other: &Edge,
    tool: &Tool,
) -> Diagnostic {
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
pub(super) fn cut_off_before(bench: &Bench<'_>, draft: &Draft<'_>) -> Diagnostic {
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
