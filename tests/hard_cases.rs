//! Corners of the shop that were once planned wrongly: each is compiled as a user compiles it,
//! proved again by `verify`, and looked at where the proof does not look.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, missing_docs)]

#[path = "cli/shop.rs"]
#[allow(dead_code, reason = "shared with the tests of the command line")]
mod shop;

use shop::{Run, Shop};
use std::fmt::Write as _;

const COMPILE: [&str; 4] = ["compile", "batch.toml", "--out", "out"];

fn with(members: &str) -> Shop {
    let shop = Shop::new();
    shop.write("job.members", job("SS1", members));
    shop
}

fn job(name: &str, members: &str) -> String {
    format!(
        "job {name} revision A\nprofile C90 = \"C90x40-0.75\"\n\
         frame N1 wall profile C90 {{\n{members}\n}}\n"
    )
}

/// Coils of the base shop's strip: identity and further lines.
fn stock(coils: &[(&str, &str)]) -> String {
    coils.iter().fold(String::new(), |mut stock, (id, more)| {
        let _ = writeln!(
            stock,
            "[[coil]]\nid = \"{id}\"\nstrip-width = \"187 mm\"\nthickness = \"0.75 mm\"\n\
             grade = \"G550\"\ncoating = \"Z275\"\nuncertainty = \"0 %\"\n{more}\n"
        );
        stock
    })
}

/// Compiles, and has `verify` prove it once more.
fn made(shop: &Shop) -> Run {
    let run = shop.exits(0, &COMPILE);
    shop.exits(0, &["verify", "out"]);
    run
}

fn refused(shop: &Shop, code: &str) {
    shop.exits(1, &COMPILE).finds(code);
}

/// The cuts of a program: where, and the serial of the piece that drops (0 for scrap).
fn cuts(shop: &Shop, program: usize) -> Vec<(f64, u32)> {
    let text = shop.read(format!("out/programs/small-shop-{program:02}.txt"));
    text.lines()
        .filter_map(|line| {
            let mut fields = line.split(';');
            let what = fields.next()?;
            let at = fields.next()?.parse().ok()?;
            match what {
                "cut" => Some((at, fields.next()?.parse().ok()?)),
                "trim" => Some((at, 0)),
                _ => None,
            }
        })
        .collect()
}

#[test]
fn a_defect_at_the_edge_of_a_threaded_coil_leaves_scrap_that_drops() {
    for to in ["2 mm", "20 mm", "29 mm", "31 mm"] {
        let shop = with("member A1 stud length 1000");
        let more = format!(
            "length = \"50 m\"\nthreaded = true\ndefects = [{{ from = \"0 mm\", to = \"{to}\" }}]"
        );
        shop.write("stock.toml", stock(&[("K1", &more)]));
        made(&shop);
        let cuts = cuts(&shop, 1);
        assert_eq!(cuts.len(), 2, "{to}: {cuts:?}");
        // The shear drops 30 mm or more.
        assert!(cuts[0].1 == 0 && cuts[0].0 >= 30.0, "{to}: {cuts:?}");
        assert!((cuts[1].0 - cuts[0].0 - 1004.0).abs() < 0.4, "{to}: {cuts:?}");
    }
}

#[test]
fn the_coil_in_the_line_comes_first_or_off() {
    let shop = with("member A1..A10 stud length 5000");
    shop.write("other.members", job("SS2", "member B1 stud length 2000"));
    shop.edit("batch.toml", "[\"job.members\"]", "[\"job.members\", \"other.members\"]");
    let threaded = "length = \"3.3 m\"\nthreaded = true";
    let coils = [("T", threaded), ("K1", "length = \"51.8 m\""), ("K2", "length = \"51.8 m\"")];
    shop.write("stock.toml", stock(&coils));
    let run = made(&shop);
    // Job SS1 comes first and does not fit what is in the line: it has to come off.
    assert_eq!(run.found("W0605"), 1, "{}", run.err);
    let order: Vec<String> = (1..=2)
        .map(|n| shop.read(format!("out/programs/small-shop-{n:02}.txt")))
        .map(|text| text.lines().next().unwrap().split(';').nth(5).unwrap().to_string())
        .collect();
    assert_eq!(order, ["K1", "K2"]);
}

