use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Name of the manifest in an output folder.
pub const NAME: &str = "manifest.json";

/// First word of every manifest of ours.
const FORMAT: &str = "coilwright output";

/// Version of the manifest's form.
const VERSION: u32 = 1;

/// What an output folder holds: every file with its hash, every program with its record blocks.
///
/// It is written in one exact spelling and carries a hash over the rest of itself. That guards
/// against edits and damage, not against somebody who computes hashes: it is no signature.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Manifest {
    format: String,
    version: u32,
    /// Name of the batch.
    pub batch: String,
    /// The batch file among the inputs, such as `inputs/batch.toml`.
    pub batch_file: String,
    /// Work ticks the plan was given.
    pub effort_ticks: u64,
    /// Every file but the manifest, by path.
    pub files: Vec<FileEntry>,
    /// Every program, in the order they run.
    pub programs: Vec<ProgramEntry>,
    /// What it goes on from, where it is the rest of another batch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub continues: Option<Continues>,
}

/// A run that was stopped, of which this is the rest.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Continues {
    /// The folder that was run, inside this one.
    pub folder: String,
    /// Serial of the last good piece that dropped.
    pub after: u32,
    /// Whether the strip stands right after its cut.
    pub kept: bool,
    /// Whether pieces that were begun are finished.
    pub finished: bool,
    /// Pieces cut that are made again.
    pub again: Vec<u32>,
    /// What was measured to be left of the coil.
    pub left_nm: Option<i64>,
    /// Who said all that.
    pub said_by: String,
    /// When.
    pub said_on: String,
    /// The program that finishes what was begun.
    pub finish: Option<ProgramEntry>,
}

/// One file.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FileEntry {
    /// From the output folder, parted by `/`.
    pub path: String,
    /// In bytes.
    pub size: u64,
    /// Of its content, in hexadecimal.
    pub sha256: String,
}

/// One program and where its pieces are in it.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ProgramEntry {
    /// Its path.
    pub file: String,
    /// Its identity, also on the run sheet.
    pub id: String,
    /// The coil it runs on.
    pub coil: String,
    /// The profile it makes.
    pub profile: String,
    /// Its record blocks: together they are the whole file.
    pub blocks: Vec<BlockEntry>,
}

impl ProgramEntry {
    /// The pieces it makes, in order.
    pub fn pieces(&self) -> impl Iterator<Item = &PieceEntry> {
        self.blocks.iter().filter_map(|block| block.piece.as_ref())
    }
}

/// What a record block is.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Part {
    /// Before the first event.
    Head,
    /// From after one cut to the cut that drops a piece.
    Piece,
    /// From after one cut to a cut that drops scrap.
    Scrap,
    /// After the last cut.
    End,
}

/// Some lines of a program.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BlockEntry {
    /// What it is.
    pub part: Part,
    /// The piece that drops.
    pub piece: Option<PieceEntry>,
    /// First line, from 1.
    pub first_line: u32,
    /// Last line.
    pub last_line: u32,
    /// Of those lines with their line ends.
    pub sha256: String,
}

/// Which member a piece is, by the names in the inputs.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PieceEntry {
    /// Its number, used once.
    pub serial: u32,
    /// Job.
    pub job: String,
    /// Frame.
    pub frame: String,
    /// Which copy of the frame, from 1.
    pub copy: u32,
    /// Mark.
    pub mark: String,
    /// Whether it comes off turned end for end.
    pub turned: bool,
    /// What is printed on it.
    pub printed: Option<String>,
}

/// A manifest as it lies on the disk: itself, and the hash over that.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sealed {
    manifest: Manifest,
    sha256: String,
}

/// Why a manifest is not one of ours.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Fault {
    /// Not a manifest that this program reads; why.
    Foreign(String),
    /// One of ours once, changed since.
    Changed,
}

impl Manifest {
    /// Of these files (the manifest not among them).
    pub fn new(
        batch: impl Into<String>,
        batch_file: impl Into<String>,
        effort_ticks: u64,
        files: &BTreeMap<String, Vec<u8>>,
        programs: Vec<ProgramEntry>,
    ) -> Manifest {
        let files = files
            .iter()
            .map(|(path, bytes)| FileEntry {
                path: path.clone(),
                size: bytes.len() as u64,
                sha256: sha256(bytes),
            })
            .collect();
        Manifest {
            format: FORMAT.to_string(),
            version: VERSION,
            batch: batch.into(),
            batch_file: batch_file.into(),
            effort_ticks,
            files,
            programs,
            continues: None,
        }
    }

