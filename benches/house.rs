//! What a house costs: from text to replayed bytes, growth from 1 to 100 houses, and each stage
//! apart. The house is the modelled one of `house/mod.rs`, at quick effort, on one thread, without
//! the disk.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

#[path = "house/mod.rs"]
mod house;

use coilwright::check;
use coilwright::language::parse;
use coilwright::member::model::{Job, Shape};
use coilwright::member::resolve::{load_members, make};
use coilwright::plan::{self, Shop};
use coilwright::quantity::{FileId, MemoryFiles, Sources};
use coilwright::replay::{self, Ending, Expected, Situation};
use coilwright::report::papers::{self, Made};
use coilwright::report::{Report, Source, run_sheet};
use coilwright::tooling::{self, Geometry};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use std::collections::BTreeMap;
use std::hint::black_box;
use std::sync::Arc;
use std::time::Duration;

fn shapes(shop: &Shop) -> Vec<&Arc<Shape>> {
    let mut shapes: BTreeMap<*const Shape, &Arc<Shape>> = BTreeMap::new();
    for (_, member) in shop.jobs.iter().flat_map(Job::members) {
        shapes.entry(Arc::as_ptr(&member.shape)).or_insert(&member.shape);
    }
    shapes.into_values().collect()
}

/// Everything `compile` does but the disk and the papers.
fn text_to_replayed_bytes(files: &MemoryFiles) -> usize {
    house::plan(&house::open(files)).runs.iter().map(|run| run.printed.bytes.len()).sum()
}

fn whole(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("text to replayed bytes");
    for houses in [1, 10, 100] {
        let files = house::files(houses);
        let shop = house::open(&files);
        let members = shop.jobs.iter().flat_map(Job::members).count();
        group.throughput(Throughput::Elements(members as u64));
        group.sample_size(if houses == 1 { 50 } else { 10 });
        group.measurement_time(Duration::from_secs(if houses == 100 { 20 } else { 5 }));
        group.bench_function(format!("{houses} houses"), |bencher| {
            bencher.iter(|| text_to_replayed_bytes(black_box(&files)));
        });
    }
    let mut files = house::files(1);
    let batch = String::from_utf8(files.0[house::BATCH].clone()).unwrap();
    let normal = batch.replace("effort = \"quick\"", "effort = \"normal\"");
    files.0.insert(house::BATCH.into(), normal.into_bytes());
    group.sample_size(10);
    group.bench_function("1 house, normal effort", |bencher| {
        bencher.iter(|| text_to_replayed_bytes(black_box(&files)));
    });
    group.finish();
}

fn stages(criterion: &mut Criterion) {
    let files = house::files(1);
    let text = house::members(1);
    let shop = house::open(&files);
    let mut group = criterion.benchmark_group("one house");
    group.sample_size(50);
    group.throughput(Throughput::Bytes(text.len() as u64));
    group.bench_function("parse", |bencher| {
        bencher.iter(|| parse(FileId(0), black_box(&text)));
    });
    let members = shop.jobs.iter().flat_map(Job::members).count();
    group.throughput(Throughput::Elements(members as u64));
    group.bench_function("resolve", |bencher| {
        let paths: Vec<_> = shop.loaded.jobs.iter().map(|(p, at)| (p.clone(), Some(*at))).collect();
        let (loaded, _) = load_members(&files, &mut Sources::default(), &paths);
        let batch = &shop.loaded.batch;
        bencher.iter(|| make(black_box(&loaded), &shop.loaded.library, &batch.mark_text));
    });
    group.bench_function("check", |bencher| {
        bencher.iter(|| check::check(black_box(&shop.jobs), &shop.loaded.library));
    });
    group.bench_function("bind", |bencher| {
        let shapes = shapes(&shop);
        let line = &shop.loaded.line;
        let span = shop.jobs[0].span;
        bencher.iter(|| {
            for shape in &shapes {
                let geometry = Geometry::new(line, &shop.loaded.calibration, shape.profile);
                let bound = tooling::bind(shape, "", span, &shop.loaded.library, line, &geometry);
                assert!(black_box(bound).0.is_some());
            }
        });
    });
    group.bench_function("plan (bind to judge)", |bencher| bencher.iter(|| house::plan(&shop)));
    let plan = house::plan(&shop);
    let bytes: usize = plan.runs.iter().map(|run| run.printed.bytes.len()).sum();
    group.throughput(Throughput::Bytes(bytes as u64));
    group.bench_function("print and read back", |bencher| {
        bencher.iter(|| {
            for run in &plan.runs {
                black_box(shop.dialect.print(&run.program).unwrap());
            }
        });
    });
    group.throughput(Throughput::Elements(members as u64));
    group.bench_function("replay and judge", |bencher| {
        bencher.iter(|| plan.runs.iter().for_each(|run| replay_and_judge(&shop, run)));
    });
    group.finish();
}

/// Report, run sheet in three forms and schedule in three, of a plan that stands.
fn papers_of_ten(criterion: &mut Criterion) {
    let shop = house::open(&house::files(10));
    let plan = house::plan(&shop);
    let inputs = &shop.inputs();
    let source = Source { inputs, plan: &plan, ticks: 0, waived: &[], findings: &[] };
    let report = Report::of(&source);
    let made = Made { report: &report, inputs, plan: &plan };
    let mut group = criterion.benchmark_group("papers of 10 houses");
    group.sample_size(10);
    group.throughput(Throughput::Elements(report.total.pieces as u64));
    group.bench_function("report", |bencher| bencher.iter(|| Report::of(black_box(&source))));
    group.bench_function("run sheet in Markdown", |bencher| {
        bencher.iter(|| run_sheet::print(black_box(&report), inputs, &plan));
    });
    for kind in ["run-sheet", "schedule"] {
        group.bench_function(kind, |bencher| {
            bencher.iter(|| papers::make(&[kind], black_box(&made)).files.len());
        });
    }
    group.finish();
}

fn replay_and_judge(shop: &Shop, run: &plan::Run) {
    let situation = Situation {
        line: &shop.loaded.line,
        calibration: &shop.loaded.calibration,
        profile: run.profile,
        library: &shop.loaded.library,
        coil: &run.coil,
        ending: Ending {
            keep: shop.loaded.batch.keep,
            at_end: coilwright::library::model::AtEnd::Unload,
        },
    };
    let (products, refused) = replay::replay(&run.program, None, &situation);
    assert!(refused.is_empty());
    let expected: Vec<Expected<'_>> = run
        .pieces
        .iter()
        .map(|piece| Expected {
            serial: piece.serial,
            mark_text: piece.mark.as_deref().unwrap_or(""),
            shape: &piece.shape,
        })
        .collect();
    let (_, wrong) = black_box(replay::judge(&products, &expected, &shop.loaded.library));
    assert!(wrong.is_empty());
}

criterion_group!(benches, stages, papers_of_ten, whole);
criterion_main!(benches);
