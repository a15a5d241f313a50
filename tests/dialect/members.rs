//! Member level: what a modelled controller makes of members, what is told, what is refused.

use super::{FILE, findings, prove};
use crate::dialect_common::{NOWHERE, cut, described, line, mark, stop, trim};
use coilwright::dialect::Invertible;
use coilwright::library::load_dialect;
use coilwright::library::model::{
    Firing, Line, Marker, OverlapOrder, Slope, Station, StationId, ToolId, Works,
};
use coilwright::program::{Event, Program};
use coilwright::quantity::{Length, MemoryFiles, Sources};

/// Three tools, each at a station of its own: 400 mm, 3000.25 mm and 50 mm behind the shear; slug
/// 4 mm, a marker at 300 mm that prints 60 mm from the start. All of 0.1 mm.
fn long_line() -> Line {
    let mut line = line(Length::from_um(100), &["swage", "dimple", "lip-notch"]);
    for (place, um) in [400_000, 3_000_250, -50_000].into_iter().enumerate() {
        let name = format!("station-{place}").into();
        let (offset, works) = (Length::from_um(um), Works::Flat);
        line.stations.push(Station { name, offset, works, span: NOWHERE });
        line.tools[place].station = StationId(place as u16);
    }
    line.shear.slug = Length::from_mm(4);
    line.head.first_advance = Length::from_mm(-3_100);
    line.marker = Some(Marker {
        offset: Length::from_mm(300),
        pitch: Length::from_mm(5),
        from_start: Length::from_mm(60),
        most: 20,
        stamp: None,
    });
    line
}

/// A plain description at member level.
const PLAIN: &str = r#"
name = "told"
level = "member"
characters = "ascii"
line-end = "lf"

[controller]
offsets = "controller"
snapping = "nearest"
ties = "listed"

[numbers.place]
unit = "mm"
decimals = 2

[numbers.count]
unit = "count"
sign = "never"

[texts.name]
refuse = ";"

[records]
run-begin = [
  'run;', { field = "program", format = "name" },
  ';', { field = "batch", format = "name" },
  ';', { field = "line", format = "name" },
  ';', { field = "profile", format = "name" },
  ';', { field = "coil", format = "name" },
  ';', { field = "warm", yes = "warm", no = "new" },
]
member = [
  'piece;', { field = "serial", format = "count" },
  ';', { field = "quantity", format = "count" },
  ';', { field = "length", format = "place" },
]
scrap = ['waste;', { field = "length", format = "place" }]
feature = ['do;', { field = "at", format = "place" }, ';', { field = "tool" }]
mark = ['ink;', { field = "at", format = "place" }, ';', { field = "text", format = "name" }]
run-end = ['close']
"#;

const OWN_TEXTS: [(&str, &str); 2] = [
    (
        ";', { field = \"length\", format = \"place\" },\n]",
        ";', { field = \"length\", format = \"place\" },\n  ';', { field = \"text\", format = \
         \"name\" },\n]",
    ),
    (
        "mark = ['ink;', { field = \"at\", format = \"place\" }, ';', { field = \"text\", format = \
         \"name\" }]\n",
        "",
    ),
];

fn plain_with(changes: &[(&str, &str)]) -> String {
    let mut text = PLAIN.to_string();
    for (old, new) in changes {
        assert!(text.contains(old), "no `{old}` in the description");
        text = text.replace(old, new);
    }
    text
}

fn told_by(changes: &[(&str, &str)]) -> Invertible {
    prove(&described(&plain_with(changes)), &long_line())
}

const HEAD: &str = "run;KP07-1;north;shed line;C90;K-311;new\n";

