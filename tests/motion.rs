//! Move times, against values from outside this program.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::float_arithmetic,
    clippy::disallowed_methods,
    clippy::print_stdout,
    missing_docs
)]

mod common;

use coilwright::library::model::Feed;
use coilwright::program::move_time;
use coilwright::quantity::{Length, Time};
use common::Dice;

fn feed(speed: i64, acceleration: i64, deceleration: i64) -> Feed {
    Feed { speed, acceleration, deceleration, jerk: None, settle: Time::ZERO }
}

fn with_jerk(speed: i64, acceleration: i64, deceleration: i64, jerk: i64) -> Feed {
    Feed { jerk: Some(jerk), ..feed(speed, acceleration, deceleration) }
}

fn shared_vectors(of: &str) -> Option<Vec<serde_json::Value>> {
    let root = env!("CARGO_MANIFEST_DIR");
    // Beside the project, or beside it where it is checked out one folder deeper.
    let text = ["../shared", "../../shared"]
        .iter()
        .find_map(|up| std::fs::read_to_string(format!("{root}/{up}/data/vectors.json")).ok());
    let Some(text) = text else {
        println!("skipped: no ../shared/data/vectors.json");
        return None;
    };
    let vectors: serde_json::Value = serde_json::from_str(&text).unwrap();
    Some(vectors[of].as_array().unwrap().clone())
}

/// Vectors derived from first principles, rounded to the nearest nanosecond: ours is never
/// shorter and at most one longer.
#[test]
fn trapezoid_times_of_the_shared_vectors() {
    let Some(moves) = shared_vectors("move_trapezoid") else { return };
    assert!(moves.len() >= 5, "the file holds fewer vectors than it did");
    for vector in &moves {
        let get = |key: &str| vector[key].as_i64().unwrap();
        let ours =
            move_time(&feed(get("v"), get("a_acc"), get("a_dec")), Length::from_um(get("d_um")));
        let over = ours.ns() - get("t_ns");
        assert!((0..=1).contains(&over), "{vector}: {ours:?}");
    }
}

/// Worked by hand from d/v + v/2·(1/a₁ + 1/a₂) and √(2d(1/a₁ + 1/a₂)); no published source.
#[test]
fn worked_moves() {
    let ns = |v, a1, a2, um| move_time(&feed(v, a1, a2), Length::from_um(um)).ns();
    assert_eq!(ns(1_000_000, 5_000_000, 5_000_000, 600_000), 800_000_000);
    assert_eq!(ns(1_000_000, 5_000_000, 5_000_000, 50_000), 200_000_000);
    assert_eq!(ns(1_200_000, 6_000_000, 4_000_000, 300_000), 500_000_000);
    // √(1/6) s = 0.408 248 290 46… s, rounded up.
    assert_eq!(ns(1_200_000, 6_000_000, 4_000_000, 200_000), 408_248_291);
    assert_eq!(ns(1_000_000, 5_000_000, 5_000_000, 0), 0);
    assert_eq!(ns(1_000_000, 5_000_000, 5_000_000, -600_000), 800_000_000);
}

/// Stops at 0, 150, 420, 1020, 1620, 2214, 2414 mm, v 1 m/s, a 5 m/s²: the moves take 3.6104 s.
#[test]
fn worked_row_of_stops() {
    let feed = feed(1_000_000, 5_000_000, 5_000_000);
    let stops = [0, 150, 420, 1020, 1620, 2214, 2414];
    let total: i64 = stops
        .windows(2)
        .map(|pair| move_time(&feed, Length::from_mm(pair[1] - pair[0])).ns())
        .sum();
    assert!((total - 3_610_400_000).abs() < 50_000, "{total}: worked to 0.1 ms");
}

/// Integrates the velocity profile numerically: at each step as fast as the start, the top speed
/// and the braking distance allow.
#[test]
fn trapezoid_agrees_with_integration() {
    let cases = [
        (1.0, 5.0, 5.0, 0.6),
        (1.0, 5.0, 5.0, 0.05),
        (1.2, 6.0, 4.0, 0.3),
        (1.2, 6.0, 4.0, 0.2),
        (0.8, 2.0, 7.0, 4.0),
        (2.5, 3.0, 9.0, 0.013),
        (0.3, 5.0, 5.0, 0.9),
    ];
    for (v, a1, a2, d) in cases {
        // T = ∫ dx / v(x), with v(x) = min(√(2·a₁·x), v, √(2·a₂·(d − x))). Substituting
        // x = d·(1 − cos θ)/2 takes the poles at both ends out of the integrand.
        let steps = 400_000;
        let mut time = 0.0;
        for step in 0..steps {
            let theta = std::f64::consts::PI * (f64::from(step) + 0.5) / f64::from(steps);
            let x: f64 = d * (1.0 - theta.cos()) / 2.0;
            let speed = (2.0 * a1 * x).sqrt().min(v).min((2.0 * a2 * (d - x)).sqrt());
            time += d / 2.0 * theta.sin() * std::f64::consts::PI / f64::from(steps) / speed;
        }
        let micro = |metres: f64| (metres * 1e6).round() as i64;
        let ours = move_time(&feed(micro(v), micro(a1), micro(a2)), Length::from_um(micro(d)));
        let seconds = ours.ns() as f64 / 1e9;
        assert!(
            (seconds - time).abs() < 2e-6,
            "v {v}, a {a1}/{a2}, d {d}: {seconds} against {time}"
        );
    }
}

