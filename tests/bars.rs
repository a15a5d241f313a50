//! Bars: stock of fixed length, cut to the fewest there are, and what is said where they will not
//! do.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, missing_docs)]

mod common;
#[path = "cli/shop.rs"]
#[allow(dead_code, reason = "shared with the tests of the command line")]
mod shop;

use coilwright::library::model::{Bars, Bundling, Coil, JobOrder, Line};
use coilwright::nest::{Bundle, CoilSpace, Instance, Policy, nest, verify};
use coilwright::quantity::{Length, Time};
use common::{Dice, mm};
use serde_json::Value;
use shop::Shop;
use std::fmt::Write as _;

const COMPILE: [&str; 4] = ["compile", "batch.toml", "--out", "out"];

/// The fewest stocks of one capacity that hold these lengths: over all subsets.
fn fewest(lengths: &[i64], capacity: i64) -> Option<usize> {
    let n = lengths.len();
    // For each set made: stocks used, and what the last one holds.
    let mut best = vec![(usize::MAX, 0_i64); 1 << n];
    best[0] = (0, capacity);
    for set in 0..1_usize << n {
        let (stocks, held) = best[set];
        if stocks == usize::MAX {
            continue;
        }
        for (i, &length) in lengths.iter().enumerate().filter(|(i, _)| set >> i & 1 == 0) {
            if length > capacity {
                return None;
            }
            let next = if held + length <= capacity {
                (stocks, held + length)
            } else {
                (stocks + 1, length)
            };
            let slot = &mut best[set | 1 << i];
            *slot = (*slot).min(next);
        }
    }
    Some(best[(1 << n) - 1].0)
}

#[test]
fn random_bars_are_as_few_as_can_be() {
    let mut dice = Dice(31);
    let (mut least, mut more) = (0, 0);
    for round in 0..400 {
        let count = dice.between(4, 12);
        let capacity = dice.between(60, 120);
        let lengths: Vec<i64> = (0..count).map(|_| dice.between(12, 60)).collect();
        let instance = Instance {
            bundles: (0_u32..)
                .zip(&lengths)
                .map(|(i, &l)| Bundle {
                    gaps: 0,
                    in_gaps: Length::ZERO,
                    rank: 0,
                    length: mm(l),
                    pieces: vec![i],
                    frame: i as usize,
                })
                .collect(),
            pitches: lengths.iter().map(|&l| mm(l)).collect(),
            heads: Vec::new(),
            coils: (0..14)
                .map(|coil| CoilSpace {
                    coil,
                    length: mm(capacity + 5),
                    reserve: mm(5),
                    tail: Length::ZERO,
                    part_used: false,
                    threaded: false,
                    parting: Length::ZERO,
                    opening: mm(2),
                    head: Length::ZERO,
                    bar: Some(0),
                })
                .collect(),
            policy: Policy {
                bundling: Bundling::None,
                order: JobOrder::Free,
                keep: mm(1_000),
                last_stays: false,
            },
        };
        let found = nest(&instance, 20_000, &|| false);
        verify(&instance, &found).unwrap();
        assert!(found.short.is_empty(), "{round}");
        // Alike ones are used as listed.
        assert!(found.loads.iter().enumerate().all(|(i, load)| load.coil == i), "{found:?}");
        let best = fewest(&lengths, capacity).unwrap();
        assert!(found.loads.len() >= best, "{round}");
        *(if found.loads.len() == best { &mut least } else { &mut more }) += 1;
    }
    println!("{least} with the fewest bars, {more} with more");
    assert!(more == 0, "{least} {more}");
}

/// The small shop with bars of `length` mm, on a line that takes them: 10 mm of head, 40 of tail.
fn with(members: &str, length: i64, count: usize) -> Shop {
    let shop = Shop::new();
    shop.write(
        "job.members",
        format!(
            "job SS1 revision A\nprofile C90 = \"C90x40-0.75\"\n\
             frame N1 wall profile C90 {{\n{members}\n}}\n"
        ),
    );
    shop.write(
        "stock.toml",
        format!(
            "[[bar]]\nid = \"B7\"\nlength = \"{length} mm\"\ncount = {count}\n\
             strip-width = \"187 mm\"\nthickness = \"0.75 mm\"\ngrade = \"G550\"\n\
             coating = \"Z275\"\ncost = \"9.50\"\n"
        ),
    );
    shop.edit(
        "line.toml",
        "[feed]",
        "[bar]\nhead = \"10 mm\"\ntail = \"40 mm\"\nchange = \"90 s\"\n\n[feed]",
    );
    shop.edit("batch.toml", "bundling = \"frame\"", "bundling = \"none\"");
    shop.edit("calibration.toml", "\"-0.02 %\"", "\"0 %\"");
    shop
}

fn json(shop: &Shop, args: &[&str]) -> Value {
    serde_json::from_str(&shop.exits(0, args).out).unwrap()
}

