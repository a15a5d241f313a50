//! Calibration from taped pieces, from the command line.

#![allow(clippy::float_arithmetic)]

use super::shop::{Run, Shop};
use std::fmt::Write;

const LENGTHS: [i64; 5] = [900, 1_700, 2_386, 3_500, 4_800];

/// A compiled shop of studs of many lengths.
fn compiled() -> Shop {
    let shop = Shop::new();
    let mut job = "job SS1 revision A\nprofile C90 = \"C90x40-0.75\"\n\
                   frame N1 wall \"wall\" profile C90 {\n"
        .to_string();
    for (i, length) in LENGTHS.iter().enumerate() {
        let _ = writeln!(
            job,
            "  member S{i} stud length {length} {{\n    lip-cut both ends\n    dimple on flanges, both \
             ends at 22\n    service-hole on web at 450, end - 300\n    lip-notch at 600 .. 648\n  }}"
        );
    }
    job.push_str("}\n");
    shop.write("job.members", job);
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    shop
}

/// What a tape reads on the pieces of `out`, worked out from the text of its program: the strip
/// comes out longer by `strip` parts in 10⁶, and the web punch stands `web` mm further upstream,
/// than the calibration says.
fn taped(shop: &Shop, strip: f64, web: f64) -> String {
    let mut text = "output = \"out\"\ndate = \"2026-11-26\"\nby = \"M. Okafor\"\n\
                    tape = { uncertainty = \"0.5 mm\", coverage = 2 }\n"
        .to_string();
    let program = shop.read("out/programs/small-shop-01.txt");
    let fields: Vec<Vec<&str>> = program.lines().map(|line| line.split(';').collect()).collect();
    let advance = |fields: &[&str]| fields[1].parse::<f64>().unwrap();
    let finished = |strip_mm: f64| strip_mm / (1.0 - 0.0002) * (1.0 + strip * 1e-6);
    let read = |mm: f64| format!("{:.1} mm", (mm * 2.0).round() / 2.0);
    let mut start = 0.0;
    for cut in fields.iter().filter(|f| f[0] == "cut" || f[0] == "trim") {
        let (from, to) = (start, advance(cut));
        start = to + 4.0;
        if cut[0] == "trim" {
            continue;
        }
        let length = finished(to - from);
        let _ = write!(text, "\n[[piece]]\nserial = {}\nlength = \"{}\"\n", cut[2], read(length));
        let mut feature = |kind: &str, which: &str, from: &str, at: f64| {
            let _ = write!(
                text,
                "\n[[piece.feature]]\nkind = \"{kind}\"\nwhich = \"{which}\"\n\
                 from = \"{from}\"\nat = \"{}\"\n",
                read(at)
            );
        };
        for (kind, tool, offset) in
            [("dimple", "dimple-10", 3_500.0), ("service-hole", "service-60", 4_200.3 + web)]
        {
            let marks: Vec<f64> = fields
                .iter()
                .filter(|f| f[0] == "stop" && f[2].contains(tool))
                .map(|f| advance(f) + offset)
                .filter(|u| *u > from && *u < to)
                .map(|u| finished(u - from))
                .collect();
            feature(kind, "first", "start", marks[0]);
            feature(kind, "last", "end", length - marks[marks.len() - 1]);
        }
        feature("lip-cut", "first", "start", 45.0);
    }
    text
}

fn first_off(shop: &Shop, code: i32, text: &str) -> Run {
    shop.write("taped.toml", text);
    shop.exits(code, &["first-off", "taped.toml"])
}

