//! What a proof says of a line before there is a program: whatever no program could get round.

use super::*;
use coilwright::library::model::{Station, StationId, Works};

/// The small line, its tools three metres before the shear, fed from that much before nought.
fn fed_from_below() -> Line {
    let mut line = shed_line();
    let offset = Length::from_mm(3_000);
    line.stations.push(Station { name: "press".into(), offset, works: Works::Flat, span: NOWHERE });
    line.head.first_advance = Length::from_mm(-2_600);
    line
}

#[track_caller]
fn refused_on(line: &Line, changes: &[(&str, &str)], code: &str, says: &str) -> Diagnostic {
    let mut found = findings(&plain_with(changes), line);
    let told: Vec<_> = found.iter().map(|d| (d.code.number, d.message.clone())).collect();
    assert!(found.len() == 1 && found[0].code.number == code, "{told:#?}");
    assert!(found[0].message.contains(says), "{told:?}");
    found.remove(0)
}

#[test]
fn figures_below_nought_need_a_sign() {
    let unsigned = [("decimals = 3", "decimals = 3\nsign = \"never\"")];
    prove(&described(&plain_with(&unsigned)), &shed_line());
    let line = fed_from_below();
    let found = refused_on(&line, &unsigned, "E0731", "below advance 0");
    assert!(found.help.unwrap().contains("first-advance"));
    // The strip is under no tool before its edge has come that far.
    let line = Line { stations: Vec::new(), ..line };
    prove(&described(&plain_with(&unsigned)), &line);
}

#[test]
fn what_no_program_could_be_shorter_than_is_told() {
    let limited = |limit: &str| format!("[limits]\n{limit}\n[numbers.position]");
    for (limit, code, says) in [
        ("lines = 2", "E0736", "has 3 lines at least"),
        ("bytes = 40", "E0736", "bytes at least"),
        ("field = 8", "E0733", "each program has `shed line` for its line"),
        ("line = 12", "E0732", "the line that begins `run;"),
    ] {
        let limit = limited(limit);
        refused_on(&shed_line(), &[("[numbers.position]", &limit)], code, says);
    }
    // A stop with one stroke needs a line more; then all there is to say fits.
    let lines = |most: usize| limited(&format!("lines = {most}"));
    let found = refused_on(&shed_line(), &[("[numbers.position]", &lines(3))], "E0736", "`swage`");
    assert!(found.message.contains("4 lines"), "{}", found.message);
    prove(&described(&plain_with(&[("[numbers.position]", &lines(4))])), &shed_line());
    // The line's own name, in another character set.
    let mut line = shed_line();
    line.name = "Schuppen für Boote".into();
    refused_on(&line, &[], "E0730", "`ü`");
}

/// Steps are as short as the line moves, however long its members are.
#[test]
fn steps_need_no_room_for_a_member() {
    let mut line = shed_line();
    line.shortest = Length::from_mm(12_000);
    let unit = "unit = \"mm\"\ndecimals = 3";
    let narrow = |more: &str| format!("unit = \"mm\"\ndecimals = 1\nwidth = 6{more}");
    let found = refused_on(&line, &[(unit, &narrow(""))], "E0731", "wider than its format");
    assert!(found.notes.iter().any(|note| note.contains("every program")), "{found:#?}");
    let steps = narrow("\nadvance = \"relative\"");
    prove(&described(&plain_with(&[(unit, &steps)])), &line);
}

#[test]
fn no_tool_may_have_a_code_that_is_too_long() {
    let line = super::line(Length::from_um(100), &["swage", "a-tool-with-a-very-long-name"]);
    let limit = "[limits]\nfield = 20\n[numbers.position]";
    refused_on(&line, &[("[numbers.position]", limit)], "E0733", "a-tool-with-a-very-long-name");
}

/// At member level a program that takes off distances itself writes figures below nought.
#[test]
fn a_member_level_program_may_need_a_sign_too() {
    const TABLE: &str = include_str!("../../fixtures/dialects/member-table.toml");
    let mut line = fed_from_below();
    line.tools.iter_mut().for_each(|tool| tool.station = StationId(0));
    let unsigned = TABLE.replace("unit = \"mm\"", "unit = \"mm\"\nsign = \"never\"");
    assert!(findings(&unsigned, &line).is_empty());
    let program = unsigned.replace("offsets = \"controller\"", "offsets = \"program\"");
    let found = findings(&program, &line);
    assert_eq!(found.iter().map(|d| d.code.number).collect::<Vec<_>>(), ["E0731"], "{found:#?}");
}

/// Every record that is described has a part; at both levels, and told at its own place.
#[test]
fn an_empty_record_is_told() {
    const TABLE: &str = include_str!("../../fixtures/dialects/member-table.toml");
    let rs_274 = include_str!("../../fixtures/dialects/rs-274.toml");
    let mut tried = 0;
    for text in [PLAIN, TABLE, rs_274] {
        let records = text.split_once("[records]").unwrap().1;
        for line in records.lines() {
            let Some((scope, _)) = line.split_once(" = [") else { continue };
            let mut document: toml_edit::DocumentMut = text.parse().unwrap();
            document["records"][scope] = toml_edit::value(toml_edit::Array::new());
            let text = document.to_string();
            let (dialect, found) = try_described(&text);
            assert!(dialect.is_none(), "{scope}");
            let told: Vec<_> = found.iter().map(|d| (d.code.number, d.message.as_str())).collect();
            assert_eq!(told, [("E0707", &*format!("record `{scope}` is empty"))], "{text}");
            let span = found[0].span().unwrap();
            assert_eq!(&text[span.start as usize..span.end as usize], "[]");
            tried += 1;
        }
    }
    assert!(tried > 15, "{tried}");
}
