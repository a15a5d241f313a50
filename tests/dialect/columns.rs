//! What controllers with fixed columns ask for: texts and tool numbers of one width, figures
//! without a point, strokes that say where they are.

use super::*;
use coilwright::library::model::Firing;

/// A controller of the boatshed that reads by columns: tenths of a millimetre without a point, no
/// sign before figures above nought, tools by number, each stroke with its place.
const COLUMNS: &str = r#"name = "columns"
level = "stop"
characters = "ascii"
line-end = "crlf"
tool-numbers-from = 1
tool-numbers-width = 2

[numbers.tenths]
unit = "mm"
last-place = 0.1
width = 7

[numbers.n3]
unit = "count"
width = 3
sign = "never"

[texts.c16]
width = 16

[texts.r8]
width = 8
blanks = "before"

[records]
run-begin = ["H", { field = "program", format = "r8" }, { field = "batch", format = "c16" },
  { field = "line", format = "c16" }, { field = "profile", format = "c16" },
  { field = "coil", format = "r8" }, { field = "warm", yes = "1", no = "0" }]
stroke = ["S", { field = "at", format = "tenths" }, { field = "tool" },
  { field = "phase", format = "n3" }]
cut-piece = ["C", { field = "at", format = "tenths" }, { field = "serial", format = "n3" }]
cut-scrap = ["W", { field = "at", format = "tenths" }]
mark = ["M", { field = "at", format = "tenths" }, { field = "text", format = "c16" }]
run-end = ["E", { field = "end", format = "tenths" }]
"#;

fn with(changes: &[(&str, &str)]) -> String {
    let mut text = COLUMNS.to_string();
    for (old, new) in changes {
        assert!(text.contains(old), "no `{old}` in the description");
        text = text.replace(old, new);
    }
    text
}

fn columns(changes: &[(&str, &str)]) -> Invertible {
    prove(&described(&with(changes)), &shed_line())
}

#[track_caller]
fn refused(changes: &[(&str, &str)], line: &Line, code: &str, shown: &str) -> Diagnostic {
    let text = with(changes);
    let mut found = findings(&text, line);
    let told: Vec<_> = found.iter().map(|d| (d.code.number, d.message.as_str())).collect();
    assert!(found.len() == 1 && found[0].code.number == code, "{told:#?}");
    let span = found[0].span().unwrap();
    let at = &text[span.start as usize..span.end as usize];
    assert!(at.contains(shown), "shown at `{at}`: {told:?}");
    found.remove(0)
}

fn printed(of: &Invertible, program: &Program) -> String {
    String::from_utf8(of.print(program).unwrap().bytes).unwrap()
}

const STOP: &str = "stroke = [\"S\", { field = \"at\", format = \"tenths\" }, ";

#[test]
fn every_line_has_its_columns() {
    let of = columns(&[]);
    reads_back(&of, &small_program());
    let text = printed(&of, &small_program());
    let wanted = "\
H  KP07-1boatshed north  shed line       C90x40-0.75        K-3110
M-000200N1 S1           
S000008501000
W0000120
S000450302000
S000450303000
S000450301001
S002402001000
C0024020001
M0024260N1 S2           
C0047921002
E0047961
";
    // By hand: 8.5 mm is 85 tenths, 4792.1 mm 47 921.
    assert_eq!(text, wanted.replace('\n', "\r\n"));
}

#[test]
fn texts_of_one_width_are_refused_where_they_would_change() {
    let of = columns(&[]);
    let refusal = |change: &dyn Fn(&mut Program)| {
        let mut program = small_program();
        change(&mut program);
        of.print(&program).unwrap_err()
    };
    let long = refusal(&|program| program.batch = "boatshed by north".into());
    assert_eq!(long.code.number, "E0733", "{}", long.message);
    assert!(long.message.contains("17 characters"), "{}", long.message);
    // A blank where blanks fill would be lost; at the other end it stands.
    let lost = refusal(&|program| program.batch = "north ".into());
    assert_eq!(lost.code.number, "E0730", "{}", lost.message);
    let lost = refusal(&|program| program.id = " KP".into());
    assert_eq!(lost.code.number, "E0730", "{}", lost.message);
    let mut program = small_program();
    (program.batch, program.id, program.coil) = (" north".into(), "KP ".into(), "".into());
    reads_back(&of, &program);
}

