//! Reports, run sheets and tables: valid, closed, and fit for their readers.

use super::shop::Shop;
use serde_json::Value;
use std::path::Path;

fn json(text: &str) -> Value {
    serde_json::from_str(text).unwrap()
}

fn valid(shop: &Shop, kind: &str, value: &Value) {
    let schema = json(&shop.exits(0, &["schema", kind]).out);
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(value).map(|e| e.to_string()).collect();
    assert!(faults.is_empty(), "{kind}: {faults:?}");
    let mut wrong = value.clone();
    wrong["version"] = "one".into();
    assert!(!validator.is_valid(&wrong), "the schema of {kind} admits anything");
}

fn number(value: &Value, key: &str) -> i64 {
    value[key].as_i64().unwrap_or_else(|| panic!("{key} in {value}"))
}

/// good + slug + head + tail + remnant = strip.
fn closes(account: &Value) {
    let parts = ["good_nm", "slug_nm", "head_nm", "tail_nm", "remnant_nm"];
    let sum: i64 = parts.iter().map(|part| number(account, part)).sum();
    assert_eq!(sum, number(account, "strip_nm"), "{account}");
    let used = number(account, "strip_nm") - number(account, "remnant_nm");
    assert_eq!(used, number(account, "used_nm"));
}

fn sum(values: &Value, key: &str) -> i64 {
    values.as_array().unwrap().iter().map(|value| number(value, key)).sum()
}

#[test]
fn the_preview_is_valid_and_its_books_close() {
    let shop = Shop::new();
    for enlarged in [false, true] {
        if enlarged {
            shop.enlarge();
        }
        let preview = json(&shop.exits(0, &["preview", "batch.toml", "--format", "json"]).out);
        valid(&shop, "preview", &preview);
        let total = &preview["total"];
        closes(&total["account"]);
        let coils = preview["coils"].as_array().unwrap();
        assert_eq!(coils.len() > 1, enlarged, "{} coils", coils.len());
        for coil in coils {
            closes(&coil["account"]);
        }
        for part in ["good_nm", "slug_nm", "head_nm", "tail_nm", "remnant_nm", "used_mg"] {
            let by_coil: i64 = coils.iter().map(|coil| number(&coil["account"], part)).sum();
            assert_eq!(by_coil, number(&total["account"], part), "{part}");
        }
        // What jobs bear adds up to what was spent.
        let jobs = &preview["jobs"];
        for part in ["good_nm", "slug_nm", "head_nm", "tail_nm"] {
            assert_eq!(sum(jobs, part), number(&total["account"], part), "{part}");
        }
        assert_eq!(sum(jobs, "time_ns"), number(&total["time"], "total_ns"));
        assert_eq!(sum(jobs, "pieces"), number(total, "pieces"));
        let scrap = sum(&preview["scrap"], "strip_nm");
        let account = &total["account"];
        let lost: i64 = ["slug_nm", "head_nm", "tail_nm"].iter().map(|p| number(account, p)).sum();
        assert_eq!(scrap, lost);
        assert_eq!(sum(&preview["scrap"], "mass_mg"), number(account, "scrap_mg"));
        let causes = ["moves_ns", "settle_ns", "strokes_ns", "cuts_ns", "unloading_ns"];
        let causes = causes.iter().chain(&["coil_change_ns", "set_up_ns"]);
        let time: i64 = causes.map(|cause| number(&total["time"], cause)).sum();
        assert_eq!(time, number(&total["time"], "total_ns"));
    }
}

#[test]
fn the_report_is_valid_and_holds_every_piece_once() {
    let shop = Shop::new();
    shop.enlarge();
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let report = json(&shop.read("out/report.json"));
    valid(&shop, "report", &report);
    let runs = report["runs"].as_array().unwrap();
    let mut serials: Vec<i64> = runs
        .iter()
        .flat_map(|run| run["pieces"].as_array().unwrap())
        .map(|piece| number(piece, "serial"))
        .collect();
    serials.sort_unstable();
    assert_eq!(serials, (1..=200).collect::<Vec<i64>>());
    for run in runs {
        closes(&run["account"]);
        assert!(shop.path("out").join(run["file"].as_str().unwrap()).is_file());
        let pieces = run["pieces"].as_array().unwrap();
        assert_eq!(number(&pieces[0], "start_nm"), number(run, "first_piece_at_nm"));
    }
}

