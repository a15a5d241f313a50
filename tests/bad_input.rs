//! Hostile input from outside: the program is started as a user starts it, on a small shop in
//! which somebody has done his worst. Every run must end in time, in words, with exit code 1 or
//! 2 where something is wrong, and with nothing half-written; none may panic.
//!
//! What bad input it must survive, and where each is held:
//!
//! | | |
//! |---|---|
//! | truncated, binary, empty, 10 MB in one line, non-ASCII | `cli/bad_input.rs::every_file_survives_being_something_else`, each file of a shop in turn; `language/bad_input.rs` for the parser alone |
//! | deep nesting | the same, `cli/bad_members.rs`, `language/bad_input.rs::nesting_is_read_a_hundred_deep` |
//! | CRLF, BOM, tabs | `cli/bad_input.rs::line_ends_marks_and_tabs_make_no_difference` |
//! | non-ASCII names | here: `file_names_with_anything_in_them`, `marks_with_anything_in_them` |
//! | numbers of 40 digits, division by zero, negative lengths | `cli/bad_members.rs::members_that_cannot_be_are_refused_in_time`; in the shop's files, here: `figures_of_forty_digits_and_below_nought_in_every_file` |
//! | recipes that call themselves or explode | `cli/bad_members.rs`, `resolve/bad_input.rs` |
//! | include cycles | `cli/bad_members.rs::includes_that_meet_themselves_or_lead_nowhere` |
//! | missing files, folders for files | `cli/bad_input.rs`; here: `what_is_no_file_is_not_waited_for` |
//! | unwritable output, foreign folder at the output | `cli/output.rs`; here: `outputs_nobody_should_ask_for` |
//! | a stock without coils, a line whose stations collide | `cli/bad_input.rs::a_stock_without_coils_and_a_line_whose_stations_collide_are_refused` |
//! | a tampered or truncated program | `cli/verify.rs`; here: `lines_and_programs_that_changed_places_are_found` |
//! | a closed pipe, Ctrl-C in mid-compile | `cli/stop.rs` |
//! | any other value in any place of a shop's files | `bad_input/single_values.rs` |
//! | any bytes, any soup of tokens | `language/bad_input.rs`, `resolve/random.rs`, `replay_soup.rs`, `dialect_random.rs` |
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, missing_docs)]

#[path = "cli/shop.rs"]
#[allow(dead_code, reason = "shared with the tests of the command line")]
mod shop;
#[path = "bad_input/single_values.rs"]
mod single_values;

use shop::{PROGRAM, Run, Shop};
use std::fmt::Write as _;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const HEAD: &str = "job SS1 revision A\nprofile C90 = \"C90x40-0.75\"\n";
const COMPILE: [&str; 4] = ["compile", "batch.toml", "--out", "out"];

/// A shop whose job has one frame with these members.
fn with(members: &str) -> Shop {
    let shop = Shop::new();
    shop.write("job.members", format!("{HEAD}frame N1 wall profile C90 {{\n{members}\n}}\n"));
    shop
}

/// That many coils of almost ten kilometres.
fn rack(coils: usize) -> String {
    (0..coils).fold(String::new(), |mut rack, i| {
        let _ = writeln!(
            rack,
            "[[coil]]\nid = \"X{i}\"\nstrip-width = \"187 mm\"\nthickness = \"0.75 mm\"\n\
             grade = \"G550\"\ncoating = \"Z275\"\nlength = \"9999 m\"\nuncertainty = \"0 %\"\n"
        );
        rack
    })
}

/// Compiles and expects a refusal in words that leaves nothing behind.
fn refused(shop: &Shop) -> Run {
    let before = shop.names("");
    let began = Instant::now();
    let run = shop.exits(1, &COMPILE);
    assert!(began.elapsed() < Duration::from_secs(60), "{:?}", began.elapsed());
    assert!(run.err.contains("error[") && run.err.contains("help: "), "{}", run.err);
    assert_eq!(shop.names(""), before);
    run
}

/// Compiles, expects success, and that the proof of it stands.
fn made(shop: &Shop) -> Run {
    let run = shop.exits(0, &COMPILE);
    shop.exits(0, &["verify", "out"]);
    run
}

