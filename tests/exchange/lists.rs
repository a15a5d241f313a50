//! Lists: every spelling, and everything that is wrong with one.

use super::shop::{map, map_faults, source, with_map};
use coilwright::diagnostic::Diagnostic;
use coilwright::exchange::{self, members_text};
use coilwright::quantity::Sources;

const MAP: &str = r#"
[table]
unit = "mm"
[job]
name = "KP31"
[columns]
frame = "Panel"
mark = "Piece"
usage = "Use"
profile = "Section"
length = "Length"
quantity = "No"
[profiles]
C = "C90x40-0.75"
[[features]]
code = "Op"
at = "X"
[[code]]
code = "D"
feature = "dimple"
[[code]]
code = "SW"
feature = "swage"
ends = "both"
[[code]]
code = "paint"
leave-out = true
"#;

const HEAD: &str = "Panel,Piece,Use,Section,Length,No,Op,X\n";

fn read(text: &str, map_text: &str) -> (Option<(String, String)>, Vec<Diagnostic>, Sources) {
    let (map, sources, file) = with_map(map_text, "list.csv", text);
    let (read, found) = exchange::csv::read(&sources, file, &map);
    let read = read.map(|(job, answer)| (members_text(&job).unwrap(), answer.text(&job)));
    assert_eq!(read.is_some(), found.is_empty(), "members and findings: {found:#?}");
    for finding in &found {
        assert!(finding.help.is_some(), "{}", finding.message);
    }
    (read, found, sources)
}

fn good(text: &str, map_text: &str) -> (String, String) {
    let (read, found, _) = read(text, map_text);
    read.unwrap_or_else(|| panic!("{found:#?}"))
}

/// `E1113 at 3:2 "Q"`, for each finding in order of place.
fn told(text: &str, map_text: &str) -> Vec<String> {
    let (_, mut found, sources) = read(text, map_text);
    found.sort_by_key(|d| d.span().map(|s| s.start));
    let show = |d: &Diagnostic| {
        let Some(span) = d.span() else { return d.code.number.to_string() };
        let at = sources.get(span.file).unwrap().position(span.start);
        format!("{} at {}:{} {:?}", d.code.number, at.line, at.column, sources.text_of(span))
    };
    found.iter().map(show).collect()
}

#[test]
fn a_list_in_every_spelling_is_the_same_members() {
    let plain = "Panel,Piece,Use,Section,Length,No,Op,X\nN1,S1,stud,C,2396.5,2,D,18\nN1,S2,stud,C,2396.5,,SW,\n";
    let (members, _) = good(plain, MAP);
    assert!(
        members.contains(
            "member S1 stud length 2396.5 quantity 2 {  #@ list.csv:2\n    dimple at 18\n"
        ),
        "{members}"
    );
    let body = |text: &str| text.replace("list.csv:3", "").replace("list.csv:2", "");
    let semicolons = plain.replace(',', ";");
    let tabs = plain.replace(',', "\t").replace('\n', "\r\n");
    let quoted = "Panel,\"Piece\",Use,Section,Length,No,Op,X\n\"N1\",\"S1\",stud,C,\"2396.5\",2,D,18\n\n\nN1,S2,stud,C,2396.5,,SW,\n";
    for text in [semicolons.as_str(), &tabs] {
        assert_eq!(body(&good(text, MAP).0), body(&members), "{text}");
    }
    assert_eq!(body(&good(quoted, MAP).0).replace("list.csv:5", ""), body(&members));
    let commas = semicolons.replace('.', ",");
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\ndecimal = \",\"");
    assert_eq!(good(&commas, &map).0, good(&semicolons, MAP).0);
    let metres = plain.replace("2396.5", "2.3965").replace("18", "0.018");
    assert_eq!(good(&metres, &MAP.replace("\"mm\"", "\"m\"")).0, members);
    let said = plain.replace("2396.5", "2396.5 mm").replace("18", "18mm");
    assert_eq!(good(&said, &MAP.replace("unit = \"mm\"", "")).0, members);
    let inches = "Panel,Piece,Use,Section,Length,No,Op,X\nN1,S1,stud,C,\"7' 10-3/8\"\"\",1,D,5/8\n";
    let (inches, _) = good(inches, &MAP.replace("\"mm\"", "\"in\""));
    assert!(inches.contains("length 2397.125") && inches.contains("dimple at 15.875"), "{inches}");
}