/// What the controller makes of these records.
#[track_caller]
fn made(invertible: &Invertible, records: &str) -> Vec<Event> {
    let bytes = format!("{HEAD}{records}close\n");
    let read = invertible.read(FILE, bytes.as_bytes()).unwrap_or_else(|d| panic!("{d:#?}"));
    assert_eq!(invertible.told(&read.program).unwrap(), read.program);
    assert_eq!(invertible.print(&read.program).unwrap().bytes, bytes.as_bytes());
    assert_eq!(read.spans.len(), read.program.events.len());
    read.program.events
}

#[track_caller]
fn refused(changes: &[(&str, &str)], line: &Line, code: &str, shown: &str) {
    let text = plain_with(changes);
    let found = findings(&text, line);
    let told: Vec<_> = found.iter().map(|d| (d.code.number, d.message.as_str())).collect();
    assert!(!found.is_empty() && found.iter().all(|d| d.code.number == code), "{told:#?}");
    let span = found[0].span().unwrap();
    let at = &text[span.start as usize..span.end as usize];
    assert!(at.contains(shown), "shown at `{at}`: {told:?}");
}

fn program(events: Vec<Event>) -> Program {
    let end = events.iter().map(Event::at).max().unwrap();
    Program {
        id: "KP07-1".into(),
        batch: "north".into(),
        line: "shed line".into(),
        profile: "C90".into(),
        coil: "K-311".into(),
        warm: false,
        events,
        end,
    }
}

/// By hand: the trim's cut is at 100, the piece begins behind the slug at 104 and is cut at 2104.
/// A swage at 500 is due at 104 + 500 − 400 = 204; a dimple at 1000 at 104 + 1000 − 3000.25 =
/// −1896.25, nearest to −1896.2; a notch at 1950 at 104 + 1950 + 50 = 2104, with the cut.
#[test]
fn a_member_is_made_where_its_features_are_due() {
    let records = "waste;100.00\npiece;1;1;2000.00\nink;60.00;N1 S1\ndo;500.00;swage\n\
                   do;1000.05;dimple\ndo;1950.00;lip-notch\n";
    let events = made(&told_by(&[]), records);
    let expected = vec![
        stop(-1_896_200, &[(0, 1)]),
        mark(-136_000, "N1 S1"),
        trim(100_000),
        stop(204_000, &[(0, 0)]),
        stop(2_104_000, &[(0, 2)]),
        cut(2_104_000, 1),
    ];
    assert_eq!(events, expected);
}

/// The same, told as how far the member has passed the shear when its tool fires.
#[test]
fn a_program_may_take_off_distances_itself() {
    let events = made(
        &told_by(&[("offsets = \"controller\"", "offsets = \"program\"")]),
        "waste;100.00\npiece;1;1;2000.00\ndo;-2000.20;dimple\nink;-240.00;N1 S1\ndo;100.00;swage\n\
         do;2000.00;lip-notch\n",
    );
    let all = made(
        &told_by(&[]),
        "waste;100.00\npiece;1;1;2000.00\nink;60.00;N1 S1\ndo;500.00;swage\n\
         do;1000.05;dimple\ndo;1950.00;lip-notch\n",
    );
    assert_eq!(events, all);
}

/// 104 + 1000 − 3000.25 lies between −1896.3 and −1896.2.
#[test]
fn a_controller_may_stop_before_what_is_due() {
    let down = told_by(&[("\"nearest\"", "\"down\"")]);
    let events = made(&down, "waste;100.00\npiece;1;1;2000.00\ndo;1000.05;dimple\n");
    assert_eq!(events[0], stop(-1_896_200, &[(0, 1)]));
    // What is told is never below what is due: 1000.05 − 0.06 would be a stop further down, and
    // no other figure than the least is written.
    let not = "waste;100.00\npiece;1;1;2000.00\ndo;1000.09;dimple\n";
    let bytes = format!("{HEAD}{not}close\n");
    let refusal = down.read(FILE, bytes.as_bytes()).unwrap_err();
    assert_eq!(refusal.code.number, "E0759", "{}", refusal.message);
}