    /// Its bytes on the disk.
    pub fn print(&self) -> Vec<u8> {
        let sealed = Sealed { manifest: self.clone(), sha256: self.seal() };
        let mut bytes = serde_json::to_vec_pretty(&sealed).unwrap_or_default();
        bytes.push(b'\n');
        bytes
    }

    /// Reads one; anything but the exact spelling [`Manifest::print`] gives is refused.
    pub fn read(bytes: &[u8]) -> Result<Manifest, Fault> {
        let value: serde_json::Value = serde_json::from_slice(bytes)
            .map_err(|error| Fault::Foreign(format!("it is not JSON: {error}")))?;
        let head = |key: &str| value.get("manifest").and_then(|m| m.get(key));
        if head("format").and_then(|f| f.as_str()) != Some(FORMAT) {
            return Err(Fault::Foreign("it is not a manifest of coilwright".to_string()));
        }
        match head("version").and_then(serde_json::Value::as_u64) {
            Some(version) if version == u64::from(VERSION) => {}
            Some(version) => {
                return Err(Fault::Foreign(format!(
                    "it is of version {version}; this program reads version {VERSION}"
                )));
            }
            None => return Err(Fault::Changed),
        }
        let sealed: Sealed = serde_json::from_value(value).map_err(|_| Fault::Changed)?;
        if sealed.sha256 != sealed.manifest.seal() || sealed.manifest.print() != bytes {
            return Err(Fault::Changed);
        }
        Ok(sealed.manifest)
    }

    /// The entry of this path.
    pub fn file(&self, path: &str) -> Option<&FileEntry> {
        self.files.iter().find(|entry| entry.path == path)
    }

    fn seal(&self) -> String {
        sha256(&serde_json::to_vec(self).unwrap_or_default())
    }
}

/// SHA-256 in lower-case hexadecimal.
pub fn sha256(bytes: &[u8]) -> String {
    use std::fmt::Write;
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut text, byte| {
        let _never_fails = write!(text, "{byte:02x}");
        text
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Manifest {
        let files = BTreeMap::from([("programs/a.jsonl".to_string(), b"x\n".to_vec())]);
        let block = BlockEntry {
            part: Part::Piece,
            piece: Some(PieceEntry {
                serial: 7,
                job: "J".to_string(),
                frame: "N1".to_string(),
                copy: 1,
                mark: "S1".to_string(),
                turned: false,
                printed: None,
            }),
            first_line: 1,
            last_line: 1,
            sha256: sha256(b"x\n"),
        };
        let program = ProgramEntry {
            file: "programs/a.jsonl".to_string(),
            id: "A".to_string(),
            coil: "K1".to_string(),
            profile: "C90".to_string(),
            blocks: vec![block],
        };
        Manifest::new("Monday", "inputs/batch.toml", 5, &files, vec![program])
    }

    #[test]
    fn hashes_as_fips_180_4_does() {
        // NIST example value for "abc" (FIPS 180-4 examples; from memory).
        assert_eq!(
            sha256(b"abc"),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }

    #[test]
    fn any_changed_byte_is_noticed() {
        let bytes = sample().print();
        assert_eq!(Manifest::read(&bytes), Ok(sample()));
        for at in 0..bytes.len() {
            let mut changed = bytes.clone();
            changed[at] ^= 1;
            assert!(Manifest::read(&changed).is_err(), "byte {at} of the manifest");
        }
        let spaced = [&bytes[..], b"\n"].concat();
        assert_eq!(Manifest::read(&spaced), Err(Fault::Changed));
    }

    #[test]
    fn a_stranger_is_told_from_a_changed_one() {
        assert!(matches!(Manifest::read(b"{}"), Err(Fault::Foreign(_))));
        assert!(matches!(Manifest::read(b"not json"), Err(Fault::Foreign(_))));
        let later = String::from_utf8(sample().print()).unwrap();
        let later = later.replace("\"version\": 1", "\"version\": 99");
        assert!(matches!(Manifest::read(later.as_bytes()), Err(Fault::Foreign(_))));
    }
}
