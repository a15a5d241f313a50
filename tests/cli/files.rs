//! Files of programs: what they are called, and runs that are split.

use super::first_off::{REST, each_once, pieces, standing, two_walls};
use super::log::{BY_LOG, READ_AS};
use super::shop::{Run, Shop};

/// Two walls for a controller that takes three pieces a file and names of eight capitals.
fn small_memory(limits: &str, files: &str) -> Shop {
    let shop = two_walls();
    let text = format!("[limits]\n{limits}\n\n[files]\n{files}\n\n[numbers.position]");
    shop.edit("dialect.toml", "[numbers.position]", &text);
    shop
}

const NAMED: &str =
    "name = \"r{run}p{part}\"\nending = \"nc\"\nletters = \"capitals\"\nlongest = 8";

#[test]
fn a_long_run_lies_in_several_files() {
    let whole = two_walls();
    whole.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let shop = small_memory("members = 3\nlines = 60", NAMED);
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let files = shop.files("out/programs");
    let names: Vec<&str> = files.keys().map(String::as_str).collect();
    assert_eq!(names[..3], ["R01P1.nc", "R01P2.nc", "R01P3.nc"]);
    // The strokes and cuts of the whole run, none lost and none twice.
    let count = |shop: &Shop, what: &str| -> usize {
        let all = shop.files("out/programs");
        let texts = all.values().map(|bytes| String::from_utf8(bytes.clone()).unwrap());
        texts.map(|text| text.lines().filter(|line| line.starts_with(what)).count()).sum()
    };
    for what in ["stop;", "cut;", "trim;", "mark;"] {
        assert_eq!(count(&shop, what), count(&whole, what), "{what}");
    }
    for (number, bytes) in files.values().enumerate() {
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert!(text.starts_with("run;small-shop-0") && text.lines().count() <= 60, "{text}");
        assert!(text.matches("\ncut;").count() <= 3, "{text}");
        let warm = text.lines().next().unwrap().ends_with(";warm");
        assert_eq!(warm, number > 0 && text.starts_with("run;small-shop-01."), "{text}");
    }
    let verified = shop.exits(0, &["verify", "out"]);
    assert!(verified.out.contains("Products: right: 15 pieces"), "{}", verified.out);
    let sheet = shop.read("out/run-sheet.md");
    let flat = sheet.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("`programs/R01P1.nc`, `programs/R01P2.nc`"), "{sheet}");
    assert!(flat.contains("set the counter to nought, feed nothing and cut nothing between them"));
    let report: serde_json::Value = serde_json::from_str(&shop.read("out/report.json")).unwrap();
    assert_eq!(report["runs"][0]["more_files"][0], "programs/R01P2.nc");
}

/// A controller that lists files by their names lists them in the order they are run.
#[test]
fn files_are_in_the_order_of_their_names() {
    for named in [NAMED, "name = \"{program}\""] {
        let shop = small_memory("members = 1", named);
        shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
        let report: serde_json::Value =
            serde_json::from_str(&shop.read("out/report.json")).unwrap();
        let run = &report["runs"][0];
        let more = run["more_files"].as_array().unwrap().iter();
        let files: Vec<&str> =
            std::iter::once(&run["file"]).chain(more).map(|name| name.as_str().unwrap()).collect();
        assert!(files.len() > 9, "{files:?}");
        assert!(files.is_sorted(), "{files:?}");
        let last = shop.read(format!("out/{}", files[files.len() - 1]));
        assert!(last.starts_with(&format!("run;small-shop-01.{};", files.len())), "{last}");
        assert!(shop.read(format!("out/{}", files[0])).starts_with("run;small-shop-01.01;"));
        shop.exits(0, &["verify", "out"]);
    }
}