/// Both swage and notch are due at 1604: as listed, or together.
#[test]
fn strokes_due_at_one_advance_fire_as_the_controller_does() {
    let records = "waste;100.00\npiece;1;1;2000.00\ndo;1450.00;lip-notch\ndo;1900.00;swage\n";
    let events = made(&told_by(&[]), records);
    assert_eq!(events[1], stop(1_604_000, &[(0, 2), (1, 0)]));
    let together = told_by(&[("\"listed\"", "\"together\"")]);
    assert_eq!(made(&together, records)[1], stop(1_604_000, &[(0, 0), (0, 2)]));
    // The other way round no place says it: the order of the list does.
    let records = "waste;100.00\npiece;1;1;2000.00\ndo;1900.00;swage\ndo;1450.00;lip-notch\n";
    assert_eq!(made(&told_by(&[]), records)[1], stop(1_604_000, &[(0, 0), (1, 2)]));
    let bytes = format!("{HEAD}{records}close\n");
    let refusal = together.read(FILE, bytes.as_bytes()).unwrap_err();
    assert_eq!(refusal.code.number, "E0759", "{}", refusal.message);
}

/// Strokes due within 2 mm are done at the first of them, but none across a cut.
#[test]
fn a_controller_may_merge_strokes() {
    let merging = told_by(&[("ties = \"listed\"", "ties = \"listed\"\nmerges-within = \"2 mm\"")]);
    let planned = program(vec![
        trim(100_000),
        stop(1_604_000, &[(0, 0)]),
        stop(1_605_000, &[(0, 2)]),
        stop(1_606_500, &[(0, 0)]),
        stop(2_103_000, &[(0, 0)]),
        cut(2_104_000, 1),
        stop(2_104_500, &[(0, 2)]),
        cut(4_000_000, 2),
    ]);
    let told = merging.told(&planned).unwrap();
    let expected = vec![
        trim(100_000),
        stop(1_604_000, &[(0, 0), (1, 2)]),
        stop(1_606_500, &[(0, 0)]),
        stop(2_103_000, &[(0, 0)]),
        cut(2_104_000, 1),
        stop(2_104_500, &[(0, 2)]),
        cut(4_000_000, 2),
    ];
    // 1605 joins 1604; 1606.5 is more than 2 mm from it.
    assert_eq!(told.events, expected);
    let printed = merging.print(&told).unwrap();
    assert_eq!(merging.read(FILE, &printed.bytes).unwrap().program, told);
    // What it was not told so is not printed.
    assert_eq!(merging.print(&planned).unwrap_err().code.number, "E0735");
}

/// A text that stands with its member is printed at the marker's own place, and at once where
/// that has passed the marker when the strip is threaded.
#[test]
fn a_marker_may_have_a_place_of_its_own() {
    let own = told_by(&OWN_TEXTS);
    let planned = program(vec![
        mark(-100_000, "N1 S1"),
        trim(100_000),
        cut(2_104_000, 1),
        mark(2_000_000, "N1 S2"),
        cut(4_108_000, 2),
    ]);
    let told = own.told(&planned).unwrap();
    // 104 + 60 − 300, and 2108 + 60 − 300.
    assert_eq!(
        told.events,
        vec![
            mark(-136_000, "N1 S1"),
            trim(100_000),
            mark(1_868_000, "N1 S2"),
            cut(2_104_000, 1),
            cut(4_108_000, 2),
        ]
    );
    let text = String::from_utf8(own.print(&told).unwrap().bytes).unwrap();
    let records = "waste;100.00\npiece;1;1;2000.00;N1 S1\npiece;2;1;2000.00;N1 S2\nclose\n";
    assert_eq!(text, format!("{HEAD}{records}"));
    let warm = Program { warm: true, ..planned };
    assert_eq!(own.told(&warm).unwrap().events[0], mark(0, "N1 S1"));
    // One place, two texts.
    let both = program(vec![mark(0, "N1 S1"), mark(0, "N1"), trim(100_000), cut(2_104_000, 1)]);
    let refusal = own.told(&both).unwrap_err();
    assert_eq!(refusal.code.number, "E0738", "{}", refusal.message);
}

