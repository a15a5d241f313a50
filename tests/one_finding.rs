//! One slip in the boatshed's members gives one finding, and its help says what to write.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, missing_docs)]

use coilwright::check::check;
use coilwright::diagnostic::Diagnostic;
use coilwright::library::load_library;
use coilwright::member::resolve::resolve;
use coilwright::quantity::{MemoryFiles, Sources};
use std::collections::BTreeMap;
use std::path::Path;

fn boatshed() -> BTreeMap<String, String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/boatshed");
    let mut files = BTreeMap::new();
    for folder in ["members", "shop"] {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            let name = format!("{folder}/{}", path.file_name().unwrap().to_str().unwrap());
            files.insert(name, std::fs::read_to_string(path).unwrap());
        }
    }
    files
}

fn found(files: &BTreeMap<String, String>) -> Vec<Diagnostic> {
    let files = MemoryFiles::of(files.iter().map(|(name, text)| (name.as_str(), text.as_str())));
    let mut sources = Sources::default();
    let (library, mut found) = load_library(&files, &mut sources, "shop/library.toml");
    let Some(library) = library else { return found };
    let job = [("members/job.members".to_string(), None)];
    let (jobs, faults) = resolve(&files, &mut sources, &job, &library, "{mark}");
    found.extend(faults);
    found.extend(check(&jobs, &library).diagnostics);
    found
}

/// The one finding that comes of writing `wrong` where `right` stands first in a file.
fn slip(file: &str, right: &str, wrong: &str) -> Diagnostic {
    let mut files = boatshed();
    let text = files.get_mut(file).unwrap();
    assert!(text.contains(right), "{right}");
    *text = text.replacen(right, wrong, 1);
    let mut found = found(&files);
    let told: Vec<String> =
        found.iter().map(|d| format!("{} {}", d.code.number, d.message)).collect();
    assert_eq!(found.len(), 1, "{wrong}: {told:#?}");
    found.remove(0)
}

#[test]
fn the_boatshed_itself_has_none() {
    assert_eq!(found(&boatshed()).len(), 0);
}

#[test]
fn one_slip_is_one_finding() {
    let (walls, common) = ("members/walls.members", "members/common.members");
    let nogging = "member G1 nogging = nogging(580)";
    let of = |setting: &str| format!("member G1 nogging {setting}");
    for (file, right, wrong, code, help) in [
        (walls, nogging, of("length = 2400"), "E0106", "write `length 2400`"),
        (walls, nogging, of("length=2,400 mm"), "E0106", "write `length 2400 mm`"),
        (walls, nogging, of("length 2,400 mm"), "E0119", "write `2400`, without a comma"),
        (walls, nogging, of("length 2396,5"), "E0119", "is a point: write `2396.5`"),
        (walls, nogging, of("lenght 2400"), "E0119", "did you mean `length`?"),
        (walls, nogging, of("length 1234567890123456"), "E0103", "at most 15 digits"),
        (walls, "S1..S7", "S1 to S7".into(), "E0106", "write `S1..S7`"),
        (walls, "S1..S7", "S1...S7".into(), "E0106", "write `S1..S7`"),
        (walls, "S1..S7", "S1…S7".into(), "E0106", "write `S1..S7`"),
        (walls, "S1..S7", "S1 - S7".into(), "E0106", "write `S1..S7`"),
        (walls, "S1..S7", "S1–S7".into(), "E0106", "write `S1..S7`"),
        (walls, "S1..S7", "S1 through S7".into(), "E0106", "write `S1..S7`"),
        (walls, "S1..S7", "S1 S7".into(), "E0113", "put `,` between two marks"),
        (walls, "S1..S7 stud", "S1..S7 studs".into(), "E0113", "did you mean `stud`?"),
        (common, "  length height\n", "  length = 2400\n".into(), "E0106", "write `length 2400`"),
        (common, "  length height\n", "  length = height\n".into(), "E0106", "`length height`"),
        (common, "  length height\n", "  length=2,400 mm\n".into(), "E0106", "`length 2400 mm`"),
        (common, "  length height\n", "  length 2,400\n".into(), "E0119", "write `2400`"),
        (common, "  length height\n", "  lenght height\n".into(), "E0107", "mean `length`?"),
        (common, "  length height\n", "  length 1234567890123456\n".into(), "E0103", "15 digits"),
        (common, "service-hole on", "service hole on".into(), "E0203", "write `service-hole`"),
        (common, "lip-notch 48", "lip notch 48".into(), "E0107", "one word: `lip-notch`"),
    ] {
        let told = slip(file, right, &wrong);
        assert_eq!(told.code.number, code, "{wrong}: {}", told.message);
        let said = told.help.as_deref().unwrap_or("");
        assert!(said.contains(help), "{wrong}: {said}");
    }
}

#[test]
fn a_waiver_is_not_doubted_for_a_member_that_could_not_be_read() {
    // C2 of frame S2, which the waiver names, and a member of another frame.
    for (right, wrong) in [
        ("piped = no) {\n    service-hole on web", "piped = no) {\n    servicehole on wub"),
        ("member T1 top plate = plate(4800", "member T1 top plate = plate(-4800"),
    ] {
        let told = slip("members/walls.members", right, wrong);
        assert!(told.is_error(), "{}", told.message);
    }
    // Where all is read, it is.
    let told = slip("members/walls.members", "service-hole on web at 200", "");
    assert_eq!(told.code.number, "W0420");
}

/// The boatshed with one of its files put in another's place.
fn instead(file: &str, text: &str) -> Diagnostic {
    let mut files = boatshed();
    files.insert(file.into(), text.into());
    let mut found = found(&files);
    let told: Vec<String> =
        found.iter().map(|d| format!("{} {}", d.code.number, d.message)).collect();
    assert_eq!(found.len(), 1, "{file}: {told:#?}");
    found.remove(0)
}

#[test]
fn a_wrong_kind_of_file_is_one_finding() {
    let files = boatshed();
    let of = |name: &str| files[name].as_str();
    let table = "mark,length,profile\nS1,2400,C90\nS2,2400,C90\nS3,1200,C90\n";
    let (members, profiles) = ("members/walls.members", "shop/profiles.toml");
    for (file, text, looks) in [
        (members, of("shop/stock.toml"), "like a TOML file"),
        (members, of("shop/line.toml"), "like a TOML file"),
        (members, table, "like a table of values"),
        (members, "{\n  \"member\": \"S1\",\n  \"length\": 2400\n}\n", "like JSON"),
        (members, "PK\u{3}\u{4}\0\0\0\0studs", "like no text"),
        (profiles, of("shop/features.toml"), "like a file of feature types"),
        (profiles, of("shop/line.toml"), "like a line"),
        (profiles, of("members/walls.members"), "like a members file"),
        (profiles, table, "like a table of values"),
        (profiles, "PK\u{3}\u{4}\0\0\0\0studs", "like no text"),
        ("shop/library.toml", of("shop/stock.toml"), "like a stock file"),
    ] {
        let told = instead(file, text);
        assert_eq!(told.code.number, "E0919", "{}", told.message);
        assert!(told.message.contains(looks), "{}", told.message);
        let wanted = match file {
            "members/walls.members" => "a members file is wanted",
            "shop/profiles.toml" => "a file of profiles is wanted",
            _ => "a library is wanted",
        };
        assert!(told.message.starts_with(wanted), "{}", told.message);
        assert!(told.span().is_some() && told.help.is_some());
    }
}
