//! How the program speaks: streams, exit codes, forms, colour, suggestions.

use super::shop::{Run, Shop};
use serde_json::Value;

#[test]
fn exit_codes_and_streams() {
    let shop = Shop::new();
    let clean = shop.exits(0, &["check", "batch.toml"]);
    assert_eq!(clean.out, "");
    let preview = shop.exits(0, &["preview", "batch.toml"]);
    assert!(preview.out.starts_with("Batch small-shop"), "{}", preview.out);
    assert!(preview.err.is_empty(), "{}", preview.err);
    let help = shop.exits(0, &["compile", "-h"]);
    assert!(help.out.starts_with("Examples:\n  coilwright compile "), "{}", help.out);
    shop.exits(0, &["--version"]);
    for usage in [
        &["comple"][..],
        &["compile", "batch.toml"],
        &["compile", "batch.toml", "--out"],
        &["preview", "batch.toml", "--format", "xml"],
        &["preview", "batch.toml", "--effort", "much"],
        &["--threads", "0", "preview", "batch.toml"],
        &["explain", "E9999"],
        &["schema", "nothing"],
        &["check", "job.members"],
        &["check", "batch.toml", "job.members"],
        &[],
    ] {
        let run = shop.exits(2, usage);
        assert!(run.out.is_empty(), "{usage:?}: {}", run.out);
    }
    shop.edit("job.members", "length height", "length nought");
    shop.exits(1, &["check", "batch.toml"]);
}

#[test]
fn slips_are_answered_with_what_was_meant() {
    let shop = Shop::new();
    for (args, meant) in [
        (&["comple"][..], "'compile'"),
        (&["preview", "batch.toml", "--fromat", "json"], "'--format'"),
        (&["schema", "lien"], "`line`"),
        (&["explain", "output-forein"], "`output-foreign`"),
    ] {
        let run = shop.exits(2, args);
        assert!(run.err.contains(meant), "{args:?}: {}", run.err);
    }
}

#[test]
fn members_are_checked_against_a_library_named_or_beside_them() {
    let shop = Shop::new();
    let library = "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n";
    shop.write("shop/library.toml", library.replace("[\"", "[\"../"));
    shop.exits(0, &["check", "job.members", "--library", "shop/library.toml"]);
    shop.write("library.toml", library);
    shop.exits(0, &["check", "job.members"]);
    shop.edit("job.members", "hole 12", "hoel 12");
    let run = shop.exits(1, &["check", "job.members"]);
    assert!(run.err.contains("─[job.members:"), "{}", run.err);
}

#[test]
fn findings_as_json_are_valid_against_their_schema_and_capped() {
    let shop = Shop::new();
    let wrong: String = (0..60).map(|i| format!("  hoel 12 on web at {}\n", 100 + i)).collect();
    let member = format!("length 2400 {{\n{wrong}");
    shop.edit("job.members", "length 2400 {", &member);
    let schema: Value =
        serde_json::from_str(&shop.exits(0, &["schema", "diagnostics"]).out).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for (most, shown) in [("50", 50), ("7", 7), ("0", 60)] {
        let args = ["--diagnostics", "json", "--max-errors", most, "check", "batch.toml"];
        let run = shop.exits(1, &args);
        let found: Value = serde_json::from_str(&run.err).unwrap();
        assert!(validator.is_valid(&found), "{found}");
        assert_eq!(found["diagnostics"].as_array().unwrap().len(), shown);
        assert_eq!(found["counts"]["errors"], 60);
        assert_eq!(found["diagnostics"][0]["labels"][0]["file"], "job.members");
    }
    let text = shop.exits(1, &["check", "batch.toml"]);
    assert!(text.err.ends_with("60 errors; 10 of them not shown\n"), "{}", text.err);
}

#[test]
fn findings_as_sarif_and_as_annotations() {
    let shop = Shop::new();
    shop.edit("job.members", "hole 12", "hoel 12");
    let sarif = shop.exits(1, &["--diagnostics", "sarif", "check", "batch.toml"]);
    let log: Value = serde_json::from_str(&sarif.err).unwrap();
    let result = &log["runs"][0]["results"][0];
    let place = &result["locations"][0]["physicalLocation"];
    assert_eq!(place["artifactLocation"]["uri"], "job.members");
    let region = &place["region"];
    let line = region["startLine"].as_u64().unwrap();
    assert!(shop.read("job.members").lines().nth(line as usize - 1).unwrap().contains("hoel"));
    let code = result["ruleId"].as_str().unwrap();
    let notes = shop.exits(1, &["--diagnostics", "annotations", "check", "batch.toml"]);
    assert!(notes.err.starts_with(&format!("::error title={code} ")), "{}", notes.err);
    assert!(notes.err.contains(&format!(",file=job.members,line={line},")), "{}", notes.err);
    // A clean run is an empty log, so that what was found before goes away.
    let shop = Shop::new();
    let clean = shop.exits(0, &["--diagnostics", "sarif", "check", "batch.toml"]);
    let log: Value = serde_json::from_str(&clean.err).unwrap();
    assert_eq!(log["runs"][0]["results"], serde_json::json!([]));
    assert_eq!(shop.exits(0, &["--diagnostics", "annotations", "check", "batch.toml"]).err, "");
}

