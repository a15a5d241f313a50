//! Members, and where their features are: what a member-level program says.

use super::super::member::{
    Does, MOST_PIECES, Model, Part, Work, another_spelling, grouped, program, tell,
};
use super::super::number::FARTHEST;
use super::{Blocks, Invertible, Reader, begins, e};
use crate::diagnostic::Diagnostic;
use crate::library::model::{Field, Scope, ToolId};
use crate::program::{Program, Serial};
use crate::quantity::Span;

/// Records that may begin after the head of the run or after a record of a member.
const SCOPES: [Scope; 5] =
    [Scope::Feature, Scope::Member, Scope::Mark, Scope::Scrap, Scope::RunEnd];

impl Reader<'_> {
    /// All members, up to the end record.
    pub(super) fn parts(&mut self, blocks: &mut Blocks<'_>) -> Result<Vec<Part>, Box<Diagnostic>> {
        let mut parts = Vec::new();
        let (mut pieces, mut strip): (usize, i128) = (0, 0);
        loop {
            let scope = self.which_of(&follow(self.of, false))?;
            if scope == Scope::RunEnd {
                return Ok(parts);
            }
            let began = self.at;
            let part = self.part(scope)?;
            pieces = pieces.saturating_add(part.count as usize);
            strip += i128::from(part.length.nm()) * i128::from(part.count);
            if pieces > MOST_PIECES || strip > i128::from(FARTHEST) {
                return Err(self.too_many(began));
            }
            blocks.block(part.serial, part.count, self.at);
            parts.push(part);
        }
    }

    fn part(&mut self, scope: Scope) -> Result<Part, Box<Diagnostic>> {
        let began = self.at;
        (self.found.rise, self.found.run) = (0, 1);
        self.found.quantity = 1;
        self.found.text = None;
        self.steps(scope, &mut Vec::new())?;
        let mut part = Part {
            serial: (scope == Scope::Member).then_some(Serial(self.found.serial)),
            count: self.found.quantity,
            length: self.found.length,
            slope: self.slope(began)?,
            text: self.found.text.take().unwrap_or_default(),
            works: Vec::new(),
            span: self.line_span(began),
        };
        let after = follow(self.of, true);
        loop {
            let began = self.at;
            match self.which_of(&after)? {
                scope @ (Scope::Feature | Scope::Mark) => {
                    self.record(scope)?;
                    let does = match scope {
                        Scope::Mark => Does::Print(self.found.text.take().unwrap_or_default()),
                        _ => Does::Stroke(ToolId(self.found.tool)),
                    };
                    let (at, span) = (self.found.at.distance(), self.line_span(began));
                    part.works.push(Work { does, at, span });
                }
                _ => return Ok(part),
            }
        }
    }

    /// What the controller makes of the members, if that is told in this way and no other.
    pub(super) fn executed(
        &self,
        model: &Model,
        parts: &[Part],
        head: Program,
    ) -> Result<(Program, Vec<Span>), Box<Diagnostic>> {
        let (program, spans) = program(self.of, model, parts, head);
        let again = tell(self.of, model, &program).map(|told| grouped(self.of, told));
        let again = again.unwrap_or_default();
        let differs = parts
            .iter()
            .enumerate()
            .find(|(index, part)| again.get(*index).is_none_or(|other| !part.says(other)))
            .map(|(_, part)| part);
        match differs {
            Some(part) => Err(another_spelling(part.span)),
            None => Ok((program, spans)),
        }
    }

    fn too_many(&self, began: usize) -> Box<Diagnostic> {
        let found = self.fault(
            &e::E0752,
            format!(
                "up to this member the program makes more than {MOST_PIECES} pieces, or more than \
                 100 km of them"
            ),
            self.place(began, 40),
            "no coil holds as much",
        );
        Box::new(found.help(super::COMPILE_AGAIN))
    }
}

/// Records that may follow: those of features and marks only with a member before them.
fn follow(of: &Invertible, member: bool) -> Vec<Scope> {
    let may = |scope: &Scope| match scope {
        Scope::Feature | Scope::Mark => member && of.has(*scope),
        scope => of.has(*scope),
    };
    SCOPES.into_iter().filter(may).collect()
}

impl Reader<'_> {
    /// Which of these records begins here.
    fn which_of(&self, scopes: &[Scope]) -> Result<Scope, Box<Diagnostic>> {
        let rest = self.rest();
        match scopes.iter().copied().find(|&scope| begins(rest, self.lead(scope))) {
            Some(scope) => Ok(scope),
            None if scopes.iter().any(|&scope| self.lead(scope).starts_with(rest)) => {
                Err(self.truncated())
            }
            None => Err(self.unknown_record(scopes)),
        }
    }
}

/// Whether a value of this field can be a figure of a member.
pub(super) fn range(field: Field) -> Option<std::ops::RangeInclusive<i64>> {
    match field {
        Field::Length => Some(1..=FARTHEST),
        Field::Quantity => Some(1..=i64::try_from(MOST_PIECES).unwrap_or(i64::MAX)),
        _ => None,
    }
}
