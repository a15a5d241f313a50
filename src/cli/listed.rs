//! Whether a program says of itself what the manifest and the run sheet say of it.

use super::manifest::ProgramEntry;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::dialect::E0761;
use crate::program::Program;
use crate::quantity::{FileId, Span};

/// A program that is listed as another. `batch` is the batch it has to be of.
pub fn listed_as_another(
    entry: &ProgramEntry,
    batch: &str,
    program: &Program,
    file: FileId,
) -> Option<Diagnostic> {
    let pairs = [
        ("program", &*program.id, entry.id.as_str()),
        ("batch", &program.batch, batch),
        ("profile", &program.profile, &entry.profile),
        ("coil", &program.coil, &entry.coil),
    ];
    let differ = || pairs.iter().filter(|(_, says, listed)| says != listed);
    differ().next()?;
    let joined = |words: Vec<String>| words.join(" and ");
    let says = joined(differ().map(|(what, says, _)| format!("{what} `{says}`")).collect());
    let listed = joined(differ().map(|(what, _, listed)| format!("{what} `{listed}`")).collect());
    Some(
        Diagnostic::new(
            &E0761,
            format!("`{}` says it is {says}, and is listed as {listed}", entry.file),
        )
        .at(Span::new(file, 0, 1), "this program")
        .note(
            "the id on the controller's screen is compared with the run sheet before a run: by it \
             another program would be taken for this one",
        )
        .help("restore the program as it was written, or compile again"),
    )
}
