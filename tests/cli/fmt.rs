//! `fmt`: one form, at once or not at all.

use super::shop::Shop;

const UGLY: &str = "job   SS1 \"small shop\"   revision A\nframe N1 wall profile \"C90x40-0.75\" {\n\
                    # the only one\n      member S1   stud length   2400\n}\n";

#[test]
fn check_only_looks() {
    // E0917
    let shop = Shop::new();
    shop.write("a.members", UGLY);
    let run = shop.exits(1, &["fmt", "--check", "a.members"]);
    assert!(run.finds("E0917").err.contains("`a.members`"), "{}", run.err);
    assert_eq!(shop.read("a.members"), UGLY);
    shop.exits(0, &["fmt", "a.members"]);
    shop.exits(0, &["fmt", "--check", "a.members"]);
}

#[test]
fn rewrites_once_keeps_comments_and_leaves_nothing_beside() {
    let shop = Shop::new();
    shop.write("a.members", UGLY);
    let before = shop.names("");
    let run = shop.exits(0, &["fmt", "a.members"]);
    assert!(run.err.contains("1 file rewritten"), "{}", run.err);
    let once = shop.read("a.members");
    assert!(once.contains("# the only one") && once != UGLY, "{once}");
    let run = shop.exits(0, &["fmt", "a.members"]);
    assert!(run.err.contains("Nothing to change"), "{}", run.err);
    assert_eq!(shop.read("a.members"), once);
    assert_eq!(shop.names(""), before);
}

#[test]
fn byte_order_marks_and_line_ends_settle() {
    let shop = Shop::new();
    shop.write("a.members", UGLY);
    shop.write("b.members", format!("\u{feff}{}", UGLY.replace('\n', "\r\n")));
    shop.exits(0, &["fmt", "a.members", "b.members"]);
    assert_eq!(shop.read("a.members"), shop.read("b.members"));
}

#[test]
fn a_file_with_mistakes_stays_and_the_others_are_done() {
    let shop = Shop::new();
    shop.write("a.members", UGLY);
    let broken = UGLY.replace("length   2400", "length   24 00 (");
    shop.write("b.members", &broken);
    let run = shop.exits(1, &["fmt", "b.members", "a.members"]);
    assert!(run.err.contains("─[b.members:4:"), "{}", run.err);
    assert_eq!(shop.read("b.members"), broken);
    assert_ne!(shop.read("a.members"), UGLY);
    shop.exits(2, &["fmt", "nowhere.members"]).finds("E0901");
    shop.exits(2, &["fmt", "."]).finds("E0902");
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_links_are_followed() {
    use std::os::unix::fs::PermissionsExt;
    let shop = Shop::new();
    let mode =
        |name: &str| std::fs::metadata(shop.path(name)).unwrap().permissions().mode() & 0o777;
    shop.write("real/a.members", UGLY);
    let set = |bits| std::fs::Permissions::from_mode(bits);
    std::fs::set_permissions(shop.path("real/a.members"), set(0o640)).unwrap();
    std::os::unix::fs::symlink(shop.path("real/a.members"), shop.path("a.members")).unwrap();
    shop.exits(0, &["fmt", "a.members"]);
    assert!(std::fs::symlink_metadata(shop.path("a.members")).unwrap().is_symlink());
    assert_ne!(shop.read("real/a.members"), UGLY);
    assert_eq!(mode("real/a.members"), 0o640);
    // Write-protected means it, for the administrator too.
    shop.write("real/a.members", UGLY);
    std::fs::set_permissions(shop.path("real/a.members"), set(0o440)).unwrap();
    shop.exits(2, &["fmt", "a.members"]).finds("E0906");
    assert_eq!(shop.read("real/a.members"), UGLY);
    assert_eq!(shop.names("real"), ["a.members"]);
}
