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

/// A table's line without the blanks that line its columns up: `| length | 2386 |`.
fn lines(sheet: &str) -> Vec<String> {
    let squeezed = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
    sheet.lines().map(squeezed).collect()
}

#[track_caller]
fn has(sheet: &str, line: &str) {
    assert!(lines(sheet).iter().any(|l| l == line), "{line} is no line of\n{sheet}");
}

#[test]
fn the_run_sheet_has_what_an_operator_needs() {
    let shop = Shop::new();
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let sheet = shop.read("out/run-sheet.md");
    for needed in [
        // Figures of the small shop's own files.
        "| SS1 | **A** | small shop | 1 | 5 |",
        "| id | **K1** |",
        "| heat | H2291 |",
        "| length before | 58.0 m (measured), ± 0.3 m |",
        "- Set the line up for C90x40-0.75: 25 min 00 s.",
        "| **length** | | | ±1 | 2386 | | | |",
        "| dimple Ø10 | flanges | 2 | ±0.5 | 22 | | 2364 (T 22) | |",
        // Stations from the coil to the shear, with what their tools make.
        "| web-punch | 4200 | service-60 | service-hole | 60 × 32 | web | 8 |",
        "| *forming* from | 3000 | | | | | |",
        "| end-press | 400 | lip-ends | lip-cut, over a cut | 45 × 12 | lips | 5 |",
        "| *shear* | 0 | | | | | |",
    ] {
        has(&sheet, needed);
    }
    for needed in [
        "20.00 m to 20.40 m from the leading edge",
        "small-shop-01",
        "Stop after **serial 1** (SS1 N1 S1).",
        "no safety function and designs no structure",
        "Lock out",
        "the position is lost",
        "First off checked: ___",
    ] {
        assert!(sheet.contains(needed), "{needed} is not in\n{sheet}");
    }
    assert!(!sheet.contains("may run out"), "41 m are left");
    // Each of the two shapes has one table, at its first piece.
    assert_eq!(lines(&sheet).iter().filter(|l| l.starts_with("| **length** |")).count(), 2);
    let wide: Vec<&str> = sheet.lines().filter(|l| l.chars().count() > 100).collect();
    assert!(wide.is_empty(), "wider than a sheet of paper: {wide:#?}");
}

#[test]
fn scrap_stands_in_the_order_where_it_falls() {
    let shop = Shop::new();
    // The defect lies in the second piece's way.
    shop.edit("stock.toml", "from = \"20 m\", to = \"20.4 m\"", "from = \"9 m\", to = \"9.4 m\"");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let sheet = lines(&shop.read("out/run-sheet.md"));
    let report = json(&shop.read("out/report.json"));
    let run = &report["runs"][0];
    let scrap = run["scrap"].as_array().unwrap();
    let causes: Vec<&str> = scrap.iter().map(|drop| drop["cause"].as_str().unwrap()).collect();
    assert_eq!(causes, ["head", "defect", "gap"]);
    // What the pieces, the scrap and all slugs take is what the shear has cut.
    let pieces = run["pieces"].as_array().unwrap();
    let last = pieces.iter().chain(scrap).map(|cut| number(cut, "cut_nm")).max().unwrap();
    let made: i64 = pieces.iter().map(|p| number(p, "cut_nm") - number(p, "start_nm")).sum();
    let slugs = 4_000_000 * i64::try_from(pieces.len() + scrap.len() - 1).unwrap();
    assert_eq!(made + sum(&run["scrap"], "length_nm") + slugs, last);
    // It stands just before the piece it falls before.
    let falls = sheet.iter().position(|l| l.contains("**scrap** | | around a defect"));
    let next = &sheet[falls.expect("a line for it") + 1];
    let serial = next.split('|').nth(1).unwrap().trim().trim_matches('*').to_string();
    assert_eq!(serial, scrap[1]["before"].to_string(), "{next}");
}

