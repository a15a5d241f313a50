//! Several profiles on one line: in which order, how long it takes to set up, and which tools are
//! out then.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, missing_docs)]

#[path = "cli/shop.rs"]
#[allow(dead_code, reason = "shared with the tests of the command line")]
mod shop;

use serde_json::Value;
use shop::Shop;

const NAMES: [&str; 4] = ["C90x40-0.75", "A-one", "B-two", "D-three"];
const COMPILE: [&str; 4] = ["compile", "batch.toml", "--out", "out"];

/// A shop of `count` profiles, each from strip of its own, one frame each in the order given.
fn with(count: usize, made: &[usize]) -> Shop {
    let shop = Shop::new();
    let first = shop.read("profiles.toml");
    let mut profiles = first.clone();
    let mut line = shop.read("line.toml");
    let mut stock = String::new();
    for (i, name) in NAMES.iter().enumerate().take(count) {
        let width = format!("{}.{i} mm", 187);
        if i > 0 {
            profiles.push_str(&first.replace(NAMES[0], name).replace("187 mm", &width));
            line.push_str(&format!("\n[[set-up]]\nprofile = \"{name}\"\ntime = \"{i}0 min\"\n"));
        }
        stock.push_str(&format!(
            "[[coil]]\nid = \"K{i}\"\nstrip-width = \"{width}\"\nthickness = \"0.75 mm\"\n\
             grade = \"G550\"\ncoating = \"Z275\"\nlength = \"100 m\"\nuncertainty = \"0 %\"\n\n"
        ));
    }
    let mut job = "job SS1 revision A\n".to_string();
    for &i in made {
        job.push_str(&format!("profile P{i} = \"{}\"\n", NAMES[i]));
    }
    for &i in made {
        job.push_str(&format!(
            "frame N{i} wall profile P{i} {{\n member S1..S3 stud length 2000 {{\n\
             hole 12 on web at 310\n}}\n}}\n"
        ));
    }
    for (file, text) in [
        ("profiles.toml", profiles),
        ("line.toml", line),
        ("stock.toml", stock),
        ("job.members", job),
    ] {
        shop.write(file, text);
    }
    shop
}

fn change_over(shop: &Shop, from: usize, to: usize, minutes: i64) {
    let line = shop.read("line.toml");
    let (from, to) = (NAMES[from], NAMES[to]);
    shop.write(
        "line.toml",
        format!(
            "{line}\n[[change-over]]\nfrom = \"{from}\"\nto = \"{to}\"\ntime = \"{minutes} min\"\n"
        ),
    );
}

/// Profiles in the order they are made, with minutes to set up.
fn order(shop: &Shop) -> Vec<(usize, i64)> {
    let text = shop.exits(0, &["preview", "batch.toml", "--format", "json"]).out;
    let preview: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(preview["total"]["set_up_is_least"], true);
    let profiles = preview["profiles"].as_array().unwrap();
    let steps: Vec<(usize, i64)> = profiles
        .iter()
        .map(|of| {
            let i = NAMES.iter().position(|name| of["profile"] == *name).unwrap();
            (i, of["set_up"]["time_ns"].as_i64().unwrap() / 60_000_000_000)
        })
        .collect();
    let total = preview["total"]["time"]["set_up_ns"].as_i64().unwrap() / 60_000_000_000;
    assert_eq!(total, steps.iter().map(|step| step.1).sum::<i64>());
    steps
}

#[test]
fn without_change_overs_profiles_come_as_listed() {
    let shop = with(3, &[2, 0, 1]);
    assert_eq!(order(&shop), [(2, 20), (0, 25), (1, 10)]);
    shop.edit("batch.toml", "at-end", "set-up-now = \"A-one\"\nat-end");
    assert_eq!(order(&shop), [(1, 0), (2, 20), (0, 25)]);
}

#[test]
fn the_order_of_least_set_up_time_is_taken() {
    // Against every order, reckoned by hand.
    let times = [[0, 40, 5, 30], [7, 0, 50, 12], [45, 9, 0, 33], [11, 28, 14, 0]];
    let afresh = [25, 10, 20, 30];
    for now in [None, Some(0), Some(3)] {
        let made: Vec<usize> = (0..4).collect();
        let shop = with(4, &made);
        for (from, row) in times.iter().enumerate() {
            for (to, minutes) in row.iter().enumerate() {
                // One pair is not stated: it takes what setting up afresh takes.
                if from != to && (from, to) != (3, 2) {
                    change_over(&shop, from, to, *minutes);
                }
            }
        }
        if let Some(now) = now {
            let key = format!("set-up-now = \"{}\"\nat-end", NAMES[now]);
            shop.edit("batch.toml", "at-end", &key);
        }
        let time = |from: Option<usize>, to: usize| match from {
            Some(from) if from == to => 0,
            Some(from) if (from, to) != (3, 2) => times[from][to],
            _ => afresh[to],
        };
        let mut best = i64::MAX;
        for code in 0..256_usize {
            let tried = [code % 4, code / 4 % 4, code / 16 % 4, code / 64];
            if made.iter().all(|i| tried.contains(i)) {
                let mut from = now;
                let sum = tried.iter().map(|&to| time(from.replace(to), to)).sum();
                best = best.min(sum);
            }
        }
        let taken = order(&shop);
        assert_eq!(taken.iter().map(|step| step.1).sum::<i64>(), best, "{now:?}: {taken:?}");
        let mut from = now;
        for (to, minutes) in taken {
            assert_eq!(minutes, time(from.replace(to), to));
        }
        let told = shop.exits(0, &["preview", "batch.toml"]).out;
        assert!(told.contains(": no order takes less"), "{told}");
        shop.exits(0, &COMPILE);
        shop.exits(0, &["verify", "out"]);
        let sheet = shop.read("out/run-sheet.md");
        assert!(sheet.contains("Change the line over from "), "{sheet}");
    }
}

