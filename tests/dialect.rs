//! Dialects: the shipped stop list, each reason why a description is not invertible, each way a
//! program's bytes can be wrong.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    missing_docs
)]

#[path = "dialect/columns.rs"]
mod columns;
mod dialect_common;
#[path = "dialect/members.rs"]
mod members;
#[path = "dialect/on_the_line.rs"]
mod on_the_line;
#[path = "dialect/one_cause.rs"]
mod one_cause;
#[path = "dialect/rs_274.rs"]
mod rs_274;

use coilwright::diagnostic::Diagnostic;
use coilwright::dialect::Invertible;
use coilwright::library::load_dialect;
use coilwright::library::model::{Dialect, Line, Slope};
use coilwright::program::{Event, Program, Serial};
use coilwright::quantity::{FileId, Length, MemoryFiles, Sources};
use dialect_common::*;

const FILE: FileId = FileId(0);

fn prove(dialect: &Dialect, line: &Line) -> Invertible {
    Invertible::prove(dialect, line).unwrap_or_else(|found| panic!("{found:#?}"))
}

fn stop_list() -> Invertible {
    prove(&shipped(), &shed_line())
}

fn plain() -> Invertible {
    prove(&described(PLAIN), &shed_line())
}

/// The plain description with some of its text replaced.
fn plain_with(changes: &[(&str, &str)]) -> String {
    let mut text = PLAIN.to_string();
    for (old, new) in changes {
        assert!(text.contains(old), "no `{old}` in the plain description");
        text = text.replace(old, new);
    }
    text
}

/// Numbers of the findings of reading and proving a description.
fn findings(text: &str, line: &Line) -> Vec<Diagnostic> {
    let (dialect, mut found) = try_described(text);
    if let Some(dialect) = dialect {
        found.extend(Invertible::prove(&dialect, line).err().unwrap_or_default());
    }
    for diagnostic in &found {
        assert!(diagnostic.help.is_some(), "no help: {}", diagnostic.message);
        let span = diagnostic.span().unwrap();
        assert!(span.start < span.end, "empty place: {}", diagnostic.message);
    }
    found
}

#[track_caller]
fn refused(changes: &[(&str, &str)], code: &str, shown: &str) {
    let text = plain_with(changes);
    let found = findings(&text, &shed_line());
    let told: Vec<_> = found.iter().map(|d| (d.code.number, d.message.as_str())).collect();
    assert!(!found.is_empty() && found.iter().all(|d| d.code.number == code), "{told:#?}");
    let span = found[0].span().unwrap();
    let at = &text[span.start as usize..span.end as usize];
    assert!(at.contains(shown), "shown at `{at}`: {told:?}");
}

#[track_caller]
fn accepted(changes: &[(&str, &str)]) -> Invertible {
    let dialect = described(&plain_with(changes));
    let invertible = prove(&dialect, &shed_line());
    reads_back(&invertible, &small_program());
    invertible
}

#[track_caller]
fn reads_back(invertible: &Invertible, program: &Program) {
    let printed = invertible.print(program).unwrap_or_else(|d| panic!("{d:#?}"));
    let read = invertible.read(FILE, &printed.bytes).unwrap_or_else(|d| panic!("{d:#?}"));
    assert_eq!(read.program, *program);
    assert_eq!(read.blocks, printed.blocks);
}

#[test]
fn the_shipped_stop_list_prints_json_lines() {
    let printed = stop_list().print(&small_program()).unwrap();
    let text = String::from_utf8(printed.bytes).unwrap();
    for line in text.lines() {
        serde_json::from_str::<serde_json::Value>(line).unwrap();
    }
    insta::assert_snapshot!(text);
}

