//! What is written and read again is the same.

use super::shop::{Dice, Scope, bare, drawn, job, library, map, random, source};
use coilwright::exchange::{self, Choice, Map, members_text};
use coilwright::language;
use coilwright::member::model::EndShape;
use coilwright::quantity::FileId;
use std::collections::BTreeMap;
use std::sync::Arc;

const EVERY: &[&str] = &["C90x40-0.75", "362S162-43", "U60x30-0.75", "C75-uneven", "H42"];

/// Members as the fixtures write them, against the shops they are written for.
fn fixtures() -> Vec<(coilwright::member::model::Job, coilwright::library::model::Library)> {
    use coilwright::library::load_library;
    use coilwright::member::resolve::resolve;
    use coilwright::quantity::{MemoryFiles, Sources};
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures");
    ["boatshed", "slip-office"]
        .iter()
        .map(|shed| {
            let mut files = BTreeMap::new();
            let mut folders = vec![root.join(shed)];
            while let Some(folder) = folders.pop() {
                for entry in std::fs::read_dir(folder).unwrap() {
                    let path = entry.unwrap().path();
                    if path.is_dir() {
                        folders.push(path);
                        continue;
                    }
                    let name = path.strip_prefix(root.join(shed)).unwrap().to_str().unwrap();
                    files.insert(name.to_string(), std::fs::read(&path).unwrap());
                }
            }
            let says_job = |text: &[u8]| text.windows(5).any(|w| w == b"\njob ");
            let listed =
                files.iter().find(|(name, text)| name.ends_with(".members") && says_job(text));
            let listed = listed.unwrap().0.clone();
            let files = MemoryFiles(files);
            let mut sources = Sources::default();
            let library = load_library(&files, &mut sources, "shop/library.toml").0.unwrap();
            let (mut jobs, _) =
                resolve(&files, &mut sources, &[(listed, None)], &library, "{frame} {mark}");
            (jobs.remove(0), library)
        })
        .collect()
}

#[test]
fn members_to_json_to_members_are_equal() {
    let library = library();
    let mut members = 0;
    for seed in 0..400 {
        let made = random(&mut Dice(seed), Scope { all: true, outlines: false, profiles: EVERY });
        let one = job(&members_text(&made).unwrap(), &library);
        let text = exchange::json::write(&drawn(&one, &library));
        let (sources, file) = source("job.json", &text);
        let (read, found) = exchange::json::load(&sources, file);
        let (read, _) = read.unwrap_or_else(|| panic!("{found:#?}"));
        let other = job(&members_text(&read).unwrap(), &library);
        assert_eq!(bare(&one), bare(&other), "seed {seed}");
        assert_eq!(exchange::json::write(&drawn(&other, &library)), text, "seed {seed}");
        members += one.members().count();
    }
    assert!(members > 1_000, "{members}");
    for (one, library) in fixtures() {
        let text = exchange::json::write(&drawn(&one, &library));
        let (sources, file) = source("job.json", &text);
        let read = exchange::json::load(&sources, file).0.unwrap().0;
        assert_eq!(bare(&one), bare(&job(&members_text(&read).unwrap(), &library)));
    }
}

#[test]
fn members_text_is_canonical() {
    for seed in 0..300 {
        let mut made =
            random(&mut Dice(seed), Scope { all: true, outlines: false, profiles: EVERY });
        for frame in &mut made.frames {
            for member in &mut frame.members {
                member.source = "walls, north.csv:14".into();
            }
        }
        let text = members_text(&made).unwrap();
        let (tree, found) = language::parse(FileId(0), &text);
        assert!(found.is_empty(), "{found:?}\n{text}");
        assert_eq!(language::format(&tree, &text).as_deref(), Some(text.as_str()));
        let sources = text.matches("  #@ walls, north.csv:14").count();
        assert_eq!(sources, made.members().count());
    }
}

fn choice() -> Choice {
    let words = |names: &[&str]| names.iter().map(|name| name.to_string()).collect();
    Choice {
        cut: words(&["hole", "service-hole", "hatch", "slot", "lip-notch", "flange-notch"]),
        pressed: words(&["dimple", "swage"]),
        leave_out: Vec::new(),
    }
}

#[test]
fn ifc_out_and_in_are_equal() {
    let library = library();
    let mut openings = 0;
    for seed in 0..250 {
        let made = random(&mut Dice(seed), Scope { all: true, outlines: false, profiles: EVERY });
        let one = job(&members_text(&made).unwrap(), &library);
        let model =
            exchange::ifc::write(&one, &drawn(&one, &library), &library, &choice()).unwrap();
        openings += model.matches("IFCOPENINGELEMENT").count();
        let (sources, file) = source("job.ifc", &model);
        let (read, found) = exchange::ifc::read(&sources, file, &Map::empty(), Some(&library));
        assert!(found.is_empty(), "seed {seed}: {found:#?}");
        let other = job(&members_text(&read.unwrap().0).unwrap(), &library);
        assert_eq!(bare(&one), bare(&other), "seed {seed}");
    }
    assert!(openings > 2_000, "{openings}");
}

