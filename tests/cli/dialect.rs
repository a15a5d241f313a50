//! `dialect check`: what a description proves on a line, and what it writes.

use super::shop::Shop;

/// The small shop with a library beside its line.
fn shop() -> Shop {
    let shop = Shop::new();
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    shop
}

#[test]
fn what_is_proved_is_shown_with_a_sample() {
    let shop = shop();
    let shipped = ["shipped:stop-list", "shipped:rs-274", "shipped:member-table"];
    for name in [&["dialect.toml"], &shipped[..]].concat() {
        let run = shop.exits(0, &["dialect", "check", name, "--line", "line.toml"]);
        assert!(run.out.contains(": proved.\n") && run.out.contains("SAMPLE-1"), "{}", run.out);
        assert_eq!(run.err, "");
    }
    let run = shop.exits(0, &["dialect", "check", "dialect.toml", "--line", "line.toml"]);
    insta::assert_snapshot!("dialect_check", run.out);
    let args = ["dialect", "check", "shipped:member-table", "--line", "line.toml"];
    insta::assert_snapshot!("dialect_check_members", shop.exits(0, &args).out);
    // The line may lie elsewhere than its library.
    shop.write("elsewhere/line.toml", shop.read("line.toml"));
    let args = ["dialect", "check", "dialect.toml", "--line", "elsewhere/line.toml"];
    shop.exits(2, &args).finds("E0901");
    shop.exits(0, &[&args[..], &["--library", "library.toml"]].concat());
}

#[test]
fn what_is_not_proved_is_told_at_its_place() {
    let shop = shop();
    let args = ["dialect", "check", "dialect.toml", "--line", "line.toml"];
    let stands = shop.read("dialect.toml");
    // Decimals that the line's increment does not fit; two records that begin alike.
    shop.edit("dialect.toml", "decimals = 3", "decimals = 0");
    let run = shop.exits(1, &args);
    run.finds("E0716");
    assert!(run.out.is_empty() && run.err.contains("dialect.toml:"), "{}", run.err);
    shop.write("dialect.toml", stands);
    shop.edit("dialect.toml", "'trim;'", "'stop;'");
    assert!(shop.exits(1, &args).out.is_empty());
}

/// Four controllers of the demo, described by hand as a shop would; one is told members.
#[test]
fn the_controllers_of_the_demo_take_its_programs() {
    for (demo, dialect, head) in [
        ("boatshed", "shop/bench.toml", "bench run /boatshed-01/ of /boatshed/"),
        ("boatshed", "shop/press.toml", "Hboatshed-01.1       boatshed            N\r\n"),
        ("slip-office", "shop/counter.toml", "paper:slip-office-01\r\nbatch:slip-office\r\n"),
        ("porch", "shop/lister.toml", "sheet porch-01\r\nfor /porch/ on /porch-3/\r\n"),
    ] {
        let shop = Shop::new();
        shop.copy_from(&format!("fixtures/{demo}"), demo);
        let line = format!("{demo}/shop/line.toml");
        shop.exits(0, &["dialect", "check", &format!("{demo}/{dialect}"), "--line", &line]);
        let batch = format!("{demo}/batch.toml");
        let stands = shop.read(&batch);
        let (_, named) = stands.split_once("dialect = \"").unwrap();
        shop.edit(&batch, named.split('"').next().unwrap(), dialect);
        shop.exits(0, &["compile", &batch, "--out", "out"]);
        let verified = shop.exits(0, &["verify", "out"]);
        let told = if demo == "porch" {
            "Proved at member level: the products, not the strokes."
        } else {
            "Proved at stop level:"
        };
        assert!(verified.out.contains(told), "{}", verified.out);
        let programs = shop.files("out/programs");
        let first = programs.values().next().unwrap();
        let text = String::from_utf8_lossy(first);
        assert!(text.starts_with(head), "{}", &text[..80]);
    }
}

/// Types of features with codes: the controller takes the one tool that makes what it is told.
#[test]
fn features_are_called_by_their_types() {
    let shop = shop();
    let codes = [
        ("service-hole", "S"),
        ("hole", "H"),
        ("dimple", "D"),
        ("lip-notch", "N"),
        ("lip-cut", "C"),
    ];
    let mut text = shop.read("dialect.toml");
    text = text.replace("level = \"stop\"", "level = \"member\"");
    let (head, _) = text.split_once("[records]").unwrap();
    let tables: String = codes
        .iter()
        .map(|(name, code)| format!("[[feature]]\nname = \"{name}\"\ncode = \"{code}\"\n\n"))
        .collect();
    let table = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/fixtures/dialects/member-table.toml"
    ))
    .unwrap();
    let (_, records) = table.split_once("[records]").unwrap();
    let records = records.replace("\"place\"", "\"position\"").replace("\"plain\"", "\"name\"");
    let controller =
        "[controller]\noffsets = \"controller\"\nsnapping = \"nearest\"\nties = \"listed\"\n\n";
    shop.write("dialect.toml", format!("{head}{controller}{tables}[records]{records}"));
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    shop.exits(0, &["verify", "out"]);
    let program = shop.read("out/programs/small-shop-01.txt");
    for (_, code) in codes {
        assert!(program.contains(&format!(";{code}\n")), "{code}: {program}");
    }
    // A type that the library does not have, one without a code, two tools for one code.
    let args = ["dialect", "check", "dialect.toml", "--line", "line.toml"];
    let stands = shop.read("dialect.toml");
    shop.edit("dialect.toml", "\"dimple\"", "\"dimpel\"");
    shop.exits(1, &args).finds("E0309");
    shop.write("dialect.toml", stands.clone());
    shop.edit("dialect.toml", "[[feature]]\nname = \"dimple\"\ncode = \"D\"\n\n", "");
    shop.exits(1, &args).finds("E0712");
    shop.write("dialect.toml", stands.clone());
    shop.edit("dialect.toml", "code = \"D\"", "code = \"H\"");
    shop.exits(1, &args).finds("E0711");
    shop.write("dialect.toml", stands);
    let second = "[[station.tool]]\nname = \"hole-12\"";
    let line = shop.read("line.toml");
    let from = line.find(second).unwrap();
    let tool: String = line[from..].split("\n\n").next().unwrap().to_string();
    let twin = tool.replace("hole-12", "hole-12b");
    shop.write("line.toml", line.replace(&tool, &format!("{tool}\n\n{twin}")));
    let run = shop.exits(1, &args);
    run.finds("E0711");
    assert!(run.err.contains("hole-12b"), "{}", run.err);
}