#[test]
fn the_schema_is_fresh_and_admits_the_descriptions_we_ship() {
    let schema = coilwright::library::schema("dialect").unwrap();
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/schemas/dialect.json");
    if std::env::var_os("COILWRIGHT_BLESS").is_some() {
        std::fs::write(&path, &schema).unwrap();
    }
    let stands = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(stands == schema, "stale: COILWRIGHT_BLESS=1 cargo test --test dialect");
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let as_json =
        |text: &str| serde_json::to_value(toml::from_str::<toml::Value>(text).unwrap()).unwrap();
    for text in [
        PLAIN,
        include_str!("../fixtures/dialects/stop-list.toml"),
        include_str!("../fixtures/dialects/sloped-stop-list.toml"),
        include_str!("../fixtures/dialects/rs-274.toml"),
        include_str!("../fixtures/dialects/member-table.toml"),
    ] {
        let faults: Vec<_> = validator.iter_errors(&as_json(text)).map(|e| e.to_string()).collect();
        assert!(faults.is_empty(), "{faults:?}");
    }
    for (old, new) in [("level", "levle"), ("'trim;'", "12"), ("\"lf\"", "\"cr\"")] {
        let wrong = plain_with(&[(old, new)]);
        assert!(!validator.is_valid(&as_json(&wrong)), "{new}");
    }
}

#[test]
fn json_strings_mean_what_json_says() {
    let mut program = small_program();
    let odd = "a \"quoted\" back\\slash\ttab \u{1}\u{7f} é 漢 \u{1f6e0} /";
    program.events = vec![mark(0, odd), mark(0, ""), cut(1000, 1)];
    program.id = "\n".into();
    let stop_list = stop_list();
    reads_back(&stop_list, &program);
    let text = String::from_utf8(stop_list.print(&program).unwrap().bytes).unwrap();
    let line: serde_json::Value = serde_json::from_str(text.lines().nth(1).unwrap()).unwrap();
    assert_eq!(line["text"], odd);
}

#[test]
fn the_plain_description_prints_a_table() {
    let printed = plain().print(&small_program()).unwrap();
    insta::assert_snapshot!(String::from_utf8(printed.bytes).unwrap());
}

#[test]
fn blocks_run_from_cut_to_cut() {
    for invertible in [stop_list(), plain()] {
        let printed = invertible.print(&small_program()).unwrap();
        let text = std::str::from_utf8(&printed.bytes).unwrap();
        let lines: Vec<&str> = text.split_inclusive('\n').collect();
        let serials: Vec<_> = printed.blocks.iter().map(|b| b.serial.map(|s| s.0)).collect();
        assert_eq!(serials, [None, Some(1), Some(2)]);
        let rows: Vec<_> = printed.blocks.iter().map(|b| (b.first_line, b.last_line)).collect();
        assert_eq!(rows, [(2, 4), (5, 7), (8, 9)]);
        for block in &printed.blocks {
            let (first, last) = (block.first_line as usize, block.last_line as usize);
            assert_eq!(&text[block.bytes.clone()], lines[first - 1..last].concat());
        }
    }
}

#[test]
fn every_event_is_shown_where_it_stands() {
    let invertible = stop_list();
    let program = small_program();
    let printed = invertible.print(&program).unwrap();
    let read = invertible.read(FILE, &printed.bytes).unwrap();
    let text = invertible.text(&printed.bytes);
    assert_eq!(read.spans.len(), program.events.len());
    for (span, line) in read.spans.iter().zip(text.lines().skip(1)) {
        assert_eq!(&text[span.start as usize..span.end as usize], line);
    }
}

#[test]
fn strokes_may_have_lines_of_their_own() {
    let own = accepted(&[
        (", ';', { list = \"strokes\", separator = ';' }]", "]"),
        ("stroke = [{", "stroke = ['fire;', {"),
    ]);
    let text = own.print(&small_program()).unwrap().bytes;
    let text = String::from_utf8(text).unwrap();
    assert!(text.contains("stop;450.300\nfire;0:dimple\nfire;0:lip-notch\nfire;1:swage\n"));
    // A stop that lost its strokes is no stop.
    let lost = text.replace("fire;0:dimple\nfire;0:lip-notch\nfire;1:swage\n", "");
    assert_eq!(own.read(FILE, lost.as_bytes()).unwrap_err().code.number, "E0751");
}

