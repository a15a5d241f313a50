//! Random members that make sense, and the same members written out plainly: one statement for
//! each feature, without recipe, pattern or default. Both must come to the same shapes.

use crate::setting::{LIBRARY, make};
use coilwright::library::model::{Form, OutlineForm};
use coilwright::member::hash::content_hash;
use coilwright::member::model::{EndShape, Faces, Feature, Outline, Place, Shape};
use coilwright::quantity::Tolerance;
use proptest::prelude::*;

fn pick(words: &'static [&'static str]) -> impl Strategy<Value = String> {
    prop::sample::select(words).prop_map(str::to_string)
}

/// A length a little into the member.
fn offset() -> impl Strategy<Value = String> {
    prop_oneof![
        4 => (20..700i64).prop_map(|n| n.to_string()),
        2 => pick(&["a", "a + 35", "h / 8", "2 * a - 7", "round(h / 7, 0.5)", "min(a, 90)", "max(n)"]),
        1 => (1..20i64).prop_map(|n| format!("{n}in")),
    ]
}

fn position() -> impl Strategy<Value = String> {
    prop_oneof![
        3 => offset(),
        2 => offset().prop_map(|o| format!("end - ({o})")),
        1 => offset().prop_map(|o| format!("middle + ({o}) / 2")),
    ]
}

fn places() -> impl Strategy<Value = String> {
    let spot = prop_oneof![
        4 => position(),
        1 => pick(&["[a, h / 2, end - a]", "n", "every 173 from a to end - 22", "every a + 90 from 20 to h - 9"]),
        1 => (50..900i64, offset())
            .prop_map(|(most, o)| format!("equal at most {most} from {o} to end - 15 round 0.5")),
    ];
    prop_oneof![
        3 => prop::collection::vec(spot, 1..3).prop_map(|s| format!("at {}", s.join(", "))),
        1 => offset().prop_map(|o| format!("both ends at {o}")),
    ]
}

fn tolerance() -> impl Strategy<Value = String> {
    pick(&["", "", " tolerance 0.5", " tolerance -0.25/+1"])
}

fn feature() -> impl Strategy<Value = String> {
    let point = pick(&[
        "hole 12 on web",
        "hole 10 on left flange",
        "hole a on web across 0 - 15, 15",
        "dimple on flanges",
        "dimple on right flange across 4",
        "service-hole",
    ]);
    let range = (position(), 1..40i64, pick(&["", " tolerance 0.5 .. -0/+1"]))
        .prop_map(|(at, n, t)| format!("lip-notch at {at} .. {at} + {n}{t}"));
    prop_oneof![
        6 => (point, places(), tolerance()).prop_map(|(k, p, t)| {
            let comma = if p.starts_with("both") { "," } else { "" };
            format!("{k}{comma} {p}{t}")
        }),
        2 => range,
        1 => (8..60i64, places(), tolerance())
            .prop_map(|(n, p, t)| {
                let comma = if p.starts_with("both") { "," } else { "" };
                format!("lip-notch {} on left lip{comma} {p}{t}", 2 * n)
            }),
        1 => pick(&["swage both ends", "flange-notch start", "cut 30 end", "swage end tolerance 1"]),
        1 => pick(&["bolts(11) at h / 2", "bolts(9), both ends at 210", "bolts(a / 2) at n"]),
    ]
}

fn statement() -> impl Strategy<Value = String> {
    prop_oneof![
        8 => feature(),
        1 => (offset(), feature(), feature())
            .prop_map(|(o, a, b)| format!("if h > 4 * ({o}) and yes {{\n{a}\n}} else {{\n{b}\n}}")),
        1 => pick(&[
            "for x in n { dimple on flanges at x + 11, end - x }",
            "inner(a)",
            "inner(34 + 1/2)",
            "if yes { let w = a + 5; hole 9 on web at w }"
        ]),
    ]
}

fn program() -> impl Strategy<Value = String> {
    let body = |n| prop::collection::vec(statement(), n).prop_map(|b| b.join("\n"));
    let settings =
        pick(&["", "tolerance 0.75", "length-tolerance -2/+1; turnable", "end slope 4 : 12"]);
    (body(0..4), body(0..3), settings, 900..4000i64, 20..80i64).prop_map(
        |(recipe, member, settings, h, a)| {
            format!(
                "job J1\nlet n = [120, 333.5]\n\
                 group bolts(d, g = 20) {{\nhole d on web across 0 - g, g at -g, g\n}}\n\
                 recipe inner(a) {{\ntolerance 0.25\nhole 8 on web at a + 101, end - a\n}}\n\
                 recipe outer(h, a) {{\nlength h\n{recipe}\n}}\n\
                 frame N1 wall profile \"C90x40-0.75\" {{\nlet h = {h}\nlet a = {a}\n\
                 member S1 stud = outer({h}, a) {{\n{settings}\n{member}\n}}\n\
                 member S2 stud length h {{\ninner(60)\nbolts(9) at 400\n{member}\n}}\n}}\n"
            )
        },
    )
}

