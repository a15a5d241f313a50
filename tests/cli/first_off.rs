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
    let (mut start, mut pieces) = (0.0, 0);
    for cut in fields.iter().filter(|f| f[0] == "cut" || f[0] == "trim") {
        let (from, to) = (start, advance(cut));
        start = to + 4.0;
        if cut[0] == "trim" || pieces == LENGTHS.len() {
            continue;
        }
        pieces += 1;
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

/// Two walls, of which the first five pieces off are taped.
pub fn two_walls() -> Shop {
    let shop = Shop::new();
    let mut job = "job SS1 revision A\nprofile C90 = \"C90x40-0.75\"\n".to_string();
    for frame in ["N1", "N2", "N3"] {
        let _ = writeln!(job, "frame {frame} wall \"wall\" profile C90 {{");
        for (i, length) in LENGTHS.iter().enumerate() {
            let _ = writeln!(
                job,
                "  member S{i} stud length {length} {{\n    lip-cut both ends\n    dimple on flanges, \
                 both ends at 22\n    service-hole on web at 450, end - 300\n    lip-notch at 600 .. \
                 648\n  }}"
            );
        }
        job.push_str("}\n");
    }
    shop.write("job.members", job);
    let more = "\n[[coil]]\nid = \"K7\"\nstrip-width = \"187 mm\"\nthickness = \"0.75 mm\"\n\
                grade = \"G550\"\ncoating = \"Z275\"\nlength = \"90 m\"\nuncertainty = \"1 %\"\n";
    let stock = shop.read("stock.toml");
    shop.write("stock.toml", format!("{stock}{more}"));
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    shop
}

pub const REST: [&str; 4] = ["first-off", "taped.toml", "--rest", "rest"];

/// The readings, with what is said of where the line stands.
pub fn standing(shop: &Shop, strip: f64, says: &str) {
    shop.write("taped.toml", format!("{}\n[stands]\n{says}\n", taped(shop, strip, 1.0)));
}

/// Every piece of the batch, by serial and name: those done, and those of the rest's programs.
pub fn pieces(shop: &Shop, rest: &str) -> Vec<(u64, String)> {
    let mut pieces = Vec::new();
    let done: toml::Table = shop.read(format!("{rest}/inputs/standing/done.toml")).parse().unwrap();
    for piece in done["piece"].as_array().unwrap() {
        let name =
            format!("{} {}", piece["frame"].as_str().unwrap(), piece["mark"].as_str().unwrap());
        pieces.push((piece["serial"].as_integer().unwrap() as u64, name));
    }
    for line in shop.read(format!("{rest}/marks.csv")).lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        pieces.push((cells[1].parse().unwrap(), format!("{} {}", cells[4], cells[6])));
    }
    pieces
}

pub fn each_once(pieces: &[(u64, String)]) {
    let serials: std::collections::BTreeSet<u64> = pieces.iter().map(|(s, _)| *s).collect();
    let mut names: Vec<&str> = pieces.iter().map(|(_, name)| &**name).collect();
    names.sort_unstable();
    let wanted: Vec<String> =
        ["N1", "N2", "N3"].iter().flat_map(|f| (0..5).map(move |i| format!("{f} S{i}"))).collect();
    assert_eq!((names, serials.len()), (wanted.iter().map(|n| &**n).collect(), 15), "{pieces:?}");
}

