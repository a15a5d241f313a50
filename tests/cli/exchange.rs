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

/// A job of one frame with one member, as JSON.
fn frame_json(job: &str, frame: &str, mark: &str) -> String {
    format!(
        "{{\"format\": \"coilwright members 1\",\n \"job\": {{{job}}},\n \"frames\": [{{{frame},\n  \
         \"members\": [{{\"mark\": \"{mark}\", \"usage\": \"stud\", \"profile\": \
         \"C90x40-0.75\", \"length\": \"2396 mm\"}}]}}]}}\n"
    )
}

/// E1107
#[test]
fn files_of_one_job_have_to_agree() {
    let shop = Shop::new();
    let wall = "\"name\": \"K1\", \"kind\": \"wall\"";
    let job = "\"name\": \"KP30\", \"revision\": \"A\"";
    let import = |files: [&str; 2], code: i32| {
        shop.exits(code, &["import", files[0], files[1], "--out", "a.members"])
    };
    shop.write("b.json", frame_json(job, wall, "S2"));
    for (first_job, first_frame, told, first, second) in [
        (
            job,
            "\"name\": \"K1\", \"kind\": \"wall\", \"quantity\": 3",
            "quantity of frame K1",
            "a.json:3:56",
            "b.json:3:13",
        ),
        (
            job,
            "\"name\": \"K1\", \"kind\": \"truss\"",
            "kind of frame K1",
            "a.json:3:36",
            "b.json:3:36",
        ),
        ("\"name\": \"KP31\"", wall, "of two jobs: ", "a.json:2:18", "b.json:2:18"),
        (
            "\"name\": \"KP30\", \"revision\": \"B\"",
            wall,
            "revision of the job",
            "a.json:2:38",
            "b.json:2:38",
        ),
    ] {
        shop.write("a.json", frame_json(first_job, first_frame, "S1"));
        // In any order, with both places, and nothing is written.
        for files in [["a.json", "b.json"], ["b.json", "a.json"]] {
            let run = import(files, 1);
            run.finds("E1107");
            for part in [told, first, second] {
                assert!(run.err.contains(part), "{part}: {}", run.err);
            }
            assert!(!shop.path("a.members").exists());
        }
    }
    // What is waived in both is waived once.
    let waived = "\"waivers\": [{\"rule\": \"W0401\", \"reference\": \"L 3\", \"by\": \"M. Okafor\"}],\n \"job\"";
    for (file, mark) in [("c.json", "S1"), ("d.json", "S2")] {
        shop.write(file, frame_json(job, wall, mark).replace("\"job\"", waived));
    }
    import(["c.json", "d.json"], 0);
    assert_eq!(shop.read("a.members").matches("waive ").count(), 1);
    // What only one says is so; and the map may say the job for all.
    shop.write(
        "a.json",
        frame_json(
            "\"name\": \"KP30\"",
            "\"name\": \"K1\", \"kind\": \"wall\", \"title\": \"Bow\"",
            "S1",
        ),
    );
    for files in [["a.json", "b.json"], ["b.json", "a.json"]] {
        import(files, 0);
        let text = shop.read("a.members");
        assert!(
            text.contains("job KP30 revision A\n") && text.contains("frame K1 wall \"Bow\""),
            "{text}"
        );
    }
    shop.write("a.json", frame_json("\"name\": \"KP31\"", wall, "S1"));
    shop.write("job.toml", "[job]\nname = \"KP32\"\n");
    let run =
        shop.exits(0, &["import", "a.json", "b.json", "--map", "job.toml", "--out", "a.members"]);
    assert!(
        run.out.contains("Its job is `KP31`: taken as `KP32`, as the map says."),
        "{}",
        run.out
    );
    assert!(shop.read("a.members").contains("job KP32 revision A\n"));
}

