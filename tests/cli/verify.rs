//! Output folders proved again, and every way of touching one found.

use super::output::resealed;
use super::shop::{Run, Shop};

fn compiled() -> Shop {
    let shop = Shop::new();
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    shop
}

const PROGRAM: &str = "out/programs/small-shop-01.txt";

fn products(run: &Run) -> &str {
    run.out.lines().find(|line| line.starts_with("Products: ")).unwrap()
}

#[test]
fn an_untouched_folder_is_right_wherever_it_lies() {
    let shop = compiled();
    let run = shop.exits(0, &["verify", "out"]);
    assert!(run.out.contains("all 13 as written"), "{}", run.out);
    assert!(products(&run).starts_with("Products: right: 5 pieces"), "{}", run.out);
    assert!(run.out.contains("Proved at stop level"), "{}", run.out);
    std::fs::create_dir(shop.path("elsewhere")).unwrap();
    std::fs::rename(shop.path("out"), shop.path("elsewhere/moved")).unwrap();
    for name in ["batch.toml", "line.toml", "job.members"] {
        std::fs::remove_file(shop.path(name)).unwrap();
    }
    shop.exits(0, &["verify", "elsewhere/moved/"]);
}

#[test]
fn a_change_that_spoils_pieces_names_the_block_and_the_pieces() {
    // E0912
    let shop = compiled();
    let program = shop.read(PROGRAM);
    let line = program.lines().find(|line| line.contains("service-60") && line.contains("7165.7"));
    let line = line.expect("the second hole of the second piece");
    shop.edit(PROGRAM, line, &line.replace("7165.7", "7175.7"));
    let run = shop.exits(1, &["verify", "out"]);
    run.finds("E0912");
    assert!(run.err.contains("the block of piece 2 (N1 S2), lines 20 to 27"), "{}", run.err);
    // The punch stands metres upstream: while the second piece drops, it strikes the fourth.
    assert!(run.err.contains("piece 4 (`SS1 N1 S4`): service-hole"), "{}", run.err);
    assert_eq!(run.found("E0912"), 1, "one block changed: {}", run.err);
    assert!(
        products(&run).starts_with("Products: NOT right: 4 right, 1 at fault: serials 4."),
        "{}",
        run.out
    );
}

#[test]
fn the_cause_is_told_before_what_came_of_it() {
    let shop = compiled();
    // A punch that stands elsewhere, a paper gone and a program's head touched: every piece with a
    // service hole is wrong, and findings about pieces point into files, which sorts them first.
    shop.edit("out/inputs/line.toml", "offset = \"4.2 m\"", "offset = \"4.3 m\"");
    shop.edit(PROGRAM, "stop;", "stop; ");
    std::fs::remove_file(shop.path("out/marks.csv")).unwrap();
    let run = shop.exits(1, &["verify", "out"]);
    let heads: Vec<&str> = run.err.lines().filter(|line| line.starts_with("error[")).collect();
    assert!(heads[0].contains("`inputs/line.toml` is not as it was written"), "{heads:#?}");
    assert!(heads[1].contains("E0912") && heads[1].contains("small-shop-01.txt"), "{heads:#?}");
    assert!(heads[2].contains("`marks.csv` is not there any more"), "{heads:#?}");
    assert!(heads.len() > 3 && !heads[3].contains("E091"), "{heads:#?}");
    // Where only some are shown, the cause is among them.
    let run = shop.exits(1, &["verify", "--max-errors", "1", "out"]);
    let shown: Vec<&str> = run.err.lines().filter(|line| line.starts_with("error[")).collect();
    assert_eq!(shown, heads[..1]);
    let hidden = format!("{} of them not shown", heads.len() - 1);
    assert!(run.err.contains(&hidden), "{hidden}: {}", run.err);
}

