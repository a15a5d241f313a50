//! Openings of models: what is drawn is made, or told.

use super::models::{MAP, MODEL, read_with};
use coilwright::diagnostic::Diagnostic;

const HOLE: &str = "IFCCIRCLEPROFILEDEF(.AREA.,$,$,7.)";
const SERVICE: &str = "IFCROUNDEDRECTANGLEPROFILEDEF(.AREA.,$,$,60.,32.,16.)";

/// Where a cutter through the web begins, and one through the left lip.
const WEB: &str = "-25.,0.";
const LIP: &str = "18.25,39.";

/// The model with another opening: its outline, where it begins, how deep it goes, its word.
fn drawn(outline: &str, across: &str, along: &str, depth: &str, word: &str) -> String {
    let mut text = MODEL.to_string();
    let mut write = |from: &str, to: &str| {
        assert_eq!(text.matches(from).count(), 1, "{from}");
        text = text.replace(from, to);
    };
    write(HOLE, outline);
    write("(-25.,0.,450.)", &format!("({across},{along})"));
    write("#16,$,#9,20.", &format!("#16,$,#9,{depth}"));
    write("000005',$,$,$,$", &format!("000005',$,$,$,'{word}'"));
    text
}

fn web(outline: &str, word: &str) -> Result<String, Vec<Diagnostic>> {
    features(&drawn(outline, WEB, "450.", "20.", word), MAP)
}

fn lip(size: &str, along: &str, word: &str) -> Result<String, Vec<Diagnostic>> {
    let outline = format!("IFCRECTANGLEPROFILEDEF(.AREA.,$,$,{size})");
    features(&drawn(&outline, LIP, along, "2.75", word), MAP)
}

/// The features of the one member, as members text.
fn features(text: &str, map: &str) -> Result<String, Vec<Diagnostic>> {
    let (members, _) = read_with(text, map)?;
    let body = members.split_once("model.ifc:#14\n").unwrap().1;
    Ok(body.split_once("\n  }").unwrap().0.trim().to_string())
}

#[track_caller]
fn refused(read: Result<String, Vec<Diagnostic>>, code: &str, words: &[&str]) {
    let found = read.unwrap_err();
    assert_eq!(found.len(), 1, "{found:#?}");
    assert_eq!(found[0].code.number, code, "{found:#?}");
    for word in words {
        assert!(found[0].message.contains(word), "{word}: {}", found[0].message);
    }
}

/// E1153: a type that shapes an end is made at the end, so it has to be drawn there.
#[test]
fn what_shapes_an_end_is_drawn_at_one() {
    assert_eq!(lip("45.,12.", "22.5", "lip-cut").unwrap(), "lip-cut 45 on left lip start");
    assert_eq!(lip("45.,12.", "2373.5", "lip-cut").unwrap(), "lip-cut 45 on left lip end");
    // Its tolerance is 1 mm; figures of another program are off by less than they show.
    assert_eq!(lip("45.,12.", "23.5", "lip-cut").unwrap(), "lip-cut 45 on left lip start");
    for (along, off) in [
        ("25.5", "3 from the start"),
        ("52.5", "30 from the start"),
        ("900.", "877.5 from the start"),
        ("2370.5", "3 from the end"),
    ] {
        refused(lip("45.,12.", along, "lip-cut"), "E1153", &["#24", off, "S1", "lip-cut"]);
    }
    // Known by its size it is no other.
    let map = "[[opening]]\nlength = \"45 mm\"\nwidth = \"12 mm\"\nfeature = \"lip-cut\"\nsay-size = true\n";
    let outline = "IFCRECTANGLEPROFILEDEF(.AREA.,$,$,45.,12.)";
    let at = |along: &str| features(&drawn(outline, LIP, along, "2.75", "cut"), map);
    assert_eq!(at("22.5").unwrap(), "lip-cut 45 on left lip start");
    refused(at("900."), "E1153", &["877.5 from the start"]);
    // The web of a plate, 300 mm along.
    let web =
        drawn("IFCRECTANGLEPROFILEDEF(.AREA.,$,$,40.,90.)", "-21.,0.", "300.", "2.75", "web-cut");
    refused(features(&web, MAP), "E1153", &["280 from the start"]);
}

