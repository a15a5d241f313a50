use super::interrupt::{Interrupt, Scratch};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::files::E0906;
use crate::quantity::{Files, ReadFault};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::fs::Permissions;
use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use tempfile::NamedTempFile;

/// Largest file that is read: one byte more is refused by the loader with its own words.
const LARGEST: u64 = (1 << 30) + 1;

/// Files on the disk below a folder.
///
/// Every file is read once and remembered: what is compiled, what is copied into the output and
/// what is hashed are the same bytes, even if somebody saves the file meanwhile.
#[derive(Debug)]
pub struct DiskFiles {
    root: PathBuf,
    carried: bool,
    read: RefCell<BTreeMap<String, Arc<[u8]>>>,
}

impl DiskFiles {
    /// Files named from the folder this command was started in, absolute names allowed.
    pub fn here() -> DiskFiles {
        DiskFiles { root: PathBuf::new(), carried: false, read: RefCell::default() }
    }
    /// Files named from the folder of a batch. Absolute names are refused: an output folder
    /// carries its inputs, and what an absolute name leads to would not be there.
    pub fn of_batch(folder: impl Into<PathBuf>) -> DiskFiles {
        DiskFiles { root: folder.into(), carried: true, read: RefCell::default() }
    }
    /// Where this name leads.
    pub fn path(&self, name: &str) -> PathBuf {
        self.root.join(name)
    }
    /// What has been read so far, by name.
    pub fn taken(&self) -> BTreeMap<String, Arc<[u8]>> {
        self.read.borrow().clone()
    }
}

impl Files for DiskFiles {
    fn read(&self, name: &str) -> Result<Vec<u8>, ReadFault> {
        if let Some(bytes) = self.read.borrow().get(name) {
            return Ok(bytes.to_vec());
        }
        if self.carried && is_absolute(name) {
            return Err(ReadFault::Other(
                "its name is absolute, and a batch carries its inputs with it: name it from the \
                 folder of the file that needs it"
                    .to_string(),
            ));
        }
        if name.is_empty() {
            // What `.` comes to: the folder the names are relative to.
            return Err(ReadFault::Folder);
        }
        let bytes = read_file(&self.path(name))?;
        self.read.borrow_mut().insert(name.to_string(), bytes.clone().into());
        Ok(bytes)
    }
}

/// Absolute on any system a batch may travel to.
fn is_absolute(name: &str) -> bool {
    name.starts_with('/') || name.get(1..2) == Some(":") || Path::new(name).is_absolute()
}

/// The content of one file, never more than just above 1 GiB even if it grows meanwhile.
pub fn read_file(path: &Path) -> Result<Vec<u8>, ReadFault> {
    let fault = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound | ErrorKind::NotADirectory => ReadFault::Missing,
        ErrorKind::IsADirectory => ReadFault::Folder,
        _ => ReadFault::Other(plain(&error)),
    };
    let metadata = std::fs::metadata(path).map_err(fault)?;
    if metadata.is_dir() {
        return Err(ReadFault::Folder);
    }
    if !metadata.is_file() {
        // A pipe may wait for ever, and a device may never end.
        return Err(ReadFault::Other("it is a pipe or a device, not a file".to_string()));
    }
    if metadata.len() >= LARGEST {
        return Err(ReadFault::TooLarge);
    }
    let file = std::fs::File::open(path).map_err(fault)?;
    let mut bytes = Vec::with_capacity(usize::try_from(metadata.len()).unwrap_or(0) + 1);
    file.take(LARGEST).read_to_end(&mut bytes).map_err(fault)?;
    Ok(bytes)
}

/// A content that lies beside the place it is to have, under a name of its own. It goes away unless
/// it is put there, also when the process is ended meanwhile.
pub struct Staged {
    file: NamedTempFile,
    // Behind the file, so that it is known until that is gone.
    _scratch: Scratch,
}

