//! Checks that need no line, on members built by hand.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(missing_docs)]

mod shop;

use coilwright::check::{Findings, check};
use coilwright::library::model::{Library, Limit, Measure, Purpose};
use coilwright::member::model::{
    End, EndShape, Faces, Feature, Outline, Position, ProfileId, Shape, Usage,
};
use coilwright::quantity::{Length, Rational};
use proptest::prelude::*;
use shop::*;
use std::sync::Arc;

/// Codes found on one stud of this shape, in order of finding.
fn codes(shape: Shape, library: &Library) -> Vec<&'static str> {
    check(&one(shape), library).diagnostics.iter().map(|d| d.code.number).collect()
}

fn on_stud(features: Vec<Feature>) -> Vec<&'static str> {
    codes(shape(2400, features), &library())
}

fn messages(findings: &Findings) -> Vec<&str> {
    findings.diagnostics.iter().map(|d| &*d.message).collect()
}

#[test]
fn what_real_studs_and_plates_carry_is_no_finding() {
    // A stud: swaged ends with a dimple in each, a service hole, a nogging notch in the lips.
    let stud = shape(
        2400,
        vec![
            at_end(SWAGE, Faces::WEB | Faces::FLANGES | Faces::LIPS, End::Start, 60, 1),
            dimples(22, 2),
            service(450, 60, 32, 3),
            range(LIP_NOTCH, Faces::LIPS, from(1176), from(1224), 4),
            dimples(1200, 5),
            dimples(2378, 6),
            at_end(SWAGE, Faces::WEB | Faces::FLANGES | Faces::LIPS, End::End, 60, 7),
        ],
    );
    assert_eq!(codes(stud, &library()), [""; 0]);
    // A nogging: lips and flanges cut at the ends, a dimple beside, all within 60 mm; a range of
    // one type over an end feature of another; a screw hole in the middle of its dimple.
    let mut centre = hole(22, 6, 4);
    (centre.faces, centre.kind) = (Faces::FLANGES, HOLE);
    let nogging = shape(
        584,
        vec![
            at_end(COPE, Faces::LIPS, End::Start, 45, 1),
            range(LIP_NOTCH, Faces::LIPS, from(0), from(48), 2),
            dimples(22, 3),
            centre,
            at_end(BEVEL, Faces::WEB, End::Start, 45, 5),
        ],
    );
    assert_eq!(codes(nogging, &library()), [""; 0]);
}

fn from(x: i64) -> Position {
    Position::from_start(mm(x))
}
fn end(x: i64) -> Position {
    Position::from_end(mm(x))
}

#[test]
fn a_feature_must_lie_on_its_member() {
    assert_eq!(on_stud(vec![hole(10, 12, 1)]), [""; 0]);
    assert_eq!(on_stud(vec![hole(5, 12, 1)]), ["E0401"]);
    assert_eq!(on_stud(vec![hole(2395, 12, 1)]), ["E0401"]);
    assert_eq!(on_stud(vec![hole(2394, 10, 1)]), [""; 0]);
    assert_eq!(on_stud(vec![hole(-50, 12, 1)]), ["E0401"]);
    let notch = |a, b| vec![range(LIP_NOTCH, Faces::LIPS, a, b, 1)];
    assert_eq!(on_stud(notch(from(0), end(0))), [""; 0]);
    assert_eq!(on_stud(notch(from(-1), from(48))), ["E0401"]);
    assert_eq!(on_stud(notch(end(-48), end(1))), ["E0401"]);
    let swage = vec![at_end(SWAGE, Faces::WEB, End::End, 61, 1)];
    assert_eq!(codes(shape(60, swage.clone()), &library()), ["E0401"]);
    assert_eq!(codes(shape(61, swage), &library()), [""; 0]);
    let found = check(&one(shape(2400, vec![hole(2395, 12, 1)])), &library());
    assert_eq!(
        messages(&found),
        [
            "S1 in frame N1: hole on web at 2395 mm reaches 1 mm past the end of the member, which is \
          2400 mm long"
        ]
    );
}

