//! The registry of codes is whole: each code is explained, held by a pair of fixtures or by a
//! test that is named, and told on the page made from them.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, missing_docs)]

mod fixture;

use coilwright::diagnostic::codes;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Codes whose cause cannot be written as input files, with the test that holds each.
fn exempt() -> BTreeMap<String, String> {
    let text = std::fs::read_to_string(root().join("tests/registry/exempt.txt")).unwrap();
    let mut exempt = BTreeMap::new();
    for line in text.lines().filter(|line| !line.is_empty() && !line.starts_with('#')) {
        let (code, test) = line.split_once(' ').unwrap_or_else(|| panic!("{line}: names no test"));
        let twice = exempt.insert(code.to_string(), test.trim().to_string());
        assert!(twice.is_none(), "{code} twice");
    }
    exempt
}

#[test]
fn every_code_has_a_wrong_and_a_right_example_or_a_test_of_its_own() {
    let fixtures: BTreeSet<(&str, bool)> =
        fixture::all().iter().map(|f| (f.code.number, f.right)).collect();
    let exempt = exempt();
    let mut faults = Vec::new();
    for code in codes::all() {
        let (wrong, right) =
            (fixtures.contains(&(code.number, false)), fixtures.contains(&(code.number, true)));
        match (wrong, right, exempt.contains_key(code.number)) {
            (true, true, false) | (false, false, true) => {}
            (_, _, true) => faults.push(format!("{}: exempt and has a fixture", code.number)),
            (wrong, right, false) => faults.push(format!(
                "{}-{}: {}{}missing",
                code.number,
                code.slug,
                if wrong { "" } else { ".wrong " },
                if right { "" } else { ".right " },
            )),
        }
    }
    for (code, test) in &exempt {
        if codes::find(code).is_none() {
            faults.push(format!("{code}: exempt, but there is no such code"));
        }
        let (path, name) = test.split_once("::").unwrap_or((test, ""));
        let text = std::fs::read_to_string(root().join(path)).unwrap_or_default();
        let function = name.rsplit("::").next().unwrap_or("");
        if function.is_empty()
            || !text.contains(&format!("#[test]\nfn {function}()"))
                && !text.contains(&format!("#[test]\n    fn {function}()"))
        {
            faults.push(format!("{code}: there is no test `{test}`"));
        } else if !text.contains(code.as_str()) {
            faults.push(format!("{code}: the test's file `{path}` never mentions it"));
        }
    }
    assert!(faults.is_empty(), "{} codes:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn fixtures_show_only_what_they_are_about() {
    for fixture in fixture::all() {
        let shown = fixture.path.file_name().unwrap().to_string_lossy().to_string();
        if fixture.right {
            let about = fixture.expected.iter().find(|e| e.code == fixture.code.number);
            assert!(about.is_none(), "{shown}: a right example expects its own code");
        } else {
            let about = fixture.expected.iter().find(|e| e.code == fixture.code.number);
            assert!(about.is_some(), "{shown}: a wrong example expects its code");
        }
    }
}

#[test]
fn every_code_is_explained() {
    for code in codes::all() {
        let words = code.explanation.split_whitespace().count();
        assert!(words >= 15, "{}: {words} words explain nothing", code.number);
        assert!(code.explanation.ends_with('.'), "{}", code.number);
        assert!(!code.title.ends_with('.') && code.title.len() < 100, "{}", code.number);
        let plain =
            code.slug.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
        assert!(plain, "{}: slug `{}`", code.number, code.slug);
    }
}

/// The page of all codes, with the right and wrong lines of their fixtures.
fn page() -> String {
    let fixtures = fixture::all();
    let mut page = "# What Coilwright tells you\n\n\
        Every finding has a code that is never reused. `coilwright explain E0405` prints what \
        stands here. The first letter is the usual severity: E an error (nothing is made), W a \
        warning (it can be made; someone should look), N a note (the decision is somebody \
        else's). Rule sets may set another severity for their own findings.\n\n\
        This page is made from the registry of codes and from `fixtures/diagnostics`; \
        `COILWRIGHT_BLESS=1 cargo test --test registry` makes it anew.\n\n"
        .to_string();
    page.push_str("| code | name | what |\n|---|---|---|\n");
    for code in codes::all() {
        page.push_str(&format!(
            "| [{0}](#{1}) | {2} | {3} |\n",
            code.number,
            code.number.to_lowercase(),
            code.slug,
            code.title.replace('|', "\\|")
        ));
    }
    for code in codes::all() {
        page.push_str(&format!(
            "\n## {}\n\n**{}** ({}): {}\n\n{}\n",
            code.number,
            code.slug,
            code.severity.word(),
            code.title,
            code.explanation
        ));
        for fixture in fixtures.iter().filter(|f| f.code == code) {
            let title = if fixture.right { "Right" } else { "Wrong" };
            for (name, text) in &fixture.files {
                let lines: String = text
                    .split_inclusive('\n')
                    .skip(fixture.expected.iter().filter(|e| e.file == *name).count())
                    .collect();
                let fence = if lines.contains("```") { "~~~~" } else { "```" };
                let closed = if lines.ends_with('\n') { "" } else { "\n" };
                page.push_str(&format!(
                    "\n{title}, in `{name}`:\n\n{fence}text\n{lines}{closed}{fence}\n"
                ));
            }
        }
    }
    page
}

fn held_fresh(path: &str, fresh: &str) {
    let file = root().join(path);
    if std::env::var_os("COILWRIGHT_BLESS").is_some() {
        std::fs::write(&file, fresh).unwrap();
    }
    let stands = std::fs::read_to_string(&file).unwrap_or_default();
    assert!(stands == fresh, "{path} is stale: COILWRIGHT_BLESS=1 cargo test --test registry");
}

#[test]
fn the_page_of_codes_is_fresh() {
    held_fresh("grammar/diagnostics.md", &page());
}

#[test]
fn the_schema_of_findings_is_fresh() {
    held_fresh("grammar/schemas/diagnostics.json", &coilwright::diagnostic::json::schema());
}