#[test]
fn crlf_latin_1_and_lines_inside_records() {
    let invertible = accepted(&[
        ("\"lf\"", "\"crlf\""),
        ("\"ascii\"", "\"latin-1\""),
        ("';', { field = \"batch\"", "\"\\nbatch ü;\", { field = \"batch\""),
    ]);
    let mut program = small_program();
    program.batch = "Bootshaus Süd".into();
    program.events.insert(0, mark(-20_000, "Nö 1"));
    program.events.push(mark(9_000_000, "ß"));
    program.events.push(trim(9_000_000));
    program.end = at(9_100_000);
    reads_back(&invertible, &program);
    let printed = invertible.print(&program).unwrap();
    assert!(printed.bytes.windows(11).any(|w| w == b"\r\nbatch \xfc;B"));
    for block in &printed.blocks {
        let bytes = &printed.bytes[block.bytes.clone()];
        assert!(bytes.ends_with(b"\r\n"));
        let lines = bytes.iter().filter(|&&b| b == b'\n').count();
        assert_eq!(lines, (block.last_line - block.first_line + 1) as usize);
        let last = bytes[..bytes.len() - 2].rsplit(|&b| b == b'\n').next().unwrap();
        assert!(last.starts_with(b"cut;") || last.starts_with(b"trim;"));
    }
    let read = invertible.read(FILE, &printed.bytes).unwrap();
    let text = invertible.text(&printed.bytes);
    let span = read.spans[0];
    assert_eq!(&text[span.start as usize..span.end as usize], "mark;-20.000;Nö 1");
}

#[test]
fn numbers_as_controllers_want_them() {
    let printed = |changes: &[(&str, &str)]| {
        String::from_utf8(accepted(changes).print(&small_program()).unwrap().bytes).unwrap()
    };
    let unit = "unit = \"mm\"\ndecimals = 3";
    let has = |text: String, line: &str| assert!(text.lines().any(|l| l == line), "{text}");
    has(printed(&[(unit, "unit = \"um\"")]), "trim;12000");
    has(printed(&[(unit, "unit = \"nm\"\nsign = \"always\"")]), "trim;+12000000");
    has(printed(&[(unit, "unit = \"mm\"\ndecimals = 1\npoint = \",\"")]), "trim;12,0");
    has(
        printed(&[(unit, "unit = \"mm\"\ndecimals = 3\ntrailing-zeros = \"drop\"")]),
        "mark;-20;N1 S1",
    );
    has(printed(&[(unit, "unit = \"mm\"\ndecimals = 1\nwidth = 8")]), "mark;-00020.0;N1 S1");
    has(
        printed(&[(unit, "unit = \"mm\"\ndecimals = 1\nwidth = 8\npadding = \"blank\"")]),
        "mark;   -20.0;N1 S1",
    );
    has(
        printed(&[(unit, "unit = \"mm\"\ndecimals = 1\nadvance = \"relative\"")]),
        "stop;438.3;0:dimple;0:lip-notch;1:swage",
    );
    // 0.001 in is a quarter of the increment: rounded, and still one grid point each.
    has(
        printed(&[(unit, "unit = \"in\"\ndecimals = 3")]),
        "stop;17.728;0:dimple;0:lip-notch;1:swage",
    );
    has(printed(&[(unit, "unit = \"in\"\ndecimals = 5")]), "trim;0.47244");
}

#[test]
fn quoting_and_codes_as_controllers_want_them() {
    // Quotes doubled inside quotes, as tables often have them.
    let doubled = accepted(&[("refuse = \";\"", "quote = '\"'\nescapes = { '\"' = '\"\"' }")]);
    let mut program = small_program();
    program.batch = "; \"north\";\"".into();
    program.coil = "\"".into();
    reads_back(&doubled, &program);
    // Codes of one width need nothing after them.
    accepted(&[
        (
            "[records]",
            "[tools]\nswage = 'T1'\ndimple = 'T2'\nlip-notch = 'T3'\nspare = 'T4'\n[records]",
        ),
        (
            "[{ field = \"phase\", format = \"count\" }, ':', { field = \"tool\" }]",
            "[{ field = \"tool\" }, { field = \"phase\", format = \"count\" }]",
        ),
    ]);
    // Fields of the run may stand at its end.
    accepted(&[
        (";', { field = \"warm\", yes = \"warm\", no = \"new\" }", ";'"),
        ("'end;'", "'end;', { field = \"warm\", yes = \"1\", no = \"0\" }, 'at'"),
    ]);
}

