use super::Joints;
use super::random::Random;
use super::text::{list, member};
use super::walls::JOINT;
use std::fmt::Write;

/// Bolt to the end of a truss web, first vertical to the end of the bottom chord, diagonal from
/// the nearest vertical on plan, eaves along the top chord; in millimetres.
const BOLT_EDGE: i64 = 30;
const EDGE: i64 = 48;
const BESIDE: i64 = 120;
const EAVES: i64 = 450;
const HEEL: i64 = 240;

/// A web between a node on the bottom chord and one on the top chord, on plan from the heel.
#[derive(Clone, Copy)]
struct Web {
    bottom: i64,
    top: i64,
}

/// Gable trusses of 7 in 24, alike on both sides, with chords of two pieces each. Truss webs lie
/// back to back against the chords and are held by one bolt at each end, or nest in them and are held by
/// screws: everything is cut square.
pub fn write(out: &mut String, random: &mut Random, joints: Joints) {
    // A 7-24-25 triangle: whole millimetres along the top chord for every 24 on plan.
    let half = 24 * random.between(160, 176);
    let third = 24 * (half / 24 / 2);
    let ridge = half - 24 * 10;
    let common = [
        Web { bottom: 0, top: 0 },
        Web { bottom: BESIDE, top: third },
        Web { bottom: third + BESIDE, top: ridge - BESIDE },
        Web { bottom: ridge, top: ridge },
    ];
    let step = 24 * (half / 24 / 6);
    let gable: Vec<Web> = (0..6).map(|i| Web { bottom: i * step, top: i * step }).collect();
    let count = random.between(22, 26);
    for number in 1..=count {
        let webs: &[Web] = if number == 1 || number == count { &gable } else { &common };
        truss(out, &format!("R{number:02}"), half, webs, joints);
    }
}

fn truss(out: &mut String, name: &str, half: i64, webs: &[Web], joints: Joints) {
    let _ = writeln!(out, "frame {name} truss \"truss\" profile C90 {{");
    let node = match joints {
        Joints::Lapped => "hole 13",
        Joints::Nested => "dimple",
    };
    let bottom: Vec<i64> = webs.iter().map(|w| EDGE + w.bottom).collect();
    let top: Vec<i64> = webs.iter().map(|w| EAVES + w.top * 25 / 24).collect();
    for side in ["L", "R"] {
        // Square ends leave a gap of two times 24 on plan under the ridge.
        let lines = [format!("{node} at {}", list(&top)), "hole 13 at end - 60".to_string()];
        let length = EAVES + (half - 24) * 25 / 24;
        member(out, &format!("T{side}"), "top chord", 100 * length, &lines);
        let spliced = "hole 13 at end - 180, end - 60".to_string();
        let lines = [format!("{node} at {}", list(&bottom)), spliced];
        member(out, &format!("B{side}"), "bottom chord", 100 * (EDGE + half), &lines);
    }
    let splice = ["hole 13, both ends at 120, 240".to_string()];
    member(out, "SP", "other", 100 * 600, &splice);
    // The top chords' last bolts are (25 + 60) · 24/25 on plan from the ridge.
    let apex = ["hole 13, both ends at 218.4".to_string()];
    member(out, "AP", "other", 100 * 600, &apex);
    for side in ["L", "R"] {
        for (number, web) in (1..).zip(webs) {
            let rise = HEEL + web.top * 7 / 24;
            let run = web.top - web.bottom;
            // To a hundredth of a millimetre.
            let distance = (10_000 * (rise * rise + run * run)).isqrt();
            let (usage, edge, lines) = match joints {
                Joints::Lapped => {
                    let bolts = format!("hole 13, both ends at {BOLT_EDGE}");
                    ("truss web profile U60", BOLT_EDGE, vec![bolts])
                }
                Joints::Nested => {
                    let screws = format!("dimple, both ends at {JOINT}");
                    ("truss web", JOINT, vec!["swage both ends".to_string(), screws])
                }
            };
            member(out, &format!("V{side}{number}"), usage, distance + 200 * edge, &lines);
        }
    }
    out.push_str("}\n\n");
}
