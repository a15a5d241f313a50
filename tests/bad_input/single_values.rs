//! One value of one TOML file of a shop is another: whatever it is, the shop is read or an error
//! says why not, and a command that ends clean has made what it was asked for.

use super::shop::{Shop, files_below};
use coilwright::diagnostic::{Diagnostic, any_error};
use coilwright::exchange::load_map;
use coilwright::library::{load_dialect, load_labels, load_log_format, load_measured};
use coilwright::plan::Shop as Opened;
use coilwright::quantity::{FileId, MemoryFiles, Sources, Span};
use std::collections::BTreeMap;
use std::path::Path;
use toml_edit::{Array, DocumentMut, InlineTable, Item, Table, Value};

type Texts = BTreeMap<String, String>;

/// The texts of a folder of the project.
fn folder(name: &str) -> Texts {
    let files = files_below(&Path::new(env!("CARGO_MANIFEST_DIR")).join(name));
    files.into_iter().map(|(name, bytes)| (name, String::from_utf8(bytes).unwrap())).collect()
}

/// A step to a value: a key, or a number in a list.
#[derive(Clone)]
enum Step {
    Key(String),
    Number(usize),
}

/// Every value of a document: its way, from the outside in.
fn ways(document: &DocumentMut) -> Vec<Vec<Step>> {
    let mut found = Vec::new();
    table(document.as_table(), &[], &mut found);
    found
}

fn table(table: &Table, way: &[Step], found: &mut Vec<Vec<Step>>) {
    for (key, item) in table {
        let here = [way, &[Step::Key(key.to_string())]].concat();
        found.push(here.clone());
        match item {
            Item::Value(of) => value(of, &here, found),
            Item::Table(inner) => self::table(inner, &here, found),
            Item::ArrayOfTables(tables) => {
                for (number, inner) in tables.iter().enumerate() {
                    self::table(inner, &[&here[..], &[Step::Number(number)]].concat(), found);
                }
            }
            Item::None => {}
        }
    }
}

fn value(of: &Value, way: &[Step], found: &mut Vec<Vec<Step>>) {
    let mut inner = |step: Step, of: &Value| {
        let here = [way, &[step]].concat();
        found.push(here.clone());
        value(of, &here, found);
    };
    match of {
        Value::Array(array) => {
            array.iter().enumerate().for_each(|(number, of)| inner(Step::Number(number), of));
        }
        Value::InlineTable(table) => {
            table.iter().for_each(|(key, of)| inner(Step::Key(key.to_string()), of));
        }
        _ => {}
    }
}

/// What is put in the place of any value; last, nothing at all.
fn strangers() -> Vec<Item> {
    let mut one = Array::new();
    one.push("");
    let values: [Value; 12] = [
        "".into(),
        "x".into(),
        "-1 mm".into(),
        " ".into(),
        0.into(),
        (-3).into(),
        i64::MAX.into(),
        true.into(),
        1.5.into(),
        Array::new().into(),
        one.into(),
        InlineTable::new().into(),
    ];
    values.into_iter().map(Item::Value).chain([Item::None]).collect()
}

/// Puts `item` at the end of `way`, or takes away what is there.
fn put(document: &mut DocumentMut, way: &[Step], item: Item) {
    let (last, before) = way.split_last().unwrap();
    let mut at: &mut Item = document.as_item_mut();
    for step in before {
        at = match step {
            Step::Key(key) => &mut at[key.as_str()],
            Step::Number(number) => &mut at[*number],
        };
    }
    match (last, item) {
        (Step::Key(key), Item::None) => drop(at.as_table_like_mut().unwrap().remove(key)),
        (Step::Key(key), item) => at[key.as_str()] = item,
        (Step::Number(number), Item::Value(value)) => {
            let array = at.as_array_mut().unwrap();
            array.replace(*number, value);
        }
        (Step::Number(number), _) => drop(at.as_array_mut().unwrap().remove(*number)),
    }
}

/// Each text that has one value otherwise, with words for what was done.
fn mutants(text: &str) -> Vec<(String, String)> {
    let document: DocumentMut = text.parse().unwrap();
    let mut mutants = Vec::new();
    for way in ways(&document) {
        for stranger in strangers() {
            let mut mutant = document.clone();
            let step = |step: &Step| match step {
                Step::Key(key) => key.clone(),
                Step::Number(number) => number.to_string(),
            };
            let at = way.iter().map(step).collect::<Vec<_>>().join(".");
            let words = format!("{at} = {}", stranger.to_string().trim());
            put(&mut mutant, &way, stranger);
            mutants.push((mutant.to_string(), words));
        }
    }
    mutants
}

