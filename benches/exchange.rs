//! Reading what drawing offices write: a list of 10⁶ rows, an IFC model of 50 MB; what is read is in
//! memory already. Beside the times the most memory of the process, as Linux counts it, the text
//! itself included. `cargo bench --bench exchange`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::float_arithmetic,
    missing_docs
)]

#[path = "house/peak.rs"]
mod peak;

use coilwright::exchange::{self, Choice, Map, load_map, members_text};
use coilwright::library::load_library;
use coilwright::library::model::Library;
use coilwright::member::resolve::resolve;
use coilwright::quantity::{MemoryFiles, SourceFile, Sources};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use peak::{megabytes, peak, reset};
use std::fmt::Write;
use std::path::Path;

/// The boatshed with its shop.
fn boatshed() -> (MemoryFiles, Library) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatshed");
    let mut files = MemoryFiles::default();
    for folder in ["members", "shop"] {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            let name = format!("{folder}/{}", path.file_name().unwrap().to_str().unwrap());
            files.0.insert(name, std::fs::read(path).unwrap());
        }
    }
    let library = load_library(&files, &mut Sources::default(), "shop/library.toml").0.unwrap();
    (files, library)
}

/// A model of about so many bytes: the boatshed as often as that takes, as `export` writes it.
fn model(bytes: usize) -> String {
    let (files, library) = boatshed();
    let paths = [("members/job.members".to_string(), None)];
    let (mut jobs, _) =
        resolve(&files, &mut Sources::default(), &paths, &library, "{frame} {mark}");
    let mut job = jobs.remove(0);
    let words = |names: &[&str]| names.iter().map(|name| name.to_string()).collect();
    let choice = Choice {
        cut: words(&["hole", "pilot", "service-hole", "lip-notch", "lip-cut", "web-cut"]),
        pressed: words(&["dimple", "swage", "joggle"]),
        leave_out: Vec::new(),
    };
    let text = |job: &_| {
        let drawn = exchange::drawn(job, &library, |frame, mark| format!("{frame} {mark}"));
        exchange::ifc::write(job, &drawn, &library, &choice).unwrap()
    };
    let times = u32::try_from(bytes / text(&job).len()).unwrap() + 1;
    for frame in &mut job.frames {
        frame.quantity *= times;
    }
    text(&job)
}

fn list(rows: usize) -> String {
    let mut text = String::from("Panel,Piece,Use,Section,Cut,Op,X\n");
    for row in 0..rows {
        let (member, place) = (row / 12, row % 12);
        writeln!(
            text,
            "P{},S{member},stud,C90x40-0.75,{}.5,D,{}.25",
            member / 20,
            2_396 + member % 50,
            20 + place * 150
        )
        .unwrap();
    }
    text
}

const MAP: &str = r#"
[table]
unit = "mm"
rows = "feature"
[job]
name = "BIG"
[columns]
frame = "Panel"
mark = "Piece"
usage = "Use"
profile = "Section"
length = "Cut"
[[features]]
code = "Op"
at = "X"
[[code]]
code = "D"
feature = "dimple"
"#;

/// Times one reading, and tells the most memory it has taken.
fn measure(criterion: &mut Criterion, what: &str, bytes: usize, mut run: impl FnMut()) {
    reset();
    run();
    println!("{what}, {:.1} MB: {} at most", bytes as f64 / 1e6, megabytes(peak()));
    let mut group = criterion.benchmark_group("exchange");
    group.sample_size(10);
    group.throughput(Throughput::Bytes(u64::try_from(bytes).unwrap()));
    group.bench_function(what, |bencher| bencher.iter(&mut run));
    group.finish();
}

fn models(criterion: &mut Criterion) {
    let text = model(50_000_000);
    let bytes = text.len();
    let (_, library) = boatshed();
    let nothing = Map::empty();
    for (what, text) in [
        ("IFC that this program wrote", text.clone()),
        ("IFC by its geometry alone", text.replace("Coilwright_", "Another_")),
    ] {
        let mut sources = Sources::default();
        let file = sources.add(SourceFile::new("model.ifc", text));
        measure(criterion, what, bytes, || {
            let (read, found) = exchange::ifc::read(&sources, file, &nothing, Some(&library));
            let count = read.unwrap().0.members().count();
            assert!(found.is_empty() && count == 198, "{count}: {:?}", found.first());
        });
    }
}

fn lists(criterion: &mut Criterion) {
    let files = MemoryFiles::of([("map.toml", MAP)]);
    let mut sources = Sources::default();
    let map = load_map(&files, &mut sources, "map.toml").0.unwrap();
    let text = list(1_000_000);
    let bytes = text.len();
    let file = sources.add(SourceFile::new("list.csv", text));
    measure(criterion, "CSV of a million rows, to members text", bytes, || {
        let (read, _) = exchange::csv::read(&sources, file, &map);
        assert!(members_text(&read.unwrap().0).unwrap().len() > 10_000_000);
    });
}

criterion_group!(benches, lists, models);
criterion_main!(benches);
