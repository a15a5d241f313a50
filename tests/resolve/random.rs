//! Random programs resolve or are refused: never a panic, never without end, the same each time.

use crate::setting::{LIBRARY, Made, make};
use coilwright::diagnostic::any_error;
use coilwright::member::hash::content_hash;
use coilwright::member::model::{Feature, Place, Shape};
use coilwright::quantity::Length;
use proptest::prelude::*;

fn number() -> impl Strategy<Value = String> {
    prop_oneof![
        6 => (0..2400i64).prop_map(|n| n.to_string()),
        2 => (-3..9i64).prop_map(|n| format!("({n})").replace("(-", "(0 - ")),
        1 => (1..99i64, 1..64i64).prop_map(|(a, b)| format!("{a} / {b}")),
        1 => Just("999999999999999".to_string()),
        1 => (1..40i64).prop_map(|n| format!("{n}in")),
        1 => Just("0.000001".to_string()),
    ]
}

fn expression() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        4 => number(),
        3 => prop::sample::select(vec!["a", "b", "n", "x", "yes", "no", "end", "middle", "start", "u"])
            .prop_map(str::to_string),
        1 => Just("[]".to_string()),
    ];
    leaf.prop_recursive(3, 12, 3, |inner| {
        prop_oneof![
            5 => (inner.clone(), prop::sample::select(vec!["+", "-", "*", "/"]), inner.clone())
                .prop_map(|(a, op, b)| format!("({a} {op} {b})")),
            1 => (
                inner.clone(),
                prop::sample::select(vec!["<", "<=", ">", "==", "!=", "and", "or"]),
                inner.clone()
            )
                .prop_map(|(a, op, b)| format!("({a} {op} {b})")),
            1 => prop::collection::vec(inner.clone(), 0..4)
                .prop_map(|items| format!("[{}]", items.join(", "))),
            1 => (
                prop::sample::select(vec!["min", "max", "round", "round-up", "abs", "count", "sin"]),
                prop::collection::vec(inner.clone(), 0..3)
            )
                .prop_map(|(name, args)| format!("{name}({})", args.join(", "))),
            1 => inner.prop_map(|a| format!("-{a}")),
        ]
    })
}

fn spot() -> impl Strategy<Value = String> {
    let e = expression;
    prop_oneof![
        4 => e(),
        2 => (e(), e()).prop_map(|(a, b)| format!("{a} .. {b}")),
        1 => (e(), e(), e()).prop_map(|(s, a, b)| format!("every {s} from {a} to {b}")),
        1 => (e(), e(), e()).prop_map(|(s, a, b)| format!("equal at most {s} from {a} to {b} round 0.5")),
    ]
}

fn feature() -> impl Strategy<Value = String> {
    let kind = prop::sample::select(vec![
        "hole 12 on web",
        "hole on web",
        "dimple on flanges",
        "dimple",
        "lip-notch",
        "lip-notch 48",
        "slot 60 x 30 on web",
        "service-hole",
        "swage",
        "flange-notch on left flange",
        "nothing",
    ]);
    let places = prop_oneof![
        4 => prop::collection::vec(spot(), 1..3).prop_map(|s| format!("at {}", s.join(", "))),
        2 => expression().prop_map(|e| format!(", both ends at {e}")),
        1 => Just("both ends".to_string()),
        1 => Just("start".to_string()),
    ];
    let tolerance = prop_oneof![
        3 => Just(String::new()),
        1 => expression().prop_map(|e| format!(" tolerance {e}")),
    ];
    (kind, places, tolerance).prop_map(|(k, p, t)| format!("{k} {p}{t}").replace(" ,", ","))
}

fn statement() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        6 => feature(),
        1 => expression().prop_map(|e| format!("let n = {e}")),
        1 => expression().prop_map(|e| format!("length {e}")),
        1 => (expression(), expression()).prop_map(|(a, b)| format!("end slope {a} : {b}")),
        1 => (prop::sample::select(vec!["r", "q", "nobody"]), prop::collection::vec(expression(), 0..3))
            .prop_map(|(r, args)| format!("{r}({})", args.join(", "))),
        1 => (prop::collection::vec(spot(), 1..3)).prop_map(|s| format!("g(12) at {}", s.join(", "))),
        1 => expression().prop_map(|e| format!("g({e}), both ends at 200")),
        1 => prop::sample::select(vec!["turnable", "not turnable", "quantity 2", "profile \"U92x40-0.75\""])
            .prop_map(str::to_string),
    ];
    leaf.prop_recursive(2, 6, 3, |inner| {
        let block = prop::collection::vec(inner, 0..3).prop_map(|b| b.join("\n"));
        prop_oneof![
            (expression(), block.clone(), block.clone())
                .prop_map(|(c, a, b)| format!("if {c} {{\n{a}\n}} else {{\n{b}\n}}")),
            (expression(), block).prop_map(|(l, b)| format!("for x in {l} {{\n{b}\n}}")),
        ]
    })
}

