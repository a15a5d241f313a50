use std::collections::BTreeMap;

/// Why a file could not be read.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum ReadFault {
    /// Nothing of this name.
    Missing,
    /// A folder, not a file.
    Folder,
    /// Above the size the program reads.
    TooLarge,
    /// Anything else, in the operating system's words.
    Other(String),
}

/// Where inputs are read from: the disk in `cli`, a map in tests and in `verify`.
///
/// Paths are relative, parted by `/`, without `.` or `..` parts left in the middle; see
/// [`join`].
pub trait Files {
    /// The whole content of a file.
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault>;
}

/// Files held in memory.
#[derive(Clone, Default, Debug)]
pub struct MemoryFiles(pub BTreeMap<String, Vec<u8>>);

impl MemoryFiles {
    /// With these names and texts.
    pub fn of<'a>(files: impl IntoIterator<Item = (&'a str, &'a str)>) -> MemoryFiles {
        MemoryFiles(
            files.into_iter().map(|(n, t)| (n.to_string(), t.as_bytes().to_vec())).collect(),
        )
    }
}

impl Files for MemoryFiles {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        if let Some(bytes) = self.0.get(path) {
            return Ok(bytes.clone());
        }
        let folder = format!("{path}/");
        if self.0.keys().any(|name| name.starts_with(&folder)) {
            Err(ReadFault::Folder)
        } else {
            Err(ReadFault::Missing)
        }
    }
}

/// `path` as written in the file `from`: relative to that file's folder, with `.` and `..`
/// resolved. Absolute paths stay as they are.
pub fn join(from: &str, path: &str) -> String {
    let path = path.replace('\\', "/");
    if path.starts_with('/') || path.get(1..2) == Some(":") {
        return path;
    }
    let absolute = from.starts_with('/');
    let mut parts: Vec<&str> = from.split('/').filter(|p| !p.is_empty()).collect();
    parts.pop();
    for part in path.split('/') {
        match part {
            "" | "." => {}
            ".." if parts.last().is_some_and(|&last| last != "..") => {
                parts.pop();
            }
            other => parts.push(other),
        }
    }
    let joined = parts.join("/");
    if absolute { format!("/{joined}") } else { joined }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn joins_beside_the_file_that_names_it() {
        assert_eq!(join("a/batch.toml", "walls.members"), "a/walls.members");
        assert_eq!(join("a/b/batch.toml", "../shop/line.toml"), "a/shop/line.toml");
        assert_eq!(join("batch.toml", "../x"), "../x");
        assert_eq!(join("../p/batch.toml", "./x"), "../p/x");
        assert_eq!(join("/home/batch.toml", "x"), "/home/x");
        assert_eq!(join("a/b", "/abs/x"), "/abs/x");
    }
}
