//! What the README shows is what the program does.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    missing_docs
)]

use std::process::Command;

fn readme() -> String {
    std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).unwrap()
}

/// Fenced blocks, in order.
fn blocks(text: &str) -> Vec<String> {
    text.split("```")
        .skip(1)
        .step_by(2)
        .map(|b| b.split_once('\n').unwrap().1.to_string())
        .collect()
}

/// stdout and stderr of a command from the project's root.
fn run(args: &[&str]) -> (String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_coilwright"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(args)
        .output()
        .unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (text(output.stdout), text(output.stderr))
}

#[test]
fn the_demo_prints_what_is_shown() {
    let blocks = blocks(&readme());
    let shown = |start: &str| {
        let found = blocks.iter().find(|b| b.starts_with(start));
        found.unwrap_or_else(|| panic!("no block begins with `{start}`")).clone()
    };
    let out = tempfile::tempdir().unwrap();
    let folder = out.path().join("boatshed");
    let folder = folder.to_str().unwrap();
    let compiled = run(&["compile", "fixtures/boatshed/batch.toml", "--out", folder]);
    let compiled = format!("{}{}", compiled.0, compiled.1).replace(folder, "target/boatshed");
    assert_eq!(compiled, shown("Wrote target/boatshed"));

    let verified = run(&["verify", folder]).0.replace(folder, "target/boatshed");
    assert_eq!(verified, shown("target/boatshed: batch"));

    let program = std::fs::read_to_string(format!("{folder}/programs/boatshed-01.jsonl")).unwrap();
    assert!(program.starts_with(&shown("{\"format\"")));

    // What was taped names the folder that was run.
    let tape = std::fs::read_to_string(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/fixtures/boatshed/first-off.toml"
    ));
    let tape = tape.unwrap().replace("../../target/boatshed", "boatshed");
    let (taped, rest) = (out.path().join("taped.toml"), format!("{folder}-2"));
    std::fs::write(&taped, tape).unwrap();
    run(&["first-off", taped.to_str().unwrap(), "--rest", &rest]);
    let verified = run(&["verify", &rest]).0.replace(folder, "target/boatshed");
    let shown_rest = shown("$ coilwright first-off fixtures/boatshed/first-off.toml --rest");
    assert!(
        verified.starts_with(
            shown_rest.split_once("boatshed-2\n$ coilwright verify target/boatshed-2\n").unwrap().1
        ),
        "{verified}"
    );

    let preview = run(&["preview", "fixtures/boatshed/batch.toml"]).0;
    assert!(preview.starts_with(&shown("Batch boatshed on line")), "{preview}");

    let batches = ["fixtures/boatshed/batch.toml", "fixtures/slip-office/batch.toml"];
    let estimate = run(&["estimate", batches[0], batches[1]]).0;
    let expected = shown("$ coilwright estimate");
    assert_eq!(estimate, expected.split_once('\n').unwrap().1);

    let taped = std::fs::read_to_string("fixtures/boatshed/first-off.toml").unwrap();
    assert!(taped.contains(&shown("[tape]")), "the readings as shown");
    let file = out.path().join("first-off.toml");
    std::fs::write(&file, taped.replace("../../target/boatshed", "boatshed")).unwrap();
    let page = run(&["first-off", file.to_str().unwrap()]).0.replace(folder, "target/boatshed");
    let expected = shown("$ coilwright first-off");
    assert_eq!(page, expected.split_once('\n').unwrap().1);

    let batch = std::fs::read_to_string("fixtures/boatshed/batch.toml").unwrap();
    assert!(batch.ends_with(&shown("name = \"boatshed\"")), "the batch as shown");
}

#[test]
fn the_list_shown_is_cut_as_shown() {
    let blocks = blocks(&readme());
    let list = std::fs::read_to_string("fixtures/cut/rack.txt").unwrap();
    assert!(blocks.contains(&list), "the list as shown");
    let page = run(&["cut", "fixtures/cut/rack.txt"]).0;
    let shown = blocks.iter().find(|b| b.starts_with("$ coilwright cut")).unwrap();
    assert_eq!(page, shown.split_once('\n').unwrap().1);
}

#[test]
fn the_coil_shown_is_the_demos() {
    let shown = blocks(&readme()).into_iter().find(|b| b.starts_with("[[coil]]")).unwrap();
    let stock = std::fs::read_to_string("fixtures/boatshed/shop/stock.toml").unwrap();
    let first = stock.split("[[coil]]").nth(1).unwrap();
    for line in shown.lines().skip(1) {
        assert!(first.lines().any(|l| l == line), "{line} is not of the first coil");
    }
}

#[test]
fn the_members_shown_are_in_order_and_canonical() {
    let shown = blocks(&readme()).into_iter().find(|b| b.starts_with("job ")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("walls.members");
    std::fs::write(&file, shown).unwrap();
    let file = file.to_str().unwrap();
    let library = "fixtures/boatshed/shop/library.toml";
    let (_, found) = run(&["check", file, "--library", library]);
    assert_eq!(found, "Nothing found.\n");
    let (_, found) = run(&["fmt", "--check", file]);
    assert_eq!(found, "Nothing to change.\n");
}

#[test]
fn the_mistake_shown_is_found_as_shown() {
    let shown = blocks(&readme()).into_iter().find(|b| b.starts_with("error[E0203]")).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let text = "job KP30 \"porch\" revision A\nprofile C90 = \"C90x40-0.75\"\n\
        frame P1 wall \"porch\" profile C90 {\n  member S1..S3 stud length 2386 {\n    \
        swag both ends\n    dimple on flanges at 22, end - 22\n  }\n}\n";
    std::fs::write(folder.path().join("porch.members"), text).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_coilwright"))
        .current_dir(folder.path())
        .args(["check", "porch.members", "--library"])
        .arg(concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/boatshed/shop/library.toml"))
        .output()
        .unwrap();
    let found = String::from_utf8(output.stderr).unwrap();
    assert!(found.contains(&shown), "{found}");
    assert_eq!(output.status.code(), Some(1));
}
