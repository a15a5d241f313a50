//! Models: odd spellings are read; what is cut, wrong or strange is refused at its place.

use super::shop::{drawn, job, library, with_map};
use coilwright::diagnostic::Diagnostic;
use coilwright::exchange::{self, Choice, members_text};

/// A frame with a stud and a plate, as a person might write it.
pub(super) const MODEL: &str = "ISO-10303-21;
HEADER;
FILE_DESCRIPTION((''),'2;1');
FILE_NAME('','2026-11-25T00:00:00',(''),(''),'','','');
FILE_SCHEMA(('IFC4'));
ENDSEC;
DATA;
#1=IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.);
#2=IFCUNITASSIGNMENT((#1));
#3=IFCCARTESIANPOINT((0.,0.,0.));
#4=IFCAXIS2PLACEMENT3D(#3,$,$);
#5=IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#4,$);
#6=IFCPROJECT('0000000000000000000001',$,'KP32',$,$,'Kestrel Point, gr\\X2\\00F600DF\\X0\\er','B',(#5),#2);
#7=IFCLOCALPLACEMENT($,#4);
#8=IFCELEMENTASSEMBLY('0000000000000000000002',$,'N1','north wall',$,#7,$,$,$,.USERDEFINED.);
#9=IFCDIRECTION((0.,0.,1.));
#10=IFCCSHAPEPROFILEDEF(.AREA.,'C90',$,90.,40.,0.75,12.,1.5);
#11=IFCEXTRUDEDAREASOLID(#10,#4,#9,2396.);
#12=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',(#11));
#13=IFCPRODUCTDEFINITIONSHAPE($,$,(#12));
#14=IFCMEMBER('0000000000000000000003',$,'S1',$,$,#7,#13,$,.STUD.);
#15=IFCRELAGGREGATES('0000000000000000000004',$,$,$,#8,(#14));
#16=IFCCIRCLEPROFILEDEF(.AREA.,$,$,7.);
#17=IFCCARTESIANPOINT((-25.,0.,450.));
#18=IFCDIRECTION((1.,0.,0.));
#19=IFCAXIS2PLACEMENT3D(#17,#18,#9);
#20=IFCLOCALPLACEMENT(#7,#19);
#21=IFCEXTRUDEDAREASOLID(#16,$,#9,20.);
#22=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',(#21));
#23=IFCPRODUCTDEFINITIONSHAPE($,$,(#22));
#24=IFCOPENINGELEMENT('0000000000000000000005',$,$,$,$,#20,#23,$,.OPENING.);
#25=IFCRELVOIDSELEMENT('0000000000000000000006',$,$,$,#14,#24);
ENDSEC;
END-ISO-10303-21;
";

pub(super) const MAP: &str =
    "[[opening]]\ndiameter = \"14 mm\"\nfeature = \"hole\"\nsay-size = true\n";

pub(super) fn read_with(text: &str, map: &str) -> Result<(String, String), Vec<Diagnostic>> {
    let (map, sources, file) = with_map(map, "model.ifc", text);
    let (read, found) = exchange::ifc::read(&sources, file, &map, Some(&library()));
    for finding in &found {
        assert!(finding.help.is_some(), "{}", finding.message);
        for label in &finding.labels {
            let len = sources.get(label.span.file).unwrap().text().len();
            assert!(
                label.span.end as usize <= len && label.span.start <= label.span.end,
                "{finding:?}"
            );
        }
    }
    match read {
        Some((job, answer)) => Ok((members_text(&job).unwrap(), answer.text(&job))),
        None => Err(found),
    }
}

pub(super) fn read(text: &str) -> Result<String, Vec<Diagnostic>> {
    read_with(text, MAP).map(|(members, _)| members)
}

/// Codes of what is found when `from` is written as `to`.
#[track_caller]
pub(super) fn told(from: &str, to: &str) -> Vec<&'static str> {
    let text = MODEL.replace(from, to);
    assert_ne!(text, MODEL, "{from}");
    read(&text)
        .map(|members| panic!("{members}"))
        .unwrap_err()
        .iter()
        .map(|d| d.code.number)
        .collect()
}

pub(super) const MEMBERS: &str = "job KP32 \"Kestrel Point, größer\" revision B
units mm

frame N1 wall \"north wall\" {
  member S1 stud profile \"C90x40-0.75\" length 2396 {  #@ model.ifc:#14
    hole 14 at 450
  }
}
";