impl Staged {
    /// In place of what stands at `path`.
    pub fn put(self, path: &Path) -> std::io::Result<()> {
        self.file.persist(path).map(drop).map_err(|fault| fault.error)
    }
    /// At `path`, if nothing stands there.
    pub fn put_new(self, path: &Path) -> std::io::Result<()> {
        self.file.persist_noclobber(path).map(drop).map_err(|fault| fault.error)
    }
}

/// A content written whole to a file of no name yet in `folder`, to be put where it belongs. For
/// everybody to read where nothing else is said.
pub fn staged(
    folder: &Path,
    prefix: &str,
    content: impl AsRef<[u8]>,
    permissions: Option<Permissions>,
    interrupt: &Interrupt,
) -> std::io::Result<Staged> {
    let make = || tempfile::Builder::new().prefix(prefix).tempfile_in(folder);
    let (mut file, scratch) = interrupt.scratch(make, |file| file.path().to_path_buf())?;
    file.write_all(content.as_ref())?;
    #[cfg(unix)]
    let permissions = permissions.or_else(|| {
        use std::os::unix::fs::PermissionsExt;
        Some(Permissions::from_mode(0o644))
    });
    if let Some(permissions) = permissions {
        file.as_file().set_permissions(permissions)?;
    }
    file.as_file().sync_all()?;
    Ok(Staged { file, _scratch: scratch })
}

/// As [`staged`], in the folder of the file it is to become.
pub fn staged_for(
    path: &Path,
    prefix: &str,
    content: impl AsRef<[u8]>,
    interrupt: &Interrupt,
) -> std::io::Result<Staged> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    staged(folder.unwrap_or(Path::new(".")), prefix, content, None, interrupt)
}

/// Puts a content in its place, in place of what stands there: whole or not at all.
pub fn put(
    path: &Path,
    prefix: &str,
    content: impl AsRef<[u8]>,
    interrupt: &Interrupt,
) -> Result<(), Box<Diagnostic>> {
    staged_for(path, prefix, content, interrupt)
        .and_then(|staged| staged.put(path))
        .map_err(|error| Box::new(unwritten(path, &error)))
}

/// A file that could not be written.
pub fn unwritten(path: &Path, error: &std::io::Error) -> Diagnostic {
    Diagnostic::new(&E0906, format!("cannot write `{}`: {}", path.display(), plain(error)))
        .help("check that its folder is there and may be written, and that the disk has room")
}

/// An operating system's complaint without its number: `permission denied`.
pub fn plain(error: &std::io::Error) -> String {
    let text = error.to_string();
    let text = text.split(" (os error").next().unwrap_or_default();
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_lowercase().chain(letters).collect(),
        None => "it gave no reason".to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_once_and_remembers() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("a.members"), "one").unwrap();
        let files = DiskFiles::of_batch(folder.path());
        assert_eq!(files.read("a.members").unwrap(), b"one");
        std::fs::write(folder.path().join("a.members"), "two").unwrap();
        assert_eq!(files.read("a.members").unwrap(), b"one");
        assert_eq!(files.taken().keys().collect::<Vec<_>>(), ["a.members"]);
    }

    #[test]
    fn tells_a_missing_file_from_a_folder_and_refuses_absolute_names_in_a_batch() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("walls")).unwrap();
        std::fs::write(folder.path().join("a"), "x").unwrap();
        let files = DiskFiles::of_batch(folder.path());
        assert_eq!(files.read("walls"), Err(ReadFault::Folder));
        assert_eq!(files.read(""), Err(ReadFault::Folder));
        assert_eq!(DiskFiles::here().read(""), Err(ReadFault::Folder));
        assert_eq!(files.read("nowhere"), Err(ReadFault::Missing));
        assert_eq!(files.read("a/b"), Err(ReadFault::Missing));
        let absolute = folder.path().join("a").to_str().unwrap().to_string();
        assert!(matches!(files.read(&absolute), Err(ReadFault::Other(_))));
        assert_eq!(DiskFiles::here().read(&absolute).unwrap(), b"x");
    }
}
