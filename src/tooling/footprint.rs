use super::bind::{Bench, Draft};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::line::E0502;
use crate::library::model::How;

/// Stripper and die must stand on the member, not over the slug beside it: narrows each window
/// to that, and refuses what does not fit at all. A sloped end counts from its short point, on
/// every face. Tools that shape ends reach over by design.
pub(super) fn keep_off_slugs(
    bench: &Bench<'_>,
    drafts: &mut [Draft<'_>],
    diagnostics: &mut Vec<Diagnostic>,
) {
    for draft in drafts.iter_mut().filter(|d| matches!(d.tool.how, How::Point | How::Nibble { .. }))
    {
        let half = draft.tool.footprint;
        let accuracy = bench.line.accuracy + draft.tool.accuracy;
        let [at_start, at_end] = bench.blades.map(|blade| blade.half() + blade.half());
        let first = bench.start + at_start + half - draft.offset;
        let last = bench.cut - at_end - half - draft.offset;
        let lo = draft.lo.max(bench.geometry.ceil_steps(first + accuracy));
        let hi = draft.hi.min(bench.geometry.floor_steps(last - accuracy));
        if lo > hi {
            let from_start = bench.geometry.told(draft.centre - bench.start);
            let from_end = bench.geometry.told(bench.cut - draft.centre);
            let (edge, distance, lost) = if from_start - at_start <= from_end - at_end {
                ("start", from_start, at_start)
            } else {
                ("end", from_end, at_end)
            };
            diagnostics.push(
                Diagnostic::new(
                    &E0502,
                    format!(
                        "this {} lies {distance} mm from the {edge}; tool `{}` clamps {half} mm to \
                         either side and would stand over the cut",
                        bench.feature_name(draft.feature),
                        draft.tool.name
                    ),
                )
                .at(draft.feature.span, format!("too near the {edge} of {}", bench.name))
                .note("a die half on the slug tips, and the cut beside it runs off square")
                .help(format!(
                    "move it to {} mm or more from the {edge}, or use a tool that clamps less",
                    bench.geometry.told(half + accuracy + lost)
                )),
            );
        } else {
            draft.lo = lo;
            draft.hi = hi;
        }
    }
}