// Why a description is not invertible, one by one.

#[test]
fn e0701_member_level() {
    refused(&[("level = \"stop\"", "level = \"member\"")], "E0701", "\"member\"");
}

#[test]
fn e0702_unknown_format() {
    refused(
        &[(
            "cut-scrap = ['trim;', { field = \"at\", format = \"position\" }]",
            "cut-scrap = ['trim;', { field = \"at\", format = \"positoin\" }]",
        )],
        "E0702",
        "positoin",
    );
    refused(
        &[("field = \"text\", format = \"name\"", "field = \"text\", format = \"count\"")],
        "E0702",
        "count",
    );
}

#[test]
fn e0703_field_out_of_place() {
    refused(
        &[("'trim;',", "'trim;', { field = \"serial\", format = \"count\" }, '/',")],
        "E0703",
        "serial",
    );
    refused(
        &[("'trim;',", "'trim;', { list = \"strokes\", separator = ',' }, '/',")],
        "E0703",
        "strokes",
    );
}

#[test]
fn e0704_field_missing() {
    refused(&[(", ';', { field = \"serial\", format = \"count\" }", "")], "E0704", "cut;");
    refused(&[("';', { field = \"coil\", format = \"name\" },", "")], "E0704", "run;");
    refused(&[("{ field = \"end\", format = \"position\" }", "")], "E0704", "end;");
}

#[test]
fn e0705_field_twice() {
    let at = "{ field = \"at\", format = \"position\" }";
    refused(&[("'trim;',", &format!("'trim;', {at}, ';',"))], "E0705", "at");
    refused(
        &[("['end;',", "['end;', { field = \"coil\", format = \"name\" }, ';',")],
        "E0705",
        "coil",
    );
    refused(
        &[(
            "{ list = \"strokes\", separator = ';' }",
            "{ list = \"strokes\", separator = ';' }, '/', { list = \"strokes\", separator = ';' }",
        )],
        "E0705",
        "strokes",
    );
}

#[test]
fn e0706_format_does_not_fit() {
    refused(
        &[(
            "'trim;', { field = \"at\", format = \"position\" }",
            "'trim;', { field = \"at\", format = \"count\" }",
        )],
        "E0706",
        "count",
    );
    refused(
        &[("field = \"serial\", format = \"count\"", "field = \"serial\", format = \"position\"")],
        "E0706",
        "position",
    );
    refused(
        &[(
            "{ field = \"warm\", yes = \"warm\", no = \"new\" }",
            "{ field = \"warm\", format = \"name\" }",
        )],
        "E0706",
        "warm",
    );
    refused(&[("unit = \"count\"", "unit = \"count\"\nadvance = \"relative\"")], "E0706", "count");
}

#[test]
fn e0707_no_leading_literal() {
    refused(&[("['trim;', ", "[")], "E0707", "at");
    refused(&[("['trim;', ", "[\"\\ntrim;\", ")], "E0707", "trim");
}

#[test]
fn e0708_records_alike() {
    refused(&[("'trim;'", "'cut;'")], "E0708", "cut;");
    refused(&[("'trim;'", "'cut;x'")], "E0708", "cut;x");
    refused(
        &[
            (", ';', { list = \"strokes\", separator = ';' }]", "]"),
            ("stroke = [{", "stroke = ['s', {"),
        ],
        "E0708",
        "s",
    );
}

#[test]
fn e0709_field_without_end() {
    // 12 and 5, or 1 and 25?
    refused(
        &[(
            "['cut;', { field = \"at\", format = \"position\" }, ';',",
            "['cut;', { field = \"at\", format = \"position\" },",
        )],
        "E0709",
        "at",
    );
    refused(
        &[(
            "['cut;', { field = \"at\", format = \"position\" }, ';',",
            "['cut;', { field = \"at\", format = \"position\" }, '-',",
        )],
        "E0709",
        "at",
    );
    // A name may hold a slash.
    refused(&[("';', { field = \"batch\"", "'/', { field = \"batch\"")], "E0709", "program");
    // Codes of several widths, followed by a letter of them.
    refused(
        &[("';', { list", "';', 's', { list"), ("separator = ';'", "separator = 'swage'")],
        "E0709",
        "tool",
    );
    // A quote that may follow a doubled one.
    refused(
        &[
            ("refuse = \";\"", "quote = '\"'\nescapes = { '\"' = '\"\"' }"),
            ("';', { field = \"batch\"", "'\";', { field = \"batch\""),
        ],
        "E0709",
        "program",
    );
}