#[test]
fn a_feature_in_each_row_goes_to_its_member() {
    let rows = "N1,S1,stud,C,2396,1,D,18\nN1,S1,,,,,D,600\nN1,S2,stud,C,2396,1,SW,\nN1,S1,stud,C,2396,1,paint,\n";
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nrows = \"feature\"");
    let (members, answer) = good(&format!("{HEAD}{rows}"), &map);
    assert!(members.contains("dimple at 18, 600"), "{members}");
    assert!(members.contains("swage both ends"), "{members}");
    assert!(answer.contains("4 rows; 2 members in 1 frame, 4 features"), "{answer}");
    assert!(answer.contains("1  code paint"), "{answer}");
    // E1118: the same mark of another length.
    let wrong = format!("{HEAD}{}", rows.replace("N1,S1,,,,,D", "N1,S1,,,2400,,D"));
    assert_eq!(told(&wrong, &map), ["E1118 at 3:9 \"2400\""]);
}

#[test]
fn positions_ranges_and_sides_are_taken_as_the_map_says() {
    let map = r#"
[table]
unit = "mm"
[job]
name = "KP31"
[default]
frame = "N1"
profile = "C90x40-0.75"
usage = "stud"
[columns]
mark = "Piece"
length = "Length"
[faces]
T = "left-flange"
B = ["left-flange", "right-flange"]
[[features]]
is = "end hole"
at = "Ends"
between = "/"
[[features]]
code = "Op"
at = ["X1", "X2"]
to = "To"
across = "Y"
size = "Dia"
face = "Side"
[[code]]
code = "end hole"
feature = "hole"
size = "12 mm"
from = "end"
[[code]]
code = "H"
feature = "hole"
[[code]]
code = "N"
feature = "lip-notch"
from = "middle"
"#;
    let text = "Piece,Length,Ends,Op,X1,X2,To,Y,Dia,Side\n\
                S1,2396,45/90,H,310,400,,5,14,B\n\
                S2,2396,,N,-24,,24,,,\n";
    let (members, _) = good(text, map);
    assert!(members.contains("hole 12 at end - 45, end - 90\n"), "{members}");
    assert!(members.contains("hole 14 on flanges across 5 at 310, 400\n"), "{members}");
    assert!(members.contains("lip-notch at middle - 24 .. middle + 24\n"), "{members}");
}

/// Sloped ends, in the map's words or the list's.
#[test]
fn ends_are_sloped_as_a_column_says() {
    let map = MAP.replace("quantity = \"No\"", "quantity = \"No\"\nstart = \"From\"\nend = \"To\"")
        + "[ends]\nR30 = \"4 : 12 right\"\nQ = \"square\"\n";
    let head = "Panel,Piece,Use,Section,Length,No,Op,X,From,To\n";
    let (members, _) = good(
        &format!("{head}N1,S1,stud,C,2396,1,D,18,R30,7:12 left\nN1,S2,stud,C,2396,1,D,18,Q,\n"),
        &map,
    );
    assert!(
        members.contains(
            "    start slope 4 : 12 long point right\n    end slope 7 : 12 long point left\n"
        ),
        "{members}"
    );
    assert_eq!(members.matches("slope").count(), 2);
    let wrong = format!("{head}N1,S1,stud,C,2396,1,D,18,R31,7:12\n");
    assert_eq!(told(&wrong, &map), ["E1113 at 2:26 \"R31\"", "E1113 at 2:30 \"7:12\""]);
    for bad in ["4 : 12", "4 : 0 left", "left", "0 : 12 left", "-4 : 12 left"] {
        let map = format!("[ends]\nR = \"{bad}\"\n");
        assert_eq!(map_faults(&map)[0].code.number, "E1103", "{bad}");
    }
}

