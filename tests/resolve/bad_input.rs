use crate::setting::{Made, make, make_listed, stud};

fn codes(made: &Made) -> Vec<&'static str> {
    made.codes()
}

const FRAME: &str = "frame N1 wall profile \"C90x40-0.75\" {\nmember S1 stud length 2400\n}\n";

fn with(head: &str) -> String {
    format!("job J1\n{head}\n{FRAME}")
}

#[test]
fn empty_and_wrong_files_are_told() {
    assert_eq!(codes(&make(&[("job.members", "")])), ["E0262"]);
    assert_eq!(codes(&make(&[("job.members", "# only a comment\n")])), ["E0262"]);
    assert_eq!(codes(&make(&[("job.members", "job J1\n")])), ["W0273"]);
    assert_eq!(codes(&make_listed(&[("a.members", "")], &["b.members"])), ["E0901"]);
    assert_eq!(codes(&make_listed(&[("a/b.members", "")], &["a"])), ["E0902"]);
    assert_eq!(codes(&make_listed(&[("a.members", "")], &[])), [""; 0]);
}

#[test]
fn includes_that_lead_nowhere_are_told_where_they_stand() {
    for path in [
        "nothing.members",
        "../../../../../../nothing",
        "/nothing",
        "C:\\\\nothing",
        "é",
        "a/./../b//c",
        "..",
        ".",
    ] {
        let made = make(&[("a/job.members", &with(&format!("include \"{path}\"")))]);
        let first = made.codes().first().copied();
        assert!(matches!(first, Some("E0901" | "E0902")), "{path}: {:?}", made.messages());
        let at = made.found[0].span().unwrap();
        assert_eq!(made.sources.text_of(at), format!("\"{path}\""));
        assert_eq!(made.jobs[0].members().count(), 1, "the rest is made all the same");
    }
    // A folder, and nothing at all: the folder of the file itself.
    let folder = [("a/job.members", &*with("include \"shared\"")), ("a/shared/x", "")];
    assert_eq!(codes(&make(&folder)), ["E0902"]);
    let nothing = [("a/job.members", &*with("include \"\""))];
    assert_eq!(codes(&make(&nothing)), ["E0902"]);
}

#[test]
fn names_that_a_missing_file_may_define_are_not_told_as_well() {
    let text = "job J1\ninclude \"recipes.members\"\n\
                frame N1 wall profile C90 {\nmember S1 stud = wall-stud(2400)\n}\n";
    assert_eq!(codes(&make(&[("job.members", text)])), ["E0901"]);
}

#[test]
fn include_circles() {
    let own = make(&[("job.members", &with("include \"job.members\""))]);
    assert_eq!(codes(&own), ["E0260"]);
    assert!(own.found[0].message.contains("includes itself"));
    let two = make(&[
        ("job.members", &with("include \"x/a.members\"")),
        ("x/a.members", "include \"b.members\"\n"),
        ("x/b.members", "include \"../x/a.members\"\n"),
    ]);
    assert_eq!(codes(&two), ["E0260"]);
    assert!(two.found[0].message.contains("x/a.members → x/b.members → x/a.members"));
}

/// E0261: what fixtures would need forty files for.
#[test]
fn files_within_files_within_files() {
    let names: Vec<String> = (0..40).map(|i| format!("f{i}.members")).collect();
    let texts: Vec<String> = (0..40)
        .map(|i| {
            if i == 0 {
                with("include \"f1.members\"")
            } else {
                format!("include \"f{}.members\"\n", i + 1)
            }
        })
        .collect();
    let files: Vec<(&str, &str)> =
        names.iter().zip(&texts).map(|(n, t)| (n.as_str(), t.as_str())).collect();
    assert_eq!(codes(&make(&files)), ["E0261"]);
}

#[test]
fn one_file_by_many_ways_is_read_once() {
    let head = "include \"a.members\"\ninclude \"b.members\"\ninclude \"./c.members\"";
    let made = make(&[
        ("job.members", &with(head)),
        ("a.members", "include \"c.members\"\n"),
        ("b.members", "include \"x/../c.members\"\n"),
        (
            "c.members",
            "let inset = 22\nframe N2 wall profile \"C90x40-0.75\" {\nmember S1 stud length inset\n}\n",
        ),
    ]);
    assert_eq!(codes(&made), [""; 0]);
    assert_eq!(made.jobs[0].frames.len(), 2);
    assert_eq!(made.sources.iter().count(), 4);
}

