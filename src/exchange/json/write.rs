//! A drawn job as JSON.

use super::words::{Figure, Kind, Usage};
use super::{End, FACES, FORM, Feature, Frame, Job, Member, Members, Origin, Place, Slope};
use super::{Tolerance, Waiver};
use crate::exchange::drawn::{DrawnFeature, DrawnJob, DrawnMember, DrawnPlace, DrawnWaiver};
use crate::member::model::{self, Datum, EndShape, Position};

/// The job as JSON, with a final line end.
pub fn write(job: &DrawnJob) -> String {
    let members = Members {
        format: FORM.to_string(),
        job: Job {
            name: job.name.clone(),
            title: job.title.clone(),
            revision: job.revision.clone(),
        },
        frames: job
            .frames
            .iter()
            .map(|frame| Frame {
                name: frame.name.clone(),
                kind: Kind(frame.kind),
                title: frame.title.clone(),
                quantity: frame.quantity,
                members: frame.members.iter().map(to_wire).collect(),
            })
            .collect(),
        waivers: job.waivers.iter().map(waiver).collect(),
    };
    let mut text = serde_json::to_string_pretty(&members).unwrap_or_default();
    text.push('\n');
    text
}

pub(super) fn waiver(w: &DrawnWaiver) -> Waiver {
    Waiver {
        rule: w.rule.clone(),
        frame: w.frame.clone(),
        mark: w.mark.clone(),
        reference: w.reference.clone(),
        by: w.by.clone(),
    }
}

pub(super) fn to_wire(m: &DrawnMember) -> Member {
    let slope = |shape: EndShape| match shape {
        EndShape::Square => None,
        EndShape::Slope { rise, run } => Some(Slope { rise, run }),
    };
    Member {
        mark: m.mark.clone(),
        usage: Usage(m.usage),
        quantity: m.quantity,
        profile: m.profile.to_string(),
        length: Figure(m.length),
        length_tolerance: m.length_tolerance.map(Tolerance::to_wire),
        start: slope(m.start),
        end: slope(m.end),
        turnable: m.turnable,
        mark_text: m.mark_text.clone(),
        features: m.features.iter().map(feature_to_wire).collect(),
    }
}

fn feature_to_wire(f: &DrawnFeature) -> Feature {
    let place = |at: Position| Place {
        datum: match at.datum {
            Datum::Start => Origin::Start,
            Datum::Middle => Origin::Middle,
            Datum::End => Origin::End,
        },
        offset: Figure(at.offset),
    };
    let faces = FACES.iter().filter(|(_, face)| f.faces.is_some_and(|faces| faces.contains(*face)));
    let mut feature = Feature {
        kind: f.kind.to_string(),
        size: f.size.map(|(length, _)| Figure(length)),
        width: f.size.and_then(|(_, width)| width).map(Figure),
        faces: faces.map(|(word, _)| *word).collect(),
        across: f.across.map(Figure),
        across_tolerance: f.across_tolerance.map(Tolerance::to_wire),
        at: None,
        from: None,
        to: None,
        end: None,
        tolerance: None,
        to_tolerance: None,
    };
    match f.place {
        DrawnPlace::Point { at, tolerance } => {
            feature.at = Some(place(at));
            feature.tolerance = tolerance.map(Tolerance::to_wire);
        }
        DrawnPlace::Range { from, to, tolerance } => {
            feature.from = Some(place(from));
            feature.to = Some(place(to));
            feature.tolerance = tolerance.map(|(from, _)| Tolerance::to_wire(from));
            feature.to_tolerance = tolerance.map(|(_, to)| Tolerance::to_wire(to));
        }
        DrawnPlace::End { end, tolerance } => {
            feature.end = Some(match end {
                model::End::Start => End::Start,
                model::End::End => End::End,
            });
            feature.tolerance = tolerance.map(Tolerance::to_wire);
        }
    }
    feature
}
