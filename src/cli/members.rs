//! Members files named on the command line, resolved and checked against a library alone.

use super::disk::DiskFiles;
use super::shop::shown;
use super::told::Told;
use crate::check;
use crate::library::model::Library;
use crate::library::{MARK_TEXT, load_library};
use crate::member::model::Job;
use crate::member::resolve::resolve;
use crate::quantity::Span;
use std::path::{Path, PathBuf};

/// The jobs of these files; what is wrong with a member would be wrong in whatever is made of it.
pub fn checked(files: &[PathBuf], library: &Path, told: &mut Told) -> Option<(Vec<Job>, Library)> {
    let disk = DiskFiles::here();
    let mut names: Vec<(String, Option<Span>)> = Vec::new();
    for path in files {
        match shown(path) {
            Ok(name) => names.push((name, None)),
            Err(refusal) => told.found.push(*refusal),
        }
    }
    let library = match shown(library) {
        Ok(name) => name,
        Err(refusal) => {
            told.found.push(*refusal);
            return None;
        }
    };
    let (library, found) = load_library(&disk, &mut told.sources, &library);
    told.found.extend(found);
    let library = library?;
    let (jobs, found) = resolve(&disk, &mut told.sources, &names, &library, MARK_TEXT);
    told.found.extend(found);
    told.found.extend(check::check(&jobs, &library).diagnostics);
    Some((jobs, library))
}
