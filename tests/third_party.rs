//! Whose work the program is built with, and under which licences: `THIRD-PARTY.md` lists what
//! `Cargo.lock` holds, and nothing in it asks for more than to be named.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::disallowed_types, missing_docs)]

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::Command;

/// Licences under which work may be used and passed on with its notice alone.
const ALLOWED: [&str; 12] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// What cargo knows of the packages; one platform, so that the list is the same everywhere.
fn metadata() -> Value {
    let output = Command::new(env!("CARGO"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .args(["metadata", "--format-version", "1", "--locked"])
        .args(["--filter-platform", "x86_64-unknown-linux-gnu"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

/// Packages that become part of the program: reached without tests, benches and build scripts.
fn in_the_program(metadata: &Value) -> BTreeSet<String> {
    let nodes = metadata["resolve"]["nodes"].as_array().unwrap();
    let nodes: BTreeMap<&str, &Value> =
        nodes.iter().map(|node| (node["id"].as_str().unwrap(), node)).collect();
    let mut reached = BTreeSet::new();
    let mut next = vec![metadata["resolve"]["root"].as_str().unwrap()];
    while let Some(id) = next.pop() {
        if !reached.insert(id.to_string()) {
            continue;
        }
        for dep in nodes[id]["deps"].as_array().unwrap() {
            let kinds = dep["dep_kinds"].as_array().unwrap();
            if kinds.iter().any(|kind| kind["kind"].is_null()) {
                next.push(dep["pkg"].as_str().unwrap());
            }
        }
    }
    reached
}

/// Whether a licence expression leaves a choice that is allowed.
fn is_allowed(expression: &str) -> bool {
    let expression = expression.replace('/', " OR ");
    expression.split(" AND ").all(|part| {
        let part = part.trim().trim_start_matches('(').trim_end_matches(')');
        part.split(" OR ").any(|licence| ALLOWED.contains(&licence.trim()))
    })
}

#[test]
fn every_licence_is_named_and_allowed() {
    let metadata = metadata();
    let program = in_the_program(&metadata);
    let mut page = "# Work of others\n\n\
        Coilwright is built with the crates below, each under the licence its authors state. The \
        program holds those of the first list; those of the second only build or test it. Sources \
        and notices come with each crate.\n\n\
        `COILWRIGHT_BLESS=1 cargo test --test third_party` makes this page anew.\n"
        .to_string();
    let mut all: Vec<(bool, &str, &str, &str)> = Vec::new();
    for package in metadata["packages"].as_array().unwrap() {
        let text = |key: &str| package[key].as_str().unwrap_or_default();
        if text("name") == "coilwright" {
            continue;
        }
        let (name, licence) = (text("name"), text("license"));
        assert!(is_allowed(licence), "{name}: `{licence}` is not among the licences allowed");
        all.push((!program.contains(text("id")), name, text("version"), licence));
    }
    all.sort_unstable();
    assert!(all.len() > 50, "only {} crates", all.len());
    for (title, only) in [("In the program", false), ("Only to build and test it", true)] {
        page.push_str(&format!("\n## {title}\n\n| crate | version | licence |\n|---|---|---|\n"));
        for (_, name, version, licence) in all.iter().filter(|one| one.0 == only) {
            page.push_str(&format!("| {name} | {version} | {licence} |\n"));
        }
    }
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("THIRD-PARTY.md");
    if std::env::var_os("COILWRIGHT_BLESS").is_some() {
        std::fs::write(&file, &page).unwrap();
    }
    let stands = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(stands == page, "stale: COILWRIGHT_BLESS=1 cargo test --test third_party");
}

#[test]
fn what_is_not_allowed_is_seen() {
    assert!(is_allowed("MIT") && is_allowed("Unlicense/MIT"));
    assert!(is_allowed("MIT OR Apache-2.0 OR LGPL-2.1-or-later"));
    assert!(is_allowed("(MIT OR Apache-2.0) AND Unicode-3.0"));
    for wrong in ["", "GPL-3.0", "MIT AND GPL-3.0", "(LGPL-2.1 OR GPL-3.0) AND MIT"] {
        assert!(!is_allowed(wrong), "{wrong}");
    }
}
