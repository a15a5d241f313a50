use crate::diagnostic::Diagnostic;
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
