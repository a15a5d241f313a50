//! The page that `preview --html` writes.

use super::made::{Planned, collect, export, nm};
use super::{house, ugly};
use coilwright::diagnostic::load;
use coilwright::exchange;
use coilwright::language::imported::marked;
use coilwright::library::model::How;
use coilwright::member::model::{Datum, Place, Position};
use coilwright::program::Event;
use coilwright::quantity::{Length, MemoryFiles, Sources};
use coilwright::report::{json, page};
use serde_json::{Value, json};
use std::path::Path;

fn page_of(of: &Planned) -> String {
    of.with(page::print)
}

fn data(page: &str) -> Value {
    let (_, rest) = page.split_once("<script type=\"application/json\" id=\"data\">").unwrap();
    serde_json::from_str(rest.split_once("</script>").unwrap().0).unwrap()
}

fn row(value: &Value) -> Vec<i64> {
    value.as_array().unwrap().iter().map(|v| v.as_i64().unwrap()).collect()
}

fn batches() -> Vec<Planned> {
    let mut batches: Vec<Planned> =
        ["boatshed", "porch", "slip-office"].into_iter().map(Planned::fixture).collect();
    batches.push(Planned::of(&house::files(2), house::BATCH));
    batches.push(Planned::of(&ugly::files("mm"), ugly::BATCH));
    batches
}

/// Every piece, every position, every tolerance in the page is the model's.
#[test]
fn the_page_knows_the_pieces_as_they_are() {
    for of in batches() {
        let page = page_of(&of);
        let data = data(&page);
        let member_of: Vec<_> = of.shop.jobs.iter().flat_map(|job| job.members()).collect();
        for (run, told) in of.plan.runs.iter().zip(data["runs"].as_array().unwrap()) {
            let rows = row(&told["rows"]);
            assert_eq!(rows.len(), 8 * run.pieces.len());
            for (piece, told) in run.pieces.iter().zip(rows.chunks(8)) {
                assert_eq!(told[0], i64::from(piece.serial.0));
                let (frame, member) = member_of[usize::try_from(told[1]).unwrap()];
                let (_, real_frame, real) = piece.member.of(&of.shop.jobs).unwrap();
                assert_eq!((&frame.name, &member.mark), (&real_frame.name, &real.mark));
                let named = &data["members"][usize::try_from(told[1]).unwrap()];
                assert_eq!(named[1], *real.mark);
                assert_eq!(told[2], i64::from(piece.member.copy) + 1);
                assert_eq!(told[6], piece.start.distance().nm());
                assert_eq!(told[7], piece.cut.distance().nm());
                let turned = piece.turned.then(|| piece.shape.turned()).flatten();
                let shape = turned.as_ref().unwrap_or(&piece.shape);
                let shown = row(&data["shapes"][usize::try_from(told[4]).unwrap()]);
                assert_eq!(shown[1], shape.length.nm());
                assert_eq!(shown[2], shape.length_tolerance.minus.nm());
                let mut rest = shown[8..].iter();
                for feature in &shape.features {
                    let spec = row(&data["specs"][usize::try_from(*rest.next().unwrap()).unwrap()]);
                    assert_eq!(spec[0], i64::from(feature.kind.0));
                    assert_eq!(spec[1], i64::from(feature.faces.bits()));
                    assert_eq!(spec[2], feature.across.nm());
                    let datum = |at: Position| match at.datum {
                        Datum::Start => 0,
                        Datum::Middle => 1,
                        Datum::End => 2,
                    };
                    match feature.place {
                        Place::Point { at, tolerance } => {
                            assert_eq!(
                                spec[8..12],
                                [0, datum(at), tolerance.minus.nm(), tolerance.plus.nm()]
                            );
                            assert_eq!(*rest.next().unwrap(), at.offset.nm());
                        }
                        Place::Range { from, to, to_tolerance, .. } => {
                            assert_eq!((spec[8], spec[9], spec[12]), (1, datum(from), datum(to)));
                            assert_eq!(spec[14], to_tolerance.plus.nm());
                            assert_eq!(*rest.next().unwrap(), from.offset.nm());
                            assert_eq!(*rest.next().unwrap(), to.offset.nm());
                        }
                        Place::End { .. } => assert_eq!(spec[8], 2),
                    }
                }
                assert!(rest.next().is_none());
            }
        }
    }
}