/// A changed file is told with its block, files that are exchanged are no run.
#[test]
fn files_of_a_run_belong_together() {
    // E0760
    let shop = small_memory("members = 3", NAMED);
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let (first, second) = (shop.read("out/programs/R01P1.nc"), shop.read("out/programs/R01P2.nc"));
    shop.write("out/programs/R01P2.nc", second.replacen("cut;", "cut;1", 1));
    let run = shop.exits(1, &["verify", "out"]);
    run.finds("E0912");
    assert!(run.err.contains("in `programs/R01P2.nc`, the block of piece 4"), "{}", run.err);
    shop.write("out/programs/R01P1.nc", &second);
    shop.write("out/programs/R01P2.nc", &first);
    shop.exits(1, &["verify", "out"]).finds("E0760");
    shop.write("out/programs/R01P1.nc", &first);
    shop.exits(1, &["verify", "out"]).finds("E0760");
    shop.write("out/programs/R01P2.nc", second);
    shop.exits(0, &["verify", "out"]);
}

/// The rest of a run that lies in several files, stopped in one of them.
#[test]
fn a_split_run_is_stopped_and_gone_on_with() {
    let whole = two_walls();
    standing(&whole, -400.0, "after = 5\nposition = \"kept\"");
    whole.exits(0, &REST);
    let shop = small_memory("members = 3", "name = \"{program}\"\nending = \"nc\"");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    shop.write("taped.toml", whole.read("taped.toml"));
    shop.exits(0, &REST);
    let verified = shop.exits(0, &["verify", "rest"]);
    assert!(verified.out.contains("every piece of the batch is made once"), "{}", verified.out);
    each_once(&pieces(&shop, "rest"));
    assert_eq!(whole.read("rest/marks.csv"), shop.read("rest/marks.csv"));
}

/// A folder for the rest, what the log calls each file, and the description it is read by.
type Called<'a> = (&'a str, &'a dyn Fn(usize) -> String, &'a str);

/// What the controller writes of the first run's files, which it calls so, until so many pieces
/// have dropped: each file is a program of its own, and counts from its own beginning.
fn log_of_files(shop: &Shop, name: &dyn Fn(usize) -> String, pieces: usize) -> Vec<String> {
    let (mut lines, mut dropped) = (Vec::new(), 0);
    for part in 1.. {
        if dropped == pieces {
            break;
        }
        lines.push(format!("begin {}", name(part)));
        let mut made = 0;
        let text = shop.read(format!("out/programs/R01P{part}.nc"));
        for fields in text.lines().map(|line| line.split(';').collect::<Vec<_>>()) {
            let at = || format!("{:.1}", fields[1].parse::<f64>().unwrap());
            match fields[0] {
                "trim" if dropped < pieces => lines.push(format!("scrap at {}", at())),
                "cut" if dropped < pieces => {
                    (made, dropped) = (made + 1, dropped + 1);
                    lines.push(format!("piece {} is {made}, cut at {}", fields[2], at()));
                }
                _ => {}
            }
        }
        if dropped < pieces {
            lines.push(format!("done {}", name(part)));
        }
    }
    lines
}

