//! Which tools can make a feature, and why the others cannot.

use super::bind::Bench;
use super::nibble;
use crate::library::model::{How, Library, Line, Made, Tool, ToolId};
use crate::member::model::{Faces, Feature, Outline, Place, ProfileId};
use crate::quantity::{Length, Tolerance};

/// Why a tool does not make a feature; ordered from farthest to nearest.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Miss {
    Shape(Outline),
    Use(&'static str),
    Size(Outline),
    Faces(Faces),
    Across(Length),
}

impl Miss {
    /// In words, with what the member asks for.
    pub(super) fn words(&self, tool: &Tool, feature: &Feature) -> String {
        let name = &tool.name;
        match self {
            Miss::Shape(made) | Miss::Size(made) => {
                format!("tool `{name}` makes {made}, the member asks for {}", feature.outline)
            }
            Miss::Use(how) => format!("tool `{name}` {how}"),
            Miss::Faces(made) => format!(
                "tool `{name}` makes it on the {made} in one stroke, the member asks for it on the \
                 {}",
                feature.faces
            ),
            Miss::Across(gauge) => format!(
                "tool `{name}` stands {gauge} mm from the face's centre line, the member asks for \
                 {} mm ({} mm allowed)",
                feature.across, feature.across_tolerance
            ),
        }
    }
}

/// Whether one stroke of the tool leaves (part of) this feature; the tool's other faces must be
/// wanted too, else the stroke would make something nobody asked for.
pub(super) fn misses(
    library: &Library,
    made: &Made,
    how: How,
    feature: &Feature,
) -> Result<(), Miss> {
    let alike = made.likeness(feature, library);
    let width_fits = alike.width;
    let fits_use = match (feature.place, how) {
        (Place::End { .. }, How::End | How::Straddle)
        | (Place::Point { .. } | Place::Range { .. }, How::Point)
        | (Place::Range { .. }, How::Nibble { .. }) => Ok(()),
        (Place::Point { .. }, How::Nibble { .. }) => Err(Miss::Use("nibbles ranges only")),
        (Place::End { .. }, How::Point | How::Nibble { .. }) => {
            Err(Miss::Use("works along the member, not at its ends"))
        }
        (_, How::End | How::Straddle) => Err(Miss::Use("works at a member's ends only")),
    };
    fits_use?;
    if !alike.outline {
        return Err(Miss::Shape(made.outline));
    }
    let size_fits = match feature.place {
        // How many bites it takes is counted where they are placed.
        Place::Range { .. } if matches!(how, How::Nibble { .. }) => width_fits,
        Place::Range { from_tolerance, to_tolerance, .. } => {
            width_fits
                && range_slack(
                    made.outline.length() - feature.outline.length(),
                    from_tolerance,
                    to_tolerance,
                )
                .is_some()
        }
        Place::Point { .. } | Place::End { .. } => {
            width_fits && made.outline.length() == feature.outline.length()
        }
    };
    if !size_fits {
        return Err(Miss::Size(made.outline));
    }
    if !alike.gauge {
        return Err(Miss::Across(made.across));
    }
    if !feature.faces.contains(made.faces) {
        return Err(Miss::Faces(made.faces));
    }
    Ok(())
}

/// As [`misses`], of a tool used as it is mounted.
fn misses_tool(library: &Library, tool: &Tool, feature: &Feature) -> Result<(), Miss> {
    misses(library, &tool.makes, tool.how, feature)?;
    if matches!(tool.how, How::Nibble { .. }) && !nibble::makes(tool, feature) {
        return Err(Miss::Size(tool.makes.outline));
    }
    if !tool.also.is_empty() {
        return Err(Miss::Use("makes other features with the same stroke"));
    }
    Ok(())
}

/// Where the leading edge of a tool longer than the range by `excess` may stand, relative to the
/// nominal beginning of the range, so that both its edges are in their tolerances.
pub(super) fn range_slack(excess: Length, from: Tolerance, to: Tolerance) -> Option<Tolerance> {
    // leading edge deviation δ ∈ [−from⁻, from⁺]; trailing δ + excess ∈ [−to⁻, to⁺]
    let lo = (-from.minus).max(-to.minus - excess);
    let hi = from.plus.min(to.plus - excess);
    (lo <= hi).then_some(Tolerance { minus: -lo, plus: hi })
}

