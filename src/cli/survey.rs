use super::carry::known_as;
use super::disk::{plain, read_file};
use super::manifest::{self, Fault, FileEntry, Manifest, NAME, sha256};
use crate::diagnostic::Diagnostic;
use crate::plan::Shop;
use crate::quantity::{FileId, MemoryFiles, ReadFault, Sources, join};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::Path;

/// A folder whose manifest this program reads, and how it stands against that.
#[derive(Debug)]
pub struct Survey {
    /// The manifest it was compared with.
    pub manifest: Manifest,
    /// What is in it.
    pub standing: Standing,
}

/// How a folder stands against the files its manifest lists.
#[derive(Debug, Default)]
pub struct Standing {
    /// Every file that was read, by path; the manifest not among them.
    pub files: BTreeMap<String, Vec<u8>>,
    /// Listed, there, and not as listed.
    pub changed: Vec<String>,
    /// Listed and not there.
    pub missing: Vec<String>,
    /// There and not listed: files, links, folders that hold nothing.
    pub extra: Vec<String>,
}

/// A batch opened from an output folder.
pub struct Stored {
    /// The batch, where its inputs are without errors.
    pub shop: Option<Shop>,
    /// The errors.
    pub faults: Vec<Diagnostic>,
    batch_file: String,
    /// Which sources are its inputs.
    inputs: Range<usize>,
}

impl Stored {
    /// Where in the folder a source lies: inputs are known by the names the batch has for them.
    pub fn path(&self, id: FileId, source: &str) -> String {
        if self.inputs.contains(&(id.0 as usize)) {
            join(&self.batch_file, source)
        } else {
            source.to_string()
        }
    }
}

/// Why a folder could not be compared.
#[derive(Debug)]
pub enum Unsurveyed {
    /// It has no manifest.
    Without,
    /// Its manifest is not one that this program reads.
    Manifest(Fault),
    /// The system refused; path and its words.
    Unreadable(String, String),
}

/// The bytes of a folder's manifest.
fn manifest_of(folder: &Path) -> Result<Vec<u8>, Unsurveyed> {
    read_file(&folder.join(NAME)).map_err(|fault| match fault {
        ReadFault::Missing | ReadFault::Folder => Unsurveyed::Without,
        ReadFault::TooLarge => {
            Unsurveyed::Unreadable(NAME.to_string(), "it is too large".to_string())
        }
        ReadFault::Other(why) => Unsurveyed::Unreadable(NAME.to_string(), why),
    })
}

impl Survey {
    /// Compares a folder with the manifest in it.
    pub fn of(folder: &Path) -> Result<Survey, Unsurveyed> {
        let manifest = Manifest::read(&manifest_of(folder)?).map_err(Unsurveyed::Manifest)?;
        let standing = Standing::against(folder, &manifest.files)?;
        Ok(Survey { manifest, standing })
    }

    /// Opens the batch from the inputs that were stored with it.
    pub fn shop(&self, sources: &mut Sources) -> Stored {
        let batch_file = &self.manifest.batch_file;
        let inputs = self
            .standing
            .files
            .iter()
            .filter_map(|(path, bytes)| Some((known_as(batch_file, path)?, bytes.clone())))
            .collect();
        let first = sources.iter().count();
        let batch = batch_file.rsplit('/').next().unwrap_or_default();
        let (shop, found) = Shop::open(&MemoryFiles(inputs), sources, batch);
        // Warnings were told when the folder was written.
        let faults = found.into_iter().filter(Diagnostic::is_error).collect();
        Stored {
            shop,
            faults,
            batch_file: batch_file.clone(),
            inputs: first..sources.iter().count(),
        }
    }
}

impl Standing {
    /// Compares a folder with the files of the manifest in it, whichever version of this program
    /// wrote that.
    pub fn of(folder: &Path) -> Result<Standing, Unsurveyed> {
        let listed = manifest::listed(&manifest_of(folder)?).map_err(Unsurveyed::Manifest)?;
        Standing::against(folder, &listed)
    }

    fn against(folder: &Path, listed: &[FileEntry]) -> Result<Standing, Unsurveyed> {
        let listed: BTreeMap<&str, &FileEntry> =
            listed.iter().map(|entry| (entry.path.as_str(), entry)).collect();
        let mut folders: BTreeSet<&str> = BTreeSet::new();
        for mut path in listed.keys().copied() {
            while let Some((folder, _)) = path.rsplit_once('/') {
                folders.insert(folder);
                path = folder;
            }
        }
        let mut standing = Standing::default();
        standing.walk(folder, "", &listed, &folders)?;
        for (path, entry) in listed {
            match standing.files.get(path) {
                None => standing.missing.push(path.to_string()),
                Some(bytes) if sha256(bytes) != entry.sha256 => {
                    standing.changed.push(path.to_string());
                }
                Some(_) => {}
            }
        }
        standing.extra.sort();
        Ok(standing)
    }

    /// Whether every file is as listed and nothing else is there.
    pub fn is_whole(&self) -> bool {
        self.changed.is_empty() && self.missing.is_empty() && self.extra.is_empty()
    }

    fn walk(
        &mut self,
        top: &Path,
        below: &str,
        listed: &BTreeMap<&str, &FileEntry>,
        folders: &BTreeSet<&str>,
    ) -> Result<(), Unsurveyed> {
        let refused = |path: &str, error: &std::io::Error| {
            let path = if path.is_empty() { "." } else { path };
            Unsurveyed::Unreadable(path.to_string(), plain(error))
        };
        let entries = std::fs::read_dir(top.join(below)).map_err(|e| refused(below, &e))?;
        for entry in entries {
            let entry = entry.map_err(|e| refused(below, &e))?;
            let name = entry.file_name();
            let shown = name.to_string_lossy();
            let path =
                if below.is_empty() { shown.to_string() } else { format!("{below}/{shown}") };
            let kind = entry.file_type().map_err(|e| refused(&path, &e))?;
            if path == NAME && kind.is_file() {
                continue;
            }
            if name.to_str().is_none() {
                self.extra.push(path);
            } else if kind.is_dir() && folders.contains(path.as_str()) {
                self.walk(top, &path, listed, folders)?;
            } else if kind.is_file() && listed.contains_key(path.as_str()) {
                let bytes = read_file(&entry.path()).map_err(|fault| {
                    let why = match fault {
                        ReadFault::Other(why) => why,
                        other => format!("{other:?}").to_lowercase(),
                    };
                    Unsurveyed::Unreadable(path.clone(), why)
                })?;
                self.files.insert(path, bytes);
            } else {
                self.extra.push(path);
            }
        }
        Ok(())
    }
}