fn program() -> impl Strategy<Value = String> {
    let body = || prop::collection::vec(statement(), 0..4).prop_map(|b| b.join("\n"));
    (body(), body(), body(), body(), expression(), expression()).prop_map(
        |(r, q, g, member, u, length)| {
            format!(
                "job J1\nlet u = {u}\nrecipe r(a, b = a) {{\n{r}\n}}\nrecipe q(x) {{\n{q}\n}}\n\
                 group g(a) {{\n{g}\n}}\n\
                 frame N1 wall profile \"C90x40-0.75\" {{\nlet n = 3\n\
                 member S1..S3 stud length {length} = r(22) {{\n{member}\n}}\n\
                 member T1 stud length 2400 {{\n{member}\n}}\n\
                 member T2 stud = q(30)\nmember T3 stud = q(30)\n}}\n"
            )
        },
    )
}

fn hash(shape: &Shape) -> [u8; 16] {
    let profile = &LIBRARY.profile(shape.profile).unwrap().name;
    content_hash(shape, profile, |id| LIBRARY.feature(id).map_or("", |f| &f.name))
}

fn nominal(feature: &Feature, length: Length) -> Length {
    match feature.place {
        Place::Point { at, .. } => at.on(length).distance(),
        Place::Range { from, .. } => from.on(length).distance(),
        Place::End { .. } => feature.place.extent(feature.outline, length).0.distance(),
    }
}

/// What holds of whatever was made.
fn sound(made: &Made) {
    for job in &made.jobs {
        for (_, member) in job.members() {
            let shape = &member.shape;
            assert!(shape.length > Length::ZERO && member.quantity > 0);
            assert!(shape.features.len() <= 10_000);
            let mut before = None;
            for feature in &shape.features {
                assert!(!feature.faces.is_empty());
                let tightest = feature.place.tightest();
                assert!(!tightest.minus.is_negative() && !tightest.plus.is_negative());
                let key = (nominal(feature, shape.length), feature.kind, feature.faces);
                assert!(before.is_none_or(|b| b <= key), "not sorted");
                before = Some(key);
            }
            for (i, a) in shape.features.iter().enumerate() {
                for b in shape.features.iter().skip(i + 1).take(8) {
                    let twice = (a.kind, a.across, a.outline) == (b.kind, b.across, b.outline)
                        && a.place.extent(a.outline, shape.length)
                            == b.place.extent(b.outline, shape.length)
                        && a.faces.intersects(b.faces);
                    assert!(!twice, "one thing twice");
                }
            }
        }
        let written: usize = job.frames.iter().map(|f| f.members.len()).sum();
        assert!(written == 6 || any_error(&made.found), "left out without a word");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    #[test]
    fn programs_resolve_or_are_refused(text in program()) {
        let made = make(&[("job.members", &text)]);
        sound(&made);
        let again = make(&[("job.members", &text)]);
        prop_assert_eq!(&made.jobs, &again.jobs);
        prop_assert_eq!(&made.found, &again.found);
        for (a, b) in made.jobs.iter().zip(&again.jobs) {
            for ((_, a), (_, b)) in a.members().zip(b.members()) {
                prop_assert_eq!(hash(&a.shape), hash(&b.shape));
            }
        }
    }

    /// Real files with words dropped, doubled and exchanged.
    #[test]
    fn damaged_files_resolve_or_are_refused(
        which in 0..5usize,
        changes in prop::collection::vec((0..4u8, any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..6),
    ) {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/language");
        let names = ["wall-job", "trusses", "floor-panel", "inch-job", "ugly"];
        let read = |name: &str| std::fs::read_to_string(folder.join(format!("{name}.members"))).unwrap();
        let text = read(names[which]);
        let mut words: Vec<&str> = text.split_inclusive([' ', '\n', ',', '(', ')']).collect();
        for (kind, at, other) in changes {
            let (at, other) = (at.index(words.len()), other.index(words.len()));
            match kind {
                0 => { words.remove(at); }
                1 => words.swap(at, other),
                2 => words.insert(at, words[other]),
                _ => words[at] = words[other],
            }
            if words.is_empty() { break }
        }
        let recipes = read("stud-recipes");
        let text: String = words.concat();
        make(&[("job.members", &text), ("stud-recipes.members", &recipes)]);
    }
}
