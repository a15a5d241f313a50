use crate::diagnostic::codes::files::E0925;
use crate::diagnostic::{Diagnostic, any_error};
use crate::quantity::{FileId, SourceFile, Sources};

/// Findings with the sources they point into, under the names the user knows: what one command
/// has to say, said at once, so that a script reads one document.
#[derive(Debug, Default)]
pub struct Told {
    /// What the rest may come of: told before it, in this order.
    pub causes: Vec<Diagnostic>,
    pub found: Vec<Diagnostic>,
    pub sources: Sources,
}

impl Told {
    /// What is said instead of doing what was asked for: never nothing. A stage that gives nothing
    /// and no reason is our fault, and must not be taken for a command that is done.
    pub fn refusing(mut self) -> Told {
        if !any_error(&self.causes) && !any_error(&self.found) {
            self.found.push(
                Diagnostic::new(&E0925, "nothing was made, and nothing was found wrong")
                    .note("a fault of this program's: a mistake in the files was passed over")
                    .help("report this with the files of the command; nothing was written"),
            );
        }
        self
    }

    /// Adds what another batch has to say.
    pub fn absorb(&mut self, other: Told) {
        let before = u32::try_from(self.sources.iter().count()).unwrap_or(u32::MAX);
        for (_, file) in other.sources.iter() {
            self.sources.add(SourceFile::new(file.name().clone(), file.text().clone()));
        }
        let moved = |mut found: Diagnostic| {
            for label in &mut found.labels {
                label.span.file = FileId(label.span.file.0.saturating_add(before));
            }
            found
        };
        self.causes.extend(other.causes.into_iter().map(moved));
        self.found.extend(other.found.into_iter().map(moved));
    }
}

/// A refusal that points nowhere.
impl From<Box<Diagnostic>> for Told {
    fn from(refusal: Box<Diagnostic>) -> Told {
        Told { found: vec![*refusal], ..Told::default() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::exit::Exit;
    use crate::diagnostic::Severity;
    use crate::diagnostic::codes::files::{E0905, W0924};

    #[test]
    fn nothing_made_and_nothing_wrong_is_our_fault() {
        // E0925
        let exit = |found: Vec<Diagnostic>| {
            let told = Told { found, ..Told::default() }.refusing();
            (told.found.len(), Exit::of(&told.found))
        };
        assert_eq!(exit(Vec::new()), (1, Exit::Outside));
        assert_eq!(exit(vec![Diagnostic::new(&W0924, "x")]), (2, Exit::Outside));
        assert_eq!(exit(vec![Diagnostic::new(&E0905, "x")]), (1, Exit::Input));
        let lowered = Diagnostic::new(&E0905, "x").severity(Severity::Warning);
        assert_eq!(exit(vec![lowered]), (2, Exit::Outside));
    }
}