/// What stands in a list and is not taken is told, or listed in the answer.
#[test]
fn nothing_of_a_list_is_passed_over() {
    // Under no name: a separator at the end of the names, and a cell after it in a row.
    let head = "Panel,Piece,Use,Section,Length,No,Op,X,\n";
    assert!(!good(&format!("{head}N1,S1,stud,C,2396,1,D,18,\n"), MAP).0.is_empty());
    let beyond = format!("{head}N1,S1,stud,C,2396,1,D,18,\nN1,S2,stud,C,2396,1,D,18,new\n");
    assert_eq!(told(&beyond, MAP), ["E1116 at 3:26 \"new\""]);
    // After a quotation mark that closes a cell.
    let after = format!("{HEAD}N1,\"S\"1,stud,C,2396,1,D,18\n");
    assert_eq!(told(&after, MAP), ["E1120 at 2:4 \"\\\"S\\\"1\""]);
    // Lines above the names, and places of what shapes ends, are listed.
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nheader-line = 3");
    let (_, answer) = good(&format!("a\nb\n{HEAD}N1,S1,stud,C,2396,1,SW,18\n"), &map);
    assert!(answer.contains("1  lines 1 to 2, above the names"), "{answer}");
    assert!(answer.contains("1  place beside the code SW, which shapes ends"), "{answer}");
    // But not where they lie at the other end.
    let start = MAP.replace("ends = \"both\"", "ends = \"start\"");
    assert_ne!(start, MAP);
    let one = |at: &str| format!("{HEAD}N1,S1,stud,C,2396,1,SW,{at}\n");
    assert!(good(&one("18"), &start).1.contains("1  place beside the code SW"));
    assert_eq!(told(&one("2378"), &start), ["E1123 at 2:24 \"2378\""]);
    // A feature that stands there already.
    let twice = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nrows = \"feature\"");
    let row = "N1,S1,stud,C,2396,1,D,18\n";
    assert_eq!(told(&format!("{HEAD}{row}{row}"), &twice), ["E1119 at 3:21 \"D\""]);
    // What is said of no feature, and what is said twice of a frame.
    let map = MAP
        .replace(
            "at = \"X\"",
            "at = \"X\"\nto = \"To\"\nsize = \"Dia\"\nwidth = \"Wide\"\nbetween = \"/\"",
        )
        .replace("usage = \"Use\"", "usage = \"Use\"\nkind = \"Kind\"\ntitle = \"Title\"");
    let head = "Panel,Kind,Title,Piece,Use,Section,Length,No,Op,X,To,Dia,Wide\n";
    let list = |rows: &str| format!("{head}{rows}");
    assert_eq!(told(&list("N1,wall,,S1,stud,C,2396,1,,,,14,\n"), &map), ["E1114 at 2:30 \"14\""]);
    assert_eq!(told(&list("N1,wall,,S1,stud,C,2396,1,D,18,,,9\n"), &map), ["E1114 at 2:34 \"9\""]);
    assert_eq!(
        told(&list("N1,wall,,S1,stud,C,2396,1,D,18/90,200,,\n"), &map),
        ["E1121 at 2:29 \"18/90\""]
    );
    let frames = "N1,,north,S1,stud,C,2396,1,,,,,\nN1,truss,,S2,stud,C,2396,1,,,,,\n";
    let (members, _) = good(&list(frames), &map);
    assert!(members.contains("frame N1 truss \"north\""), "{members}");
    let differ = format!("{frames}N1,wall,south,S3,stud,C,2396,1,,,,,\n");
    assert_eq!(told(&list(&differ), &map), ["E1118 at 4:4 \"wall\"", "E1118 at 4:9 \"south\""]);
}

/// E1111, E1112, E1122: columns.
#[test]
fn columns_are_missing_unmapped_or_twice() {
    let row = "N1,S1,stud,C,2396,1,D,18\n";
    let list = |head: &str| format!("{head}\n{row}");
    let renamed = list("Panel,Piece,Use,Section,Lenght,No,Op,X");
    let found = read(&renamed, MAP).1;
    assert_eq!(found.iter().map(|d| d.code.number).collect::<Vec<_>>(), ["E1111", "E1112"]);
    assert!(found[0].help.as_deref().unwrap().contains("`Lenght`"));
    let more = "Panel,Piece,Use,Section,Length,No,Op,X,Weight\nN1,S1,stud,C,2396,1,D,18,3.1\n";
    assert_eq!(told(more, MAP), ["E1112 at 1:40 \"Weight\""]);
    let ignored = MAP.replace("quantity = \"No\"", "quantity = \"No\"\nignore = [\"weight\"]");
    assert!(good(more, &ignored).1.contains("column Weight"));
    assert!(
        told(&list("Panel,Piece,Use,Section,Length,No,Op,Op"), MAP)
            .contains(&"E1122 at 1:38 \"Op\"".to_string())
    );
}

