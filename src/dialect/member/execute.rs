//! What the modelled controller does with members: what is replayed.

use super::{Does, Model, Part};
use crate::library::model::{Slope, Ties, ToolId};
use crate::program::{Event, Serial, Stroke};
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

/// Where each part begins, and where its cut is. Lengths were bounded where they were read.
pub(super) fn cuts(model: &Model, parts: &[Part]) -> Vec<(Length, Length)> {
    let mut start = Length::ZERO;
    parts
        .iter()
        .map(|part| {
            let cut = model.snap(start + part.length);
            let begun = std::mem::replace(&mut start, cut + model.slug);
            (begun, cut)
        })
        .collect()
}

/// Where the strip stands in the end.
pub(super) fn end(model: &Model, parts: &[Part]) -> Advance {
    let last = cuts(model, parts).last().map_or(Length::ZERO, |(_, cut)| *cut);
    Advance::at(last + model.controller.flush)
}

/// The events, and where in the program each of them is told.
pub(super) fn execute(model: &Model, parts: &[Part], apart: bool) -> (Vec<Event>, Vec<Span>) {
    let mut happens: Vec<(Length, Rank, Event, Span)> = Vec::new();
    let mut strokes: Vec<(Length, ToolId, Span)> = Vec::new();
    let mut ends: Vec<Cut> = Vec::with_capacity(parts.len());
    for (part, (start, cut)) in parts.iter().zip(cuts(model, parts)) {
        for work in &part.works {
            let due = model.snap(start + work.at - model.taken_off(&work.does));
            match &work.does {
                Does::Stroke(tool) => strokes.push((due, *tool, work.span)),
                Does::Print(text) => happens.push(print(model, due, text, work.span)),
            }
        }
        if let (false, false, Some(marker)) = (apart, part.text.is_empty(), model.marker) {
            let due = model.snap(start + marker.from_start - marker.offset);
            happens.push(print(model, due, &part.text, part.span));
        }
        ends.push(Cut { at: cut, serial: part.serial, slope: part.slope, span: part.span });
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
