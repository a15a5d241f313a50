//! Inputs nobody should write, and everybody does one day.

use super::shop::Shop;

#[test]
fn a_file_with_three_mistakes_reports_three_with_carets() {
    let shop = Shop::new();
    shop.edit("job.members", "dimple on flanges, both ends at 22", "dimpel on flanges at 22");
    shop.edit("job.members", "at 310, end - 310", "at 310 mn, end - 310");
    shop.edit("job.members", "length 2400 {", "lenght 2400 {");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(run.err.contains("\n3 errors\n"), "{}", run.err);
    for place in ["job.members:7:", "job.members:14:", "job.members:16:"] {
        assert!(run.err.contains(&format!("─[{place}")), "{place}: {}", run.err);
    }
    let carets = run.err.lines().filter(|line| line.trim_start().starts_with("·")).count();
    assert!(carets >= 3, "{}", run.err);
}

#[test]
fn names_that_lead_nowhere() {
    // E0901: on the command line it is the user's mistake, in a file it is the file's.
    let shop = Shop::new();
    shop.exits(2, &["check", "nowhere.toml"]).finds("E0901");
    shop.exits(2, &["compile", "nowhere/batch.toml", "--out", "out"]).finds("E0901");
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    shop.exits(2, &["check", "no.members", "--library", "library.toml"]).finds("E0901");
    shop.exits(2, &["verify", "nowhere"]).finds("E0901");
    shop.edit("batch.toml", "\"job.members\"", "\"lost.members\"");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(run.finds("E0901").err.contains("─[batch.toml:2:"), "{}", run.err);
}

#[test]
fn folders_for_files() {
    // E0902
    let shop = Shop::new();
    shop.exits(2, &["check", "."]);
    std::fs::create_dir(shop.path("folder.members")).unwrap();
    shop.exits(2, &["check", "folder.members", "--library", "folder.members"]).finds("E0902");
    shop.edit("batch.toml", "\"line.toml\"", "\"folder.members\"");
    shop.exits(1, &["preview", "batch.toml"]).finds("E0902");
}

#[test]
fn a_file_of_more_than_a_gibibyte_is_refused_without_reading_it() {
    // E0903; sparse, so it takes no room.
    let shop = Shop::new();
    let file = std::fs::File::create(shop.path("huge.members")).unwrap();
    file.set_len((1 << 30) + 1).unwrap();
    shop.edit("batch.toml", "\"job.members\"", "\"huge.members\"");
    shop.exits(1, &["check", "batch.toml"]).finds("E0903");
}

#[test]
fn a_batch_names_no_absolute_paths() {
    // E0904: an output folder carries its inputs, and an absolute name would lead out of it.
    let shop = Shop::new();
    let line = shop.path("line.toml");
    shop.edit("batch.toml", "\"line.toml\"", &format!("{:?}", line.to_str().unwrap()));
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(run.finds("E0904").err.contains("absolute"), "{}", run.err);
}

#[test]
fn text_in_an_old_code_page_is_refused_where_it_begins() {
    // E0905
    let shop = Shop::new();
    shop.write("job.members", b"job SS1 revision A\n# K\xe4lte\n");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(run.finds("E0905").err.contains("line 2"), "{}", run.err);
}

#[cfg(unix)]
#[test]
fn a_file_name_that_is_not_text_is_refused() {
    // E0916
    use std::os::unix::ffi::OsStrExt;
    let shop = Shop::new();
    let name = std::ffi::OsStr::from_bytes(b"b\xff.toml");
    let output = shop.command(&["preview"]).arg(name).output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("E0916"));
}

