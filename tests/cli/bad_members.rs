//! Members that mean nothing, loop, or explode: each refused in words, at its place, in time.

use super::shop::Shop;
use std::time::{Duration, Instant};

const HEAD: &str = "job J \"bad\" revision A\nprofile C = \"C90x40-0.75\"\n";

#[test]
fn members_that_cannot_be_are_refused_in_time() {
    let member = |body: &str| format!("frame N1 wall profile C {{\n  member S1 stud {body}\n}}\n");
    let deep = format!("length {}1{}", "(".repeat(3_000), ")".repeat(3_000));
    let blocks = format!("{}{}", "if 1 == 1 {\n".repeat(3_000), "}\n".repeat(3_000));
    let doubling: String = (0..40)
        .map(|i| format!("recipe r{}() {{\n  r{i}()\n  r{i}()\n}}\n", i + 1))
        .collect::<String>();
    let doubling = format!("recipe r0() {{\n  dimple on flanges at 22\n}}\n{doubling}");
    for (what, text) in [
        ("division by zero", member("length 2400 / (3 - 3)")),
        ("a negative length", member("length -2400")),
        ("no length at all", member("length 0")),
        ("forty digits", member(&format!("length {}", "9".repeat(40)))),
        ("forty decimals", member(&format!("length 0.{}", "3".repeat(40)))),
        ("a third of a nanometre", member("length 1000 / 3")),
        ("beyond ten kilometres", member("length 11000 m")),
        ("a negative position", member("length 2400 {\n    dimple on flanges at -22\n  }")),
        ("a feature every nought", member("length 2400 {\n    dimple on flanges at every 0\n  }")),
        (
            "a recipe that calls itself",
            format!("recipe a(x) {{\n  a(x)\n}}\n{}", member("= a(2400)")),
        ),
        (
            "recipes that call each other",
            format!("recipe a(x) {{\n  b(x)\n}}\nrecipe b(x) {{\n  a(x)\n}}\n{}", member("= a(1)")),
        ),
        ("recipes that double", format!("{doubling}{}", member("length 2400 {\n    r40()\n  }"))),
        (
            "a billion members",
            "frame N1 wall profile C {\n  member S1..S1000000000 stud length 2400\n}\n".into(),
        ),
        ("deep brackets", member(&deep)),
        ("deep blocks", member(&format!("length 2400 {{\n{blocks}}}"))),
        ("a line end in a text", member("length 2400 mark \"a\nb\"")),
        (
            "a frame that never ends",
            "frame N1 wall profile C {\n  member S1 stud length 2400 {".into(),
        ),
    ] {
        let shop = Shop::new();
        shop.write("job.members", format!("{HEAD}{text}"));
        let began = Instant::now();
        let run = shop.exits(1, &["check", "batch.toml"]);
        assert!(began.elapsed() < Duration::from_secs(30), "{what}: {:?}", began.elapsed());
        assert!(run.err.contains("─[job.members:"), "{what}: {}", run.err);
        assert!(run.err.contains("help: "), "{what}: {}", run.err);
    }
}

#[test]
fn includes_that_meet_themselves_or_lead_nowhere() {
    let shop = Shop::new();
    shop.write("job.members", format!("{HEAD}include \"parts/a.members\"\n"));
    shop.write("parts/a.members", "include \"b.members\"\n");
    shop.write("parts/b.members", "include \"../job.members\"\n");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(run.err.contains("members:"), "{}", run.err);
    shop.write("parts/b.members", "include \"../lost.members\"\n");
    let run = shop.exits(1, &["check", "batch.toml"]);
    assert!(run.finds("E0901").err.contains("─[parts/b.members:1:"), "{}", run.err);
    shop.write("parts/b.members", "include \"../parts\"\n");
    shop.exits(1, &["check", "batch.toml"]).finds("E0902");
    // Nothing to do with the names: with a file in its place it is whole.
    shop.write("parts/b.members", "recipe nothing() {\n}\n");
    let job = "frame N1 wall profile C {\n  member S1 stud length 2400\n}\n";
    shop.write("job.members", format!("{HEAD}include \"parts/a.members\"\n{job}"));
    shop.exits(0, &["compile", "batch.toml", "--out", "out"]);
    assert!(shop.path("out/inputs/parts/b.members").is_file());
    shop.exits(0, &["verify", "out"]);
}
