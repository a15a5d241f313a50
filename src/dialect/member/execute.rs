//! What the modelled controller does with members: what is replayed.

use super::{Does, Invertible, Model, Part};
use crate::library::model::{Slope, Ties, ToolId};
use crate::program::{Event, Program, Serial, Stroke};
use crate::quantity::{Advance, Length, Span};
use std::sync::Arc;

/// What happens at one advance, in this order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Stop,
    Stamp,
    Cut,
    Print,
}

struct Cut {
    at: Length,
    serial: Option<Serial>,
    slope: Slope,
    span: Span,
}

/// Where each piece begins, and where its cut is. Lengths were bounded where they were read.
pub(super) fn cuts(model: &Model, parts: &[Part]) -> Vec<(Length, Length)> {
    let mut start = Length::ZERO;
    let counts = parts.iter().flat_map(|part| (0..part.count).map(|_| part.length));
    counts
        .map(|length| {
            let cut = model.snap(start + length);
            let begun = std::mem::replace(&mut start, cut + model.slug);
            (begun, cut)
        })
        .collect()
}

/// The program that is made of these members, its head that of `head`; and where each of its
/// events is told.
pub(in crate::dialect) fn program(
    of: &Invertible,
    model: &Model,
    parts: &[Part],
    head: Program,
) -> (Program, Vec<Span>) {
    let first = if head.warm { Length::ZERO } else { model.first };
    let (events, spans) = execute(model, parts, !of.prints_apart(), first);
    let end = events.iter().map(Event::at).max().unwrap_or(Advance::ZERO);
    (Program { events, end, ..head }, spans)
}

/// The events, and where in the program each of them is told.
fn execute(
    model: &Model,
    parts: &[Part],
    own_texts: bool,
    first: Length,
) -> (Vec<Event>, Vec<Span>) {
    let mut happens: Vec<(Length, Rank, Event, Span)> = Vec::new();
    let mut strokes: Vec<(Length, ToolId, Span)> = Vec::new();
    let mut ends: Vec<Cut> = Vec::with_capacity(parts.len());
    let pieces = parts.iter().flat_map(|part| (0..part.count).map(move |number| (part, number)));
    for ((part, number), (start, cut)) in pieces.zip(cuts(model, parts)) {
        for work in &part.works {
            let due = model.snap(start + work.at - model.taken_off(&work.does));
            match &work.does {
                Does::Stroke(tool) => strokes.push((due, *tool, work.span)),
                Does::Print(text) => happens.push(print(model, due, text, work.span)),
            }
        }
        if let (true, false, Some(marker)) = (own_texts, part.text.is_empty(), model.marker) {
            // What has passed the marker when the strip is threaded is printed at once.
            let due = model.snap(start + marker.from_start - marker.offset).max(first);
            happens.push(print(model, due, &part.text, part.span));
        }
        let serial = part.serial.map(|Serial(first)| Serial(first.saturating_add(number)));
        ends.push(Cut { at: cut, serial, slope: part.slope, span: part.span });
    }
    // Stable: what is due at one advance stays in the order it is told.
    strokes.sort_by_key(|(due, ..)| *due);
    happens.extend(stops(model, &strokes, &ends));
    for cut in ends {
        let at = Advance::at(cut.at);
        let event = Event::Cut { at, piece: cut.serial, slope: cut.slope };
        happens.push((cut.at, Rank::Cut, event, cut.span));
    }
    happens.sort_by_key(|(at, rank, ..)| (*at, *rank));
    happens.into_iter().map(|(_, _, event, span)| (event, span)).unzip()
}

fn print(model: &Model, due: Length, text: &Arc<str>, span: Span) -> (Length, Rank, Event, Span) {
    let stamps = model.marker.is_some_and(|marker| marker.stamps);
    let event = Event::Mark { at: Advance::at(due), text: Arc::clone(text) };
    (due, if stamps { Rank::Stamp } else { Rank::Print }, event, span)
}

/// Strokes in the order they are due, at the stops where they are done.
fn stops(
    model: &Model,
    strokes: &[(Length, ToolId, Span)],
    cuts: &[Cut],
) -> Vec<(Length, Rank, Event, Span)> {
    let mut stops = Vec::new();
    let mut at: Vec<Length> = cuts.iter().map(|cut| cut.at).collect();
    at.sort_unstable();
    let mut left = strokes;
    while let Some(&(first, _, span)) = left.first() {
        let next_cut = at.get(at.partition_point(|cut| *cut < first)).copied();
        let joins = |due: Length| {
            due - first <= model.controller.merges && next_cut.is_none_or(|cut| due <= cut)
        };
        let count = left.iter().take_while(|(due, ..)| joins(*due)).count();
        let (here, later) = left.split_at(count);
        left = later;
        let tools: Vec<ToolId> = here.iter().map(|(_, tool, _)| *tool).collect();
        let event = Event::Stop { at: Advance::at(first), strokes: phases(model, &tools) };
        stops.push((first, Rank::Stop, event, span));
    }
    stops
}

fn phases(model: &Model, tools: &[ToolId]) -> Vec<Stroke> {
    let mut strokes: Vec<Stroke> = tools
        .iter()
        .enumerate()
        .map(|(place, tool)| Stroke {
            phase: match model.controller.ties {
                Ties::Together => 0,
                Ties::Listed => u8::try_from(place).unwrap_or(u8::MAX),
            },
            tool: *tool,
        })
        .collect();
    strokes.sort_unstable();
    strokes
}