/// E1152: no opening lies in the air.
#[test]
fn openings_lie_on_their_member() {
    let hole = |across: &str, along: &str| features(&drawn(HOLE, across, along, "6.", ""), MAP);
    assert_eq!(hole(WEB, "7.").unwrap(), "hole 14 at 7");
    assert_eq!(hole("-25.,38.", "450.").unwrap(), "hole 14 across 38 at 450");
    refused(hole(WEB, "2."), "E1152", &["#24", "from -5 to 9", "2396 long"]);
    refused(hole(WEB, "2390."), "E1152", &["from 2383 to 2397"]);
    refused(hole(WEB, "-500."), "E1152", &["from -507 to -493"]);
    refused(hole(WEB, "5000."), "E1152", &["S1"]);
    refused(
        hole("-25.,38.5", "450."),
        "E1152",
        &["from 31.5 to 45.5 across the web", "-45 and 45"],
    );
    refused(hole("-25.,-50.", "450."), "E1152", &["from -57 to -43"]);
    // An end that went past an opening, and cuts that reach over an end.
    refused(lip("45.,12.", "22.", "lip-cut"), "E1152", &["from -0.5 to 44.5"]);
    let shortened =
        drawn("IFCRECTANGLEPROFILEDEF(.AREA.,$,$,45.,12.)", LIP, "2373.5", "2.75", "lip-cut")
            .replace("#9,2396.", "#9,1790.");
    refused(features(&shortened, MAP), "E1152", &["from 2351 to 2396", "1790 long"]);
    // Where an end is sloped, the member is shorter at one side than to its long point.
    let sloped = |at: &str, along: &str| {
        let text = drawn(HOLE, at, along, "6.", "").replace(
            "(#11));",
            "(#50));\n#50=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#11,#51);\n\
             #51=IFCHALFSPACESOLID(#52,.F.);\n#52=IFCPLANE(#53);\n\
             #53=IFCAXIS2PLACEMENT3D(#54,#55,#18);\n#54=IFCCARTESIANPOINT((0.,0.,2351.));\n\
             #55=IFCDIRECTION((0.,-1.,1.));",
        );
        features(&text, MAP)
    };
    assert!(sloped("-25.,30.", "2370.").unwrap().ends_with("hole 14 across 30 at 2370"));
    refused(sloped("-25.,-30.", "2370."), "E1152", &["the web is from 0 to"]);
    assert!(sloped("-25.,-30.", "2310.").is_ok());
    // A notch may be wider than its face, where it takes all of it.
    assert_eq!(lip("48.,20.", "600.", "lip-notch").unwrap(), "lip-notch on left lip at 576 .. 624");
    let off = drawn(
        "IFCRECTANGLEPROFILEDEF(.AREA.,$,$,48.,12.)",
        "18.25,42.",
        "600.",
        "2.75",
        "lip-notch",
    );
    refused(features(&off, MAP), "E1152", &["across the left lip", "-6 and 6"]);
}

/// E1154: a name says what is made; the drawing must have its size and outline.
#[test]
fn openings_known_by_name_are_as_large_as_their_type() {
    assert_eq!(web(SERVICE, "service-hole").unwrap(), "service-hole at 450");
    for (outline, told) in [
        (SERVICE.replace("60.", "50."), "a slot 50 × 32"),
        (SERVICE.replace("60.,32.", "32.,60."), "a slot 32 × 60"),
        (SERVICE.replace("16.", "8."), "a rectangle 60 × 32 with round corners"),
        (HOLE.replace("7.", "16."), "a round hole Ø32"),
        ("IFCRECTANGLEPROFILEDEF(.AREA.,$,$,60.,32.)".to_string(), "a rectangle 60 × 32"),
    ] {
        refused(web(&outline, "service-hole"), "E1154", &["#24", told, "a slot 60 × 32"]);
    }
    refused(web(SERVICE, "hole"), "E1154", &["a slot 60 × 32", "hole is round"]);
    assert_eq!(web(&HOLE.replace("7.", "5."), "dimple").unwrap(), "dimple on web at 450");
    // What the map says of a size counts before a name.
    assert_eq!(web(HOLE, "dimple").unwrap(), "hole 14 at 450");
    refused(web(&HOLE.replace("7.", "6."), "dimple"), "E1154", &["Ø12", "Ø10"]);
    // A size that the map's code gives is the code's.
    let map = "[[code]]\ncode = \"bolt\"\nfeature = \"hole\"\nsize = \"12 mm\"\n";
    let coded = |radius: &str| {
        features(&drawn(&HOLE.replace("7.", radius), WEB, "450.", "20.", "bolt"), map)
    };
    assert_eq!(coded("6.").unwrap(), "hole 12 at 450");
    refused(coded("7."), "E1154", &["Ø14", "12 in the map's [[code]]"]);
}

