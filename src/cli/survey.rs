use super::carry::known_as;
use super::disk::{plain, read_file};
use super::manifest::{Fault, Manifest, NAME, sha256};
use crate::diagnostic::Diagnostic;
use crate::plan::Shop;
use crate::quantity::{FileId, MemoryFiles, ReadFault, Sources, join};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::path::Path;

/// How a folder stands against its manifest.
#[derive(Debug)]
pub struct Survey {
    /// The manifest it was compared with.
    pub manifest: Manifest,
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

impl Survey {
    /// Compares a folder with the manifest in it.
    pub fn of(folder: &Path) -> Result<Survey, Unsurveyed> {
        let manifest = match read_file(&folder.join(NAME)) {
            Ok(bytes) => Manifest::read(&bytes).map_err(Unsurveyed::Manifest)?,
            Err(ReadFault::Missing | ReadFault::Folder) => return Err(Unsurveyed::Without),
            Err(ReadFault::TooLarge) => {
                return Err(Unsurveyed::Unreadable(NAME.to_string(), "it is too large".into()));
            }
            Err(ReadFault::Other(why)) => {
                return Err(Unsurveyed::Unreadable(NAME.to_string(), why));
            }
        };
        let mut survey = Survey {
            manifest,
            files: BTreeMap::new(),
            changed: Vec::new(),
            missing: Vec::new(),
            extra: Vec::new(),
        };
        let mut folders: BTreeSet<String> = BTreeSet::from([String::new()]);
        for entry in &survey.manifest.files {
            let mut path = entry.path.as_str();
            while let Some((folder, _)) = path.rsplit_once('/') {
                folders.insert(folder.to_string());
                path = folder;
            }
        }
        survey.walk(folder, "", &folders)?;
        for entry in &survey.manifest.files {
            match survey.files.get(&entry.path) {
                None => survey.missing.push(entry.path.clone()),
                Some(bytes) if sha256(bytes) != entry.sha256 => {
                    survey.changed.push(entry.path.clone());
                }
                Some(_) => {}
            }
        }
        survey.extra.sort();
        Ok(survey)
    }

    /// Opens the batch from the inputs that were stored with it.
    pub fn shop(&self, sources: &mut Sources) -> Stored {
        let batch_file = &self.manifest.batch_file;
        let inputs = self
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

    /// Whether every file is as listed and nothing else is there.
    pub fn is_whole(&self) -> bool {
        self.changed.is_empty() && self.missing.is_empty() && self.extra.is_empty()
    }

    fn walk(
        &mut self,
        top: &Path,
        below: &str,
        folders: &BTreeSet<String>,
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
            } else if kind.is_dir() && folders.contains(&path) {
                self.walk(top, &path, folders)?;
            } else if kind.is_file() && self.manifest.file(&path).is_some() {
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
