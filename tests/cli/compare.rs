//! Two revisions of a job.

use super::shop::Shop;
use serde_json::{Value, json};

/// The small shop's job, a library beside it, and the job again as `new.members`.
fn shop() -> Shop {
    let shop = Shop::new();
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    shop.write("new.members", shop.read("job.members"));
    shop
}

const COMPARE: [&str; 3] = ["compare", "job.members", "new.members"];

fn compared(shop: &Shop) -> Value {
    let [a, b, c] = COMPARE;
    let found = shop.exits(0, &[a, b, c, "--format", "json"]).out;
    serde_json::from_str(&found).unwrap()
}

#[test]
fn the_same_job_written_another_way_is_unchanged() {
    let shop = shop();
    shop.edit("new.members", "member S1..S4 stud", "# said anew\n  member S1..S4 stud");
    shop.edit("new.members", "dimple on flanges at 45, 1200", "dimple on flanges at 1200, 45");
    let [a, b, c] = COMPARE;
    let run = shop.exits(0, &[a, b, c, "--same"]);
    assert_eq!(run.out, "5 members unchanged, 0 changed, 0 new, 0 gone.\n");
}

#[test]
fn what_changed_and_by_how_much() {
    let shop = shop();
    // A longer plate: what is measured from its end has moved with it and is as it was.
    shop.edit("new.members", "length 2400 {", "length 2412.5 {");
    shop.edit("new.members", "hole 12 on web at 310,", "hole 12 on web at 300,");
    shop.edit("new.members", "revision A", "revision B");
    let [a, b, c] = COMPARE;
    let run = shop.exits(1, &[a, b, c, "--same"]);
    assert_eq!(
        run.out,
        "SS1: revision: A → B\n\
         changed  SS1 N1 B1\n         length: 2400 → 2412.5 (+12.5)\n         \
         hole on web at 310: place: 310 → 300 (-10)\n\
         4 members unchanged, 1 changed, 0 new, 0 gone.\n"
    );
    let found = compared(&shop);
    assert_eq!(found["changed"][0]["changes"][0]["by_nm"], 12_500_000);
    assert_eq!(found["changed"][0]["changes"][1]["by_nm"], -10_000_000);
    let schema: Value =
        serde_json::from_str(&shop.exits(0, &["schema", "comparison"]).out).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    assert!(validator.is_valid(&found), "{found}");
}

/// Members of a frame that is wanted more often are more pieces.
#[test]
fn a_frames_quantity_changes_its_members() {
    let shop = shop();
    let frame = shop.read("job.members");
    let head = frame.lines().find(|line| line.starts_with("frame ")).unwrap().to_string();
    shop.edit("new.members", &head, &head.replace(" {", " quantity 3 {"));
    let [a, b, c] = COMPARE;
    let run = shop.exits(1, &[a, b, c, "--same"]);
    assert_eq!(
        run.out,
        "SS1 N1: quantity: 1 → 3 (+2)\nchanged  SS1 N1: 5 members, 5 pieces → 15\n\
         0 members unchanged, 5 changed, 0 new, 0 gone.\n"
    );
    let found = compared(&shop);
    assert_eq!(
        (found["unchanged"].as_u64(), found["changed"].as_array().unwrap().len()),
        (Some(0), 5)
    );
    let change = &found["changed"][0]["changes"][0];
    assert_eq!((&change["property"], &change["by_number"]), (&json!("pieces"), &json!(2)));
}

/// What differs is said in fields, not in words only.
#[test]
fn features_that_differ_are_named_in_fields() {
    let shop = shop();
    shop.edit(
        "job.members",
        "    hole 12 on web at 310,",
        "    lip-notch at 600 .. 648\n    hole 12 on web at 310,",
    );
    shop.write("new.members", shop.read("job.members"));
    shop.edit("new.members", "600 .. 648", "930 .. 978");
    shop.edit("new.members", "hole 12 on web at 310,", "hole 12 on web at 300,");
    let found = compared(&shop);
    let changes = found["changed"][0]["changes"].as_array().unwrap();
    let of = |property: &str| changes.iter().find(|c| c["property"] == property).unwrap();
    let spot = |datum: &str, nm: i64| json!({ "datum": datum, "offset_nm": nm });
    let hole = of("place");
    assert_eq!(hole["feature"]["kind"], "hole");
    assert_eq!(hole["feature"]["faces"], json!(["web"]));
    assert_eq!(hole["feature"]["at"], spot("start", 310_000_000));
    let notch = of("from");
    assert_eq!(notch["feature"]["from"], spot("start", 600_000_000));
    assert_eq!(notch["feature"]["to"], spot("start", 648_000_000));
    assert_eq!((&of("to")["by_nm"], &notch["by_nm"]), (&json!(330_000_000), &json!(330_000_000)));
    let schema: Value =
        serde_json::from_str(&shop.exits(0, &["schema", "comparison"]).out).unwrap();
    assert!(jsonschema::validator_for(&schema).unwrap().is_valid(&found), "{found}");
    // A range that has moved past itself has no size below nought.
    shop.edit("new.members", "930 .. 978", "930 .. 648");
    let [a, b, c] = COMPARE;
    let run = shop.run(&[a, b, c]);
    assert!(!run.out.contains("-282") && !run.out.contains("size"), "{}", run.out);
}

#[test]
fn new_and_gone_members_and_features() {
    let shop = shop();
    shop.edit("new.members", "S1..S4", "S2..S5");
    shop.edit(
        "new.members",
        "    hole 12 on web at 310, end - 310\n",
        "    hole 12 on web at 310\n",
    );
    let found = compared(&shop);
    let only = |side: &str| -> Vec<&str> {
        found[side].as_array().unwrap().iter().map(|m| m["mark"].as_str().unwrap()).collect()
    };
    assert_eq!((only("new"), only("gone")), (vec!["S5"], vec!["S1"]));
    assert_eq!(found["unchanged"], 3);
    assert_eq!(found["gone"][0]["length_nm"], 2_386_000_000_i64);
    let change = &found["changed"][0]["changes"][0];
    assert_eq!(change["what"], "hole on web at end - 310");
    assert_eq!((change["old"].is_string(), &change["new"]), (true, &json!(null)));
}

#[test]
fn a_revision_with_a_mistake_is_not_compared() {
    let shop = shop();
    shop.edit("new.members", "hole 12", "hoel 12");
    let run = shop.exits(1, &COMPARE);
    assert_eq!(run.out, "");
    assert!(run.err.contains("new.members"), "{}", run.err);
    shop.exits(2, &["compare", "job.members", "nowhere.members"]);
}
