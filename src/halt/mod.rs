//! A run that was stopped: what is cut, what is begun, what is left, and how to go on.
//!
//! The strip between the furthest station and the shear bears strokes for pieces that are not cut
//! yet. A piece is **begun** when a stroke of it, or its printed mark, is done, or when it lies
//! before one that is: it can only be finished as it was begun, or scrapped. What is neither cut
//! nor begun may be compiled anew.
//!
//! Where the strip is known to stand right after a cut, [`stand`] gives a program that finishes
//! what is begun: the rest of the old one, without the strokes of pieces that are not. Where
//! nobody can say, the position counts as lost: after a fresh cut nothing good may lie as far as
//! the strip may bear strokes ([`Standing::marked`]).
//!
//! This room knows nothing of planning: it replays the program as it was run.

mod finish;
mod strip;

use crate::library::model::{Coil, Halt};
use crate::program::{Event, Program, Serial};
use crate::quantity::Length;
use crate::replay::{self, Piece, Products, Situation};

/// What became of the program that was running.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Standing {
    /// How many of its events are surely done, the cut of the last good piece among them.
    pub done: usize,
    /// Good pieces that have dropped, in order.
    pub cut: Vec<Serial>,
    /// Pieces that are begun and not cut, in order.
    pub begun: Vec<Serial>,
    /// Pieces that are neither.
    pub left: Vec<Serial>,
    /// Of those begun: pieces whose mark was being printed when the strip stopped. Whether a
    /// marker goes on with it under another program nobody knows.
    pub half_printed: Vec<Serial>,
    /// What is left to be done for the pieces that are begun, where they are to be finished and
    /// any are: counted from where the strip stands now.
    pub finish: Option<Program>,
    /// The coil when that is done, or as it stands where nothing is finished; in the line with a
    /// clean cut at the shear.
    pub coil: Coil,
    /// How far from its edge it may bear strokes then: a defect zone of the coil. Nothing where
    /// what is begun is finished.
    pub marked: Length,
}

/// What became of `program`, run on what `situation` says. `None` where it does not make the
/// piece after which it stands.
pub fn stand(program: &Program, situation: &Situation<'_>, halt: &Halt) -> Option<Standing> {
    let (products, _) = replay::replay(program, None, situation);
    let at = products.pieces.iter().position(|piece| piece.serial == Some(Serial(halt.after)))?;
    let last_cut = products.pieces.get(at)?.event;
    // Of a lost position only this much is sure: the next cut has not been made.
    let next_cut = products.pieces.get(at + 1).map_or(program.events.len(), |piece| piece.event);
    let surely = last_cut + 1;
    let maybe = if halt.kept { surely } else { next_cut };
    let bar = situation.coil.bar.is_some();
    let begun_to = match bar {
        // A bar is finished, or taken out: it does not go on with other programs.
        true => products.pieces.len().saturating_sub(1),
        false => (at + 1..products.pieces.len())
            .rev()
            .find(|&n| products.pieces.get(n).is_some_and(|p| is_begun(&products, p, maybe)))
            .unwrap_or(at),
    };
    let serials = |from: usize, to: usize| -> Vec<Serial> {
        let pieces = products.pieces.get(from..to).unwrap_or_default();
        pieces.iter().filter_map(|piece| piece.serial).collect()
    };
    let finish = (halt.finish && begun_to > at)
        .then(|| finish::rest(program, &products, at, begun_to, situation))
        .flatten();
    let (coil, marked) = match &finish {
        Some(rest) => strip::after(program, surely, Some(rest), situation),
        None if halt.kept => strip::after(program, surely, None, situation),
        None => strip::lost(program, surely, next_cut, halt.left, situation),
    };
    let coil = if bar { Coil { length: Length::ZERO, ..coil } } else { coil };
    Some(Standing {
        done: surely,
        cut: serials(0, at + 1),
        begun: serials(at + 1, begun_to + 1),
        left: serials(begun_to + 1, products.pieces.len()),
        half_printed: half_printed(program, &products, at, last_cut, situation),
        finish,
        coil,
        marked,
    })
}

/// Pieces after piece `at` whose text has begun before its cut and is not whole by then: ink is
/// printed while the strip moves.
fn half_printed(
    program: &Program,
    products: &Products<'_>,
    at: usize,
    last_cut: usize,
    situation: &Situation<'_>,
) -> Vec<Serial> {
    let Some(marker) = situation.line.marker.as_ref().filter(|m| m.stamp.is_none()) else {
        return Vec::new();
    };
    let stands = program.events.get(last_cut).map(Event::at);
    let unfinished = |piece: &&Piece| {
        products.texts_on(piece).iter().filter(|text| text.event < last_cut).any(|text| {
            let count = i64::try_from(text.text.chars().count()).unwrap_or(i64::MAX);
            let begun = program.events.get(text.event).map(Event::at);
            begun.is_some_and(|begun| Some(begun + marker.pitch.times(count)) > stands)
        })
    };
    let rest = products.pieces.iter().skip(at + 1);
    rest.filter(unfinished).filter_map(|piece| piece.serial).collect()
}

/// Whether anything that makes this piece is among the first `done` events.
fn is_begun(products: &Products<'_>, piece: &Piece, done: usize) -> bool {
    products.swept_on(piece).iter().any(|swept| swept.event < done)
        || products.texts_on(piece).iter().any(|text| text.event < done)
}

/// The program as the strip sees it: the events that were done, and those of `finish` after them,
/// counted as the first were. What [`stand`] proposes is judged by what this makes.
pub fn joined(program: &Program, done: usize, finish: Option<&Program>) -> Program {
    let mut events: Vec<Event> = program.events.iter().take(done).cloned().collect();
    let stands = events.last().map_or(Length::ZERO, |event| event.at().distance());
    if let Some(finish) = finish {
        events.extend(finish.events.iter().map(|event| event.moved(stands)));
    }
    let end = events.last().map_or(program.end, Event::at);
    Program { events, end, ..program.clone() }
}
