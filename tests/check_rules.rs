//! Shipped rule sets, held at values just inside and just outside each limit. The figures stand
//! here as they were read, apart from the shipped files: a slip there is found here.
//!
//! Marks of the sources: *read* in the source or a copy of it; *read second-hand*; *from memory*.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(missing_docs)]

mod shop;

use coilwright::check::check;
use coilwright::diagnostic::{Severity, any_error};
use coilwright::library::load_library;
use coilwright::library::model::Library;
use coilwright::member::model::{End, Faces, Feature, Outline, Position, Shape, Usage};
use coilwright::quantity::{Length, MemoryFiles, Sources};
use shop::{at_end, frame, job, member, mm, point, range};
use std::sync::Arc;

/// A nanometre: the nearest that outside can be.
const NM: i64 = 1;

fn inch_64ths(n: i64) -> i64 {
    n * 396_875
}

/// A shop whose library is the usual types, one shipped rule set, and two profiles: a web of
/// 200 mm, where the width limits in millimetres rule, and one of 90 mm, where the share does.
fn shipped(set: &str) -> Library {
    let profile = |name: &str, web: i64, strip: &str| {
        format!(
            "[[profile]]\nname = \"{name}\"\nsection = \"lipped-channel\"\nweb = \"{web} mm\"\n\
             flange = \"50 mm\"\nlip = \"15 mm\"\nthickness = \"1 mm\"\nradius = \"2 mm\"\n\
             coating = \"Z275\"\ngrade = \"G450\"\nstrip-width = \"{strip} mm\"\n\
             length-tolerance = \"1 mm\"\n\n"
        )
    };
    let files = MemoryFiles::of([
        (
            "library.toml",
            &*format!(
                "profiles = [\"profiles.toml\"]\nshipped = [\"usual-features\", \"{set}\"]\n"
            ),
        ),
        ("profiles.toml", &*(profile("C200", 200, "321") + &profile("C90", 90, "211"))),
    ]);
    let mut sources = Sources::default();
    let (library, found) = load_library(&files, &mut sources, "library.toml");
    assert!(!any_error(&found), "{found:?}");
    library.unwrap()
}

struct Bench {
    library: Library,
    usage: Usage,
    profile: &'static str,
}

impl Bench {
    fn new(set: &str, usage: Usage) -> Bench {
        Bench { library: shipped(set), usage, profile: "C200" }
    }
    fn on(mut self, profile: &'static str) -> Bench {
        self.profile = profile;
        self
    }
    /// A service hole with its centre `x` from the start; lengths in nanometres.
    fn slot(&self, x: i64, length: i64, width: i64) -> Feature {
        let (length, width) = (Length::from_nm(length), Length::from_nm(width));
        self.feature("service-hole", x, Outline::Slot { length, width })
    }
    fn round(&self, x: i64, diameter: i64) -> Feature {
        let diameter = Length::from_nm(diameter);
        self.feature("round-service-hole", x, Outline::Circle { diameter })
    }
    fn feature(&self, name: &str, x: i64, outline: Outline) -> Feature {
        let (kind, _) = self.library.feature_named(name).unwrap();
        point(kind, Faces::WEB, Position::from_start(Length::from_nm(x)), outline, 1)
    }
    fn shape(&self, length: Length, features: Vec<Feature>) -> Shape {
        let mut shape = shop::shape(1, features);
        (shape.length, shape.profile) =
            (length, self.library.profile_named(self.profile).unwrap().0);
        shape
    }
    /// Rules broken by a member 3 m long with these features, each of which names its clause,
    /// says to verify, and refers to the engineer.
    fn broken(&self, features: Vec<Feature>) -> Vec<&'static str> {
        self.broken_on(mm(3000), features)
    }
    fn broken_on(&self, length: Length, features: Vec<Feature>) -> Vec<&'static str> {
        let shape = Arc::new(self.shape(length, features));
        let jobs = [job(vec![frame("N1", vec![member("S1", self.usage, &shape)])], vec![])];
        let found = check(&jobs, &self.library).diagnostics;
        let rules = &self.library.rule_sets[0];
        for d in &found {
            let named = rules.rules.iter().find(|r| d.notes[0].contains(&format!("`{}`", r.id)));
            let rule = named.unwrap_or_else(|| panic!("names no rule: {}", d.message));
            assert!(d.notes[0].contains(&*rule.source) && d.notes[0].contains(&*rules.title));
            assert_eq!(d.notes[1], *rules.verify);
            assert!(d.help.as_deref().unwrap().contains("engineer"), "{:?}", d.help);
        }
        found.iter().map(|d| d.code.number).collect()
    }
}

const MM: i64 = 1_000_000;

