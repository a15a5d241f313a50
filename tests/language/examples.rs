//! The wrong and right example of each code of the grammar, as far as the parser sees them.
//! `COILWRIGHT_BLESS=1` writes down what is found; read it before it is committed.

#[path = "../fixture/mod.rs"]
mod fixture;

use super::read;
use coilwright::quantity::SourceFile;
use std::collections::BTreeMap;

#[test]
fn each_wrong_example_is_found_wrong_where_it_says_and_each_right_one_is_right() {
    let mut seen: BTreeMap<&str, u32> = BTreeMap::new();
    for fixture in fixture::all() {
        if !fixture.code.number.starts_with("E01") {
            continue;
        }
        *seen.entry(fixture.code.number).or_default() += 1;
        let name = fixture.path.display();
        let text = &fixture.files["job.members"];
        let source = SourceFile::new("job.members", text.as_str());
        let findings = read(text).1;
        let expected: Vec<String> = fixture
            .expected
            .iter()
            .map(|e| format!("# {}[{}] {}:{}-{}", e.severity, e.code, e.line, e.first, e.last))
            .collect();
        // A line more at the head moves what is found a line down.
        let blessing = std::env::var("COILWRIGHT_BLESS").is_ok() && !fixture.right;
        let added = if blessing { findings.len() - expected.len() } else { 0 };
        let mut found: Vec<String> = findings
            .iter()
            .map(|finding| {
                let span = finding.span().unwrap();
                let (from, to) = (source.position(span.start), source.position(span.end));
                let line = source.line(from.line).chars().count() + 1;
                let to = if to.line == from.line { to.column as usize } else { line };
                let last = (to - 1).max(from.column as usize);
                let line = from.line as usize + added;
                format!("# error[{}] {line}:{}-{last}", finding.code.number, from.column)
            })
            .collect();
        found.sort();
        if blessing {
            let rest = std::fs::read_to_string(&fixture.path).unwrap();
            let body: String = rest
                .split_inclusive('\n')
                .filter(|line| !expected.iter().any(|e| line.trim_end() == e))
                .collect();
            let head = "-- job.members --\n";
            let text = format!("{head}{}\n{}", found.join("\n"), &body[head.len()..]);
            std::fs::write(&fixture.path, text).unwrap();
            continue;
        }
        assert_eq!(found, expected, "{name}");
    }
    assert!(seen.len() > 15 && seen.values().all(|&count| count == 2), "{seen:?}");
}
