//! What a model may say that changes what is made: each is read, listed or refused.

use super::models::{MAP, MEMBERS, MODEL, read, read_with, told};
use super::shop::{library, with_map};

fn with(line: &str) -> String {
    MODEL.replace("#25=", &format!("{line}\n#25="))
}

#[track_caller]
fn code(text: &str) -> &'static str {
    let found = read(text).unwrap_err();
    assert_eq!(found.len(), 1, "{found:#?}");
    found[0].code.number
}

#[test]
fn a_member_has_one_body() {
    let beside = |name: &str| {
        with(&format!("#90=IFCSHAPEREPRESENTATION(#5,{name},'SweptSolid',(#11));"))
            .replace("$,$,(#12))", "$,$,(#90,#12))")
    };
    for other in ["'Axis'", "'Box'", "'FootPrint'", "$"] {
        assert_eq!(read(&beside(other)).unwrap(), MEMBERS, "{other}");
    }
    assert_eq!(code(&beside("'Body'")), "E1147");
    assert_eq!(told("'Body','SweptSolid',(#11)", "'Axis','SweptSolid',(#11)"), ["E1147"]);
    assert_eq!(told("'Body','SweptSolid',(#11)", "'Body','SweptSolid',(#11,#21)"), ["E1147"]);
}

#[test]
fn mapped_bodies_keep_their_size_and_their_hand() {
    let mapped = |operator: &str| {
        MODEL.replace(
            "'Body','SweptSolid',(#11));",
            &format!(
                "'Body','MappedRepresentation',(#60));\n#60=IFCMAPPEDITEM(#61,#62);\n\
                 #61=IFCREPRESENTATIONMAP(#4,#64);\n#62={operator};\n\
                 #64=IFCSHAPEREPRESENTATION(#5,'Body','SweptSolid',(#11));\n\
                 #65=IFCDIRECTION((-1.,0.,0.));\n#66=IFCDIRECTION((0.,-1.,0.));"
            ),
        )
    };
    let three = "IFCCARTESIANTRANSFORMATIONOPERATOR3D";
    for plain in ["($,$,#3,$,$)", "($,$,#3,1.,$)", "(#18,$,#3,1.,#9)"] {
        assert_eq!(read(&mapped(&format!("{three}{plain}"))).unwrap(), MEMBERS, "{plain}");
    }
    // Mirrored about the web's plane; about the middle, where the second axis says it alone; and
    // where it is left out and so points on.
    for mirrored in ["(#65,#66,#3,$,#9)", "($,#66,#3,$,$)", "(#65,$,#3,$,$)"] {
        let text = mapped(&format!("{three}{mirrored}"));
        // Half a turn has both: the web is on the other side then, and the hole meets no face.
        let wanted = if mirrored.starts_with("(#65,#66") { "E1149" } else { "E1147" };
        assert_eq!(code(&text), wanted, "{mirrored}");
    }
    assert_eq!(code(&mapped(&format!("{three}($,$,#3,0.5,$)"))), "E1147");
    assert_eq!(code(&mapped(&format!("{three}NONUNIFORM($,$,#3,1.,$,1.,2.)"))), "E1147");
}