#[test]
fn the_sheet_says_what_to_write_into_the_stock_file() {
    let shop = Shop::new();
    shop.edit(
        "stock.toml",
        "to = \"20.4 m\" }",
        "to = \"20.4 m\" }, { from = \"50 m\", to = \"51 m\" }",
    );
    let stock = shop.read("stock.toml");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    assert_eq!(shop.read("stock.toml"), stock, "never written to");
    assert_eq!(shop.read("out/inputs/stock.toml"), stock, "kept as it was");
    let report = json(&shop.read("out/report.json"));
    let account = &report["runs"][0]["account"];
    // 58 m less what is used, and the second defect nearer by that much.
    let gone = number(account, "used_nm");
    let near = |nm: i64, places: i64| {
        let unit = 10_i64.pow(9 - u32::try_from(places).unwrap());
        let n = (nm + unit / 2) / unit;
        let fine = 10_i64.pow(u32::try_from(places).unwrap());
        format!("{}.{:0w$} m", n / fine, n % fine, w = usize::try_from(places).unwrap())
    };
    let metre = 1_000_000_000;
    let sheet = shop.read("out/run-sheet.md").split_whitespace().collect::<Vec<_>>().join(" ");
    let left = near(58 * metre - gone, 1);
    let (from, to) = (near(50 * metre - gone, 2), near(51 * metre - gone, 2));
    let said = format!(
        "Coil K1: {left} (± 0.3 m) go back to the rack. Defects, from its new leading edge: "
    );
    assert!(sheet.contains(&said), "{said}: {sheet}");
    assert!(sheet.contains(&format!("{from} to {to}.")), "{from} to {to}: {sheet}");
}

#[test]
fn positions_across_are_named_by_their_side() {
    let shop = Shop::new();
    shop.edit("line.toml", "diameter = \"12 mm\"", "diameter = \"12 mm\"\nacross = \"-20 mm\"");
    let job = shop.read("job.members");
    shop.write("job.members", job.replace("hole 12 on web at", "hole 12 on web across -20 at"));
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let sheet = shop.read("out/run-sheet.md");
    let hole = |l: &String| l.starts_with("| hole Ø12 | web, 20 right |");
    assert!(lines(&sheet).iter().any(hole), "{sheet}");
    has(&sheet, "| | | hole-12 | hole | Ø12 | web, 20 right | 2 |");
}

#[test]
fn a_shop_in_inches_has_its_papers_in_inches_and_the_same_programs() {
    let shop = Shop::new();
    shop.exits(0, &["compile", "batch.toml", "--out", "mm"]);
    shop.edit("batch.toml", "shift = \"8 h\"", "shift = \"8 h\"\nunits = \"in\"");
    let run = shop.exits(0, &["compile", "batch.toml", "--out", "in"]);
    // 58 m are 190.29 ft; 2386 mm 93.937 in, and no whole number of 64ths; 22 mm 0.866 in.
    let sheet = shop.read("in/run-sheet.md");
    assert!(sheet.contains("Inches, to 0.001; tolerances rounded down."), "{sheet}");
    has(&sheet, "| length before | 190.3 ft (measured), ± 1.0 ft |");
    has(&sheet, "| **length** | | | ±0.039 | 93.937 | | | |");
    has(&sheet, "| dimple Ø0.394 | flanges | 2 | ±0.019 | 0.866 | | 93.071 (T 0.866) | |");
    assert!(!sheet.contains(" mm") && !sheet.contains(" m |"), "{sheet}");
    assert!(run.err.contains(" ft of strip, "), "{}", run.err);
    let preview = shop.exits(0, &["preview", "batch.toml"]).out;
    assert!(preview.contains(" ft, ") && preview.contains(" lb coated;"), "{preview}");
    // What is made and what scripts read has not changed.
    for same in ["programs/small-shop-01.txt", "marks.csv"] {
        assert_eq!(shop.read(format!("mm/{same}")), shop.read(format!("in/{same}")), "{same}");
    }
    let [mut mm, mut inches] = ["mm", "in"].map(|f| json(&shop.read(format!("{f}/report.json"))));
    for report in [&mut mm, &mut inches] {
        // In words, for people.
        report["profiles"][0]["gap"] = "".into();
    }
    assert_eq!(mm, inches);
    shop.edit("batch.toml", "units = \"in\"", "units = \"inch\"");
    shop.exits(1, &["check", "batch.toml"]);
}

