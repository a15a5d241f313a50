//! The readings of `fixtures/boatshed/first-off.toml` are what a tape reads on a line that is
//! not quite as its calibration says. `COILWRIGHT_BLESS=1 cargo test --test first_off_demo` tapes
//! the pieces anew when planning puts strokes elsewhere.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::float_arithmetic,
    clippy::disallowed_methods,
    missing_docs
)]

mod common;

use coilwright::calibrate::{Cause, Ran, Verdict, propose};
use coilwright::library::load_measured;
use coilwright::library::model::AtEnd;
use coilwright::plan::{self, Options, Plan, Shop};
use coilwright::quantity::{Files, Length, MemoryFiles, ReadFault, Sources};
use coilwright::replay::{Ending, Situation, replay};
use common::{Dice, ran_programs};
use std::fmt::Write;
use std::path::{Path, PathBuf};

fn boatshed() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatshed")
}

struct Folder;

impl Files for Folder {
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        std::fs::read(boatshed().join(path)).map_err(|e| ReadFault::Other(e.to_string()))
    }
}

/// Pieces of very different lengths, with the types taped on each.
const TAPED: [(&str, &str, &[&str]); 5] = [
    ("N1", "T1", &["dimple"]),
    ("N1", "G1", &["dimple"]),
    ("N1", "S1", &["dimple", "service-hole"]),
    ("N1", "S2", &["service-hole"]),
    ("W1", "T1", &["dimple"]),
];

const HEAD: &str = "\
# What a tape read on five pieces of the boatshed. Invented: a line whose deep section comes out
# 0.034 % longer, and whose dimple press stands 0.7 mm further upstream, than its calibration says.
output = \"../../target/boatshed\"
date = \"2026-11-26\"
by = \"M. Okafor\"

[tape]
uncertainty = \"0.5 mm\"
coverage = 2
";

fn planned() -> (Shop, Plan) {
    let mut sources = Sources::default();
    let (shop, found) = Shop::open(&Folder, &mut sources, "batch.toml");
    let shop = shop.unwrap_or_else(|| panic!("{found:#?}"));
    let options = Options { ticks: shop.loaded.batch.effort.ticks, threads: 1 };
    let plan = plan::plan(&shop.inputs(), &options, &()).0.unwrap();
    (shop, plan)
}