/// Sets of tools that together make the feature on every face it asks for, each face once: few
/// tools first, then those nearest the shear (they ask for the least head). The first `most`.
pub(super) fn covers(bench: &Bench<'_>, feature: &Feature, most: usize) -> Vec<Vec<ToolId>> {
    let Bench { library, line, profile, .. } = *bench;
    let mut able: Vec<(ToolId, &Tool)> = line
        .tools()
        .filter(|(_, tool)| tool.makes.kinds.contains(&feature.kind))
        .filter(|(id, _)| line.is_mounted(*id, profile))
        .filter(|(_, tool)| misses_tool(library, tool, feature).is_ok())
        .collect();
    able.sort_by_key(|(id, tool)| {
        let offset = line.station(tool.station).map_or(Length::ZERO, |s| s.offset);
        let bites = matches!(tool.how, How::Nibble { .. }) && nibble::by_bites(tool, feature);
        (bites, std::cmp::Reverse(tool.makes.faces.bits().count_ones()), offset, *id)
    });
    let mut found = Vec::new();
    pick(&able, feature.faces, most, &mut Vec::new(), &mut found);
    found
}

fn pick(
    able: &[(ToolId, &Tool)],
    wanted: Faces,
    most: usize,
    chosen: &mut Vec<ToolId>,
    found: &mut Vec<Vec<ToolId>>,
) {
    let Some(face) = wanted.each().next() else {
        found.push(chosen.clone());
        return;
    };
    for (id, tool) in able {
        let faces = tool.makes.faces;
        if found.len() < most && faces.contains(face) && wanted.contains(faces) {
            chosen.push(*id);
            pick(able, wanted - faces, most, chosen, found);
            chosen.pop();
        }
    }
}

/// The tools that make the feature, or part of it, but cannot be used when the line is set up for
/// this profile.
pub(super) fn out_in_set_up<'a>(
    library: &Library,
    line: &'a Line,
    profile: ProfileId,
    feature: &Feature,
) -> Vec<&'a Tool> {
    line.tools()
        .filter(|(id, _)| !line.is_mounted(*id, profile))
        .filter(|(_, tool)| tool.makes.kinds.contains(&feature.kind))
        .filter(|(_, tool)| misses_tool(library, tool, feature).is_ok())
        .map(|(_, tool)| tool)
        .collect()
}

/// The tool of this type that comes nearest, with why it does not do.
pub(super) fn nearest<'a>(
    library: &Library,
    line: &'a Line,
    feature: &Feature,
) -> Option<(&'a Tool, Miss)> {
    line.tools
        .iter()
        .filter(|tool| tool.makes.kinds.contains(&feature.kind))
        .filter_map(|tool| misses_tool(library, tool, feature).err().map(|miss| (tool, miss)))
        .max_by_key(|(tool, miss)| {
            let off = (tool.makes.outline.length() - feature.outline.length()).abs();
            (miss.rank(), std::cmp::Reverse(off))
        })
}

impl Miss {
    fn rank(&self) -> u8 {
        match self {
            Miss::Use(_) => 0,
            Miss::Shape(_) => 1,
            Miss::Size(_) => 2,
            Miss::Across(_) => 3,
            Miss::Faces(_) => 4,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tool_a_little_short_fits_a_range_within_both_tolerances() {
        let tolerance = Tolerance::even(Length::from_um(500));
        let slack = range_slack(Length::from_um(-300), tolerance, tolerance).unwrap();
        // Leading edge may be 0.2 before to 0.5 after; then the trailing edge is 0.5 before to 0.2 after.
        assert_eq!((slack.minus, slack.plus), (Length::from_um(200), Length::from_um(500)));
        assert!(range_slack(Length::from_um(-1_001), tolerance, tolerance).is_none());
    }
}
