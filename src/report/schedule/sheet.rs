//! The schedule as a paper: totals, then a table for each frame.

use super::{FrameEntry, MemberEntry, Schedule, total};
use crate::library::model::Units;
use crate::report::sheet::model::{Block, Cell, Section, Sheet, Table, Words, bold};
use crate::report::units::{figure, heavy, long, mass, piece_mass, resolution, short, strip};
use crate::report::words::{count, frame_kind, job_and_revision, usage};
use std::collections::BTreeMap;

/// The paper.
pub fn sheet(schedule: &Schedule<'_>, batch: &str, units: Units) -> Sheet {
    let mut sections =
        vec![Section { jobs: jobs(schedule), own_page: true, blocks: totals(schedule, units) }];
    let mut before: Option<&str> = None;
    for of in &schedule.frames {
        sections.push(Section {
            jobs: vec![job_name(of)],
            // A job goes to one site: its frames begin a page.
            own_page: before != Some(&*of.job.name),
            blocks: frame(of, units),
        });
        before = Some(&of.job.name);
    }
    Sheet { kind: "Member schedule", batch: batch.to_string(), units, sections }
}

fn jobs(schedule: &Schedule<'_>) -> Vec<String> {
    let mut names: Vec<String> = schedule.frames.iter().map(job_name).collect();
    names.dedup();
    names
}

fn job_name(of: &FrameEntry<'_>) -> String {
    job_and_revision(&of.job.name, &of.job.revision)
}

/// What it all comes to, by job and by profile.
fn totals(schedule: &Schedule<'_>, units: Units) -> Vec<Block> {
    // What tolerances are rounded to says nothing here: there are none.
    let figures = resolution(units).split(';').next().unwrap_or_default();
    let masses = format!(
        "Lengths as drawn. {figures}. Masses are of the coated section, holes not taken off."
    );
    let mut blocks = vec![Block::Prose(masses.into()), Block::Heading(2, "By job".into())];
    let rows = schedule.frames.chunk_by(|a, b| a.job.name == b.job.name).filter_map(|frames| {
        let job = frames.first()?.job;
        let copies: u64 = frames.iter().map(|of| u64::from(of.frame.quantity)).sum();
        let revision = if job.revision.is_empty() { "–".into() } else { bold(&*job.revision) };
        let mut row: Vec<Cell> = vec![
            (*job.name).into(),
            revision.into(),
            (*job.title).into(),
            copies.to_string().into(),
        ];
        row.extend(sums(frames.iter().flat_map(|of| &of.members), units));
        Some(row)
    });
    let (far, weight) = (format!("length {}", long(units)), format!("mass {}", heavy(units)));
    let heads = ["job", "revision", "title", "frames", "pieces", &far, &weight];
    blocks.push(Block::Table(Table::new(&heads, &[3, 4, 5, 6], rows.collect())));
    blocks.push(Block::Heading(2, "By profile".into()));
    let mut profiles: BTreeMap<&str, Vec<&MemberEntry<'_>>> = BTreeMap::new();
    for entry in schedule.frames.iter().flat_map(|of| &of.members) {
        profiles.entry(entry.profile).or_default().push(entry);
    }
    let rows = profiles.into_iter().map(|(profile, entries)| {
        let mut row: Vec<Cell> = vec![profile.into()];
        row.extend(sums(entries.into_iter(), units));
        row
    });
    let heads = ["profile", "pieces", &far, &weight];
    blocks.push(Block::Table(Table::new(&heads, &[1, 2, 3], rows.collect())));
    blocks
}

fn sums<'a>(entries: impl Iterator<Item = &'a MemberEntry<'a>>, units: Units) -> [Cell; 3] {
    let (pieces, length, of) = total(entries);
    [pieces.to_string().into(), strip(length, units, 1).into(), mass(of, units).into()]
}

fn frame(of: &FrameEntry<'_>, units: Units) -> Vec<Block> {
    let title =
        if of.frame.title.is_empty() { String::new() } else { format!(", {}", of.frame.title) };
    let heading =
        format!("{} {}: {}{title}", of.job.name, of.frame.name, frame_kind(of.frame.kind));
    let (pieces, length, weight) = total(of.members.iter());
    let copies = match of.frame.quantity {
        1 => "One bundle: ".to_string(),
        n => format!("{n} bundles alike, serials in their order: "),
    };
    let told = format!(
        "{copies}{}, {} {}, {} {}.",
        count(pieces, "piece"),
        strip(length, units, 1),
        long(units),
        mass(weight, units),
        heavy(units)
    );
    let rows = of.members.iter().map(|entry| row(entry, units)).collect();
    let (length, weight) = (format!("length {}", short(units)), format!("{} each", heavy(units)));
    let heads = ["mark", "usage", "profile", &length, "no.", "features", &weight, "serials"];
    vec![
        Block::Heading(2, heading.into()),
        Block::Caption(told.into()),
        Block::Table(Table::new(&heads, &[3, 4, 6], rows)),
    ]
}

fn row(entry: &MemberEntry<'_>, units: Units) -> Vec<Cell> {
    let features = entry.features.iter().map(|(name, n)| format!("{n} {name}"));
    let features: Vec<String> = features.chain(entry.ends()).collect();
    vec![
        bold(&*entry.member.mark).into(),
        usage(entry.member.usage).into(),
        entry.profile.into(),
        figure(entry.member.shape.length, units).into(),
        entry.pieces().to_string().into(),
        features.join(", ").into(),
        entry.mass.map_or_else(String::new, |of| piece_mass(of, units)).into(),
        serials(entry).into(),
    ]
}

/// Serials in ranges; where bundles have several of it, a semicolon parts them.
fn serials(entry: &MemberEntry<'_>) -> Words {
    let told = if entry.serials.iter().all(|of| of.len() < 2) {
        ranges(&entry.serials.concat())
    } else {
        let bundles = entry.serials.iter().filter(|of| !of.is_empty());
        bundles.map(|of| ranges(of)).collect::<Vec<_>>().join("; ")
    };
    let wanted = u64::from(entry.member.quantity)
        .saturating_mul(u64::try_from(entry.serials.len()).unwrap_or(u64::MAX));
    match wanted.saturating_sub(entry.pieces() as u64) {
        0 => told.into(),
        before if told.is_empty() => format!("{before} made before").into(),
        before => format!("{told}; {before} made before").into(),
    }
}

/// `3–7, 12`.
fn ranges(serials: &[u32]) -> String {
    let runs = serials.chunk_by(|a, b| a.checked_add(1) == Some(*b));
    let told = runs.filter_map(|run| match (run.first(), run.last()) {
        (Some(a), Some(b)) if a == b => Some(a.to_string()),
        (Some(a), Some(b)) if a + 1 == *b => Some(format!("{a}, {b}")),
        (Some(a), Some(b)) => Some(format!("{a}–{b}")),
        _ => None,
    });
    told.collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn serials_that_follow_each_other_are_told_as_a_range() {
        assert_eq!(ranges(&[3, 4, 5, 7, 9, 10]), "3–5, 7, 9, 10");
        assert_eq!(ranges(&[]), "");
    }
}
