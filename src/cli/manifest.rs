use serde::{Deserialize, Serialize};
use serde_json::Value;
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;

/// Name of the manifest in an output folder.
pub const NAME: &str = "manifest.json";

/// First word of every manifest of ours.
const FORMAT: &str = "coilwright output";

/// Version of the manifest's form: one more whenever a folder that was written before would no
/// longer be read.
const VERSION: u32 = 2;

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
    /// The record blocks of that file: together they are all of it.
    pub blocks: Vec<BlockEntry>,
    /// The files behind it, in their order, where the program lies in several.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub more: Vec<MoreEntry>,
}

/// A further file of a program.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoreEntry {
    /// Its path.
    pub file: String,
    /// Its record blocks.
    pub blocks: Vec<BlockEntry>,
}

impl ProgramEntry {
    /// Its files in their order, each with its record blocks.
    pub fn files(&self) -> impl Iterator<Item = (&String, &Vec<BlockEntry>)> {
        let more = self.more.iter().map(|more| (&more.file, &more.blocks));
        std::iter::once((&self.file, &self.blocks)).chain(more)
    }
    /// The pieces it makes, in order.
    pub fn pieces(&self) -> impl Iterator<Item = &PieceEntry> {
        self.files().flat_map(|(_, blocks)| blocks).filter_map(|block| block.piece.as_ref())
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
#[derive(Serialize)]
struct Sealed<'a> {
    manifest: &'a Manifest,
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
        pretty(&Sealed { manifest: self, sha256: seal(self) })
    }

    /// Reads one; anything but the exact spelling [`Manifest::print`] gives is refused.
    pub fn read(bytes: &[u8]) -> Result<Manifest, Fault> {
        let (manifest, version) = unseal(bytes)?;
        if version != u64::from(VERSION) {
            return Err(Fault::Foreign(format!(
                "it is of version {version}; this program reads version {VERSION}"
            )));
        }
        let manifest: Manifest = serde_json::from_value(manifest).map_err(|_| Fault::Changed)?;
        if manifest.print() != bytes {
            return Err(Fault::Changed);
        }
        Ok(manifest)
    }
}

/// The files of a manifest of any version, which is enough to know whether a folder is as some
/// version of this program left it.
pub fn listed(bytes: &[u8]) -> Result<Vec<FileEntry>, Fault> {
    let (manifest, version) = unseal(bytes)?;
    let files = manifest.get("files").cloned().unwrap_or_default();
    serde_json::from_value(files).map_err(|_| {
        Fault::Foreign(format!("it is of version {version}, whose list this program does not read"))
    })
}

/// What was sealed, and the version of its form.
fn unseal(bytes: &[u8]) -> Result<(Value, u64), Fault> {
    let mut sealed: Value = serde_json::from_slice(bytes)
        .map_err(|error| Fault::Foreign(format!("it is not JSON: {error}")))?;
    let head = |key: &str| sealed.get("manifest").and_then(|m| m.get(key));
    if head("format").and_then(Value::as_str) != Some(FORMAT) {
        return Err(Fault::Foreign("it is not a manifest of coilwright".to_string()));
    }
    let version = head("version").and_then(Value::as_u64).ok_or(Fault::Changed)?;
    let printed = pretty(&sealed);
    let manifest = sealed.get_mut("manifest").map(Value::take).unwrap_or_default();
    if sealed.get("sha256").and_then(Value::as_str) != Some(&seal(&manifest)) || printed != bytes {
        return Err(Fault::Changed);
    }
    Ok((manifest, version))
}

fn seal(manifest: &impl Serialize) -> String {
    sha256(&serde_json::to_vec(manifest).unwrap_or_default())
}

fn pretty(sealed: &impl Serialize) -> Vec<u8> {
    let mut bytes = serde_json::to_vec_pretty(sealed).unwrap_or_default();
    bytes.push(b'\n');
    bytes
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
            more: Vec::new(),
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
        let later = Manifest { version: 99, ..sample() };
        assert!(matches!(Manifest::read(&later.print()), Err(Fault::Foreign(_))));
    }

    /// A shop that changes to a newer program can still replace what the older one wrote.
    #[test]
    fn files_are_listed_whatever_the_version() {
        let later = Manifest { version: 99, ..sample() };
        assert_eq!(listed(&later.print()).as_ref(), Ok(&sample().files));
        let (mut manifest, _) = unseal(&sample().print()).unwrap();
        manifest["programs"] = "said otherwise".into();
        let sealed = serde_json::json!({ "manifest": manifest, "sha256": seal(&manifest) });
        assert_eq!(listed(&pretty(&sealed)).as_ref(), Ok(&sample().files));
        assert_eq!(Manifest::read(&pretty(&sealed)), Err(Fault::Changed));
        manifest["files"] = "in another form".into();
        let sealed = serde_json::json!({ "manifest": manifest, "sha256": seal(&manifest) });
        assert!(matches!(listed(&pretty(&sealed)), Err(Fault::Foreign(_))));
        manifest["files"] = Value::Array(Vec::new());
        let sealed = serde_json::json!({ "manifest": manifest, "sha256": seal(&"other") });
        assert_eq!(listed(&pretty(&sealed)), Err(Fault::Changed));
    }

    /// When this changes, a folder of the program before is no longer read: [`VERSION`] is to go
    /// up by one with it.
    #[test]
    fn the_form_is_that_of_its_version() {
        let mut whole = sample();
        whole.continues = Some(Continues {
            folder: "before".to_string(),
            after: 6,
            kept: true,
            finished: true,
            again: vec![7],
            left_nm: Some(9),
            said_by: "R. Orr".to_string(),
            said_on: "2026-11-25".to_string(),
            finish: whole.programs.first().cloned(),
        });
        let printed = String::from_utf8(whole.print()).unwrap();
        insta::assert_snapshot!(format!("manifest_of_version_{VERSION}"), printed);
    }
}