#[test]
fn a_slug_that_falls_off_the_coil_s_end_is_no_miracle() {
    let shop = with("member A1 stud length 1000");
    for (from, to) in [("tail = \"1.2 m\"", "tail = \"0 mm\""), ("0.5 m", "0 mm")] {
        shop.edit("line.toml", from, to);
    }
    // 10 mm of head, 999.8 mm of strip for the member; the slug behind it is air.
    shop.write("stock.toml", stock(&[("K1", "length = \"1009.8 mm\"")]));
    let run = made(&shop);
    assert!(run.err.contains("no plan can use less strip"), "{run:?}");
}

#[test]
fn nothing_struck_stays_on_a_coil_left_in_the_line() {
    let shop = with("member A1..A3 stud length 1000 {\nlip-cut both ends\n}");
    shop.edit("batch.toml", "\"unload\"", "\"stay-threaded\"");
    shop.write("stock.toml", stock(&[("K1", "length = \"50 m\"")]));
    made(&shop);
    let cuts = cuts(&shop, 1);
    // The straddling tool reaches 45 mm past the last cut: one more cut takes that off.
    let (last, before) = (cuts[cuts.len() - 1], cuts[cuts.len() - 2]);
    assert!(last.1 == 0 && before.1 == 3, "{cuts:?}");
    assert!(last.0 - before.0 >= 49.0, "{cuts:?}");
}

#[test]
fn a_tool_that_needs_more_than_a_member_between_its_strokes() {
    // At both ends of one member: refused.
    let shop = with("member A1..A4 stud length 1000 {\nlip-cut both ends\n}");
    shop.edit("line.toml", "refire = \"100 mm\"", "refire = \"1.2 m\"");
    refused(&shop, "E0513");
    // At one end of each, and over members that do not need it: scrap is left between.
    for member in ["lip-cut start", "lip-cut end"] {
        let shop = with(&format!(
            "member A1..A2 stud length 400 {{\n{member}\n}}\nmember B1..B2 stud length 300\n\
             member A3..A4 stud length 400 {{\n{member}\n}}"
        ));
        shop.edit("line.toml", "refire = \"100 mm\"", "refire = \"1.2 m\"");
        made(&shop);
    }
    // A punch that strikes once in five metres.
    let shop = with("member A1..A4 stud length 2386 {\nhole 12 on web at 300\n}");
    shop.edit(
        "line.toml",
        "refire = \"20 mm\"\ntime = \"0.2 s\"",
        "refire = \"5 m\"\ntime = \"0.2 s\"",
    );
    shop.write("stock.toml", stock(&[("K1", "length = \"90 m\"")]));
    made(&shop);
    let starts: Vec<f64> = cuts(&shop, 1).iter().filter(|c| c.1 > 0).map(|c| c.0).collect();
    assert!(starts.windows(2).all(|pair| pair[1] - pair[0] >= 5000.0), "{starts:?}");
}

