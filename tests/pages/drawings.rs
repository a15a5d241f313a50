//! Drawings against the model they are made from: DXF by the Python library ezdxf, SVG by the crate
//! usvg. What has to be on them is said once more, from the members.
#![allow(clippy::float_arithmetic, reason = "figures are compared as others have them")]
#![allow(clippy::print_stdout, reason = "a test that cannot be made says so")]

use crate::{made, ugly};
use coilwright::library::model::{OutlineForm, Purpose};
use coilwright::member::model::{Outline, Place, Shape};
use coilwright::plan::Shop;
use coilwright::quantity::{MemoryFiles, Sources};
use coilwright::report::drawing::{self, Drawing, Layer, Part, dxf, svg};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;

const FIXTURES: [&str; 4] = ["boatshed", "landing", "porch", "slip-office"];

fn shops() -> Vec<Shop> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    let of = |files: &MemoryFiles| {
        let (shop, found) = Shop::open(files, &mut Sources::default(), "batch.toml");
        assert!(found.iter().all(|d| !d.is_error()), "{found:?}");
        shop.unwrap()
    };
    let fixtures = FIXTURES.iter().map(|name| {
        let mut files = MemoryFiles::default();
        made::collect(&root.join(name), &root.join(name), &mut files);
        of(&files)
    });
    fixtures.chain([of(&ugly::files("mm"))]).collect()
}

fn all(shop: &Shop) -> Vec<Part<'_>> {
    drawing::parts(&shop.jobs, &shop.loaded.library, |_| true)
}

fn mm(length: coilwright::quantity::Length) -> f64 {
    length.nm() as f64 / 1e6
}

fn layer_of(purpose: Purpose) -> &'static str {
    match purpose {
        Purpose::Joint => "joint-features",
        Purpose::Service => "service-features",
        Purpose::Anchor => "anchor-features",
        Purpose::End => "end-features",
    }
}

/// What has to lie on each layer: form, sizes, and where its middle is along the member.
fn expected(shape: &Shape, shop: &Shop) -> Value {
    let library = &shop.loaded.library;
    let profile = library.profile(shape.profile).unwrap();
    let mut features: Vec<Value> = Vec::new();
    for feature in &shape.features {
        let kind = library.feature(feature.kind).unwrap();
        for face in feature.faces.each() {
            let face = format!("{face}");
            let wide = match face.as_str() {
                "web" => profile.web,
                "left flange" => profile.left_flange,
                "right flange" => profile.right_flange,
                "left lip" => profile.left_lip,
                _ => profile.right_lip,
            };
            let at = |position: coilwright::member::model::Position| {
                mm(position.on(shape.length).distance())
            };
            let long = mm(feature.outline.length());
            let (middle, long) = match feature.place {
                Place::Point { at: place, .. } => (at(place), long),
                Place::Range { from, to, .. } => ((at(from) + at(to)) / 2.0, at(to) - at(from)),
                Place::End { end, .. } if end.to_string() == "start" => (long / 2.0, long),
                Place::End { .. } => (mm(shape.length) - long / 2.0, long),
            };
            let (form, across) = match feature.outline {
                Outline::Circle { diameter } => ("circle", mm(diameter)),
                Outline::Slot { width, .. } => ("slot", mm(width)),
                Outline::Rectangle { width, .. } => match kind.outline {
                    OutlineForm::Rectangle { width: None, .. } => ("rectangle", mm(wide)),
                    _ => ("rectangle", mm(width)),
                },
            };
            features.push(json!({
                "layer": layer_of(kind.purpose), "form": form, "middle": middle,
                "long": long, "across": across,
            }));
        }
    }
    Value::Array(features)
}

/// Writes every drawing and what has to be on it; gives how many there are.
fn export(folder: &Path) -> usize {
    let mut expecting = Vec::new();
    for (n, shop) in shops().iter().enumerate() {
        for part in all(shop) {
            let drawing = Drawing::of(&part, &shop.loaded.library).unwrap();
            let name = format!("{n}-{}", part.stem);
            std::fs::write(folder.join(format!("{name}.dxf")), dxf::print(&drawing)).unwrap();
            std::fs::write(folder.join(format!("{name}.svg")), svg::print(&drawing)).unwrap();
            expecting.push(json!({
                "name": name,
                "length": mm(part.shape.length),
                "mark": part.wanted[0].member.mark,
                "features": expected(part.shape, shop),
            }));
        }
    }
    let text = serde_json::to_string(&expecting).unwrap();
    std::fs::write(folder.join("expected.json"), text).unwrap();
    expecting.len()
}