#[test]
fn what_stands_in_columns_is_read_as_it_is_written() {
    let of = columns(&[]);
    let text = printed(&of, &small_program());
    let code = |old: &str, new: &str| {
        assert!(text.contains(old), "{old}");
        let read = of.read(FILE, text.replacen(old, new, 1).as_bytes());
        read.map_or_else(|why| why.code.number, |_| "read")
    };
    // A text moved in its column, cut short by a line end; a figure with a blank in it.
    assert_eq!(code("boatshed north  shed", "  boatshed northshed"), "read");
    assert_eq!(code("N1 S1           \r\n", "N1 S1\r\n"), "E0753");
    assert_eq!(code("W0000120", "W 000120"), "E0752");
    assert_eq!(code("W0000120", "W000120"), "E0752");
    assert_eq!(code("S000008501000", "S000008509000"), "E0754");
    let cut = &text.as_bytes()[..20];
    assert_eq!(of.read(FILE, cut).unwrap_err().code.number, "E0755");
}

/// One in the last place may be worth anything that keeps the line's stops apart.
#[test]
fn figures_without_a_point() {
    let one = |place: &str| columns(&[("last-place = 0.1", &format!("last-place = {place}"))]);
    let trim =
        |place: &str| printed(&one(place), &small_program()).lines().nth(3).unwrap().to_string();
    assert_eq!(trim("0.1"), "W0000120");
    assert_eq!(trim("0.01"), "W0001200");
    // Twelve millimetres in 64ths, told to the nearest.
    assert_eq!(trim("\"1/64\""), "W0000768");
    assert_eq!(trim("0.05"), "W0000240");
    let tenths = "unit = \"mm\"\nlast-place = 0.1";
    let um = columns(&[(tenths, "unit = \"um\"\nlast-place = 100")]);
    assert_eq!(printed(&um, &small_program()).lines().nth(3), Some("W0000120"));
    // Coarser than the line stops: two stops would be written alike.
    let found =
        refused(&[("last-place = 0.1", "last-place = 0.5")], &shed_line(), "E0716", "tenths");
    assert!(found.message.contains("0.5 mm"), "{}", found.message);
    assert!(found.help.unwrap().contains("`last-place = 0.1`"));
    // Steps that are not exact add up.
    let plain = |last: &str| {
        let unit = "unit = \"mm\"\ndecimals = 3";
        let new = format!("unit = \"mm\"\nadvance = \"relative\"\nlast-place = {last}");
        plain_with(&[(unit, &new)])
    };
    prove(&described(&plain("0.1")), &shed_line());
    let found = findings(&plain("\"1/64\""), &shed_line());
    assert_eq!(found[0].code.number, "E0717");
    assert!(found[0].help.as_ref().unwrap().contains("`last-place = 0.1`"), "{found:#?}");
}

#[test]
fn a_last_place_that_cannot_be_is_refused_in_its_own_words() {
    for (old, new, code, shown) in [
        ("last-place = 0.1", "last-place = 0", "E0718", "0"),
        ("last-place = 0.1", "last-place = -2", "E0718", "-2"),
        ("last-place = 0.1", "last-place = 0.1\ndecimals = 1", "E0718", "0.1"),
        ("unit = \"count\"", "unit = \"count\"\nlast-place = 1", "E0718", "1"),
    ] {
        refused(&[(old, new)], &shed_line(), code, shown);
    }
    // Those who look for it elsewhere are told.
    let point = refused(
        &[("last-place = 0.1", "decimals = 1\npoint = \"\"")],
        &shed_line(),
        "E0304",
        "\"\"",
    );
    assert!(point.help.unwrap().contains("`last-place = 0.1`"));
    let found = refused(&[("last-place = 0.1", "decimals = -2")], &shed_line(), "E0718", "-2");
    assert!(found.help.unwrap().contains("`last-place = 10`"));
}

#[test]
fn tool_numbers_of_one_width() {
    let found =
        refused(&[("tool-numbers-from = 1", "tool-numbers-from = 99")], &shed_line(), "E0713", "2");
    assert!(found.help.unwrap().contains("tool-numbers-width = 3"));
    refused(&[("tool-numbers-width = 2", "tool-numbers-width = 0")], &shed_line(), "E0306", "0");
    refused(&[("tool-numbers-from = 1\n", "")], &shed_line(), "E0303", "2");
    // Without a width codes differ in length, and a phase behind them could continue one.
    refused(
        &[("tool-numbers-width = 2\n", ""), ("tool-numbers-from = 1", "tool-numbers-from = 9")],
        &shed_line(),
        "E0709",
        "tool",
    );
    let text = "width = 16";
    refused(&[(text, "width = 0")], &shed_line(), "E0306", "0");
    refused(&[(text, "blanks = \"before\"")], &shed_line(), "E0306", "before");
}

