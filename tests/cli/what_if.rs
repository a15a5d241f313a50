//! `preview` with other stock, bundling or keep length: choices side by side.

use super::shop::Shop;
use serde_json::Value;

#[test]
fn choices_stand_side_by_side() {
    let shop = Shop::new();
    let stock = shop.read("stock.toml");
    shop.write("one.toml", stock.replace("id = \"K1\"", "id = \"K9\""));
    // Half a metre of strip: short.
    shop.write(
        "short.toml",
        stock
            .split("[[coil]]\nid = \"K2\"")
            .next()
            .unwrap()
            .replace("58 m", "4 m")
            .replace("defects = [{ from = \"20 m\", to = \"20.4 m\" }]\n", ""),
    );
    let args = [
        "preview",
        "batch.toml",
        "--with-stock",
        "one.toml",
        "--with-stock",
        "short.toml",
        "--with-bundling",
        "none",
        "--with-bundling",
        "open=2",
        "--with-keep",
        "9 m",
    ];
    let json = shop.exits(0, &[&args[..], &["--format", "json"]].concat()).out;
    let json: Value = serde_json::from_str(&json).unwrap();
    let choices = json["choices"].as_array().unwrap();
    assert_eq!(choices.len(), 3 * 3 * 2);
    let preview = shop.exits(0, &["preview", "batch.toml", "--format", "json"]).out;
    let preview: Value = serde_json::from_str(&preview).unwrap();
    // The first is the batch as it is.
    assert_eq!(choices[0]["used_nm"], preview["total"]["account"]["used_nm"]);
    assert_eq!(choices[0]["bundling"], "frame");
    for choice in choices {
        let short = choice["pieces_short"].as_i64().unwrap() > 0;
        assert_eq!(short, choice["stock"] == "short.toml", "{choice}");
        assert_eq!(short, choice["bound_nm"].is_null(), "{choice}");
        if !short {
            assert!(choice["bound_nm"].as_i64() <= choice["used_nm"].as_i64(), "{choice}");
        }
    }
    let page = shop.exits(0, &args).out;
    assert_eq!(page.lines().filter(|line| line.contains("one.toml  ")).count(), 6, "{page}");
    assert!(page.contains("Least scrap: "), "{page}");
    // What a choice comes to is what the batch comes to that says so.
    shop.edit("batch.toml", "keep = \"2 m\"", "keep = \"9 m\"");
    shop.edit("batch.toml", "bundling = \"frame\"", "bundling = \"none\"");
    shop.edit("batch.toml", "stock.toml", "one.toml");
    let alone = shop.exits(0, &["preview", "batch.toml", "--format", "json"]).out;
    let alone: Value = serde_json::from_str(&alone).unwrap();
    let same = choices.iter().find(|choice| {
        choice["stock"] == "one.toml"
            && choice["bundling"] == "none"
            && choice["keep_nm"] == 9_000_000_000_i64
    });
    assert_eq!(same.unwrap()["used_nm"], alone["total"]["account"]["used_nm"]);
}

#[test]
fn choices_that_are_none_are_told() {
    let shop = Shop::new();
    for (option, value) in [
        ("--with-bundling", "open=0"),
        ("--with-bundling", "open"),
        ("--with-bundling", "pairs"),
        ("--with-keep", "3"),
        ("--with-keep=-3 m", ""),
    ] {
        let args = ["preview", "batch.toml", option, value];
        let args = if value.is_empty() { &args[..3] } else { &args[..] };
        shop.exits(2, args);
    }
    shop.exits(2, &["preview", "batch.toml", "--with-stock", "none.toml"]).finds("E0901");
    shop.write("bad.toml", "[[coil]]\nid = 3\n");
    let run = shop.exits(1, &["preview", "batch.toml", "--with-stock", "bad.toml"]);
    assert!(run.err.contains("bad.toml:2") && run.out.is_empty(), "{run:#?}");
}