#[test]
fn a_sloped_end_leaves_less_steel() {
    // 45°: the long point at the left flange, so 90 mm are lost at the right one.
    let sloped = |at: i64, across: i64| {
        let mut feature = hole(at, 20, 1);
        feature.across = mm(across);
        let mut shape = shape(2400, vec![feature]);
        shape.start = EndShape::Slope { rise: 1, run: 1 };
        codes(shape, &library())
    };
    // On the centre line the steel begins at 45 − y; the hole's lower edge is at y = −10, so at 55.
    assert_eq!(sloped(66, 0), [""; 0]);
    assert_eq!(sloped(64, 0), ["E0401"]);
    assert_eq!(sloped(41, 25), [""; 0], "toward the long point");
    assert_eq!(sloped(41, -25), ["E0401"], "toward the short one");
    // On the flanges: nothing is lost on the left, all of it on the right.
    let dimple = |faces| {
        let mut feature = dimples(22, 1);
        feature.faces = faces;
        let mut shape = shape(2400, vec![feature]);
        shape.start = EndShape::Slope { rise: 1, run: 1 };
        codes(shape, &library())
    };
    assert_eq!(dimple(Faces::LEFT_FLANGE), [""; 0]);
    assert_eq!(dimple(Faces::RIGHT_FLANGE), ["E0401"]);
}

#[test]
fn a_feature_must_lie_on_its_face() {
    let across = |y: i64| {
        let mut feature = hole(300, 12, 1);
        feature.across = mm(y);
        on_stud(vec![feature])
    };
    assert_eq!(across(40), ["E0402"], "6 + 40 > 45");
    assert_eq!(across(39), ["W0408"], "up to the corner, so in the bend");
    assert_eq!(across(35), [""; 0], "41 leaves 1.75 of flat to 42.75, at least 1.5");
    assert_eq!(across(-36), ["W0408"], "1.25 mm after 36 + 6");
    // A type with a width must fit; one that covers the whole face always does.
    let notch = |faces| range(WEB_NOTCH, faces, from(100), from(200), 1);
    assert_eq!(on_stud(vec![notch(Faces::WEB)]), [""; 0], "90 of 90");
    assert_eq!(on_stud(vec![notch(Faces::LEFT_FLANGE)]), ["E0402"], "90 of 40");
    assert_eq!(on_stud(vec![range(LIP_NOTCH, Faces::LIPS, from(1), from(9), 1)]), [""; 0]);
}

#[test]
fn a_face_must_be_there() {
    let mut track = shape(2400, vec![range(LIP_NOTCH, Faces::LIPS, from(1), from(9), 1)]);
    track.profile = ProfileId(1);
    let found = check(&one(track), &library());
    assert_eq!(
        messages(&found),
        [
            "S1 in frame N1: lip-notch on lips at 1 .. 9 mm has no steel to be made in: profile `T90` \
          has no lips"
        ]
    );
}

#[test]
fn a_range_runs_forward() {
    let found = |a, b| on_stud(vec![range(LIP_NOTCH, Faces::LIPS, a, b, 1)]);
    assert_eq!(found(from(48), from(0)), ["E0404"]);
    assert_eq!(found(from(48), from(48)), ["E0404"]);
    // On a short member a range from the start can pass one from the end.
    let notch = vec![range(LIP_NOTCH, Faces::LIPS, from(400), end(-400), 1)];
    assert_eq!(codes(shape(801, notch.clone()), &library()), [""; 0]);
    assert_eq!(codes(shape(799, notch.clone()), &library()), ["E0404"], "and nothing else of it");
    // Turning it round would be a range nobody drew.
    let help = |shape| check(&one(shape), &library()).diagnostics[0].help.clone().unwrap();
    assert!(help(shape(799, notch)).contains("make the member longer"));
    let turned = vec![range(LIP_NOTCH, Faces::LIPS, from(48), from(0), 1)];
    assert!(help(shape(799, turned)).contains("`0 .. 48`"));
}

