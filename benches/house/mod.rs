//! Houses to measure with: members files, a line and a rack, in memory, the same for the same
//! number every time.
//!
//! The load is **modelled, not measured**: a single-storey house of about 150 m² by public framing
//! habits (studs at 400 or 600 mm, two extra at a corner, one at an intersection, king studs and
//! trimmers at openings, trusses at 600 mm), aimed at about 59 frames, 950 members, 1.8 km of
//! strip, 7.5 features a member and lengths of 0.5, 2.0 and 3.9 m at the 10th, 50th and 90th
//! percentile. Joints are those of the boatshed's frames. Every member is written out one by one,
//! as a script would write it, without recipes: that is the most text a house can be.
#![allow(dead_code)] // benches and tests use different parts of it

pub mod peak;
mod random;
mod text;
mod trusses;
mod walls;

use coilwright::diagnostic::Severity;
use coilwright::plan::{self, Options, Plan, Shop};
use coilwright::quantity::{MemoryFiles, Sources};
use random::Random;
use std::fmt::Write;
use std::ops::RangeInclusive;

/// As the program's own.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// The batch file of [`files`].
pub const BATCH: &str = "batch.toml";

/// Strip a house takes of the wider and of the narrower coils, about, in metres.
const STRIP_OF_A_HOUSE: (u32, u32) = (1_720, 250);
/// Metres on a full coil: some three tonnes of the wider strip.
const FULL_COIL: u32 = 2_500;

/// How the members of a house meet.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Joints {
    /// As in the boatshed: studs nest in plates, and a nogging in the one stud of two that is open
    /// towards it; it laps the other's web. Truss webs lie against the chords on bolts.
    Lapped,
    /// What can nest does: studs face each other in pairs, with a nogging nested between them, and
    /// truss webs are of the chords' section, nest in them and are screwed through dimples.
    Nested,
}

/// The members file of house `number`, with lapped joints.
pub fn members(number: u32) -> String {
    members_joined(number, Joints::Lapped)
}

/// The members file of house `number`.
pub fn members_joined(number: u32, joints: Joints) -> String {
    let mut random = Random::of(u64::from(number));
    let mut out = String::with_capacity(300_000);
    let _ = write!(
        out,
        "# Modelled house {number}, written by the generator of the benches.\n\
         job H{number:03} \"house {number}\" revision A\nunits mm\n\n\
         profile C90 = \"C90x40-0.75\"\n"
    );
    if joints == Joints::Lapped {
        out.push_str("profile U60 = \"U60x30-0.75\"\n");
    }
    out.push('\n');
    walls::write(&mut out, &mut random, joints);
    trusses::write(&mut out, &mut random, joints);
    out
}

/// The shop as it stands with these files: read, resolved and checked, without a finding.
pub fn open(files: &MemoryFiles) -> Shop {
    let (shop, found) = Shop::open(files, &mut Sources::default(), BATCH);
    assert!(found.is_empty(), "{found:?}");
    shop.unwrap()
}

/// Its batch as planned on one thread, without more than a note.
pub fn plan(shop: &Shop) -> Plan {
    let options = Options { ticks: shop.loaded.batch.effort.ticks, threads: 1 };
    let (plan, found) = plan::plan(&shop.inputs(), &options, &());
    assert!(found.iter().all(|f| f.severity == Severity::Note), "{found:?}");
    plan.unwrap()
}

/// Everything a batch of this many houses needs; the line and library are the boatshed's.
pub fn files(houses: u32) -> MemoryFiles {
    files_of(1..=houses)
}

/// Everything a batch of the houses of these numbers needs.
pub fn files_of(numbers: RangeInclusive<u32>) -> MemoryFiles {
    let mut files = MemoryFiles::of([
        ("shop/library.toml", include_str!("../../fixtures/boatshed/shop/library.toml")),
        ("shop/features.toml", include_str!("../../fixtures/boatshed/shop/features.toml")),
        ("shop/profiles.toml", include_str!("../../fixtures/boatshed/shop/profiles.toml")),
        ("shop/line.toml", include_str!("../../fixtures/boatshed/shop/line.toml")),
        ("shop/calibration.toml", include_str!("../../fixtures/boatshed/shop/calibration.toml")),
    ]);
    let mut jobs = Vec::new();
    let houses = numbers.clone().count() as u32;
    for number in numbers {
        let name = format!("house-{number:03}.members");
        files.0.insert(name.clone(), members(number).into_bytes());
        jobs.push(format!("{name:?}"));
    }
    files.0.insert(BATCH.into(), batch(&jobs).into_bytes());
    files.0.insert("shop/stock.toml".into(), stock(houses).into_bytes());
    files
}

fn batch(jobs: &[String]) -> String {
    format!(
        "name = \"houses\"\njobs = [{}]\nlibrary = \"shop/library.toml\"\n\
         line = \"shop/line.toml\"\ncalibration = \"shop/calibration.toml\"\n\
         stock = \"shop/stock.toml\"\ndialect = \"shipped:stop-list\"\nbundling = \"frame\"\n\
         order = \"as-listed\"\nkeep = \"5 m\"\ncoil-change-worth = \"6 m\"\neffort = \"quick\"\n\
         at-end = \"unload\"\nmark-text = \"{{job}} {{frame}} {{mark}}\"\n",
        jobs.join(", ")
    )
}

/// Coils enough and one to spare of each width; every fifth is part-used, every seventh has a
/// defect.
fn stock(houses: u32) -> String {
    let mut out = String::new();
    for (letter, width, of_a_house) in
        [('W', 188, STRIP_OF_A_HOUSE.0), ('N', 117, STRIP_OF_A_HOUSE.1)]
    {
        let mut wanted = i64::from(houses * of_a_house) + i64::from(FULL_COIL);
        let mut number = 0;
        while wanted > 0 {
            number += 1;
            let length = if number % 5 == 0 { FULL_COIL / 4 } else { FULL_COIL };
            let _ = write!(
                out,
                "[[coil]]\nid = \"{letter}-{number:03}\"\nstrip-width = \"{width} mm\"\n\
                 thickness = \"0.75 mm\"\ngrade = \"G550\"\ncoating = \"Z275\"\n\
                 length = \"{length} m\"\nuncertainty = \"1 %\"\npart-used = {}\n",
                number % 5 == 0
            );
            if number % 7 == 0 {
                out.push_str("defects = [{ from = \"211.5 m\", to = \"212.1 m\" }]\n");
            }
            out.push('\n');
            wanted -= i64::from(length);
        }
    }
    out
}