#[test]
fn what_is_not_begun_is_compiled_with_the_new_calibration() {
    // E0920
    let shop = two_walls();
    standing(&shop, -400.0, "after = 5\nposition = \"kept\"\nagain = [3]");
    let run = shop.exits(0, &["first-off", "taped.toml", "--out", "new.toml", "--rest", "rest"]);
    assert!(run.err.contains("Wrote new.toml.") && run.err.contains("Wrote rest:"), "{}", run.err);
    let verified = shop.exits(0, &["verify", "rest"]);
    assert!(verified.out.contains("every piece of the batch is made once"), "{}", verified.out);
    let all = pieces(&shop, "rest");
    each_once(&all);
    // Of those that dropped one is made again; new ones count on from the old.
    let old = all.iter().filter(|(serial, _)| *serial <= 15).count();
    assert!(all.iter().all(|(serial, _)| *serial != 3) && (5..15).contains(&old), "{all:?}");
    assert_eq!(shop.read("rest/inputs/standing/calibration.toml"), shop.read("new.toml"));
    // The old program's bytes are what was run, and a program of its own finishes what it began.
    let was = shop.read("out/programs/small-shop-01.txt");
    assert_eq!(shop.read("rest/before/programs/small-shop-01.txt"), was);
    let finish = shop.read("rest/programs/small-shop-2-00.txt");
    assert!(finish.lines().count() < was.lines().count() / 2, "{finish}");
    let sheet = shop.read("rest/run-sheet.md");
    let (_, section) = sheet.split_once("## First: where the line stands").unwrap();
    let (section, _) = section.split_once("## Before you start").unwrap();
    insta::assert_snapshot!(format!("{section}{}", shop.read("rest/inputs/standing/stock.toml")));
    // Nothing of it can be changed: neither what finishes, nor what counts as done, nor the coil.
    let swap = |file: &str, from: &str, to: &str| {
        shop.edit(file, from, to);
        let run = shop.exits(1, &["verify", "rest"]);
        shop.edit(file, to, from);
        run
    };
    let strokes = finish.lines().find(|line| line.starts_with("stop;")).unwrap();
    let further = strokes.replacen("stop;", "stop;1", 1);
    let run = swap("rest/programs/small-shop-2-00.txt", strokes, &further);
    assert!(run.err.contains("error[E08") || run.err.contains("error[E07"), "{}", run.err);
    let done = "rest/inputs/standing/done.toml";
    swap(done, "serial = 4\n", "serial = 14\n").finds("E0920");
    swap(done, "last-serial = 15", "last-serial = 14").finds("E0920");
    swap("rest/inputs/standing/stock.toml", "threaded = true", "threaded = false").finds("E0920");
    shop.exits(0, &["verify", "rest"]);
    // The rest can be stopped in its turn.
    let third = shop.read("taped.toml").replace("\"out\"", "\"rest\"");
    let (head, _) = third.split_once("[[piece]]").unwrap();
    let program = shop.read("rest/programs/small-shop-2-01.txt");
    let mut text = head.replace("2026-11-26", "2026-11-27");
    for line in program.lines().filter(|line| line.starts_with("cut;")).take(4) {
        let fields: Vec<&str> = line.split(';').collect();
        let serial: u64 = fields[2].parse().unwrap();
        let name = &all.iter().find(|(s, _)| *s == serial).unwrap().1;
        let length = LENGTHS[name.chars().last().unwrap() as usize - '0' as usize] as f64;
        let read = (length * 1.003 * 2.0).round() / 2.0;
        let _ = write!(text, "[[piece]]\nserial = {serial}\nlength = \"{read} mm\"\n");
    }
    let last = program.lines().filter(|l| l.starts_with("cut;")).nth(3).unwrap();
    let last = last.split(';').nth(2).unwrap();
    text = format!("{text}\n[stands]\nafter = {last}\nposition = \"kept\"\nbegun = \"scrap\"\n");
    shop.write("third.toml", text);
    shop.exits(0, &["first-off", "third.toml", "--rest", "third"]);
    let verified = shop.exits(0, &["verify", "third"]);
    assert!(verified.out.starts_with("third: batch small-shop-3"), "{}", verified.out);
    each_once(&pieces(&shop, "third"));
}

/// A run that simply stopped goes on with the calibration it was run with.
#[test]
fn the_rest_needs_no_readings() {
    let shop = two_walls();
    let head = "output = \"out\"\ndate = \"2026-11-26\"\nby = \"M. Okafor\"\n";
    let stands = "\n[stands]\nafter = 5\nposition = \"kept\"\n";
    shop.write("taped.toml", format!("{head}{stands}"));
    let run = shop.exits(0, &["first-off", "taped.toml", "--out", "new.toml", "--rest", "rest"]);
    assert!(run.out.contains("Nothing was taped on out: its calibration, of "), "{}", run.out);
    for said in [
        "new.toml was not written: nothing was taped.",
        "goes on with the calibration of",
        "Wrote rest:",
    ] {
        assert!(run.err.contains(said), "{said}: {}", run.err);
    }
    assert!(!shop.path("new.toml").exists());
    let verified = shop.exits(0, &["verify", "rest"]);
    assert!(verified.out.contains("every piece of the batch is made once"), "{}", verified.out);
    each_once(&pieces(&shop, "rest"));
    let of = |folder: &str| shop.read(format!("{folder}/inputs/calibration.toml"));
    assert_eq!(of("rest"), of("out"));
    // Readings that change nothing are no reason against it.
    let same = taped(&shop, 0.0, 0.0);
    shop.write("taped.toml", format!("{same}{stands}"));
    let run = shop.exits(0, &["first-off", "taped.toml", "--rest", "checked"]);
    assert!(
        run.out.contains("Nothing changes") && run.err.contains("Wrote checked:"),
        "{}",
        run.err
    );
    assert_eq!(shop.files("checked/programs"), shop.files("rest/programs"));
    // Looked at only: it says what was not done.
    let run = shop.exits(0, &["first-off", "taped.toml"]);
    assert!(run.err.contains("The rest was not compiled: --rest DIR does."), "{}", run.err);
    // Neither readings nor where it stands; readings with nothing said of the tape; readings
    // that propose nothing.
    shop.write("taped.toml", head);
    let run = shop.exits(1, &REST);
    run.finds("E0952");
    assert!(run.err.contains("add [stands]"), "{}", run.err);
    let one = "[[piece]]\nserial = 1\nlength = \"2396 mm\"\n";
    shop.write("taped.toml", format!("{head}{one}{stands}"));
    let run = shop.exits(1, &REST);
    run.finds("E0952");
    assert!(run.err.contains("add `tape = "), "{}", run.err);
    let tape = "tape = { uncertainty = \"0.5 mm\", coverage = 2 }\n";
    shop.write("taped.toml", format!("{head}{tape}{one}{stands}"));
    let run = shop.exits(1, &["first-off", "taped.toml", "--rest", "never"]);
    assert!(run.err.contains("leave the readings ([[piece]]) out"), "{}", run.err);
    assert!(!shop.path("never").exists());
}

