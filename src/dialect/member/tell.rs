//! From a program to the members it is told as.

use super::super::Invertible;
use super::{Does, Model, Part, Work};
use crate::diagnostic::{Code, Diagnostic, codes::dialect as codes};
use crate::library::model::{Field, Scope, Slope};
use crate::program::{Event, Program};
use crate::quantity::{FileId, Length, Span};
use std::sync::Arc;

/// What is planned has no place in a program yet.
const NOWHERE: Span = Span::new(FileId(u32::MAX), 0, 0);

/// The members that say this program. Refuses what no member says.
pub(in crate::dialect) fn tell(
    of: &Invertible,
    model: &Model,
    program: &Program,
) -> Result<Vec<Part>, Box<Diagnostic>> {
    let mut parts = parts(of, model, program)?;
    let starts: Vec<(Length, Length)> = super::execute::cuts(model, &parts);
    for event in &program.events {
        let dones: Vec<Does> = match event {
            Event::Cut { .. } => continue,
            Event::Stop { strokes, .. } => {
                strokes.iter().map(|stroke| Does::Stroke(stroke.tool)).collect()
            }
            Event::Mark { text, .. } => vec![Does::Print(Arc::clone(text))],
        };
        for does in dones {
            let at = event.at().distance();
            // It lies on the part whose cut is the first one not before it.
            let on_strip = at + model.distance(&does);
            let index = starts.partition_point(|(_, cut)| *cut < on_strip);
            let last = starts.last().is_some_and(|(_, cut)| on_strip <= *cut + model.slug);
            let index = if index == starts.len() && last { index - 1 } else { index };
            let (Some(part), Some((start, _))) = (parts.get_mut(index), starts.get(index)) else {
                return Err(refuse(
                    &codes::E0738,
                    program,
                    format!("has work at {} mm for strip behind its last cut", event.at()),
                    "make the rest with a member, or use a stop-level dialect",
                ));
            };
            let figure = at + model.taken_off(&does) - *start;
            match does {
                Does::Print(text) if !of.prints_apart() => {
                    if !part.text.is_empty() {
                        return Err(refuse(
                            &codes::E0738,
                            program,
                            format!("prints `{}` and `{text}` on one member", part.text),
                            "describe a record `mark`, so that each has a place of its own",
                        ));
                    }
                    part.text = text;
                }
                does => {
                    let scope = match does {
                        Does::Stroke(_) => Scope::Feature,
                        Does::Print(_) => Scope::Mark,
                    };
                    let at = of.written(model, scope, Field::At, figure);
                    part.works.push(Work { does, at, span: NOWHERE });
                }
            }
        }
    }
    Ok(parts)
}

/// Members without features: from cut to cut.
fn parts(of: &Invertible, model: &Model, program: &Program) -> Result<Vec<Part>, Box<Diagnostic>> {
    let mut parts = Vec::new();
    let mut start = Length::ZERO;
    for event in &program.events {
        let Event::Cut { at, piece, slope } = event else { continue };
        let cut = at.distance();
        let scope = if piece.is_some() { Scope::Member } else { Scope::Scrap };
        let length = of.written(model, scope, Field::Length, cut - start);
        if cut < start || model.snap(start + length) != cut {
            return Err(refuse(
                &codes::E0738,
                program,
                format!("has a cut at {at} mm that no member of such a length ends with"),
                "report this with the dialect and the batch; nothing was written",
            ));
        }
        if *slope != Slope::SQUARE && !of.carries(scope, Field::Rise) {
            return Err(refuse(
                &codes::E0734,
                program,
                format!("has a cut on the slope {slope}, and record `{scope}` has no `rise`"),
                "add the fields `rise` and `run`",
            ));
        }
        parts.push(Part {
            serial: *piece,
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

fn refuse(code: &'static Code, program: &Program, why: String, help: &str) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(code, format!("program `{}` {why}", program.id))
            .note("a member-level controller is given members only")
            .help(help),
    )
}