// ---- Quantities ------------------------------------------------------------------------------

#[test]
fn quantities_nobody_means_are_refused() {
    for (members, code) in [
        ("member A1 stud length 2000 quantity 1000000000", "E0606"),
        ("member A1 stud length 2000 quantity 500001", "E0606"),
        ("member A1..A1000000000 stud length 2000", "E0236"),
        ("member A1 stud length 2000 quantity 0", "E0227"),
        ("member A1 stud length 2000 quantity -3", "E0227"),
    ] {
        refused(&with(members)).finds(code);
    }
    let shop = with("");
    let frame = "frame N1 wall profile C90 quantity 1000000000 {\n  member A1 stud length 200 \
                 quantity 1000000000\n}\n";
    shop.write("job.members", format!("{HEAD}{frame}"));
    refused(&shop);
}

#[test]
fn a_month_of_pieces_that_do_not_fit_on_the_rack_is_a_shortage() {
    refused(&with("member A1 stud length 2000 quantity 30000")).finds("E0601");
}

#[cfg(unix)]
#[test]
fn effort_without_end_on_a_long_rack_keeps_within_memory() {
    // Orders of coils are remembered, and there are more of them than any memory holds.
    let shop = with("member A1..A20 stud length 2000");
    shop.write("stock.toml", rack(2000));
    let run = format!("ulimit -v 1000000; exec {PROGRAM} preview batch.toml --effort 1000000");
    let mut command = Command::new("sh");
    command.args(["-c", &run]).current_dir(shop.path("")).stdin(Stdio::null());
    let run = Run::of(command.output().unwrap());
    assert_eq!(run.code, Some(0), "{}", run.err);
}

#[test]
fn members_that_are_wrong_everywhere_are_refused_in_time() {
    // E0423
    let holes = |count: usize, from: usize| {
        (0..count).map(|i| format!("{}.5", from + i)).collect::<Vec<_>>().join(", ")
    };
    // Thousands of holes on top of each other are one mistake.
    let one = format!("member A1 stud length 6000 {{ hole 12 on web at {} }}", holes(3000, 100));
    let run = refused(&with(&one));
    assert!(run.finds("E0405").err.contains("100 errors"), "{}", run.err);
    let shop = with(&one);
    let all = shop.exits(1, &["check", "batch.toml", "--max-errors", "0"]);
    assert!(all.err.contains("2899 more like it there are not shown"), "{}", all.err);
    // And on each of hundreds of members they are more than anybody reads.
    let many: String = (0..505)
        .map(|i| {
            let holes = holes(105, 100 + i);
            format!("member A{i} stud length 6000 {{ hole 12 on web at {holes} }}\n")
        })
        .collect();
    let shop = with(&many);
    shop.exits(1, &["check", "batch.toml", "--max-errors", "0"]).finds("E0423");
}

#[test]
fn the_same_mistake_on_every_member_is_told_in_time() {
    // Told once a place, which must not mean comparing each with all before it.
    let wrong: String = (0..30_000)
        .map(|i| format!("member A{i} stud length 2000 {{ hole 13 on web at 300 }}\n"))
        .collect();
    let run = refused(&with(&wrong));
    assert!(run.finds("E0501").err.contains("30000 errors"), "{}", run.err);
    // As many names nobody knows, each compared with as many it might have been.
    let waivers: String = (0..8_000)
        .map(|i| format!("waive W0406 frame N{} reference \"r\" by \"b\"\n", 1_000 + i))
        .collect();
    let frames: String = (0..1_000)
        .map(|i| format!("frame N{i} wall profile C90 {{ member A stud length 2160 }}\n"))
        .collect();
    let shop = Shop::new();
    shop.write("job.members", format!("{HEAD}{waivers}{frames}"));
    refused(&shop).finds("E0240");
}

// ---- Lines, coils and lengths ----------------------------------------------------------------