#[test]
fn a_model_is_read_in_every_spelling() {
    assert_eq!(read(MODEL).unwrap(), MEMBERS);
    let odd = MODEL
        .replace("#14=IFCMEMBER(", "#14 /* a stud; 'one' */ =\n  IfcMember (\t")
        .replace("#12=IFCSHAPE", "\r\n\r\n#12= /* ; */IFCSHAPE")
        .replace("2396.", "2.396E+03")
        .replace(",(#11)", " , ( #11 ) ");
    assert_eq!(read(&odd).unwrap(), MEMBERS);
    assert_eq!(read(&MODEL.replace('\n', "")).unwrap(), MEMBERS);
    assert_eq!(read(&MODEL.replace("IFC4'", "IFC4X3_ADD2'")).unwrap(), MEMBERS);
    // Other sections of the standard's, and instances of several parts, are passed over.
    let complex =
        MODEL.replace("#25=", "#99=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));\n#25=");
    assert_eq!(read(&complex).unwrap(), MEMBERS);
    let metres = MODEL
        .replace(".MILLI.", "$")
        .replace("90.,40.,0.75,12.,1.5", "0.09,0.04,0.00075,0.012,0.0015")
        .replace("2396.", "2.396")
        .replace("$,7.)", "$,0.007)")
        .replace("(-25.,0.,450.)", "(-0.025,0.,0.45)")
        .replace("#9,20.)", "#9,0.02)");
    assert_eq!(read(&metres).unwrap(), MEMBERS);
    let turned = MODEL.replace("#11=IFCEXTRUDEDAREASOLID(#10,#4,#9", "#30=IFCDIRECTION((0.,0.,-1.));\n#31=IFCCARTESIANPOINT((0.,0.,2396.));\n#32=IFCAXIS2PLACEMENT3D(#31,$,$);\n#11=IFCEXTRUDEDAREASOLID(#10,#32,#30");
    assert_eq!(read(&turned).unwrap(), MEMBERS);
}

/// E1141, E1142, E1143: files that are none, are cut short, or refer to nothing.
#[test]
fn damaged_files_are_refused() {
    let code = |text: &str| read(text).unwrap_err()[0].code.number;
    assert_eq!(code("#1=IFCMEMBER();"), "E1141");
    assert_eq!(code(""), "E1141");
    assert_eq!(code(&MODEL.replace("#24=IFCOPENING", "#23=IFCOPENING")), "E1141");
    assert_eq!(code(&MODEL.replace("#24=IFCOPENING", "24=IFCOPENING")), "E1141");
    assert_eq!(told("'Body','SweptSolid',(#11))", "'Body','SweptSolid',(#11)"), ["E1141"]);
    assert_eq!(told("(#10,#4,#9,2396.)", "(#10,#4,#9,,2396.)"), ["E1141"]);
    assert_eq!(told("#17=", "#117="), ["E1143"]);
    assert_eq!(told("#10=", "#110="), ["E1143"]);
    assert_eq!(told("#1=", "#101="), ["E1143"]);
    for cut in (20..MODEL.len() - 20).step_by(11) {
        let found = read(&MODEL[..cut]).unwrap_err();
        assert_eq!(found[0].code.number, "E1142", "{cut}: {found:#?}");
    }
    assert_eq!(code(&MODEL.replace("'KP32'", "'KP32")), "E1142");
}

/// E1144 and E1145: what everything in a model depends on.
#[test]
fn a_model_says_its_schema_and_its_units() {
    assert_eq!(told("'IFC4'", "'IFC2X3'"), ["E1144"]);
    assert_eq!(told("FILE_SCHEMA(('IFC4'));\n", ""), ["E1144"]);
    assert_eq!(told("(#5),#2)", "(#5),$)"), ["E1145"]);
    assert_eq!(told("((#1))", "(())"), ["E1145"]);
    assert_eq!(told(".LENGTHUNIT.", ".AREAUNIT."), ["E1145"]);
    assert_eq!(told(".METRE.", ".GRAM."), ["E1145"]);
    assert_eq!(told("#6=IFCPROJECT", "#6=IFCPROXY"), ["E1145"]);
}

/// E1146: elements that are no members are told by number, or put aside by name.
#[test]
fn other_elements_are_listed() {
    let wall = MODEL.replace("#25=", "#90=IFCWALL('0000000000000000000009',$,$,$,$,$,$,$,$);\n#91=IFCWALL('000000000000000000000A',$,$,$,$,$,$,$,$);\n#25=");
    let found = read(&wall).unwrap_err();
    assert_eq!(found[0].code.number, "E1146");
    assert!(found[0].message.contains("#90, #91"), "{}", found[0].message);
    let (_, answer) =
        read_with(&wall, &format!("{MAP}[ifc]\nleave-out = [\"IfcWall\"]\n")).unwrap();
    assert!(answer.contains("2  IFCWALL: #90, #91"), "{answer}");
    assert_eq!(told("#14=IFCMEMBER", "#14=IFCPIPESEGMENT"), ["E1146"]);
}

