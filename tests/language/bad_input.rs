//! Whatever the bytes, the parser comes back soon, with a tree and its findings.

use super::{listing, members_files, read};
use coilwright::diagnostic::any_error;
use coilwright::language::{MOST_FINDINGS, format};
use proptest::prelude::*;

/// Reads any text and looks at what must hold of every outcome.
fn survives(text: &str) -> usize {
    let (tree, findings) = read(text);
    // A warning breaks nothing.
    let broken = any_error(&findings);
    assert_eq!(tree.broken, broken);
    assert!(findings.len() <= MOST_FINDINGS + 1);
    for finding in &findings {
        let span = finding.span().expect("a place");
        assert!(span.start <= span.end && span.end as usize <= text.len(), "{finding:?}");
        assert!(text.get(span.start as usize..span.end as usize).is_some(), "{finding:?}");
        assert!(finding.help.is_some(), "{finding:?}");
        assert!(finding.message.len() < 400, "{finding:?}");
    }
    assert!(tree.comments.is_sorted());
    assert_eq!(format(&tree, text).is_some(), !broken);
    findings.len()
}

fn piece() -> impl Strategy<Value = String> {
    let words = [
        "member",
        "frame",
        "recipe",
        "if",
        "else",
        "for",
        "in",
        "let",
        "=",
        "==",
        "(",
        ")",
        "[",
        "]",
        "{",
        "}",
        "\n",
        ";",
        ",",
        "at",
        "on",
        "web",
        "both",
        "ends",
        "every",
        "from",
        "to",
        "equal",
        "most",
        "tolerance",
        "-",
        "+",
        "/",
        "/+",
        "..",
        "1",
        "1/2",
        "3 1/2in",
        "2B-14",
        "S1",
        "wall",
        "stud",
        "x",
        "\"a\"",
        "\"",
        "#",
        "end",
        "start",
        "slope",
        ":",
        "not",
        "½",
        "length",
        "profile",
        "\r\n",
        "\t",
        "ø",
        "\u{feff}",
        "\0",
        "2-3",
        "waive",
        "group",
    ];
    proptest::sample::select(words.to_vec()).prop_map(str::to_string)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        survives(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn any_soup_of_tokens(
        pieces in proptest::collection::vec((piece(), any::<bool>()), 0..200)
    ) {
        let text: String =
            pieces.into_iter().map(|(piece, blank)| piece + if blank { " " } else { "" }).collect();
        survives(&text);
    }
}

#[test]
fn fixtures_cut_off_anywhere() {
    for (_, text) in members_files() {
        for (end, _) in text.char_indices().step_by(7) {
            survives(&text[..end]);
        }
    }
}

#[test]
fn empty_files_are_right_and_binary_ones_are_not() {
    assert_eq!(survives(""), 0);
    assert_eq!(survives("\n\r\n\t  # nothing"), 0);
    assert!(survives("\u{7f}ELF\0\0\u{1}\u{fffd}\n\0\0") > 0);
}

#[test]
fn windows_line_ends_tabs_and_other_scripts_are_read() {
    let text = "job Möwe \"Bootshaus\"\r\n\r\nlet høyde = 2386\r\nframe 北1 wall {\r\n\tmember С1 stud \
                length høyde {\r\n\t\tdimple on web at 3,\r\n\t\t\t5\r\n\t}\r\n}\r\n";
    assert_eq!(listing(text), "");
}

#[test]
fn numbers_of_forty_digits_are_refused() {
    let digits = "1".repeat(40);
    for number in
        [digits.clone(), format!("0.{digits}"), format!("1/{digits}"), format!("{digits}mm")]
    {
        let said = listing(&format!("let a = {number}\nlet b = 2\n"));
        assert!(said.starts_with("E0103 1:9-") && said.lines().count() == 1, "{said}");
    }
    assert_eq!(listing(&format!("frame {digits} wall {{ }}")), "", "as a name it is one");
}

/// Ten megabytes of one thing in one line, and in many: work must not grow with its square.
#[test]
fn ten_megabytes_of_anything() {
    const BYTES: usize = 10_000_000;
    let pieces = [
        "(",
        "[",
        "{",
        "}",
        ")",
        "-",
        "\"",
        "\" ",
        "#",
        "a",
        "a ",
        "1",
        "1 ",
        "1,",
        "a,",
        "½",
        "\n",
        " ",
        "member ",
        "else ",
        "place ",
        "if a {",
        "a(",
        "let a = (",
        "f(1,\n",
        "a at 1, ",
        "not ",
        "a at 1 + ",
        "frame N1 wall {\n",
        "\n{",
        "\n member",
        "b at -",
        "if 1 { } else ",
        "x at [",
        "tolerance -",
        "a across 1, ",
        "1 1/2 ",
        "8ft-",
        "member S1 stud = f(",
        "a-",
        "/ - ",
        "a / -",
    ];
    for piece in pieces {
        survives(&piece.repeat(BYTES / piece.len() / 4));
    }
    // In one statement that is right but for its size.
    let list = "1, ".repeat(BYTES / 3);
    assert_eq!(survives(&format!("let a = [{list}1]")), 0);
}

#[test]
fn nesting_is_read_a_hundred_deep() {
    let nested = |depth: usize, open: &str, inside: &str, close: &str| {
        format!("let a = {}{inside}{}", open.repeat(depth), close.repeat(depth))
    };
    for (open, inside, close) in
        [("(", "1", ")"), ("[", "1", "]"), ("f(", "1", ")"), ("-", "1", "")]
    {
        assert_eq!(survives(&nested(90, open, inside, close)), 0, "{open}");
        let said = listing(&nested(110, open, inside, close));
        assert!(said.starts_with("E0117") && said.lines().count() == 1, "{said}");
    }
    let chain = |links: usize| format!("let a = 1{}", " + 1".repeat(links));
    assert_eq!(survives(&chain(90)), 0);
    assert!(listing(&chain(110)).starts_with("E0117"), "a long sum is as deep as it is long");
    let blocks = |depth: usize| {
        format!("recipe a() {{ {} {} }}", "if 1 < 2 {".repeat(depth), "}".repeat(depth))
    };
    assert_eq!(survives(&blocks(90)), 0);
    let said = listing(&blocks(110));
    assert!(said.starts_with("E0117") && said.lines().count() == 1, "{said}");
}

#[test]
fn of_many_mistakes_the_first_are_kept_and_the_others_counted() {
    let text = "let = 1\n".repeat(1_000);
    let said = listing(&text);
    assert_eq!(said.lines().count(), MOST_FINDINGS + 1);
    assert!(said.lines().last().unwrap().starts_with("E0199"), "{said}");
    assert!(said.contains("800 more mistakes"), "{said}");
}
