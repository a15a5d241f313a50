//! `dialect check`: what a description proves on a line, and what it writes.

use super::shop::Shop;

/// The small shop with a library beside its line.
fn shop() -> Shop {
    let shop = Shop::new();
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    shop
}

#[test]
fn what_is_proved_is_shown_with_a_sample() {
    let shop = shop();
    for name in ["dialect.toml", "shipped:stop-list", "shipped:rs-274"] {
        let run = shop.exits(0, &["dialect", "check", name, "--line", "line.toml"]);
        assert!(run.out.contains(": proved.\n") && run.out.contains("SAMPLE-1"), "{}", run.out);
        assert_eq!(run.err, "");
    }
    let run = shop.exits(0, &["dialect", "check", "dialect.toml", "--line", "line.toml"]);
    insta::assert_snapshot!("dialect_check", run.out);
    // The line may lie elsewhere than its library.
    shop.write("elsewhere/line.toml", shop.read("line.toml"));
    let args = ["dialect", "check", "dialect.toml", "--line", "elsewhere/line.toml"];
    shop.exits(2, &args).finds("E0901");
    shop.exits(0, &[&args[..], &["--library", "library.toml"]].concat());
}

#[test]
fn what_is_not_proved_is_told_at_its_place() {
    let shop = shop();
    let args = ["dialect", "check", "dialect.toml", "--line", "line.toml"];
    let stands = shop.read("dialect.toml");
    // Decimals that the line's increment does not fit; two records that begin alike.
    shop.edit("dialect.toml", "decimals = 3", "decimals = 0");
    let run = shop.exits(1, &args);
    run.finds("E0716");
    assert!(run.out.is_empty() && run.err.contains("dialect.toml:"), "{}", run.err);
    shop.write("dialect.toml", stands);
    shop.edit("dialect.toml", "'trim;'", "'stop;'");
    assert!(shop.exits(1, &args).out.is_empty());
}

/// Two controllers of the demo, described by hand as a shop would.
#[test]
fn the_controllers_of_the_demo_take_its_programs() {
    for (demo, dialect, head) in [
        ("boatshed", "shop/bench.toml", "bench run /boatshed-01/ of /boatshed/"),
        ("slip-office", "shop/counter.toml", "paper:slip-office-01\r\nbatch:slip-office\r\n"),
    ] {
        let shop = Shop::new();
        shop.copy_from(&format!("fixtures/{demo}"), demo);
        let line = format!("{demo}/shop/line.toml");
        shop.exits(0, &["dialect", "check", &format!("{demo}/{dialect}"), "--line", &line]);
        let batch = format!("{demo}/batch.toml");
        shop.edit(&batch, "shipped:stop-list", dialect);
        shop.exits(0, &["compile", &batch, "--out", "out"]);
        shop.exits(0, &["verify", "out"]);
        let programs = shop.files("out/programs");
        let first = programs.values().next().unwrap();
        let text = String::from_utf8_lossy(first);
        assert!(text.starts_with(head), "{}", &text[..80]);
    }
}