#[test]
fn only_straight_sweeps_of_one_section_are_members() {
    for other in [
        "IFCEXTRUDEDAREASOLIDTAPERED(#10,#4,#9,2396.,#10)",
        "IFCREVOLVEDAREASOLID(#10,#4,#9,1.)",
        "IFCREVOLVEDAREASOLIDTAPERED(#10,#4,#9,1.,#10)",
        "IFCFIXEDREFERENCESWEPTAREASOLID(#10,#4,#9,0.,1.,#9)",
        "IFCSURFACECURVESWEPTAREASOLID(#10,#4,#9,0.,1.,#9)",
        "IFCSECTIONEDSOLIDHORIZONTAL(#10,#4,#9)",
        "IFCSWEPTDISKSOLID(#9,1.,$,$,$)",
        "IFCFACETEDBREP(#4)",
        "IFCADVANCEDBREP(#4)",
        "IFCCSGSOLID(#4)",
        "IFCTRIANGULATEDFACESET(#3,$,$,((1,2,3)),$)",
        "IFCBOUNDINGBOX(#3,1.,1.,1.)",
    ] {
        assert_eq!(told("IFCEXTRUDEDAREASOLID(#10,#4,#9,2396.)", other), ["E1147"], "{other}");
    }
    assert_eq!(told("#9,2396.", "#9,-2396."), ["E1147"]);
    let body = |operation: &str, by: &str| {
        MODEL.replace(
            "'Body','SweptSolid',(#11)",
            &format!("'Body','CSG',(#60));\n#60=IFCBOOLEANRESULT(.{operation}.,#11,{by}"),
        )
    };
    assert_eq!(code(&body("UNION", "#21")), "E1147");
    assert_eq!(code(&body("INTERSECTION", "#21")), "E1147");
    assert_eq!(code(&body("DIFFERENCE", "#21")), "E1147");
    for half in [
        "IFCPOLYGONALBOUNDEDHALFSPACE(#62,.F.,#4,#3)",
        "IFCBOXEDHALFSPACE(#62,.F.,#3)",
        "IFCBLOCK(#4,1.,1.,1.)",
    ] {
        let text = body("DIFFERENCE", &format!("#61);\n#61={half};\n#62=IFCPLANE(#4"));
        assert_eq!(code(&text), "E1147", "{half}");
    }
}

#[test]
fn sections_are_of_one_thickness_all_along() {
    let c = "IFCCSHAPEPROFILEDEF(.AREA.,'C90',$,90.,40.,0.75,12.,1.5)";
    for other in [
        "IFCCSHAPEPROFILEDEF(.CURVE.,'C90',$,90.,40.,0.75,12.,1.5)",
        "IFCARBITRARYPROFILEDEFWITHVOIDS(.AREA.,'C90',#3,(#3))",
        "IFCCENTERLINEPROFILEDEF(.CURVE.,'C90',#3,0.75)",
        "IFCDERIVEDPROFILEDEF(.AREA.,'C90',#90,#91,$)",
        "IFCMIRROREDPROFILEDEF(.AREA.,'C90',#90,#91,$)",
        "IFCCOMPOSITEPROFILEDEF(.AREA.,'C90',(#16,#16),$)",
        "IFCUSHAPEPROFILEDEF(.AREA.,'U60',$,60.,30.,0.75,0.75,1.5,$,0.08)",
        "IFCUSHAPEPROFILEDEF(.AREA.,'U60',$,60.,30.,0.75,1.15,1.5,$,$)",
        "IFCZSHAPEPROFILEDEF(.AREA.,'Z',$,90.,40.,0.75,0.75,$,$)",
        "IFCRECTANGLEHOLLOWPROFILEDEF(.AREA.,'R',$,90.,40.,0.75,$,$)",
    ] {
        assert_eq!(told(c, other), ["E1148"], "{other}");
    }
    for other in [
        "IFCELLIPSEPROFILEDEF(.AREA.,$,$,7.,8.)",
        "IFCCIRCLEHOLLOWPROFILEDEF(.AREA.,$,$,7.,1.)",
        "IFCTRAPEZIUMPROFILEDEF(.AREA.,$,$,14.,12.,14.,1.)",
        "IFCCIRCLEPROFILEDEF(.CURVE.,$,$,7.)",
    ] {
        assert_eq!(told("IFCCIRCLEPROFILEDEF(.AREA.,$,$,7.)", other), ["E1147"], "{other}");
    }
}

#[test]
fn units_are_one_and_placements_are_square() {
    let library = |units: &str| {
        with(&format!("#90=IFCPROJECTLIBRARY('0000000000000000000009',$,'L',$,$,$,$,$,{units});"))
    };
    assert_eq!(read(&library("$")).unwrap(), MEMBERS);
    assert_eq!(code(&library("#2")), "E1145");
    for unit in [
        "IFCCONTEXTDEPENDENTUNIT(#4,.LENGTHUNIT.,'BOARD')",
        "IFCCONVERSIONBASEDUNITWITHOFFSET(#4,.LENGTHUNIT.,'INCH',#4,1.)",
        "IFCSIUNIT(*,.LENGTHUNIT.,.NANO.,.METRE.)",
    ] {
        assert_eq!(told("IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.)", unit), ["E1145"], "{unit}");
    }
    for place in ["IFCGRIDPLACEMENT($,#4)", "IFCLINEARPLACEMENT($,#4,$)"] {
        assert_eq!(told("IFCLOCALPLACEMENT(#7,#19)", place), ["E1147"], "{place}");
    }
    assert_eq!(
        told("IFCAXIS2PLACEMENT3D(#17,#18,#9)", "IFCAXIS2PLACEMENTLINEAR(#17,#18,#9)"),
        ["E1147"]
    );
}