#[test]
fn where_the_controller_stretches_the_coil_is_counted_its_way() {
    // 0.5 % more strip than drawn: a defect 20 m up the strip is 100 mm earlier in the program.
    let shop = with("member A1..A10 stud length 3000");
    shop.edit("calibration.toml", "\"coilwright\"", "\"controller\"");
    shop.edit("calibration.toml", "\"-0.02 %\"", "\"0.5 %\"");
    let defect = "length = \"40 m\"\ndefects = [{ from = \"20 m\", to = \"20.1 m\" }]";
    shop.write("stock.toml", stock(&[("K1", defect)]));
    made(&shop);
    let stretch = |at: f64| at * 1.005;
    let mut from = 0.0;
    for (at, serial) in cuts(&shop, 1) {
        let (begins, ends) = (stretch(from), stretch(at));
        assert!(serial == 0 || ends <= 20_000.0 || begins >= 20_100.0, "{begins} {ends}");
        from = at + 4.0;
    }
    // What is left on the coil is told in strip.
    let gone = shop.exits(0, &["preview", "batch.toml", "--format", "json"]).out;
    let json: serde_json::Value = serde_json::from_str(&gone).unwrap();
    let left = json["remnants"][0]["length_nm"].as_i64().unwrap();
    let used = json["total"]["account"]["used_nm"].as_i64().unwrap();
    let strip = 40_000_000_000 - left;
    assert!((strip - used * 1005 / 1000).abs() <= 2, "{strip} of strip, {used} counted");
}

#[test]
fn a_straddling_tool_and_a_notch_at_one_end_keep_off_each_other() {
    let members = "member S1 stud length 1000 {\nlip-cut end\n}\n\
                   member S2 stud length 1000 {\nlip-notch at 12 .. 60\n}";
    let shop = with(members);
    // Both orders put a clamp over a mark, unless scrap is left between or it is refused.
    let run = shop.run(&COMPILE);
    match run.code {
        Some(0) => {
            shop.exits(0, &["verify", "out"]);
        }
        Some(1) => assert!(run.err.contains("E0502") || run.err.contains("E0504"), "{}", run.err),
        _ => panic!("{run:?}"),
    }
}

#[test]
fn a_stamp_that_may_float_shares_stops_and_a_fixed_one_costs_its_own() {
    let stops = |stamp: &str| {
        let shop =
            with("member A1..A8 stud length 2400 {\nhole 12 on web at 300, 900, 1500, 2100\n}");
        shop.edit("line.toml", "most = 24", &format!("most = 24\n{stamp}"));
        made(&shop);
        let text = shop.read("out/programs/small-shop-01.txt");
        let mut at: Vec<&str> = Vec::new();
        for line in text.lines() {
            let mut fields = line.split(';');
            let (Some(what), Some(place)) = (fields.next(), fields.next()) else { continue };
            let stands =
                ["stop", "cut", "trim"].contains(&what) || what == "mark" && !stamp.is_empty();
            if stands && !at.contains(&place) {
                at.push(place);
            }
        }
        (at.len(), text.lines().filter(|line| line.starts_with("mark;")).count())
    };
    let (ink, marks) = stops("");
    assert_eq!(marks, 8);
    // Eight pieces, eight stamps at a place of their own; with slack each finds a stop that is there.
    assert_eq!(stops("stamp-time = \"0.3 s\""), (ink + 8, 8));
    assert_eq!(stops("stamp-time = \"0.3 s\"\nstamp-slack = \"400 mm\""), (ink, 8));
}

#[test]
fn a_notch_bitten_off_makes_the_same_member_as_one_stroke() {
    let notch =
        "member A1..A3 stud length 2400 {\nlip-notch at 500 .. 620\nhole 12 on web at 300, 1200\n}";
    // One stroke of a tool of its length, or four of 40: both are proved right.
    for tool in
        ["how = \"point\"", "how = \"nibble\"\nbite-overlap = \"2 mm\"\nleast-bite = \"5 mm\""]
    {
        let shop = with(notch);
        let (length, footprint) =
            if tool.contains("nibble") { ("40 mm", "35 mm") } else { ("120 mm", "70 mm") };
        shop.edit("line.toml", "length = \"48 mm\"", &format!("length = \"{length}\""));
        shop.edit(
            "line.toml",
            "how = \"point\"\nfootprint = \"35 mm\"\nrefire = \"20 mm\"",
            &format!("{tool}\nfootprint = \"{footprint}\"\nrefire = \"0 mm\""),
        );
        made(&shop);
        let text = shop.read("out/programs/small-shop-01.txt");
        let strokes = text.matches("notch-48").count();
        // (120 − 2)/(40 − 2) = 3.1: four bites a member.
        assert_eq!(strokes, if tool.contains("nibble") { 12 } else { 3 }, "{text}");
    }
}