#[test]
fn proposes_writes_once_and_compiles_again() {
    // E0962
    let shop = compiled();
    shop.write("taped.toml", taped(&shop, -400.0, 1.0));
    let run = shop.exits(0, &["first-off", "taped.toml", "--out", "new.toml"]);
    insta::assert_snapshot!(format!("{}{}\n{}", run.out, run.err, shop.read("new.toml")));
    // The same again finds its own words; another proposal does not replace them.
    let run = shop.exits(0, &["first-off", "taped.toml", "--out", "new.toml"]);
    assert!(run.err.contains("holds this proposal already"), "{}", run.err);
    let stands = shop.read("new.toml");
    shop.write("taped.toml", taped(&shop, -400.0, 1.5));
    let run = shop.exits(2, &["first-off", "taped.toml", "--out", "new.toml"]);
    run.finds("E0962");
    assert!(run.out.is_empty(), "{}", run.out);
    assert_eq!(shop.read("new.toml"), stands);
    shop.exits(2, &["first-off", "taped.toml", "--out", "nowhere/new.toml"]).finds("E0906");
    assert!(!shop.names("").iter().any(|name| name.starts_with(".first-off")));
    // What was proposed is a calibration, and the line can work with it.
    shop.edit("batch.toml", "calibration.toml", "new.toml");
    shop.exits(0, &["compile", "batch.toml", "--out", "again"]);
    let sheet = shop.read("again/run-sheet.md");
    assert!(sheet.contains("calibration of 2026-11-26"), "{sheet}");
}

#[test]
fn nothing_to_change_writes_nothing() {
    let shop = compiled();
    shop.write("taped.toml", taped(&shop, 0.0, 0.0));
    let run = shop.exits(0, &["first-off", "taped.toml", "--out", "new.toml"]);
    assert!(run.out.contains("Nothing changes"), "{}", run.out);
    assert!(run.err.contains("new.toml was not written"), "{}", run.err);
    assert!(!shop.path("new.toml").exists());
}

#[test]
fn pieces_and_features_nobody_made_are_named() {
    // E0951, E0953, E0954
    let shop = compiled();
    let good = taped(&shop, 0.0, 0.0);
    first_off(&shop, 1, &good.replacen("serial = 3", "serial = 9", 1)).finds("E0951");
    let named = |mark: &str| format!("frame = \"N1\"\nmark = \"{mark}\"");
    first_off(&shop, 0, &good.replacen("serial = 3", &named("S2"), 1));
    first_off(&shop, 1, &good.replacen("serial = 3", &named("S9"), 1)).finds("E0951");
    let run = first_off(&shop, 1, &good.replacen("which = \"last\"", "drawn = \"23.5 mm\"", 1));
    assert!(run.finds("E0953").err.contains("drawn at 878 mm, 22 mm"), "{}", run.err);
    let run = first_off(&shop, 1, &good.replacen("\"dimple\"", "\"lip-notch\"", 1));
    assert!(run.finds("E0952").err.contains("near-edge"), "{}", run.err);
    let run = first_off(&shop, 1, &good.replacen("\"dimple\"", "\"dimpel\"", 1));
    assert!(run.finds("E0309").err.contains("did you mean `dimple`?"), "{}", run.err);
    let run = first_off(&shop, 1, &good.replacen("\"dimple\"", "\"hole\"", 1));
    assert!(run.finds("E0953").err.contains("no `hole` is drawn on it"), "{}", run.err);
    // Two of a frame bear one mark.
    shop.edit("job.members", "member S1 stud length", "member S1 stud quantity 2 length");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let run = first_off(&shop, 1, &good.replacen("serial = 2", &named("S1"), 1));
    assert!(run.finds("E0954").err.contains("write its serial: one of"), "{}", run.err);
}