#[test]
fn e0710_list_without_end() {
    refused(
        &[
            ("separator = ';'", "separator = ''"),
            ("{ field = \"tool\" }]", "{ field = \"tool\" }, '.']"),
        ],
        "E0710",
        "strokes",
    );
    refused(&[("separator = ';' }]", "separator = ';' }, ';']")], "E0710", "strokes");
}

#[test]
fn e0711_codes_alike() {
    let tools = |codes: &str| format!("[tools]\n{codes}\n[records]");
    refused(
        &[("[records]", &tools("swage = 'T1'\ndimple = 'T2'\nlip-notch = 'T1'"))],
        "E0711",
        "lip-notch",
    );
    refused(&[("yes = \"warm\"", "yes = \"new\"")], "E0711", "new");
}

#[test]
fn e0712_tool_without_code() {
    let text = plain_with(&[(
        "[records]",
        "[tools]\nswage = 'T1'\ndimpel = 'T2'\nlip-notch = 'T3'\n[records]",
    )]);
    let found = findings(&text, &shed_line());
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!(found[0].code.number, "E0712");
    assert!(found[0].help.as_deref().unwrap().contains("did you mean `dimple`"));
}

#[test]
fn e0713_code_not_writable() {
    let tools =
        |code: &str| format!("[tools]\nswage = {code}\ndimple = 'T2'\nlip-notch = 'T3'\n[records]");
    refused(&[("[records]", &tools("''"))], "E0713", "swage");
    refused(&[("[records]", &tools("\"T\\n\""))], "E0713", "swage");
    refused(&[("[records]", &tools("'Tü'"))], "E0713", "swage");
    refused(
        &[
            ("[records]", &tools("'T;'")),
            ("{ field = \"tool\" }", "{ field = \"tool\", format = \"name\" }"),
        ],
        "E0713",
        "tool",
    );
}

#[test]
fn e0714_literal_not_writable() {
    refused(&[("'trim;'", "'trim…'")], "E0714", "…");
    refused(&[("'trim;'", "\"trim\\r\\n\"")], "E0714", "trim");
    refused(
        &[("refuse = \";\"", "quote = '\"'\nescapes = { '\"' = 'ü', 'ü' = '\\u' , '\\' = '\\b'}")],
        "E0714",
        "ü",
    );
}

#[test]
fn e0715_text_format_ambiguous() {
    let quoted = |escapes: &str| format!("quote = '\"'\n{escapes}");
    let name = |escapes: &str| ("refuse = \";\"", quoted(escapes));
    for escapes in [
        "",                                          // the quote stands for itself
        "escapes = { '\"' = '\\\"' }",               // so does the backslash
        "escapes = { '\"' = '\\q', '\\' = '\\q' }",  // two alike
        "escapes = { '\"' = '\\q', '\\' = '\\qq' }", // one begins another
        "escapes = { '\"' = '' }",                   // nothing
        "escapes = { '\"' = '\\\"', '\\' = '\\u0001' }\ncontrol = { before = '\\u', digits = 4 }",
    ] {
        let (old, new) = name(escapes);
        refused(&[(old, &new)], "E0715", "");
    }
}

#[test]
fn e0716_number_too_coarse() {
    let unit = "unit = \"mm\"\ndecimals = 3";
    refused(&[(unit, "unit = \"mm\"")], "E0716", "position");
    // 0.01 in is 0.254 mm on a grid of 0.1 mm.
    refused(&[(unit, "unit = \"in\"\ndecimals = 2")], "E0716", "position");
    let inches = described(&plain_with(&[(unit, "unit = \"in\"\ndecimals = 2")]));
    let coarse = line(Length::from_nm(254_000), &["swage", "dimple", "lip-notch"]);
    assert!(Invertible::prove(&inches, &coarse).is_ok(), "exact on a grid of 0.01 in");
}

