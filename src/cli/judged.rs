use super::listed::listed_as_another;
use super::manifest::{Manifest, PieceEntry, ProgramEntry};
use crate::diagnostic::codes::files::E0918;
use crate::diagnostic::{Diagnostic, any_error};
use crate::dialect::{Invertible, Read};
use crate::library::model::{AtEnd, Coil, Done};
use crate::member::model::{Job, Member};
use crate::plan::Shop;
use crate::program::Serial;
use crate::quantity::{FileId, Length, SourceFile, Sources};
use crate::replay::{self, Ending, Expected, Situation};
use std::collections::{BTreeMap, BTreeSet};

/// What the programs of an output folder make, replayed from their bytes.
#[derive(Debug, Default)]
pub struct Judged {
    /// Pieces that are right.
    pub right: usize,
    /// Features found on them, one for each face.
    pub features: usize,
    /// Serials of pieces that are missing or wrong.
    pub at_fault: Vec<Serial>,
    /// What was found.
    pub found: Vec<Diagnostic>,
    /// Programs that say they are others than the manifest lists: what they make may be right.
    pub misnamed: Vec<Diagnostic>,
    /// By profile, in the order they are made, what they were made from.
    pub made: Vec<Made>,
}

/// What one profile was made from.
#[derive(Debug)]
pub struct Made {
    /// Name of the profile.
    pub profile: String,
    /// The rack before its first coil was loaded.
    pub rack: Vec<Coil>,
    /// Strip used up, in the programs' figures.
    pub used: Length,
    /// Coils and bars that were loaded for it, as they were.
    pub loaded: Vec<Coil>,
}

impl Judged {
    /// Whether every piece is right and nothing else was found.
    pub fn is_right(&self) -> bool {
        self.at_fault.is_empty() && !any_error(&self.found)
    }
}

/// Replays every program on the coils as they were, in the order they run, and judges its
/// products against the members of `shop`.
pub fn judge(
    manifest: &Manifest,
    files: &BTreeMap<String, Vec<u8>>,
    shop: &Shop,
    sources: &mut Sources,
) -> Judged {
    let mut judged = Judged::default();
    let mut rack: Vec<Coil> = shop.loaded.stock.coils.clone();
    let members = members(&shop.jobs);
    compare_wanted(manifest, &members, &shop.loaded.batch.done, &mut judged.found);
    let last = manifest.programs.len();
    for (number, entry) in manifest.programs.iter().enumerate() {
        let stays = number + 1 == last && shop.loaded.batch.at_end == AtEnd::StayThreaded;
        let (file, read) = read_back(entry, files, &shop.dialect, sources);
        if let Ok(read) = &read {
            let misnamed = listed_as_another(entry, &manifest.batch, &read.program, file);
            judged.misnamed.extend(misnamed);
        }
        one(entry, read, shop, &members, &mut rack, stays, &mut judged);
    }
    judged
}

/// A program of a folder, read from the bytes of its files, and the first source that findings in
/// it point into.
pub fn read_back(
    entry: &ProgramEntry,
    files: &BTreeMap<String, Vec<u8>>,
    dialect: &Invertible,
    sources: &mut Sources,
) -> (FileId, Result<Read, Box<Diagnostic>>) {
    let mut read: Vec<(FileId, &[u8])> = Vec::new();
    for (path, _) in entry.files() {
        let bytes = files.get(path).map(Vec::as_slice).unwrap_or_default();
        read.push((sources.add(SourceFile::new(path.as_str(), dialect.text(bytes))), bytes));
    }
    // An entry has one file at least.
    let first = read.first().map_or(FileId(u32::MAX), |(file, _)| *file);
    (first, dialect.read_files(&read))
}

/// Wanted members by job, frame, copy and mark.
pub type Members<'a> = BTreeMap<(&'a str, &'a str, u32, &'a str), &'a Member>;

/// All of them.
pub fn members(jobs: &[Job]) -> Members<'_> {
    let mut members = BTreeMap::new();
    for job in jobs {
        for (frame, member) in job.members() {
            for copy in 1..=frame.quantity {
                members.insert((&*job.name, &*frame.name, copy, &*member.mark), member);
            }
        }
    }
    members
}

/// What a piece is found by among them.
pub fn key(piece: &PieceEntry) -> (&str, &str, u32, &str) {
    (&piece.job, &piece.frame, piece.copy, &piece.mark)
}

/// What these pieces have to be; those of no member are left out.
pub fn expected<'a, 'p>(
    pieces: impl Iterator<Item = &'p PieceEntry>,
    members: &Members<'a>,
) -> Vec<Expected<'a>> {
    let one = |piece: &PieceEntry| {
        let member = *members.get(&key(piece))?;
        let (mark_text, shape) = (&member.mark_text, &member.shape);
        Some(Expected { serial: Serial(piece.serial), mark_text, shape })
    };
    pieces.filter_map(one).collect()
}

