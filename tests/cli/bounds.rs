//! Bounds in an output folder: with their certificates, proved again by `verify`.

use super::shop::Shop;
use serde_json::Value;

fn bounds(shop: &Shop) -> Vec<Value> {
    let report: Value = serde_json::from_str(&shop.read("out/report.json")).unwrap();
    report["bounds"].as_array().unwrap().clone()
}

#[test]
fn what_is_proved_is_proved_again() {
    let shop = Shop::new();
    // Nothing asks for more head than the line does.
    shop.write(
        "job.members",
        "job SS1 revision A\nprofile C90 = \"C90x40-0.75\"\nframe N1 wall profile C90 {\n\
         member S1..S9 stud length 2400\nmember T1 top plate length 4100\n}\n",
    );
    shop.edit("stock.toml", "defects = [{ from = \"20 m\", to = \"20.4 m\" }]\n", "");
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let bounds = bounds(&shop);
    assert!(bounds.iter().any(|bound| bound["least"] == "strip"), "{bounds:?}");
    assert!(bounds.iter().all(|b| !b["certificate"].as_array().unwrap().is_empty()));
    let told = shop.exits(0, &["verify", "out"]).out;
    let met = bounds.iter().filter(|bound| bound["met"] == true).count();
    assert_eq!(told.matches(": proved again: no plan").count(), met, "{told}");
    assert!(met > 0, "{told}");
}

#[test]
fn e0921_a_bound_that_does_not_hold() {
    let shop = Shop::new();
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    let report = shop.read("out/report.json");
    let first = bounds(&shop)[0].clone();
    let figure = |key: &str| format!("\"{key}\": {}", first[key]);
    let changed = |key: &str, by: i64| format!("\"{key}\": {}", first[key].as_i64().unwrap() + by);
    for (from, to) in [
        (figure("bound_units"), changed("bound_units", 10_000)),
        (figure("plan_nm"), changed("plan_nm", -1)),
        (figure("unit_nm"), changed("unit_nm", 1)),
        (figure("met"), format!("\"met\": {}", first["met"] != true)),
        ("\"frames_whole\": true".to_string(), "\"frames_whole\": 1".to_string()),
        ("\"wanted\": 1".to_string(), "\"wanted\": 2".to_string()),
        ("\"kept_cost_units\": ".to_string(), "\"kept_cost_units\": 9".to_string()),
        ("\"least\": \"strip\"".to_string(), "\"least\": \"time\"".to_string()),
    ] {
        assert!(report.contains(&from), "{from}");
        shop.write("out/report.json", report.replacen(&from, &to, 1));
        let run = shop.exits(1, &["verify", "out"]);
        run.finds("E0921");
        run.finds("E0912");
        assert!(run.out.contains("Products: right"), "{}", run.out);
    }
}
