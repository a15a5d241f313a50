//! A program that shows what a member-level description writes.

use super::{Does, Invertible, Model, NOWHERE, Part, Work};
use crate::library::model::{Field, Line, Scope, Slope, ToolId};
use crate::program::{Program, Serial};
use crate::quantity::Length;

const TRIM: Length = Length::from_mm(50);
const LENGTH: Length = Length::from_mm(1200);

/// A trim where scrap can be told, then one member with a feature of each tool, evenly along it,
/// and its text; and two that are alike with the first two of them. What the controller makes of
/// it; no machine has to.
pub(in crate::dialect) fn sample(
    of: &Invertible,
    model: &Model,
    line: &Line,
    head: Program,
) -> Program {
    let count = u16::try_from(line.tools.len()).unwrap_or(u16::MAX);
    let figure = |scope, field, length: Length| of.written(model, scope, field, length);
    let work = |tool: u16, nominal: Length| {
        let does = Does::Stroke(ToolId(tool));
        let at = nominal - model.distance(&does) + model.taken_off(&does);
        Work { does, at: figure(Scope::Feature, Field::At, at), span: NOWHERE }
    };
    let evenly = |tool: u16| work(tool, LENGTH.scaled(i64::from(tool) + 1, i64::from(count) + 1));
    let member = |serial: u32, tools: u16| Part {
        serial: Some(Serial(serial)),
        count: 1,
        length: figure(Scope::Member, Field::Length, LENGTH),
        slope: line.shear.slopes.listed.first().copied().unwrap_or(Slope::SQUARE),
        text: "".into(),
        works: (0..tools).map(evenly).collect(),
        span: NOWHERE,
    };
    let mut first = member(1, count);
    if let Some(marker) = model.marker {
        let text: std::sync::Arc<str> = "N1 S1".into();
        if of.prints_apart() {
            let does = Does::Print(text);
            let at = marker.from_start - marker.offset + model.taken_off(&does);
            let at = figure(Scope::Mark, Field::At, at);
            first.works.push(Work { does, at, span: NOWHERE });
        } else {
            first.text = text;
        }
    }
    let trim = of.has(Scope::Scrap).then(|| Part {
        serial: None,
        length: figure(Scope::Scrap, Field::Length, TRIM),
        slope: Slope::SQUARE,
        works: Vec::new(),
        ..member(0, 0)
    });
    let two = count.min(2);
    let parts: Vec<Part> =
        trim.into_iter().chain([first, member(2, two), member(3, two)]).collect();
    super::program(of, model, &parts, head).0
}