/// E1147, E1148, E1149, E1119: members that cannot be known.
#[test]
fn members_that_are_not_understood_are_told_by_number() {
    assert_eq!(told("IFCEXTRUDEDAREASOLID(#10", "IFCREVOLVEDAREASOLID(#10"), ["E1147"]);
    assert_eq!(told("(#11))", "(#11,#11))"), ["E1147"]);
    assert_eq!(told("#7,#13,", "#7,$,"), ["E1147"]);
    assert_eq!(told("'S1',$,$", "$,$,$"), ["E1147"]);
    assert_eq!(told("#9,2396.", "#18,2396."), ["E1147"]);
    assert_eq!(told("#9,2396.", "#9,0."), ["E1147"]);
    assert_eq!(told("#7=IFCLOCALPLACEMENT($", "#7=IFCLOCALPLACEMENT(#20"), ["E1147"]);
    assert_eq!(told("90.,40.", "92.,40."), ["E1148"]);
    assert_eq!(told("0.75,12.", "1.15,12."), ["E1148"]);
    assert_eq!(
        told(
            "IFCCSHAPEPROFILEDEF(.AREA.,'C90',$,90.,40.,0.75,12.,1.5)",
            "IFCRECTANGLEPROFILEDEF(.AREA.,'C90',$,90.,40.)"
        ),
        ["E1148"]
    );
    assert_eq!(told("$,7.)", "$,8.)"), ["E1149"]);
    assert_eq!(told("(-25.,0.,450.)", "(-25.,99.,450.)"), ["E1149"]);
    assert_eq!(told("#18=IFCDIRECTION((1.,0.,0.))", "#18=IFCDIRECTION((1.,1.,0.))"), ["E1149"]);
    let twice = MODEL
        .replace(
            "#15=IFCREL",
            "#80=IFCMEMBER('000000000000000000000B',$,'S1',$,$,#7,#13,$,.STUD.);\n#15=IFCREL",
        )
        .replace("(#14))", "(#14,#80))");
    assert_eq!(read(&twice).unwrap_err()[0].code.number, "E1119");
    // The same with its hole is the same stud, wanted twice.
    let again = twice
        .replace("#25=", "#81=IFCRELVOIDSELEMENT('000000000000000000000C',$,$,$,#80,#24);\n#25=");
    assert!(read(&again).unwrap().contains("length 2396 quantity 2"));
}

#[test]
fn circles_of_references_end() {
    let mapped = MODEL.replace("(#11));", "(#60));\n#60=IFCMAPPEDITEM(#61,#62);\n#61=IFCREPRESENTATIONMAP(#4,#12);\n#62=IFCCARTESIANTRANSFORMATIONOPERATOR3D($,$,#3,$,$);");
    assert_eq!(read(&mapped).unwrap_err()[0].code.number, "E1147");
    let parts = MODEL
        .replace("#8,(#14))", "#8,(#14));\n#70=IFCRELAGGREGATES('x',$,$,$,#14,(#8))")
        .replace("#8=IFCELEMENTASSEMBLY", "#8=IFCELEMENTPART");
    let found = read(&parts).unwrap_err();
    assert_eq!(found.iter().map(|d| d.code.number).collect::<Vec<_>>(), ["E1147", "E1146"]);
}

