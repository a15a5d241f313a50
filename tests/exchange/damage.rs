//! Files that are damaged at random are refused or read, and never break the program.

use super::shop::{Dice, Scope, drawn, job, library, random, source, with_map};
use coilwright::exchange::{self, Choice, members_text};
use coilwright::quantity::{MemoryFiles, Sources};

/// Bytes changed, cut, doubled, taken out; still text, as the loader makes sure of.
fn damaged(dice: &mut Dice, text: &str) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..1 + dice.roll(6) {
        if bytes.is_empty() {
            break;
        }
        let at = dice.roll(bytes.len() as u64) as usize;
        let to = (at + dice.roll(40) as usize).min(bytes.len());
        match dice.roll(6) {
            0 => bytes[at] = b"();,'\"#$*/\\0123456789.-=\n ABCuos\xff"[dice.roll(32) as usize],
            1 => bytes.truncate(at),
            2 => drop(bytes.drain(at..to)),
            3 => {
                let piece = bytes[at..to].to_vec();
                let into = dice.roll(bytes.len() as u64) as usize;
                bytes.splice(into..into, piece);
            }
            4 => bytes.insert(at, b"();,'\"#\n9"[dice.roll(9) as usize]),
            _ => bytes.swap(at, to.saturating_sub(1)),
        }
    }
    String::from_utf8_lossy(&bytes).to_string()
}

#[test]
fn damage_never_breaks_a_reader() {
    let library = library();
    let one = random(
        &mut Dice(7),
        Scope { all: true, outlines: false, profiles: &["C90x40-0.75", "U60x30-0.75", "H42"] },
    );
    let one = job(&members_text(&one).unwrap(), &library);
    let words = |names: &[&str]| names.iter().map(|name| name.to_string()).collect();
    let choice = Choice {
        cut: words(&["hole", "service-hole", "slot", "lip-notch", "flange-notch"]),
        pressed: words(&["dimple", "swage"]),
        leave_out: vec![],
    };
    let names = drawn(&one, &library);
    let ifc = exchange::ifc::write(&one, &names, &library, &choice).unwrap();
    let bare = ifc.replace("Coilwright_", "Another_");
    let json = exchange::json::write(&names);
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatshed/office");
    let list = std::fs::read_to_string(root.join("lean-to.csv")).unwrap();
    let map_text = std::fs::read_to_string(root.join("map.toml")).unwrap()
        + "[[opening]]\ndiameter = \"14 mm\"\nfeature = \"hole\"\n"
        + "[[opening]]\nlength = \"60 mm\"\nwidth = \"32 mm\"\nfeature = \"service-hole\"\n";
    let nc = "ST\n  KP\n  N1\n  B\n  B1\n  G\n  1\n  C90\n  C\n  2400\n  90\n  40\n  0.75\n  0.75\n  1.5\n  1\n  1\n  0\n  0\n  0\n  0\n  stud\n  wall\n\n\nAK\n v 0u 0 0\n 2370.00 0 0\n 2400 90 0\n 0 90 0\n 0 0 0\nAK\n u 0u 0 0\n 2370 0 0 -18.4 0\n 2370 40 0\n 0 40 0\n 0 0 0\nSI\n v 60s 45 0 10 N1 B1\nIK\n v 900u 29 0\n 928 29 16\n 928 61 0\n 900 61 16\n 900 29 0\nIK\n o 907u 20 -7\n 893 20 -7\n 907 20 0\nBO\n  v  310u 45 14 0\n v 450u 45 32 0 28 0 0\nEN\n";
    let mut read = [0_usize; 6];
    let mut dice = Dice(11);
    // `COILWRIGHT_DAMAGES=20000` tries so many of each format.
    let each = std::env::var("COILWRIGHT_DAMAGES").map_or(500, |n| n.parse().unwrap());
    for round in 0..6 * each {
        let kind = round % 6;
        let original = [&list, &json, &ifc, &bare, nc, &map_text][kind];
        let text = damaged(&mut dice, original);
        let (good, sources, file) = with_map(&map_text, "damaged", &text);
        let (job, found) = match kind {
            0 => exchange::csv::read(&sources, file, &good),
            1 => exchange::json::load(&sources, file),
            2 | 3 => exchange::ifc::read(&sources, file, &good, Some(&library)),
            4 => exchange::nc::read(&sources, file, &good, None),
            _ => {
                let files = MemoryFiles::of([("map.toml", text.as_str())]);
                let (map, found) = exchange::load_map(&files, &mut Sources::default(), "map.toml");
                match map {
                    Some(map) => {
                        let (sources, file) = source("list.csv", &list);
                        exchange::csv::read(&sources, file, &map)
                    }
                    None => (None, found),
                }
            }
        };
        assert!(job.is_some() || found.iter().any(|d| d.is_error()), "nothing is said of:\n{text}");
        for finding in &found {
            assert!(finding.help.is_some(), "{}", finding.message);
            for label in &finding.labels {
                let len = sources.get(label.span.file).map_or(0, |s| s.text().len());
                assert!(
                    kind == 5
                        || (label.span.end as usize <= len && label.span.start <= label.span.end),
                    "{finding:?}"
                );
            }
        }
        if let Some((job, answer)) = job {
            read[kind] += 1;
            let _refused_or_written = members_text(&job);
            assert!(!answer.text(&job).is_empty());
        }
    }
    assert!(read.iter().all(|&n| n > 0), "{read:?}");
}