#[test]
fn members_that_may_be_turned_share_their_cuts() {
    let gaps = |turnable: &str| {
        let shop = with(&format!(
            "member A1..A6 stud length 1000 {{\n{turnable}\nlip-cut start\n\
             hole 12 on web at 300\ndimple on flanges at 500\n}}"
        ));
        made(&shop);
        let json = shop.exits(0, &["preview", "batch.toml", "--format", "json"]).out;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let sheet = shop.read("out/run-sheet.md");
        let turned = sheet.contains("end first");
        (json["total"]["account"]["head_at_gaps_nm"].as_i64().unwrap(), turned)
    };
    let (drawn, turned) = gaps("not turnable");
    assert!(drawn > 0 && !turned);
    // Turned, two starts meet at one cut, and one stroke shapes both.
    let (less, turned) = gaps("turnable");
    assert!(less * 2 <= drawn && turned, "{less} of {drawn}");
}

/// Frames in the order their pieces fall, over all programs.
fn frames_made(shop: &Shop) -> Vec<String> {
    let report: serde_json::Value = serde_json::from_str(&shop.read("out/report.json")).unwrap();
    let runs = report["runs"].as_array().unwrap();
    let pieces = runs.iter().flat_map(|run| run["pieces"].as_array().unwrap());
    pieces
        .map(|p| format!("{} {}", p["job"].as_str().unwrap(), p["frame"].as_str().unwrap()))
        .collect()
}

/// Most frames unfinished at any time.
fn most_open(frames: &[String]) -> usize {
    let open = |t: usize| {
        let mut begun: Vec<&String> =
            frames[..=t].iter().filter(|f| frames[t..].contains(f)).collect();
        begun.sort();
        begun.dedup();
        begun.len()
    };
    (0..frames.len()).map(open).max().unwrap()
}

#[test]
fn frames_are_left_open_only_as_far_as_the_batch_lets() {
    // Twelve frames of five studs of 2.1 to 3.2 m on coils of 24 m: one or two frames fit on each.
    let mut members = "job SS1 revision A\nprofile C90 = \"C90x40-0.75\"\n".to_string();
    for f in 0..12 {
        let length = 2_100 + 100 * f;
        let _ = writeln!(
            members,
            "frame N{f} wall profile C90 {{\nmember S1..S5 stud length {length}\n}}"
        );
    }
    let mut used = Vec::new();
    for bundling in ["\"frame\"", "{ open = 1 }", "{ open = 3 }", "\"none\""] {
        let shop = Shop::new();
        shop.write("job.members", &members);
        shop.edit("batch.toml", "bundling = \"frame\"", &format!("bundling = {bundling}"));
        let coils: Vec<(String, &str)> =
            (0..12).map(|i| (format!("K{i}"), "length = \"24 m\"")).collect();
        let coils: Vec<(&str, &str)> = coils.iter().map(|(id, more)| (&**id, *more)).collect();
        shop.write("stock.toml", stock(&coils));
        made(&shop);
        let most = most_open(&frames_made(&shop));
        match bundling {
            "\"frame\"" | "{ open = 1 }" => assert_eq!(most, 1),
            "{ open = 3 }" => assert!(most <= 3, "{most}"),
            _ => {}
        }
        let report: serde_json::Value =
            serde_json::from_str(&shop.read("out/report.json")).unwrap();
        used.push(report["coils"].as_array().unwrap().len());
    }
    // Whoever may leave more open gets no worse plan, be it one that leaves fewer open.
    assert!(used[1] < used[0] && used.is_sorted_by(|a, b| a >= b), "coils used: {used:?}");
}

