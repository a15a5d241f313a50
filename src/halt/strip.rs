//! The coil as a stopped run leaves it.

use super::joined;
use crate::library::model::Coil;
use crate::program::{Event, Program};
use crate::quantity::Length;
use crate::replay::{self, Situation};

const NM: Length = Length::from_nm(1);

/// The coil behind the last cut of what was done and of `rest`, and how far it bears strokes.
pub(super) fn after(
    program: &Program,
    done: usize,
    rest: Option<&Program>,
    situation: &Situation<'_>,
) -> (Coil, Length) {
    let whole = joined(program, done, rest);
    let (made, _) = replay::replay(&whole, None, situation);
    let edge = edge_of(&whole, situation);
    let marked = made.marked.distance() - edge;
    let coil = situation.coil;
    let gone = in_strip(edge, situation).min(coil.length);
    zoned(coil, gone, gone, marked, situation)
}

/// The coil where the position is lost: the last cut of the first `done` events is made, that at
/// `next` is not, and then a fresh cut was. `left` is what was measured to be left of the coil.
pub(super) fn lost(
    program: &Program,
    done: usize,
    next: usize,
    left: Option<Length>,
    situation: &Situation<'_>,
) -> (Coil, Length) {
    let (made, _) = replay::replay(&joined(program, next, None), None, situation);
    let edge = edge_of(&joined(program, done, None), situation);
    let marked = made.marked.distance() - edge;
    let slug = situation.line.shear.slug;
    let furthest = program.events.get(next).map_or(program.end, Event::at).distance() + slug;
    let coil = situation.coil;
    let least = in_strip(edge, situation).min(coil.length);
    let most = in_strip(furthest, situation).max(least).min(coil.length);
    let gone = left.map_or(most, |left| most.max(coil.length - left)).min(coil.length);
    zoned(coil, least, gone, marked, situation)
}

/// Behind its last cut, in the figures of the program.
pub(super) fn edge_of(program: &Program, situation: &Situation<'_>) -> Length {
    let cut = program.events.iter().rev().find(|event| matches!(event, Event::Cut { .. }));
    cut.map_or(Length::ZERO, |cut| cut.at().distance() + situation.line.shear.slug)
}

/// Figures of a program as strip, rounded up.
fn in_strip(figure: Length, situation: &Situation<'_>) -> Length {
    match situation.calibration.controller_factor(situation.profile) {
        0 => figure,
        factor => figure.stretched(factor) + NM,
    }
}

/// The coil with at least `least` and at most `most` of it gone, and nothing good as far as
/// `marked` from its edge.
fn zoned(
    coil: &Coil,
    least: Length,
    most: Length,
    marked: Length,
    situation: &Situation<'_>,
) -> (Coil, Length) {
    let after = coil.after(most, true);
    let marked = match marked > Length::ZERO {
        true => in_strip(marked, situation).min(after.length),
        false => Length::ZERO,
    };
    let mut zones: Vec<(Length, Length)> = coil
        .defects
        .iter()
        .map(|(from, to)| ((*from - most).max(Length::ZERO), (*to - least).min(after.length)))
        .chain((marked > Length::ZERO).then_some((Length::ZERO, marked)))
        .filter(|(from, to)| from < to)
        .collect();
    zones.sort_unstable();
    let mut defects: Vec<(Length, Length)> = Vec::new();
    for (from, to) in zones {
        match defects.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(to),
            _ => defects.push((from, to)),
        }
    }
    (Coil { defects, ..after }, marked)
}