/// A Python that has ezdxf.
fn python() -> Option<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    [root.join("target/ezdxf/bin/python"), PathBuf::from("python3")].into_iter().find(|python| {
        let tried = Command::new(python).args(["-c", "import ezdxf"]).output();
        tried.is_ok_and(|run| run.status.success())
    })
}

#[test]
fn dxf_passes_the_audit_of_another_library_and_has_what_is_drawn() {
    let Some(python) = python() else {
        println!("skipped: no python3 with ezdxf");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let count = export(folder.path());
    assert!(count > 70, "{count} drawings");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join(".ci/drawings.py");
    let run = Command::new(python).arg(script).arg(folder.path()).output().unwrap();
    let said = String::from_utf8_lossy(&run.stdout);
    println!("{said}");
    assert!(run.status.success(), "{said}{}", String::from_utf8_lossy(&run.stderr));
    assert!(said.contains(&format!("{count} drawings")), "{said}");
}

/// The same, read by a crate that other programs show SVG with.
#[test]
fn svg_is_read_by_another_library_at_its_real_size() {
    let mut seen = 0;
    for shop in shops() {
        for part in all(&shop) {
            let drawing = Drawing::of(&part, &shop.loaded.library).unwrap();
            let text = svg::print(&drawing);
            let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
            // A millimetre is 96 / 25.4 pixels there.
            let pixel = 25.4 / 96.0;
            let contour = tree.node_by_id("contour").unwrap().abs_bounding_box();
            let length = mm(part.shape.length);
            let measured = f64::from(contour.width()) * pixel;
            assert!((measured - length).abs() < 2e-6 * length + 1e-3, "{measured}, not {length}");
            let root = usvg::roxmltree::Document::parse(&text).unwrap();
            let groups: BTreeMap<&str, usize> = root
                .descendants()
                .filter(|node| node.has_tag_name("g"))
                .map(|node| {
                    let drawn = |n: &usvg::roxmltree::Node| {
                        n.has_tag_name("path") || n.has_tag_name("circle")
                    };
                    (node.attribute("id").unwrap(), node.children().filter(drawn).count())
                })
                .collect();
            let names: Vec<&str> = Layer::ALL.map(Layer::name).to_vec();
            assert_eq!(groups.len(), names.len());
            assert!(names.iter().all(|name| groups.contains_key(name)), "{groups:?}");
            assert_eq!(groups["contour"], 1);
            let wanted = expected(part.shape, &shop);
            for layer in ["joint-features", "service-features", "anchor-features", "end-features"] {
                let wanted = wanted.as_array().unwrap().iter().filter(|f| f["layer"] == layer);
                assert_eq!(groups[layer], wanted.count(), "{layer} of {}", part.stem);
            }
            seen += 1;
        }
    }
    assert!(seen > 70, "{seen} drawings");
}

#[test]
fn each_member_is_in_one_drawing_and_two_runs_are_alike() {
    for shop in shops() {
        let parts = all(&shop);
        let wanted: usize = shop.jobs.iter().map(|job| job.members().count()).sum();
        assert_eq!(parts.iter().map(|part| part.wanted.len()).sum::<usize>(), wanted);
        let mut stems: Vec<String> = parts.iter().map(|part| part.stem.to_lowercase()).collect();
        stems.sort();
        stems.dedup();
        assert_eq!(stems.len(), parts.len());
        let library = &shop.loaded.library;
        let list = drawing::list(&parts, library, "dxf");
        let mut rows = csv::Reader::from_reader(list.as_bytes());
        let marks: Vec<String> = rows.records().map(|row| row.unwrap()[4].to_string()).collect();
        assert_eq!(marks.len(), wanted);
        for part in &parts {
            let print = || {
                let drawing = Drawing::of(part, library).unwrap();
                (dxf::print(&drawing), svg::print(&drawing))
            };
            assert_eq!(print(), print());
        }
    }
}
