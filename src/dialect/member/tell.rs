//! From a program to the members it is told as.

use super::super::Invertible;
use super::{Does, Model, NOWHERE, Part, Work};
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Field, Scope, Slope, Ties};
use crate::program::{Event, Program};
use crate::quantity::Length;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Most pieces of one program that are told or read: a run of them would be 10 km of strip at
/// 10 mm each.
pub(in crate::dialect) const MOST_PIECES: usize = 1_000_000;

/// Work of a part while it is gathered: the event that does it, and the figure told for it.
type Told = Vec<(usize, Work)>;

/// The members that say this program, one by one. Refuses what no member says.
pub(in crate::dialect) fn tell(
    of: &Invertible,
    model: &Model,
    program: &Program,
) -> Result<Vec<Part>, Box<Diagnostic>> {
    let mut parts = parts(of, model, program)?;
    let places: Vec<(Length, Length)> = super::execute::cuts(model, &parts);
    let mut told: Vec<Told> = vec![Vec::new(); parts.len()];
    for (index, event) in program.events.iter().enumerate() {
        let dones: Vec<Does> = match event {
            Event::Cut { .. } => continue,
            Event::Stop { strokes, .. } => {
                strokes.iter().map(|stroke| Does::Stroke(stroke.tool)).collect()
            }
            Event::Mark { text, .. } => vec![Does::Print(Arc::clone(text))],
        };
        for does in dones {
            let at = event.at().distance();
            let place = place_of(model, &places, at + model.distance(&does))
                .ok_or_else(|| behind_the_last_cut(model, program, event))?;
            let (Some(part), Some(works), Some((start, _))) =
                (parts.get_mut(place), told.get_mut(place), places.get(place))
            else {
                return Err(behind_the_last_cut(model, program, event));
            };
            if let (Does::Print(text), false) = (&does, of.prints_apart()) {
                own_text(of, model, program, part, text)?;
                continue;
            }
            let scope = match does {
                Does::Stroke(_) => Scope::Feature,
                Does::Print(_) => Scope::Mark,
            };
            let figure = at + model.taken_off(&does) - *start;
            let at = of.written(model, scope, Field::At, figure);
            works.push((index, Work { does, at, span: NOWHERE }));
        }
    }
    for (part, told) in parts.iter_mut().zip(told) {
        part.works = in_order(told, model.controller.ties);
    }
    Ok(parts)
}

/// Members that are alike and follow each other become one record, where the dialect says how
/// many there are, no more at once than it can.
pub(in crate::dialect) fn grouped(of: &Invertible, parts: Vec<Part>) -> Vec<Part> {
    if !of.carries(Scope::Member, Field::Quantity) {
        return parts;
    }
    let most = of.limits.count.map_or(u32::MAX, |(most, _)| most);
    let mut groups: Vec<Part> = Vec::new();
    for part in parts {
        if let (Some(last), Some(serial)) = (groups.last_mut(), part.serial)
            && last.serial.is_some_and(|first| first.0.checked_add(last.count) == Some(serial.0))
            && last.is_like(&part)
            && last.count < most
        {
            last.count += 1;
            continue;
        }
        groups.push(part);
    }
    groups
}

/// The piece it lies on: what is done over a cut belongs to the piece before it.
fn place_of(model: &Model, places: &[(Length, Length)], on_strip: Length) -> Option<usize> {
    let slug = model.slug.max(Length::from_nm(1));
    let place = places.partition_point(|(_, cut)| *cut + slug <= on_strip);
    (place < places.len()).then_some(place)
}

/// The text that the marker prints at its own place of a member.
fn own_text(
    of: &Invertible,
    model: &Model,
    program: &Program,
    part: &mut Part,
    text: &Arc<str>,
) -> Result<(), Box<Diagnostic>> {
    let apart = "describe a record `mark`, so that each text has a place of its own";
    if part.serial.is_none() || !of.carries(Scope::Member, Field::Text) {
        return Err(refuse(model, program, format!("prints `{text}` on no member"), apart));
    }
    if !part.text.is_empty() {
        let both = format!("prints `{}` and `{text}` on one member", part.text);
        return Err(refuse(model, program, both, apart));
    }
    part.text = Arc::clone(text);
    Ok(())
}

/// By where it lies on the member, unless strokes of one stop then came in another order than
/// they fire in: in the order they fire then, marks first.
fn in_order(told: Told, ties: Ties) -> Vec<Work> {
    let key = |work: &Work| (work.at, work.does.clone());
    let mut sorted: Vec<(usize, usize)> =
        told.iter().enumerate().map(|(place, (event, _))| (place, *event)).collect();
    let work = |place: &usize| told.get(*place).map(|(_, work)| key(work));
    sorted.sort_by_key(|(place, _)| work(place));
    let mut last: BTreeMap<usize, usize> = BTreeMap::new();
    let stands = sorted
        .iter()
        .all(|(place, event)| last.insert(*event, *place).is_none_or(|before| before < *place));
    if ties == Ties::Listed && !stands {
        sorted.sort_by_key(|(place, _)| {
            let stroke = told.get(*place).map(|(_, work)| matches!(work.does, Does::Stroke(_)));
            (stroke, *place)
        });
    }
    sorted.iter().filter_map(|(place, _)| told.get(*place)).map(|(_, work)| work.clone()).collect()
}

/// Members without features: from cut to cut.
fn parts(of: &Invertible, model: &Model, program: &Program) -> Result<Vec<Part>, Box<Diagnostic>> {
    let mut parts = Vec::new();
    let mut start = Length::ZERO;
    for event in &program.events {
        let Event::Cut { at, piece, slope } = event else { continue };
        let cut = at.distance();
        let scope = if piece.is_some() { Scope::Member } else { Scope::Scrap };
        if !of.has(scope) {
            return Err(refuse(
                model,
                program,
                format!("cuts off scrap at {at} mm, and dialect `{}` has no `scrap`", of.name),
                "describe a record `scrap` with its `length`: every coil begins with a trim",
            ));
        }
        let length = of.written(model, scope, Field::Length, cut - start);
        if length <= Length::ZERO || model.snap(start + length) != cut {
            return Err(refuse(
                model,
                program,
                format!("has a cut at {at} mm that no member of such a length ends with"),
                "compile the batch again for this line; if it stays, report it with the dialect",
            ));
        }
        if *slope != Slope::SQUARE && !of.carries(scope, Field::Rise) {
            return Err(refuse(
                model,
                program,
                format!("has a cut on the slope {slope}, and record `{scope}` has no `rise`"),
                "add the fields `rise` and `run`",
            ));
        }
        if parts.len() >= MOST_PIECES {
            let why = format!("makes more than {MOST_PIECES} pieces");
            return Err(refuse(model, program, why, "split the batch into shorter runs"));
        }
        parts.push(Part {
            serial: *piece,
            count: 1,
            length,
            slope: *slope,
            text: "".into(),
            works: Vec::new(),
            span: NOWHERE,
        });
        start = cut + model.slug;
    }
    Ok(parts)
}

fn behind_the_last_cut(model: &Model, program: &Program, event: &Event) -> Box<Diagnostic> {
    refuse(
        model,
        program,
        format!("has work at {} mm for strip behind its last cut", event.at()),
        "use a dialect at stop level for this batch: it can leave strokes on strip that stays",
    )
}

pub(super) fn refuse(model: &Model, program: &Program, why: String, help: &str) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(&codes::E0738, format!("program `{}` {why}", program.id))
            .at(model.controller.span, "is told members only")
            .note("a controller at member level is given members, one after the other, and what is made on them")
            .help(help),
    )
}
