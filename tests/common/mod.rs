//! Lines, profiles and coils made in code, for tests of rooms that need no files.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs,
    dead_code
)]

#[allow(clippy::disallowed_methods, reason = "reads the fixture from the disk")]
pub mod small_shop;

pub mod made;

use coilwright::calibrate::{RanPiece, RanProgram};
use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::plan::{Plan, Run};
use coilwright::program::Program;
use coilwright::quantity::*;
use coilwright::replay::{Expected, Situation, judge, replay};
use std::borrow::Cow;

pub const SPAN: Span = Span::new(FileId(0), 0, 0);

pub fn mm(mm: i64) -> Length {
    Length::from_mm(mm)
}

pub fn um(um: i64) -> Length {
    Length::from_um(um)
}

/// A line with no stations: 0.1 mm increment, 4 mm slug, exact.
pub fn bare_line() -> Line {
    Line {
        name: "test line".into(),
        grid: Grid::new(um(100)).unwrap(),
        accuracy: Length::ZERO,
        feed: Feed {
            speed: 1_000_000,
            acceleration: 5_000_000,
            deceleration: 5_000_000,
            jerk: None,
            settle: Time::from_ms(30),
        },
        shear: Shear {
            slug: mm(4),
            time: Time::from_ms(400),
            least_drop: mm(20),
            slopes: Slopes::default(),
            slope_time: Time::ZERO,
        },
        forming: (mm(1_000), mm(2_500)),
        head: Head { first_advance: Length::ZERO, least: mm(10) },
        tail: mm(1_000),
        parting: mm(3_000),
        shortest: mm(50),
        longest: mm(12_000),
        unloading: Time::from_ms(500),
        availability: 900,
        coil_change: Time::from_ms(600_000),
        bars: None,
        set_ups: vec![SetUp {
            profile: ProfileId(0),
            time: Time::from_ms(1_200_000),
            without: Vec::new(),
        }],
        change_overs: Vec::new(),
        marker: None,
        stations: Vec::new(),
        tools: Vec::new(),
        presses: Vec::new(),
        clashes: Vec::new(),
        encoder: None,
        firing: Firing::InPhases,
        overlaps: Vec::new(),
        span: SPAN,
    }
}

/// Adds a station.
pub fn station(line: &mut Line, name: &str, offset: Length, works: Works) -> StationId {
    line.stations.push(Station { name: name.into(), offset, works, span: SPAN });
    StationId(line.stations.len() as u16 - 1)
}

/// Adds a tool with a 20 mm footprint to either side that makes one kind of feature.
pub fn tool(
    line: &mut Line,
    name: &str,
    station: StationId,
    kind: FeatureTypeId,
    faces: Faces,
    outline: Outline,
    how: How,
) -> ToolId {
    line.tools.push(Tool {
        name: name.into(),
        station,
        makes: Made { kinds: vec![kind], faces, across: Length::ZERO, outline },
        how,
        also: Vec::new(),
        force: 0,
        footprint: outline.length().half() + mm(5),
        refire: outline.length(),
        time: Time::from_ms(200),
        accuracy: Length::ZERO,
        span: SPAN,
    });
    ToolId(line.tools.len() as u16 - 1)
}

pub fn no_calibration() -> Calibration {
    Calibration {
        date: "2026-11-20".into(),
        applied_by: AppliedBy::Coilwright,
        profiles: Vec::new(),
        stations: Vec::new(),
        counted: Counted::Strip,
    }
}

pub fn profile() -> Profile {
    Profile {
        name: "C90x40-0.75".into(),
        section: Section::LippedChannel,
        web: mm(90),
        left_flange: mm(40),
        right_flange: mm(40),
        left_lip: mm(12),
        right_lip: mm(12),
        thickness: um(750),
        radius: um(1_500),
        coating: Coating { name: "Z275".into(), grams_per_square_metre: 275, thickness: um(39) },
        grade: "S350GD".into(),
        strip_width: mm(182),
        length_tolerance: Some(Tolerance::even(mm(1))),
        coated_mass: MassPerLength::from_ug_per_m(1_121_575_000),
        span: SPAN,
    }
}

pub fn coil(id: &str, length: Length) -> Coil {
    let profile = profile();
    Coil {
        id: id.into(),
        bar: None,
        heat: "".into(),
        certificate: "".into(),
        docket: "".into(),
        strip_width: profile.strip_width,
        thickness: profile.thickness,
        grade: profile.grade,
        coating: profile.coating.name,
        length,
        basis: LengthBasis::Measured,
        uncertainty: 0,
        defects: Vec::new(),
        part_used: false,
        threaded: false,
        cost: None,
        mass: None,
        span: SPAN,
    }
}

/// A small repeatable generator (splitmix64, from memory): spreads test cases.
pub struct Dice(pub u64);

impl Dice {
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
    pub fn below(&mut self, n: i64) -> i64 {
        (self.next() % n.max(1) as u64) as i64
    }
    pub fn between(&mut self, lo: i64, hi: i64) -> i64 {
        lo + self.below(hi - lo + 1)
    }
}

/// Values derived from first principles, which lie beside the project; says so where they do not.
#[allow(clippy::disallowed_methods, clippy::print_stdout, reason = "a test may read, and say so")]
pub fn shared_vectors(of: &str) -> Option<Vec<serde_json::Value>> {
    let root = env!("CARGO_MANIFEST_DIR");
    // Beside the project, or beside it where it is checked out one folder deeper.
    let text = ["../shared", "../../shared"]
        .iter()
        .find_map(|up| std::fs::read_to_string(format!("{root}/{up}/data/vectors.json")).ok());
    let Some(text) = text else {
        println!("skipped: no ../shared/data/vectors.json");
        return None;
    };
    let vectors: serde_json::Value = serde_json::from_str(&text).unwrap();
    Some(vectors[of].as_array().unwrap().clone())
}

/// Replays a program in this situation and judges it for the pieces of `run`: whether it is right.
pub fn is_right(jobs: &[Job], run: &Run, program: &Program, situation: &Situation) -> bool {
    let (products, refused) = replay(program, None, situation);
    let expected: Vec<Expected<'_>> = run
        .pieces
        .iter()
        .map(|piece| {
            let member = piece.member.of(jobs).unwrap().2;
            Expected { serial: piece.serial, mark_text: &member.mark_text, shape: &member.shape }
        })
        .collect();
    let (_, faults) = judge(&products, &expected, situation.library);
    refused.is_empty() && faults.is_empty()
}

/// The programs of a plan as they were run.
pub fn ran_programs<'a>(jobs: &'a [Job], plan: &Plan) -> Vec<RanProgram<'a>> {
    let ran = |piece: &coilwright::plan::PlannedPiece| {
        let (job, frame, member) = piece.member.of(jobs).unwrap();
        RanPiece {
            serial: piece.serial,
            job: job.name.clone(),
            frame: frame.name.clone(),
            copy: piece.member.copy + 1,
            mark: member.mark.clone(),
            shape: Cow::Borrowed(&*member.shape),
        }
    };
    let runs = plan.runs.iter();
    runs.map(|run| RanProgram {
        program: run.program.clone(),
        profile: run.profile,
        pieces: run.pieces.iter().map(ran).collect(),
    })
    .collect()
}