/// What cells leave to the usual is counted.
#[test]
fn what_a_list_leaves_unsaid_is_counted() {
    let map = MAP.replace("usage = \"Use\"", "usage = \"Use\"\nkind = \"Kind\"");
    let head = "Panel,Kind,Piece,Use,Section,Length,No,Op,X\n";
    let rows = "N1,,S1,,C,2396,,D,18\nN1,,S2,stud,C,2396,,D,18\nN2,truss,S1,,C,2396,2,D,18\n";
    let (_, answer) = good(&format!("{head}{rows}"), &map);
    for remark in [
        "2 rows without a quantity: 1 taken.",
        "2 rows without a usage: other taken.",
        "1 frame without a kind: wall taken.",
    ] {
        assert!(answer.contains(remark), "{answer}");
    }
    let (_, answer) = good(&format!("{HEAD}N1,S1,stud,C,2396,1,D,18\n"), MAP);
    assert!(!answer.contains("without"), "{answer}");
}

/// E1119: a further row of a member that says nothing new.
#[test]
fn rows_that_are_alike_are_not_one_member() {
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nrows = \"feature\"");
    let rows = "N1,S1,stud,C,2396,1,,\nN1,S1,stud,C,2396,1,,\nN1,S2,stud,C,2396,1,,\n";
    assert_eq!(told(&format!("{HEAD}{rows}"), &map), ["E1119 at 3:4 \"S1\""]);
    let found = read(&format!("{HEAD}{rows}"), &map).1;
    assert!(found[0].message.contains("list.csv:2"), "{}", found[0].message);
}

/// E1123: an end that is shaped twice.
#[test]
fn an_end_is_shaped_once() {
    let entries = MAP
        .replace(
            "code = \"Op\"\nat = \"X\"",
            "list = \"Op\"\nbetween = \"|\"\nform = \"{code}@{at}\"",
        )
        .replace("quantity = \"No\"", "quantity = \"No\"\nignore = [\"X\"]")
        + "[[code]]\ncode = \"LE\"\nfeature = \"lip-cut\"\nends = \"end\"\n\
           [[code]]\ncode = \"LX\"\nfeature = \"lip-cut\"\nends = \"both\"\n\
           [[code]]\ncode = \"LS\"\nfeature = \"lip-cut\"\nends = \"start\"\n";
    let list = |op: &str| format!("{HEAD}N1,S1,stud,C,2396,1,{op},\n");
    assert_eq!(told(&list("SW | SW"), &entries), ["E1123 at 2:21 \"SW\""]);
    assert_eq!(told(&list("LE | LX"), &entries), ["E1123 at 2:26 \"LX\""]);
    let (members, _) = good(&list("LE | LS | SW"), &entries);
    assert!(
        members.contains("lip-cut both ends") && members.contains("swage both ends"),
        "{members}"
    );
    // In rows of their own too.
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nrows = \"feature\"");
    let rows = "N1,S1,stud,C,2396,1,SW,\nN1,S1,stud,C,2396,1,SW,\n";
    assert_eq!(told(&format!("{HEAD}{rows}"), &map), ["E1123 at 3:21 \"SW\""]);
}

/// E1111: one finding where the map's names stand in another line, or nowhere.
#[test]
fn a_wrong_line_of_names_is_one_finding() {
    let row = "N1,S1,stud,C,2396,1,D,18\n";
    let below = format!("Kestrel Point,,,,,,,\nrev A,,,,,,,\n{HEAD}{row}");
    let found = read(&below, MAP).1;
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].code.number, "E1111");
    assert!(found[0].help.as_deref().unwrap().contains("write `header-line = 3`"), "{found:#?}");
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nheader-line = 2");
    let found = read(&format!("{HEAD}{row}"), &map).1;
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].help.as_deref().unwrap().contains("write `header-line = 1`"), "{found:#?}");
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nseparator = \"tab\"");
    let found = read(&format!("{HEAD}{row}"), &map).1;
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].help.as_deref().unwrap().contains("correct `separator`"), "{found:#?}");
    let found = read("a,b,c\n1,2,3\n", MAP).1;
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].help.as_deref().unwrap().contains("the right list"), "{found:#?}");
}

