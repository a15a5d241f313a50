//! One mistake in a description is one finding, in the words of that mistake.

use super::*;

/// The one finding of the plain description with these changes: its code, and message and help.
#[track_caller]
fn one(changes: &[(&str, &str)]) -> (&'static str, String) {
    let found = findings(&plain_with(changes), &shed_line());
    let told: Vec<_> = found.iter().map(|d| (d.code.number, d.message.as_str())).collect();
    assert_eq!(found.len(), 1, "{told:#?}");
    (found[0].code.number, format!("{}. {}", found[0].message, found[0].help.as_deref().unwrap()))
}

#[test]
fn a_format_of_the_other_kind_is_named_as_such() {
    let tool = "':', { field = \"tool\" }";
    let number = one(&[(tool, "':', { field = \"tool\", format = \"count\" }")]);
    assert_eq!(
        number,
        (
            "E0702",
            "there is no text format `count`. `tool` is a text, and `count` is a number format: \
             name a text format, `name`; or leave `format` out to write the code alone"
                .to_string()
        )
    );
    let serial = "{ field = \"serial\", format = \"count\" }";
    let text = one(&[(serial, "{ field = \"serial\", format = \"name\" }")]);
    assert_eq!(
        text,
        (
            "E0702",
            "there is no number format `name`. `serial` is a number, and `name` is a text format: \
             name a number format, `position` or `count`"
                .to_string()
        )
    );
}

#[test]
fn what_is_counted_is_told_without_advances() {
    let serial = "{ field = \"serial\", format = \"count\" }";
    let (code, words) = one(&[(serial, "{ field = \"serial\", format = \"position\" }")]);
    assert_eq!(code, "E0706");
    assert!(words.contains("`unit = \"count\"`") && !words.contains("advance"), "{words}");
    // Where the format does count from the event before, that is what is wrong.
    let relative = ("sign = \"never\"", "sign = \"never\"\nadvance = \"relative\"");
    let found = findings(&plain_with(&[relative]), &shed_line());
    assert!(found.iter().all(|d| d.code.number == "E0706"), "{found:#?}");
    assert!(found[0].help.as_ref().unwrap().contains("without `advance`"), "{found:#?}");
}

#[test]
fn all_that_a_record_lacks_is_told_at_once() {
    let head = PLAIN.split_once("run-begin = [").unwrap().1;
    let (head, _) = head.split_once("\n]").unwrap();
    let (code, words) = one(&[(head, "'run;'")]);
    assert_eq!(code, "E0704");
    assert!(
        words.starts_with(
            "record `run-begin` does not write `program`, `batch`, `line`, `profile`, `coil` and \
             `warm`. add `{ field = \"program\" }`, "
        ),
        "{words}"
    );
}

#[test]
fn a_phase_that_is_missing_names_lines_that_have_none() {
    let phase = "{ field = \"phase\", format = \"count\" }, ':', ";
    let found = findings(&plain_with(&[(phase, "")]), &shed_line());
    let missing = found.iter().find(|d| d.code.number == "E0704").unwrap();
    assert!(missing.notes.iter().any(|note| note.contains("at-once")), "{missing:#?}");
}

/// A key of the file that was written below a table's header.
#[test]
fn tool_numbers_stand_above_the_tables() {
    let (code, words) = one(&[("[records]", "tool-numbers-from = 1\n\n[records]")]);
    assert_eq!(code, "E0302");
    assert!(words.contains("above the first line in brackets"), "{words}");
}