#[test]
fn a_waiver_names_the_piece_it_is_for() {
    let shop = Shop::new();
    shop.edit(
        "job.members",
        "\n\nrecipe",
        "\nwaive service-hole-to-end frame N1 mark B1 reference \"letter 7\" by \"A. Smith\"\n\nrecipe",
    );
    shop.edit("job.members", "hole 12 on", "service-hole on web at 200\n    hole 12 on");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let sheet = shop.read("out/run-sheet.md").split_whitespace().collect::<Vec<_>>().join(" ");
    let report = json(&shop.read("out/report.json"));
    let pieces = report["runs"][0]["pieces"].as_array().unwrap();
    let serial = &pieces.iter().find(|piece| piece["mark"] == "B1").unwrap()["serial"];
    let needed =
        format!("(service-hole-to-end, job SS1, serial {serial}). Allowed by A. Smith: letter 7.");
    assert!(sheet.contains("Waived: B1 in frame N1: service-hole on web at 200 "), "{sheet}");
    assert!(sheet.contains(&needed), "{needed} is not in {sheet}");
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
    assert!(sheet.contains("| H\\|22 \\*91\\* "), "{sheet}");
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

/// Keys of whole numbers, anywhere in a value.
fn numbers(value: &Value, key: &str, found: &mut std::collections::BTreeSet<String>) {
    match value {
        Value::Object(fields) => fields.iter().for_each(|(key, v)| numbers(v, key, found)),
        Value::Array(items) => items.iter().for_each(|v| numbers(v, key, found)),
        Value::Number(n) => {
            assert!(n.is_i64() || n.is_u64(), "{key} is {n}: no whole number");
            found.insert(key.to_string());
        }
        _ => {}
    }
}

#[test]
fn figures_in_json_are_whole_and_end_in_their_unit() {
    let shop = Shop::new();
    shop.enlarge();
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let mut found = std::collections::BTreeSet::new();
    numbers(&json(&shop.read("out/report.json")), "", &mut found);
    for command in ["preview", "estimate"] {
        let told = shop.exits(0, &[command, "batch.toml", "--format", "json"]).out;
        numbers(&json(&told), "", &mut found);
    }
    let units = ["_nm", "_mg", "_ns", "_ppm", "_minor", "_units"];
    for unit in units {
        assert!(found.iter().any(|key| key.ends_with(unit)), "no {unit} in {found:?}");
    }
    // Numbers without a unit are counts.
    let counts = found.iter().filter(|key| !units.iter().any(|unit| key.ends_with(unit)));
    let counts: Vec<&str> = counts.map(String::as_str).collect();
    let known = [
        "bars",
        "before",
        "coils",
        "copy",
        "effort_ticks",
        "frames",
        "pieces",
        "pieces_short",
        "run",
        "serial",
        "stops",
        "stops_bound",
        "there",
        "version",
        "wanted",
    ];
    assert_eq!(counts, known);
}

#[test]
fn the_schemas_of_reports_are_fresh() {
    let shop = Shop::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/schemas");
    for kind in ["comparison", "config", "estimate", "preview", "report", "what-if"] {
        let fresh = shop.exits(0, &["schema", kind]).out;
        let file = folder.join(format!("{kind}.json"));
        if std::env::var_os("COILWRIGHT_BLESS").is_some() {
            std::fs::write(&file, &fresh).unwrap();
        }
        let stands = std::fs::read_to_string(&file).unwrap_or_default();
        assert!(stands == fresh, "{kind}.json is stale: COILWRIGHT_BLESS=1 cargo test --test cli");
    }
}

/// A line that counts behind the rolls and fires all tools of a stop at once compiles, is proved
/// again from its folder, and its run sheet says what is special about it.
#[test]
fn the_run_sheet_says_what_the_encoder_counts_and_when_tools_fire() {
    let shop = Shop::new();
    let said = |line: &str, out: &str| {
        shop.edit("line.toml", "increment =", &format!("{line}\nincrement ="));
        shop.exits(0, &["compile", "batch.toml", "--out", out]);
        shop.exits(0, &["verify", out]);
        shop.edit("line.toml", &format!("{line}\nincrement ="), "increment =");
        shop.read(format!("{out}/run-sheet.md")).split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let sheet = said("encoder = { offset = \"0.2 m\" }\nfiring = \"at-once\"", "behind");
    for words in [
        "counts the formed section",
        "Programs count finished lengths",
        "nothing is cut off the last 1200 mm of a coil",
        "All tools of a stop fire at one moment",
    ] {
        assert!(sheet.contains(words), "`{words}`: {sheet}");
    }
    let sheet = said("encoder = { offset = \"4.6 m\" }", "before");
    for words in ["counts flat strip", "nothing is cut off the last 4600 mm of a coil"] {
        assert!(sheet.contains(words), "`{words}`: {sheet}");
    }
    assert!(!sheet.contains("at one moment"));
}

/// A page is written beside the text, the same every time; it replaces an older page, and nothing
/// else.
#[test]
fn the_page_replaces_a_page_and_nothing_else() {
    let shop = Shop::new();
    let plain = shop.exits(0, &["preview", "batch.toml"]).out;
    let asked = ["preview", "batch.toml", "--html", "page.html"];
    assert_eq!(shop.exits(0, &asked).out, plain);
    let first = shop.read("page.html");
    assert!(first.starts_with("<!DOCTYPE html>"));
    shop.exits(0, &asked);
    assert_eq!(shop.read("page.html"), first, "two pages of one batch differ");
    let batch = shop.read("batch.toml");
    let over = shop.exits(2, &["preview", "batch.toml", "--html", "batch.toml"]);
    assert!(over.err.contains("E0909"), "{}", over.err);
    assert_eq!(shop.read("batch.toml"), batch);
    shop.write("notes.html", "<!DOCTYPE html>\n<p>mine");
    let over = shop.exits(2, &["preview", "batch.toml", "--html", "notes.html"]);
    assert!(over.err.contains("E0907"), "{}", over.err);
    assert_eq!(shop.read("notes.html"), "<!DOCTYPE html>\n<p>mine");
    let nowhere = shop.exits(2, &["preview", "batch.toml", "--html", "no/such/page.html"]);
    assert!(nowhere.err.contains("E0906"), "{}", nowhere.err);
}

/// A batch that is not planned has a page that shows why, in place of the page of an earlier plan;
/// what `compile` wrote before stays, and is not taken for this batch's.
#[test]
fn a_batch_that_is_not_planned_has_a_page_that_says_so() {
    let shop = Shop::new();
    let asked = ["preview", "batch.toml", "--html", "page.html"];
    let compile = ["compile", "batch.toml", "--out", "out"];
    shop.exits(0, &asked);
    shop.exits(0, &compile);
    let before = shop.files("out");
    let plan = shop.read("page.html");
    assert!(plan.contains("<canvas") && !plan.contains("Nothing was planned"));
    // Written as somebody could who wants to break the page.
    shop.edit("job.members", "dimple", "dimpel<b>");
    shop.edit("job.members", "revision A", "revision \"</pre><script>\"");
    let run = shop.exits(1, &asked);
    assert!(run.out.is_empty(), "{}", run.out);
    assert!(run.err.contains("Nothing was planned. page.html shows why."), "{}", run.err);
    let page = shop.read("page.html");
    for words in [
        "<strong>Nothing was planned, and no program was written.</strong>",
        "do not run them for this one",
        "job.members:",
        "dimpel",
        "<p class=\"do\">→ ",
        "<details id=\"E0",
    ] {
        assert!(page.contains(words), "`{words}`: {page}");
    }
    assert!(!page.contains("<script") && !page.contains("<canvas"), "{page}");
    let run = shop.exits(1, &compile);
    assert!(run.err.contains("What lies in out is not of this run"), "{}", run.err);
    assert_eq!(shop.files("out"), before);
    let run = shop.exits(1, &["compile", "batch.toml", "--out", "elsewhere"]);
    assert!(run.err.ends_with("Nothing was written.\n"), "{}", run.err);
    assert!(!shop.path("elsewhere").exists());
    // A page in somebody else's place, and no batch at all.
    shop.write("notes.html", "<!DOCTYPE html>\n<p>mine");
    shop.exits(2, &["preview", "batch.toml", "--html", "notes.html"]).finds("E0907");
    assert_eq!(shop.read("notes.html"), "<!DOCTYPE html>\n<p>mine");
    shop.exits(2, &["preview", "nowhere.toml", "--html", "page.html"]).finds("E0901");
    assert_eq!(shop.read("page.html"), page);
    // The batch itself cannot be read: there is still a page, with the name of its file.
    shop.write("batch.toml", "name = ");
    shop.exits(1, &asked);
    let page = shop.read("page.html");
    assert!(page.contains("<h1>batch.toml</h1>"), "{page}");
}

/// Errors of planning itself, and where what can be made is shown, what cannot stands above it.
#[test]
fn a_page_says_above_all_what_cannot_be_made() {
    let shop = Shop::new();
    let asked = ["preview", "batch.toml", "--html", "page.html"];
    shop.edit("job.members", "length 2400", "length 9400");
    let run = shop.exits(1, &asked);
    let page = shop.read("page.html");
    assert!(page.contains("<h1>Batch ") && page.contains("Nothing was planned"), "{run:#?}");
    let shop = Shop::new();
    let stock = shop.read("stock.toml");
    let (first, _) = stock.split_once("part-used").unwrap();
    shop.write("stock.toml", first.replace("58 m", "12 m"));
    shop.exits(1, &asked).finds("E0601");
    let page = shop.read("page.html");
    assert!(page.contains("<canvas") && page.contains("\"severity\":\"error\""), "{page}");
}

/// Papers lie beside the programs, in the manifest as everything else; nothing else changes.
#[test]
fn papers_of_the_floor_are_written_when_they_are_asked_for() {
    let shop = Shop::new();
    let compile = |out: &str, asked: &[&str]| {
        shop.run(&[&["compile", "batch.toml", "--out", out], asked].concat())
    };
    assert_eq!(compile("plain", &[]).code, Some(0));
    assert_eq!(compile("out", &["--papers"]).code, Some(0));
    let all = ["run-sheet.html", "run-sheet.pdf", "schedule.csv", "schedule.html", "schedule.pdf"];
    let names = shop.names("out/papers");
    assert!(all.iter().all(|name| names.iter().any(|n| n == name)), "{names:?}");
    for (file, bytes) in shop.files("plain") {
        if file != "manifest.json" {
            assert!(shop.files("out")[&file] == bytes, "{file}");
        }
    }
    shop.exits(0, &["verify", "out"]);
    assert_eq!(compile("one", &["--papers=schedule"]).code, Some(0));
    let [csv, html, pdf] = ["schedule.csv", "schedule.html", "schedule.pdf"];
    assert_eq!(shop.names("one/papers"), [csv, html, pdf]);
    let slip = compile("no", &["--papers=shedule"]);
    assert_eq!(slip.code, Some(2));
    assert!(slip.err.contains("'schedule'"), "{}", slip.err);
    assert!(!shop.path("no").exists());
    shop.edit("out/papers/schedule.csv", "SS1", "SS2");
    shop.exits(1, &["verify", "out"]).finds("E0912");
}

/// A name in letters that PDF papers cannot be set in is told, and only where they are made.
#[test]
fn a_letter_that_papers_cannot_be_set_in_is_told() {
    let shop = Shop::new();
    shop.edit("job.members", "job SS1 \"small shop\"", "job SS1 \"東 shop\"");
    let run = shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    assert_eq!(run.found("W0924"), 0);
    let run = shop.exits(0, &["compile", "batch.toml", "--out", "out", "--papers"]);
    assert_eq!(run.found("W0924"), 1, "{}", run.err);
    assert!(run.err.contains("`東`") && run.err.contains("[6771]"), "{}", run.err);
    assert!(shop.read("out/papers/run-sheet.html").contains("東 shop"));
    shop.exits(0, &["verify", "out"]);
}
