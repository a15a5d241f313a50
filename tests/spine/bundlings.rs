//! Random shops under every bundling: who allows more never gets a worse plan.

use super::*;

/// From the tightest on.
const LOOSER: [Bundling; 6] = [
    Bundling::Frame,
    Bundling::Open(1),
    Bundling::Open(2),
    Bundling::Open(3),
    Bundling::Open(4),
    Bundling::None,
];

/// What is not made, and what is used up with changes counted; where something is short that is
/// not told.
fn comes_to(plan: &Plan) -> (Length, Length) {
    let of = &plan.profiles[0];
    match of.shortage {
        Some(short) => (short.strip, Length::ZERO),
        None => (Length::ZERO, of.worth.map_or(of.used, |worth| worth.plan)),
    }
}

#[test]
fn looser_bundling_is_never_worse() {
    let (mut compared, mut better, mut short) = (0, 0, 0);
    for seed in 0..shops(160) {
        let mut shop = shop(seed);
        let mut before: Vec<((Length, Length), Bundling)> = Vec::new();
        for bundling in LOOSER {
            shop.batch.bundling = bundling;
            let (Some(plan), found) = compile(&shop, 1) else { continue };
            let now = comes_to(&plan);
            for (tighter, of) in &before {
                assert!(now <= *tighter, "seed {seed}: {bundling:?} {now:?}, {of:?} {tighter:?}");
                compared += 1;
                better += usize::from(now < *tighter);
            }
            short += usize::from(now.0 > Length::ZERO);
            // A frame in two parts may be unfinished beside another.
            let parted = found.iter().any(|found| found.code.number == "W0603");
            if !parted || bundling == Bundling::None {
                before.push((now, bundling));
            }
        }
    }
    println!("{compared} compared, {better} better with more freedom, {short} short");
    assert!(compared > 300 && better > 40 && short > 30, "{compared} {better} {short}");
}
