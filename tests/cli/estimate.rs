//! Weeks of batches on one rack.

use super::shop::Shop;
use serde_json::Value;

fn estimate(shop: &Shop, batches: &[&str]) -> Value {
    let args: Vec<&str> =
        ["estimate", "--format", "json"].into_iter().chain(batches.iter().copied()).collect();
    serde_json::from_str(&shop.exits(0, &args).out).unwrap()
}

#[test]
fn an_estimate_is_valid_and_adds_up() {
    let shop = Shop::new();
    let estimate = estimate(&shop, &["batch.toml", "batch.toml"]);
    let schema = shop.exits(0, &["schema", "estimate"]).out;
    let schema: Value = serde_json::from_str(&schema).unwrap();
    assert!(jsonschema::validator_for(&schema).unwrap().is_valid(&estimate));
    let batches = estimate["batches"].as_array().unwrap();
    let strips = estimate["strips"].as_array().unwrap();
    assert_eq!((batches.len(), strips.len()), (2, 1));
    for part in ["used_nm", "used_mg", "pieces", "planned_ns"] {
        let by_batch: i64 = batches.iter().map(|b| b[part].as_i64().unwrap()).sum();
        assert_eq!(strips[0][part].as_i64().unwrap(), by_batch, "{part}");
    }
    let text = shop.exits(0, &["estimate", "batch.toml", "batch.toml"]).out;
    assert!(text.contains("187 × 0.75 mm G550 Z275") && text.contains("2 batches"), "{text}");
}

#[test]
fn a_later_batch_finds_the_rack_as_the_earlier_one_left_it() {
    let shop = Shop::new();
    // One coil of 40 m: enough for two batches of 12 m and their heads, not for three.
    shop.write(
        "stock.toml",
        "[[coil]]\nid = \"K1\"\nstrip-width = \"187 mm\"\nthickness = \"0.75 mm\"\n\
         grade = \"G550\"\ncoating = \"Z275\"\nlength = \"40 m\"\nuncertainty = \"1 %\"\n",
    );
    let one = estimate(&shop, &["batch.toml"]);
    assert_eq!(one["strips"][0]["pieces_short"], 0);
    let three = estimate(&shop, &["batch.toml"; 3]);
    let strip = &three["strips"][0];
    assert_eq!(strip["coils"], 1, "the same coil, however often it is listed");
    assert_eq!(strip["pieces"].as_i64().unwrap() + strip["pieces_short"].as_i64().unwrap(), 15);
    assert!(strip["short_nm"].as_i64().unwrap() > 0, "{three}");
    assert!(strip["short_mg"].as_i64().unwrap() > 0, "{three}");
    assert!(strip["used_nm"].as_i64().unwrap() <= 40_000_000_000, "{three}");
}

#[test]
fn a_shortage_is_the_answer_of_an_estimate_and_an_error_elsewhere() {
    let shop = Shop::new();
    let member = "member B1..B300 bottom plate";
    shop.edit("job.members", "member B1 bottom plate", member);
    shop.edit("job.members", "length 2400 {", "length 6000 {");
    let run = shop.exits(0, &["estimate", "batch.toml"]);
    assert!(run.out.contains("order with a margin"), "{}", run.out);
    let run = shop.exits(1, &["preview", "batch.toml"]);
    assert!(run.out.contains("is short by"), "{}", run.out);
    run.finds("E0601");
    shop.exits(1, &["compile", "batch.toml", "--out", "out"]).finds("E0601");
    assert!(!shop.path("out").exists());
}

#[test]
fn findings_of_many_batches_are_one_document() {
    let shop = Shop::new();
    for folder in ["a", "b"] {
        shop.copy_into(folder);
        shop.edit(format!("{folder}/job.members"), "hole 12", "hoel 12");
    }
    let args = ["--diagnostics", "json", "estimate", "a/batch.toml", "batch.toml", "b/batch.toml"];
    let run = shop.exits(1, &args);
    let found: Value = serde_json::from_str(&run.err).unwrap();
    let places: Vec<&str> = found["diagnostics"]
        .as_array()
        .unwrap()
        .iter()
        .map(|finding| finding["labels"][0]["file"].as_str().unwrap())
        .collect();
    assert_eq!(places, ["a/job.members", "b/job.members"]);
}

#[test]
fn one_bad_batch_spoils_the_sum_and_says_which() {
    let shop = Shop::new();
    shop.copy_into("bad");
    shop.edit("bad/job.members", "hole 12", "hoel 12");
    let run = shop.exits(1, &["estimate", "batch.toml", "bad/batch.toml"]);
    assert!(run.out.is_empty() && run.err.contains("bad/job.members"), "{run:#?}");
}

#[test]
fn a_later_batch_finds_the_line_as_the_earlier_one_left_it() {
    let shop = Shop::new();
    let planned = |batches: &[&str]| -> Vec<i64> {
        let estimate = estimate(&shop, batches);
        let batches = estimate["batches"].as_array().unwrap();
        batches.iter().map(|batch| batch["planned_ns"].as_i64().unwrap()).collect()
    };
    // 25 minutes of setting up, on a line that is there 85 % of the time.
    let times = planned(&["batch.toml", "batch.toml"]);
    let saved = 25 * 60 * 1_000_000_000_i64 * 100 / 85;
    // Other coils ask for other moves.
    let near = |a: i64, b: i64| (a - b).abs() < 10_000_000_000;
    assert!(near(times[0] - times[1], saved), "{times:?}");
    // Another line stands as its own batches left it.
    shop.copy_into("other");
    shop.edit("other/line.toml", "name = \"line-1\"", "name = \"line-2\"");
    let times = planned(&["batch.toml", "other/batch.toml", "batch.toml", "other/batch.toml"]);
    assert!(near(times[0], times[1]) && near(times[2], times[3]), "{times:?}");
    assert!(near(times[0] - times[2], saved), "{times:?}");
    // What a stock file of the week before says to be in the line is there no more: the coil that
    // the earlier batch left is.
    shop.copy_into("next");
    let coil = "\n[[coil]]\nid = \"K9\"\nstrip-width = \"187 mm\"\nthickness = \"0.75 mm\"\n\
                grade = \"G550\"\ncoating = \"Z275\"\nlength = \"31 m\"\nuncertainty = \"1 %\"\n";
    let stock = shop.read("next/stock.toml");
    shop.write("next/stock.toml", format!("{stock}{coil}"));
    let without = planned(&["batch.toml", "next/batch.toml"]);
    shop.write("next/stock.toml", format!("{stock}{coil}threaded = true\n"));
    assert_eq!(planned(&["batch.toml", "next/batch.toml"]), without);
    // By itself it is.
    assert!(planned(&["next/batch.toml"])[0] < without[1] + saved);
    shop.edit("batch.toml", "at-end = \"unload\"", "at-end = \"stay-threaded\"");
    let stays = planned(&["batch.toml", "batch.toml"]);
    // Ten minutes of loading a coil more are saved, and a head.
    assert!(stays[1] + 600_000_000_000 < times[2], "{stays:?} {times:?}");
}
