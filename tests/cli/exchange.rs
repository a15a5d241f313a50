//! `import` and `export` as a user runs them.

use super::shop::Shop;

const LIST: &str = "Panel;Piece;Section;Length;Op;X\nN1;S1;C;2396,5;D;18\nN1;S1;C;2396,5;D;600\n";

const MAP: &str = "[table]\ndecimal = \",\"\nunit = \"mm\"\nrows = \"feature\"\n[job]\nname = \"KP33\"\n\
                   [default]\nusage = \"stud\"\n[columns]\nframe = \"Panel\"\nmark = \"Piece\"\n\
                   profile = \"Section\"\nlength = \"Length\"\n[profiles]\nC = \"C90x40-0.75\"\n\
                   [[features]]\ncode = \"Op\"\nat = \"X\"\n[[code]]\ncode = \"D\"\nfeature = \"dimple\"\n";

fn office() -> Shop {
    let shop = Shop::new();
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    shop.write("list.csv", LIST);
    shop.write("map.toml", MAP);
    shop
}

const IMPORT: [&str; 6] = ["import", "list.csv", "--map", "map.toml", "--out", "walls.members"];

#[test]
fn an_import_is_canonical_is_checked_and_is_made_anew() {
    let shop = office();
    let run = shop.exits(0, &IMPORT);
    assert!(
        run.out.contains(
            "list.csv: 2 rows; 1 member in 1 frame, 2 features; to make 1 piece with 2 features."
        ),
        "{}",
        run.out
    );
    let first = shop.read("walls.members");
    assert!(
        first.contains("member S1 stud profile \"C90x40-0.75\" length 2396.5 {  #@ list.csv:2\n"),
        "{first}"
    );
    shop.exits(0, &["fmt", "--check", "walls.members"]);
    shop.exits(0, &["check", "walls.members", "--library", "library.toml"]);
    // The same again, and a changed list over an untouched import.
    shop.exits(0, &IMPORT);
    assert_eq!(shop.read("walls.members"), first);
    shop.edit("list.csv", "600", "700");
    shop.exits(0, &IMPORT);
    assert!(shop.read("walls.members").contains("dimple at 18, 700"));
    assert_eq!(shop.names("").iter().filter(|name| name.starts_with('.')).count(), 0);
}

/// E1105
#[test]
fn work_of_somebodys_hands_is_not_written_over() {
    let shop = office();
    shop.exits(0, &IMPORT);
    shop.edit("walls.members", "at 18", "at 19");
    let changed = shop.read("walls.members");
    shop.exits(2, &IMPORT).finds("E1105");
    assert_eq!(shop.read("walls.members"), changed);
    shop.write("walls.members", "job KP33\n");
    shop.exits(2, &IMPORT).finds("E1105");
    let out = [
        "export",
        "job.members",
        "--library",
        "library.toml",
        "--form",
        "json",
        "--out",
        "job.json",
    ];
    shop.exits(0, &out);
    shop.exits(0, &out);
    shop.edit("job.json", "SS1", "SS2");
    shop.exits(2, &out).finds("E1105");
    shop.write("nc/a", "");
    let nc = [
        "export",
        "job.members",
        "--library",
        "library.toml",
        "--form",
        "nc",
        "--out",
        "nc",
        "--cut",
        "hole,service-hole",
        "--leave-out",
        "dimple,lip-notch,lip-cut",
    ];
    shop.exits(2, &nc).finds("E1105");
    assert_eq!(shop.names("nc"), ["a"]);
}

/// E1101 and E1103
#[test]
fn files_that_say_nothing_about_themselves_are_refused() {
    let shop = office();
    shop.write("list.dat", LIST);
    shop.exits(2, &["import", "list.dat", "--map", "map.toml", "--out", "a.members"])
        .finds("E1101");
    shop.exits(
        0,
        &["import", "list.dat", "--form", "csv", "--map", "map.toml", "--out", "a.members"],
    );
    let run = shop.exits(1, &["import", "list.csv", "--out", "b.members"]);
    assert!(run.finds("E1103").err.contains("Nothing was written"), "{}", run.err);
    assert!(!shop.path("b.members").exists());
}

#[test]
fn findings_stand_in_the_list_and_nothing_is_written() {
    let shop = office();
    shop.edit("list.csv", ";D;600", ";Q;600");
    let run = shop.exits(1, &IMPORT);
    assert!(run.finds("E1113").err.contains("list.csv:3:16"), "{}", run.err);
    assert!(!shop.path("walls.members").exists());
}

#[test]
fn several_files_make_one_job() {
    let shop = office();
    shop.write("more.csv", LIST.replace("S1", "S2"));
    let both = ["import", "list.csv", "more.csv", "--map", "map.toml", "--out", "walls.members"];
    shop.exits(0, &both);
    let members = shop.read("walls.members");
    assert!(members.contains("#@ list.csv:2") && members.contains("#@ more.csv:2"), "{members}");
    assert_eq!(members.matches("frame N1").count(), 1);
    shop.write("more.csv", LIST);
    shop.exits(1, &both).finds("E1119");
}

