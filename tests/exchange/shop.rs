//! A library, random jobs for it, and jobs without their places in text.

use coilwright::diagnostic::Diagnostic;
use coilwright::exchange::drawn::{
    DrawnFeature, DrawnFrame, DrawnJob, DrawnMember, DrawnPlace, DrawnWaiver,
};
use coilwright::exchange::{self, Map, load_map};
use coilwright::library::load_library;
use coilwright::library::model::Library;
use coilwright::member::model::{
    Datum, End, EndShape, Faces, FrameKind, Job, Position, Shape, Usage,
};
use coilwright::member::resolve::resolve;
use coilwright::quantity::{FileId, Length, MemoryFiles, SourceFile, Sources, Span, Tolerance};
use std::sync::Arc;

/// Profiles of every form that is read, and types with open and with fixed sizes.
const LIBRARY: &str = r#"
shipped = ["usual-features"]
features = ["features.toml"]
profiles = ["profiles.toml"]
"#;

const FEATURES: &str = r#"
[[feature]]
name = "service-hole"
form = "point"
outline = "slot"
length = "60 mm"
width = "32 mm"
faces = "web"
tolerance = "3 mm"
across-tolerance = "1 mm"
purpose = "service"

[[feature]]
name = "hatch"
form = "point"
outline = "rectangle"
length = "36 mm"
width = "25.4 mm"
faces = "web"
tolerance = "3 mm"
across-tolerance = "1 mm"
purpose = "service"

[[feature]]
name = "dimple"
form = "point"
outline = "circle"
diameter = "10 mm"
faces = ["flanges", "web"]
default-faces = "flanges"
tolerance = "0.5 mm"
across-tolerance = "0.5 mm"
purpose = "joint"
"#;

const PROFILES: &str = r#"
[[profile]]
name = "C90x40-0.75"
section = "lipped-channel"
web = "90 mm"
flange = "40 mm"
lip = "12 mm"
thickness = "0.75 mm"
radius = "1.5 mm"
coating = "Z275"
grade = "G550"
strip-width = "188 mm"
length-tolerance = "1 mm"

[[profile]]
name = "362S162-43"
section = "lipped-channel"
web = "3-5/8 in"
flange = "1-5/8 in"
lip = "1/2 in"
thickness = "0.0428 in"
radius = "0.0712 in"
coating = "G60"
grade = "SS33"
strip-width = "7.55 in"
length-tolerance = "1/16 in"

[[profile]]
name = "U60x30-0.75"
section = "plain-channel"
web = "60 mm"
flange = "30 mm"
thickness = "0.75 mm"
radius = "1.5 mm"
coating = "Z275"
grade = "G550"
strip-width = "117 mm"
length-tolerance = "1 mm"

[[profile]]
name = "C75-uneven"
section = "lipped-channel"
web = "75 mm"
left-flange = "40 mm"
right-flange = "36 mm"
left-lip = "11 mm"
right-lip = "9 mm"
thickness = "1 mm"
radius = "1.5 mm"
coating = "Z275"
grade = "G550"
strip-width = "163 mm"
length-tolerance = "1 mm"

[[profile]]
name = "H42"
section = "hat"
web = "42 mm"
flange = "30 mm"
lip = "15 mm"
thickness = "1 mm"
radius = "1 mm"
coating = "Z275"
grade = "G550"
strip-width = "124 mm"
length-tolerance = "1 mm"
"#;

pub fn library() -> Library {
    let files = MemoryFiles::of([
        ("library.toml", LIBRARY),
        ("features.toml", FEATURES),
        ("profiles.toml", PROFILES),
    ]);
    let mut sources = Sources::default();
    let (library, found) = load_library(&files, &mut sources, "library.toml");
    library.unwrap_or_else(|| panic!("{found:#?}"))
}

pub fn map(text: &str) -> Map {
    let files = MemoryFiles::of([("map.toml", text)]);
    let (map, found) = load_map(&files, &mut Sources::default(), "map.toml");
    map.unwrap_or_else(|| panic!("{found:#?}"))
}

/// What a map is told to be wrong with.
pub fn map_faults(text: &str) -> Vec<Diagnostic> {
    let files = MemoryFiles::of([("map.toml", text)]);
    load_map(&files, &mut Sources::default(), "map.toml").1
}

/// A map and a file to be read through it, in the same sources.
pub fn with_map(map: &str, name: &str, text: &str) -> (Map, Sources, FileId) {
    let files = MemoryFiles::of([("map.toml", map)]);
    let mut sources = Sources::default();
    let (map, found) = load_map(&files, &mut sources, "map.toml");
    let map = map.unwrap_or_else(|| panic!("{found:#?}"));
    let file = sources.add(SourceFile::new(name, text));
    (map, sources, file)
}