#[test]
fn whole_batches_use_the_fewest_bars() {
    let mut dice = Dice(32);
    for round in 0..25 {
        let lengths: Vec<i64> =
            (0..dice.between(3, 10)).map(|_| dice.between(300, 2_900)).collect();
        let members = lengths.iter().enumerate().fold(String::new(), |mut text, (i, length)| {
            let _ = writeln!(text, "member M{i} stud length {length}");
            text
        });
        let shop = with(&members, 6_000, 12);
        // Nothing is kept: what counts is how many are opened.
        shop.edit("batch.toml", "keep = \"2 m\"", "keep = \"7 m\"");
        let preview = json(&shop, &["preview", "batch.toml", "--format", "json"]);
        let bar = &preview["bars"][0];
        assert_eq!((bar["bar"].as_str(), bar["there"].as_u64()), (Some("B7"), Some(12)));
        // Each piece takes a slug of 4 mm; the head's is counted with the head.
        let pitches: Vec<i64> = lengths.iter().map(|length| length + 4).collect();
        let least = fewest(&pitches, 6_000 - 40 - (10 - 4)).unwrap();
        assert_eq!(bar["used"].as_u64(), Some(least as u64), "{round}: {lengths:?}");
    }
}

#[test]
fn bars_are_compiled_proved_and_told() {
    let members = "member A1..A7 stud length 1900 {\nhole 12 on web at 310\n}\n\
                   member B1..B3 stud length 800";
    let shop = with(members, 12_000, 5);
    shop.edit("batch.toml", "keep = \"2 m\"", "keep = \"13 m\"");
    shop.exits(0, &COMPILE);
    shop.exits(0, &["verify", "out"]);
    let report: Value = serde_json::from_str(&shop.read("out/report.json")).unwrap();
    let runs = report["runs"].as_array().unwrap();
    assert_eq!(runs.len(), 2);
    let time = |run: &Value| run["time"]["coil_change_ns"].as_i64().unwrap();
    for (i, run) in runs.iter().enumerate() {
        assert_eq!(run["coil"]["id"], format!("B7.{}", i + 1));
        assert_eq!(run["coil"]["bar"], "B7");
        assert_eq!(time(run), 90_000_000_000);
        // Nothing is parted: what is left goes back whole, or is tail.
        let part = |key: &str| run["account"][key].as_i64().unwrap();
        let rest = part("tail_nm") + part("remnant_nm");
        assert!(part("tail_nm") == 0 || part("remnant_nm") == 0, "{run}");
        assert_eq!(part("good_nm") + part("slug_nm") + part("head_nm") + rest, 12_000_000_000);
    }
    let sheet = shop.read("out/run-sheet.md");
    for told in [
        "## Run 1: bar B7.1, ",
        "Feed bar B7.2",
        "Take what is left of bar B7.1 out.",
        "- Bars B7: 2 of 5 used. Write `count = 3`",
    ] {
        assert!(sheet.contains(told), "{told} is not in {sheet}");
    }
    let told = shop.exits(0, &["preview", "batch.toml"]).out;
    assert!(told.contains("Bars B7 of 12.0 m: 2 of 5 used"), "{told}");
    // The judge: on a line whose bars end earlier the last cuts cannot be made.
    shop.edit("out/inputs/line.toml", "tail = \"40 mm\"", "tail = \"11 m\"");
    shop.exits(1, &["verify", "out"]).finds("E0814");
    shop.edit("out/inputs/line.toml", "tail = \"11 m\"", "tail = \"40 mm\"");
    shop.edit("out/inputs/line.toml", "head = \"10 mm\"", "head = \"4.5 m\"");
    shop.exits(1, &["verify", "out"]).finds("E0819");
}

#[test]
fn an_estimate_carries_bars_on() {
    let shop = with("member A1..A8 stud length 2900", 6_000, 9);
    shop.edit("batch.toml", "keep = \"2 m\"", "keep = \"7 m\"");
    let estimate = json(&shop, &["estimate", "batch.toml", "batch.toml", "--format", "json"]);
    for batch in estimate["batches"].as_array().unwrap() {
        assert_eq!((batch["bars"].as_u64(), batch["coils"].as_u64()), (Some(4), Some(0)));
    }
    assert_eq!(estimate["strips"][0]["bars"], 8);
    // A third one finds a single bar.
    let three = ["estimate", "batch.toml", "batch.toml", "batch.toml", "--format", "json"];
    let estimate = json(&shop, &three);
    assert_eq!(estimate["batches"][2]["pieces_short"], 6);
}

#[test]
fn offcuts_worth_keeping_go_back() {
    let shop = with("member A1 stud length 2500", 6_000, 3);
    shop.exits(0, &COMPILE);
    let report: Value = serde_json::from_str(&shop.read("out/report.json")).unwrap();
    let left = 6_000 - (10 + 2_500 + 4);
    assert_eq!(report["remnants"][0]["length_nm"].as_i64(), Some(left * 1_000_000));
    let sheet = shop.read("out/run-sheet.md");
    assert!(sheet.contains("Bar B7.1: 3.5 m go back to the rack"), "{sheet}");
}