/// Whether a file of this name is read, alone or with its batch, and what is found.
fn loaded(files: &MemoryFiles, name: &str, batch: &str) -> (bool, Vec<Diagnostic>) {
    let mut sources = Sources::default();
    if name.ends_with("labels.toml") || name.ends_with("tickets.toml") {
        let (layout, found) = load_labels(files, &mut sources, name);
        (layout.is_some(), found)
    } else if name.ends_with("measured.toml") || name.ends_with("first-off.toml") {
        let (measured, found) = load_measured(files, &mut sources, name);
        (measured.is_some(), found)
    } else if name.ends_with("log.toml") {
        let nowhere = Span::new(FileId(0), 0, 0);
        let (format, found) = load_log_format(files, &mut sources, name, Some(nowhere));
        (format.is_some(), found)
    } else if name.ends_with("map.toml") {
        let (map, found) = load_map(files, &mut sources, name);
        (map.is_some(), found)
    } else if batch.is_empty() {
        let (dialect, found) = load_dialect(files, &mut sources, name, None);
        (dialect.is_some(), found)
    } else {
        let (shop, found) = Opened::open(files, &mut sources, batch);
        (shop.is_some(), found)
    }
}

/// Mutants of some files, read: how many were tried, and how many could be read.
#[derive(Default)]
struct Tally {
    tried: usize,
    read: usize,
}

impl Tally {
    /// Every single-value mutant of this file is read, or told.
    fn mutate(&mut self, texts: &Texts, name: &str, batch: &str) {
        for (mutant, words) in mutants(&texts[name]) {
            let mut texts = texts.clone();
            texts.insert(name.to_string(), mutant);
            let files =
                MemoryFiles::of(texts.iter().map(|(name, text)| (name.as_str(), text.as_str())));
            let (is_read, found) = loaded(&files, name, batch);
            self.tried += 1;
            self.read += usize::from(is_read);
            assert!(
                is_read || any_error(&found),
                "{name}: {words}: nothing is read, and nothing is told"
            );
        }
    }
}

#[test]
fn what_is_not_read_is_told() {
    let mut tally = Tally::default();
    // A whole shop, each file in turn, with a list of what is made already.
    let mut texts = folder("fixtures/diagnostics/base");
    texts
        .entry("batch.toml".to_string())
        .and_modify(|batch| batch.insert_str(0, "done = \"done.toml\"\n"));
    let names: Vec<String> = texts.keys().filter(|name| name.ends_with(".toml")).cloned().collect();
    for name in names {
        tally.mutate(&texts, &name, "batch.toml");
    }
    // A line with slopes, and a controller that is told members.
    let texts = folder("fixtures/porch");
    tally.mutate(&texts, "shop/line.toml", "batch.toml");
    tally.mutate(&texts, "shop/lister.toml", "");
    // Files that are read alone.
    let texts = folder("fixtures/boatshed");
    for name in [
        "shop/labels.toml",
        "shop/tickets.toml",
        "shop/bench-log.toml",
        "first-off.toml",
        "shop/bench.toml",
        "office/map.toml",
    ] {
        tally.mutate(&texts, name, "");
    }
    let texts = folder("fixtures/dialects");
    for name in texts.keys() {
        tally.mutate(&texts, name, "");
    }
    let Tally { tried, read } = tally;
    assert!(tried > 5_000 && read > 500 && read < tried / 2, "{tried} tried, {read} read");
}

/// The whole way, from the files to what a person sees: a sample of the mutants.
#[test]
fn what_ends_clean_has_made_what_was_asked_for() {
    let shop = Shop::new();
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    let texts = folder("fixtures/diagnostics/base");
    let (mut tried, mut made) = (0, 0);
    for (name, text) in texts {
        let Some("batch" | "dialect" | "line" | "stock" | "calibration" | "features") =
            name.strip_suffix(".toml")
        else {
            continue;
        };
        let mutants = mutants(&text);
        let every = mutants.len() / 24 + 1;
        // And each record of the dialect without a part.
        let empty = |words: &str| words.starts_with("records.") && words.ends_with(" = []");
        let picked = mutants
            .into_iter()
            .enumerate()
            .filter(|(number, (_, words))| number % every == 0 || empty(words));
        for (_, (mutant, words)) in picked {
            shop.write(&name, &mutant);
            let out = shop.path("out");
            if out.exists() {
                std::fs::remove_dir_all(&out).unwrap();
            }
            let run = shop.run(&["compile", "batch.toml", "--out", "out"]);
            tried += 1;
            made += usize::from(run.code == Some(0));
            assert_eq!(run.code == Some(0), out.join("manifest.json").is_file(), "{words}");
            assert!(run.code == Some(0) || run.err.contains("error["), "{words}: {run:?}");
            assert_eq!(run.found("E0925"), 0, "{words}: {run:?}");
            if name == "dialect.toml" {
                let run = shop.run(&["dialect", "check", "dialect.toml", "--line", "line.toml"]);
                assert_eq!(run.code == Some(0), run.out.contains("proved"), "{words}: {run:?}");
            }
        }
        shop.write(&name, &text);
    }
    assert!(tried > 100 && made > 10, "{tried} tried, {made} made");
}