#[test]
fn extreme_lines_are_refused_or_serve() {
    for (from, to) in [
        ("increment = \"0.1 mm\"", "increment = \"0.000001 mm\""),
        ("increment = \"0.1 mm\"", "increment = \"0 mm\""),
        ("increment = \"0.1 mm\"", "increment = \"1 m\""),
        ("accuracy = \"0.1 mm\"", "accuracy = \"1 m\""),
        ("tail = \"1.2 m\"", "tail = \"10000 m\""),
        ("speed = \"60 m/min\"", "speed = \"0 m/min\""),
        ("speed = \"60 m/min\"", "speed = \"1000000000 m/s\""),
        ("deceleration = \"5 m/s2\"", "deceleration = \"0 m/s2\""),
        ("settle = \"30 ms\"", "settle = \"30 ms\"\njerk = \"0 m/s3\""),
        ("settle = \"30 ms\"", "settle = \"30 ms\"\njerk = \"-50 m/s3\""),
        ("settle = \"30 ms\"", "settle = \"30 ms\"\njerk = \"1000001 m/s3\""),
        ("settle = \"30 ms\"", "settle = \"30 ms\"\njerk = \"50 m/s2\""),
        ("settle = \"30 ms\"", "settle = \"9000 h\""),
        ("availability = \"85 %\"", "availability = \"0 %\""),
        ("slug = \"4 mm\"", "slug = \"2 m\""),
        ("slug = \"4 mm\"", "slug = \"-4 mm\""),
        ("shortest = \"150 mm\"", "shortest = \"7 m\""),
        ("from = \"0.9 m\", to = \"3 m\"", "from = \"3 m\", to = \"0.9 m\""),
        ("offset = \"4.2 m\"", "offset = \"10000 m\""),
        ("offset = \"4.2 m\"", "offset = \"-5 m\""),
        ("footprint = \"40 mm\"", "footprint = \"100 m\""),
        ("refire = \"20 mm\"", "refire = \"100 m\""),
        ("pitch = \"5 mm\"", "pitch = \"0 mm\""),
        ("most = 24", "most = 999999999999999999"),
    ] {
        let shop = Shop::new();
        shop.edit("line.toml", from, to);
        refused(&shop);
    }
    for (from, to) in [
        ("speed = \"60 m/min\"", "speed = \"0.001 mm/s\""),
        ("acceleration = \"5 m/s2\"", "acceleration = \"0.001 mm/s2\""),
        ("settle = \"30 ms\"", "settle = \"30 ms\"\njerk = \"1 mm/s3\""),
        ("settle = \"30 ms\"", "settle = \"30 ms\"\njerk = \"1000000 m/s³\""),
        ("tail = \"1.2 m\"", "tail = \"100 m\""),
        ("parting = \"0.5 m\"", "parting = \"100 m\""),
        ("slug = \"4 mm\"", "slug = \"0 mm\""),
        ("slug = \"4 mm\"", "slug = \"0.000001 mm\""),
        ("least-drop = \"30 mm\"", "least-drop = \"100 m\""),
        ("least = \"10 mm\"", "least = \"100 m\""),
        ("first-advance = \"0 mm\"", "first-advance = \"-1 m\""),
        ("offset = \"4.2 m\"", "offset = \"100 m\""),
    ] {
        let shop = Shop::new();
        shop.edit("line.toml", from, to);
        made(&shop);
    }
}

#[test]
fn a_straddling_tool_finds_room_at_both_cuts_of_a_scrap_piece() {
    // Dimples too near over a shared cut part the members; then the ends are shaped one by one.
    let shop = Shop::new();
    shop.edit("line.toml", "refire = \"15 mm\"", "refire = \"100 mm\"");
    made(&shop);
}

#[test]
fn a_line_that_takes_years_is_refused() {
    // Ten kilometres at a micrometre a second are more nanoseconds than there are numbers for.
    let shop = with("member A1 stud length 2000 quantity 4900");
    shop.write("stock.toml", rack(1));
    shop.edit("line.toml", "speed = \"60 m/min\"", "speed = \"0.001 mm/s\"");
    refused(&shop).finds("E0517");
}

#[test]
fn a_marker_below_the_shear_prints_only_while_the_piece_is_there() {
    for (offset, blank) in [("-1 m", 0), ("-3 m", 1), ("-100 m", 1)] {
        let shop = Shop::new();
        shop.edit("line.toml", "offset = \"0.3 m\"", &format!("offset = \"{offset}\""));
        assert_eq!(made(&shop).found("W0510"), blank, "{offset}");
    }
}

