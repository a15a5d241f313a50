//! `config show`: what holds, and where it is said.

use super::shop::Shop;
use serde_json::Value;

fn shown(shop: &Shop, args: &[&str]) -> Vec<Value> {
    let mut all = vec!["config", "show", "batch.toml", "--format", "json"];
    all.extend(args);
    let run = shop.exits(0, &all);
    let mut shown: Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(shown["batch"], "small-shop");
    let Value::Array(settings) = shown["settings"].take() else { panic!("{}", run.out) };
    settings
}

#[test]
fn each_setting_names_its_file_and_line_or_says_default() {
    let shop = Shop::new();
    let run = shop.exits(0, &["config", "show", "batch.toml", "effort", "units", "line.feed"]);
    insta::assert_snapshot!(run.out);
}

/// Every key that a file has is listed once, at the line where it stands, with what stands there.
#[test]
fn nothing_that_is_said_is_left_out() {
    let shop = Shop::new();
    let settings = shown(&shop, &[]);
    let files = [
        "batch.toml",
        "features.toml",
        "profiles.toml",
        "rules.toml",
        "line.toml",
        "calibration.toml",
        "stock.toml",
        "dialect.toml",
    ];
    for file in files {
        let text = shop.read(file);
        let mut depth = 0_i32;
        for (number, line) in text.lines().enumerate() {
            // Records of the dialect run over lines.
            let key = if depth == 0 { line.split_once(" = ") } else { None };
            depth += i32::try_from(line.matches('[').count()).unwrap()
                - i32::try_from(line.matches(']').count()).unwrap();
            let Some((key, value)) = key else { continue };
            let key = key.trim();
            let at: Vec<&Value> = settings
                .iter()
                .filter(|one| one["file"] == file && one["line"] == number + 1)
                .collect();
            let [one] = at.as_slice() else { panic!("{file}:{}: {at:?}", number + 1) };
            assert!(one["key"].as_str().unwrap().ends_with(key), "{file}: {key}: {one}");
            if depth == 0 {
                assert_eq!(one["value"], value.trim_matches('"'), "{file}: {key}");
            }
        }
    }
    let said = settings.iter().filter(|one| one["from"] == "file");
    assert!(said.clone().all(|one| files.contains(&one["file"].as_str().unwrap())));
    assert!(said.count() > 150);
}

/// What is shown as the default is what holds: written into the file it changes nothing.
#[test]
fn defaults_written_out_change_nothing() {
    let shop = Shop::new();
    let preview = ["preview", "batch.toml", "--format", "json"];
    let before = shop.exits(0, &preview).out;
    let settings = shown(&shop, &[]);
    // Those that say in words what holds have no spelling of their own.
    let spelt = |value: &str| match value {
        "0" | "1" | "false" => Some(value.to_string()),
        "in-phases" | "formed" | "0 mm" | "0 s" | "frame" | "as-listed" | "mm" | "keep"
        | "minus" | "." => Some(format!("\"{value}\"")),
        _ => None,
    };
    let mut tried = 0;
    for one in settings.iter().filter(|one| one["from"] == "default") {
        let key = one["key"].as_str().unwrap();
        let Some(value) = spelt(one["value"].as_str().unwrap()) else { continue };
        let (table, name) = key.rsplit_once('.').unwrap_or(("", key));
        let beside = settings.iter().find(|other| {
            other["from"] == "file"
                && other["key"].as_str().unwrap().rsplit_once('.').map_or("", |(t, _)| t) == table
        });
        let beside = beside.unwrap_or_else(|| panic!("nothing is said beside {key}"));
        let file = beside["file"].as_str().unwrap();
        let was = shop.read(file);
        let mut lines: Vec<String> = was.lines().map(str::to_string).collect();
        let line = usize::try_from(beside["line"].as_u64().unwrap()).unwrap();
        lines.insert(line - 1, format!("{name} = {value}"));
        shop.write(file, lines.join("\n") + "\n");
        let run = shop.exits(0, &preview);
        assert_eq!(run.out, before, "{key} = {value}");
        let now = shown(&shop, &[key]);
        assert_eq!((&now[0]["from"], &now[0]["value"]), (&"file".into(), &one["value"]), "{key}");
        shop.write(file, was);
        tried += 1;
    }
    assert!(tried > 15, "only {tried} defaults were tried");
}

/// A type of the shop's own stands for the shipped one, which is not shown.
#[test]
fn what_another_file_overrules_is_not_shown() {
    let shop = Shop::new();
    shop.edit("batch.toml", "[library]", "[library]\nshipped = [\"usual-features\"]");
    let settings = shown(&shop, &["feature"]);
    let of = |key: &str| {
        let of: Vec<&Value> = settings.iter().filter(|one| one["key"] == key).collect();
        let [one] = of.as_slice() else { panic!("{key}: {of:?}") };
        one["file"].as_str().unwrap().to_string()
    };
    assert_eq!(of("feature.dimple.tolerance"), "features.toml");
    assert_eq!(of("feature.slot.tolerance"), "shipped/usual-features.toml");
    let folder = shop.path("").file_name().unwrap().to_str().unwrap().to_string();
    let from_above = format!("../{folder}/batch.toml");
    let run = shop.exits(0, &["config", "show", &from_above, "feature"]);
    assert!(run.out.contains(&format!("  ../{folder}/features.toml:")), "{}", run.out);
    assert!(run.out.contains("  shipped/usual-features.toml:"), "{}", run.out);
}

/// E0923
#[test]
fn a_key_that_leads_nowhere_is_refused() {
    let shop = Shop::new();
    let run = shop.exits(2, &["config", "show", "batch.toml", "line.feed.sped"]);
    assert!(run.finds("E0923").err.contains("did you mean `line.feed.speed`?"), "{}", run.err);
    assert!(run.out.is_empty());
    shop.edit("line.toml", "speed = \"60 m/min\"", "speed = \"fast\"");
    shop.exits(1, &["config", "show", "batch.toml"]).finds("E0305");
}
