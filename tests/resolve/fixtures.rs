use crate::fixture;
use coilwright::check::check;
use coilwright::diagnostic::Diagnostic;
use coilwright::library::load_batch;
use coilwright::member::resolve::resolve;
use coilwright::quantity::{MemoryFiles, Sources, Span};

fn found(text: &fixture::Fixture) -> (Vec<Diagnostic>, Sources) {
    let mut files = fixture::base();
    files.extend(text.files.clone());
    let files = MemoryFiles(files.into_iter().map(|(n, t)| (n, t.into_bytes())).collect());
    let mut sources = Sources::default();
    let (loaded, mut found) = load_batch(&files, &mut sources, "batch.toml");
    let loaded = loaded.expect("a batch");
    let names: Vec<(String, Option<Span>)> =
        loaded.jobs.iter().map(|(path, span)| (path.clone(), Some(*span))).collect();
    let (jobs, faults) =
        resolve(&files, &mut sources, &names, &loaded.library, &loaded.batch.mark_text);
    found.extend(faults);
    found.extend(check(&jobs, &loaded.library).diagnostics);
    (found, sources)
}

fn placed(diagnostic: &Diagnostic, sources: &Sources) -> fixture::Expected {
    let span = diagnostic.span().expect("a place");
    let file = sources.get(span.file).unwrap();
    let (from, to) = (file.position(span.start), file.position(span.end));
    let last = if span.end <= span.start {
        from.column
    } else if to.line == from.line {
        to.column - 1
    } else {
        u32::try_from(file.line(from.line).chars().count()).unwrap()
    };
    fixture::Expected {
        file: file.name().to_string(),
        line: from.line,
        first: from.column,
        last,
        severity: diagnostic.severity.word().to_string(),
        code: diagnostic.code.number.to_string(),
    }
}

/// Each wrong example of this area finds what it says, where it says so; each right one is clean.
#[test]
fn fixtures_find_what_they_say() {
    let mut faults = Vec::new();
    let mut seen = 0;
    for fixture in fixture::all() {
        if fixture.code.number.get(1..3) != Some("02") {
            continue;
        }
        seen += 1;
        let (diagnostics, sources) = found(&fixture);
        let mut places: Vec<_> = diagnostics.iter().map(|d| placed(d, &sources)).collect();
        places.sort();
        if places != fixture.expected {
            faults.push(format!(
                "{}:\n{}",
                fixture.path.file_name().unwrap().display(),
                places.iter().map(|p| format!("  {p}\n")).collect::<String>()
            ));
        }
        for diagnostic in &diagnostics {
            let code = diagnostic.code.number;
            assert!(diagnostic.help.is_some(), "{code}: {} says no help", diagnostic.message);
        }
    }
    assert!(seen > 90, "{seen} fixtures");
    assert!(faults.is_empty(), "{} fixtures find:\n{}", faults.len(), faults.join("\n"));
}