/// Each feature is made by tools that make its type, and no feature by none; strokes that make
/// nothing on any piece would be a mistake of the program or of the page.
#[test]
fn every_feature_names_the_tools_that_make_it() {
    for of in batches() {
        let data = data(&page_of(&of));
        let line = &of.shop.loaded.line;
        for (run, told) in of.plan.runs.iter().zip(data["runs"].as_array().unwrap()) {
            let rows = row(&told["rows"]);
            let mut used = std::collections::BTreeSet::new();
            for (piece, told) in run.pieces.iter().zip(rows.chunks(8)) {
                let turned = piece.turned.then(|| piece.shape.turned()).flatten();
                let shape = turned.as_ref().unwrap_or(&piece.shape);
                let made = data["made"][usize::try_from(told[5]).unwrap()].as_array().unwrap();
                assert_eq!(made.len(), shape.features.len());
                for (feature, tools) in shape.features.iter().zip(made) {
                    let tools = row(tools);
                    let mut faces = coilwright::member::model::Faces::empty();
                    for tool in tools {
                        let tool = &line.tools[usize::try_from(tool).unwrap()];
                        used.insert(tool.name.clone());
                        for made in tool.marks().filter(|m| m.kinds.contains(&feature.kind)) {
                            faces |= made.faces;
                        }
                        let end =
                            matches!(tool.how, How::End | How::Straddle) && tool.also.is_empty();
                        assert!(!end || matches!(feature.place, Place::End { .. }));
                    }
                    assert!(faces.contains(feature.faces), "{feature:?} of {}", piece.serial);
                }
            }
            for event in &run.program.events {
                let Event::Stop { strokes, .. } = event else { continue };
                for stroke in strokes {
                    let tool = &line.tools[usize::from(stroke.tool.0)];
                    assert!(used.contains(&tool.name), "{} makes nothing that is shown", tool.name);
                }
            }
        }
    }
}

/// The page's clock ends where the run's time does, and its strip where the program's.
#[test]
fn stops_on_the_page_are_those_of_the_program() {
    for of in batches() {
        let data = data(&page_of(&of));
        let step = nm(&data["step_nm"]).nm();
        for (run, told) in of.plan.runs.iter().zip(data["runs"].as_array().unwrap()) {
            let beats = row(&told["beats"]);
            let (mut k, mut at, mut ticks) = (0, 0, 0);
            let (mut cuts, mut strokes) = (Vec::new(), 0);
            while k < beats.len() {
                at += beats[k];
                ticks += beats[k + 1] + beats[k + 2];
                let count = usize::try_from(beats[k + 3] / 4).unwrap();
                if beats[k + 3] % 4 == 1 {
                    cuts.push(at * step);
                }
                strokes += count;
                k += 4 + count;
            }
            let real: Vec<i64> = run.pieces.iter().map(|p| p.cut.distance().nm()).collect();
            assert_eq!(cuts, real);
            let fired: usize = run
                .program
                .events
                .iter()
                .map(|e| if let Event::Stop { strokes, .. } = e { strokes.len() } else { 0 })
                .sum();
            assert_eq!(strokes, fired);
            let time = run.time.total().ns() - run.time.coil_change.ns() - run.time.set_up.ns();
            // The shear may be turned back after the last event.
            let after = time - ticks * 100_000;
            let turned = of.shop.loaded.line.shear.slope_time.ns();
            assert!((0..=turned + 100_000).contains(&after), "{after} ns");
            assert_eq!(nm(&told["account"]["strip_nm"]), run.account.strip);
        }
    }
}

/// Nothing is asked for from elsewhere, and no name can end the element it stands in.
#[test]
fn the_page_stands_alone() {
    for of in batches() {
        let page = page_of(&of);
        assert_eq!(page, page_of(&of), "two pages of one plan differ");
        for word in ["http://", "https://", "src=", "@import", "url(//", "fetch(", "XMLHttp"] {
            let elsewhere = page.replace("http://www.w3.org/2000/svg", "");
            assert!(!elsewhere.contains(word), "{word}");
        }
        assert!(page.starts_with(page::FIRST_LINES));
        assert!(page.contains("default-src 'none'"));
        assert_eq!(page.matches("<script").count(), 2);
        assert_eq!(page.matches("</script>").count(), 2);
        assert!(page.contains("no safety function"), "cautions");
        assert!(!page.contains("{{"), "a place was left unfilled");
    }
}

/// The finding of the boatshed stands beside the member it is about.
#[test]
fn findings_name_their_members() {
    let of = Planned::fixture("boatshed");
    let data = data(&page_of(&of));
    let found = data["findings"].as_array().unwrap();
    let waived = found.iter().find(|f| f["code"] == "W0414").unwrap();
    let named: Vec<(String, String)> = row(&waived["members"])
        .into_iter()
        .map(|m| {
            let member = &data["members"][usize::try_from(m).unwrap()];
            let frame = &data["frames"][usize::try_from(member[0].as_i64().unwrap()).unwrap()];
            (frame[1].as_str().unwrap().into(), member[1].as_str().unwrap().into())
        })
        .collect();
    assert_eq!(named, [("S2".to_string(), "C2".to_string())]);
    assert!(waived["waived"].as_str().unwrap().contains("SK-07"));
}

