//! Output that never takes the place of what stands there: a file that is new or the same, or a
//! new folder with all its files or none.

use super::disk::{put, read_file, unwritten};
use super::interrupt::Interrupt;
use super::output::interrupted;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange::E1105;
use crate::quantity::ReadFault;
use std::path::Path;

/// Writes a file that is not there yet, or holds the same already.
pub fn file(path: &Path, text: &str, interrupt: &Interrupt) -> Result<(), Box<Diagnostic>> {
    match read_file(path) {
        Err(ReadFault::Missing) => {}
        Ok(stands) if stands == text.as_bytes() => return Ok(()),
        _ => return Err(in_the_way(path)),
    }
    put(path, ".export-", text, interrupt)
}

/// Writes all files into a new folder, or none: on an interrupt too.
pub fn folder<'a>(
    path: &Path,
    files: impl IntoIterator<Item = (&'a str, &'a str)>,
    interrupt: &Interrupt,
) -> Result<(), Box<Diagnostic>> {
    let _guard = interrupt.guard();
    if path.exists() {
        return Err(in_the_way(path));
    }
    let above = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let write = || -> std::io::Result<bool> {
        let make = || tempfile::Builder::new().prefix(".export-").tempdir_in(above);
        // Known until it has its name or is gone.
        let (folder, _scratch) = interrupt.scratch(make, |folder| folder.path().to_path_buf())?;
        for (name, text) in files {
            if interrupt.raised() {
                return Ok(false);
            }
            std::fs::write(folder.path().join(name), text)?;
        }
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            std::fs::set_permissions(folder.path(), std::fs::Permissions::from_mode(0o755))?;
        }
        let staged = folder.keep();
        std::fs::rename(&staged, path).inspect_err(|_| {
            let _left_behind = std::fs::remove_dir_all(&staged);
        })?;
        Ok(true)
    };
    match write() {
        Ok(true) => Ok(()),
        Ok(false) => Err(interrupted()),
        Err(error) => Err(Box::new(unwritten(path, &error))),
    }
}

fn in_the_way(path: &Path) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(&E1105, format!("something stands at `{}` already", path.display()))
            .note("it is left as it is")
            .help("give another name after --out, or move it away"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interrupt_leaves_no_folder_and_nothing_beside_it() {
        let top = tempfile::tempdir().unwrap();
        let out = top.path().join("out");
        let interrupt = Interrupt::default();
        let mut written = 0;
        let files = (0..10).map(|_| {
            written += 1;
            if written == 3 {
                interrupt.raise();
            }
            ("a.dxf", "text")
        });
        let stopped = folder(&out, files, &interrupt).unwrap_err();
        assert_eq!((stopped.code.number, written), ("E0910", 3));
        assert_eq!(std::fs::read_dir(top.path()).unwrap().count(), 0);
    }
}