/// The demo as its README tells it.
#[test]
fn the_demo_is_stopped_and_gone_on_with() {
    let shop = Shop::new();
    shop.copy_from("fixtures/boatshed", "demo");
    shop.exits(0, &["compile", "demo/batch.toml", "--out", "out", "--papers"]);
    shop.edit("demo/first-off.toml", "../../target/boatshed", "../out");
    shop.exits(0, &["first-off", "demo/first-off.toml", "--rest", "rest"]);
    // The rest has the papers that its folder had.
    assert_eq!(shop.names("rest/papers"), shop.names("out/papers"));
    let page = shop.read("rest/papers/run-sheet.html");
    assert!(page.contains("First: where the line stands"), "{page}");
    assert!(shop.read("rest/papers/schedule.html").contains(" made before"));
    let verified = shop.exits(0, &["verify", "rest"]);
    assert!(verified.out.contains("every piece of the batch is made once"), "{}", verified.out);
    let named = |folder: &str| -> Vec<String> {
        let marks = shop.read(format!("{folder}/marks.csv"));
        let name = |line: &str| line.split(',').skip(3).take(4).collect::<Vec<_>>().join(" ");
        marks.lines().skip(1).map(name).collect()
    };
    let mut wanted = named("out");
    let done: toml::Table = shop.read("rest/inputs/standing/done.toml").parse().unwrap();
    let done = done["piece"].as_array().unwrap();
    let mut made = named("rest");
    assert!(done.len() > 30 && made.len() > 30, "{} {}", done.len(), made.len());
    made.extend(done.iter().map(|piece| {
        let text = |key: &str| piece[key].as_str().unwrap().to_string();
        let copy = piece["copy"].as_integer().unwrap();
        [text("job"), text("frame"), copy.to_string(), text("mark")].join(" ")
    }));
    wanted.sort_unstable();
    made.sort_unstable();
    assert_eq!(made, wanted);
}

#[test]
fn a_lost_position_scraps_what_is_begun() {
    let shop = two_walls();
    standing(&shop, -400.0, "after = 5");
    shop.exits(0, &REST);
    shop.exits(0, &["verify", "rest"]);
    each_once(&pieces(&shop, "rest"));
    let zone = |shop: &Shop| {
        let stock: toml::Table = shop.read("rest/inputs/standing/stock.toml").parse().unwrap();
        let coils = stock["coil"].as_array().unwrap();
        let coil = coils.iter().find(|coil| coil.get("threaded").is_some()).unwrap();
        let mm =
            |v: &toml::Value| v.as_str().unwrap().trim_end_matches(" mm").parse::<f64>().unwrap();
        assert_eq!(mm(&coil["defects"][0]["from"]), 0.0);
        (mm(&coil["defects"][0]["to"]), mm(&coil["length"]))
    };
    // The furthest station stands 4.2 m from the shear.
    let (marked, left) = zone(&shop);
    assert!((3_000.0..10_000.0).contains(&marked), "{marked}");
    let sheet = shop.read("rest/run-sheet.md");
    assert!(sheet.contains("Position lost: cut the strip by hand, once"), "{sheet}");
    assert!(!shop.path("rest/programs/small-shop-2-00.txt").exists());
    // Kept and scrapped: less of the strip is in doubt.
    standing(&shop, -400.0, "after = 5\nposition = \"kept\"\nbegun = \"scrap\"");
    shop.exits(0, &REST);
    shop.exits(0, &["verify", "rest"]);
    let (surely, more) = zone(&shop);
    assert!(surely <= marked && more >= left, "{surely} {marked}, {more} {left}");
    each_once(&pieces(&shop, "rest"));
    // What was measured counts where it is less.
    standing(&shop, -400.0, &format!("after = 5\nleft = \"{} mm\"", left - 1_500.0));
    shop.exits(0, &REST);
    assert_eq!(zone(&shop).1, left - 1_500.0);
}

