//! What planning one profile onto the rack has to tell.

use super::bound_shapes::BoundProfile;
use super::model::{Inputs, Shortage};
use super::nesting::CoilState;
use super::pieces::Pieces;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::stock::{E0601, E0602, E0604, W0603, W0605, W0607};
use crate::library::model::{Coil, Profile};
use crate::nest::{self, Bundle, Instance, Solution};
use crate::quantity::Length;

/// A coil was in the line, and the batch begins on another.
pub(super) fn taken_off(coil: &Coil, parting: Length) -> Diagnostic {
    Diagnostic::new(
        &W0605,
        format!("coil `{}` is in the line, and the batch begins on another coil", coil.id),
    )
    .at(coil.span, "has to be taken off first")
    .note(format!(
        "{} mm of it are lost in parting, which no run of this batch books",
        parting.min(coil.length)
    ))
    .help("if it can stay, put the job that uses it first, or say in the stock that it is not threaded")
}

/// Bars that would do for a profile, on a line that takes none: once for each kind.
pub(super) fn bars_left_out(
    inputs: &Inputs<'_>,
    coils: &[CoilState],
    profile: &Profile,
) -> Vec<Diagnostic> {
    if inputs.line.bars.is_some() {
        return Vec::new();
    }
    let bars = coils.iter().map(|state| &state.coil).filter(|coil| coil.fits(profile));
    let mut bars: Vec<&Coil> = bars.filter(|coil| coil.bar.is_some()).collect();
    bars.dedup_by(|a, b| a.bar == b.bar);
    bars.into_iter()
        .filter_map(|coil| Some((coil, coil.bar.as_ref()?)))
        .map(|(coil, bar)| {
            Diagnostic::new(
                &W0607,
                format!("bars `{bar}` are left out: line `{}` takes none", inputs.line.name),
            )
            .at(coil.span, format!("would do for `{}`", profile.name))
            .note("how a bar is fed, and what is lost at its ends, is not told of this line")
            .help("add [bar] with `head`, `tail` and `change` to the line file, if it takes bars")
        })
        .collect()
}

pub(super) fn shortage(instance: &Instance, short: &[usize], profile: &Profile) -> Shortage {
    let bundles = short.iter().filter_map(|&b| instance.bundles.get(b));
    let strip: Length = bundles.clone().map(Bundle::in_pieces).sum();
    let pieces = bundles.map(|b| b.pieces.len()).sum();
    Shortage { strip, mass: profile.coated_mass.of(strip), pieces }
}

fn metres(length: Length) -> String {
    // Up to a decimetre: shortages are ordered, not cut.
    let decimetres = (length.nm() + 99_999_999) / 100_000_000;
    format!("{}.{} m", decimetres / 10, decimetres % 10)
}

pub(super) fn no_coil(profile: &Profile, shortage: &Shortage, reason: &str) -> Diagnostic {
    Diagnostic::new(
        &E0602,
        format!(
            "no coil in stock fits profile `{}`: {} ({} kg) are needed",
            profile.name,
            metres(shortage.strip),
            shortage.mass
        ),
    )
    .at(profile.span, "strip for this profile")
    .note(reason.to_string())
    .help(format!(
        "add a coil of {} mm × {} mm, grade {}, coating {} to the stock",
        profile.strip_width, profile.thickness, profile.grade, profile.coating.name
    ))
}

pub(super) fn short_of(
    profile: &Profile,
    shortage: &Shortage,
    coils: &[CoilState],
    fitting: &[usize],
) -> Diagnostic {
    let there: Length = fitting.iter().filter_map(|&i| coils.get(i)).map(|s| s.coil.length).sum();
    Diagnostic::new(
        &E0601,
        format!(
            "stock is short of strip for profile `{}`: {} ({} kg) more for {} pieces",
            profile.name,
            metres(shortage.strip),
            shortage.mass,
            shortage.pieces
        ),
    )
    .at(profile.span, "strip for this profile")
    .note(format!(
        "the {} fitting {} hold {} together; heads, tails and defects come off that",
        fitting.len(),
        match fitting.iter().filter_map(|&i| coils.get(i)).any(|s| s.coil.bar.is_some()) {
            true => "coils and bars",
            false => "coils",
        },
        metres(there)
    ))
    .help("add a coil, take a job off the batch, or let frames be split over coils")
}

