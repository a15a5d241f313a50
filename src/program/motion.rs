use crate::library::model::Feed;
use crate::quantity::{Length, Time};

/// Time of a move, rest to rest, on a trapezoid: accelerate, cruise, brake.
///
/// With d_c = v²/2·(1/a₁ + 1/a₂): d ≤ d_c takes √(2d(1/a₁ + 1/a₂)), a longer one
/// d/v + v/2·(1/a₁ + 1/a₂). The distance is taken in micrometres, away from zero, and the result
/// rounded up to a nanosecond: never too short.
pub fn move_time(feed: &Feed, distance: Length) -> Time {
    let d = i128::from(distance.abs().um_outward());
    if d == 0 {
        return Time::ZERO;
    }
    let (v, a1, a2) =
        (i128::from(feed.speed), i128::from(feed.acceleration), i128::from(feed.deceleration));
    if v <= 0 || a1 <= 0 || a2 <= 0 {
        return Time::ZERO;
    }
    let sum = a1 + a2;
    let product = a1 * a2;
    // d ≤ v²·(a₁+a₂)/(2·a₁·a₂), without dividing.
    let ns = if 2 * d * product <= v * v * sum {
        // √(2d·(a₁+a₂)/(a₁·a₂)) s, in ns: √(2d·sum·10¹⁸/product).
        let radicand = ceil_div(2 * d * sum * 1_000_000_000_000_000_000, product);
        ceil_sqrt(radicand)
    } else {
        ceil_div((2 * d * product + v * v * sum) * 1_000_000_000, 2 * v * product)
    };
    Time::from_ns(i64::try_from(ns).unwrap_or(i64::MAX))
}

fn ceil_div(a: i128, b: i128) -> i128 {
    -(-a).div_euclid(b)
}

/// The least integer whose square is at least `n`.
fn ceil_sqrt(n: i128) -> i128 {
    let n = n.unsigned_abs();
    let root = n.isqrt();
    let up = if root * root < n { root + 1 } else { root };
    i128::try_from(up).unwrap_or(i128::MAX)
}