#[test]
fn features_may_not_spoil_each_other() {
    assert_eq!(on_stud(vec![hole(300, 12, 1), hole(311, 12, 2)]), ["E0405"]);
    assert_eq!(on_stud(vec![hole(300, 12, 1), hole(300, 12, 2)]), ["E0405"], "the same one twice");
    assert_eq!(on_stud(vec![hole(300, 12, 1), hole(312, 12, 2)]), ["W0406"], "touching");
    assert_eq!(on_stud(vec![hole(300, 11, 1), hole(312, 12, 2)]), ["W0406"], "0.5 < 0.75");
    assert_eq!(on_stud(vec![hole(300, 11, 1), hole(312, 11, 2)]), [""; 0], "1 mm");
    // On the diagonal: centres 3-4-5 apart.
    let mut beside = hole(312, 12, 2);
    beside.across = mm(16);
    assert_eq!(on_stud(vec![hole(300, 12, 1), beside.clone()]), [""; 0], "20 − 12 = 8");
    beside.outline = Outline::Circle { diameter: mm(28) };
    beside.across = mm(16);
    assert_eq!(on_stud(vec![hole(300, 12, 1), beside.clone()]), ["W0406"], "20 − 6 − 14 = 0");
    // Different faces do not meet.
    let mut flange = hole(300, 12, 2);
    flange.faces = Faces::LEFT_FLANGE;
    assert_eq!(on_stud(vec![hole(300, 12, 1), flange]), [""; 0]);
    // One type of range or end twice; a service hole where the member is swaged or notched.
    let notch = |a, b, n| range(LIP_NOTCH, Faces::LIPS, from(a), from(b), n);
    assert_eq!(on_stud(vec![notch(100, 200, 1), notch(150, 250, 2)]), ["E0405"]);
    assert_eq!(on_stud(vec![notch(100, 200, 1), notch(200, 250, 2)]), [""; 0]);
    let swages = |length| {
        let swage = |end, n| at_end(SWAGE, Faces::WEB, end, 60, n);
        codes(shape(length, vec![swage(End::Start, 1), swage(End::End, 2)]), &library())
    };
    assert_eq!(swages(120), [""; 0]);
    assert_eq!(swages(119), ["E0405"], "the ends meet on a short member");
    let swage = at_end(SWAGE, Faces::WEB, End::Start, 60, 1);
    assert_eq!(on_stud(vec![swage.clone(), service(80, 60, 32, 2)]), ["E0405"]);
    assert_eq!(on_stud(vec![swage, service(90, 60, 32, 2)]), [""; 0]);
}

#[test]
fn punching_layout_is_looked_at() {
    assert_eq!(on_stud(vec![hole(6, 12, 1)]), ["W0407"], "nothing left to the end");
    assert_eq!(on_stud(vec![hole(7, 12, 1)]), [""; 0]);
    let mut small = hole(300, 12, 1);
    small.outline = Outline::Circle { diameter: Length::from_um(999) };
    assert_eq!(on_stud(vec![small]), ["W0409"]);
    // The free edge of a track's flange is an edge of the part; a lipped one is a bend.
    let dimple = |across: i64, profile| {
        let mut feature = dimples(300, 1);
        feature.across = Length::from_um(across);
        let mut shape = shape(2400, vec![feature]);
        shape.profile = ProfileId(profile);
        codes(shape, &library())
    };
    assert_eq!(dimple(14_250, 1), [""; 0], "0.75 mm to the edge at 20");
    assert_eq!(dimple(14_251, 1), ["W0407"]);
    assert_eq!(dimple(11_250, 0), [""; 0], "1.5 mm to the bend at 17.75");
    assert_eq!(dimple(11_251, 0), ["W0408"]);
}

#[test]
fn an_end_has_one_shape() {
    let two =
        |a, b| on_stud(vec![at_end(COPE, a, End::End, 45, 1), at_end(BEVEL, b, End::End, 30, 2)]);
    assert_eq!(two(Faces::WEB, Faces::WEB | Faces::LIPS), ["W0410"]);
    assert_eq!(two(Faces::WEB, Faces::LIPS), [""; 0]);
    // The second is the one written second, whichever reaches further in.
    for (cope, bevel, second) in [(1, 2, "bevel"), (2, 1, "cope")] {
        let features = vec![
            at_end(COPE, Faces::WEB, End::Start, 45, cope),
            at_end(BEVEL, Faces::WEB, End::Start, 30, bevel),
        ];
        let found = check(&one(shape(2400, features)), &library());
        assert!(found.diagnostics[0].message.contains(&format!("{second} on web")), "{found:?}");
    }
}