#[test]
fn what_is_exported_is_imported_as_it_was() {
    let shop = office();
    let types = ["--cut", "hole,service-hole,lip-notch,lip-cut", "--pressed", "dimple"];
    for (form, out, extra) in [("json", "job.json", &[][..]), ("ifc", "job.ifc", &types[..])] {
        let mut export = vec![
            "export",
            "job.members",
            "--library",
            "library.toml",
            "--form",
            form,
            "--out",
            out,
        ];
        export.extend(extra);
        shop.exits(0, &export);
        let again = format!("{form}.members");
        shop.exits(0, &["import", out, "--library", "library.toml", "--out", &again]);
        shop.exits(
            0,
            &[
                "export",
                &again,
                "--library",
                "library.toml",
                "--form",
                "json",
                "--out",
                &format!("{form}-again.json"),
            ],
        );
    }
    assert_eq!(shop.read("json-again.json"), shop.read("job.json"));
    assert_eq!(shop.read("ifc-again.json"), shop.read("job.json"));
}

/// The list of the lean-to, through its map, to proved programs.
#[test]
fn the_lean_to_compiles() {
    let shop = Shop::new();
    shop.copy_from("fixtures/boatshed", "boatshed");
    let run = shop.exits(
        0,
        &[
            "import",
            "boatshed/office/lean-to.csv",
            "--map",
            "boatshed/office/map.toml",
            "--out",
            "boatshed/members/lean-to.members",
        ],
    );
    assert!(
        run.out.contains("1  column Remark") && run.out.contains("1  row with `Total`"),
        "{}",
        run.out
    );
    shop.edit("boatshed/batch.toml", "members/job.members", "members/lean-to.members");
    let run =
        shop.exits(0, &["compile", "boatshed/batch.toml", "--out", "out", "--effort", "quick"]);
    assert!(run.out.contains("17 pieces") || run.err.contains("17 pieces"), "{run:#?}");
    shop.exits(0, &["verify", "out"]);
    let report = shop.read("out/report.json");
    assert_eq!(report.matches("\"file\": \"lean-to.csv\"").count(), 17, "{report}");
}

/// Findings about a member, in its members file, on the line and on the rack, lead back to the row
/// it was read from.
#[test]
fn later_findings_name_the_row() {
    let shop = office();
    let check = ["check", "walls.members", "--library", "library.toml"];
    shop.edit("list.csv", "D;600", "D;6000");
    shop.exits(0, &IMPORT);
    let run = shop.exits(1, &check);
    assert!(run.err.contains("S1 was imported from list.csv:2\n"), "{}", run.err);
    // On the line: a member longer than the run-out takes.
    shop.edit("list.csv", "D;6000", "D;600");
    shop.write("list.csv", shop.read("list.csv").replace("2396,5", "7396,5"));
    shop.exits(0, &IMPORT);
    shop.edit("batch.toml", "job.members", "walls.members");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(run.err.contains("S1 was imported from list.csv:2\n"), "{}", run.err);
    // Changed by hand: the row is where it came from, and no longer all there is to look at.
    shop.edit("walls.members", "7396.5", "7390");
    let run = shop.exits(1, &["check", "batch.toml", "--diagnostics", "json"]);
    let note = "S1 was imported from list.csv:2; this file has been changed since";
    assert!(run.err.contains(note), "{}", run.err);
    // A row that no longer stands at its member is told, not believed.
    shop.edit("walls.members", "  #@ list.csv:2\n    dimple", "\n    #@ list.csv:2\n    dimple");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(!run.finds("W0124").err.contains("was imported from"), "{}", run.err);
}

/// Of a hundred members, each finding names the row of its own.
#[test]
fn every_finding_names_its_own_row() {
    let shop = office();
    let mut list = LIST.lines().next().unwrap().to_string();
    for member in 1..=100 {
        list.push_str(&format!("\nN1;S{member};C;2396,5;D;{}", 3000 + member));
    }
    shop.write("list.csv", list + "\n");
    shop.exits(0, &IMPORT);
    let check = ["check", "walls.members", "--library", "library.toml", "--diagnostics", "json"];
    let run = shop.exits(1, &[&check[..], &["--max-errors", "0"]].concat());
    let told: serde_json::Value = serde_json::from_str(&run.err).unwrap();
    let mut seen = 0;
    for finding in told["diagnostics"].as_array().unwrap() {
        let line = finding["labels"][0]["start"]["line"].as_u64().unwrap();
        let text = shop.read("walls.members");
        let at = text.lines().nth(usize::try_from(line).unwrap() - 1).unwrap();
        let member = at.split(|c: char| !c.is_ascii_digit()).find(|n| n.len() == 4).unwrap();
        let number: u64 = member.parse::<u64>().unwrap() - 3000;
        let note = format!("S{number} was imported from list.csv:{}", number + 1);
        assert!(finding["notes"].to_string().contains(&note), "{note}: {finding}");
        seen += 1;
    }
    assert_eq!(seen, 100);
}

/// E1106
#[test]
fn two_files_of_one_name_are_refused() {
    let shop = office();
    shop.write("south/list.csv", LIST.replace("S1", "S2"));
    let both =
        ["import", "list.csv", "south/list.csv", "--map", "map.toml", "--out", "walls.members"];
    shop.exits(2, &both).finds("E1106");
    assert!(!shop.path("walls.members").exists());
}

#[test]
fn an_empty_list_is_told_as_one() {
    let shop = office();
    shop.write("list.csv", "");
    let run = shop.exits(1, &IMPORT);
    run.finds("E1111");
    assert!(run.err.contains("no name stands there: look whether this is the whole list"));
    assert!(!shop.path("walls.members").exists());
}