/// E1146, E1147, E1156: what belongs to what.
#[test]
fn what_is_part_of_what_is_said_once() {
    // Steel that is added, and an opening in an assembly.
    let projection = with("#90=IFCPROJECTIONELEMENT('0000000000000000000009',$,$,$,$,#7,#13,$,$);");
    assert_eq!(code(&projection), "E1146");
    // An assembly that is drawn as one.
    let truss =
        with("#90=IFCELEMENTASSEMBLY('0000000000000000000009',$,'T1',$,$,#7,#13,$,$,.TRUSS.);");
    assert_eq!(code(&truss), "E1146");
    let map = format!("{MAP}[ifc]\nleave-out = [\"IfcElementAssembly\"]\n");
    let (members, answer) = read_with(&truss, &map).unwrap();
    assert_eq!(members, MEMBERS);
    assert!(answer.contains("1  IFCELEMENTASSEMBLY without parts: #90"), "{answer}");
    // A member in two frames, once by each of two relations.
    let second = "#91=IFCELEMENTASSEMBLY('0000000000000000000009',$,'N2',$,$,#7,$,$,$,.USERDEFINED.);\n\
                  #92=IFCRELAGGREGATES('000000000000000000000A',$,$,$,#91,(#14));";
    let found = read(&with(second)).unwrap_err();
    assert_eq!(found[0].code.number, "E1156");
    assert!(found[0].message.contains("#14") && found[0].message.contains("#8 and #91"));
    assert_eq!(
        read(&with(
            &second.replace("#91,(", "#8,(").replace("#91=IFCELEMENTASSEMBLY", "#91=IFCBUILDING")
        ))
        .unwrap(),
        MEMBERS
    );
    // A member of members.
    let built = with(
        "#91=IFCMEMBER('0000000000000000000009',$,'S2',$,$,#7,#13,$,.STUD.);\n\
         #92=IFCRELAGGREGATES('000000000000000000000A',$,$,$,#91,(#93));\n\
         #93=IFCMEMBER('000000000000000000000B',$,'S3',$,$,#7,#13,$,.STUD.);",
    );
    assert_eq!(code(&built), "E1147");
}

/// E1148: steel is the profile's; what a material says besides is listed, or refused.
#[test]
fn materials_are_listed_and_their_sections_compared() {
    let of = |lines: &str| {
        with(&format!(
            "#89=IFCRELASSOCIATESMATERIAL('0000000000000000000009',$,$,$,(#14),#90);\n{lines}"
        ))
    };
    let (members, answer) = read_with(&of("#90=IFCMATERIAL('S350GD',$,$);"), MAP).unwrap();
    assert_eq!(members, MEMBERS);
    let remark = "Materials are not taken, the profile's steel counts: `S350GD` (1 member).";
    assert!(answer.contains(remark), "{answer}");
    let set = |profile: &str| {
        of(&format!(
            "#90=IFCMATERIALPROFILESETUSAGE(#91,5,$);\n#91=IFCMATERIALPROFILESET($,$,(#92),$);\n\
             #92=IFCMATERIALPROFILE($,$,#93,#94,$,$);\n#93=IFCMATERIAL('S350GD',$,$);\n#94={profile};"
        ))
    };
    let same = set("IFCCSHAPEPROFILEDEF(.AREA.,'other',$,90.,40.,0.75,12.,1.5)");
    assert!(read_with(&same, MAP).unwrap().1.contains(remark));
    for other in [
        "IFCCSHAPEPROFILEDEF(.AREA.,'C90',$,90.,40.,1.15,12.,1.5)",
        "IFCUSHAPEPROFILEDEF(.AREA.,'U90',$,90.,40.,0.75,0.75,1.5,$,$)",
        "IFCRECTANGLEPROFILEDEF(.AREA.,'R',$,90.,40.)",
    ] {
        assert_eq!(code(&set(other)), "E1148", "{other}");
    }
    let name = |name: &str| MODEL.replace("'C90'", &format!("'{name}'"));
    assert_eq!(read(&name("C90x40-0.75")).unwrap(), MEMBERS);
    assert_eq!(code(&name("U60x30-0.75")), "E1148");
    let layers = of("#90=IFCMATERIALLAYERSETUSAGE(#91,.AXIS2.,.POSITIVE.,0.,$);\n\
                     #91=IFCMATERIALLAYERSET((#92),$,$);\n#92=IFCMATERIALLAYER(#93,0.75,$,$,$,$,$);\n\
                     #93=IFCMATERIAL('steel',$,$);");
    let (_, answer) = read_with(&layers, MAP).unwrap();
    assert!(answer.contains("`steel` (1 member), layers (1 member)"), "{answer}");
    assert_eq!(code(&of("#90=IFCMATERIALLIST((#90));")), "E1147");
}