#[test]
fn the_coil_in_the_line_is_still_used_first() {
    let shop = with(3, &[0, 1, 2]);
    shop.edit("stock.toml", "id = \"K2\"", "id = \"K2\"\nthreaded = true");
    change_over(&shop, 2, 1, 1);
    change_over(&shop, 0, 2, 1);
    assert_eq!(order(&shop), [(2, 0), (1, 1), (0, 25)]);
}

#[test]
fn a_tool_that_is_out_is_not_fired_and_the_judge_knows() {
    let shop = with(2, &[0, 1]);
    let set_up = "profile = \"A-one\"\ntime = \"10 min\"";
    for out in ["hole-12", "web-punch"] {
        shop.edit("line.toml", set_up, &format!("{set_up}\nwithout = [\"{out}\"]"));
        let run = shop.exits(1, &["check", "batch.toml"]);
        assert_eq!(run.found("E0501"), 1, "{}", run.err);
        assert!(
            run.err.contains("cannot be used when the line is set up for `A-one`"),
            "{}",
            run.err
        );
        shop.edit("line.toml", &format!("\nwithout = [\"{out}\"]"), "");
    }
    // Another tool that makes it, further from the shear, is taken instead.
    shop.exits(0, &COMPILE);
    let spare = "[[station]]\nname = \"spare\"\noffset = \"5 m\"\nworks = \"flat\"\n\n\
                 [[station.tool]]\nname = \"spare-12\"\nmakes = \"hole\"\nfaces = [\"web\"]\n\
                 outline = \"circle\"\ndiameter = \"12 mm\"\nhow = \"point\"\n\
                 footprint = \"15 mm\"\nrefire = \"20 mm\"\ntime = \"0.2 s\"\naccuracy = \"0.1 mm\"\n";
    let line = shop.read("line.toml");
    shop.write("line.toml", format!("{line}\n{spare}"));
    shop.edit("line.toml", set_up, &format!("{set_up}\nwithout = [\"hole-12\"]"));
    shop.exits(0, &COMPILE);
    shop.exits(0, &["verify", "out"]);
    let sheet = shop.read("out/run-sheet.md");
    assert!(sheet.contains("Out in this set-up, and not fired: hole-12."), "{sheet}");
    // The judge: the same programs, and a line that has the other tool out.
    let inputs = "out/inputs/line.toml";
    shop.edit(inputs, "without = [\"hole-12\"]", "without = [\"spare-12\"]");
    let run = shop.exits(1, &["verify", "out"]);
    assert_eq!(run.found("E0860"), 1, "{}", run.err);
}

#[test]
fn wrong_names_and_doubles_are_told() {
    for (text, code, times) in [
        ("[[change-over]]\nfrom = \"C90x40-0.75\"\nto = \"A-on\"\ntime = \"1 min\"", "E0309", 1),
        ("[[change-over]]\nfrom = \"A-one\"\nto = \"A-one\"\ntime = \"1 min\"", "E0306", 1),
        (
            "[[change-over]]\nfrom = \"A-one\"\nto = \"C90x40-0.75\"\ntime = \"1 min\"\n\
             [[change-over]]\nfrom = \"A-one\"\nto = \"C90x40-0.75\"\ntime = \"2 min\"",
            "E0308",
            1,
        ),
        ("[[change-over]]\nfrom = \"A-one\"\nto = \"C90x40-0.75\"\ntime = \"25 h\"", "E0306", 1),
    ] {
        let shop = with(2, &[0, 1]);
        let line = shop.read("line.toml");
        shop.write("line.toml", format!("{line}\n{text}\n"));
        let run = shop.exits(1, &["check", "batch.toml"]);
        assert_eq!(run.found(code), times, "{text}: {}", run.err);
    }
    let shop = with(2, &[0, 1]);
    let set_up = "profile = \"A-one\"\ntime = \"10 min\"";
    shop.edit("line.toml", set_up, &format!("{set_up}\nwithout = [\"hole-13\"]"));
    shop.edit("batch.toml", "at-end", "set-up-now = \"B-two\"\nat-end");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert_eq!(run.found("E0309"), 2, "{}", run.err);
}
