use crate::library::model::Feed;
use crate::quantity::{Length, Time};

/// Time of a move, rest to rest, as fast as the limits of the feed allow.
///
/// Without a jerk a trapezoid. With d_c = v²/2·(1/a₁ + 1/a₂): d ≤ d_c takes √(2d(1/a₁ + 1/a₂)),
/// a longer one d/v + v/2·(1/a₁ + 1/a₂).
///
/// With a jerk J, the acceleration a₁ and the deceleration a₂ are each reached and left at J. A
/// ramp between rest and speed v then takes t(v) = v/a + a/J where v ≥ a²/J, else 2√(v/J), and
/// covers v·t/2, for its speed over time is the same turned half round. So the top speed is
/// reached where d ≥ v/2·(t₁ + t₂), and the move takes d/v + (t₁ + t₂)/2. A shorter one takes
/// T = t₁ + t₂ at the peak speed 2d/T, which solves to
/// - (32d/J)^⅓ where neither acceleration is reached: d ≤ 2a³/J² for the lesser, a;
/// - (P + 2Q + √(P² + 4PQ))/2 with P = a/J and Q = √(2d/a), a the lesser, where only that is
///   reached: up to d = b²(a + b)²/(2aJ²), b the greater;
/// - (C + √(C² + 8d(1/a₁ + 1/a₂)))/2 with C = (a₁ + a₂)/J where both are.
///
/// Derived here; `tests/motion.rs` integrates the motion in small steps and compares.
///
/// The distance is taken in micrometres, away from zero, and everything is rounded up: never too
/// short, at most 1 ns over the exact time rounded up. Good for rates of 1 to 10⁹ µm/s or µm/s²,
/// a jerk of 10³ to 10¹² µm/s³, and distances within [`Length::LIMIT`] of each other.
pub fn move_time(feed: &Feed, distance: Length) -> Time {
    let d = i128::from(distance.abs().um_outward());
    let (v, a1, a2) =
        (i128::from(feed.speed), i128::from(feed.acceleration), i128::from(feed.deceleration));
    if d == 0 || v <= 0 || a1 <= 0 || a2 <= 0 {
        return Time::ZERO;
    }
    let ns = match feed.jerk {
        None => trapezoid(d, v, a1, a2),
        Some(jerk) => ceil_div(jerk_limited(d, v, a1, a2, i128::from(jerk.max(1))), 1_000),
    };
    Time::from_ns(i64::try_from(ns).unwrap_or(i64::MAX))
}

/// Picoseconds in a second: what jerk-limited times are reckoned in before they are rounded.
const PS: i128 = 1_000_000_000_000;

/// In nanoseconds.
fn trapezoid(d: i128, v: i128, a1: i128, a2: i128) -> i128 {
    let sum = a1 + a2;
    let product = a1 * a2;
    // d ≤ v²·(a₁+a₂)/(2·a₁·a₂), without dividing.
    if 2 * d * product <= v * v * sum {
        // √(2d·(a₁+a₂)/(a₁·a₂)) s, in ns: √(2d·sum·10¹⁸/product).
        let radicand = ceil_div(2 * d * sum * 1_000_000_000_000_000_000, product);
        ceil_sqrt(radicand)
    } else {
        ceil_div((2 * d * product + v * v * sum) * 1_000_000_000, 2 * v * product)
    }
}

/// In picoseconds.
fn jerk_limited(d: i128, v: i128, a1: i128, a2: i128, j: i128) -> i128 {
    let ramps = ramp(v, a1, j) + ramp(v, a2, j);
    let cruising = || ceil_div(d * PS, v) + ceil_div(ramps, 2);
    let peaking = || peaking(d, a1.min(a2), a1.max(a2), j);
    // Each of the two ramps is less than 4 ps too long: where that decides, the longer of both.
    if 2 * d * PS >= v * ramps {
        cruising()
    } else if 2 * d * PS + 8 * v >= v * ramps {
        cruising().max(peaking())
    } else {
        peaking()
    }
}

/// From rest to `v` or back, at an acceleration of at most `a`: in picoseconds.
fn ramp(v: i128, a: i128, j: i128) -> i128 {
    if v * j >= a * a {
        ceil_div(v * PS, a) + ceil_div(a * PS, j)
    } else {
        2 * ceil_sqrt(ceil_div(v * PS * PS, j))
    }
}

/// A move too short for the top speed, `a` the lesser of the accelerations: in picoseconds.
fn peaking(d: i128, a: i128, b: i128, j: i128) -> i128 {
    if d * j * j <= 2 * a * a * a {
        // In ns³, divided in two steps: 32d·10²⁷ itself may not fit.
        let scaled = 32 * d * 1_000_000_000_000_000;
        let cube = scaled / j * PS + ceil_div(scaled % j * PS, j);
        return ceil_cbrt(cube) * 1_000;
    }
    let end = b * b * (a + b) * (a + b);
    if (2 * a * j * j).checked_mul(d).is_some_and(|reached| reached <= end) {
        let p = ceil_div(a * PS, j);
        let q = ceil_sqrt(ceil_div(2 * d * PS * PS, a));
        ceil_div(p + 2 * q + ceil_sqrt(p * p + 4 * p * q), 2)
    } else {
        let c = ceil_div((a + b) * PS, j);
        let radicand = c * c + ceil_div(8 * d * PS * PS, a) + ceil_div(8 * d * PS * PS, b);
        ceil_div(c + ceil_sqrt(radicand), 2)
    }
}

fn ceil_div(a: i128, b: i128) -> i128 {
    -(-a).div_euclid(b)
}

/// The least integer whose square is at least `n`.
fn ceil_sqrt(n: i128) -> i128 {
    let n = n.unsigned_abs();
    // Most are moves of metres at most, whose squares fit: that root is quicker.
    let root = u64::try_from(n).map_or_else(|_| n.isqrt(), |n| u128::from(n.isqrt()));
    let up = if root * root < n { root + 1 } else { root };
    i128::try_from(up).unwrap_or(i128::MAX)
}

/// The least integer whose cube is at least `n`.
fn ceil_cbrt(n: i128) -> i128 {
    let (mut low, mut high) = (0, 1_i128 << ((128 - n.leading_zeros()) / 3 + 1).min(42));
    while low < high {
        let middle = (low + high) / 2;
        if middle * middle * middle >= n { high = middle } else { low = middle + 1 }
    }
    low
}