#[test]
fn one_finding_names_all_its_members_and_places() {
    let shared = Arc::new(shape(2400, vec![hole(300, 12, 1), hole(305, 12, 1), hole(310, 12, 1)]));
    let stud = |mark: &str| member(mark, Usage::Stud, &shared);
    let jobs = vec![job(
        vec![
            frame("N1", ["S1", "S2", "S3", "S7"].map(stud).to_vec()),
            frame("N2", ["S1", "K1"].map(stud).to_vec()),
        ],
        vec![],
    )];
    let found = check(&jobs, &library());
    assert_eq!(
        messages(&found),
        [
            "S1…S3, S7 in frame N1, S1, K1 in frame N2: hole on web at 305 mm overlaps the hole at 300 mm",
            "S1…S3, S7 in frame N1, S1, K1 in frame N2: hole on web at 310 mm overlaps the hole at 305 mm"
        ]
    );
    // The feature is written in a recipe elsewhere: the first member is shown too.
    assert_eq!(found.diagnostics[0].labels.len(), 2);
    assert!(found.diagnostics.iter().all(|d| d.help.is_some() && !d.notes.is_empty()));
}

#[test]
fn many_members_are_counted() {
    let shared = Arc::new(shape(2400, vec![hole(-5, 12, 1)]));
    let members = (0..40).map(|i| member(&format!("S{}", 2 * i), Usage::Stud, &shared)).collect();
    let found = check(&[job(vec![frame("N1", members)], vec![])], &library());
    let message = &found.diagnostics[0].message;
    assert!(
        message.starts_with("S0, S2, S4, S6, S8, S10 in frame N1 and 34 more members: hole"),
        "{message}"
    );
}

fn spacing() -> Library {
    let mut rule = rule("hole-spacing", Measure::CentreToCentre, Limit::Length(mm(610)));
    rule.filter.purposes = vec![Purpose::Service];
    ruled(vec![rule])
}

#[test]
fn a_waiver_takes_its_finding_out_and_nothing_else() {
    let shared = Arc::new(shape(2400, vec![service(450, 60, 32, 1), service(1000, 60, 32, 2)]));
    let stud = |mark: &str| member(mark, Usage::Stud, &shared);
    let jobs = |waivers| {
        let frames = vec![frame("N1", vec![stud("S1"), stud("S2")]), frame("N2", vec![stud("S1")])];
        vec![job(frames, waivers)]
    };
    let found = check(&jobs(vec![]), &spacing());
    assert_eq!(
        messages(&found),
        [
            "S1, S2 in frame N1, S1 in frame N2: service-hole on web at 1000 mm lies 550 mm centre to \
          centre from the service-hole before it; at least 610 mm"
        ]
    );
    assert!(found.diagnostics[0].notes[0].contains("clause 7"), "the clause is named");

    let found = check(&jobs(vec![waiver("hole-spacing", None, Some("S1"))]), &spacing());
    assert!(found.diagnostics[0].message.starts_with("S2 in frame N1: service-hole"));
    assert_eq!(found.diagnostics.len(), 1);
    assert_eq!((found.waived[0].job, found.waived[0].waiver), (0, 0));
    assert!(found.waived[0].diagnostic.message.starts_with("S1 in frame N1, S1 in frame N2:"));

    // By code, by slug, by set and id; case of a code does not matter.
    for name in ["W0413", "w0413", "spaced-too-near", "shop-rules/hole-spacing"] {
        let found = check(&jobs(vec![waiver(name, None, None)]), &spacing());
        assert_eq!((found.diagnostics.len(), found.waived.len()), (0, 1), "{name}");
    }
    // The second of two that cover the same meets nothing.
    let two = vec![waiver("hole-spacing", Some("N1"), None), waiver("hole-spacing", None, None)];
    let found = check(&jobs(two), &spacing());
    assert_eq!((found.diagnostics.len(), found.waived.len()), (0, 2), "each its own frame");
}