pub fn source(name: &str, text: &str) -> (Sources, FileId) {
    let mut sources = Sources::default();
    let file = sources.add(SourceFile::new(name, text));
    (sources, file)
}

/// The job that members text says; it must have no errors.
pub fn job(text: &str, library: &Library) -> Job {
    let files = MemoryFiles::of([("job.members", text)]);
    let mut sources = Sources::default();
    let paths = [("job.members".to_string(), None)];
    let (mut jobs, found) = resolve(&files, &mut sources, &paths, library, "{frame} {mark}");
    let errors: Vec<_> = found.iter().filter(|d| d.is_error()).collect();
    assert!(errors.is_empty() && jobs.len() == 1, "{errors:#?}\n{text}");
    jobs.remove(0)
}

pub fn drawn(job: &Job, library: &Library) -> DrawnJob {
    exchange::drawn(job, library, |frame, mark| format!("{frame} {mark}"))
}

/// A job with every place in text taken away: what it is, and nothing else.
pub fn bare(job: &Job) -> Job {
    let nowhere = Span::new(FileId(0), 0, 0);
    let mut job = job.clone();
    job.span = nowhere;
    for waiver in &mut job.waivers {
        waiver.span = nowhere;
    }
    for frame in &mut job.frames {
        frame.span = nowhere;
        for member in &mut frame.members {
            member.span = nowhere;
            member.origin = None;
            let mut shape: Shape = (*member.shape).clone();
            for feature in &mut shape.features {
                feature.span = nowhere;
            }
            member.shape = Arc::new(shape);
        }
    }
    job
}

/// Numbers from a seed: every run has the same.
pub struct Dice(pub u64);
impl Dice {
    pub fn roll(&mut self, n: u64) -> u64 {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % n
    }
    pub fn one_in(&mut self, n: u64) -> bool {
        self.roll(n) == 0
    }
    fn of<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.roll(list.len() as u64) as usize]
    }
}

/// What a random job may have.
#[derive(Clone, Copy)]
pub struct Scope {
    /// Every kind of feature, tolerances, slopes, waivers; else only what holes can say.
    pub all: bool,
    /// With holes, what outlines say: sloped ends, rectangles.
    pub outlines: bool,
    /// Profiles by name.
    pub profiles: &'static [&'static str],
}

const NAMES: [&str; 8] = ["S1", "2B-14", "7", "N 3", "größer", "from", "mark", "T-1a"];

/// A random job; the same for the same dice.
pub fn random(dice: &mut Dice, scope: Scope) -> DrawnJob {
    let mut frames = Vec::new();
    for f in 0..1 + dice.roll(3) {
        let mut members = Vec::new();
        for m in 0..1 + dice.roll(4) {
            let mark = format!("{}{m}", dice.of(&NAMES));
            members.push(member(dice, scope, mark));
        }
        let kinds = [FrameKind::Wall, FrameKind::Floor, FrameKind::Truss, FrameKind::Loose];
        frames.push(DrawnFrame {
            name: format!("{}{f}", if scope.all { *dice.of(&NAMES) } else { "F" }),
            kind: *dice.of(&kinds),
            title: if scope.all && dice.one_in(2) {
                "north wall, it's".into()
            } else {
                String::new()
            },
            quantity: if scope.all { 1 + u32::try_from(dice.roll(3)).unwrap() } else { 1 },
            members,
        });
    }
    let waivers = if scope.all && dice.one_in(3) {
        vec![DrawnWaiver {
            rule: "hole-to-end".into(),
            frame: Some(frames[0].name.clone()),
            mark: Some(frames[0].members[0].mark.clone()),
            reference: "letter 12".into(),
            by: "M. Aroha, CPEng".into(),
        }]
    } else {
        Vec::new()
    };
    DrawnJob {
        name: "KP30".into(),
        title: if scope.all { "Kestrel Point, größer".into() } else { String::new() },
        revision: "B".into(),
        frames,
        waivers,
    }
}

