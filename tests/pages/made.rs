//! Batches planned in memory, and what their papers have to say.

use coilwright::diagnostic::Diagnostic;
use coilwright::library::model::Units;
use coilwright::member::model::{End, Feature, Place, Shape};
use coilwright::plan::{self, Options, Plan, Shop};
use coilwright::quantity::{Files, Length, MemoryFiles, Sources};
use coilwright::report::units::figure;
use coilwright::report::{Report, Source};
use serde_json::{Value, json};
use std::path::Path;

pub struct Planned {
    pub shop: Shop,
    pub plan: Plan,
    pub found: Vec<(Diagnostic, Option<String>)>,
}

impl Planned {
    pub fn of(files: &dyn Files, batch: &str) -> Planned {
        let (shop, mut found) = Shop::open(files, &mut Sources::default(), batch);
        assert!(found.iter().all(|d| !d.is_error()), "{found:?}");
        let shop = shop.unwrap();
        let options = Options { ticks: shop.loaded.batch.effort.ticks, threads: 1 };
        let (plan, told) = plan::plan(&shop.inputs(), &options, &());
        found.extend(told);
        let found = found.into_iter().map(|d| (d, None)).collect();
        Planned { plan: plan.unwrap(), shop, found }
    }
    /// A batch of the fixtures.
    pub fn fixture(name: &str) -> Planned {
        let mut files = MemoryFiles::default();
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(name);
        collect(&root, &root, &mut files);
        Planned::of(&files, "batch.toml")
    }
    pub fn with<T>(&self, make: impl FnOnce(&Source<'_>, &Report) -> T) -> T {
        let waived = self.shop.waived();
        let inputs = self.shop.inputs();
        let source = Source {
            inputs: &inputs,
            plan: &self.plan,
            ticks: 1,
            waived: &waived,
            findings: &self.found,
        };
        make(&source, &Report::of(&source))
    }
}

pub fn collect(root: &Path, folder: &Path, files: &mut MemoryFiles) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            collect(root, &path, files);
        } else {
            let name = path.strip_prefix(root).unwrap().to_str().unwrap().replace('\\', "/");
            files.0.insert(name, std::fs::read(&path).unwrap());
        }
    }
}

/// Where a feature is taped from the leading end: said once more, from the drawing's words.
pub fn taped(feature: &Feature, shape: &Shape, units: Units) -> String {
    let on = |at: coilwright::member::model::Position| at.on(shape.length).distance();
    match feature.place {
        Place::Point { at, .. } => figure(on(at), units),
        Place::Range { from, to, .. } => {
            format!("{} to {}", figure(on(from), units), figure(on(to), units))
        }
        Place::End { end: End::Start, .. } => figure(feature.outline.length(), units),
        Place::End { end: End::End, .. } => figure(shape.length - feature.outline.length(), units),
    }
}

/// Of every piece: what it is called, its length, and where its features are.
pub fn expected(of: &Planned) -> Value {
    let units = of.shop.loaded.batch.units;
    let pieces: Vec<Value> = of
        .plan
        .runs
        .iter()
        .flat_map(|run| &run.pieces)
        .map(|piece| {
            let (job, frame, member) = piece.member.of(&of.shop.jobs).unwrap();
            let turned = piece.turned.then(|| piece.shape.turned()).flatten();
            let shape = turned.as_ref().unwrap_or(&piece.shape);
            let mut at: Vec<String> =
                shape.features.iter().map(|f| taped(f, shape, units)).collect();
            at.sort();
            json!({
                "serial": piece.serial.0,
                "job": job.name,
                "frame": frame.name,
                "copy": piece.member.copy + 1,
                "mark": member.mark,
                "length": figure(shape.length, units),
                "length_nm": shape.length.nm(),
                "at": at,
                "source": member.origin.as_ref().map(ToString::to_string),
            })
        })
        .collect();
    json!({ "batch": of.shop.loaded.batch.name, "pieces": pieces })
}

/// A batch as files in a folder, with what its papers have to say.
pub fn export(name: &str, files: &MemoryFiles, of: &Planned) {
    let Some(folder) = std::env::var_os("COILWRIGHT_EXPORT") else { return };
    let folder = Path::new(&folder).join(name);
    for (file, bytes) in &files.0 {
        let path = folder.join(file);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("expected.json"), expected(of).to_string()).unwrap();
}

pub fn nm(value: &Value) -> Length {
    Length::from_nm(value.as_i64().unwrap())
}