/// W1157: copies that were left lying in their originals.
#[test]
fn what_is_drawn_twice_is_told() {
    let found = |text: &str| {
        let (map, sources, file) = with_map(MAP, "model.ifc", text);
        let (read, found) = coilwright::exchange::ifc::read(&sources, file, &map, Some(&library()));
        (read.unwrap().0.to_make().0, found.iter().map(|d| d.code.number).collect::<Vec<_>>())
    };
    let second = |id: &str, place: &str| {
        with(&format!(
            "#90=IFCMEMBER('{id}',$,'S1',$,$,{place},#13,$,.STUD.);\n\
             #91=IFCRELAGGREGATES('000000000000000000000A',$,$,$,#8,(#90));\n\
             #92=IFCCARTESIANPOINT((600.,0.,0.));\n#93=IFCAXIS2PLACEMENT3D(#92,$,$);\n\
             #94=IFCLOCALPLACEMENT($,#93);\n#95=IFCLOCALPLACEMENT(#94,#19);\n\
             #96=IFCOPENINGELEMENT('000000000000000000000B',$,$,$,$,{},#23,$,.OPENING.);\n\
             #97=IFCRELVOIDSELEMENT('000000000000000000000C',$,$,$,#90,#96);",
            if place == "#7" { "#20" } else { "#95" }
        ))
    };
    assert_eq!(found(&second("000000000000000000000D", "#94")), (2, vec![]));
    assert_eq!(found(&second("000000000000000000000D", "#7")), (2, vec!["W1157"]));
    assert_eq!(found(&second("0000000000000000000003", "#94")), (2, vec!["W1157"]));
}

/// What a model says of the life of its members.
#[test]
fn members_that_are_gone_or_there_already_are_told() {
    let deleted = with("#90=IFCOWNERHISTORY(#3,#3,$,.DELETED.,$,$,$,0);")
        .replace("0000003',$,'S1'", "0000003',#90,'S1'");
    assert_eq!(code(&deleted), "E1147");
    assert_eq!(read(&deleted.replace(".DELETED.", ".MODIFIED.")).unwrap(), MEMBERS);
    let status = |status: &str| {
        with(&format!(
            "#90=IFCRELDEFINESBYPROPERTIES('0000000000000000000009',$,$,$,(#14),#91);\n\
             #91=IFCPROPERTYSET('000000000000000000000A',$,'Pset_MemberCommon',$,(#92));\n\
             #92=IFCPROPERTYENUMERATEDVALUE('Status',$,(IFCLABEL('{status}')),$);"
        ))
    };
    let (members, answer) = read_with(&status("DEMOLISH"), MAP).unwrap();
    assert_eq!(members, MEMBERS);
    assert!(answer.contains("are read like all others (DEMOLISH: 1)."), "{answer}");
    assert!(!read_with(&status("NEW"), MAP).unwrap().1.contains("status"));
}