/// Taking a stop out never makes a run longer: T(a + b) ≤ T(a) + T(b).
#[test]
fn a_stop_less_is_never_slower() {
    let feed = feed(1_200_000, 6_000_000, 4_000_000);
    for a in [1, 7, 40, 210, 999, 5000] {
        for b in [1, 13, 77, 300, 4100] {
            let whole = move_time(&feed, Length::from_mm(a + b));
            let parts = move_time(&feed, Length::from_mm(a)) + move_time(&feed, Length::from_mm(b));
            assert!(whole <= parts, "{a} + {b}");
        }
    }
}

/// As the trapezoids: rounded there to the nearest nanosecond, here up.
#[test]
fn jerk_limited_times_of_the_shared_vectors() {
    let Some(moves) = shared_vectors("move_scurve") else { return };
    assert!(moves.len() >= 6, "the file holds fewer vectors than it did");
    for vector in &moves {
        let get = |key: &str| vector[key].as_i64().unwrap();
        let feed = with_jerk(get("v"), get("a"), get("a"), get("J"));
        let over = move_time(&feed, Length::from_um(get("d_um"))).ns() - get("t_ns");
        assert!((0..=1).contains(&over), "{vector}: {over} ns over");
    }
}

/// v 1 m/s, a 5 m/s², J 100 m/s³, worked by hand from the symmetric formulas to a microsecond.
#[test]
fn worked_jerk_limited_moves() {
    let feed = with_jerk(1_000_000, 5_000_000, 5_000_000, 100_000_000);
    for (mm, us) in [(600, 850_000), (100, 337_228), (20, 185_664), (4, 108_577)] {
        let ours = move_time(&feed, Length::from_mm(mm)).ns();
        assert!((ours - us * 1_000).abs() <= 1_000, "{mm} mm: {ours} ns");
    }
}

/// Time and way of a ramp between rest and `peak`, by small steps over the speed: the
/// acceleration at speed s is what jerk from either end and the limit leave,
/// min(√(2Js), a, √(2J(peak − s))). None of the formulas under test is used.
fn ramp_by_steps(peak: f64, a: f64, j: f64) -> (f64, f64) {
    let steps = 20_000;
    let (mut time, mut way) = (0.0, 0.0);
    for step in 0..steps {
        // s = peak·(1 − cos θ)/2 takes the poles at both ends out of the integrand.
        let theta = std::f64::consts::PI * (f64::from(step) + 0.5) / f64::from(steps);
        let s: f64 = peak * (1.0 - theta.cos()) / 2.0;
        let accelerating = (2.0 * j * s).sqrt().min(a).min((2.0 * j * (peak - s)).sqrt());
        let dt = peak / 2.0 * theta.sin() * std::f64::consts::PI / f64::from(steps) / accelerating;
        time += dt;
        way += s * dt;
    }
    (time, way)
}

fn by_steps(v: f64, a1: f64, a2: f64, j: f64, d: f64) -> f64 {
    let both = |peak: f64| {
        let (up, down) = (ramp_by_steps(peak, a1, j), ramp_by_steps(peak, a2, j));
        (up.0 + down.0, up.1 + down.1)
    };
    let (time, way) = both(v);
    if way <= d {
        return time + (d - way) / v;
    }
    let (mut low, mut high) = (0.0, v);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        if both(middle).1 <= d { low = middle } else { high = middle }
    }
    both(low).0
}

/// Each of the regimes, equal and unequal accelerations, against the motion taken in small steps.
#[test]
fn jerk_limited_moves_agree_with_integration() {
    // v, a₁, a₂, J in metres and seconds.
    let feeds = [
        (1.0, 5.0, 5.0, 100.0),
        (1.2, 6.0, 4.0, 60.0),
        (1.2, 4.0, 6.0, 60.0),
        (3.0, 2.0, 8.0, 40.0),
        (0.3, 5.0, 5.0, 20.0),
        (0.8, 3.0, 9.0, 15.0),
    ];
    let distances = [0.0004, 0.003, 0.02, 0.06, 0.13, 0.4, 0.9, 1.7, 5.0];
    let micro = |metres: f64| (metres * 1e6).round() as i64;
    for (v, a1, a2, j) in feeds {
        for d in distances {
            let feed = with_jerk(micro(v), micro(a1), micro(a2), micro(j));
            let ours = move_time(&feed, Length::from_um(micro(d))).ns() as f64 / 1e9;
            let theirs = by_steps(v, a1, a2, j, d);
            assert!(
                (ours - theirs).abs() < 1e-6 * theirs.max(1.0),
                "v {v}, a {a1}/{a2}, J {j}, d {d}: {ours} against {theirs}"
            );
        }
    }
}

