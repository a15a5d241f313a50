//! Bundles in the order they are finished.

use crate::report::Report;
use crate::report::model::PieceReport;
use std::collections::BTreeMap;

/// The pieces of one copy of a frame and one profile.
#[derive(Clone, Debug)]
pub struct Bundle<'a> {
    /// Its job.
    pub job: &'a str,
    /// The job's revision.
    pub revision: &'a str,
    /// Its frame.
    pub frame: &'a str,
    /// Which copy of the frame, from 1.
    pub copy: u32,
    /// Its profile.
    pub profile: &'a str,
    /// Coils and bars it is made from, in order.
    pub coils: Vec<&'a str>,
    /// Its pieces, in the order they drop.
    pub pieces: Vec<&'a PieceReport>,
}

/// The bundles of a batch. One that is made in two runs is one bundle, and finished in the later.
pub fn bundles(report: &Report) -> Vec<Bundle<'_>> {
    let mut numbers: BTreeMap<(&str, &str, &str, u32), usize> = BTreeMap::new();
    let mut bundles: Vec<(usize, Bundle<'_>)> = Vec::new();
    let pieces =
        report.runs.iter().flat_map(|run| run.pieces.iter().map(move |piece| (run, piece)));
    for (order, (run, piece)) in pieces.enumerate() {
        let key = (run.profile.as_str(), piece.job.as_str(), piece.frame.as_str(), piece.copy);
        let number = *numbers.entry(key).or_insert_with(|| {
            let job = report.jobs.iter().find(|job| job.job == piece.job);
            bundles.push((
                order,
                Bundle {
                    job: &piece.job,
                    revision: job.map_or("", |job| &job.revision),
                    frame: &piece.frame,
                    copy: piece.copy,
                    profile: &run.profile,
                    coils: Vec::new(),
                    pieces: Vec::new(),
                },
            ));
            bundles.len() - 1
        });
        let Some((last, bundle)) = bundles.get_mut(number) else { continue };
        *last = order;
        if bundle.coils.last() != Some(&run.coil.id.as_str()) {
            bundle.coils.push(&run.coil.id);
        }
        bundle.pieces.push(piece);
    }
    bundles.sort_by_key(|(last, _)| *last);
    bundles.into_iter().map(|(_, bundle)| bundle).collect()
}

impl<'a> Bundle<'a> {
    /// Frame, and which copy of it where there are several.
    pub fn name(&self) -> String {
        if self.copy > 1 {
            format!("{} no. {}", self.frame, self.copy)
        } else {
            self.frame.to_string()
        }
    }

    /// Its pieces by mark, in the order the first of each drops.
    pub fn marks(&self) -> Vec<Vec<&'a PieceReport>> {
        let mut numbers: BTreeMap<&str, usize> = BTreeMap::new();
        let mut marks: Vec<Vec<&PieceReport>> = Vec::new();
        for piece in &self.pieces {
            let number = *numbers.entry(&piece.mark).or_insert_with(|| {
                marks.push(Vec::new());
                marks.len() - 1
            });
            if let Some(alike) = marks.get_mut(number) {
                alike.push(piece);
            }
        }
        marks
    }
}