/// ASTM C955-01 §4.6 (superseded edition), read: width across the web at most 0.5 d and 2½ in
/// (64 mm); length at most 4½ in (114 mm); 24 in (610 mm) centre to centre; 10 in (254 mm) from
/// the member's end to the near edge of the hole.
#[test]
fn astm_c955_01() {
    let b = Bench::new("astm-c955-01", Usage::Stud);
    let at = 1500 * MM;
    assert_eq!(b.broken(vec![b.slot(at, inch_64ths(288), 64 * MM)]), [""; 0]);
    assert_eq!(b.broken(vec![b.slot(at, inch_64ths(288), 64 * MM + NM)]), ["W0411"]);
    assert_eq!(b.broken(vec![b.slot(at, inch_64ths(288) + NM, 64 * MM)]), ["W0412"]);
    // Near edge at 254 mm from the start, and from the end of a member of 3000 mm.
    let edge = |x| b.broken(vec![b.slot(x, 100 * MM, 38 * MM)]);
    assert_eq!(edge(304 * MM), [""; 0]);
    assert_eq!(edge(304 * MM - NM), ["W0414"]);
    assert_eq!(edge(2696 * MM), [""; 0]);
    assert_eq!(edge(2696 * MM + NM), ["W0414"]);
    let two = |apart: i64| {
        b.broken(vec![b.slot(at, 100 * MM, 38 * MM), b.slot(at + apart, 60 * MM, 38 * MM)])
    };
    assert_eq!(two(inch_64ths(24 * 64)), [""; 0]);
    assert_eq!(two(inch_64ths(24 * 64) - NM), ["W0413"]);
    // On a web of 90 mm half the web rules: 45 mm.
    let narrow = Bench::new("astm-c955-01", Usage::Stud).on("C90");
    assert_eq!(narrow.broken(vec![narrow.slot(at, 100 * MM, 45 * MM)]), [""; 0]);
    assert_eq!(narrow.broken(vec![narrow.slot(at, 100 * MM, 45 * MM + NM)]), ["W0411"]);
    // It is about studs: king, trimmer and cripple studs too, plates and joists not.
    for (usage, is_stud) in [
        (Usage::KingStud, true),
        (Usage::TrimmerStud, true),
        (Usage::CrippleStud, true),
        (Usage::BottomPlate, false),
        (Usage::Joist, false),
    ] {
        let b = Bench::new("astm-c955-01", usage);
        let found = b.broken(vec![b.slot(at, 115 * MM, 60 * MM)]);
        assert_eq!(found == ["W0412"], is_stud, "{usage:?}: {found:?}");
    }
    // Joint and anchor holes are not service holes.
    let bolt = b.feature("anchor-hole", 45 * MM, Outline::Circle { diameter: mm(12) });
    assert_eq!(b.broken(vec![bolt]), [""; 0]);
}

/// IRC R603.2.6.1, from memory (the length read second-hand): 0.5 d and 1½ in; 4½ in; 24 in
/// centre to centre; 10 in, which the standard measures to the bearing's edge.
#[test]
fn irc_r603_studs() {
    let b = Bench::new("irc-r603-studs", Usage::Stud);
    let at = 1500 * MM;
    let (wide, long) = (inch_64ths(96), inch_64ths(288));
    assert_eq!(b.broken(vec![b.slot(at, long, wide)]), [""; 0]);
    assert_eq!(b.broken(vec![b.slot(at, long, wide + 2 * NM)]), ["W0411"]);
    assert_eq!(b.broken(vec![b.slot(at, long + 2 * NM, wide)]), ["W0412"]);
    let first = inch_64ths(640) + long / 2;
    assert_eq!(b.broken(vec![b.slot(first, long, wide)]), [""; 0]);
    assert_eq!(b.broken(vec![b.slot(first - NM, long, wide)]), ["W0414"]);
    let two = |apart: i64| b.broken(vec![b.slot(at, long, wide), b.slot(at + apart, long, wide)]);
    assert_eq!(two(inch_64ths(24 * 64)), [""; 0]);
    assert_eq!(two(inch_64ths(24 * 64) - NM), ["W0413"]);
}

/// IRC R505.2.6.1, from memory: as the studs', but 2½ in wide, and for joists.
#[test]
fn irc_r505_joists() {
    let b = Bench::new("irc-r505-joists", Usage::Joist);
    let wide = inch_64ths(160);
    assert_eq!(b.broken(vec![b.slot(1500 * MM, 100 * MM, wide)]), [""; 0]);
    assert_eq!(b.broken(vec![b.slot(1500 * MM, 100 * MM, wide + 2 * NM)]), ["W0411"]);
    let stud = Bench::new("irc-r505-joists", Usage::Stud);
    assert_eq!(stud.broken(vec![stud.slot(1500 * MM, 100 * MM, 70 * MM)]), [""; 0]);
}