/// Sloped ends stand in the body as planes, and come back from them.
#[test]
fn slopes_come_back_from_the_planes_that_cut_them() {
    let library = library();
    let (mut sloped, terms) = (0, |shape| match shape {
        EndShape::Square => (0, 1),
        EndShape::Slope { rise, run } => {
            let by = (1..=run).rev().find(|by| rise % by == 0 && run % by == 0).unwrap();
            (rise / by, run / by)
        }
    });
    for seed in 0..250 {
        let mut dice = Dice(seed);
        let mut made = random(&mut dice, Scope { all: false, outlines: false, profiles: EVERY });
        for member in made.frames.iter_mut().flat_map(|frame| &mut frame.members) {
            let mut end = || match dice.roll(3) {
                0 => EndShape::Square,
                _ => EndShape::Slope {
                    rise: i32::try_from(dice.roll(31)).unwrap() - 15,
                    run: 5 + i32::try_from(dice.roll(25)).unwrap(),
                },
            };
            (member.start, member.end) = (end(), end());
            for shape in [&mut member.start, &mut member.end] {
                if matches!(shape, EndShape::Slope { rise: 0, .. }) {
                    *shape = EndShape::Square;
                }
            }
            // Steep ends would leave the features of some in the air, which is refused.
            let steep =
                |shape| matches!(shape, EndShape::Slope { rise, run } if rise.abs() * 4 > run);
            if steep(member.start) || steep(member.end) {
                member.features.clear();
            }
        }
        let one = job(&members_text(&made).unwrap(), &library);
        let model =
            exchange::ifc::write(&one, &drawn(&one, &library), &library, &choice()).unwrap();
        let (sources, file) = source("job.ifc", &model.replace("Coilwright_", "Another_"));
        let (read, found) = exchange::ifc::read(&sources, file, &Map::empty(), Some(&library));
        assert!(found.is_empty(), "seed {seed}: {found:#?}");
        let read = read.unwrap().0;
        for ((_, was), (_, is)) in made.members().zip(read.members()) {
            assert_eq!(was.length, is.length, "seed {seed}");
            assert_eq!(terms(was.start), terms(is.start), "seed {seed}");
            assert_eq!(terms(was.end), terms(is.end), "seed {seed}");
            sloped += usize::from(was.start != EndShape::Square);
        }
        // Places along count from the long point: the same but for the terms of the slopes.
        let mut square = [one, job(&members_text(&read).unwrap(), &library)].map(|job| bare(&job));
        for member in square.iter_mut().flat_map(|j| &mut j.frames).flat_map(|f| &mut f.members) {
            let shape = Arc::make_mut(&mut member.shape);
            (shape.start, shape.end) = (EndShape::Square, EndShape::Square);
        }
        assert_eq!(square[0], square[1], "seed {seed}");
    }
    assert!(sloped > 300, "{sloped}");
}

/// Without the properties that this program leaves in its models, members come from geometry.
#[test]
fn geometry_alone_says_the_same_of_everything_cut() {
    let library = library();
    let scope = Scope { all: false, outlines: false, profiles: EVERY };
    let mut features = 0;
    for seed in 0..250 {
        let made = random(&mut Dice(seed), scope);
        let one = job(&members_text(&made).unwrap(), &library);
        let model =
            exchange::ifc::write(&one, &drawn(&one, &library), &library, &choice()).unwrap();
        let (sources, file) = source("job.ifc", &model.replace("Coilwright_", "Another_"));
        let (read, found) = exchange::ifc::read(&sources, file, &Map::empty(), Some(&library));
        assert!(found.is_empty(), "seed {seed}: {found:#?}");
        let other = job(&members_text(&read.unwrap().0).unwrap(), &library);
        assert_eq!(bare(&one), bare(&other), "seed {seed}");
        features += one.members().map(|(_, m)| m.shape.features.len()).sum::<usize>();
    }
    assert!(features > 2_000, "{features}");
}

#[test]
fn nc_out_and_in_are_equal() {
    let library = library();
    let sizes: String = (8..18)
        .map(|d| {
            format!("[[opening]]\ndiameter = \"{d} mm\"\nfeature = \"hole\"\nsay-size = true\n")
        })
        .collect();
    let map = map(&format!(
        "{sizes}[[opening]]\nlength = \"60 mm\"\nwidth = \"32 mm\"\nfeature = \"service-hole\"\n\
         [[opening]]\nlength = \"36 mm\"\nwidth = \"25.4 mm\"\nfeature = \"hatch\"\n"
    ));
    let profiles = &["C90x40-0.75", "362S162-43", "U60x30-0.75"];
    let scope = Scope { all: false, outlines: true, profiles };
    let (mut holes, mut slopes, mut hatches) = (0, 0, 0);
    for seed in 0..250 {
        let mut made = random(&mut Dice(seed), scope);
        for member in made.frames.iter_mut().flat_map(|frame| &mut frame.members) {
            member.mark = member.mark.replace('ö', "oe").replace('ß', "ss");
        }
        let one = job(&members_text(&made).unwrap(), &library);
        let parts = exchange::nc::write(&one, &library, &choice()).unwrap_err();
        assert!(parts.iter().all(|d| d.code.number == "E1172"), "pressed types cannot be said");
        let choice = Choice { pressed: vec![], leave_out: vec!["dimple".into()], ..choice() };
        let parts = exchange::nc::write(&one, &library, &choice).unwrap();
        assert_eq!(parts.len(), one.members().count());
        for ((frame, member), part) in one.members().zip(&parts) {
            let (sources, file) = source(&part.name, &part.text);
            let (read, found) = exchange::nc::read(&sources, file, &map, Some(&library));
            assert!(found.is_empty(), "seed {seed}: {found:#?}\n{}", part.text);
            let read = job(&members_text(&read.unwrap().0).unwrap(), &library);
            let mut wanted = one.clone();
            wanted.frames.retain(|f| f.name == frame.name);
            wanted.frames[0].members.retain(|m| m.mark == member.mark);
            assert_eq!(bare(&wanted), bare(&read), "seed {seed}\n{}", part.text);
            holes += member.shape.features.len();
            let sloped = [member.shape.start, member.shape.end];
            slopes += sloped.iter().filter(|end| **end != EndShape::Square).count();
            hatches += part.text.matches("IK\n").count();
        }
    }
    assert!(holes > 2_000 && slopes > 200 && hatches > 200, "{holes} {slopes} {hatches}");
}