#[test]
fn members_that_are_alike_are_told_once() {
    let events = made(&told_by(&[]), "waste;100.00\npiece;1;3;2000.00\ndo;500.00;swage\n");
    let cuts = [(2_104_000, 1), (4_108_000, 2), (6_112_000, 3)];
    let mut expected = vec![trim(100_000)];
    for (at, serial) in cuts {
        expected.extend([stop(at - 1_900_000, &[(0, 0)]), cut(at, serial)]);
    }
    assert_eq!(events, expected);
    let invertible = told_by(&[]);
    let printed = invertible.print(&program(expected.clone())).unwrap();
    let serials: Vec<_> = printed.blocks.iter().map(|b| b.serial.map(|s| s.0)).collect();
    assert_eq!(serials, [None, Some(1), Some(2), Some(3)]);
    assert_eq!(printed.blocks[1].bytes, printed.blocks[3].bytes);
    // No more at once than the controller takes: told in two records then, and in no other way.
    let limited = told_by(&[("[numbers.place]", "[limits]\ncount = 2\n\n[numbers.place]")]);
    let text = String::from_utf8(limited.print(&program(expected)).unwrap().bytes).unwrap();
    assert!(text.contains("piece;1;2;2000.00\n") && text.contains("piece;3;1;2000.00\n"), "{text}");
    for other in [
        "waste;100.00\npiece;1;1;2000.00\npiece;2;1;2000.00\n",
        "waste;100.00\npiece;1;3;2000.00\n",
    ] {
        let bytes = format!("{HEAD}{other}close\n");
        let refusal = limited.read(FILE, bytes.as_bytes()).unwrap_err();
        assert_eq!(refusal.code.number, "E0759", "{other}: {}", refusal.message);
    }
    // More than any coil holds, and more than a machine's memory.
    for (other, code) in [
        ("piece;1;1000000;2000.00\n", "E0752"),
        ("piece;1;4000000000;0.10\n", "E0752"),
        ("piece;1;1;0.00\n", "E0752"),
        ("piece;1;1;-5.00\n", "E0752"),
    ] {
        let bytes = format!("{HEAD}{other}close\n");
        let refusal = invertible.read(FILE, bytes.as_bytes()).unwrap_err();
        assert_eq!(refusal.code.number, code, "{other}: {}", refusal.message);
    }
}

#[test]
fn the_shipped_member_table_is_plain() {
    let named = "shipped:member-table";
    let (dialect, found) =
        load_dialect(&MemoryFiles::default(), &mut Sources::default(), named, None);
    assert!(found.is_empty(), "{found:#?}");
    let line = long_line();
    let invertible = prove(&dialect.unwrap(), &line);
    let sample = invertible.told(&invertible.sample(&line)).unwrap();
    let printed = invertible.print(&sample).unwrap();
    insta::assert_snapshot!(String::from_utf8(printed.bytes).unwrap());
}

#[test]
fn e0738_no_member_says_it() {
    let invertible = told_by(&[]);
    // For strip behind the last cut.
    let stays = program(vec![trim(100_000), cut(2_104_000, 1), stop(2_104_000, &[(0, 1)])]);
    let refusal = invertible.told(&stays).unwrap_err();
    assert_eq!(refusal.code.number, "E0738");
    assert!(refusal.message.contains("behind its last cut"), "{}", refusal.message);
    // Scrap without a record, a slope without fields, a cut no length ends with.
    let scrapless =
        told_by(&[("scrap = ['waste;', { field = \"length\", format = \"place\" }]", "")]);
    let sloped =
        Event::Cut { at: trim(2_104_000).at(), piece: None, slope: Slope::new(1, 3).unwrap() };
    for (invertible, events) in [
        (&scrapless, vec![trim(100_000), cut(2_104_000, 1)]),
        (&invertible, vec![trim(100_000), sloped]),
        (&invertible, vec![trim(100_000), cut(100_000, 1)]),
        (&invertible, vec![trim(100_000), cut(2_104_050, 1)]),
    ] {
        let refusal = invertible.told(&program(events)).unwrap_err();
        assert_eq!(refusal.code.number, "E0738", "{}", refusal.message);
        assert!(refusal.help.is_some() && refusal.span().is_some());
    }
}