#[test]
fn a_waiver_that_meets_nothing_is_told() {
    let waived = |waivers, features| {
        let shape = Arc::new(shape(2400, features));
        let jobs = vec![job(vec![frame("N1", vec![member("S1", Usage::Stud, &shape)])], waivers)];
        let found = check(&jobs, &spacing());
        assert_eq!(found.waived.len(), 0);
        found
            .diagnostics
            .iter()
            .map(|d| (d.code.number, d.help.clone().unwrap()))
            .collect::<Vec<_>>()
    };
    let good = || vec![service(450, 60, 32, 1)];
    let bad = || vec![service(450, 60, 32, 1), service(1000, 60, 32, 2)];
    let codes = |v: Vec<(&'static str, String)>| v.into_iter().map(|(c, _)| c).collect::<Vec<_>>();
    assert_eq!(codes(waived(vec![waiver("hole-spacing", None, None)], good())), ["W0420"]);
    assert_eq!(
        codes(waived(vec![waiver("hole-spacing", Some("N2"), None)], bad())),
        ["W0413", "W0420"]
    );
    let found = waived(vec![waiver("hole-spacign", None, None)], good());
    assert_eq!(found, [("E0421", "did you mean `hole-spacing`?".to_string())]);
    // What cannot be made cannot be waived: the finding stays.
    assert_eq!(
        codes(waived(vec![waiver("E0401", None, None)], vec![hole(0, 12, 1)])),
        ["E0401", "E0422"]
    );
}

#[test]
fn usage_makes_the_same_shape_another_subject() {
    let mut only_studs = rule("no-holes", Measure::Presence, Limit::None);
    only_studs.filter.usages = vec![Usage::Stud];
    let shape = Arc::new(shape(2400, vec![hole(300, 12, 1)]));
    let members = vec![member("S1", Usage::Stud, &shape), member("B1", Usage::Plate, &shape)];
    let found = check(&[job(vec![frame("N1", members)], vec![])], &ruled(vec![only_studs]));
    assert_eq!(messages(&found), ["S1 in frame N1: hole on web at 300 mm needs the engineer"]);
}

#[test]
fn a_house_is_checked_once_for_each_shape() {
    // 950 members of 120 shapes with 7 or 8 features each: the findings of a shape come once.
    let shapes: Vec<Arc<Shape>> = (0..120)
        .map(|i| {
            let features = (0..8).map(|k| service(300 + 200 * k + i, 60, 32, 1)).collect();
            Arc::new(shape(2400 + i, features))
        })
        .collect();
    let members =
        (0..950).map(|i| member(&format!("S{i}"), Usage::Stud, &shapes[i % 120])).collect();
    let found = check(&[job(vec![frame("N1", members)], vec![])], &spacing());
    assert_eq!(found.diagnostics.len(), 120);
}

fn any_feature() -> impl Strategy<Value = Feature> {
    let big = Length::LIMIT.nm();
    let length = prop_oneof![-20_000_000i64..3_000_000_000, -big..=big].prop_map(Length::from_nm);
    let size = prop_oneof![0i64..200_000_000, 0..=big].prop_map(Length::from_nm);
    (0u16..9, 0u8..32, length.clone(), length.clone(), length, size.clone(), size, 0u8..12)
        .prop_map(|(kind, faces, a, b, across, long, wide, form)| {
            let faces = Faces::from_bits_truncate(faces);
            let position = |n, x| match n % 3 {
                0 => Position::from_start(x),
                1 => Position::from_end(x),
                _ => Position { datum: coilwright::member::model::Datum::Middle, offset: x },
            };
            let mut feature = hole(0, 1, u32::from(form));
            feature.outline = match form % 3 {
                0 => Outline::Circle { diameter: wide },
                1 => Outline::Slot { length: long, width: wide },
                _ => Outline::Rectangle { length: long, width: wide },
            };
            feature.place = match form / 4 {
                0 => point(HOLE, faces, position(form, a), feature.outline, 0).place,
                1 => range(HOLE, faces, position(form, a), position(form / 2, b), 0).place,
                _ => at_end(HOLE, faces, End::End, 1, 0).place,
            };
            feature.kind = coilwright::member::model::FeatureTypeId(kind);
            (feature.faces, feature.across) = (faces, across);
            feature
        })
}

proptest! {
    /// No member of any shape makes the checks panic, and the order in which its features are
    /// listed does not change what is found.
    #[test]
    fn any_member_is_checked(
        features in proptest::collection::vec(any_feature(), 0..12),
        length in prop_oneof![1i64..3_000_000_000, Just(Length::LIMIT.nm())],
        rise in any::<i32>(), run in any::<i32>(), profile in 0u16..3,
    ) {
        let ratio = Limit::Ratio(Rational::new(1, 2).unwrap());
        let limit = Limit::Length(mm(300));
        let rules = [
            (Measure::Width, limit), (Measure::WidthToWeb, ratio), (Measure::Length, limit),
            (Measure::CentreToCentre, limit), (Measure::Clear, limit), (Measure::EdgeToEnd, limit),
            (Measure::CentreToEnd, limit), (Measure::EdgeToFaceEdge, limit),
            (Measure::Presence, Limit::None), (Measure::Width, ratio), (Measure::Clear, Limit::None),
        ];
        let library = ruled(rules.iter().map(|&(m, l)| rule("r", m, l)).collect());
        let mut member = shape(1, features);
        (member.length, member.profile) = (Length::from_nm(length), ProfileId(profile));
        member.start = EndShape::Slope { rise, run };
        let found = check(&one(member.clone()), &library);
        for d in &found.diagnostics {
            prop_assert!(d.help.is_some() && d.span().is_some() && !d.message.is_empty());
        }
        member.features.reverse();
        let again = check(&one(member), &library);
        prop_assert_eq!(found.diagnostics.is_empty(), again.diagnostics.is_empty());
    }
}

#[test]
fn a_pattern_past_the_end_is_one_finding() {
    let pattern = |places: &[i64]| {
        let features = places.iter().map(|&x| hole(x, 12, 1)).collect();
        let mut told = check(&one(shape(2400, features)), &library()).diagnostics;
        told.retain(|d| d.code.number == "E0401");
        told
    };
    let told = pattern(&[600, 1200, 1800, 2394, 2400, 3000, 3600]);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(
        told[0].message.contains("at 2400 mm, 3000 mm, 3600 mm falls off the end"),
        "{}",
        told[0].message
    );
    assert!(told[0].message.contains("at 3 places, by up to 1206 mm"), "{}", told[0].message);
    let help = told[0].help.as_deref().unwrap();
    assert!(help.contains("the last place that fits is 2394 mm"), "{help}");
    // None of it on the member: the last place a hole of 12 could have.
    let told = pattern(&[2500, 3000]);
    assert_eq!(told.len(), 1, "{told:?}");
    let help = told[0].help.as_deref().unwrap();
    assert!(help.contains("the last place there could be is 2394"), "{help}");
    let told = pattern(&[-500, -100, 300, 700]);
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].message.contains("falls off the start"), "{}", told[0].message);
    let help = told[0].help.as_deref().unwrap();
    assert!(help.contains("the first place that fits is 300 mm"), "{help}");
    // Past both ends is two mistakes; two statements are two.
    assert_eq!(pattern(&[-500, -100, 300, 2500, 3000]).len(), 2);
    let two = vec![hole(2500, 12, 1), hole(2600, 12, 2)];
    assert_eq!(on_stud(two), ["E0401", "E0401"]);
}

