//! Member level: the controller is given members and works out by itself when to stop and fire.
//!
//! The description has a model of that controller ([`Controller`]). A planned program is told as
//! members whose features lie where its strokes make them, moved as far as their tolerance lets
//! planning move them, so that strokes that share a stop are due at one advance ([`tell`]); and
//! members are read as the program that such a controller makes of them ([`execute`]). What is
//! replayed and judged is always the latter. Telling and executing are each other's inverse on
//! what is written, and every print and every reading checks it.

mod execute;
mod sample;
mod tell;

pub(super) use execute::program;
pub(super) use sample::sample;
pub(super) use tell::{MOST_PIECES, grouped, tell};

use super::Invertible;
use super::lower::{Coding, Op};
use super::number::Number;
use crate::diagnostic::{Diagnostic, codes::dialect as codes};
use crate::library::model::{Controller, Field, Line, Offsets, Scope, Slope, Snapping, ToolId};
use crate::program::{Program, Serial};
use crate::quantity::{FileId, Grid, Length, Span};
use std::sync::Arc;

/// What is planned has no place in a program yet.
const NOWHERE: Span = Span::new(FileId(u32::MAX), 0, 0);

/// How often a program is told until it stays as it is.
const MOST_TELLINGS: usize = 8;

/// A member-level dialect's controller on one line.
#[derive(Clone, Debug)]
pub(super) struct Model {
    pub(super) controller: Controller,
    grid: Grid,
    slug: Length,
    /// Distances of the tools from the shear, by tool.
    offsets: Vec<Length>,
    marker: Option<MarkerModel>,
    /// Least advance at which anything is done on a strip that was just threaded.
    first: Length,
}

#[derive(Clone, Copy, Debug)]
struct MarkerModel {
    offset: Length,
    /// Where a text begins, from the member's start.
    from_start: Length,
    stamps: bool,
}

/// What a program says from one cut to the next.
#[derive(Clone, Debug)]
pub(super) struct Part {
    /// The piece; `None` for scrap.
    pub(super) serial: Option<Serial>,
    /// How many that are alike follow each other, their serials too.
    pub(super) count: u32,
    /// From its start to its cut.
    pub(super) length: Length,
    /// Of the cut that ends it.
    pub(super) slope: Slope,
    /// What the marker prints at its own place; empty for nothing.
    pub(super) text: Arc<str>,
    pub(super) works: Vec<Work>,
    /// Where the record of the member stands.
    pub(super) span: Span,
}

/// Something made on a member, at the figure that is written for it.
#[derive(Clone, Debug)]
pub(super) struct Work {
    pub(super) does: Does,
    pub(super) at: Length,
    pub(super) span: Span,
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Does {
    Stroke(ToolId),
    Print(Arc<str>),
}

impl Part {
    /// Whether both make the same, whatever their serials.
    fn is_like(&self, other: &Part) -> bool {
        let work = |a: &Work, b: &Work| a.does == b.does && a.at == b.at;
        self.length == other.length
            && self.slope == other.slope
            && self.text == other.text
            && self.works.len() == other.works.len()
            && self.works.iter().zip(&other.works).all(|(a, b)| work(a, b))
    }
    /// Whether both say the same, wherever they stand.
    pub(super) fn says(&self, other: &Part) -> bool {
        self.serial == other.serial && self.count == other.count && self.is_like(other)
    }
}

impl Model {
    pub(super) fn of(controller: Controller, line: &Line) -> Model {
        let offset = |station| line.station(station).map_or(Length::ZERO, |s| s.offset);
        Model {
            controller,
            grid: line.grid,
            slug: line.shear.slug,
            offsets: line.tools.iter().map(|tool| offset(tool.station)).collect(),
            marker: line.marker.as_ref().map(|marker| MarkerModel {
                offset: marker.offset,
                from_start: marker.from_start,
                stamps: marker.stamp.is_some(),
            }),
            first: line.head.first_advance,
        }
    }

    /// How far from the shear it is done.
    fn distance(&self, does: &Does) -> Length {
        match does {
            Does::Stroke(tool) => self.offsets.get(usize::from(tool.0)).copied(),
            Does::Print(_) => self.marker.map(|marker| marker.offset),
        }
        .unwrap_or(Length::ZERO)
    }

    /// What the controller itself takes off a figure.
    fn taken_off(&self, does: &Does) -> Length {
        match self.controller.offsets {
            Offsets::Controller => self.distance(does),
            Offsets::Program => Length::ZERO,
        }
    }

    /// The point of the line it stops at for an advance.
    fn snap(&self, due: Length) -> Length {
        let increment = i128::from(self.grid.increment().nm()).max(1);
        let nm = i128::from(due.nm());
        let steps = match self.controller.snapping {
            Snapping::Nearest => (2 * nm + increment).div_euclid(2 * increment),
            Snapping::Down => nm.div_euclid(increment),
        };
        Length::from_nm(i64::try_from(steps * increment).unwrap_or(i64::MAX))
    }
}

impl Invertible {
    /// The program that the controller makes of what this dialect tells it: the program itself at
    /// stop level. At member level strokes may be merged or fire one after the other, and marks
    /// be printed elsewhere; nothing else is printed, replayed and judged.
    pub fn told(&self, program: &Program) -> Result<Program, Box<Diagnostic>> {
        let Some(model) = &self.model else { return Ok(program.clone()) };
        let made = |of: &Program| -> Result<Program, Box<Diagnostic>> {
            let parts = tell(self, model, of)?;
            Ok(execute::program(self, model, &parts, of.clone()).0)
        };
        let mut told = made(program)?;
        // What is merged was told as due apart; told again it has to come to the same.
        for _ in 0..MOST_TELLINGS {
            let again = made(&told)?;
            if again == told {
                return Ok(told);
            }
            told = again;
        }
        Err(tell::refuse(
            model,
            program,
            "is made into another one each time it is told".to_string(),
            "merge less: a controller that moves strokes or texts from one member to the next \
             cannot be told what it does",
        ))
    }

    /// The model of the controller, at member level.
    pub fn controller(&self) -> Option<&Controller> {
        self.model.as_ref().map(|model| &model.controller)
    }

    /// Whether marks have records of their own, instead of standing with their member.
    pub(super) fn prints_apart(&self) -> bool {
        self.has(Scope::Mark)
    }

    /// The figure as the format of this field writes it, so that the controller comes to stand
    /// where it should: one that stops before what is due is given no less.
    fn written(&self, model: &Model, scope: Scope, field: Field, figure: Length) -> Length {
        let Some(number) = self.number_of(scope, field) else { return figure };
        Length::from_nm(match model.controller.snapping {
            Snapping::Nearest => number.near(figure.nm()),
            Snapping::Down => number.not_below(figure.nm()),
        })
    }

    fn number_of(&self, scope: Scope, field: Field) -> Option<&Number> {
        self.steps(scope).iter().find_map(|step| match &step.op {
            Op::Field(had, Coding::Number(number)) if *had == field => Some(number),
            _ => None,
        })
    }
}

/// A program that reads as members no plan would tell so.
pub(super) fn another_spelling(span: Span) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(
            &codes::E0759,
            "what this member is told is not how the dialect tells it".to_string(),
        )
        .at(span, "told another way")
        .note("the same strip would be made from a list that was written otherwise")
        .help("compile the batch again instead of repairing the file: an edited program is not proved"),
    )
}