/// Sloped ends, as other programs draw them: planes that cut a longer body.
#[test]
fn planes_that_cut_a_body_are_its_ends() {
    let clip = |normal: &str, agreement: &str, at: &str| {
        MODEL
            .replace(
                "(#11));",
                "(#50));\n#50=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#11,#51);\n\
                 #51=IFCHALFSPACESOLID(#52,.AGREE.);\n#52=IFCPLANE(#53);\n\
                 #53=IFCAXIS2PLACEMENT3D(#54,#55,#18);\n#54=IFCCARTESIANPOINT(AT);\n\
                 #55=IFCDIRECTION(NORMAL);",
            )
            .replace(".AGREE.", agreement)
            .replace("IFCCARTESIANPOINT(AT)", &format!("IFCCARTESIANPOINT({at})"))
            .replace("IFCDIRECTION(NORMAL)", &format!("IFCDIRECTION({normal})"))
    };
    let end = clip("(0.,-0.316227766,0.948683298)", ".F.", "(0.,0.,2381.)");
    let members = read(&end).unwrap();
    assert!(
        members.contains("length 2396 ") && members.contains("end slope 1 : 3 long point left"),
        "{members}"
    );
    assert_eq!(
        read(&clip("(0.,0.316227766,-0.948683298)", ".T.", "(0.,0.,2381.)")).unwrap(),
        members
    );
    // A start that is cut: places count from its long point.
    let start = read(&clip("(0.,1.,-3.)", ".F.", "(0.,0.,115.)")).unwrap();
    assert!(start.contains("start slope 1 : 3 long point right"), "{start}");
    assert!(start.contains("length 2296 ") && start.contains("hole 14 at 350"), "{start}");
    let square = read(&clip("(0.,0.,1.)", ".F.", "(0.,0.,2300.)")).unwrap();
    assert!(square.contains("length 2300 ") && !square.contains("slope"), "{square}");
    let code = |text: &str| read(text).unwrap_err()[0].code.number;
    assert_eq!(code(&clip("(1.,0.,3.)", ".F.", "(0.,0.,2381.)")), "E1147");
    assert_eq!(code(&clip("(0.,1.,0.)", ".F.", "(0.,0.,2381.)")), "E1147");
    assert_eq!(code(&clip("(0.,-1.,3.)", ".F.", "(0.,0.,2390.)")), "E1147");
    assert_eq!(code(&end.replace(".DIFFERENCE.", ".UNION.")), "E1147");
    assert_eq!(code(&end.replace("IFCHALFSPACESOLID", "IFCPOLYGONALBOUNDEDHALFSPACE")), "E1147");
    assert_eq!(code(&end.replace("IFCPLANE", "IFCCYLINDRICALSURFACE")), "E1147");
    let twice = end
        .replace(",#11,#51);", ",#60,#51);\n#60=IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#11,#51);");
    assert_eq!(code(&twice), "E1147");
}

/// What a model holds and nobody reads is told by its number, whatever its class.
#[test]
fn nothing_of_a_model_is_passed_over() {
    let with = |line: &str| MODEL.replace("#25=", &format!("{line}\n#25="));
    for class in ["IFCPIPESEGMENT", "IFCBEARING", "IFCPROXY", "IFCNEVERHEARDOF"] {
        let text = with(&format!("#90={class}('0000000000000000000009',$,$,$,$,$,$,$);"));
        let found = read(&text).unwrap_err();
        assert_eq!(found[0].code.number, "E1146", "{class}");
        assert!(found[0].message.contains("#90"), "{}", found[0].message);
        let map = format!("{MAP}[ifc]\nleave-out = [\"{class}\"]\n");
        assert!(read_with(&text, &map).unwrap().1.contains(&format!("1  {class}: #90")));
    }
    // Members too may be put aside by their class.
    let plate = with("#90=IFCPLATE('0000000000000000000009',$,'P1',$,$,$,$,$,$);");
    assert_eq!(read(&plate).unwrap_err()[0].code.number, "E1147");
    let map = format!("{MAP}[ifc]\nleave-out = [\"IfcPlate\"]\n");
    assert!(read_with(&plate, &map).unwrap().1.contains("1  IFCPLATE: #90"));
    // What is no part of a building is not spoken of.
    for line in [
        "#90=IFCSPACE('0000000000000000000009',$,$,$,$,$,$,$,$,$,$);",
        "#90=IFCMEMBERTYPE('0000000000000000000009',$,$,$,$,$,$,$,$,$);",
        "#90=IFCMATERIAL('22 letters long, it is',$,$);",
    ] {
        assert_eq!(read(&with(line)).unwrap(), MEMBERS, "{line}");
    }
    // Openings that are nobody's, or an assembly's.
    assert_eq!(told("#25=IFCRELVOIDSELEMENT", "#25=IFCRELNOTHING"), ["E1149"]);
    assert_eq!(told("#14,#24);", "#8,#24);"), ["E1149"]);
    assert_eq!(told("END-ISO-10303-21;", "END-ISO-10303-21;\nISO-10303-21;"), ["E1141"]);
    assert_eq!(told("gr\\X2\\00F6", "gr\\X2\\00G6"), ["E1141"]);
    assert_eq!(told("'S1'", "'S\\Q\\1'"), ["E1141"]);
    assert_eq!(told("((#1))", "((#1,#1))"), ["E1145"]);
    assert_eq!(
        told("#25=", "#90=IFCPROJECT('0000000000000000000009',$,'B',$,$,$,$,$,#2);\n#25="),
        ["E1145"]
    );
}

/// E1172: members that a model is not written of.
#[test]
fn angles_are_not_written_yet() {
    let mut library = library();
    let one = job(
        "job KP\nframe N1 wall profile \"C90x40-0.75\" {\n  member S1 stud length 2000\n}\n",
        &library,
    );
    for profile in &mut library.profiles {
        profile.section = coilwright::library::model::Section::Angle;
    }
    let found = exchange::ifc::write(&one, &drawn(&one, &library), &library, &Choice::default())
        .unwrap_err();
    assert_eq!(found[0].code.number, "E1172");
}