/// What a tape reads on these pieces.
fn taped(shop: &Shop, plan: &Plan, pieces: &[(&str, &str, &[&str])]) -> String {
    let mut truth = shop.loaded.calibration.clone();
    let (deep, _) = shop.loaded.library.profile_named("C90x40-0.75").unwrap();
    truth.profiles.iter_mut().filter(|(id, _)| *id == deep).for_each(|(_, f)| *f -= 340_000);
    let press = shop.loaded.line.stations.iter().position(|s| &*s.name == "dimple-press").unwrap();
    let press = truth.stations.iter_mut().find(|c| usize::from(c.station.0) == press).unwrap();
    press.shift += Length::from_um(700);

    let mut dice = Dice(26);
    let mut read = |mm: f64| {
        let um = (mm * 1e3) as i64 + dice.between(-250, 250);
        Length::from_um((um + 250).div_euclid(500) * 500)
    };
    let named = |piece: &plan::PlannedPiece, frame: &str, mark: &str| {
        let (_, f, m) = piece.member.of(&shop.jobs).unwrap();
        &*f.name == frame && &*m.mark == mark
    };
    // The line was stopped when the last of them had dropped.
    let all = plan.runs.iter().flat_map(|run| &run.pieces);
    let taped = all.filter(|piece| pieces.iter().any(|(f, m, _)| named(piece, f, m)));
    let last = taped.map(|piece| piece.serial.0).max().unwrap();
    let stands = format!("\n[stands]\nafter = {last}\nposition = \"kept\"\n\n[tape]");
    let mut text = HEAD.replace("\n[tape]", &stands);
    for (frame, mark, kinds) in pieces {
        let (run, piece) = plan
            .runs
            .iter()
            .find_map(|run| Some((run, run.pieces.iter().find(|piece| named(piece, frame, mark))?)))
            .unwrap();
        let situation = Situation {
            line: &shop.loaded.line,
            calibration: &truth,
            profile: run.profile,
            library: &shop.loaded.library,
            coil: &run.coil,
            ending: Ending { keep: shop.loaded.batch.keep, at_end: AtEnd::Unload },
        };
        let (products, _) = replay(&run.program, None, &situation);
        let made = products.pieces.iter().find(|p| p.serial == Some(piece.serial)).unwrap();
        let finished =
            |strip: Length| strip.nm() as f64 / 1e6 / (1.0 + products.factor as f64 / 1e9);
        let length = finished(made.cut - made.start);
        let _ = write!(
            text,
            "\n[[piece]]\nframe = \"{frame}\"\nmark = \"{mark}\"\nlength = \"{} mm\"\n",
            read(length)
        );
        for kind in *kinds {
            let (id, _) = shop.loaded.library.feature_named(kind).unwrap();
            let makes = |tool| shop.loaded.line.tool(tool).unwrap().makes.kinds.contains(&id);
            let at: Vec<f64> = products
                .swept_on(made)
                .iter()
                .filter(|swept| makes(swept.tool))
                .map(|swept| finished(swept.at))
                .filter(|at| (0.0..length).contains(at))
                .collect();
            let (first, last) = (
                at.iter().copied().fold(f64::INFINITY, f64::min),
                at.iter().copied().fold(0.0, f64::max),
            );
            for (which, from, at) in
                [("first", "start", first), ("last", "start", last), ("last", "end", length - last)]
            {
                let _ = write!(
                    text,
                    "\n[[piece.feature]]\nkind = \"{kind}\"\nwhich = \"{which}\"\nfrom = \
                     \"{from}\"\nat = \"{} mm\"\n",
                    read(at)
                );
            }
        }
    }
    text
}

#[test]
fn the_readings_are_what_a_tape_reads() {
    let (shop, plan) = planned();
    let fresh = taped(&shop, &plan, &TAPED);
    let file = boatshed().join("first-off.toml");
    if std::env::var_os("COILWRIGHT_BLESS").is_some() {
        std::fs::write(&file, &fresh).unwrap();
    }
    let stands = std::fs::read_to_string(&file).unwrap_or_default();
    let again = "COILWRIGHT_BLESS=1 cargo test --test first_off_demo";
    assert!(stands == fresh, "fixtures/boatshed/first-off.toml is stale: {again}");
}

/// Two profiles in one file: the deep section comes out longer, the small one as it should, on
/// stations that serve both.
#[test]
fn profiles_are_told_apart() {
    let (shop, plan) = planned();
    let small = ["V1", "V3", "V5", "D2", "D4"].map(|mark| ("T1", mark, &["hole"][..]));
    let chord = ("T1", "BC1", &["hole"][..]);
    let pieces: Vec<_> = TAPED.into_iter().chain(small).chain([chord]).collect();
    let files = MemoryFiles::of([("taped.toml", taped(&shop, &plan, &pieces).as_str())]);
    let (measured, found) = load_measured(&files, &mut Sources::default(), "taped.toml");
    let measured = measured.unwrap_or_else(|| panic!("{found:#?}"));
    let programs = ran_programs(&shop.jobs, &plan);
    let loaded = &shop.loaded;
    let (line, library, calibration) = (&loaded.line, &loaded.library, &loaded.calibration);
    let ran = Ran { line, library, calibration, programs };
    let (proposal, found) = propose(&measured, &ran);
    let proposal = proposal.unwrap_or_else(|| panic!("{found:#?}"));
    let told: Vec<(bool, Verdict, i64)> = proposal
        .findings
        .iter()
        .map(|f| (matches!(f.cause, Cause::Strip(_)), f.verdict, f.differs))
        .collect();
    let [(true, deep, by), (true, small, _), ..] = told.as_slice() else { panic!("{told:?}") };
    assert_eq!((deep, small), (&Verdict::Changes, &Verdict::Stays), "{told:?}");
    assert!((by + 340_000).abs() < 100_000, "{told:?}");
}