/// Bars do not stay in the line: what is begun is finished on its bar, or the bar is taken out.
#[test]
fn a_bar_is_finished_or_taken_out() {
    let shop = two_walls();
    let bar = "[bar]\nhead = \"10 mm\"\ntail = \"40 mm\"\nchange = \"90 s\"\n\n[feed]";
    shop.edit("line.toml", "[feed]", bar);
    shop.write(
        "stock.toml",
        "# Long ones.\n[[bar]]\nid = \"B7\"\nlength = \"12000 mm\"\ncount = 12\n\
         strip-width = \"187 mm\"\nthickness = \"0.75 mm\"\ngrade = \"G550\"\n\
         coating = \"Z275\"\n",
    );
    shop.edit("batch.toml", "bundling = \"frame\"", "bundling = \"none\"");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let marks = shop.read("out/marks.csv");
    let on_first = marks.lines().skip(1).filter(|line| line.contains(",B7.1,")).count();
    assert!((2..6).contains(&on_first), "{marks}");
    let count = |shop: &Shop| -> i64 {
        let stock: toml::Table = shop.read("rest/inputs/standing/stock.toml").parse().unwrap();
        stock["bar"][0]["count"].as_integer().unwrap()
    };
    // All pieces of the first bar are taped at most: the line stands on the second.
    let mut text = taped_on(&shop, on_first);
    let after = on_first + 1;
    text.push_str(&format!("\n[stands]\nafter = {after}\nposition = \"kept\"\n"));
    shop.write("taped.toml", &text);
    shop.exits(0, &REST);
    let run = shop.exits(0, &["verify", "rest"]);
    assert!(run.out.contains("every piece of the batch is made once"), "{}", run.out);
    each_once(&pieces(&shop, "rest"));
    assert_eq!(count(&shop), 10);
    let finished = pieces(&shop, "rest").iter().filter(|(serial, _)| *serial <= 15).count();
    shop.write("taped.toml", text.replace("\"kept\"", "\"lost\""));
    shop.exits(0, &REST);
    shop.exits(0, &["verify", "rest"]);
    each_once(&pieces(&shop, "rest"));
    assert_eq!(count(&shop), 10);
    let cut = pieces(&shop, "rest").iter().filter(|(serial, _)| *serial <= 15).count();
    assert_eq!(cut, after);
    assert!(finished > cut, "{finished} {cut}");
}

/// The pieces of the first program, taped on a strip that comes out longer.
fn taped_on(shop: &Shop, pieces: usize) -> String {
    let text = taped(shop, -400.0, 1.0);
    let mut parts = text.split("\n[[piece]]");
    let head = parts.next().unwrap().to_string();
    parts.take(pieces).fold(head, |text, piece| format!("{text}\n[[piece]]{piece}"))
}

#[test]
fn where_the_line_stands_has_to_be_clear() {
    // E0964, E0965, E0966
    let shop = two_walls();
    shop.write("taped.toml", taped(&shop, -400.0, 1.0));
    shop.exits(1, &REST).finds("E0964");
    for (says, code) in [
        ("after = 5\nbegun = \"finish\"", "E0964"),
        ("after = 5\nposition = \"kept\"\nleft = \"40 m\"", "E0964"),
        ("after = 5\nposition = \"known\"", "E0307"),
        ("after = 0", "E0306"),
        ("after = 16", "E0965"),
        // Taped, and not dropped.
        ("after = 4", "E0965"),
        ("after = 5\nagain = [6]", "E0965"),
        ("after = 15\nposition = \"kept\"", "E0966"),
    ] {
        standing(&shop, -400.0, says);
        let run = shop.exits(1, &REST);
        assert!(run.found(code) > 0, "{says}: {}", run.err);
        assert!(!shop.path("rest").exists());
    }
    // Over the folder that was run it is not written.
    standing(&shop, -400.0, "after = 5");
    shop.exits(2, &["first-off", "taped.toml", "--rest", "out"]).finds("E0909");
}