/// A controller logs the files of a run one by one, as the programs they are.
#[test]
fn the_log_of_a_split_run_says_where_it_stands() {
    let shop = small_memory("members = 3", NAMED);
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let head = "output = \"out\"\ndate = \"2026-11-26\"\nby = \"M. Okafor\"\n[stands]\n";
    shop.write("taped.toml", format!("{head}after = 5\nposition = \"kept\"\n"));
    shop.exits(0, &["first-off", "taped.toml", "--rest", "counted"]);
    shop.write("taped.toml", format!("{head}{BY_LOG}\n"));
    let by_id = |part: usize| format!("small-shop-01.{part}");
    let by_file = |part: usize| format!("r01p{part}");
    let by_whole_file = |part: usize| format!("R01P{part}.nc");
    let files = READ_AS.replace("field = \"program\"", "field = \"file\"");
    let write = |lines: &[String], read_as: &str| {
        let text: String = lines.iter().map(|line| format!("07:15:09 {line}\n")).collect();
        shop.write("run.log", text);
        shop.write("tally.toml", read_as);
    };
    let names: [Called<'_>; 3] = [
        ("by-id", &by_id, READ_AS),
        ("by-file", &by_file, &files),
        ("by-whole-file", &by_whole_file, &files),
    ];
    for (rest, name, read_as) in names {
        write(&log_of_files(&shop, name, 5), read_as);
        shop.exits(0, &["first-off", "taped.toml", "--rest", rest]);
        assert_eq!(shop.files(&format!("{rest}/programs")), shop.files("counted/programs"));
        let looks = ["dialect", "log", "run.log", "--as", "tally.toml", "--ran", "out"];
        let run = shop.exits(0, &looks);
        assert!(run.out.contains("piece 5 (N1 S4) of program small-shop-01.2"), "{}", run.out);
    }
    // In a wrong order, a part twice, one left out, one that is not over, and names that are not
    // what the description says.
    let refused = |name: &dyn Fn(usize) -> String,
                   code: &str,
                   shown: &str,
                   change: &dyn Fn(&mut Vec<String>)|
     -> Run {
        let mut lines = log_of_files(&shop, name, 7);
        change(&mut lines);
        write(&lines, READ_AS);
        let run = shop.exits(1, &["first-off", "taped.toml", "--rest", "never"]);
        assert!(run.finds(code).err.contains(shown), "{shown}: {}", run.err);
        run
    };
    let begins = |lines: &[String], part: usize| {
        lines.iter().position(|line| *line == format!("begin {}", by_id(part))).unwrap()
    };
    refused(&by_id, "E0972", "`small-shop-01.1` comes before it", &|lines| {
        let second = begins(lines, 2);
        lines.rotate_left(second);
    });
    refused(&by_id, "E0972", "`small-shop-01.1` is started again", &|lines| {
        let (first, second) = (lines[..begins(lines, 2)].to_vec(), begins(lines, 2));
        lines.splice(second..second, first);
    });
    refused(&by_id, "E0972", "`small-shop-01.2` comes before it", &|lines| {
        lines.drain(begins(lines, 2)..begins(lines, 3));
    });
    refused(&by_id, "E0973", "have not dropped", &|lines| {
        let second = begins(lines, 2);
        lines.drain(second - 2..second);
    });
    refused(&by_id, "E0973", "the log counts 4", &|lines| {
        for line in lines.iter_mut() {
            *line = line.replace("piece 4 is 1", "piece 4 is 4");
        }
    });
    let run = refused(&by_file, "E0972", "is the file of program `small-shop-01.1`", &|_| ());
    assert!(run.err.contains("`{ field = \"file\", … }`"), "{}", run.err);
    let run = refused(&|_| "small-shop-01".into(), "E0973", "the program is over", &|_| ());
    assert!(run.err.contains("programs of their own, `small-shop-01.1` to"), "{}", run.err);
    refused(&|part| format!("elsewhere-{part}"), "E0972", "does not hold", &|_| ());
}

#[test]
fn names_that_cannot_be_are_refused() {
    for (limits, files, code) in [
        ("members = 3", "name = \"{batch}\"", "E0722"),
        ("members = 3", "name = \"{run}\"", "E0722"),
        ("line = 200", "name = \"{run\"", "E0722"),
        ("line = 200", "name = \"a b{run}\"", "E0722"),
        ("line = 200", "name = \"{run}\"\nending = \"n.c\"", "E0722"),
        ("line = 200", "name = \"{runn}\"", "E0722"),
        ("line = 200", "name = \"{batch}-{run}\"\nlongest = 8", "E0739"),
        ("members = 0", "name = \"{run}\"", "E0306"),
        ("bytes = 90", "name = \"{program}\"", "E0736"),
    ] {
        let shop = small_memory(limits, files);
        shop.exits(1, &["compile", "batch.toml", "--out", "never"]).finds(code);
        assert!(!shop.path("never").exists());
    }
}

/// A list of members cannot say strokes for members of the next file.
#[test]
fn lists_of_members_are_not_split_where_strokes_would_be_lost() {
    let shop = two_walls();
    let table = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/fixtures/dialects/member-table.toml"
    ));
    let table = table.unwrap();
    shop.write(
        "dialect.toml",
        table.replace("[numbers.place]", "[limits]\nmembers = 3\n\n[numbers.place]"),
    );
    let run = shop.exits(1, &["compile", "batch.toml", "--out", "never"]);
    run.finds("E0736");
    assert!(run.err.contains("a list of members cannot say"), "{}", run.err);
    shop.write(
        "dialect.toml",
        table.replace("[numbers.place]", "[limits]\nmembers = 30\n\n[numbers.place]"),
    );
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
}