/// E1107: parts of two orders, or of two kinds of one frame.
#[test]
fn parts_of_one_import_have_to_agree() {
    let shop = office();
    shop.write("job.toml", "[job]\nname = \"KP29\"\nrevision = \"C\"\n");
    let part = |name: &str, order: &str, phase: &str, kind: &str| {
        let mark = name.trim_end_matches(".nc1").to_uppercase();
        let head = [
            "ST",
            order,
            "N1",
            phase,
            &mark,
            "G550",
            "1",
            "C90x40-0.75",
            "C",
            "1254.50",
            "90.00",
            "40.00",
            "0.75",
            "0.75",
            "0.00",
            "1.0",
            "1.0",
            "0.000",
            "0.000",
            "0.000",
            "0.000",
            "stud",
            kind,
            "",
            "",
            "EN",
        ];
        shop.write(name, head.join("\n  ").replace("  ST", "ST").replace("  EN", "EN") + "\n");
    };
    part("a.nc1", "KP27", "A", "");
    part("b.nc1", "KP28", "A", "");
    part("c.nc1", "KP27", "B", "");
    part("d.nc1", "KP27", "A", "truss");
    part("e.nc1", "KP27", "A", "wall");
    let import = |code: i32, files: [&str; 2], map: &[&str]| {
        let args =
            ["import", files[0], files[1], "--library", "library.toml", "--out", "a.members"];
        shop.exits(code, &[&args[..], map].concat())
    };
    for (files, told, places) in [
        (["a.nc1", "b.nc1"], "two jobs: `KP27` and `KP28`", ["a.nc1:2:3", "b.nc1:2:3"]),
        (["c.nc1", "a.nc1"], "revision of the job: `B` and `A`", ["a.nc1:4:3", "c.nc1:4:3"]),
        (["d.nc1", "e.nc1"], "kind of frame N1: `truss` and `wall`", ["d.nc1:23:3", "e.nc1:23:3"]),
    ] {
        let run = import(1, files, &[]);
        run.finds("E1107");
        assert!(run.err.contains(told), "{told}: {}", run.err);
        assert!(places.iter().all(|place| run.err.contains(place)), "{}", run.err);
    }
    // A part that says no kind contradicts none; the map may say the job for all.
    for files in [["a.nc1", "d.nc1"], ["d.nc1", "a.nc1"]] {
        import(0, files, &[]);
        assert!(shop.read("a.members").contains("frame N1 truss"), "{}", shop.read("a.members"));
    }
    import(0, ["b.nc1", "c.nc1"], &["--map", "job.toml"]);
    assert!(shop.read("a.members").contains("job KP29 revision C\n"));
}

/// A list from another program: its letters, its line ends, and what is told of them.
#[test]
fn lists_in_other_letters_and_line_ends() {
    let shop = office();
    let plain = shop.exits(0, &IMPORT).out;
    let members = shop.read("walls.members");
    shop.write("list.csv", LIST.replace('\n', "\r"));
    shop.exits(0, &IMPORT);
    assert_eq!(shop.read("walls.members"), members);
    shop.write(
        "list.csv",
        LIST.replace("S1", "S\u{fc}").chars().map(|c| c as u8).collect::<Vec<u8>>(),
    );
    let run = shop.exits(1, &IMPORT);
    run.finds("E0905");
    assert!(run.err.contains("FC is `ü`") && run.err.contains("windows-1252"), "{}", run.err);
    shop.edit("map.toml", "[table]\n", "[table]\ncharacters = \"windows-1252\"\n");
    shop.exits(0, &IMPORT);
    assert!(shop.read("walls.members").contains("Sü"));
    // Quiet, it answers nothing.
    assert!(plain.starts_with("list.csv: 2 rows"), "{plain}");
    let quiet = shop.exits(0, &[&IMPORT[..], &["--quiet"]].concat());
    assert_eq!((quiet.out.as_str(), quiet.err.as_str()), ("", ""));
}

/// E1107
#[test]
fn lists_of_one_frame_have_to_agree_on_its_kind() {
    let shop = office();
    shop.edit("map.toml", "[columns]\n", "[columns]\nkind = \"Kind\"\ntitle = \"Title\"\n");
    shop.edit("map.toml", "[profiles]", "[kinds]\nW = \"wall\"\nT = \"truss\"\n[profiles]");
    let list = |kind: &str, title: &str, mark: &str| {
        format!(
            "Panel;Kind;Title;Piece;Section;Length;Op;X\nN1;{kind};{title};{mark};C;2396,5;D;18\n"
        )
    };
    let both = ["import", "list.csv", "more.csv", "--map", "map.toml", "--out", "walls.members"];
    shop.write("list.csv", list("W", "Bow", "S1"));
    shop.write("more.csv", list("T", "Stern", "S2"));
    let run = shop.exits(1, &both);
    run.finds("E1107");
    for part in [
        "kind of frame N1: `wall` and `truss`",
        "more.csv:2:4",
        "list.csv:2:4",
        "title of frame N1: `Bow` and `Stern`",
        "more.csv:2:6",
    ] {
        assert!(run.err.contains(part), "{part}: {}", run.err);
    }
    // A cell that says nothing contradicts nothing.
    shop.write("list.csv", list("", "", "S1"));
    shop.exits(0, &both);
    assert!(shop.read("walls.members").contains("frame N1 truss \"Stern\""));
    // A list means one of each frame.
    shop.write(
        "more.json",
        frame_json(
            "\"name\": \"KP33\"",
            "\"name\": \"N1\", \"kind\": \"truss\", \"quantity\": 2",
            "S3",
        ),
    );
    let mixed = ["import", "list.csv", "more.json", "--map", "map.toml", "--out", "walls.members"];
    shop.exits(1, &mixed).finds("E1107");
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
