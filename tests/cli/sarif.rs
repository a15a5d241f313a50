//! Findings as SARIF, against the standard's own schema where it lies here: `.ci/run` gets it from
//! a package and names it in `COILWRIGHT_SARIF_SCHEMA`.

use super::shop::Shop;
use serde_json::Value;

#[test]
fn logs_follow_the_schema_of_the_standard() {
    let Some(path) = std::env::var_os("COILWRIGHT_SARIF_SCHEMA") else {
        println!("skipped: COILWRIGHT_SARIF_SCHEMA names no schema");
        return;
    };
    let mut schema: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    assert!(schema["title"].as_str().unwrap().contains("Version 2.1.0"));
    // Its pattern of a language has a bracket too many, which a strict reader refuses.
    for of in ["run", "toolComponent"] {
        let language = &mut schema["definitions"][of]["properties"]["language"];
        assert!(language.as_object_mut().unwrap().remove("pattern").is_some());
    }
    let schema = jsonschema::validator_for(&schema).unwrap();
    let mut seen = 0;
    // Whatever the fixtures of findings find: errors, warnings, notes, in several files, in none.
    let fixtures = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/diagnostics");
    let mut names: Vec<_> =
        std::fs::read_dir(fixtures).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    for path in names.iter().filter(|path| path.extension().is_some_and(|e| e == "wrong")) {
        let shop = Shop::new();
        let text = std::fs::read_to_string(path).unwrap();
        for file in text.split("\n-- ").map(|file| file.trim_start_matches("-- ")) {
            let Some((name, content)) = file.split_once(" --\n") else { continue };
            shop.write(name, content);
        }
        let run = shop.run(&["--diagnostics", "sarif", "check", "batch.toml"]);
        let log: Value = serde_json::from_str(&run.err).unwrap();
        let faults: Vec<String> = schema.iter_errors(&log).map(|fault| fault.to_string()).collect();
        assert!(faults.is_empty(), "{}: {faults:#?}\n{}", path.display(), run.err);
        seen += log["runs"][0]["results"].as_array().unwrap().len();
    }
    let nowhere = Shop::new().run(&["--diagnostics", "sarif", "check", "nowhere.toml"]);
    assert!(schema.is_valid(&serde_json::from_str(&nowhere.err).unwrap()), "{}", nowhere.err);
    let mut wrong: Value = serde_json::from_str(&nowhere.err).unwrap();
    wrong["runs"][0]["results"][0]["level"] = "dreadful".into();
    assert!(!schema.is_valid(&wrong), "a schema that takes anything proves nothing");
    println!("{seen} findings in logs that follow the schema");
    assert!(seen > 200, "{seen}");
}
