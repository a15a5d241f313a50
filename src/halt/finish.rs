//! The rest of a program for the pieces that are begun.

use super::joined;
use super::strip::edge_of;
use crate::library::model::Slope;
use crate::program::{Event, Program, Stroke};
use crate::quantity::Advance;
use crate::replay::{self, Products, Situation};
use std::collections::BTreeSet;

/// What is left to do, from right after the cut of piece `at`, until piece `to` is cut: with the
/// strokes that touch these pieces and no others. Where a stroke over the last cut reaches into
/// the strip behind it, that much is cut off as scrap: what follows begins at a clean edge.
pub(super) fn rest(
    program: &Program,
    products: &Products<'_>,
    at: usize,
    to: usize,
    situation: &Situation<'_>,
) -> Option<Program> {
    let stood = products.pieces.get(at)?;
    let last = products.pieces.get(to)?;
    let mut strokes = BTreeSet::new();
    let mut marks = BTreeSet::new();
    for piece in products.pieces.get(at + 1..=to)? {
        strokes.extend(products.swept_on(piece).iter().map(|swept| (swept.event, swept.tool)));
        marks.extend(products.texts_on(piece).iter().map(|text| text.event));
    }
    let stands = program.events.get(stood.event)?.at().distance();
    let mut events = Vec::new();
    // What the last piece needs is done when it is cut.
    let events_left = program.events.iter().enumerate().take(last.event + 1).skip(stood.event + 1);
    for (index, event) in events_left {
        let kept = match event {
            Event::Stop { at, strokes: fired } => {
                let fired: Vec<Stroke> =
                    fired.iter().filter(|s| strokes.contains(&(index, s.tool))).copied().collect();
                (!fired.is_empty()).then_some(Event::Stop { at: *at, strokes: fired })
            }
            Event::Mark { .. } => marks.contains(&index).then(|| event.clone()),
            Event::Cut { .. } => Some(event.clone()),
        };
        events.extend(kept.map(|event| event.moved(-stands)));
    }
    let mut rest = Program {
        warm: true,
        end: Advance::ZERO,
        events,
        id: program.id.clone(),
        ..program.clone()
    };
    rest.end = rest.events.last().map_or(Advance::ZERO, Event::at);
    let whole = joined(program, stood.event + 1, Some(&rest));
    let (made, _) = replay::replay(&whole, None, situation);
    let line = situation.line;
    let controller_factor = situation.calibration.controller_factor(situation.profile);
    let edge = edge_of(&whole, situation);
    if made.marked.distance() > edge {
        let clean = made.marked.distance().max(edge + line.shear.least_drop);
        let cut = line.grid.ceil(Advance::at(clean)).distance();
        // What can no longer be driven under the shear is of no use to anybody, nor is what is
        // left of a bar unless its own program has cut it clean.
        let coil = situation.coil.as_counted(controller_factor);
        if coil.bar.is_none() && cut <= coil.length - line.ends(&coil).tail {
            let at = Advance::at(cut - stands);
            rest.events.push(Event::Cut { at, piece: None, slope: Slope::SQUARE });
            rest.end = Advance::at(cut - stands);
        }
    }
    Some(rest)
}