fn said(tolerance: Tolerance) -> String {
    format!("-{}/+{}", tolerance.minus, tolerance.plus)
}

fn on(faces: Faces) -> String {
    faces.each().map(|face| face.to_string()).collect::<Vec<_>>().join(" and ")
}

fn statement_of(feature: &Feature) -> String {
    let kind = LIBRARY.feature(feature.kind).unwrap();
    let (length, width) = (feature.outline.length(), feature.outline.width());
    let size = match (kind.outline, feature.outline) {
        (OutlineForm::Circle { diameter: None }, Outline::Circle { diameter }) => {
            format!(" {diameter}")
        }
        (OutlineForm::Rectangle { length: None, .. }, _) if kind.form == Form::End => {
            format!(" {length} x {width}")
        }
        _ => String::new(),
    };
    let across = feature.across.to_string().replace('-', "0 - ");
    let (places, tolerance) = match feature.place {
        Place::Point { at, tolerance } => (format!("at {at}"), said(tolerance)),
        Place::Range { from, from_tolerance, to, to_tolerance } => (
            format!("at {from} .. {to}"),
            format!("{} .. {}", said(from_tolerance), said(to_tolerance)),
        ),
        Place::End { end, tolerance } => (end.to_string(), said(tolerance)),
    };
    format!(
        "{}{size} on {} across {across} {places} tolerance {tolerance} across-tolerance {}",
        kind.name,
        on(feature.faces),
        said(feature.across_tolerance)
    )
}

fn written_out(shapes: &[&Shape]) -> String {
    let mut text = "job J1\nframe N1 wall {\n".to_string();
    for (i, shape) in shapes.iter().enumerate() {
        let profile = &LIBRARY.profile(shape.profile).unwrap().name;
        text.push_str(&format!(
            "member S{} stud length {} {{\nprofile \"{profile}\"\nlength-tolerance {}\n{}turnable\n",
            i + 1,
            shape.length,
            said(shape.length_tolerance),
            if shape.turnable { "" } else { "not " }
        ));
        for (end, shape) in [("start", shape.start), ("end", shape.end)] {
            if let EndShape::Slope { rise, run } = shape {
                let side = if rise > 0 { "left" } else { "right" };
                text.push_str(&format!("{end} slope {} : {run} long point {side}\n", rise.abs()));
            }
        }
        for feature in &shape.features {
            text.push_str(&statement_of(feature));
            text.push('\n');
        }
        text.push_str("}\n");
    }
    text.push('}');
    text
}

fn hash(shape: &Shape) -> [u8; 16] {
    let profile = &LIBRARY.profile(shape.profile).unwrap().name;
    content_hash(shape, profile, |id| LIBRARY.feature(id).map_or("", |f| &f.name))
}

/// Runs the property on `cases` programs; how many members and features came of them.
fn hold(cases: u32) -> (usize, usize) {
    let config = ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() };
    let mut runner = proptest::test_runner::TestRunner::new(config);
    let count = std::cell::Cell::new((0, 0));
    let held = runner.run(&program(), |text| {
        let made = make(&[("job.members", &text)]);
        for message in made.messages() {
            // By chance two statements meet, or a list is not even: all else is a fault.
            let by_chance = ["E0255", "E0224", "W0258", "W0270", "W0271"]
                .iter()
                .any(|c| message.starts_with(c));
            prop_assert!(by_chance, "{}\n{}", message, text);
        }
        let shapes: Vec<&Shape> = made.jobs[0].members().map(|(_, m)| &*m.shape).collect();
        let plain = written_out(&shapes);
        let again = make(&[("job.members", &plain)]);
        if !shapes.is_empty() {
            prop_assert_eq!(again.messages(), Vec::<String>::new(), "{}\n{}", text, plain);
        }
        for (shape, (_, again)) in shapes.iter().zip(again.jobs[0].members()) {
            prop_assert_eq!(hash(shape), hash(&again.shape), "{}\n{}", text, plain);
        }
        let features: usize = shapes.iter().map(|shape| shape.features.len()).sum();
        count.set((count.get().0 + shapes.len(), count.get().1 + features));
        Ok(())
    });
    if let Err(fault) = held {
        panic!("{fault}");
    }
    count.get()
}

#[test]
fn members_written_out_plainly_come_to_the_same_shapes() {
    let (members, features) = hold(400);
    // Nearly all of them make sense, or the test would show nothing.
    assert!(members > 500 && features > 4_000, "{members} members, {features} features");
}
