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

/// Three controllers of the demo, described by hand as a shop would; one is told members.
#[test]
fn the_controllers_of_the_demo_take_its_programs() {
    for (demo, dialect, head) in [
        ("boatshed", "shop/bench.toml", "bench run /boatshed-01/ of /boatshed/"),
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