/// What a type leaves open is taken as it is drawn.
#[test]
fn open_sizes_are_taken_from_the_drawing() {
    assert_eq!(web(&HOLE.replace("7.", "6.5"), "hole").unwrap(), "hole 13 at 450");
    assert_eq!(web(SERVICE, "slot").unwrap(), "slot 60 x 32 at 450");
    assert_eq!(lip("40.,12.", "20.", "lip-cut").unwrap(), "lip-cut 40 on left lip start");
    assert_eq!(lip("45.,10.", "22.5", "lip-cut").unwrap(), "lip-cut 45 x 10 on left lip start");
    assert_eq!(lip("60.,12.", "600.", "lip-notch").unwrap(), "lip-notch on left lip at 570 .. 630");
    assert_eq!(
        lip("48.,8.", "600.", "lip-notch").unwrap(),
        "lip-notch 48 x 8 on left lip at 576 .. 624"
    );
}

/// E1149: an opening goes through the steel of the face it is on, and of no other.
#[test]
fn openings_go_through_the_steel() {
    let deep = |across: &str, depth: &str| features(&drawn(HOLE, across, "450.", depth, ""), MAP);
    // The web is from -20 to -19.25.
    assert_eq!(deep("-20.,0.", "0.75").unwrap(), "hole 14 at 450");
    refused(deep("-20.,0.", "0.3"), "E1149", &["#24 stops inside the steel of the web"]);
    refused(deep("-19.6,0.", "20."), "E1149", &["stops inside the steel of the web"]);
    refused(deep("-25.,0.", "4.9"), "E1149", &["meets no face"]);
    refused(deep("-25.,40.", "20."), "E1149", &["along inside the steel of the left flange"]);
    // As deep as the cutters this program writes it may go past the corner.
    let cut =
        drawn("IFCRECTANGLEPROFILEDEF(.AREA.,$,$,40.,90.)", "-21.,0.", "20.", "2.75", "web-cut");
    assert_eq!(features(&cut, MAP).unwrap(), "web-cut 40 start");
    let deeper = cut.replace("#9,2.75", "#9,12.");
    refused(features(&deeper, MAP), "E1149", &["along inside the steel of the left flange"]);
    let lean = drawn(SERVICE, WEB, "450.", "20.", "service-hole").replace(
        "#19=IFCAXIS2PLACEMENT3D(#17,#18,#9)",
        "#60=IFCDIRECTION((0.,0.02,1.));\n#19=IFCAXIS2PLACEMENT3D(#17,#18,#60)",
    );
    refused(features(&lean, MAP), "E1149", &["is turned about its own axis"]);
}

/// An opening that stands for nothing that is drawn is told: it may not simply be missing.
#[test]
fn openings_without_a_body_of_their_own_are_told() {
    let changed = |from: &str, to: &str| {
        assert_eq!(MODEL.matches(from).count(), 1, "{from}");
        features(&MODEL.replace(from, to), MAP)
    };
    refused(
        changed("'Body','SweptSolid',(#21)", "'Reference','SweptSolid',(#21)"),
        "E1147",
        &["#24", "without a body"],
    );
    refused(
        changed("'Body','SweptSolid',(#21)", "'Body','SweptSolid',()"),
        "E1147",
        &["without a body"],
    );
    refused(changed("$,$,(#22))", "$,$,(#22,#22))"), "E1147", &["more than one body"]);
    let cut = "'Body','Clipping',(#60));\n#60=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#21,#61);\n#61=IFCHALFSPACESOLID(#62,.F.);\n#62=IFCPLANE(#4";
    refused(changed("'Body','SweptSolid',(#21)", cut), "E1147", &["that a plane cuts"]);
    // Said twice, it is one opening; two of them in one place are two.
    let twice = "#25=IFCRELVOIDSELEMENT('000000000000000000000D',$,$,$,#14,#24);\n#26=IFCREL";
    assert_eq!(changed("#25=IFCREL", twice).unwrap(), "hole 14 at 450");
}