fn member(dice: &mut Dice, scope: Scope, mark: String) -> DrawnMember {
    // Whole millimetres, or 64ths of an inch, or micrometres.
    let length = match dice.roll(3) {
        0 => Length::from_mm(900 + dice.roll(3_000) as i64),
        1 => Length::from_nm(396_875 * (3_000 + dice.roll(5_000) as i64)),
        _ => Length::from_um(900_000 + dice.roll(3_000_000) as i64),
    };
    let usages = [Usage::Stud, Usage::KingStud, Usage::TopPlate, Usage::TrussWeb, Usage::Other];
    let slope = |dice: &mut Dice| match (scope.all || scope.outlines) && dice.one_in(6) {
        true if scope.outlines => {
            let (rise, run) = *dice.of(&[(-4, 12), (5, 12), (123, 1_000), (-617, 1_999), (7, 3)]);
            EndShape::Slope { rise, run }
        }
        true => EndShape::Slope { rise: *dice.of(&[-4, 3, 5]), run: 12 },
        false => EndShape::Square,
    };
    let profile = *dice.of(scope.profiles);
    let lips = profile != "U60x30-0.75";
    let mut features: Vec<DrawnFeature> = Vec::new();
    for i in 0..dice.roll(7) {
        let mut feature = feature(dice, scope.all, lips, i as i64);
        if scope.outlines && feature.faces.is_none() && dice.one_in(4) {
            feature.kind = Arc::from("hatch");
            feature.size = None;
        }
        let end = |f: &DrawnFeature| match f.place {
            DrawnPlace::End { end, .. } => Some(end),
            _ => None,
        };
        // An end is shaped once.
        if end(&feature).is_none() || features.iter().all(|f| end(f) != end(&feature)) {
            features.push(feature);
        }
    }
    DrawnMember {
        mark,
        usage: *dice.of(&usages),
        quantity: 1 + u32::try_from(dice.roll(3)).unwrap(),
        profile: Arc::from(profile),
        length,
        length_tolerance: (scope.all && dice.one_in(3)).then(|| tolerance(dice)),
        start: slope(dice),
        end: slope(dice),
        turnable: scope.all && profile != "C75-uneven" && dice.one_in(3),
        mark_text: (scope.all && dice.one_in(4)).then(|| "KP brace".to_string()),
        features,
        source: String::new(),
    }
}

fn tolerance(dice: &mut Dice) -> Tolerance {
    Tolerance {
        minus: Length::from_um(100 * (1 + dice.roll(20) as i64)),
        plus: Length::from_um(100 * (1 + dice.roll(20) as i64)),
    }
}

fn feature(dice: &mut Dice, all: bool, lips: bool, i: i64) -> DrawnFeature {
    // Every feature keeps to a stretch of its own.
    let near = Length::from_um(60_000 + 110_000 * i + 100 * dice.roll(300) as i64);
    let at = match dice.roll(if all { 3 } else { 1 }) {
        0 => Position::from_start(near),
        1 => Position::from_end(-near),
        _ => Position { datum: Datum::Middle, offset: near - Length::from_mm(200) },
    };
    let own = |dice: &mut Dice| (all && dice.one_in(3)).then(|| tolerance(dice));
    let mut made = DrawnFeature {
        kind: Arc::from("hole"),
        size: Some((Length::from_mm(8 + dice.roll(10) as i64), None)),
        faces: None,
        across: (dice.one_in(2)).then(|| Length::from_um(500 * (1 + dice.roll(9) as i64))),
        place: DrawnPlace::Point { at, tolerance: own(dice) },
        across_tolerance: None,
    };
    match dice.roll(if all { 8 } else { 3 }) {
        0 => {}
        1 => {
            made.faces = Some(*dice.of(&[Faces::FLANGES, Faces::LEFT_FLANGE, Faces::RIGHT_FLANGE]));
        }
        2 => {
            made.kind = Arc::from("service-hole");
            made.size = None;
        }
        3 => {
            made.kind = Arc::from("dimple");
            made.size = None;
            made.across_tolerance = own(dice);
        }
        4 if lips => {
            made.kind = Arc::from("lip-notch");
            made.size = None;
            made.across = None;
            made.place = DrawnPlace::Range {
                from: Position::from_start(near),
                to: Position::from_start(near + Length::from_mm(48)),
                tolerance: own(dice).map(|t| (t, tolerance(dice))),
            };
        }
        5 => {
            made.kind = Arc::from("swage");
            made.size = Some((Length::from_mm(45), None));
            made.across = None;
            made.faces = Some(Faces::FLANGES);
            made.place =
                DrawnPlace::End { end: *dice.of(&[End::Start, End::End]), tolerance: own(dice) };
        }
        6 => {
            made.kind = Arc::from("flange-notch");
            made.size = Some((Length::from_mm(30), Some(Length::from_mm(12))));
            made.across = Some(Length::from_mm(3));
            made.place = DrawnPlace::Range {
                from: Position::from_start(near),
                to: Position::from_start(near + Length::from_mm(30)),
                tolerance: None,
            };
        }
        _ => {
            made.kind = Arc::from("slot");
            made.size = Some((Length::from_mm(40), Some(Length::from_mm(14))));
        }
    }
    made
}