/// E1117: units that are mixed are refused, unless the map lets them be.
#[test]
fn units_are_mixed_only_where_the_map_says_so() {
    let rows =
        "N1,S1,stud,C,2396,1,D,18\nN1,S2,stud,C,94 in,1,D,3/4 in\nN1,S3,stud,C,8 ft,1,D,18 mm\n";
    let list = format!("{HEAD}{rows}");
    let at = ["E1117 at 3:14 \"94 in\"", "E1117 at 3:24 \"3/4 in\"", "E1117 at 4:14 \"8 ft\""];
    assert_eq!(told(&list, MAP), at);
    let help = read(&list, MAP).1[0].help.clone().unwrap();
    assert!(help.contains("`mixed-units = true`") && help.contains("[table]"), "{help}");
    let map = MAP.replace("unit = \"mm\"", "unit = \"mm\"\nmixed-units = true");
    let (members, answer) = good(&list, &map);
    for length in ["length 2396 ", "length 2387.6 ", "length 2438.4 ", "dimple at 19.05"] {
        assert!(members.contains(length), "{length}: {members}");
    }
    let remark = "3 figures in another unit than the others, the first in line 3: look at them.";
    assert!(answer.contains(remark), "{answer}");
    // Without a unit of the list's own, a column is in units of one kind.
    let said = list.replace("C,2396,", "C,2396 mm,").replace("D,18\n", "D,18 mm\n");
    let unsaid = MAP.replace("unit = \"mm\"", "");
    assert_eq!(told(&said, &unsaid), at);
    let map = MAP.replace("unit = \"mm\"", "mixed-units = true");
    assert!(good(&said, &map).1.contains("3 figures in another unit"));
    // That nothing says a unit is told once.
    let found = read(&format!("{HEAD}{}", rows.replace(" in", "").replace(" ft", "")), &unsaid).1;
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].message.contains("says no unit"), "{found:#?}");
    assert!(found[0].message.contains("(5 figures)"), "{found:#?}");
    let metres =
        said.replace("94 in", "2.4 m").replace("3/4 in", "1.8 cm").replace("8 ft", "240 cm");
    good(&metres, &unsaid);
}

/// E1113: words that no table has, each told once with how often it stands there.
#[test]
fn unknown_codes_are_listed_once_each() {
    let text = format!(
        "{HEAD}N1,S1,stud,C,2396,1,Q,18\nN1,S2,stud,C2,2396,1,Q,18\nN1,S3,post,C,2396,1,D,18\n"
    );
    assert_eq!(
        told(&text, MAP),
        ["E1113 at 2:21 \"Q\"", "E1113 at 3:12 \"C2\"", "E1113 at 4:7 \"post\""]
    );
    let found = read(&text, MAP).1;
    assert!(found.iter().any(|d| d.message.contains("`Q` (2 times)")), "{found:#?}");
}

/// E1114, E1115, E1116, E1117, E1119, E1120, E1121: cells and rows.
#[test]
fn cells_that_cannot_be_read_are_told_where_they_stand() {
    let text = format!(
        "{HEAD}N1,,stud,C,2396,1,D,18\nN1,S2,stud,C,2.396.5,1,D,18\nN1,S3,stud,C,2396,1,D\n\
         N1,S4,stud,C,94 in,1,D,18\nN1,S5,stud,C,2396,1,D,\nN1,S6,stud,C,2396,none,D,18\n\
         N1,S7,stud,C,2396,1,,18\nN1,S8,stud,C,-5,1,D,18\nN1,S9,stud,C,2396,1,D,18\nN1,S9,stud,C,2396,1,D,18\n"
    );
    assert_eq!(
        told(&text, MAP),
        [
            "E1114 at 2:4 \",\"",
            "E1115 at 3:14 \"2.396.5\"",
            "E1116 at 4:1 \"N1,S3,stud,C,2396,1,D\"",
            "E1117 at 5:14 \"94 in\"",
            "E1114 at 6:21 \"D\"",
            "E1115 at 7:19 \"none\"",
            "E1114 at 8:21 \",\"",
            "E1115 at 9:14 \"-5\"",
            "E1119 at 11:4 \"S9\"",
        ]
    );
    let open = format!("{HEAD}N1,\"S1,stud,C,2396,1,D,18\nN1,S2,stud,C,2396,1,D,18\n");
    assert_eq!(told(&open, MAP), ["E1120 at 2:4 \"\\\"\""]);
    let entries = MAP
        .replace(
            "code = \"Op\"\nat = \"X\"",
            "list = \"Op\"\nbetween = \" \"\nform = \"<{code}@{at}>\"",
        )
        .replace("quantity = \"No\"", "quantity = \"No\"\nignore = [\"X\"]");
    let text = format!("{HEAD}N1,S1,stud,C,2396,1,<D@18> <D@600> D@9,\n");
    assert_eq!(told(&text, &entries), ["E1121 at 2:36 \"D@9\""]);
    let (members, _) = good(&text.replace(" D@9", ""), &entries);
    assert!(members.contains("dimple at 18, 600"), "{members}");
}

