//! Findings as SARIF 2.1.0 (OASIS), for what collects findings of many tools. Only the codes that
//! were found are listed as rules.

use super::{Arranged, Code, Diagnostic, Label};
use crate::quantity::Sources;
use serde_json::{Value, json};

const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// These findings as one SARIF log with a line feed at its end.
pub fn report(found: &Arranged, sources: &Sources) -> String {
    let mut rules: Vec<&'static Code> = found.shown.iter().map(|d| d.code).collect();
    rules.sort_by_key(|code| code.number);
    rules.dedup();
    let results: Vec<Value> = found.shown.iter().map(|d| result(d, &rules, sources)).collect();
    let log = json!({
        "$schema": SCHEMA,
        "version": "2.1.0",
        "runs": [{
            "tool": { "driver": {
                "name": "coilwright",
                "version": env!("CARGO_PKG_VERSION"),
                "rules": rules.iter().map(|code| rule(code)).collect::<Vec<_>>(),
            } },
            "columnKind": "unicodeCodePoints",
            "results": results,
        }],
    });
    // Strings for keys cannot fail to serialise.
    let mut text = serde_json::to_string_pretty(&log).unwrap_or_default();
    text.push('\n');
    text
}

fn rule(code: &Code) -> Value {
    json!({
        "id": code.number,
        "name": code.slug,
        "shortDescription": { "text": code.title },
        "fullDescription": { "text": code.explanation },
        "defaultConfiguration": { "level": code.severity.word() },
    })
}

fn result(diagnostic: &Diagnostic, rules: &[&Code], sources: &Sources) -> Value {
    let places: Vec<Value> =
        diagnostic.labels.iter().filter_map(|label| location(label, sources)).collect();
    let (first, others) = places.split_at(places.len().min(1));
    let mut result = json!({
        "ruleId": diagnostic.code.number,
        "ruleIndex": rules.iter().position(|code| *code == diagnostic.code),
        "level": diagnostic.severity.word(),
        "message": { "text": diagnostic.lines() },
        "locations": first,
    });
    if let (false, Some(object)) = (others.is_empty(), result.as_object_mut()) {
        object.insert("relatedLocations".to_string(), others.into());
    }
    result
}

fn location(label: &Label, sources: &Sources) -> Option<Value> {
    let file = sources.get(label.span.file)?;
    let (start, end) = (file.position(label.span.start), file.position(label.span.end));
    let mut location = json!({ "physicalLocation": {
        "artifactLocation": { "uri": uri(file.name()) },
        "region": {
            "startLine": start.line, "startColumn": start.column,
            "endLine": end.line, "endColumn": end.column,
        },
    } });
    if let (false, Some(object)) = (label.text.is_empty(), location.as_object_mut()) {
        object.insert("message".to_string(), json!({ "text": label.text }));
    }
    Some(location)
}

/// A file's name as a relative reference of RFC 3986, an absolute path as a file URI of RFC 8089:
/// what is not unreserved or a slash is written as its bytes.
fn uri(name: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte);
    let written: String = name
        .bytes()
        .map(|byte| match plain(byte) {
            true => char::from(byte).to_string(),
            false => format!("%{byte:02X}"),
        })
        .collect();
    let drive = match name.as_bytes() {
        [letter, b':', b'/' | b'\\', rest @ ..] if letter.is_ascii_alphabetic() => {
            Some((char::from(*letter), String::from_utf8_lossy(rest).replace('\\', "/")))
        }
        _ => None,
    };
    match drive {
        Some((letter, rest)) => format!("file:///{letter}:/{}", uri(&rest)),
        None if name.starts_with('/') => format!("file://{written}"),
        None => written,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn absolute_paths_are_file_uris() {
        assert_eq!(uri("/shop/my walls/a.members"), "file:///shop/my%20walls/a.members");
        assert_eq!(uri("C:\\shop\\a b.members"), "file:///C:/shop/a%20b.members");
        assert_eq!(uri("shop/a.members"), "shop/a.members");
    }
    use crate::diagnostic::codes::files::{E0901, E0904};
    use crate::diagnostic::{Severity, arrange};
    use crate::quantity::{SourceFile, Span};

    #[test]
    fn each_finding_has_its_rule_its_place_and_its_mend() {
        let mut sources = Sources::default();
        let file = sources.add(SourceFile::new("my walls/ä.members", "é1\nöäü x\n"));
        let found = vec![
            Diagnostic::new(&E0904, "m")
                .at(Span::new(file, 4, 6), "here")
                .at(Span::new(file, 6, 11), "")
                .note("n")
                .help("h"),
            Diagnostic::new(&E0901, "no place").severity(Severity::Note),
        ];
        let log: Value = serde_json::from_str(&report(&arrange(found, 0), &sources)).unwrap();
        assert_eq!(log["version"], "2.1.0");
        let run = &log["runs"][0];
        let rules = run["tool"]["driver"]["rules"].as_array().unwrap();
        assert_eq!((&rules[0]["id"], &rules[1]["id"]), (&json!("E0901"), &json!("E0904")));
        assert_eq!(
            run["results"],
            json!([
                {
                    "ruleId": "E0904", "ruleIndex": 1, "level": "error",
                    "message": { "text": "m\nn\nh" },
                    "locations": [{
                        "physicalLocation": {
                            "artifactLocation": { "uri": "my%20walls/%C3%A4.members" },
                            "region": { "startLine": 2, "startColumn": 1,
                                        "endLine": 2, "endColumn": 2 },
                        },
                        "message": { "text": "here" },
                    }],
                    "relatedLocations": [{
                        "physicalLocation": {
                            "artifactLocation": { "uri": "my%20walls/%C3%A4.members" },
                            "region": { "startLine": 2, "startColumn": 2,
                                        "endLine": 2, "endColumn": 5 },
                        },
                    }],
                },
                {
                    "ruleId": "E0901", "ruleIndex": 0, "level": "note",
                    "message": { "text": "no place" }, "locations": [],
                },
            ])
        );
    }
}