/// AISI S100-16, from memory: d_h/h at most 0.7; holes that are not round at most 2½ in wide and
/// 4½ in long, round ones 6 in; **clear** distance at least 18 in (457.2 mm).
#[test]
fn aisi_s100_16() {
    let b = Bench::new("aisi-s100-16", Usage::Stud);
    let at = 1500 * MM;
    let (wide, long) = (inch_64ths(160), inch_64ths(288));
    assert_eq!(b.broken(vec![b.slot(at, long, wide)]), [""; 0]);
    assert_eq!(b.broken(vec![b.slot(at, long, wide + 2 * NM)]), ["W0411"]);
    assert_eq!(b.broken(vec![b.slot(at, long + 2 * NM, wide)]), ["W0412"]);
    // 0.7 of 200 mm comes before 6 in here.
    assert_eq!(b.broken(vec![b.round(at, 140 * MM)]), [""; 0], "wider than a slot may be");
    assert_eq!(b.broken(vec![b.round(at, 140 * MM + 2 * NM)]), ["W0411"]);
    let narrow = Bench::new("aisi-s100-16", Usage::Stud).on("C90");
    assert_eq!(narrow.broken(vec![narrow.round(at, 63 * MM)]), [""; 0]);
    assert_eq!(narrow.broken(vec![narrow.round(at, 63 * MM + 2 * NM)]), ["W0411"]);
    // Clear, not centre to centre: 18 in and half of each hole.
    let two = |apart: i64| {
        b.broken(vec![b.slot(at, 100 * MM, 40 * MM), b.slot(at + apart, 60 * MM, 40 * MM)])
    };
    let clear = inch_64ths(18 * 64);
    assert_eq!(two(clear + 80 * MM), [""; 0]);
    assert_eq!(two(clear + 80 * MM - NM), ["W0413"]);
}

/// AS/NZS 4600:2005, read in an abstract that quotes it: 0.7 of the web, 450 mm clear.
#[test]
fn as_nzs_4600_2005() {
    let b = Bench::new("as-nzs-4600-2005", Usage::Joist);
    let at = 1500 * MM;
    assert_eq!(b.broken(vec![b.slot(at, 200 * MM, 140 * MM)]), [""; 0]);
    assert_eq!(b.broken(vec![b.slot(at, 200 * MM, 140 * MM + 2 * NM)]), ["W0411"]);
    let two = |apart: i64| b.broken(vec![b.round(at, 50 * MM), b.round(at + apart, 50 * MM)]);
    assert_eq!(two(500 * MM), [""; 0]);
    assert_eq!(two(500 * MM - NM), ["W0413"]);
}

/// IRC 2009 R603.3.4, read second-hand: flanges and lips of studs and headers are not to be cut or
/// notched. A note that the engineer is needed, not an error.
#[test]
fn irc_2009_r603_3_4() {
    let library = shipped("irc-2009-r603-3-4");
    let kind = |name: &str| library.feature_named(name).unwrap().0;
    let from = |x| Position::from_start(mm(x));
    let found = |usage, feature: Feature| {
        let bench = Bench::new("irc-2009-r603-3-4", usage);
        let shape = Arc::new(bench.shape(mm(3000), vec![feature]));
        let jobs = [job(vec![frame("N1", vec![member("S1", usage, &shape)])], vec![])];
        let found = check(&jobs, &bench.library).diagnostics;
        found.iter().map(|d| (d.code.number, d.severity)).collect::<Vec<_>>()
    };
    let notch = || range(kind("lip-notch"), Faces::LIPS, from(1176), from(1224), 1);
    let cut = || at_end(kind("flange-cut"), Faces::FLANGES, End::End, 45, 1);
    for usage in [Usage::Stud, Usage::Lintel] {
        assert_eq!(found(usage, notch()), [("N0416", Severity::Note)], "{usage:?}");
        assert_eq!(found(usage, cut()), [("N0416", Severity::Note)], "{usage:?}");
    }
    assert_eq!(found(Usage::Nogging, notch()), []);
    let web = range(kind("web-notch"), Faces::WEB, from(1176), from(1224), 1);
    assert_eq!(found(Usage::Stud, web), []);
}

/// IRC 2018 R603.2.5, read: screws half an inch from an edge and from each other.
#[test]
fn irc_2018_r603_2_5() {
    let b = Bench::new("irc-2018-r603-2-5", Usage::Nogging);
    let (half_inch, length) = (inch_64ths(32), 3000 * MM);
    let hole = b.library.feature_named("hole").unwrap().0;
    let screw = |at: i64| {
        let outline = Outline::Circle { diameter: mm(5) };
        point(hole, Faces::WEB, Position::from_start(Length::from_nm(at)), outline, 1)
    };
    assert_eq!(b.broken(vec![screw(half_inch)]), [""; 0]);
    assert_eq!(b.broken(vec![screw(half_inch - NM)]), ["W0414"]);
    assert_eq!(b.broken(vec![screw(length - half_inch)]), [""; 0]);
    assert_eq!(b.broken(vec![screw(length - half_inch + NM)]), ["W0414"]);
    let two = |apart: i64| b.broken(vec![screw(500 * MM), screw(500 * MM + apart)]);
    assert_eq!(two(half_inch), [""; 0]);
    assert_eq!(two(half_inch - NM), ["W0413"]);
    // Not what is no screw hole: a service hole, and a slot.
    assert_eq!(b.broken(vec![b.slot(40 * MM, 60 * MM, 30 * MM)]), [""; 0]);
}