/// E1103: a map that does not say enough; E1104: nothing to read.
#[test]
fn a_map_that_wants_something_and_a_list_of_nothing() {
    let row = format!("{HEAD}N1,S1,stud,C,2396,1,D,18\n");
    let without_job = MAP.replace("[job]\nname = \"KP31\"", "");
    assert_eq!(read(&row, &without_job).1[0].code.number, "E1103");
    assert_eq!(told(HEAD, MAP), ["E1104 at 1:1 \"P\""]);
    let faults =
        |text: &str| map_faults(text).into_iter().map(|d| d.code.number).collect::<Vec<_>>();
    assert_eq!(
        faults("[[code]]\ncode = \"D\"\n[[code]]\ncode = \"D\"\nfeature = \"dimple\"\n"),
        ["E1103", "E1103"]
    );
    assert_eq!(faults("[[features]]\nat = \"X\"\n"), ["E1103"]);
    assert_eq!(faults("[[opening]]\nfeature = \"hole\"\n"), ["E1103"]);
    assert_eq!(faults("[usages]\nP = \"post\"\n[kinds]\nQ = \"quay\"\n"), ["E1103", "E1103"]);
    assert_eq!(faults("[[code]]\ncode = \"D\"\nfeature = \"two words\"\n"), ["E1103"]);
    let form = MAP.replace("code = \"Op\"\nat = \"X\"", "list = \"Op\"\nform = \"{code}{at}\"");
    assert!(read(&row, &form).1.iter().any(|d| d.code.number == "E1103"));
}

#[test]
fn a_list_that_is_wrong_everywhere_is_told_in_bounds() {
    let mut text = String::from(HEAD);
    for i in 0..20_000 {
        text.push_str(&format!("N1,S{i},stud,C,x,1,D,y\n"));
    }
    let found = read(&text, MAP).1;
    assert!((1_000..3_000).contains(&found.len()), "{}", found.len());
    assert!(found.iter().any(|d| d.notes.iter().any(|n| n.contains("reading stopped"))));
}

/// E1102: what a name of members text cannot be.
#[test]
fn names_that_cannot_be_written_are_refused() {
    let text = format!("{HEAD}N1,\"S \"\"1\"\"\",stud,C,2396,1,D,18\n");
    let map = map(MAP);
    let (sources, file) = source("list.csv", &text);
    let (job, _) = exchange::csv::read(&sources, file, &map).0.unwrap();
    let faults = members_text(&job).unwrap_err();
    assert_eq!(faults.len(), 1);
    assert_eq!(faults[0].code.number, "E1102");
    assert!(faults[0].message.contains("quotation mark"), "{}", faults[0].message);
}