#[test]
fn arithmetic_that_fails_is_told() {
    for (body, code) in [
        ("hole 12 on web at 1 / 0", "E0221"),
        ("hole 12 on web at 2400 / (3 - 3)", "E0221"),
        ("hole 12 on web at 1/0", "E0221"),
        ("hole 12 on web at 999999999999999 * 999999999999999 * 999999999999999", "E0222"),
        ("hole 12 on web at 11000m", "E0225"),
        ("hole 12 on web at 0.0000001", "E0224"),
        ("hole 12 on web at yes", "E0220"),
        ("hole 12 on web at end + end", "E0220"),
        ("hole 12 on web at 2400mm / 600mm", "E0220"),
        ("hole 12 on web at 2mm * 3mm", "E0220"),
        ("hole 12 on web at 310 tolerance -1/+-2", "E0226"),
        ("hole 12 on web at every 0 from 1 to 2", "E0226"),
        ("hole 12 on web at min([])", "E0220"),
        ("hole 12 on web at round(5, 0)", "E0220"),
        ("hole 12 on web at abs(1, 2)", "E0220"),
        ("if 3 { }", "E0220"),
        ("for x in 3 { hole 12 on web at x }", "E0220"),
        ("tolerance 1; tolerance 2", "E0231"),
    ] {
        let made = stud("", body);
        assert_eq!(made.codes().first(), Some(&code), "{body}: {:?}", made.messages());
        assert_eq!(made.jobs[0].members().count(), 0, "{body}: made all the same");
    }
    let forty = "1234567890123456789012345678901234567890";
    assert_eq!(stud("", &format!("hole 12 on web at {forty}")).codes(), ["E0103"]);
    for length in ["0", "-5", "3 - 4", "0mm"] {
        let text = format!(
            "job J1\nframe N1 wall profile \"C90x40-0.75\" {{\nmember S1 stud length {length}\n}}\n"
        );
        assert_eq!(make(&[("job.members", &text)]).codes(), ["E0226"], "{length}");
    }
}

#[test]
fn recipes_that_come_back_to_themselves() {
    let of = |recipes: &str| {
        let made = stud(recipes, "a(3)");
        assert_eq!(made.jobs[0].members().count(), 0);
        made.codes()
    };
    assert_eq!(of("recipe a(n) { a(n - 1) }"), ["E0211"]);
    assert_eq!(of("recipe a(n) { if n > 0 { a(n - 1) } }"), ["E0211"], "an end is no excuse");
    assert_eq!(of("recipe a(n) { b(n) }\nrecipe b(n) { c(n) }\nrecipe c(n) { a(n) }"), ["E0211"]);
    assert_eq!(
        stud("group g() { h() at 1 }\ngroup h() { g() at 1 }", "g() at 100").codes(),
        ["E0211"]
    );
}