pub(super) fn warn_parted(
    inputs: &Inputs<'_>,
    pieces: &Pieces<'_>,
    of: &BoundProfile,
    parted: &[usize],
    diagnostics: &mut Vec<Diagnostic>,
) {
    let mut said: Vec<(u32, u32)> = Vec::new();
    for &first in parted {
        let piece = of.pieces.get(first).and_then(|&p| pieces.all.get(p as usize));
        let Some((piece, (_, frame, _))) = piece.and_then(|p| Some((p, p.of(inputs.jobs)?))) else {
            continue;
        };
        let before = diagnostics.iter().any(|d| d.code == &W0603 && d.span() == Some(frame.span));
        if before || said.contains(&(piece.job, piece.frame)) {
            continue;
        }
        said.push((piece.job, piece.frame));
        diagnostics.push(
            Diagnostic::new(
                &W0603,
                format!("frame {} needs more strip than any one coil holds", frame.name),
            )
            .at(frame.span, "is made from two coils or more")
            .note("its members come off in two parts and must be brought together again")
            .help("put a longer coil on the rack if they shall stay together"),
        );
    }
}

/// What a failed self-check of nesting says.
pub(super) fn contradiction(instance: &Instance, solution: &Solution) -> Option<Diagnostic> {
    let why = nest::verify(instance, solution).err()?;
    Some(
        Diagnostic::new(&E0604, format!("the nesting contradicts itself: {why}"))
            .help("report this with the batch; nothing was made from it"),
    )
}

/// A plan better than any can be: one of the two is reckoned wrongly.
pub(super) fn under_bound(used: Length, bound: Length) -> Diagnostic {
    Diagnostic::new(
        &E0604,
        format!(
            "the plan uses {used} mm of strip, less than the {bound} mm that none can do without"
        ),
    )
    .help("report this with the batch; nothing was made from it")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::model::{Bundling, JobOrder};
    use crate::nest::{Bundle, CoilSpace, Load, Policy};

    fn instance() -> Instance {
        let mm = Length::from_mm;
        Instance {
            bundles: vec![
                Bundle {
                    rank: 0,
                    length: mm(30),
                    pieces: vec![0, 1],
                    frame: 0,
                    gaps: 0,
                    in_gaps: Length::ZERO,
                },
                Bundle {
                    rank: 1,
                    length: mm(20),
                    pieces: vec![2],
                    frame: 2,
                    gaps: 0,
                    in_gaps: Length::ZERO,
                },
            ],
            pitches: vec![mm(10), mm(20), mm(20)],
            heads: Vec::new(),
            coils: vec![CoilSpace {
                coil: 0,
                length: mm(60),
                reserve: mm(5),
                tail: Length::ZERO,
                part_used: false,
                threaded: false,
                parting: mm(2),
                opening: mm(1),
                head: Length::ZERO,
                bar: None,
            }],
            policy: Policy {
                bundling: Bundling::Frame,
                order: JobOrder::AsListed,
                keep: mm(10),
                last_stays: false,
            },
        }
    }

    fn solution(bundles: &[usize], short: &[usize]) -> Solution {
        let load = Load { coil: 0, bundles: bundles.to_vec() };
        Solution { loads: vec![load], short: short.to_vec() }
    }

    #[test]
    fn a_nesting_that_contradicts_itself_is_refused() {
        let mut instance = instance();
        assert!(contradiction(&instance, &solution(&[0, 1], &[])).is_none());
        assert!(contradiction(&instance, &solution(&[0], &[1])).is_none());
        let refused = |instance: &Instance, wrong: &Solution| {
            contradiction(instance, wrong).is_some_and(|d| d.code == &E0604)
        };
        assert!(refused(&instance, &solution(&[0], &[])), "a bundle is lost");
        assert!(refused(&instance, &solution(&[0, 1], &[1])), "a bundle is there twice");
        assert!(refused(&instance, &solution(&[1, 0], &[])), "a later job comes first");
        assert!(refused(&instance, &solution(&[1], &[0])), "the earlier job is never done");
        instance.policy.order = JobOrder::Window(1);
        assert!(contradiction(&instance, &solution(&[1, 0], &[])).is_none());
        assert!(contradiction(&instance, &solution(&[1], &[0])).is_none());
        instance.policy.order = JobOrder::AsListed;
        let mut twice = solution(&[0], &[]);
        twice.loads.push(Load { coil: 0, bundles: vec![1] });
        assert!(refused(&instance, &twice), "a coil is threaded twice");
        instance.coils[0].reserve = Length::from_mm(11);
        assert!(refused(&instance, &solution(&[0, 1], &[])), "a coil is overfilled");
    }
}
