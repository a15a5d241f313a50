//! What `compile` leaves on the disk: everything, or nothing.

use super::shop::Shop;
use std::collections::BTreeMap;

const COMPILE: [&str; 4] = ["compile", "batch.toml", "--out", "out"];

#[test]
fn works_the_second_time_with_the_same_bytes_and_leaves_nothing_beside() {
    let shop = Shop::new();
    let before = shop.names("");
    shop.exits(0, &COMPILE);
    let first = shop.files("out");
    assert!(first.contains_key("manifest.json") && first.contains_key("inputs/batch.toml"));
    shop.exits(0, &COMPILE);
    assert_eq!(first, shop.files("out"));
    let mut now = shop.names("");
    now.retain(|name| name != "out");
    assert_eq!(now, before);
}

/// The same files with the same bytes.
fn same(one: &BTreeMap<String, Vec<u8>>, other: &BTreeMap<String, Vec<u8>>) {
    assert_eq!(one.keys().collect::<Vec<_>>(), other.keys().collect::<Vec<_>>());
    for (name, bytes) in one {
        assert!(other[name] == *bytes, "{name} differs");
    }
}

#[test]
fn threads_and_places_change_no_byte() {
    let shop = Shop::new();
    shop.enlarge();
    shop.exits(0, &COMPILE);
    let one = shop.files("out");
    let programs = one.keys().filter(|name| name.starts_with("programs/")).count();
    assert!(programs > 1, "a test of threads needs more than one run");
    shop.exits(0, &["--threads", "2", "compile", "batch.toml", "--out", "two"]);
    same(&one, &shop.files("two"));

    // From elsewhere, by an absolute name, in a folder of another name.
    let elsewhere = Shop::new();
    elsewhere.copy_into("another place");
    for name in ["job.members", "stock.toml"] {
        elsewhere.write(format!("another place/{name}"), shop.read(name));
    }
    let batch = elsewhere.path("another place/batch.toml");
    shop.exits(0, &["compile", batch.to_str().unwrap(), "--out", "three"]);
    same(&one, &shop.files("three"));
    for (name, bytes) in &one {
        let text = String::from_utf8_lossy(bytes);
        let folder = shop.path("");
        assert!(!text.contains(folder.to_str().unwrap()), "{name} knows the machine");
    }
}

#[test]
fn inputs_outside_the_batchs_folder_are_carried_and_compile_where_they_lie() {
    let shop = Shop::new();
    shop.copy_into("jobs/monday");
    std::fs::remove_file(shop.path("jobs/monday/line.toml")).unwrap();
    std::fs::remove_file(shop.path("jobs/monday/features.toml")).unwrap();
    shop.edit("jobs/monday/batch.toml", "\"line.toml\"", "\"../../line.toml\"");
    shop.edit("jobs/monday/batch.toml", "\"features.toml\"", "\"../../features.toml\"");
    shop.exits(0, &["compile", "jobs/monday/batch.toml", "--out", "out"]);
    let files = shop.files("out");
    assert!(files.contains_key("inputs/line.toml"), "{:?}", files.keys());
    shop.exits(0, &["verify", "out"]);
    // The stored batch compiles to the same programs.
    let manifest: serde_json::Value = serde_json::from_slice(&files["manifest.json"]).unwrap();
    let batch = manifest["manifest"]["batch_file"].as_str().unwrap();
    shop.exits(0, &["compile", &format!("out/{batch}"), "--out", "again"]);
    assert_eq!(files, shop.files("again"));
}

#[test]
fn an_unwritable_output_is_refused_and_nothing_is_left() {
    // E0906
    let shop = Shop::new();
    if cfg!(target_os = "linux") {
        // Nobody makes folders there, not even the administrator.
        let run = shop.exits(2, &["compile", "batch.toml", "--out", "/proc/coilwright"]);
        run.finds("E0906");
    }
    let before = shop.names("");
    let below = shop.path("batch.toml/out");
    shop.exits(2, &["compile", "batch.toml", "--out", below.to_str().unwrap()]);
    assert_eq!(shop.names(""), before);
}

#[test]
fn a_foreign_folder_is_refused_and_stays() {
    // E0907
    let shop = Shop::new();
    shop.write("out/notes.txt", "mine");
    shop.exits(2, &COMPILE).finds("E0907");
    assert_eq!(shop.names("out"), ["notes.txt"]);
    // Ours, with something added, is foreign too.
    std::fs::remove_file(shop.path("out/notes.txt")).unwrap();
    shop.exits(0, &COMPILE);
    shop.write("out/programs/edited.txt", "mine");
    let before = shop.files("out");
    let run = shop.exits(2, &COMPILE);
    assert!(run.finds("E0907").err.contains("programs/edited.txt"), "{}", run.err);
    assert_eq!(shop.files("out"), before);
}

/// As a program of another version wrote it: replaced where nobody has touched it, and refused by
/// `verify` with the reason.
#[test]
fn a_folder_of_another_version_is_replaced_and_not_verified() {
    let shop = Shop::new();
    shop.exits(0, &COMPILE);
    let ours = shop.files("out");
    resealed(&shop, |manifest| {
        manifest["version"] = 1.into();
        manifest["programs"] = "as they were told then".into();
    });
    let run = shop.exits(2, &["verify", "out"]);
    assert!(run.err.contains("version 1"), "{}", run.err);
    // Nothing but what is listed is ever taken away.
    shop.write("out/programs/edited.txt", "mine");
    shop.exits(2, &COMPILE).finds("E0907");
    std::fs::remove_file(shop.path("out/programs/edited.txt")).unwrap();
    shop.exits(0, &COMPILE);
    same(&ours, &shop.files("out"));
}

/// Changes the manifest of `out`, and seals it as one of ours is: by a hash over its compact
/// spelling.
pub fn resealed(shop: &Shop, change: impl FnOnce(&mut serde_json::Value)) {
    let mut sealed: serde_json::Value =
        serde_json::from_str(&shop.read("out/manifest.json")).unwrap();
    change(&mut sealed["manifest"]);
    let compact = serde_json::to_vec(&sealed["manifest"]).unwrap();
    sealed["sha256"] = sha256(&compact).into();
    let text = serde_json::to_string_pretty(&sealed).unwrap() + "\n";
    shop.write("out/manifest.json", text);
}

fn sha256(bytes: &[u8]) -> String {
    let digest = <sha2::Sha256 as sha2::Digest>::digest(bytes);
    digest.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn a_file_at_the_output_is_refused() {
    // E0908
    let shop = Shop::new();
    shop.write("out", "a file");
    shop.exits(2, &COMPILE).finds("E0908");
    assert_eq!(shop.read("out"), "a file");
}

#[test]
fn an_output_over_its_own_inputs_is_refused() {
    // E0909
    let shop = Shop::new();
    let before = shop.files("");
    shop.exits(2, &["compile", "batch.toml", "--out", "."]).finds("E0909");
    assert_eq!(shop.files(""), before);
    shop.exits(0, &COMPILE);
    shop.exits(2, &["compile", "out/inputs/batch.toml", "--out", "out"]).finds("E0909");
    shop.exits(0, &["verify", "out"]);
}

#[test]
fn errors_leave_a_former_output_alone() {
    let shop = Shop::new();
    shop.exits(0, &COMPILE);
    let before = shop.files("out");
    shop.edit("job.members", "length height", "length height * 100");
    shop.exits(1, &COMPILE);
    assert_eq!(shop.files("out"), before);
}