#[test]
fn completions_and_the_manual_page_know_every_command() {
    let shop = Shop::new();
    let listed = shop.exits(0, &["-h"]).out;
    let listed = listed.split("\nCommands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let commands = || listed.lines().filter_map(|line| line.split_whitespace().next());
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let script = shop.exits(0, &["completions", shell]).out;
        for name in commands() {
            assert!(script.contains(name), "{shell}: {name}");
        }
        assert!(script.contains("max-errors"), "{shell}");
    }
    let page = shop.exits(0, &["man"]).out;
    for name in commands() {
        // Roff writes a hyphen as `\-`.
        assert!(page.contains(&name.replace('-', "\\-")), "{name}");
    }
    for name in ["completions", "man"] {
        assert!(commands().any(|listed| listed == name), "{name}");
    }
    // What each exit code means, and each command's examples.
    let (_, page) = page.split_once(".SH \"EXIT STATUS\"\n").unwrap();
    let (exits, examples) = page.split_once(".SH \"EXAMPLES\"\n").unwrap();
    for code in ["0", "1", "2"] {
        assert!(exits.contains(&format!(".TP\n{code}\n")), "{exits}");
    }
    for name in commands() {
        let example = format!(".TP\ncoilwright {}", name.replace('-', "\\-"));
        assert!(examples.contains(&example), "{name}: {examples}");
    }
    shop.exits(2, &["completions", "abacus"]);
}

#[test]
fn colour_only_where_it_is_wanted() {
    let shop = Shop::new();
    let plain = shop.exits(2, &["check", "nowhere.toml"]);
    assert!(!plain.err.contains('\u{1b}'), "a pipe is no terminal");
    let always = shop.exits(2, &["--color", "always", "check", "nowhere.toml"]);
    assert!(always.err.contains('\u{1b}'));
    let never = shop.exits(2, &["--color", "never", "check", "nowhere.toml"]);
    assert_eq!(never.err, plain.err);
}

#[test]
fn quiet_says_nothing_but_errors() {
    let shop = Shop::new();
    let run = shop.exits(0, &["-q", "compile", "batch.toml", "--out", "out"]);
    assert_eq!((run.out.as_str(), run.err.as_str()), ("", ""));
    shop.exits(2, &["-q", "check", "nowhere.toml"]).finds("E0901");
}

/// Every command's short help, as a page.
fn reference(shop: &Shop) -> String {
    let top = shop.exits(0, &["-h"]).out;
    let listed = top.split("\nCommands:\n").nth(1).unwrap().split("\n\n").next().unwrap();
    let commands: Vec<&str> =
        listed.lines().filter_map(|line| line.split_whitespace().next()).collect();
    assert!(commands.len() >= 7, "{commands:?}");
    let mut page = "# Commands\n\nThis page is made from the program's own help; \
                    `COILWRIGHT_BLESS=1 cargo test --test cli` makes it anew. Exit codes: 0 \
                    clean, 1 the input has errors, 2 usage, configuration or something outside \
                    the input, such as a full disk.\n"
        .to_string();
    for name in std::iter::once("coilwright").chain(commands) {
        let help =
            if name == "coilwright" { top.clone() } else { shop.exits(0, &[name, "-h"]).out };
        page.push_str(&format!("\n## {name}\n\n```text\n{}\n```\n", help.trim_end()));
        if name == "dialect" {
            let help = shop.exits(0, &[name, "check", "-h"]).out;
            page.push_str(&format!("\n### {name} check\n\n```text\n{}\n```\n", help.trim_end()));
        }
    }
    page
}

#[test]
fn the_page_of_commands_is_fresh() {
    let fresh = reference(&Shop::new());
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/commands.md");
    if std::env::var_os("COILWRIGHT_BLESS").is_some() {
        std::fs::write(&file, &fresh).unwrap();
    }
    let stands = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(stands == fresh, "stale: COILWRIGHT_BLESS=1 cargo test --test cli");
}

#[test]
fn every_code_is_explained() {
    let shop = Shop::new();
    for code in coilwright::diagnostic::codes::all() {
        let run = shop.exits(0, &["explain", code.number]);
        assert!(run.out.starts_with(code.number) && run.out.contains(code.title), "{}", run.out);
    }
    let run = shop.exits(0, &["explain", "e0405"]);
    assert!(run.out.contains("\nWrong, in ") && run.out.contains("\nRight, in "), "{}", run.out);
}

/// Findings say inches too where they point into a members file that is written in them, and in a
/// batch that has its papers so; a file in millimetres is told in millimetres.
#[test]
fn findings_say_inches_where_the_file_is_in_inches() {
    let shop = Shop::new();
    shop.copy_from("fixtures/slip-office", "slip");
    let wrong = "\nframe Z1 wall profile S362 {\n  member A1 stud length 96 {\n    pilot on flanges at 98\n  }\n}\n";
    let written = shop.read("slip/office.members");
    shop.write("slip/office.members", format!("{written}{wrong}"));
    let flat = |run: &Run| run.err.split_whitespace().collect::<Vec<_>>().join(" ");
    let past = "at 2489.2 mm [98 in] reaches";
    let check = ["check", "slip/office.members", "--library", "slip/shop/library.toml"];
    let run = shop.exits(1, &check);
    assert!(flat(&run).contains(past), "{}", run.err);
    assert!(flat(&run).contains("which is 2438.4 mm [96 in] long"), "{}", run.err);
    let run = shop.exits(1, &[&check[..], &["--diagnostics", "json"]].concat());
    assert!(run.err.contains(past), "{}", run.err);
    shop.exits(1, &["preview", "slip/batch.toml", "--html", "page.html"]);
    assert!(shop.read("page.html").contains(past));
    // A length of the shop's files, in a batch that has its papers in inches.
    shop.write("slip/office.members", &written);
    shop.edit("slip/shop/line.toml", "longest = \"20 ft\"", "longest = \"4 ft\"");
    let run = shop.exits(1, &["check", "slip/batch.toml"]);
    assert!(flat(&run).contains("takes 1219.2 mm [48 in]"), "{}", run.err);
    shop.edit("job.members", "at 45, 1200", "at 45, 12000");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(flat(&run).contains("at 12000 mm reaches") && !run.err.contains(" in]"), "{}", run.err);
}
