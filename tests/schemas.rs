//! JSON Schemas of the TOML kinds: committed, fresh, and true to what the reader takes.
//!
//! After a change of wire types: `COILWRIGHT_BLESS=1 cargo test --test schemas`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]
#![allow(clippy::disallowed_methods)] // tests read and write fixtures

use coilwright::exchange;
use coilwright::library::{KINDS, SHIPPED, schema};
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn committed(kind: &str) -> PathBuf {
    root().join(format!("grammar/schemas/{kind}.json"))
}

#[test]
fn committed_schemas_are_fresh() {
    let update = std::env::var_os("COILWRIGHT_BLESS").is_some();
    let read = KINDS.iter().map(|kind| (*kind, schema(kind)));
    let exchanged = exchange::KINDS.iter().map(|kind| (*kind, exchange::schema(kind)));
    for (kind, fresh) in read.chain(exchanged) {
        let fresh = fresh.unwrap();
        if update {
            fs::write(committed(kind), &fresh).unwrap();
        }
        let text = fs::read_to_string(committed(kind)).unwrap_or_default();
        assert!(
            text == fresh,
            "grammar/schemas/{kind}.json is stale: COILWRIGHT_BLESS=1 cargo test --test schemas"
        );
    }
    assert_eq!(schema("nonsense"), None);
    assert_eq!(exchange::schema("nonsense"), None);
}

/// The map of the demo, and members as they are written, are valid by their schemas.
#[test]
fn maps_and_members_are_valid() {
    let of = |kind: &str| {
        let schema: Value = serde_json::from_str(&exchange::schema(kind).unwrap()).unwrap();
        jsonschema::validator_for(&schema).unwrap()
    };
    let text = fs::read_to_string(root().join("fixtures/boatshed/office/map.toml")).unwrap();
    let errors: Vec<String> = of("map").iter_errors(&json(&text)).map(|e| e.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    assert!(!of("map").is_valid(&json(&text.replace("header-line", "header"))));
    let job = exchange::DrawnJob { name: "KP".into(), ..Default::default() };
    let written: Value = serde_json::from_str(&exchange::json::write(&job)).unwrap();
    assert!(of("members").is_valid(&written));
    let wrong = serde_json::json!({ "format": "coilwright members 1", "job": {}, "frames": [] });
    assert!(!of("members").is_valid(&wrong));
}

fn validator(kind: &str) -> jsonschema::Validator {
    let schema: Value = serde_json::from_str(&schema(kind).unwrap()).unwrap();
    jsonschema::validator_for(&schema).unwrap()
}

fn json(toml: &str) -> Value {
    serde_json::to_value(toml::from_str::<toml::Table>(toml).unwrap()).unwrap()
}

fn base(kind: &str) -> String {
    fs::read_to_string(root().join(format!("fixtures/diagnostics/base/{kind}.toml"))).unwrap()
}

/// What the reader takes, the schema takes.
#[test]
fn good_files_are_valid() {
    let mut files: Vec<(&str, String)> = KINDS
        .into_iter()
        .filter(|kind| *kind != "library")
        .map(|kind| (kind, base(kind)))
        .collect();
    files.push(("library", "features = [\"f.toml\"]\nshipped = [\"astm-c955-01\"]\n".into()));
    for set in &SHIPPED {
        let kind = if set.name == "usual-features" { "features" } else { "rules" };
        files.push((kind, set.text.into()));
    }
    for (kind, text) in files {
        let errors: Vec<String> =
            validator(kind).iter_errors(&json(&text)).map(|e| e.to_string()).collect();
        assert!(errors.is_empty(), "{kind}: {errors:?}");
    }
}

/// TOML has no null, so no schema offers one.
#[test]
fn no_schema_speaks_of_null() {
    for kind in KINDS {
        assert!(!schema(kind).unwrap().contains("null"), "{kind}");
    }
}

/// What the reader refuses for its keys and kinds, the schema refuses.
#[test]
fn wrong_keys_kinds_and_words_are_not() {
    let changes: BTreeMap<&str, [(&str, &str); 3]> = BTreeMap::from([
        (
            "batch",
            [("keep =", "kep ="), ("keep = \"2 m\"", "keep = true"), ("\"frame\"", "\"frames\"")],
        ),
        (
            "calibration",
            [("date =", "day ="), ("\"2026-11-20\"", "20"), ("\"coilwright\"", "\"us\"")],
        ),
        ("dialect", [("level =", "levl ="), ("unit = \"mm\"", "unit = 1"), ("\"lf\"", "\"cr\"")]),
        (
            "done",
            [
                ("last-serial =", "last ="),
                ("serial = 1", "serial = \"one\""),
                ("copy = 1", "copy = []"),
            ],
        ),
        ("features", [("form =", "from ="), ("\"60 mm\"", "[60]"), ("\"slot\"", "\"slit\"")]),
        ("labels", [("name =", "nmae ="), ("rows = 8", "rows = \"8\""), ("\"34 mm\"", "[34]")]),
        ("line", [("slug =", "slag ="), ("\"0.4 s\"", "0.4"), ("\"straddle\"", "\"stradle\"")]),
        (
            "log",
            [("before =", "befor ="), ("unit = \"mm\"", "unit = 1"), ("\"serial\"", "\"tool\"")],
        ),
        (
            "measured",
            [("by =", "buy ="), ("serial = 1", "serial = \"one\""), ("\"near-edge\"", "\"near\"")],
        ),
        ("profiles", [("web =", "wep ="), ("\"90 mm\"", "{}"), ("\"lipped-channel\"", "\"C\"")]),
        (
            "rules",
            [("id =", "ids ="), ("limit = \"600 mm\"", "limit = []"), ("\"warning\"", "\"bad\"")],
        ),
        (
            "stock",
            [
                ("grade =", "grad ="),
                ("\"800 kg\"", "800"),
                ("part-used = true", "part-used = \"yes\""),
            ],
        ),
    ]);
    for (kind, changes) in changes {
        let validator = validator(kind);
        for (from, to) in changes {
            let text = base(kind);
            assert!(text.contains(from), "{kind}: {from}");
            let changed = json(&text.replacen(from, to, 1));
            assert!(!validator.is_valid(&changed), "{kind}: {from} → {to} is taken");
        }
    }
}