/// Every file of a batch replaced by things that are not what it should be: never a panic, never
/// a hang, always an exit that says so.
#[test]
fn every_file_survives_being_something_else() {
    let shop = Shop::new();
    let long = "x ".repeat(5 << 20);
    let deep = format!("let a = {}1", "(".repeat(20_000));
    let tables = format!("{}\n", "[a".repeat(20_000));
    let digits = format!("let a = {}\nlength = {0}\n", "9".repeat(40));
    let contents: [(&str, &[u8]); 12] = [
        ("empty", b""),
        ("a line end", b"\n"),
        ("binary", b"\x00\x01\x02\x7f\x1b[2J\x00"),
        ("not UTF-8", b"\xff\xfe\xfd"),
        ("only a byte order mark", b"\xef\xbb\xbf"),
        ("ten megabytes in one line", long.as_bytes()),
        ("deep brackets", deep.as_bytes()),
        ("deep tables", tables.as_bytes()),
        ("forty digits", digits.as_bytes()),
        ("carriage returns", b"\r\r\r\n\r"),
        ("one quote", b"\""),
        ("not ASCII", "жоб \u{202e}ßüö 名前 = \"🧱\"\n".as_bytes()),
    ];
    let names = shop.names("");
    for name in &names {
        let stands = std::fs::read(shop.path(name)).unwrap();
        // Half of it, too.
        let half = &stands[..stands.len() / 2];
        for (what, content) in contents.iter().copied().chain([("its first half", half)]) {
            shop.write(name, content);
            let run = shop.run(&["check", "batch.toml"]);
            let code = run.code.unwrap_or_else(|| panic!("{name}, {what}: killed: {run:#?}"));
            // A features or rules file that is empty, or a half that ends well, may be a whole.
            assert!(code <= 1, "{name}, {what}: {run:#?}");
            assert!(run.err.len() < 1 << 20, "{name}, {what}: {} bytes said", run.err.len());
        }
        shop.write(name, stands);
    }
    shop.exits(0, &["check", "batch.toml"]);
}

#[test]
fn line_ends_marks_and_tabs_make_no_difference() {
    let shop = Shop::new();
    shop.exits(0, &["compile", "batch.toml", "--out", "plain"]);
    for name in shop.names("") {
        if shop.path(&name).is_file() {
            let text = shop.read(&name).replace('\n', "\r\n").replace("  ", "\t");
            shop.write(&name, format!("\u{feff}{text}"));
        }
    }
    shop.exits(0, &["compile", "batch.toml", "--out", "odd"]);
    let program = "programs/small-shop-01.txt";
    assert_eq!(shop.files("plain")[program], shop.files("odd")[program]);
}

#[test]
fn a_stock_without_coils_and_a_line_whose_stations_collide_are_refused() {
    for (file, from, to) in [
        ("stock.toml", None, "coil = []\n"),
        ("line.toml", Some("offset = \"0.4 m\""), "offset = \"0.7 m\""),
    ] {
        let shop = Shop::new();
        match from {
            Some(from) => shop.edit(file, from, to),
            None => shop.write(file, to),
        }
        let run = shop.exits(1, &["compile", "batch.toml", "--out", "out"]);
        assert!(run.err.contains(&format!("─[{file}:")), "{}", run.err);
        assert!(!shop.path("out").exists());
    }
}

/// What a command cannot read is told by the name it was given, not by the batch's own.
#[test]
fn a_batch_that_cannot_be_read_is_named_as_it_was_asked_for() {
    let shop = Shop::new();
    shop.write("monday/bad.toml", b"\xff\xfe");
    for (name, code, exit) in [
        ("monday/none.toml", "E0901", 2),
        ("./monday", "E0902", 2),
        ("monday/bad.toml", "E0905", 1),
    ] {
        for command in [
            &["preview", name][..],
            &["compile", name, "--out", "out"],
            &["labels", name, "--out", "labels.csv"],
            &["config", "show", name],
            &["estimate", name],
        ] {
            let run = shop.exits(exit, command);
            run.finds(code);
            assert!(run.err.contains(&format!("`{name}`")), "{command:?}: {}", run.err);
        }
    }
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    let run = shop.exits(2, &["check", ".", "--library", "library.toml"]);
    assert!(run.err.contains("`.` is a folder, not a file"), "{}", run.err);
}
