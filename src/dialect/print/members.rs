//! Members, and where their features are: how a member-level program is written.

use super::super::member::{Does, Model, Part, grouped, tell};
use super::{Ends, Printer, Subject};
use crate::diagnostic::Diagnostic;
use crate::library::model::Scope;
use crate::program::{Program, Serial};

impl<'a> Printer<'a> {
    /// Writes the members that say the program. Gives where the records of each end.
    pub(super) fn members(
        &mut self,
        model: &Model,
        program: &Program,
    ) -> Result<Ends, Box<Diagnostic>> {
        let parts = grouped(self.of, tell(self.of, model, program)?);
        let mut ends = Vec::with_capacity(parts.len());
        for part in &parts {
            self.part(part)?;
            ends.push((part.serial, part.count, self.out.len()));
        }
        Ok(ends)
    }

    fn part(&mut self, part: &Part) -> Result<(), Box<Diagnostic>> {
        let scope = if part.serial.is_some() { Scope::Member } else { Scope::Scrap };
        self.piece = part.serial.map_or(0, |Serial(serial)| serial);
        self.record(scope, Subject::Part(part))?;
        for work in &part.works {
            let scope = match work.does {
                Does::Stroke(_) => Scope::Feature,
                Does::Print(_) => Scope::Mark,
            };
            self.record(scope, Subject::Work(work))?;
        }
        Ok(())
    }
}
