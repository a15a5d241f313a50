//! How near to the bound houses on mixed part-used coils come, and how long planning them takes,
//! as ratios to planning the same on fresh coils. `cargo bench --bench nest`; with a part of a
//! case's name behind `--`, that case.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    clippy::indexing_slicing,
    clippy::float_arithmetic,
    missing_docs
)]

#[path = "house/mod.rs"]
mod house;

use coilwright::plan::{self, Least, Options, Plan, Proof, Shop};
use coilwright::quantity::{Length, Sources};
use std::fmt::Write;
use std::time::{Duration, Instant};

/// Coils of both widths that are part-used, between these lengths in metres, enough for so many
/// houses and a fifth to spare; every fourth has a defect.
fn part_used(houses: u32, from: u64, to: u64) -> String {
    let mut out = String::new();
    let mut seed = 11_u64;
    let mut roll = |n: u64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963);
        (seed >> 33) % n
    };
    for (letter, width, of_a_house) in [('W', 188, 1_720_u64), ('N', 117, 250)] {
        let mut wanted = u64::from(houses) * of_a_house * 6 / 5 + to;
        let mut number = 0;
        while wanted > 0 {
            number += 1;
            let length = (from + roll(to - from + 1)).min(wanted.max(from));
            let tenths = roll(10);
            let _ = writeln!(
                out,
                "[[coil]]\nid = \"{letter}-{number:03}\"\nstrip-width = \"{width} mm\"\n\
                 thickness = \"0.75 mm\"\ngrade = \"G550\"\ncoating = \"Z275\"\n\
                 length = \"{length}.{tenths} m\"\nuncertainty = \"1 %\"\npart-used = true"
            );
            if number % 4 == 0 {
                let at = length / 3;
                let _ = writeln!(out, "defects = [{{ from = \"{at} m\", to = \"{at}.6 m\" }}]");
            }
            wanted = wanted.saturating_sub(length);
        }
    }
    out
}

fn shop(houses: u32, stock: Option<String>, batch: &[(&str, &str)]) -> Shop {
    let mut files = house::files(houses);
    if let Some(stock) = stock {
        files.0.insert("shop/stock.toml".into(), stock.into_bytes());
    }
    let mut text = String::from_utf8(files.0[house::BATCH].clone()).unwrap();
    for (from, to) in batch {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    files.0.insert(house::BATCH.into(), text.into_bytes());
    let (shop, found) = Shop::open(&files, &mut Sources::default(), house::BATCH);
    shop.unwrap_or_else(|| panic!("{found:#?}"))
}

fn planned(shop: &Shop) -> (Plan, Duration) {
    let begun = Instant::now();
    let options = Options { ticks: TICKS, threads: 1 };
    let (plan, found) = plan::plan(&shop.inputs(), &options, &());
    (plan.unwrap_or_else(|| panic!("{found:#?}")), begun.elapsed())
}

fn share(over: Length, of: Length) -> String {
    format!("{:.3} %", 100.0 * over.nm() as f64 / of.nm().max(1) as f64)
}

/// Normal effort.
const TICKS: u64 = 400_000;

/// Its name, houses, lengths of coils in metres, and what of the batch file is replaced.
type Case<'a> = (&'a str, u32, (u64, u64), &'a [(&'a str, &'a str)]);

fn main() {
    let free = ("order = \"as-listed\"", "order = \"free\"");
    let none = ("bundling = \"frame\"", "bundling = \"none\"");
    let alone = ("coil-change-worth = \"6 m\"", "coil-change-worth = \"0 m\"");
    let cases: [Case<'_>; 9] = [
        ("1 house, coils of 60 to 400 m", 1, (60, 400), &[]),
        ("1 house, the same, changes not valued", 1, (60, 400), &[alone]),
        ("1 house, the same, frames parted", 1, (60, 400), &[none, alone]),
        ("1 house, coils of 100 to 900 m", 1, (100, 900), &[]),
        ("100 houses, coils of 100 to 900 m, as listed", 100, (100, 900), &[]),
        ("100 houses, the same, in any order", 100, (100, 900), &[free]),
        ("100 houses, coils of 60 to 400 m, in any order", 100, (60, 400), &[free]),
        ("100 houses, the same, frames parted", 100, (60, 400), &[free, none]),
        ("100 houses, as listed, frames parted", 100, (60, 400), &[none]),
    ];
    let asked: Vec<String> = std::env::args().skip(1).filter(|arg| !arg.starts_with('-')).collect();
    let wanted = |name: &str| asked.is_empty() || asked.iter().any(|part| name.contains(part));
    for (name, houses, (from, to), batch) in cases.into_iter().filter(|case| wanted(case.0)) {
        let (_, fresh) = planned(&shop(houses, None, batch));
        let mixed = shop(houses, Some(part_used(houses, from, to)), batch);
        let (plan, took) = planned(&mixed);
        println!(
            "{name}: {} coils, {:.2} s, {:.2} times fresh coils",
            plan.runs.len(),
            took.as_secs_f64(),
            took.as_secs_f64() / fresh.as_secs_f64()
        );
        for of in &plan.profiles {
            let Some(bound) = of.bound else {
                println!("  short of strip");
                continue;
            };
            let worth = of.worth.map_or(String::new(), |worth| {
                format!(", changes counted {}", share(worth.plan - worth.bound, worth.bound))
            });
            let met = |proof: &&Proof| match (proof.least, of.worth) {
                (Least::Worth, Some(worth)) => proof.strip() >= worth.plan,
                _ => proof.strip() >= of.used,
            };
            let proved = of.proofs.iter().filter(met).count();
            println!(
                "  {} over the bound on strip{worth}; {} bounds certified, met {proved}",
                share(of.used - bound, bound),
                of.proofs.len(),
            );
        }
    }
}
