use super::disk::DiskFiles;
use crate::diagnostic::codes::files::{E0901, E0916};
use crate::diagnostic::{Diagnostic, load};
use crate::quantity::{Sources, join};
use std::path::Path;

/// A batch file named on the command line: the folder its names lead from, and its own name.
#[derive(Debug)]
pub struct Named {
    pub files: DiskFiles,
    pub name: String,
    shown: String,
}

impl Named {
    /// The batch at this path.
    pub fn batch(path: &Path) -> Result<Named, Box<Diagnostic>> {
        let shown = shown(path)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let Some(name) = path.file_name().and_then(|name| name.to_str()) else {
            return Err(Box::new(
                Diagnostic::new(&E0901, format!("`{shown}` is not the name of a file"))
                    .help("name the batch file, such as `batch.toml`"),
            ));
        };
        // What is wrong with the file itself is told by the name it was given.
        load(&DiskFiles::here(), &mut Sources::default(), &shown, None)?;
        Ok(Named {
            files: DiskFiles::of_batch(folder),
            name: name.to_string(),
            shown: shown.clone(),
        })
    }
    /// The sources under the names the user knows them by, seen from where the command started.
    /// What comes with the program lies in no folder.
    pub fn shown(&self, sources: &Sources) -> Sources {
        let taken = self.files.taken();
        super::console::renamed(sources, |_, name| match taken.contains_key(name) {
            true => join(&self.shown, name),
            false => name.to_string(),
        })
    }
}

/// A path as text.
pub fn shown(path: &Path) -> Result<String, Box<Diagnostic>> {
    match path.to_str() {
        Some(text) => Ok(text.to_string()),
        None => Err(Box::new(
            Diagnostic::new(
                &E0916,
                format!("the name `{}` is not UTF-8 text", path.to_string_lossy()),
            )
            .help("rename the file in letters that can be printed on papers"),
        )),
    }
}

/// Where a finding is, as papers name it: the file as the batch knows it, and the line.
pub fn place(found: &Diagnostic, sources: &Sources) -> Option<String> {
    let span = found.span()?;
    let file = sources.get(span.file)?;
    Some(format!("{}:{}", file.name(), file.position(span.start).line))
}