#[test]
fn lines_before_the_first_member_are_called_its_head() {
    let shop = compiled();
    let program = shop.read(PROGRAM);
    let first_cut = program.lines().position(|line| line.starts_with("trim")).expect("a trim cut");
    let lines: Vec<&str> = program.lines().collect();
    let told = |at: usize| {
        let mut changed = lines.clone();
        let line = format!("{} ", lines[at]);
        changed[at] = &line;
        shop.write(PROGRAM, changed.join("\n") + "\n");
        let told = shop.exits(1, &["verify", "out"]).err;
        told.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let head = told(first_cut);
    assert!(head.contains("the head, from thread-up to the first member, lines "), "{head}");
    let opening = told(0);
    assert!(opening.contains("the opening, which says what the program is for, line"), "{opening}");
    // The gap before the bottom plate, whose end is not shaped by the same stroke.
    let gap = lines.iter().rposition(|line| line.starts_with("trim")).expect("another");
    assert!(gap > first_cut);
    let scrap = told(gap);
    assert!(
        scrap.contains("the scrap between piece 4 (N1 S4) and piece 5 (N1 B1), line"),
        "{scrap}"
    );
}

#[test]
fn a_change_within_tolerance_is_told_apart() {
    let shop = compiled();
    let program = shop.read(PROGRAM);
    // A service hole may be 3 mm off: half a millimetre makes the same products.
    let line = program.lines().find(|line| line.starts_with("stop;7165.700;0:service-60"));
    shop.edit(PROGRAM, line.unwrap(), "stop;7166.200;0:service-60");
    let run = shop.exits(1, &["verify", "out"]);
    run.finds("E0912");
    assert!(products(&run).starts_with("Products: right: 5 pieces"), "{}", run.out);
}

#[test]
fn truncated_emptied_and_binary_programs() {
    let shop = compiled();
    let program = std::fs::read(shop.path(PROGRAM)).unwrap();
    for (what, bytes) in [
        ("truncated", &program[..program.len() / 2]),
        ("without its last line end", &program[..program.len() - 1]),
        ("empty", b""),
        ("binary", b"\x00\xff\x00\xff\n\x80"),
    ] {
        shop.write(PROGRAM, bytes);
        let run = shop.exits(1, &["verify", "out"]);
        run.finds("E0912");
        assert!(products(&run).starts_with("Products: NOT right"), "{what}: {}", run.out);
    }
}

#[test]
fn any_changed_byte_of_any_file_is_found() {
    let shop = compiled();
    for (name, bytes) in shop.files("out") {
        // Primes, so that every kind of place in a line has its turn.
        let step = if name.starts_with("programs") { 17 } else { bytes.len() / 3 + 1 };
        for at in (0..bytes.len()).step_by(step) {
            let mut changed = bytes.clone();
            changed[at] ^= 1;
            shop.write(format!("out/{name}"), &changed);
            let run = shop.run(&["verify", "out"]);
            // A manifest whose first words are changed is none of ours: nothing to compare.
            let codes: &[i32] = if name == "manifest.json" { &[1, 2] } else { &[1] };
            assert!(codes.contains(&run.code.unwrap()), "{name}, byte {at}: {run:#?}");
        }
        shop.write(format!("out/{name}"), &bytes);
    }
    shop.exits(0, &["verify", "out"]);
}

#[test]
fn missing_and_added_files() {
    // E0913, E0914
    let shop = compiled();
    std::fs::remove_file(shop.path("out/marks.csv")).unwrap();
    shop.write("out/programs/old.txt", "yesterday's");
    let run = shop.exits(1, &["verify", "out"]);
    assert!(run.finds("E0913").err.contains("marks.csv"), "{}", run.err);
    assert!(run.finds("E0914").err.contains("programs/old.txt"), "{}", run.err);
    assert!(products(&run).starts_with("Products: right"), "{}", run.out);
    std::fs::remove_file(shop.path(PROGRAM)).unwrap();
    let run = shop.exits(1, &["verify", "out"]);
    assert!(products(&run).starts_with("Products: NOT right"), "{}", run.out);
}

#[test]
fn a_changed_manifest_proves_nothing() {
    // E0915
    let shop = compiled();
    shop.edit("out/manifest.json", "\"batch\": \"small-shop\"", "\"batch\": \"other-shop\"");
    shop.exits(1, &["verify", "out"]).finds("E0915");
}

#[test]
fn a_folder_without_a_manifest_is_not_ours() {
    // E0911
    let shop = Shop::new();
    shop.exits(2, &["verify", "."]).finds("E0911");
    shop.write("manifest.json", "{}");
    shop.exits(2, &["verify", "."]).finds("E0911");
}

#[test]
fn members_renamed_in_the_stored_inputs_are_found() {
    // E0918
    let shop = compiled();
    shop.edit("out/inputs/job.members", "member S1..S4", "member S1..S5");
    let run = shop.exits(1, &["verify", "out"]);
    assert!(run.finds("E0918").err.contains("1 of `SS1 N1 S5` missing"), "{}", run.err);
    assert!(run.out.contains("which are changed themselves"), "{}", run.out);
}

#[test]
fn coils_are_followed_from_run_to_run() {
    let shop = Shop::new();
    shop.enlarge();
    shop.edit("batch.toml", "at-end = \"unload\"", "at-end = \"stay-threaded\"");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    assert!(shop.names("out/programs").len() > 1);
    let run = shop.exits(0, &["verify", "out"]);
    assert!(products(&run).starts_with("Products: right: 200 pieces"), "{}", run.out);
}

/// A program carries its identity; the manifest lists it. E0761 where they differ, whichever of
/// them was changed, and apart from whether the pieces are right.
#[test]
fn a_program_that_is_listed_as_another_is_found() {
    let shop = compiled();
    let program = shop.read(PROGRAM);
    shop.edit(PROGRAM, "small-shop-01", "small-shop-07");
    let run = shop.exits(1, &["verify", "out"]);
    run.finds("E0912");
    let said = "`programs/small-shop-01.txt` says it is program `small-shop-07`, and is listed as \
                program `small-shop-01`";
    let flat = run.finds("E0761").err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains(said), "{}", run.err);
    assert!(products(&run).starts_with("Products: right: 5 pieces"), "{}", run.out);
    assert!(run.out.contains("Names: NOT as listed: 1 program says"), "{}", run.out);
    // The list was changed, and sealed anew as if it had been written so: every file is as listed.
    shop.write(PROGRAM, &program);
    shop.exits(0, &["verify", "out"]);
    for (key, was) in [("id", "small-shop-01"), ("coil", ""), ("profile", "")] {
        let kept = shop.read("out/manifest.json");
        resealed(&shop, |manifest| {
            let listed = &mut manifest["programs"][0][key];
            assert!(listed.as_str().unwrap().contains(was));
            *listed = "another".into();
        });
        let run = shop.exits(1, &["verify", "out"]);
        assert!(run.out.contains("as written, nothing else there"), "{}", run.out);
        run.finds("E0761");
        // Of coil and profile, no other is among the inputs: nothing can be judged by them.
        assert_eq!(run.out.contains("Products: right: 5 pieces"), key == "id", "{}", run.out);
        shop.write("out/manifest.json", kept);
    }
    resealed(&shop, |manifest| manifest["batch"] = "another".into());
    let run = shop.exits(1, &["verify", "out"]);
    assert!(run.finds("E0761").err.contains("batch `small-shop`"), "{}", run.err);
}
