//! What the page knows: exact figures, packed in rows of whole numbers, so that 20 000 members
//! stay small. `assets/data.js` unpacks it; each row's order stands here and there alike.

use super::shapes::{Packed, Shapes};
use super::strokes::{self, PackedRun};
use crate::diagnostic::Diagnostic;
use crate::library::model::{Profile, Units, Works};
use crate::member::model::{Faces, Job};
use crate::plan::Plan;
use crate::report::made_by::Strokes;
use crate::report::model::{Report, RunReport};
use crate::report::unrolled::Unrolled;
use crate::report::words;
use crate::report::{Preview, Source};
use serde::Serialize;
use std::collections::BTreeMap;

/// Everything the page draws.
#[derive(Serialize)]
pub struct Data {
    /// `mm` or `in`: what figures are shown in.
    units: &'static str,
    dialect: String,
    calibration: String,
    applied_by: String,
    /// Totals, scrap by cause, profiles, coils, jobs, remnants.
    preview: Preview,
    /// Largest common measure of all advances.
    step_nm: i64,
    feed: Feed,
    stations: Vec<StationRow>,
    /// Name, and index in `stations`.
    tools: Vec<(String, u16)>,
    marker_nm: Option<i64>,
    forming_nm: (i64, i64),
    /// Names of feature types.
    kinds: Vec<String>,
    profiles: Vec<ProfileRow>,
    /// Job names with revisions.
    jobs: Vec<(String, String)>,
    /// Job, name, kind, title.
    frames: Vec<(usize, String, &'static str, String)>,
    /// Frame, mark, usage, what is printed.
    members: Vec<(usize, String, &'static str, String)>,
    /// Where members were imported from, by number: the place, and whether the members file has
    /// been changed since.
    origins: BTreeMap<usize, (String, bool)>,
    /// What features have in common: see [`Shapes`].
    specs: Vec<Vec<i64>>,
    shapes: Vec<Vec<i64>>,
    /// Corners of shapes with sloped ends, along and across in turn, by number.
    contours: BTreeMap<i64, Vec<i64>>,
    /// Tools that make each feature of a shape.
    made: Vec<Vec<Vec<u16>>>,
    runs: Vec<RunRow>,
    findings: Vec<FindingRow>,
    cautions: &'static [&'static str],
}

#[derive(Serialize)]
struct Feed {
    /// µm/s.
    speed: i64,
    /// µm/s².
    acceleration: i64,
    deceleration: i64,
    /// µm/s³.
    jerk: Option<i64>,
    settle_ns: i64,
}

#[derive(Serialize)]
struct StationRow {
    name: String,
    offset_nm: i64,
    formed: bool,
}

#[derive(Serialize)]
struct ProfileRow {
    name: String,
    section: &'static str,
    web_nm: i64,
    left_flange_nm: i64,
    right_flange_nm: i64,
    left_lip_nm: i64,
    right_lip_nm: i64,
    thickness_nm: i64,
    radius_nm: i64,
    strip_width_nm: i64,
    /// Face bit, middle, upward, flat from, flat to, width.
    lanes: Vec<(u8, i64, bool, i64, i64, i64)>,
}

#[derive(Serialize)]
struct RunRow {
    /// The report's run without its pieces.
    #[serde(flatten)]
    about: RunReport,
    #[serde(flatten)]
    packed: PackedRun,
}

#[derive(Serialize)]
struct FindingRow {
    code: &'static str,
    severity: &'static str,
    message: String,
    place: Option<String>,
    notes: Vec<String>,
    help: Option<String>,
    /// Members it concerns; none where it speaks of something else.
    members: Vec<usize>,
    /// Who allowed it and by what, where it is waived.
    waived: Option<String>,
}

/// Packs a plan.
pub fn data(source: &Source<'_>, report: &Report, cautions: &'static [&'static str]) -> Data {
    let inputs = source.inputs;
    let line = inputs.line;
    let name = |name: &str| name.to_string();
    let mut shapes = Shapes::default();
    let firsts = first_members(inputs.jobs);
    let step_nm = strokes::common_measure(source.plan);
    let runs = runs(source, report, &mut shapes, &firsts, step_nm);
    let Packed { specs, shapes, contours, made } = shapes.packed();
    Data {
        units: match inputs.batch.units {
            Units::Millimetres => "mm",
            Units::Inches => "in",
        },
        dialect: report.dialect.clone(),
        calibration: report.calibration.clone(),
        applied_by: report.calibration_applied_by.clone(),
        preview: Preview::of(report),
        step_nm,
        feed: Feed {
            speed: line.feed.speed,
            acceleration: line.feed.acceleration,
            deceleration: line.feed.deceleration,
            jerk: line.feed.jerk,
            settle_ns: line.feed.settle.ns(),
        },
        stations: line
            .stations
            .iter()
            .map(|station| StationRow {
                name: name(&station.name),
                offset_nm: station.offset.nm(),
                formed: station.works == Works::Formed,
            })
            .collect(),
        tools: line.tools.iter().map(|tool| (name(&tool.name), tool.station.0)).collect(),
        marker_nm: line.marker.as_ref().map(|marker| marker.offset.nm()),
        forming_nm: (line.forming.0.nm(), line.forming.1.nm()),
        kinds: inputs.library.features.iter().map(|kind| name(&kind.name)).collect(),
        profiles: inputs.library.profiles.iter().map(profile).collect(),
        jobs: inputs.jobs.iter().map(|job| (name(&job.name), name(&job.revision))).collect(),
        frames: inputs
            .jobs
            .iter()
            .enumerate()
            .flat_map(|(j, job)| job.frames.iter().map(move |frame| (j, frame)))
            .map(|(j, f)| (j, name(&f.name), words::frame_kind(f.kind), name(&f.title)))
            .collect(),
        members: inputs
            .jobs
            .iter()
            .flat_map(|job| &job.frames)
            .enumerate()
            .flat_map(|(f, frame)| frame.members.iter().map(move |member| (f, member)))
            .map(|(f, m)| (f, name(&m.mark), words::usage(m.usage), name(&m.mark_text)))
            .collect(),
        origins: inputs
            .jobs
            .iter()
            .flat_map(|job| job.members())
            .enumerate()
            .filter_map(|(number, (_, member))| {
                let origin = member.origin.as_deref()?;
                Some((number, (origin.to_string(), origin.changed)))
            })
            .collect(),
        specs,
        shapes,
        contours,
        made,
        runs,
        findings: findings(source),
        cautions,
    }
}

fn profile(of: &Profile) -> ProfileRow {
    let lanes = Unrolled::of(of).lanes;
    ProfileRow {
        name: of.name.to_string(),
        section: of.section.words(),
        web_nm: of.web.nm(),
        left_flange_nm: of.left_flange.nm(),
        right_flange_nm: of.right_flange.nm(),
        left_lip_nm: of.left_lip.nm(),
        right_lip_nm: of.right_lip.nm(),
        thickness_nm: of.thickness.nm(),
        radius_nm: of.radius.nm(),
        strip_width_nm: of.strip_width.nm(),
        lanes: lanes
            .iter()
            .map(|lane| {
                let (from, to) = lane.flat;
                let bits = lane.face.bits();
                (bits, lane.middle.nm(), lane.upward, from.nm(), to.nm(), lane.width.nm())
            })
            .collect(),
    }
}

/// Number of the first member of each frame of each job, counted through the batch.
fn first_members(jobs: &[Job]) -> Vec<Vec<usize>> {
    let mut next = 0;
    jobs.iter()
        .map(|job| {
            job.frames
                .iter()
                .map(|frame| {
                    let first = next;
                    next += frame.members.len();
                    first
                })
                .collect()
        })
        .collect()
}

fn runs(
    source: &Source<'_>,
    report: &Report,
    shapes: &mut Shapes,
    firsts: &[Vec<usize>],
    step_nm: i64,
) -> Vec<RunRow> {
    let plan: &Plan = source.plan;
    plan.runs
        .iter()
        .zip(&report.runs)
        .map(|(run, of)| {
            let struck = Strokes::of(source.inputs, run);
            let mut pieces = Vec::with_capacity(8 * run.pieces.len());
            for piece in &run.pieces {
                let turned = piece.turned.then(|| piece.shape.turned()).flatten();
                let shape = turned.as_ref().unwrap_or(&piece.shape);
                let first = firsts.get(piece.member.job as usize);
                let first = first.and_then(|frames| frames.get(piece.member.frame as usize));
                let member = first.copied().unwrap_or(0) + piece.member.member as usize;
                pieces.extend([
                    i64::from(piece.serial.0),
                    i64::try_from(member).unwrap_or(0),
                    i64::from(piece.member.copy) + 1,
                    i64::from(piece.turned) + 2 * i64::from(piece.mark.is_some()),
                    shapes.row(shape, source.inputs.library.profile(shape.profile)),
                    shapes.tools(struck.tools(piece, shape)),
                    piece.start.distance().nm(),
                    piece.cut.distance().nm(),
                ]);
            }
            RunRow {
                about: RunReport { pieces: Vec::new(), ..of.clone() },
                packed: PackedRun {
                    rows: pieces,
                    beats: strokes::beats(source.inputs.line, run, step_nm),
                    before_ns: (run.time.set_up + run.time.coil_change).ns(),
                },
            }
        })
        .collect()
}

/// Findings of planning and checking, then those that were waived, each with its members.
fn findings(source: &Source<'_>) -> Vec<FindingRow> {
    let row = |found: &Diagnostic, place: Option<String>, waived| FindingRow {
        code: found.code.number,
        severity: found.severity.word(),
        message: found.message.clone(),
        place,
        notes: found.notes.clone(),
        help: found.help.clone(),
        members: concerned(source.inputs.jobs, found),
        waived,
    };
    let told = source.findings.iter().map(|(found, place)| row(found, place.clone(), None));
    let waived = source.waived.iter().map(|(waiver, found)| {
        row(found, None, Some(format!("waived by {}: {}", waiver.by, waiver.reference)))
    });
    told.chain(waived).collect()
}

/// The members a finding concerns: those it points at, and where it points into a recipe, those
/// whose features come from there.
fn concerned(jobs: &[Job], found: &Diagnostic) -> Vec<usize> {
    let within = |outer: crate::quantity::Span, inner: crate::quantity::Span| {
        outer.file == inner.file && outer.start <= inner.start && inner.end <= outer.end
    };
    let all = || jobs.iter().flat_map(|job| &job.frames).flat_map(|frame| &frame.members);
    let written: Vec<usize> = all()
        .enumerate()
        .filter(|(_, member)| found.labels.iter().any(|label| within(member.span, label.span)))
        .map(|(number, _)| number)
        .collect();
    if !written.is_empty() {
        return written;
    }
    let Some(at) = found.span() else { return Vec::new() };
    all()
        .enumerate()
        .filter(|(_, member)| member.shape.features.iter().any(|feature| feature.span == at))
        .map(|(number, _)| number)
        .collect()
}

/// Bits of faces as rows have them.
pub fn face_bits(faces: Faces) -> i64 {
    i64::from(faces.bits())
}
