//! Files of programs: what they are called, and runs that are split.

use super::first_off::{REST, each_once, pieces, standing, two_walls};
use super::shop::Shop;

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