/// E1131: JSON that is not members.
#[test]
fn json_that_is_not_members_is_refused_at_its_place() {
    let one = r#"{"format":"coilwright members 1","job":{"name":"KP"},"frames":[{"name":"N1","kind":"wall","members":[
{"mark":"S1","usage":"stud","profile":"C90","length":"2396 mm","features":[{"kind":"hole","size":"12 mm","at":{"offset":"20 mm"}}]}]}]}"#;
    let read = |text: &str| {
        let (sources, file) = source("job.json", text);
        let (job, found) = exchange::json::load(&sources, file);
        assert_ne!(job.is_some(), !found.is_empty());
        found
            .into_iter()
            .map(|d| {
                (d.code.number, sources.get(file).unwrap().position(d.span().unwrap().start).line)
            })
            .collect::<Vec<_>>()
    };
    assert_eq!(read(one), []);
    for (from, to) in [
        ("2396 mm", "2396"),
        ("\"mark\"", "\"name\""),
        ("stud", "post"),
        ("\"offset\"", "\"depth\""),
        ("2396 mm\"", "2396 mm\", \"colour\": \"red\""),
    ] {
        let wrong = one.replace(from, to);
        assert_eq!(read(&wrong), [("E1131", 2)], "{to}");
    }
    let spelled = one.replace("2396 mm", "7’-10 3/8”").replace("12 mm", "½ in");
    assert_eq!(read(&spelled), []);
    // In words of the trade, not of the reader of JSON.
    for (from, to, told) in [
        (
            "\"stud\",",
            "\"stud\",\"quantity\":-1,",
            "the number `-1` stands here, and it has to be a whole number from 1 on",
        ),
        (
            "\"stud\",",
            "\"stud\",\"quantity\":\"2\",",
            "the text \"2\" stands here, and it has to be a whole number",
        ),
        ("\"features\":[", "\"features\":{},\"x\":[", "has to be a list [ … ]"),
        ("2396 mm", "2 396 mm", "two figures stand here with a blank between them"),
        ("\"mark\":\"S1\",", "", "`mark` is missing"),
        ("\"mark\":\"S1\",", "\"mark\":\"S1\",\"mark\":\"S1\",", "`mark` stands twice"),
        (
            "\"mark\":\"S1\",",
            "\"mark\":\"S1\",\"colour\":1,",
            "there is no key `colour` here; there is one of `mark`",
        ),
    ] {
        let (sources, file) = source("job.json", &one.replacen(from, to, 1));
        let found = exchange::json::load(&sources, file).1;
        assert!(found[0].message.contains(told), "{}", found[0].message);
    }
    assert_eq!(read("{"), [("E1131", 1)]);
    assert_eq!(read(""), [("E1131", 1)]);
}

/// E1132: what stands in JSON members and means nothing is told where it stands, all of it in one
/// pass, and nothing of it is left out.
#[test]
fn json_that_means_nothing_is_refused_at_its_place() {
    let one = r#"{
  "format": "coilwright members 1",
  "job": { "name": "KP" },
  "frames": [
    { "name": "N1", "kind": "wall", "members": [
      { "mark": "S1", "usage": "stud", "profile": "C90", "length": "2396 mm" },
      { "mark": "S2", "usage": "stud", "profile": "C90", "length": "2396 mm", "quantity": 2,
        "length-tolerance": { "minus": "1 mm", "plus": "0.5 mm" },
        "end": { "rise": 4, "run": 12 },
        "features": [
          { "kind": "hole", "size": "12 mm", "width": "12 mm", "at": { "offset": "20 mm" } },
          { "kind": "notch", "from": { "offset": "20 mm" }, "to": { "offset": "60 mm" },
            "tolerance": { "minus": "1 mm", "plus": "1 mm" },
            "to-tolerance": { "minus": "2 mm", "plus": "2 mm" } } ] } ] } ]
}
"#;
    let told = |text: &str| {
        let (sources, file) = source("job.json", text);
        let (job, found) = exchange::json::load(&sources, file);
        assert_eq!(job.is_some(), found.is_empty());
        let told = found.iter().map(|d| {
            assert!(d.help.is_some(), "{}", d.message);
            let place = sources.get(file).unwrap().position(d.span().unwrap().start);
            (
                d.code.number,
                place.line,
                place.column,
                sources.text_of(d.span().unwrap()).to_string(),
            )
        });
        told.collect::<Vec<_>>()
    };
    assert_eq!(told(one), []);
    for (from, to, line, shown) in [
        ("members 1", "members 9", 2, "\"coilwright members 9\""),
        ("\"quantity\": 2", "\"quantity\": 0", 7, "0"),
        (
            "\"minus\": \"1 mm\", \"plus\": \"0.5",
            "\"minus\": \"-1 mm\", \"plus\": \"0.5",
            8,
            "\"-1 mm\"",
        ),
        ("\"run\": 12", "\"run\": 0", 9, "0"),
        ("\"size\": \"12 mm\", ", "", 11, "\"12 mm\""),
        ("\"hole\"", "\"a hole\"", 11, "\"a hole\""),
        (
            "\"at\": { \"offset\": \"20 mm\" }",
            "\"from\": { \"offset\": \"20 mm\" }",
            11,
            "{ \"kind\": \"hole\", \"size\": \"12 mm\", \"width\": \"12 mm\", ",
        ),
        (
            "            \"tolerance\": { \"minus\": \"1 mm\", \"plus\": \"1 mm\" },\n",
            "",
            13,
            "{ \"minus\": \"2 mm\", \"plus\": \"2 mm\" }",
        ),
        ("\"plus\": \"2 mm\"", "\"plus\": \"-2 mm\"", 14, "\"-2 mm\""),
        ("\"2396 mm\", \"quantity\"", "\"0 mm\", \"quantity\"", 7, "\"0 mm\""),
    ] {
        let found = told(&one.replacen(from, to, 1));
        let [(code, at, _, text)] = found.as_slice() else { panic!("{to}: {found:?}") };
        assert_eq!((*code, *at), ("E1132", line), "{to}");
        assert!(text.starts_with(shown), "{to}: {text}");
    }
    // Several in one pass, each at its own place.
    let two = one
        .replace("\"run\": 12", "\"run\": 0")
        .replace("\"length\": \"2396 mm\" }", "\"length\": \"-1 mm\" }");
    let lines: Vec<u32> = told(&two).iter().map(|told| told.1).collect();
    assert_eq!(lines, [6, 9]);
}

