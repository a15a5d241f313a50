//! Members, and where their features are: how a member-level program is written.

use super::super::member::{Does, Model, Part, tell};
use super::{Printer, Subject};
use crate::diagnostic::Diagnostic;
use crate::library::model::Scope;
use crate::program::{Event, Program};
use crate::quantity::Advance;

impl<'a> Printer<'a> {
    /// Writes the members that say the program. Gives a cut for each, as blocks are counted, with
    /// where its records end.
    pub(super) fn members(
        &mut self,
        model: &Model,
        program: &Program,
    ) -> Result<Vec<(Event, usize)>, Box<Diagnostic>> {
        let parts = tell(self.of, model, program)?;
        let mut ends = Vec::with_capacity(parts.len());
        for part in &parts {
            self.part(part)?;
            let (at, piece, slope) = (Advance::ZERO, part.serial, part.slope);
            ends.push((Event::Cut { at, piece, slope }, self.out.len()));
        }
        Ok(ends)
    }

    fn part(&mut self, part: &Part) -> Result<(), Box<Diagnostic>> {
        let scope = if part.serial.is_some() { Scope::Member } else { Scope::Scrap };
        self.member = part.serial.map_or(0, |serial| serial.0);
        self.record(scope, Subject::Part(part))?;
        for work in &part.works {
            let scope = match work.does {
                Does::Stroke(_) if self.of.lists => continue,
                Does::Stroke(_) => Scope::Feature,
                Does::Print(_) => Scope::Mark,
            };
            self.record(scope, Subject::Work(work))?;
        }
        Ok(())
    }
}