/// Each wanted piece is listed exactly as often as it is wanted and not done before, and nothing
/// else is. No serial is used twice.
fn compare_wanted(
    manifest: &Manifest,
    members: &Members<'_>,
    done: &Done,
    found: &mut Vec<Diagnostic>,
) {
    let mut left: BTreeMap<_, i64> =
        members.iter().map(|(key, member)| (*key, i64::from(member.quantity))).collect();
    for piece in manifest.programs.iter().flat_map(ProgramEntry::pieces) {
        *left.entry(key(piece)).or_insert(0) -= 1;
    }
    for piece in &done.pieces {
        *left.entry((&piece.job, &piece.frame, piece.copy, &piece.mark)).or_insert(0) -= 1;
    }
    let mut used: BTreeSet<u32> = BTreeSet::new();
    let twice = manifest
        .programs
        .iter()
        .flat_map(ProgramEntry::pieces)
        .find(|piece| piece.serial <= done.last_serial || !used.insert(piece.serial));
    if let Some(piece) = twice {
        found.push(
            Diagnostic::new(&E0918, format!("serial {} was used before", piece.serial))
                .help("compile again from the members that are meant"),
        );
    }
    let differ: Vec<String> = left
        .iter()
        .filter(|(_, left)| **left != 0)
        .map(|((job, frame, copy, mark), left)| {
            let copy = if *copy > 1 { format!(" no. {copy}") } else { String::new() };
            let (n, way) = (left.abs(), if *left > 0 { "missing" } else { "too many" });
            format!("{n} of `{job} {frame}{copy} {mark}` {way}")
        })
        .collect();
    if !differ.is_empty() {
        let shown = differ.iter().take(5).cloned().collect::<Vec<_>>().join(", ");
        let more = differ.len().saturating_sub(5);
        let more = if more > 0 { format!(", and {more} more") } else { String::new() };
        found.push(
            Diagnostic::new(&E0918, format!("programs and members differ: {shown}{more}"))
                .help("compile again from the members that are meant"),
        );
    }
}

fn one(
    entry: &ProgramEntry,
    read: Result<Read, Box<Diagnostic>>,
    shop: &Shop,
    members: &Members<'_>,
    rack: &mut [Coil],
    stays: bool,
    judged: &mut Judged,
) {
    let loaded = &shop.loaded;
    let all = || entry.pieces().map(|piece| Serial(piece.serial));
    let read = match read {
        Ok(read) => read,
        Err(refusal) => {
            judged.found.push(*refusal);
            judged.at_fault.extend(all());
            return;
        }
    };
    let coil = rack.iter().find(|coil| *coil.id == entry.coil).cloned();
    let profile = loaded.library.profile_named(&entry.profile);
    let (Some(coil), Some((profile, _))) = (coil, profile) else {
        judged.found.push(
            Diagnostic::new(
                &E0918,
                format!(
                    "`{}` runs profile `{}` on coil `{}`: not among the stored inputs",
                    entry.file, entry.profile, entry.coil
                ),
            )
            .help("compile again from the inputs that are meant"),
        );
        judged.at_fault.extend(all());
        return;
    };
    let stays = stays && coil.bar.is_none();
    let situation = Situation {
        line: &loaded.line,
        calibration: &loaded.calibration,
        profile,
        library: &loaded.library,
        coil: &coil,
        ending: Ending {
            keep: loaded.batch.keep,
            at_end: if stays { AtEnd::StayThreaded } else { AtEnd::Unload },
        },
    };
    let (products, found) = replay::replay(&read.program, Some(&read.spans), &situation);
    judged.found.extend(found);
    let expected = expected(entry.pieces(), members);
    let (verdict, found) = replay::judge(&products, &expected, &loaded.library);
    judged.found.extend(found);
    if judged.made.last().is_none_or(|made| made.profile != entry.profile) {
        let (profile, rack) = (entry.profile.clone(), rack.to_vec());
        judged.made.push(Made { profile, rack, used: Length::ZERO, loaded: Vec::new() });
    }
    if let Some(made) = judged.made.last_mut() {
        made.used += products.account.consumed();
        if !coil.threaded {
            made.loaded.push(coil.clone());
        }
    }
    judged.right += verdict.right;
    judged.features += verdict.features;
    judged.at_fault.extend(verdict.at_fault);
    let factor = loaded.calibration.controller_factor(profile);
    let now = coil.after_counted(products.account.consumed(), stays, factor);
    in_line(rack, &now, loaded.line.parting);
}

/// The rack when this coil has run, as it is now: no other is in the line.
pub fn in_line(rack: &mut [Coil], now: &Coil, parting: Length) {
    for coil in rack {
        *coil = if coil.id == now.id { now.clone() } else { coil.out_of_the_line(parting) };
    }
}
