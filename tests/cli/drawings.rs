//! `draw` as a detailer runs it.

use super::shop::Shop;

fn office() -> Shop {
    let shop = Shop::new();
    shop.write("library.toml", "features = [\"features.toml\"]\nprofiles = [\"profiles.toml\"]\n");
    shop
}

const DRAW: [&str; 4] = ["draw", "job.members", "--library", "library.toml"];

fn draw(more: &[&'static str]) -> Vec<&'static str> {
    DRAW.into_iter().chain(more.iter().copied()).collect()
}

/// A drawing needs no line and no batch, and is made again in its place.
#[test]
fn one_member_is_drawn_and_drawn_again() {
    let shop = office();
    for name in ["line.toml", "batch.toml", "stock.toml"] {
        std::fs::remove_file(shop.path(name)).unwrap();
    }
    let one = draw(&["--mark", "B1", "--out", "b1.dxf"]);
    let run = shop.exits(0, &one);
    assert_eq!(run.out, "Wrote b1.dxf: 1 member in 1 drawing.\n");
    let first = shop.read("b1.dxf");
    assert!(first.starts_with("999\ncoilwright drawing\n0\nSECTION\n"), "{first}");
    shop.exits(0, &one);
    assert_eq!(shop.read("b1.dxf"), first);
    // The member changes, and its drawing with it.
    shop.edit("job.members", "length 2400", "length 2500");
    shop.exits(0, &one);
    assert_ne!(shop.read("b1.dxf"), first);
    // What is no drawing of ours stays, an input above all.
    shop.write("b1.svg", "<svg/>");
    shop.exits(2, &draw(&["--mark", "B1", "--out", "b1.svg"])).finds("E0907");
    assert_eq!(shop.read("b1.svg"), "<svg/>");
    shop.exits(2, &draw(&["--mark", "B1", "--form", "svg", "--out", "b1.dxf"])).finds("E0907");
    std::fs::copy(shop.path("job.members"), shop.path("job.dxf")).unwrap();
    let over = ["draw", "job.dxf", "--library", "library.toml", "--all", "--out", "job.dxf"];
    let refused = shop.run(&over);
    assert_ne!(refused.code, Some(0));
    assert_eq!(shop.read("job.dxf"), shop.read("job.members"));
}

/// E1202
#[test]
fn several_drawings_need_a_folder() {
    let shop = office();
    shop.exits(1, &draw(&["--all", "--out", "all.dxf"])).finds("E1202");
    assert!(!shop.path("all.dxf").exists());
    let run = shop.exits(0, &draw(&["--all", "--form", "svg", "--out", "drawings"]));
    assert!(run.out.ends_with("drawings.csv says which is drawn where.\n"), "{}", run.out);
    let names = shop.names("drawings");
    assert!(names.contains(&"drawings.csv".to_string()), "{names:?}");
    let plain = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
    assert!(names.iter().all(|name| name.chars().all(plain)), "{names:?}");
    assert!(names.iter().filter(|name| name.ends_with(".svg")).count() > 1, "{names:?}");
    // Nothing is put into a folder that is there, and nothing beside it is left.
    shop.exits(2, &draw(&["--all", "--out", "drawings"])).finds("E1105");
    assert_eq!(shop.names("drawings"), names);
    assert_eq!(shop.names("").iter().filter(|name| name.starts_with('.')).count(), 0);
}

/// E1201
#[test]
fn what_is_not_there_is_not_drawn() {
    let shop = office();
    let run = shop.exits(1, &draw(&["--mark", "b1", "--out", "b1.dxf"]));
    run.finds("E1201");
    assert!(run.err.contains("did you mean mark `B1`?"), "{}", run.err);
    shop.exits(1, &draw(&["--frame", "N7", "--mark", "B1", "--out", "b1.dxf"])).finds("E1201");
    assert!(!shop.path("b1.dxf").exists());
    assert_eq!(shop.run(&draw(&["--out", "b1.dxf"])).code, Some(2), "nothing is asked for");
    // A member that is wrong is drawn by nobody.
    shop.edit("job.members", "length 2400", "length 24");
    shop.exits(1, &draw(&["--mark", "B1", "--out", "b1.dxf"]));
    assert!(!shop.path("b1.dxf").exists());
}
