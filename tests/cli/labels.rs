//! `labels` as the floor runs it.

use super::shop::Shop;

fn pages(pdf: &[u8]) -> usize {
    let needle = b"/Type /Page\n";
    pdf.windows(needle.len()).filter(|part| part == needle).count()
}

#[test]
fn labels_are_printed_and_printed_again() {
    let shop = Shop::new();
    let labels = ["labels", "batch.toml", "--layout", "labels.toml", "--out", "labels.pdf"];
    let run = shop.exits(0, &labels);
    assert!(run.out.starts_with("Wrote labels.pdf: "), "{}", run.out);
    let first = std::fs::read(shop.path("labels.pdf")).unwrap();
    shop.exits(0, &labels);
    assert_eq!(std::fs::read(shop.path("labels.pdf")).unwrap(), first);
    shop.exits(0, &["labels", "batch.toml", "--of", "bundles", "--out", "tickets.pdf"]);
    shop.exits(0, &["labels", "batch.toml", "--of", "pieces", "--out", "labels.csv"]);
    shop.exits(0, &["labels", "batch.toml", "--of", "members", "--out", "labels.csv"]);
    // What is no work of ours stays: another table, a foreign document, an input.
    shop.exits(2, &["labels", "batch.toml", "--of", "bundles", "--out", "labels.csv"])
        .finds("E0907");
    shop.write("theirs.pdf", "%PDF-1.4 theirs");
    shop.exits(2, &["labels", "batch.toml", "--out", "theirs.pdf"]).finds("E0907");
    assert_eq!(shop.read("theirs.pdf"), "%PDF-1.4 theirs");
    assert_eq!(shop.run(&["labels", "batch.toml", "--out", "labels.txt"]).code, Some(2));
}

/// E1214
#[test]
fn a_sheet_is_begun_where_it_has_labels() {
    let shop = Shop::new();
    let at = |start: &'static str, code| {
        let out = ["labels", "batch.toml", "--layout", "labels.toml", "--out", "labels.pdf"];
        let all: Vec<&str> = out.into_iter().chain(["--start-at", start]).collect();
        shop.exits(code, &all)
    };
    at("1", 0);
    let few = pages(&std::fs::read(shop.path("labels.pdf")).unwrap());
    at("24", 0);
    let many = pages(&std::fs::read(shop.path("labels.pdf")).unwrap());
    assert_eq!((few, many), (1, 2));
    at("25", 1).finds("E1214");
    at("0", 1).finds("E1214");
}

/// W1219
#[test]
fn a_table_has_no_place_to_start_at() {
    let shop = Shop::new();
    let plain = ["labels", "batch.toml", "--out", "plain.csv"];
    assert_eq!(shop.exits(0, &plain).found("W1219"), 0);
    let asked = |more: &[&'static str]| {
        let table = ["labels", "batch.toml", "--out", "labels.csv"];
        let run = shop.exits(0, &[&table[..], more].concat());
        assert_eq!(shop.read("labels.csv"), shop.read("plain.csv"));
        run
    };
    let run = asked(&["--start-at", "5"]);
    let said = "--start-at means nothing for `labels.csv`: a table has no sheets";
    assert!(run.finds("W1219").err.contains(said), "{}", run.err);
    assert!(run.err.contains("name a PDF after --out, such as `labels.pdf`"), "{}", run.err);
    let run = asked(&["--start-at", "0", "--layout", "labels.toml"]);
    assert!(run.finds("W1219").err.contains("--start-at and --layout"), "{}", run.err);
    // The first label of a sheet is where a table begins, too.
    assert_eq!(asked(&["--start-at", "1"]).found("W1219"), 0);
}

/// E1218
#[test]
fn nothing_made_is_nothing_to_label() {
    let shop = Shop::new();
    shop.exits(0, &["labels", "batch.toml", "--of", "pieces", "--out", "all.csv"]);
    let all = shop.read("all.csv");
    let mut done = String::from("last-serial = 1000\n");
    for (n, line) in all.lines().skip(1).enumerate() {
        let cells: Vec<&str> = line.split(',').collect();
        done.push_str(&format!(
            "[[piece]]\nserial = {}\njob = \"{}\"\nframe = \"{}\"\ncopy = {}\nmark = \"{}\"\n",
            n + 1,
            cells[0],
            cells[2],
            cells[3],
            cells[4]
        ));
    }
    shop.write("done.toml", done);
    shop.edit("batch.toml", "name =", "done = \"done.toml\"\nname =");
    let run = shop.run(&["labels", "batch.toml", "--out", "labels.pdf"]);
    run.finds("E1218");
    assert!(!shop.path("labels.pdf").exists());
}

/// A layout that cannot be is told at its place, and nothing is printed.
#[test]
fn a_bad_layout_prints_nothing() {
    let shop = Shop::new();
    shop.edit("labels.toml", "rows = 8", "rows = 1_000_000_000");
    let labels = ["labels", "batch.toml", "--layout", "labels.toml", "--out", "labels.pdf"];
    let run = shop.exits(1, &labels);
    run.finds("E0306");
    assert!(run.err.contains("labels.toml:7"), "{}", run.err);
    assert!(!shop.path("labels.pdf").exists());
}

/// A batch names its layouts; labels and tickets come with its papers, and are proved with them.
#[test]
fn a_batch_names_its_layouts() {
    let shop = Shop::new();
    let tickets = "name = \"tags\"\n[roll]\nwidth = \"100 mm\"\n[label]\nwidth = \"100 mm\"\n\
                   height = \"150 mm\"\ncode = \"30 mm\"\n";
    shop.write("tickets.toml", tickets);
    let names = "labels = \"labels.toml\"\ntickets = \"tickets.toml\"\nname =";
    shop.edit("batch.toml", "name =", names);
    shop.exits(0, &["compile", "batch.toml", "--out", "out", "--papers=labels,tickets"]);
    let papers = ["labels.csv", "labels.pdf", "tickets.csv", "tickets.pdf"];
    assert_eq!(shop.names("out/papers"), papers);
    shop.exits(0, &["verify", "out"]);
    // The command alone gives the same, and the tables name the pieces of the programs.
    for (of, name) in [("members", "labels"), ("bundles", "tickets")] {
        for ending in ["csv", "pdf"] {
            let file = format!("{name}.{ending}");
            shop.exits(0, &["labels", "batch.toml", "--of", of, "--out", &file]);
            let folder = std::fs::read(shop.path(format!("out/papers/{file}"))).unwrap();
            assert_eq!(std::fs::read(shop.path(&file)).unwrap(), folder, "{file}");
        }
    }
    // Stickers are no tickets.
    shop.edit("batch.toml", "tickets = \"tickets.toml\"", "tickets = \"labels.toml\"");
    let run = shop.exits(1, &["compile", "batch.toml", "--out", "out"]);
    run.finds("E1213");
    assert!(run.err.contains("labels.toml:13"), "{}", run.err);
}