/// A record without parts was once read as nothing, without a word, and every command ended clean.
#[test]
fn an_empty_record_ends_every_command_with_its_error() {
    let shop = shop();
    shop.copy_into("next");
    for scope in ["run-begin", "stop", "stroke", "cut-piece", "cut-scrap", "mark", "run-end"] {
        let whole = shop.read("next/dialect.toml");
        let (before, after) = whole.split_once(&format!("\n{scope} = [")).unwrap();
        let (_, after) = match scope {
            "run-begin" => after.split_once("\n]").unwrap(),
            _ => after.split_once("]\n").map_or((after, ""), |(_, rest)| ("", rest)),
        };
        shop.write("dialect.toml", format!("{before}\n{scope} = []\n{after}"));
        for args in [
            &["dialect", "check", "dialect.toml", "--line", "line.toml"][..],
            &["compile", "batch.toml", "--out", "out"],
            &["check", "batch.toml"],
            &["preview", "batch.toml"],
            &["labels", "batch.toml", "--out", "labels.csv"],
            &["estimate", "next/batch.toml", "batch.toml"],
        ] {
            let run = shop.exits(1, args);
            assert_eq!(run.found("E0707"), 1, "{run:#?}");
            assert!(run.out.is_empty() && run.err.contains("dialect.toml:"), "{run:#?}");
        }
        assert!(!shop.path("out").exists() && !shop.path("labels.csv").exists());
    }
}

#[test]
fn a_tool_the_line_does_not_have_is_told() {
    // N0723
    let shop = shop();
    let line = shop.read("line.toml");
    let names = line.split("[[station.tool]]\nname = \"").skip(1);
    let tools: String = names
        .map(|rest| rest.split('"').next().unwrap())
        .enumerate()
        .map(|(number, name)| format!("{name} = \"T{number}\"\n"))
        .collect();
    let table = |more: &str| format!("[tools]\n{tools}{more}\n[records]");
    let stands = shop.read("dialect.toml");
    let args = ["dialect", "check", "dialect.toml", "--line", "line.toml"];
    shop.write("dialect.toml", stands.replace("[records]", &table("")));
    assert_eq!(shop.exits(0, &args).err, "");
    shop.write("dialect.toml", stands.replace("[records]", &table("dimple-11 = \"T9\"\n")));
    let run = shop.exits(0, &args);
    run.finds("N0723");
    assert!(run.err.contains("did you mean `dimple-10`?"), "{}", run.err);
    assert!(run.out.contains("proved") && !run.out.contains("T9"), "{}", run.out);
    // Another line may have it: nothing is said of it every day.
    assert_eq!(shop.exits(0, &["compile", "batch.toml", "--out", "out"]).found("N0723"), 0);
}

/// What only a program can show is said to be so; what the line shows is an error.
#[test]
fn what_a_proof_leaves_open_is_said() {
    let shop = shop();
    let args = ["dialect", "check", "dialect.toml", "--line", "line.toml"];
    let limits = "[limits]\nline = 200\nlines = 400\n\n[numbers.position]\nwidth = 12";
    shop.edit("dialect.toml", "[numbers.position]", limits);
    shop.edit("dialect.toml", "[texts.name]", "[texts.name]\nwidth = 30");
    let run = shop.exits(0, &args);
    let (_, open) = run.out.split_once("Only with a program it shows").unwrap();
    for line in [
        "  a text of more than 30 characters in `name`\n",
        "  a figure of more than 7 digits before the point in `position`\n",
        "  a line of more than 200 bytes\n",
        "  more between two cuts than fits a file",
    ] {
        assert!(open.contains(line), "{line} is not in {open}");
    }
    shop.edit("dialect.toml", "lines = 400", "lines = 2");
    shop.exits(1, &args).finds("E0736");
    shop.edit("dialect.toml", "lines = 2", "lines = 400");
    shop.edit("dialect.toml", "width = 12", "width = 12\nsign = \"never\"");
    shop.exits(0, &args);
    shop.edit("line.toml", "first-advance = \"0 mm\"", "first-advance = \"-2 m\"");
    let run = shop.exits(1, &args);
    run.finds("E0731");
    assert!(run.err.contains("below advance 0"), "{}", run.err);
}

/// Where a line fires all tools of a stop at once, no stroke says a phase.
#[test]
fn a_line_that_fires_at_once_needs_no_phases() {
    let shop = shop();
    let check = ["dialect", "check", "dialect.toml", "--line", "line.toml"];
    shop.edit("dialect.toml", "{ field = \"phase\", format = \"count\" }, ':', ", "");
    shop.exits(1, &check).finds("E0704");
    shop.edit("line.toml", "accuracy = ", "firing = \"at-once\"\naccuracy = ");
    let run = shop.exits(0, &check);
    assert!(run.out.contains(";service-60;hole-12\n"), "{}", run.out);
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    shop.exits(0, &["verify", "out"]);
}