#[test]
fn descriptions_that_prove_nothing_are_refused() {
    let line = long_line();
    // Levels and their records.
    refused(&[("level = \"member\"", "level = \"stop\"")], &line, "E0701", "[controller]");
    let controller =
        "[controller]\noffsets = \"controller\"\nsnapping = \"nearest\"\nties = \"listed\"\n";
    refused(&[(controller, "")], &line, "E0701", "member");
    let stop = "run-end = ['close']\nstop = ['stop;', { field = \"at\", format = \"place\" }]";
    refused(&[("run-end = ['close']", stop)], &line, "E0701", "stop;");
    let far = ("ties = \"listed\"", "ties = \"listed\"\nmerges-within = \"1 m\"");
    refused(&[far], &line, "E0306", "1 m");
    // Fields.
    let end = "run-end = ['close;', { field = \"end\", format = \"place\" }]";
    refused(&[("run-end = ['close']", end)], &line, "E0703", "end");
    let list = "'piece;', { list = \"strokes\", separator = ',' }, ';',";
    refused(&[("'piece;',", list)], &line, "E0703", "strokes");
    let serial = ("'piece;', { field = \"serial\", format = \"count\" },", "'piece;',");
    refused(&[serial], &line, "E0704", "piece;");
    refused(&[OWN_TEXTS[1]], &line, "E0704", "piece;");
    refused(&[OWN_TEXTS[0]], &line, "E0705", "ink;");
    let mut turned = long_line();
    turned.shear.slopes.listed = vec![Slope::new(1, 3).unwrap()];
    // Texts behind short points, and cuts whose slope nobody tells.
    let found = findings(&plain_with(&OWN_TEXTS), &turned);
    let codes: Vec<_> = found.iter().map(|d| d.code.number).collect();
    assert_eq!(codes, ["E0704", "E0704", "E0703"], "{found:#?}");
    let mut unmarked = long_line();
    unmarked.marker = None;
    assert!(findings(&plain_with(&[OWN_TEXTS[1]]), &unmarked).is_empty());
    let counted = (
        "{ field = \"length\", format = \"place\" },\n]",
        "{ field = \"length\", format = \"count\" },\n]",
    );
    refused(&[counted], &line, "E0706", "length");
    refused(&[("'do;', ", "'piece', ")], &line, "E0708", "piece");
    // The station at 3000.25 mm: a tenth is no more fine enough.
    refused(&[("decimals = 2", "decimals = 1")], &line, "E0716", "place");
    let mut round = long_line();
    round.stations[1].offset = Length::from_mm(3_000);
    assert!(findings(&plain_with(&[("decimals = 2", "decimals = 1")]), &round).is_empty());
    let steps = ("decimals = 2", "decimals = 2\nadvance = \"relative\"");
    refused(&[steps], &line, "E0717", "place");
}

#[test]
fn e0721_fires_another_way() {
    let mut line = long_line();
    let together = ("\"listed\"", "\"together\"");
    assert!(findings(&plain_with(&[together]), &line).is_empty());
    line.overlaps.push(OverlapOrder { first: ToolId(0), then: ToolId(1) });
    refused(&[together], &line, "E0721", "[controller]");
    line.firing = Firing::AtOnce;
    assert!(findings(&plain_with(&[together]), &line).is_empty());
    refused(&[], &line, "E0721", "[controller]");
}