#[test]
fn e0717_relative_advance() {
    let unit = "unit = \"mm\"\ndecimals = 3";
    refused(&[(unit, "unit = \"in\"\ndecimals = 3\nadvance = \"relative\"")], "E0717", "position");
    refused(
        &[
            (unit, "unit = \"mm\"\ndecimals = 3\nadvance = \"relative\""),
            ("['end;', { field = \"end\", format = \"position\" }]", "['end;']"),
            ("'run;',", "'run;', { field = \"end\", format = \"position\" }, ';',"),
        ],
        "E0717",
        "end",
    );
}

#[test]
fn e0718_number_format_impossible() {
    let unit = "unit = \"mm\"\ndecimals = 3";
    for (format, shown) in [
        ("unit = \"mm\"\ndecimals = 12", "12"),
        ("unit = \"mm\"\ndecimals = -1", "-1"),
        ("unit = \"mm\"\ndecimals = 3\npoint = \"5\"", "position"),
        ("unit = \"mm\"\ndecimals = 3\nwidth = 5", "position"),
        ("unit = \"mm\"\ndecimals = 3\nwidth = 400", "400"),
        ("unit = \"mm\"\ndecimals = 3\npadding = \"blank\"", "blank"),
    ] {
        refused(&[(unit, format)], "E0718", shown);
    }
    refused(&[("unit = \"count\"", "unit = \"count\"\ndecimals = 1")], "E0718", "count");
}

#[test]
fn every_reason_is_told_at_once() {
    let text = plain_with(&[
        ("'trim;'", "'cut;'"),
        ("decimals = 3", "decimals = 0"),
        ("';', { field = \"coil\", format = \"name\" },", ""),
    ]);
    let mut codes: Vec<_> = findings(&text, &shed_line()).iter().map(|d| d.code.number).collect();
    codes.sort_unstable();
    assert_eq!(codes, ["E0704", "E0708", "E0716"]);
}

#[test]
fn a_dialect_that_is_not_shipped_is_missed() {
    let files = MemoryFiles::default();
    let (dialect, found) = load_dialect(&files, &mut Sources::default(), "shipped:stop-lits", None);
    assert!(dialect.is_none());
    assert_eq!(found[0].code.number, "E0901");
    assert_eq!(found[0].help.as_deref(), Some("did you mean `stop-list`?"));
}

// What cannot be written.

#[track_caller]
fn not_printed(changes: &[(&str, &str)], program: &Program, code: &str) {
    let dialect = described(&plain_with(changes));
    let refusal = prove(&dialect, &shed_line()).print(program).unwrap_err();
    assert_eq!(refusal.code.number, code, "{}", refusal.message);
    assert!(refusal.help.is_some());
}

fn small_with(change: impl FnOnce(&mut Program)) -> Program {
    let mut program = small_program();
    change(&mut program);
    program
}

#[test]
fn e0730_text_not_writable() {
    not_printed(&[], &small_with(|p| p.batch = "süd".into()), "E0730");
    not_printed(&[], &small_with(|p| p.coil = "a;b".into()), "E0730");
    not_printed(&[], &small_with(|p| p.events.push(mark(9_000_000, "a\nb"))), "E0730");
    not_printed(&[("\"ascii\"", "\"latin-1\"")], &small_with(|p| p.id = "漢".into()), "E0730");
    not_printed(&[("\"ascii\"", "\"latin-1\"")], &small_with(|p| p.id = "\u{85}".into()), "E0730");
}

#[test]
fn e0731_number_too_wide() {
    not_printed(&[("decimals = 3", "decimals = 3\nwidth = 7")], &small_program(), "E0731");
    not_printed(&[("decimals = 3", "decimals = 3\nsign = \"never\"")], &small_program(), "E0731");
    not_printed(&[], &small_with(|p| p.end = at(i64::MAX / 1000)), "E0731");
}

#[test]
fn e0732_line_too_long() {
    let limits = "[limits]\nline = 40\n[numbers.position]";
    not_printed(&[("[numbers.position]", limits)], &small_program(), "E0732");
}