/// The boatshed's lean-to as it is imported from the drawing office's list.
fn lean_to() -> MemoryFiles {
    let mut files = MemoryFiles::default();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatshed");
    collect(&root, &root, &mut files);
    let mut sources = Sources::default();
    let (map, _) = exchange::load_map(&files, &mut sources, "office/map.toml");
    let list = load(&files, &mut sources, "office/lean-to.csv", None).unwrap();
    let (read, found) = exchange::csv::read(&sources, list, &map.unwrap());
    let (job, _) = read.unwrap_or_else(|| panic!("{found:?}"));
    let text = marked(&exchange::members_text(&job).unwrap(), "lean-to.csv");
    files.0.insert("members/job.members".into(), text.into_bytes());
    files
}

/// A piece of an imported member knows its row, in the report and on the page; one that was
/// written by hand knows none, and a changed file says so.
#[test]
fn imported_pieces_know_their_row() {
    let mut files = lean_to();
    let of = Planned::of(&files, "batch.toml");
    let text = String::from_utf8(files.0["members/job.members"].clone()).unwrap();
    let (report, shown) = of.with(|source, report| {
        (serde_json::from_str::<Value>(&json::print(report)).unwrap(), page::print(source, report))
    });
    let pieces = report["runs"].as_array().unwrap().iter();
    let pieces: Vec<&Value> = pieces.flat_map(|run| run["pieces"].as_array().unwrap()).collect();
    assert_eq!(pieces.len(), 17);
    for piece in pieces {
        let source = &piece["source"];
        assert_eq!(
            (&source["file"], &source["changed_since"]),
            (&"lean-to.csv".into(), &false.into())
        );
        // The line of the members file that has the row has the mark, in its frame.
        let row = format!("#@ lean-to.csv:{}\n", source["row"]);
        let (before, _) = text.split_once(&row).unwrap();
        let line = before.lines().last().unwrap();
        assert!(line.contains(&format!("member {} ", piece["mark"].as_str().unwrap())), "{line}");
        let frame = before.rsplit_once("\nframe ").unwrap().1;
        assert!(frame.starts_with(piece["frame"].as_str().unwrap()), "{frame}");
    }
    let data = data(&shown);
    let members = of.shop.jobs.iter().flat_map(|job| job.members()).count();
    assert_eq!(data["origins"].as_object().unwrap().len(), members);
    for (number, (_, member)) in of.shop.jobs.iter().flat_map(|job| job.members()).enumerate() {
        let origin = member.origin.as_ref().unwrap();
        assert_eq!(data["origins"][number.to_string()], json!([origin.to_string(), false]));
    }
    let changed = text.replacen("wall", "wall \"south\"", 1);
    assert_ne!(changed, text);
    files.0.insert("members/job.members".into(), changed.into_bytes());
    let of = Planned::of(&files, "batch.toml");
    assert!(of.shop.jobs[0].members().all(|(_, m)| m.origin.as_ref().unwrap().changed));
    let of = Planned::fixture("boatshed");
    let report = of.with(|_, report| json::print(report));
    assert!(!report.contains("\"source\""));
    assert_eq!(self::data(&page_of(&of))["origins"], json!({}));
}

/// What a browser is shown: the demo, twenty thousand members, an import, and the ugly job.
#[test]
fn outside() {
    let mut demo = MemoryFiles::default();
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatshed");
    collect(&root, &root, &mut demo);
    export("boatshed", &demo, &Planned::of(&demo, "batch.toml"));
    let ugly = ugly::files("mm");
    let planned = Planned::of(&ugly, ugly::BATCH);
    let longest = planned.shop.jobs[0].members().map(|(_, m)| m.shape.length).max();
    assert_eq!(longest, Some(Length::from_mm(12_000)));
    assert!(planned.shop.jobs[0].members().any(|(_, m)| m.shape.features.len() >= 60));
    export("ugly", &ugly, &planned);
    let lean_to = lean_to();
    export("lean-to", &lean_to, &Planned::of(&lean_to, "batch.toml"));
    if std::env::var_os("COILWRIGHT_EXPORT").is_some() {
        let many = house::files(22);
        let planned = Planned::of(&many, house::BATCH);
        let pieces: usize = planned.plan.runs.iter().map(|run| run.pieces.len()).sum();
        assert!(pieces >= 20_000, "{pieces}");
        export("houses", &many, &planned);
    }
}
