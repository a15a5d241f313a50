//! Every fixture of a diagnostic finds what it says, where it says, and nothing else.
//!
//! `COILWRIGHT_BLESS=1` puts the places of findings that are expected at `0:0-0` into the fixtures.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    missing_docs
)]

mod fixture;

use coilwright::diagnostic::Diagnostic;
use coilwright::library::load_labels;
use coilwright::plan::{self, Options, Shop};
use coilwright::quantity::{MemoryFiles, Sources};
use fixture::{Expected, Fixture};

/// All a compilation says about a batch, in memory. Grammar, names and members (x01nn, x02nn,
/// x04nn) need no line, and a detailer may have none: their examples are not planned. Labels (x12nn)
/// are read beside the batch.
fn findings(fixture: &Fixture) -> (Vec<Diagnostic>, Sources) {
    let mut files = MemoryFiles::default();
    for (name, text) in fixture::base().into_iter().chain(fixture.files.clone()) {
        files.0.insert(name, text.into_bytes());
    }
    let mut sources = Sources::default();
    let (shop, mut found) = Shop::open(&files, &mut sources, "batch.toml");
    found.extend(load_labels(&files, &mut sources, "labels.toml").1);
    let without_line = matches!(fixture.code.number.get(1..3), Some("01" | "02" | "04" | "12"));
    if let Some(shop) = shop.filter(|_| !without_line) {
        let options = Options { ticks: 2_000, threads: 1 };
        found.extend(plan::plan(&shop.inputs(), &options, &()).1);
    }
    (found, sources)
}

/// A finding as fixtures write it. Findings without a place stand at the batch file's head.
fn written(found: &Diagnostic, sources: &Sources) -> Expected {
    let severity = found.severity.word().to_string();
    let code = found.code.number.to_string();
    let Some(span) = found.span() else {
        let file = "batch.toml".to_string();
        return Expected { file, line: 0, first: 0, last: 0, severity, code };
    };
    let file = sources.get(span.file).unwrap();
    let (from, to) = (file.position(span.start), file.position(span.end));
    let last = if from.line == to.line {
        (to.column - 1).max(from.column)
    } else {
        file.line(from.line).chars().count() as u32
    };
    Expected {
        file: file.name().to_string(),
        line: from.line,
        first: from.column,
        last,
        severity,
        code,
    }
}

fn bless(fixture: &Fixture, found: &[Expected]) {
    let mut text = std::fs::read_to_string(&fixture.path).unwrap();
    for e in found {
        let open = format!("# {}[{}] 0:0-0", e.severity, e.code);
        let settled = format!("# {}[{}] {}:{}-{}", e.severity, e.code, e.line, e.first, e.last);
        text = text.replacen(&open, &settled, 1);
    }
    std::fs::write(&fixture.path, text).unwrap();
}

#[test]
fn fixtures_find_what_they_say() {
    let mut faults = Vec::new();
    let mut held = 0;
    for fixture in fixture::all() {
        let name = fixture.path.file_name().unwrap().to_string_lossy().to_string();
        let (found, sources) = findings(&fixture);
        let mut found: Vec<Expected> = found.iter().map(|d| written(d, &sources)).collect();
        found.sort();
        if std::env::var_os("COILWRIGHT_BLESS").is_some() {
            bless(&fixture, &found);
        }
        if found != fixture.expected {
            let list = |all: &[Expected]| -> String {
                all.iter().map(|e| format!("\n      {e}")).collect()
            };
            faults.push(format!(
                "{name}\n    says{}\n    found{}",
                list(&fixture.expected),
                list(&found)
            ));
            continue;
        }
        held += 1;
        let errors = found.iter().any(|e| e.severity == "error");
        assert!(!fixture.right || !errors, "{name}: a right example has errors");
    }
    println!("{held} fixtures hold");
    assert!(faults.is_empty(), "{} fixtures:\n{}", faults.len(), faults.join("\n"));
}

/// Every finding anywhere in the fixtures says what to do instead.
#[test]
fn every_finding_has_a_help_line() {
    let mut seen = 0;
    for fixture in fixture::all() {
        for found in findings(&fixture).0 {
            seen += 1;
            let help = found.help.as_deref().unwrap_or("");
            assert!(
                !help.trim().is_empty(),
                "{} ({}) has no help",
                found.code.number,
                found.message
            );
            assert!(!found.message.trim().is_empty(), "{}", found.code.number);
        }
    }
    assert!(seen > 50, "{seen} findings in all fixtures");
}
