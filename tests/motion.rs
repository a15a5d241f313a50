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

use coilwright::library::model::Feed;
use coilwright::program::move_time;
use coilwright::quantity::{Length, Time};

fn feed(speed: i64, acceleration: i64, deceleration: i64) -> Feed {
    Feed { speed, acceleration, deceleration, settle: Time::ZERO }
}

/// Vectors derived from first principles, rounded to the nearest nanosecond: ours is never
/// shorter and at most one longer.
#[test]
fn trapezoid_times_of_the_shared_vectors() {
    let root = env!("CARGO_MANIFEST_DIR");
    // Beside the project, or beside it where it is checked out one folder deeper.
    let text = ["../shared", "../../shared"]
        .iter()
        .find_map(|up| std::fs::read_to_string(format!("{root}/{up}/data/vectors.json")).ok());
    let Some(text) = text else {
        println!("skipped: no ../shared/data/vectors.json");
        return;
    };
    let vectors: serde_json::Value = serde_json::from_str(&text).unwrap();
    let moves = vectors["move_trapezoid"].as_array().unwrap();
    assert!(moves.len() >= 5, "the file holds fewer vectors than it did");
    for vector in moves {
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