#[test]
fn unclear_readings_are_told_all_at_once() {
    // E0952
    let shop = compiled();
    let text = "output = \"out\"\ndate = \"2026-02-30\"\nby = \" \"\n\
                tape = { uncertainty = \"50 mm\", coverage = 9 }\n\
                [[piece]]\nserial = 1\nframe = \"N1\"\nlength = \"900 mm\"\n\
                [[piece]]\nlength = \"900 mm\"\n\
                [[piece]]\nserial = 2\n\
                [[piece]]\nserial = -2\n\
                [[piece.feature]]\nkind = \"dimple\"\nfrom = \"start\"\nat = \"22 mm\"\n\
                [[piece.feature]]\nkind = \"dimple\"\nfrom = \"start\"\nat = \"-22 mm\"\n\
                which = \"first\"\ndrawn = \"22 mm\"\nto = \"middle\"\n";
    let run = first_off(&shop, 1, text);
    assert_eq!(run.found("E0307"), 1, "{}", run.err);
    let run = first_off(&shop, 1, &text.replace("to = \"middle\"", ""));
    assert_eq!((run.found("E0952"), run.found("E0306")), (6, 4), "{}", run.err);
    assert_eq!(run.found("E0318"), 1, "{}", run.err);
    let many = "[[piece]]\nserial = 1\nlength = \"900 mm\"\n".repeat(2_001);
    let head = "output = \"out\"\ndate = \"2026-11-26\"\nby = \"M. Okafor\"\n\
                tape = { uncertainty = \"0.5 mm\", coverage = 2 }\n";
    assert_eq!(first_off(&shop, 1, &format!("{head}{many}")).found("E0306"), 2);
    let swapped = first_off(&shop, 1, "[[coil]]\nid = \"K1\"\n");
    assert!(swapped.finds("E0919").err.contains("taped pieces"), "{}", swapped.err);
}

#[test]
fn dates_and_corrections_that_cannot_be_are_refused() {
    // E0960, E0961
    let shop = compiled();
    let good = taped(&shop, -400.0, 1.0);
    first_off(&shop, 1, &good.replace("2026-11-26", "2026-11-19")).finds("E0960");
    // A calibration at its limit, and a line that asks for more.
    shop.edit("calibration.toml", "\"-0.02 %\"", "\"4.99 %\"");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    first_off(&shop, 1, &good).finds("E0961");
}

#[test]
fn a_folder_that_was_changed_or_is_none_is_refused() {
    let shop = compiled();
    let good = taped(&shop, -400.0, 1.0);
    shop.edit("out/run-sheet.md", "S1", "S2");
    first_off(&shop, 1, &good).finds("E0912");
    first_off(&shop, 2, &good.replace("\"out\"", "\"batch.toml\"")).finds("E0911");
    first_off(&shop, 1, &good.replace("\"out\"", "\"yesterday\"")).finds("E0901");
    shop.exits(2, &["first-off", "nowhere.toml"]).finds("E0901");
}

/// Two stations punch side by side: a tape alone does not say which mark it was.
#[test]
fn marks_side_by_side_are_told_apart_by_where_they_are_across() {
    // E0954
    let shop = Shop::new();
    // The demo, on a line without the tool that makes both marks in one stroke.
    shop.copy_from("fixtures/boatshed", "demo");
    let line = shop.read("demo/shop/line.toml");
    let (before, pair) = line.split_once("# Both sides of the web in one stroke.").unwrap();
    let (_, after) = pair.split_once("[[station]]").unwrap();
    shop.write("demo/shop/line.toml", format!("{before}[[station]]{after}"));
    shop.exits(0, &["compile", "demo/batch.toml", "--out", "out", "--effort", "quick"]);
    let text = "output = \"out\"\ndate = \"2026-11-26\"\nby = \"M. Okafor\"\n\
                tape = { uncertainty = \"0.5 mm\", coverage = 2 }\n\
                [[piece]]\nframe = \"N2\"\nmark = \"K1\"\n\
                [[piece.feature]]\nkind = \"pilot\"\nwhich = \"first\"\nfrom = \"start\"\n\
                at = \"135 mm\"\n";
    let run = first_off(&shop, 1, text);
    assert!(
        run.finds("E0954").err.contains("`pilot-left` on the web, 25 mm across"),
        "{}",
        run.err
    );
    let run = first_off(&shop, 1, &text.replace("which", "across = \"-25 mm\"\nwhich"));
    assert!(run.finds("E0955").err.contains("station `pilot-right`"), "{}", run.err);
}