#[test]
fn a_waiver_for_every_member_is_found() {
    let shared = Arc::new(shape(2400, vec![service(450, 60, 32, 1), service(1000, 60, 32, 2)]));
    let marks: Vec<String> = (0..40_000).map(|i| format!("S{i}")).collect();
    let members = marks.iter().map(|mark| member(mark, Usage::Stud, &shared)).collect();
    let waivers = marks.iter().map(|mark| waiver("hole-spacing", None, Some(mark))).collect();
    let jobs = [job(vec![frame("N1", members)], waivers)];
    let found = check(&jobs, &spacing());
    assert_eq!((found.diagnostics.len(), found.waived.len()), (0, marks.len()));
    assert!(found.waived.iter().enumerate().all(|(i, waived)| waived.waiver == i));
}

#[test]
fn a_screw_hole_in_a_service_hole_is_no_screw_hole() {
    // Beside its middle, and, with a size of its own, in its very middle.
    assert_eq!(on_stud(vec![service(600, 60, 32, 1), hole(610, 5, 2)]), ["E0405"]);
    assert_eq!(on_stud(vec![service(600, 60, 32, 1), hole(600, 5, 2)]), ["E0405"]);
    assert_eq!(on_stud(vec![service(600, 60, 32, 1), hole(600, 80, 2)]), ["E0405"]);
}