/// The rows of a CSV text, by RFC 4180.
fn rows(csv: &str) -> Vec<Vec<String>> {
    let mut rows = vec![vec![String::new()]];
    let mut quoted = false;
    let mut chars = csv.chars().peekable();
    while let Some(c) = chars.next() {
        let row = rows.last_mut().unwrap();
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                row.last_mut().unwrap().push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => row.push(String::new()),
            '\r' if !quoted && chars.next_if_eq(&'\n').is_some() => rows.push(vec![String::new()]),
            c => row.last_mut().unwrap().push(c),
        }
    }
    assert_eq!(rows.pop(), Some(vec![String::new()]), "ends in a line end");
    rows
}

#[test]
fn the_mark_table_reads_back_with_one_row_a_piece() {
    let shop = Shop::new();
    shop.edit("batch.toml", "{job} {frame} {mark}", "{frame}, \\\"{mark}\\\"");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let rows = rows(&shop.read("out/marks.csv"));
    assert_eq!(rows.len(), 6);
    assert!(rows.iter().all(|row| row.len() == rows[0].len()));
    let column = |name: &str| rows[0].iter().position(|head| head == name).unwrap();
    let report = json(&shop.read("out/report.json"));
    for (row, piece) in rows[1..].iter().zip(report["runs"][0]["pieces"].as_array().unwrap()) {
        assert_eq!(row[column("serial")], piece["serial"].to_string());
        assert_eq!(row[column("mark")], piece["mark"].as_str().unwrap());
        let printed = format!("N1, \"{}\"", row[column("mark")]);
        assert_eq!(row[column("printed")], printed);
    }
}

#[test]
fn the_run_sheet_has_what_an_operator_needs() {
    let shop = Shop::new();
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let sheet = shop.read("out/run-sheet.md");
    for needed in [
        // Figures of the small shop's own files.
        "| id | **K1** |",
        "| heat | H2291 |",
        "| length before | 58.0 m (measured), ± 0.3 m |",
        "| defect | 20.00 m to 20.40 m from the leading edge",
        "small-shop-01",
        "Set the line up for C90x40-0.75: 25 min 00 s.",
        "| length | 2386 |",
        "| last dimple Ø10 on flanges, centre | 2364 (drawn 22 from the trailing end) | ±0.5 | |",
        "no safety function and designs no structure",
        "Lock out",
        "the position is lost",
        "First off checked: ___",
    ] {
        assert!(sheet.contains(needed), "{needed} is not in\n{sheet}");
    }
    assert!(!sheet.contains("may run out"), "41 m are left");
    // Each of the two shapes has one table, at its first piece.
    assert_eq!(sheet.matches("| what | at | tolerance | measured |").count(), 2);
}

#[test]
fn a_coil_used_to_within_its_uncertainty_is_told() {
    let shop = Shop::new();
    shop.edit(
        "stock.toml",
        "length = \"58 m\"\nuncertainty = \"0.5 %\"",
        "length = \"32 m\"\nuncertainty = \"50 %\"",
    );
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let sheet = shop.read("out/run-sheet.md");
    assert!(sheet.contains("| **may run out** |"), "{sheet}");
}

#[test]
fn names_from_the_drawing_cannot_break_papers() {
    let shop = Shop::new();
    shop.edit("job.members", "job SS1 \"small shop\"", "job SS1 \"a | b ** <b> `c`\"");
    shop.edit("stock.toml", "heat = \"H2291\"", "heat = \"H|22 *91*\"");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let sheet = shop.read("out/run-sheet.md");
    assert!(sheet.contains("| heat | H\\|22 \\*91\\* |"), "{sheet}");
    shop.exits(0, &["verify", "out"]);
}

#[test]
fn preview_and_compile_tell_the_same() {
    let shop = Shop::new();
    shop.enlarge();
    let preview = json(&shop.exits(0, &["preview", "batch.toml", "--format", "json"]).out);
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let report = json(&shop.read("out/report.json"));
    for part in ["total", "coils", "jobs", "profiles", "remnants"] {
        assert_eq!(preview[part], report[part], "{part}");
    }
}

#[test]
fn the_schemas_of_reports_are_fresh() {
    let shop = Shop::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/schemas");
    for kind in ["estimate", "preview", "report"] {
        let fresh = shop.exits(0, &["schema", kind]).out;
        let file = folder.join(format!("{kind}.json"));
        if std::env::var_os("COILWRIGHT_BLESS").is_some() {
            std::fs::write(&file, &fresh).unwrap();
        }
        let stands = std::fs::read_to_string(&file).unwrap_or_default();
        assert!(stands == fresh, "{kind}.json is stale: COILWRIGHT_BLESS=1 cargo test --test cli");
    }
}