#[test]
fn tiny_and_huge_members_and_coils() {
    refused(&with("member A1 stud length 0.000001")).finds("E0508");
    refused(&with("member A1 stud length 9999 m")).finds("E0509");
    // A member just longer than any coil.
    let shop = with("member A1 stud length 6400");
    shop.write("stock.toml", rack(1).replace("9999 m", "6.3 m"));
    refused(&shop).finds("E0601");
    // A line that lets a micrometre go.
    let shop = with("member A1 stud length 0.001");
    shop.edit("line.toml", "shortest = \"150 mm\"", "shortest = \"0.001 mm\"");
    made(&shop);
    // Coils of a millimetre, of nothing but a defect, all in the line at once, below nought.
    for (from, to) in [
        ("9999 m", "1 mm"),
        ("uncertainty", "defects = [{ from = \"0 m\", to = \"9999 m\" }]\nuncertainty"),
        ("length = \"9999 m\"", "length = \"-1 m\""),
        ("length = \"9999 m\"", "mass = \"0 kg\""),
    ] {
        let shop = Shop::new();
        shop.write("stock.toml", rack(1).replace(from, to));
        refused(&shop);
    }
    let shop = Shop::new();
    shop.write("stock.toml", rack(3).replace("uncertainty", "threaded = true\nuncertainty"));
    refused(&shop).finds("E0330");
}

#[test]
fn figures_of_forty_digits_and_below_nought_in_every_file() {
    let nines = "9".repeat(40);
    for (file, from) in [
        ("batch.toml", "\"2 m\""),
        ("line.toml", "\"1.2 m\""),
        ("calibration.toml", "\"0.3 mm\""),
        ("features.toml", "\"60 mm\""),
        ("profiles.toml", "\"90 mm\""),
        ("rules.toml", "\"600 mm\""),
        ("stock.toml", "\"58 m\""),
    ] {
        let shop = Shop::new();
        shop.edit(file, from, &format!("\"{nines} mm\""));
        let run = refused(&shop);
        assert!(run.err.contains(&format!("─[{file}:")), "{file}: {}", run.err);
        if file != "calibration.toml" {
            let shop = Shop::new();
            shop.edit(file, from, &from.replacen('"', "\"-", 1));
            let run = refused(&shop);
            assert!(run.err.contains(&format!("─[{file}:")), "{file}: {}", run.err);
        }
    }
}

#[test]
fn days_that_never_were() {
    for date in ["2026-02-29", "2026-13-01", "2026-04-31", "0-1-1", "yesterday", ""] {
        let shop = Shop::new();
        shop.edit("calibration.toml", "\"2026-11-20\"", &format!("\"{date}\""));
        refused(&shop).finds("E0318");
    }
}

// ---- Names -----------------------------------------------------------------------------------

#[test]
fn marks_with_anything_in_them() {
    let long = "A".repeat(10_000);
    let marks = ["A'B", "A😀B", "A\tB", "A,B", "A|`*_<b>", "../../x", "=1+1", "名前", &long];
    for mark in marks {
        let shop =
            with(&format!("member P1..P4 stud length 2000\nmember \"{mark}\" stud length 2000"));
        shop.edit("batch.toml", "\"dialect.toml\"", "\"shipped:stop-list\"");
        made(&shop);
    }
    // What this dialect cannot write is refused, and told which.
    for mark in ["A;B", "A😀B"] {
        let shop =
            with(&format!("member P1..P4 stud length 2000\nmember \"{mark}\" stud length 2000"));
        refused(&shop).finds("E0730");
    }
    // What nobody sees in a mark is refused before there is a dialect: once, and not shown raw.
    for hidden in ['\u{0}', '\u{1b}', '\r', '\u{7f}', '\u{85}', '\u{202e}', '\u{2066}'] {
        let mark = format!("A{hidden}B");
        let shop =
            with(&format!("member P1..P4 stud length 2000\nmember \"{mark}\" stud length 2000"));
        let run = refused(&shop);
        let named = format!("U+{:04X}", u32::from(hidden));
        assert!(run.finds("E0123").err.contains(&named), "{}", run.err);
        assert!(!run.err.contains(hidden), "{}", run.err);
        assert!(run.err.contains("1 error"), "{}", run.err);
    }
    for members in ["member \"\" stud length 2000", "member \"A\nB\" stud length 2000"] {
        refused(&with(members));
    }
    refused(&with("member A stud length 2000 mark-text \"{mark\"")).finds("E0239");
}

