//! Five modelled houses: how near the number of stops comes to what no choice of stops can beat,
//! and what a pattern tool saves. Counts, not times; the houses are those of the benches.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

#[path = "../benches/house/mod.rs"]
mod house;

use coilwright::plan::{self, Options, Plan, Shop};
use coilwright::quantity::{MemoryFiles, Sources};

/// A house of this number alone, on the boatshed's line after `edit`.
fn planned(number: u32, edit: impl Fn(&str) -> String) -> Plan {
    let mut files: MemoryFiles = house::files(1);
    files.0.insert("house-001.members".into(), house::members(number).into_bytes());
    let line = String::from_utf8(files.0["shop/line.toml"].clone()).unwrap();
    files.0.insert("shop/line.toml".into(), edit(&line).into_bytes());
    let mut sources = Sources::default();
    let (shop, found) = Shop::open(&files, &mut sources, house::BATCH);
    assert!(found.iter().all(|d| !d.is_error()), "{found:?}");
    let shop = shop.unwrap();
    let options = Options { ticks: shop.loaded.batch.effort.ticks, threads: 1 };
    let (plan, found) = plan::plan(&shop.inputs(), &options, &());
    assert!(found.iter().all(|d| !d.is_error()), "{found:?}");
    plan.unwrap()
}

fn stops(plan: &Plan) -> (usize, usize) {
    plan.runs.iter().fold((0, 0), |(stops, least), run| {
        (stops + run.stops, least + usize::try_from(run.bound.stops).unwrap())
    })
}

/// A die that dimples the joints with the stroke that swages the ends.
const JOINT: &str = r#"
[[station.tool]]
name = "joint-45"
makes = "swage"
faces = "flanges"
outline = "rectangle"
length = "45 mm"
width = "40 mm"
how = "straddle"
footprint = "55 mm"
refire = "100 mm"
time = "0.6 s"
accuracy = "0.2 mm"

[[station.tool.also]]
makes = "dimple"
faces = ["left-flange", "right-flange"]
outline = "circle"
diameter = "10 mm"
at = "18 mm"
"#;

#[test]
fn stops_are_within_a_hundredth_of_the_bound() {
    for number in 1..=5 {
        let (stops, least) = stops(&planned(number, str::to_string));
        println!("house {number}: {stops} stops, {least} at least");
        assert!(least > 1_000 && stops >= least);
        assert!((stops - least) * 100 <= least, "house {number}: {stops} over {least}");
    }
}

/// About a third of the pieces of these houses have swaged ends, each with a dimple in it: two of
/// their three strokes at a cut go, and nothing of the plates', truss members' and lapping ends'.
#[test]
fn a_pattern_for_swage_and_dimple_saves_two_stops_a_swaged_cut() {
    let with_joint = |line: &str| {
        let marker = "# A joint's dimple lies in the end";
        assert!(line.contains(marker));
        line.replacen(marker, &format!("{JOINT}\n{marker}"), 1)
    };
    let (mut without, mut with, mut joints) = (0, 0, 0);
    for number in 1..=5 {
        without += stops(&planned(number, str::to_string)).0;
        let plan = planned(number, with_joint);
        with += stops(&plan).0;
        joints += plan
            .runs
            .iter()
            .map(|run| String::from_utf8_lossy(&run.printed.bytes).matches("joint-45").count())
            .sum::<usize>();
    }
    println!("{without} stops without, {with} with {joints} strokes of the pattern");
    // Some dimples shared a stop with another station's stroke and save none.
    assert!(without - with > joints * 18 / 10, "{without} without, {with} with {joints}");
}