/// Members of JSON keep the line they begin at.
#[test]
fn members_of_json_keep_their_line() {
    let text = "{\"format\":\"coilwright members 1\",\"job\":{\"name\":\"KP\"},\n\"frames\":[{\"name\":\"N1\",\"kind\":\"wall\",\"members\":[\n\
         {\"mark\":\"S1\",\"usage\":\"stud\",\"profile\":\"C90\",\"length\":\"5 mm\"},\n\n\
         {\"mark\":\"S2\",\n\"usage\":\"stud\",\"profile\":\"C90\",\"length\":\"6 mm\"}]}]}\n";
    let (sources, file) = source("folder/job.json", text);
    let job = exchange::json::load(&sources, file).0.unwrap().0;
    let written = members_text(&job).unwrap();
    assert!(written.contains("member S1 stud length 5  #@ job.json:3\n"), "{written}");
    assert!(written.contains("member S2 stud length 6  #@ job.json:5\n"), "{written}");
}

/// A quotation mark that does not stand first in a name is part of it, as in every cell below;
/// names that run over lines do not shift the rows.
#[test]
fn names_are_read_by_the_rule_of_cells() {
    let inches = HEAD.replace(",X", ",3\" X");
    let map_text = MAP.replace("at = \"X\"", "at = '3\" X'");
    let (text, _) = good(&(inches + "N1,S1,stud,C,2396,1,D,18\n"), &map_text);
    assert!(text.contains("{  #@ list.csv:2\n"), "{text}");
    let over = HEAD.replace(",X", ",\"the\nX\"");
    let map_text = MAP.replace("at = \"X\"", "at = \"the\\nX\"");
    let (text, _) = good(&(over + "N1,S1,stud,C,2396,1,D,18\n"), &map_text);
    assert!(text.contains("{  #@ list.csv:3\n"), "{text}");
}

/// That reading stopped is told whatever there was too much of, beside what is shown first.
#[test]
fn that_reading_stopped_is_never_lost() {
    let unknown: String = (0..3_000).map(|i| format!("N1,S{i},stud,C,2396,1,Q{i},18\n")).collect();
    let short: String = (0..3_000).map(|i| format!("N1,S{i},stud\n")).collect();
    for rows in [unknown, short] {
        let (_, found, _) = read(&format!("{HEAD}{rows}"), MAP);
        assert!(found.len() <= 2_001, "{}", found.len());
        let first = found.iter().min_by_key(|d| d.span().unwrap().start).unwrap();
        assert!(
            first.notes.iter().any(|note| note.starts_with("reading stopped at line 2002 ")),
            "{first:?}"
        );
    }
}