#[test]
fn e0733_field_too_long() {
    let limits = "[limits]\nfield = 12\n[numbers.position]";
    not_printed(&[("[numbers.position]", limits)], &small_program(), "E0733");
}

#[test]
fn e0734_not_in_this_dialect() {
    not_printed(&[], &small_with(|p| p.events.push(stop(9_000_000, &[]))), "E0734");
    not_printed(&[], &small_with(|p| p.events.push(stop(9_000_000, &[(0, 3)]))), "E0734");
    // Off the grid, and off what an exact format writes; off the grid of a rounding one.
    not_printed(
        &[("decimals = 3", "decimals = 1")],
        &small_with(|p| p.end = at(5_000_050)),
        "E0734",
    );
    let inches = ("unit = \"mm\"\ndecimals = 3", "unit = \"in\"\ndecimals = 3");
    not_printed(&[inches], &small_with(|p| p.end = at(5_000_050)), "E0734");
}

// What is not read.

#[track_caller]
fn not_read(invertible: &Invertible, bytes: &[u8], code: &str, line: usize, column: usize) {
    let refusal = invertible.read(FILE, bytes).unwrap_err();
    assert_eq!(refusal.code.number, code, "{}", refusal.message);
    assert!(refusal.help.is_some());
    let start = refusal.span().unwrap().start as usize;
    let text = invertible.text(bytes);
    let before = &text[..start];
    let at =
        (before.matches('\n').count() + 1, before.rsplit('\n').next().unwrap().chars().count() + 1);
    assert_eq!(at, (line, column), "{}", refusal.message);
}

#[track_caller]
fn damaged(old: &str, new: &str, code: &str, line: usize, column: usize) {
    let invertible = plain();
    let text = String::from_utf8(invertible.print(&small_program()).unwrap().bytes).unwrap();
    assert!(text.contains(old), "no {old:?} in {text}");
    not_read(&invertible, text.replacen(old, new, 1).as_bytes(), code, line, column);
}

#[test]
fn e0750_unknown_record() {
    damaged("trim;", "tram;", "E0750", 4, 1);
    damaged("trim;", "\ntrim;", "E0750", 3, 18);
    damaged("trim;", "run;", "E0750", 4, 1);
}

#[test]
fn e0751_unexpected_text() {
    damaged("run;", "Run;", "E0751", 1, 1);
    damaged("trim;12.000\n", "trim;12.000 \n", "E0751", 4, 12);
    damaged("cut;2402.000;1", "cut;2402.000,1", "E0751", 7, 13);
    damaged("run;", "\u{7f}run;", "E0751", 1, 1);
}

#[test]
fn e0752_number_misspelled() {
    for wrong in ["012.000", "+12.000", "12.00", "12.0000", "12", ".5", "", "1.2.3", "12.", "1-2"] {
        damaged(
            "trim;12.000",
            &format!("trim;{wrong}"),
            "E0752",
            4,
            if wrong.is_empty() { 5 } else { 6 },
        );
    }
    damaged("stop;8.500", "stop;-0.000", "E0752", 3, 6);
    damaged("trim;12.000", "trim;99999999999999999999.000", "E0752", 4, 6);
    damaged("trim;12.000", "trim;999999999999.000", "E0752", 4, 6);
    damaged(";0:swage", ";256:swage", "E0752", 3, 12);
    damaged("2402.000;1\n", "2402.000;4294967296\n", "E0752", 7, 14);
    // Between two grid points that a rounded format tells apart.
    let inches = accepted(&[("unit = \"mm\"\ndecimals = 3", "unit = \"in\"\ndecimals = 3")]);
    let text = String::from_utf8(inches.print(&small_program()).unwrap().bytes).unwrap();
    let off = text.replace("trim;0.472", "trim;0.473");
    not_read(&inches, off.as_bytes(), "E0752", 4, 6);
}

#[test]
fn e0753_text_misspelled() {
    let stop_list = stop_list();
    let text = String::from_utf8(stop_list.print(&small_program()).unwrap().bytes).unwrap();
    for wrong in ["\\x", "\\u0041", "\\u000a", "\\u000A", "\t", "\\/", "\u{9d}"] {
        let bad = text.replacen("N1 S1", &format!("N1{wrong}"), 1);
        not_read(&stop_list, bad.as_bytes(), "E0753", 2, 23);
    }
}

