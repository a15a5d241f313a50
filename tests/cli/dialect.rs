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