#[test]
fn what_explodes_is_refused() {
    // Each of thirty recipes calls the one before it twice: a thousand million calls.
    let mut doubling = "recipe r0(x) { let unused-here = x }\n".to_string();
    for i in 1..30 {
        let before = i - 1;
        doubling.push_str(&format!("recipe r{i}(x) {{ r{before}(x); r{before}(x + 1) }}\n"));
    }
    let made = stud(&doubling, "r29(1)");
    assert!(made.codes().contains(&"E0213"), "{:?}", made.messages());

    // Lists of lists, doubled forty times.
    let mut lists = "let l0 = [1, 2]\n".to_string();
    for i in 1..40 {
        let before = i - 1;
        lists.push_str(&format!("let l{i} = [l{before}, l{before}]\n"));
    }
    assert_eq!(stud(&lists, "hole 12 on web at l39").codes(), ["E0213"]);

    // Lists run through within each other.
    let list = format!("let l = [{}]", vec!["1"; 1000].join(", "));
    let body = "for a in l { for b in l { for c in l { hole 12 on web at a + b + c } } }";
    assert_eq!(stud(&list, body).codes(), ["E0213"]);

    for body in [
        "hole 12 on web at every 0.001 from 0 to end",
        "hole 12 on web at equal at most 0.001 from 0 to end",
        "hole 12 on web at equal at most 0.0011 from 0 to end round 0.001",
        "hole 12 on web across 1, 2, 3 at every 0.5 from 0 to end",
        "g() at every 1 from 0 to end",
        "g() at every 0.01 from 0 to end",
        "h() at every 10 from 0 to end",
    ] {
        let groups = "group g() { hole 12 on web at 1, 2, 3, 4, 5 }\n\
                      group h() { g() at every 0.1 from 0 to 10 }";
        let made = stud(groups, body);
        assert!(made.codes().contains(&"E0213"), "{body}: {:?}", made.messages());
        assert_eq!(made.jobs[0].members().count(), 0, "{body}");
    }
}

#[test]
fn a_hundred_members_that_explode_end_soon() {
    let list = format!("let l = [{}]", vec!["1"; 1000].join(", "));
    let mut text = format!("job J1\n{list}\nframe N1 wall profile \"C90x40-0.75\" {{\n");
    for i in 0..100 {
        text.push_str(&format!(
            "member S{i} stud length 2400 {{ for a in l {{ for b in l {{ let c{i} = a + b }} }} }}\n"
        ));
    }
    text.push('}');
    let made = make(&[("job.members", &text)]);
    assert!(made.codes().contains(&"E0213"));
    // Fifty take a million steps each; then the run as a whole is at its end.
    let told = made.codes().iter().filter(|code| **code == "E0213").count();
    assert!((2..60).contains(&told), "{told}");
    assert_eq!(made.jobs[0].members().count(), 0);
}

#[test]
fn recipes_within_recipes_have_a_depth() {
    let chain = |n: usize| {
        let mut text = "recipe r0() { hole 12 on web at 310 }\n".to_string();
        for i in 1..n {
            text.push_str(&format!("recipe r{i}() {{ r{}() }}\n", i - 1));
        }
        stud(&text, &format!("r{}()", n - 1)).codes()
    };
    assert_eq!(chain(150), [""; 0]);
    assert_eq!(chain(5_000), ["E0213"]);
}

#[test]
fn jobs_of_too_many_pieces() {
    let of = |member: &str, frame: &str| {
        let text = format!(
            "job J1\nframe N1 wall profile \"C90x40-0.75\" {frame} {{\n{member} stud length 2400 \
             quantity 40000\n}}\n"
        );
        make(&[("job.members", &text)]).codes()
    };
    assert_eq!(of("member S1..S10", "quantity 2500"), [""; 0], "a thousand million");
    assert_eq!(of("member S1..S10", "quantity 2501"), ["E0213"]);
    assert_eq!(of("member S1..S10", "quantity 4000000000"), ["E0227"]);
    let mut text = "job J1\n".to_string();
    for frame in 0..3 {
        text.push_str(&format!(
            "frame N{frame} wall profile \"C90x40-0.75\" {{\nmember S1..S40000 stud length 2400\n}}\n"
        ));
    }
    assert_eq!(make(&[("job.members", &text)]).codes(), ["E0213"]);
}

#[test]
fn many_names_are_found_in_time() {
    let mut text = "job J1\n".to_string();
    for i in 0..20_000 {
        text.push_str(&format!("let n{i} = {i}\nrecipe r{i}() {{ hole 12 on web at n{i} }}\n"));
    }
    text.push_str(FRAME);
    let made = make(&[("job.members", &text)]);
    assert_eq!(made.codes().len(), 20_000, "each recipe is unused, each constant used");
}

#[test]
fn listed_twice_in_two_spellings() {
    let text = with("");
    let made = make_listed(&[("job.members", &text)], &["job.members", "./x/../job.members"]);
    assert_eq!(made.codes(), ["E0265"]);
    assert_eq!(made.jobs[0].frames.len(), 1);
}