#[test]
fn e0754_unknown_code() {
    damaged("0:dimple", "0:dimples", "E0754", 5, 16);
    damaged("0:dimple", "0:", "E0754", 5, 16);
    damaged(";new", ";now", "E0754", 1, 55);
}

#[test]
fn e0755_truncated_program() {
    for invertible in [plain(), stop_list(), accepted(&[("\"lf\"", "\"crlf\"")])] {
        let printed = invertible.print(&small_program()).unwrap().bytes;
        for end in 0..printed.len() {
            let refusal = invertible.read(FILE, &printed[..end]).unwrap_err();
            assert_eq!(refusal.code.number, "E0755", "cut at {end}: {}", refusal.message);
        }
    }
}

#[test]
fn e0756_text_after_the_end() {
    damaged("end;4796.100\n", "end;4796.100\n\n", "E0756", 11, 1);
    let printed = plain().print(&small_program()).unwrap().bytes;
    not_read(&plain(), &printed.repeat(2), "E0756", 11, 1);
}

#[test]
fn e0757_wrong_line_end() {
    let text = String::from_utf8(plain().print(&small_program()).unwrap().bytes).unwrap();
    not_read(&plain(), text.replace('\n', "\r\n").as_bytes(), "E0757", 1, 57);
    let crlf = accepted(&[("\"lf\"", "\"crlf\"")]);
    not_read(&crlf, text.as_bytes(), "E0757", 1, 57);
    damaged("trim;12.000\n", "trim;12.000\r\n", "E0757", 4, 11);
    let stop_list = stop_list();
    let text = String::from_utf8(stop_list.print(&small_program()).unwrap().bytes).unwrap();
    not_read(&stop_list, text.replace('\n', "\r\n").as_bytes(), "E0757", 1, 166);
}

#[test]
fn e0758_wrong_characters() {
    damaged("N1 S1", "N1 ü", "E0758", 2, 17);
    let stop_list = stop_list();
    let mut bytes = stop_list.print(&small_program()).unwrap().bytes;
    let at = bytes.windows(5).position(|w| w == b"N1 S1").unwrap();
    bytes[at] = 0xff;
    not_read(&stop_list, &bytes, "E0758", 2, 21);
}

#[test]
fn limits_hold_for_reading_too() {
    let limits = "[limits]\nline = 60\nfield = 14\n[numbers.position]";
    let tight = accepted(&[("[numbers.position]", limits)]);
    let text = String::from_utf8(tight.print(&small_program()).unwrap().bytes).unwrap();
    not_read(&tight, text.replace("K-311", "K-311xxxx").as_bytes(), "E0732", 1, 1);
    not_read(&tight, text.replace("N1 S1", "0123456789abcde").as_bytes(), "E0733", 2, 14);
}

#[test]
fn odd_files_are_refused() {
    for invertible in [plain(), stop_list()] {
        for bytes in [
            &b""[..],
            b"\n",
            b"\0",
            b"\r\n",
            b"\xef\xbb\xbf",
            b"run",
            b"{",
            b"PK\x03\x04",
            &[0xff; 64],
        ] {
            assert!(invertible.read(FILE, bytes).is_err(), "{bytes:?}");
        }
        // Ten megabytes in one line are refused in linear time.
        let mut long = b"run;".to_vec();
        long.resize(10_000_000, b'a');
        assert!(invertible.read(FILE, &long).is_err());
    }
}

#[test]
fn the_piece_of_a_cut_is_read() {
    let invertible = plain();
    let printed = invertible.print(&small_program()).unwrap().bytes;
    let text = String::from_utf8(printed).unwrap().replace("2402.000;1\n", "2402.000;4294967295\n");
    let read = invertible.read(FILE, text.as_bytes()).unwrap();
    assert_eq!(
        read.program.events[5],
        Event::Cut { at: at(2_402_000), piece: Some(Serial(u32::MAX)), slope: Slope::SQUARE }
    );
}
