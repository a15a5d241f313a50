//! Members, and where their features are: what a member-level program says.

use super::super::member::{Does, Part, Work};
use super::{Blocks, Invertible, Reader, begins};
use crate::diagnostic::Diagnostic;
use crate::library::model::{Scope, ToolId};
use crate::program::{Event, Serial};
use crate::quantity::Advance;

/// Records that may begin after the head of the run or after a record of a member.
const SCOPES: [Scope; 5] =
    [Scope::Feature, Scope::Member, Scope::Mark, Scope::Scrap, Scope::RunEnd];

impl Reader<'_> {
    /// All members, up to the end record.
    pub(super) fn parts(&mut self, blocks: &mut Blocks<'_>) -> Result<Vec<Part>, Box<Diagnostic>> {
        let mut parts = Vec::new();
        loop {
            match self.which_of(&follow(self.of, false))? {
                Scope::RunEnd => return Ok(parts),
                scope => {
                    let part = self.part(scope)?;
                    let (at, piece, slope) = (Advance::ZERO, part.serial, part.slope);
                    blocks.event(&Event::Cut { at, piece, slope }, self.at);
                    parts.push(part);
                }
            }
        }
    }

    fn part(&mut self, scope: Scope) -> Result<Part, Box<Diagnostic>> {
        let began = self.at;
        (self.found.rise, self.found.run) = (0, 1);
        self.found.text = None;
        let mut works = Vec::new();
        self.steps(scope, &mut works)?;
        let slope = self.slope(began)?;
        let serial = (scope == Scope::Member).then_some(Serial(self.found.serial));
        let length = self.found.length;
        let text = self.found.text.take().unwrap_or_default();
        let span = self.line_span(began);
        let after = follow(self.of, true);
        loop {
            let began = self.at;
            match self.which_of(&after)? {
                scope @ (Scope::Feature | Scope::Mark) => {
                    self.record(scope)?;
                    works.push(self.work(scope, began));
                }
                _ => return Ok(Part { serial, length, slope, text, works, span }),
            }
        }
    }

    /// What the record or list item that was just read says is done.
    pub(super) fn work(&mut self, scope: Scope, began: usize) -> Work {
        let does = match scope {
            Scope::Mark => Does::Print(self.found.text.take().unwrap_or_default()),
            _ => Does::Stroke(ToolId(self.found.tool)),
        };
        Work { does, at: self.found.at.distance(), span: self.line_span(began) }
    }
}

/// Records that may follow: those of features and marks only with a member before them.
fn follow(of: &Invertible, member: bool) -> Vec<Scope> {
    let may = |scope: &Scope| match scope {
        Scope::Feature => member && !of.lists,
        Scope::Mark => member && of.has(Scope::Mark),
        _ => true,
    };
    SCOPES.into_iter().filter(may).collect()
}

impl<'a> Reader<'a> {
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