#[test]
fn names_that_become_file_names() {
    let long = "x".repeat(300);
    for name in ["a/b", "../x", "/etc/x", ".", "", " a ", "a\\nb", "a\\u0000b", "a;b", "😀", &long]
    {
        for (file, from) in [("batch.toml", "small-shop"), ("stock.toml", "K1")] {
            let shop = Shop::new();
            shop.edit(file, &format!("\"{from}\""), &format!("\"{name}\""));
            refused(&shop).finds("E0311");
        }
    }
}

#[test]
fn file_names_with_anything_in_them() {
    for name in ["ünï 😀 ’.members", "a b.members", "foo/../job.members", "%s{}.members", "-x"]
    {
        let shop = Shop::new();
        std::fs::create_dir(shop.path("foo")).unwrap();
        let text = shop.read("job.members");
        shop.write(name, text);
        shop.edit("batch.toml", "\"job.members\"", &format!("\"{name}\""));
        made(&shop);
    }
    for name in ["", ".", "..", "a\\u0000b", "/dev/zero", "C:\\\\job.members", "batch.toml"] {
        let shop = Shop::new();
        shop.edit("batch.toml", "\"job.members\"", &format!("\"{name}\""));
        refused(&shop);
    }
    let shop = Shop::new();
    shop.edit("batch.toml", "\"job.members\"", &format!("\"{}\"", "y".repeat(5_000)));
    refused(&shop).finds("E0904");
}