/// A stop without a record begins where a stroke says another advance.
#[test]
fn strokes_alone_may_tell_where_they_are() {
    let of = columns(&[]);
    let mut program = small_program();
    // Behind a cut at the same advance a stop begins anew.
    program.events.insert(2, stop(12_000, &[(0, 1)]));
    program.events.insert(4, stop(12_000, &[(0, 2)]));
    reads_back(&of, &program);
    // Nothing would tell a second stop at one advance from the first.
    program.events.insert(5, stop(12_000, &[(0, 0)]));
    let refusal = of.print(&program).unwrap_err();
    assert_eq!(refusal.code.number, "E0734", "{}", refusal.message);
    assert!(refusal.message.contains("at the same advance"), "{}", refusal.message);
    // Without a place there would be no stop.
    refused(&[(STOP, "stroke = [\"S\", ")], &shed_line(), "E0303", "[records]");
    let relative = ("width = 7", "width = 7\nadvance = \"relative\"");
    refused(&[relative], &shed_line(), "E0717", "at");
}

/// Where stops have records too, a stroke says its stop's advance and no other.
#[test]
fn a_stroke_says_the_advance_of_its_stop() {
    let record =
        ("stroke = [", "stop = [\"P\", { field = \"at\", format = \"tenths\" }]\nstroke = [");
    let of = columns(&[record]);
    reads_back(&of, &small_program());
    let text = printed(&of, &small_program());
    assert!(text.contains("P0004503\r\nS000450302000\r\n"), "{text}");
    for (old, new) in [("S000450302", "S000450402"), ("P0004503", "P0004502")] {
        let why = of.read(FILE, text.replacen(old, new, 1).as_bytes()).unwrap_err();
        assert_eq!(why.code.number, "E0759", "{}", why.message);
    }
    // In a list too, before the stop has said it.
    let list = [
        ("stroke = [\"S\", ", "stroke = ["),
        (
            "cut-piece",
            "stop = [\"P\", { list = \"strokes\", separator = \",\" }, \";\", \
             { field = \"at\", format = \"tenths\" }]\ncut-piece",
        ),
    ];
    let of = columns(&list);
    reads_back(&of, &small_program());
    let text = printed(&of, &small_program());
    assert!(text.contains("P000450302000,000450303000,000450301001;0004503\r\n"), "{text}");
    let why = of.read(FILE, text.replace(";0004503", ";0004504").as_bytes()).unwrap_err();
    assert_eq!(why.code.number, "E0759", "{}", why.message);
}

/// Waits end phases of a stop without a record as well.
#[test]
fn strokes_alone_may_wait() {
    let of = columns(&[("  { field = \"phase\", format = \"n3\" }]", "]\nwait = [\"G\"]")]);
    let program = small_program();
    reads_back(&of, &program);
    assert!(
        printed(&of, &program)
            .contains("S000450302\r\nS000450303\r\nG\r\nS000450301\r\nG\r\nS0024"),
        "{}",
        printed(&of, &program)
    );
}

/// Where a line fires at once, a stop has one phase and nothing has to tell it.
#[test]
fn a_line_that_fires_at_once_has_no_phases_to_tell() {
    let without = [("  { field = \"phase\", format = \"n3\" }]", "]")];
    refused(&without, &shed_line(), "E0704", "S");
    let line = Line { firing: Firing::AtOnce, ..shed_line() };
    let of = prove(&described(&with(&without)), &line);
    let mut program = small_program();
    let refusal = of.print(&program).unwrap_err();
    assert_eq!(refusal.code.number, "E0734", "{}", refusal.message);
    assert!(refusal.message.contains("phases"), "{}", refusal.message);
    program.events[3] = stop(450_300, &[(0, 1), (0, 2), (0, 0)]);
    reads_back(&of, &program);
    // The sample is of this line.
    let sample = of.sample(&line);
    reads_back(&of, &sample);
    assert!(
        sample
            .events
            .iter()
            .any(|e| matches!(e, Event::Stop { strokes, .. } if strokes.len() == 2))
    );
}