#[test]
fn the_tools_head_is_lost_on_every_bar() {
    // A punch 4.2 m up the line strikes nothing on the first 4 m of a bar.
    let shop = with("member A1..A4 stud length 2000 {\nhole 12 on web at 310\n}", 6_000, 9);
    shop.exits(0, &COMPILE);
    shop.exits(0, &["verify", "out"]);
    let report: Value = serde_json::from_str(&shop.read("out/report.json")).unwrap();
    assert_eq!(report["bars"][0]["used"], 4);
}

#[test]
fn what_bars_cannot_be_is_told() {
    let fresh = || with("member A1 stud length 2500", 6_000, 3);
    let coil = "[[coil]]\nid = \"B7.2\"\nstrip-width = \"187 mm\"\nthickness = \"0.75 mm\"\n\
                grade = \"G550\"\ncoating = \"Z275\"\nlength = \"50 m\"\nuncertainty = \"0 %\"\n";
    for (from, to, code) in [
        ("count = 3", "count = -1", "E0306"),
        ("count = 3", "count = 10001", "E0306"),
        ("count = 3", "count = 0", "E0602"),
        ("length = \"6000 mm\"", "length = \"0 mm\"", "E0306"),
        ("length = \"6000 mm\"", "length = \"600 m\"", "E0306"),
        ("cost = \"9.50\"", "cost = \"-9.50\"", "E0306"),
        ("cost = \"9.50\"", "threaded = true", "E0302"),
        ("id = \"B7\"", "id = \"B 7\"", "E0311"),
        ("grade = \"G550\"", "grade = \"G300\"", "E0602"),
    ] {
        let shop = fresh();
        shop.edit("stock.toml", from, to);
        let run = shop.exits(1, &["preview", "batch.toml"]);
        assert_eq!(run.found(code), 1, "{to}: {}", run.err);
    }
    let shop = fresh();
    let bars = shop.read("stock.toml");
    shop.write("stock.toml", format!("{coil}\n{bars}"));
    shop.exits(1, &["check", "batch.toml"]).finds("E0308");
    shop.write("stock.toml", "");
    shop.exits(1, &["check", "batch.toml"]).finds("E0329");
    let shop = fresh();
    shop.edit("line.toml", "head = \"10 mm\"\ntail", "head = \"3 mm\"\ntail");
    shop.exits(1, &["check", "batch.toml"]).finds("E0306");
}

#[test]
fn a_line_without_bars_leaves_them_out_and_the_judge_refuses_them() {
    let shop = with("member A1 stud length 2500", 6_000, 3);
    shop.exits(0, &COMPILE);
    let entry = "[bar]\nhead = \"10 mm\"\ntail = \"40 mm\"\nchange = \"90 s\"\n";
    shop.edit("out/inputs/line.toml", entry, "");
    shop.exits(1, &["verify", "out"]).finds("E0861");
    shop.edit("line.toml", entry, "");
    let run = shop.exits(1, &["preview", "batch.toml"]);
    assert_eq!((run.found("W0607"), run.found("E0602")), (1, 1), "{}", run.err);
}

/// Bars of 6 m under a punch 4.2 m up the line: a piece whose hole comes 4 m behind the strip's
/// edge at the earliest leaves little room, unless others come before it.
#[test]
fn what_each_fits_a_bar_alone_is_made() {
    let mut dice = Dice(33);
    for round in 0..25 {
        let count = dice.between(3, 20);
        let members = (0..count).fold(String::new(), |mut text, i| {
            let length = dice.between(400, 2_600);
            // Alone it needs a head of 4200 less the place of its hole, and a little.
            let least = (4_200 + length + 20 - 5_960).max(60);
            if dice.below(2) == 0 && least < length - 60 {
                let at = dice.between(least, length - 60);
                let _ = writeln!(text, "member M{i} stud length {length} {{\nhole 12 at {at}\n}}");
            } else {
                let _ = writeln!(text, "member M{i} stud length {length}");
            }
            text
        });
        let shop = with(&members, 6_000, 25);
        let preview = json(&shop, &["preview", "batch.toml", "--format", "json"]);
        assert_eq!(preview["total"]["pieces"].as_i64(), Some(count), "{round}: {members}");
    }
}

/// Strip whose end has passed the encoder cannot be placed any more, however far the drives take
/// it: t_min is the greater of the two, for coils and bars.
#[test]
fn what_the_encoder_can_no_longer_count_is_lost_too() {
    let mut line = common::bare_line();
    line.bars = Some(Bars { head: mm(4), tail: mm(300), change: Time::ZERO });
    let of_coil = common::coil("K1", mm(10_000));
    let of_bar = Coil { bar: Some("B".into()), ..common::coil("B.1", mm(6_000)) };
    let tails = |line: &Line| (line.ends(&of_coil).tail, line.ends(&of_bar).tail);
    assert_eq!(tails(&line), (mm(1_000), mm(300)));
    line.encoder = Some(mm(400));
    assert_eq!(tails(&line), (mm(1_000), mm(400)));
    line.encoder = Some(mm(3_200));
    assert_eq!(tails(&line), (mm(3_200), mm(3_200)));
}
