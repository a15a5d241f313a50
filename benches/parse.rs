//! Ten megabytes of members text to a tree, with all places and comments.
#![allow(missing_docs)]

use coilwright::language::parse;
use coilwright::quantity::FileId;
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use std::fmt::Write;
use std::hint::black_box;

/// Walls as a detailer's script writes them: recipes, plates, studs, openings, comments.
fn walls(bytes: usize) -> String {
    let mut text = String::from(include_str!("../fixtures/language/stud-recipes.members"));
    text.push_str(
        "job KP07 \"Kestrel Point boatshed\" revision B\nprofile C90 = \"C90x40-0.75\"\n",
    );
    let mut wall = 0;
    while text.len() < bytes {
        wall += 1;
        let length = 2_400 + wall % 40 * 30;
        let written = write!(
            text,
            "
# Wall {wall}, drawn with its window.
frame N{wall} wall \"north wall, bay {wall}\" profile C90 {{
  member S1..S7 stud = wall-stud(2386)
  member B1 bottom plate length {length} {{
    dimple on flanges at 45, every 600 from 600 to {length} - 600, end - 45
    hole 12 on web at 310, 1490, end - 310   # anchors between studs
  }}
  member T1 top plate length {length} {{
    dimple on flanges at 45, every 600 from 600 to {length} - 600, end - 45
  }}
  member K1, K2 king stud = wall-stud(2386, nogs = [1186]) {{
    hole 12 on web at 1186, 1226.5 tolerance 0.5
  }}
  member H1 lintel length 1290 {{
    swage both ends
    hole 12 on web across -20, 20 at 60, end - 60 tolerance -0.5/+1
  }}
  member C1..C3 cripple stud length 286 {{
    swage both ends
    dimple on flanges, both ends at 22
  }}
  member N1..N6 nogging length 560 {{
    swage both ends
    dimple on left flange and right flange, both ends at 22
    turnable
  }}
}}
"
        );
        written.ok();
    }
    text
}

fn parsing(criterion: &mut Criterion) {
    let text = walls(10_000_000);
    let (tree, findings) = parse(FileId(0), &text);
    assert!(findings.is_empty() && tree.comments.len() > 10_000, "{:?}", findings.first());
    // One member in fifty broken: recovery must not be slow.
    let mut members = 0;
    let broken: String = text
        .split_inclusive('\n')
        .map(|line| {
            members += usize::from(line.contains("member "));
            if members % 50 == 0 { line.replacen(" stud", " studd", 1) } else { line.into() }
        })
        .collect();
    assert!(!parse(FileId(0), &broken).1.is_empty());

    let mut group = criterion.benchmark_group("parse");
    group.sample_size(20);
    for (name, text) in [("10 MB", &text), ("10 MB, one member in fifty broken", &broken)] {
        group.throughput(Throughput::Bytes(text.len() as u64));
        group.bench_function(name, |bencher| {
            // Giving the tree back to the system is not reading.
            bencher.iter_with_large_drop(|| parse(FileId(0), black_box(text)));
        });
    }
    group.finish();
}

criterion_group!(benches, parsing);
criterion_main!(benches);
