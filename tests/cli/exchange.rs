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
    assert!(run.out.contains("list.csv: 2 rows; 1 member in 1 frame, 2 features."), "{}", run.out);
    let first = shop.read("walls.members");
    assert!(
        first.contains("member S1 stud profile \"C90x40-0.75\" length 2396.5 {  # list.csv:2\n"),
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
    assert!(members.contains("# list.csv:2") && members.contains("# more.csv:2"), "{members}");
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
}