#[test]
fn a_window_lets_a_job_begin_early_and_no_earlier() {
    let coils = [("K1", "length = \"12 m\""), ("K2", "length = \"40 m\"")];
    let mut first = Vec::new();
    for order in ["\"as-listed\"", "{ window = 0 }", "{ window = 1 }", "\"free\""] {
        let shop = with("member A1..A2 stud length 6000");
        shop.write("other.members", job("SS2", "member B1..B2 stud length 5900"));
        shop.write(
            "third.members",
            job("SS3", "member C1 stud length 5000\nmember C2 stud length 4990"),
        );
        let jobs = "[\"job.members\", \"other.members\", \"third.members\"]";
        shop.edit("batch.toml", "[\"job.members\"]", jobs);
        shop.edit("batch.toml", "order = \"as-listed\"", &format!("order = {order}"));
        shop.write("stock.toml", stock(&coils));
        made(&shop);
        let jobs: Vec<String> = frames_made(&shop).iter().map(|f| f[..3].to_string()).collect();
        // No job before those more places above it are done.
        let places = match order {
            "{ window = 1 }" => 1,
            "\"free\"" => 3,
            _ => 0,
        };
        let rank = |job: &String| job[2..].parse::<usize>().unwrap();
        for (at, job) in jobs.iter().enumerate() {
            assert!(jobs[at..].iter().all(|later| rank(later) + places >= rank(job)), "{jobs:?}");
        }
        first.push(jobs[0].clone());
    }
    assert_eq!(first[0], first[1]);
}

#[test]
fn windows_and_open_bundles_are_small_numbers() {
    for (from, to, code) in [
        ("order = \"as-listed\"", "order = { window = -1 }", "E0306"),
        ("order = \"as-listed\"", "order = 3", "E0304"),
        ("order = \"as-listed\"", "order = { windw = 1 }", "E0302"),
        ("bundling = \"frame\"", "bundling = { open = 0 }", "E0306"),
        ("bundling = \"frame\"", "bundling = { open = \"two\" }", "E0304"),
        ("bundling = \"frame\"", "bundling = \"frames\"", "E0307"),
    ] {
        let shop = Shop::new();
        shop.edit("batch.toml", from, to);
        let run = shop.exits(1, &["check", "batch.toml"]);
        assert_eq!(run.found(code), 1, "{to}: {}", run.err);
    }
}

#[test]
fn what_one_station_cannot_make_another_may() {
    // 12 mm from the end: the nearer tool clamps 15 mm and would stand over the cut.
    let shop = with("member A1..A2 stud length 1000 {\nhole 12 on web at 12, 500\n}");
    refused(&shop, "E0502");
    let line = shop.read("line.toml");
    let slim = "[[station]]\nname = \"slim-punch\"\noffset = \"4.5 m\"\nworks = \"flat\"\n\n\
        [[station.tool]]\nname = \"slim-12\"\nmakes = \"hole\"\nfaces = [\"web\"]\n\
        outline = \"circle\"\ndiameter = \"12 mm\"\nhow = \"point\"\nfootprint = \"8 mm\"\n\
        refire = \"20 mm\"\ntime = \"0.2 s\"\naccuracy = \"0.1 mm\"\n\n[[station]]";
    shop.write("line.toml", line.replacen("[[station]]", slim, 1));
    made(&shop);
    assert!(shop.read("out/programs/small-shop-01.txt").contains("slim-12"));
    // Where the nearer one will do, the other still saves a stop: they stand 300 mm apart.
    shop.edit("job.members", "at 12, 500", "at 300, 600");
    made(&shop);
    assert!(shop.read("out/programs/small-shop-01.txt").contains("slim-12"));
    // And where it saves nothing it stands still.
    shop.edit("job.members", "at 300, 600", "at 300");
    shop.edit(
        "line.toml",
        "refire = \"20 mm\"\ntime = \"0.2 s\"",
        "refire = \"20 mm\"\ntime = \"0.4 s\"",
    );
    made(&shop);
    assert!(!shop.read("out/programs/small-shop-01.txt").contains("slim-12"));
}