/// The regime of a move by its formula, in floating point: what the integer one chose by its own
/// thresholds must be the right one, also just at either side of each.
#[test]
fn regimes_meet_where_they_should() {
    // v, a, b, J in µm: thresholds 2a³/J², b²(a+b)²/(2aJ²), v/2·(t₁+t₂).
    for (v, a, b, j) in [(5e6, 2e6, 8e6, 40e6), (1.2e6, 4e6, 6e6, 60e6), (1e6, 5e6, 5e6, 100e6)] {
        let ramp =
            |v: f64, a: f64| if v * j >= a * a { v / a + a / j } else { 2.0 * (v / j).sqrt() };
        let thresholds = [
            2.0 * a * a * a / (j * j),
            b * b * (a + b) * (a + b) / (2.0 * a * j * j),
            v / 2.0 * (ramp(v, a) + ramp(v, b)),
        ];
        let feed = with_jerk(v as i64, a as i64, b as i64, j as i64);
        for threshold in thresholds {
            for off in -3_i64..=3 {
                let d = threshold as i64 + off;
                let theirs = by_steps(v / 1e6, a / 1e6, b / 1e6, j / 1e6, d as f64 / 1e6);
                let ours = move_time(&feed, Length::from_um(d)).ns() as f64 / 1e9;
                assert!((ours - theirs).abs() < 1e-6, "d {d} µm: {ours} against {theirs}");
            }
        }
    }
}

fn any_feed(dice: &mut Dice) -> Feed {
    let mut size = |least: i64, most: i64| {
        // Spread over the orders of magnitude.
        let mut top = least.max(10);
        while top < most && dice.below(4) > 0 {
            top *= 3;
        }
        dice.between(least, top.min(most))
    };
    let (v, a1, a2) =
        (size(1_000, 100_000_000), size(10_000, 1_000_000_000), size(10_000, 1_000_000_000));
    let jerk = size(1_000, 1_000_000_000_000);
    Feed { jerk: Some(jerk), ..feed(v, a1, a2) }
}

/// Properties of every fastest move: longer takes longer, in two takes no less than in one, a
/// limit more is never faster, a motion run backward takes as long, and a jerk that is as good as
/// none gives the trapezoid.
#[test]
fn jerk_limited_moves_keep_the_laws_of_motion() {
    let mut dice = Dice(31);
    for _ in 0..20_000 {
        let feed = any_feed(&mut dice);
        let (a, b) = (dice.between(1, 400_000), dice.between(1, 9_000_000));
        let time = |feed: &Feed, um: i64| move_time(feed, Length::from_um(um)).ns();
        let (one, two, whole) = (time(&feed, a), time(&feed, b), time(&feed, a + b));
        assert!(one.max(two) < whole, "{feed:?}: {a} + {b} µm");
        assert!(whole <= one + two + 1, "{feed:?}: {a} + {b} µm");
        assert!(time(&feed, a) < time(&feed, a + 1), "{feed:?}: {a} µm");
        let turned =
            Feed { acceleration: feed.deceleration, deceleration: feed.acceleration, ..feed };
        assert_eq!(time(&turned, b), two);
        let without = Feed { jerk: None, ..feed };
        assert!(time(&without, b) <= two, "{feed:?}: {b} µm");
        let gentler = Feed { jerk: feed.jerk.map(|j| (j / 2).max(1_000)), ..feed };
        assert!(time(&gentler, b) >= two, "{feed:?}: {b} µm");
        // The symmetric move of the gentler of the two accelerations is an upper bound.
        let least = feed.acceleration.min(feed.deceleration);
        let symmetric = Feed { acceleration: least, deceleration: least, ..feed };
        assert!(time(&symmetric, b) >= two, "{feed:?}: {b} µm");
    }
    // 1 000 000 m/s³ reaches 6 m/s² in 6 µs: a ramp takes that much longer at most.
    let (hard, none) = (
        with_jerk(1_200_000, 6_000_000, 4_000_000, 1_000_000_000_000),
        feed(1_200_000, 6_000_000, 4_000_000),
    );
    for um in [50, 1_000, 77_000, 300_000, 4_000_000] {
        let over =
            move_time(&hard, Length::from_um(um)).ns() - move_time(&none, Length::from_um(um)).ns();
        assert!((0..=12_000).contains(&over), "{um} µm: {over} ns");
    }
}

/// The corners of what a line file may say: no overflow, and time for every move.
#[test]
fn extreme_feeds_have_a_time() {
    for v in [1, 1_000_000_000] {
        for a1 in [1, 1_000_000_000] {
            for a2 in [1, 1_000_000_000] {
                for jerk in [None, Some(1_000), Some(1_000_000_000_000)] {
                    for um in [1, 1_000, 10_000_000_000, 20_000_000_000] {
                        let feed = Feed { jerk, ..feed(v, a1, a2) };
                        let time = move_time(&feed, Length::from_um(um)).ns();
                        assert!(time > 0, "{feed:?}: {um} µm");
                    }
                }
            }
        }
    }
}
