//! The folders that `new` writes.

use super::shop::Shop;
use std::time::Instant;

const FILES: [&str; 9] = [
    "batch.toml",
    "shop/calibration.toml",
    "shop/controller.toml",
    "shop/features.toml",
    "shop/library.toml",
    "shop/line.toml",
    "shop/profiles.toml",
    "shop/stock.toml",
    "tool-shed.members",
];

/// Everything a shop owner would try first, on the folder as it was written: nothing is found, not
/// even a note.
fn works(options: &[&str], pieces: &str) {
    let shop = Shop::new();
    let new: Vec<&str> = ["new", "mine"].iter().chain(options).copied().collect();
    let run = shop.exits(0, &new);
    assert!(run.err.starts_with("Wrote mine: "), "{}", run.err);
    let files = shop.files("mine");
    assert_eq!(files.keys().collect::<Vec<_>>(), FILES);
    for (name, bytes) in &files {
        let first = String::from_utf8(bytes.clone()).unwrap();
        assert!(first.starts_with("# "), "{name} does not begin by saying what it is for");
    }
    shop.exits(0, &["fmt", "--check", "mine/tool-shed.members"]);
    for check in [
        &["check", "mine/batch.toml"][..],
        &["check", "mine/tool-shed.members", "--library", "mine/shop/library.toml"],
    ] {
        assert_eq!(shop.exits(0, check).err, "Nothing found.\n");
    }
    let begun = Instant::now();
    let run = shop.exits(0, &["compile", "mine/batch.toml", "--out", "mine/today"]);
    assert!(begun.elapsed().as_millis() < 1000, "{:?}", begun.elapsed());
    assert!(run.err.starts_with("Wrote mine/today: ") && run.err.contains(pieces), "{}", run.err);
    let run = shop.exits(0, &["verify", "mine/today"]);
    assert!(run.out.contains("Products: right") && run.err.is_empty(), "{run:#?}");
    shop.exits(
        0,
        &["dialect", "check", "mine/shop/controller.toml", "--line", "mine/shop/line.toml"],
    );
}

#[test]
fn a_new_shop_in_millimetres_compiles_as_it_stands() {
    works(&[], " 9 pieces");
}

#[test]
fn a_new_shop_in_inches_compiles_as_it_stands() {
    works(&["--inch"], " 12 pieces");
}

/// E0922: nothing of anybody's is mixed with it, an output of ours neither, and nothing is left
/// beside.
#[test]
fn a_folder_that_holds_anything_is_left_as_it_is() {
    let shop = Shop::new();
    shop.write("notes/monday", "mine");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let before = shop.files("");
    for folder in ["notes", "out"] {
        let run = shop.exits(2, &["new", folder]);
        run.finds("E0922");
        assert!(run.out.is_empty(), "{run:#?}");
    }
    shop.exits(2, &["new", "notes/monday"]).finds("E0908");
    let run = shop.exits(2, &["new", "."]);
    run.finds("E0909");
    assert!(run.err.contains("`.` is the folder you are in"), "{}", run.err);
    assert_eq!(shop.files(""), before);
    assert!(!shop.names("").iter().any(|name| name.starts_with('.')));
}

#[test]
fn an_empty_folder_is_filled_and_folders_on_the_way_are_made() {
    let shop = Shop::new();
    std::fs::create_dir(shop.path("empty")).unwrap();
    for folder in ["empty", "a/b/c"] {
        let run = shop.exits(0, &["new", folder]);
        assert!(run.err.contains(&format!("preview {folder}/batch.toml\n")), "{}", run.err);
        assert_eq!(shop.files(folder).keys().collect::<Vec<_>>(), FILES);
    }
    // A shell would part this name: what is to be typed has it in quotes.
    let run = shop.exits(0, &["new", "Bob's shop"]);
    assert!(run.err.contains("preview 'Bob'\\''s shop/batch.toml'\n"), "{}", run.err);
}