#[cfg(unix)]
#[test]
fn what_is_no_file_is_not_waited_for() {
    // A pipe nobody writes into, a device that never ends, links that lead to themselves.
    let shop = Shop::new();
    assert!(Command::new("mkfifo").arg(shop.path("pipe")).status().unwrap().success());
    std::os::unix::fs::symlink("loop", shop.path("loop")).unwrap();
    for name in ["pipe", "/dev/zero", "loop"] {
        let mut child = shop
            .command(&["compile", name, "--out", "out"])
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let began = Instant::now();
        while child.try_wait().unwrap().is_none() {
            if began.elapsed() > Duration::from_secs(20) {
                child.kill().unwrap();
                panic!("{name}: still waiting");
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        let run = Run::of(child.wait_with_output().unwrap());
        assert_eq!(run.code, Some(2), "{name}");
        run.finds("E0904");
    }
    for name in ["pipe", "loop"] {
        let shop_file = format!("\"{name}\"");
        let text = shop.read("batch.toml");
        shop.edit("batch.toml", "\"job.members\"", &shop_file);
        refused(&shop).finds("E0904");
        shop.write("batch.toml", text);
    }
}

// ---- Outputs ---------------------------------------------------------------------------------

#[test]
fn outputs_nobody_should_ask_for() {
    let shop = Shop::new();
    let before = shop.files("");
    let long = "a".repeat(300);
    for (out, code) in [
        (".", "E0909"),
        ("/", "E0909"),
        ("..", "E0909"),
        ("batch.toml", "E0909"),
        ("job.members/", "E0908"),
        ("job.members/x", "E0908"),
        ("lost/../out", "E0908"),
        (&long, "E0906"),
    ] {
        let run = shop.exits(2, &["compile", "batch.toml", "--out", out]);
        run.finds(code);
    }
    shop.exits(2, &["compile", "batch.toml", "--out", ""]);
    assert_eq!(shop.files(""), before);
    // A folder inside the inputs is one that is not there yet: why not.
    shop.write("in/x", "mine");
    shop.exits(0, &["compile", "batch.toml", "--out", "in/ünï 😀"]);
    shop.exits(0, &["verify", "in/ünï 😀"]);
    // Over its own inputs it does not go.
    let batch = "in/ünï 😀/inputs/batch.toml";
    shop.exits(2, &["compile", batch, "--out", "in/ünï 😀"]).finds("E0909");
}

#[cfg(target_os = "linux")]
#[test]
fn outputs_behind_links_and_on_devices() {
    use std::os::unix::fs::symlink;
    let shop = Shop::new();
    symlink("nowhere", shop.path("dangling")).unwrap();
    symlink("loop", shop.path("loop")).unwrap();
    symlink(".", shop.path("here")).unwrap();
    let before = shop.names("");
    for (out, code) in [
        ("dangling", "E0908"),
        ("dangling/x", "E0906"),
        ("loop", "E0908"),
        ("loop/x", "E0906"),
        ("here", "E0909"),
        ("/dev/null", "E0908"),
        ("/proc/x", "E0906"),
    ] {
        shop.exits(2, &["compile", "batch.toml", "--out", out]).finds(code);
        assert_eq!(shop.names(""), before, "{out}");
    }
    // A link to an output of ours stays a link, and what it leads to is replaced.
    shop.exits(0, &["compile", "batch.toml", "--out", "real"]);
    symlink("real", shop.path("link")).unwrap();
    shop.exits(0, &["compile", "batch.toml", "--out", "link"]);
    assert!(shop.path("link").is_symlink());
    shop.exits(0, &["verify", "link"]);
}

// ---- Tampering -------------------------------------------------------------------------------

#[test]
fn lines_and_programs_that_changed_places_are_found() {
    let shop = Shop::new();
    shop.enlarge();
    shop.exits(0, &["compile", "batch.toml", "--out", "out", "--effort", "quick"]);
    let programs: Vec<String> = shop.files("out/programs").into_keys().collect();
    let (one, other) = (&programs[0], &programs[1]);
    let (a, b) = (format!("out/programs/{one}"), format!("out/programs/{other}"));
    let (first, second) = (shop.read(&a), shop.read(&b));
    shop.write(&a, &second);
    shop.write(&b, &first);
    let run = shop.exits(1, &["verify", "out"]);
    for name in [one, other] {
        assert!(run.err.contains(&format!("─[out/programs/{name}:1:")), "{name}: {}", run.err);
    }
    shop.write(&b, &second);
    // Two lines of one program, next to each other and far apart; one line twice; one gone.
    let lines: Vec<&str> = first.split_inclusive('\n').collect();
    let last = lines.len() - 1;
    for (i, j) in [(1, 2), (3, last - 2), (0, last)] {
        let mut swapped = lines.clone();
        swapped.swap(i, j);
        shop.write(&a, swapped.concat());
        let run = shop.exits(1, &["verify", "out"]);
        assert!(run.err.contains(&format!("─[{a}:")), "{}", run.err);
    }
    let mut twice = lines.clone();
    twice.insert(5, lines[4]);
    let mut gone = lines.clone();
    gone.remove(4);
    for changed in [twice, gone] {
        shop.write(&a, changed.concat());
        let run = shop.exits(1, &["verify", "out"]);
        assert!(run.err.contains(&format!("─[{a}:")), "{}", run.err);
    }
    shop.write(&a, &first);
    shop.exits(0, &["verify", "out"]);
}

// ---- The command line ------------------------------------------------------------------------

#[test]
fn words_that_mean_nothing_are_answered_with_two() {
    let shop = Shop::new();
    for args in [
        &[""][..],
        &["-"],
        &["compile"],
        &["compile", "", "--out", "out"],
        &["compile", ".", "--out", "out"],
        &["compile", "batch.toml", "--out", "out", "--effort", "-1"],
        &["compile", "batch.toml", "--out", "out", "--effort", "1111111111111111111111111111111"],
        &["compile", "batch.toml", "--out", "out", "--threads", "0"],
        &["compile", "batch.toml", "--out", "out", "--threads", "999999"],
        &["check", "batch.toml", "--max-errors", "99999999999999999999999"],
        &["explain", "é"],
        &["schema", ""],
        &["fmt", "."],
        &["verify", ""],
        &["verify", "/"],
    ] {
        let run = shop.exits(2, args);
        assert!(!run.err.trim().is_empty(), "{args:?}");
    }
    assert!(!shop.path("out").exists());
    assert!(shop.exits(2, &["verify", "/"]).err.contains("`/`"));
}
