//! The demos keep what they promise: they compile and replay, their counts are as told, and a
//! framer could put their frames together.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

#[path = "../benches/house/mod.rs"]
mod house;

use coilwright::diagnostic::Diagnostic;
use coilwright::language;
use coilwright::library::model::{AppliedBy, How, Slope, Works};
use coilwright::member::model::*;
use coilwright::plan::{self, Options, Plan, Shop};
use coilwright::program::Event;
use coilwright::quantity::{FileId, Files, Length, ReadFault, Sources};
use std::collections::BTreeSet;
use std::ops::Deref;
use std::path::Path;

/// A fixture's folder on the disk.
struct Folder(&'static str);

impl Files for Folder {
    #[allow(clippy::disallowed_methods)] // a test may read the disk
    fn read(&self, path: &str) -> Result<Vec<u8>, ReadFault> {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(self.0);
        std::fs::read(root.join(path)).map_err(|e| ReadFault::Other(e.to_string()))
    }
}

struct Demo {
    shop: Shop,
    found: Vec<Diagnostic>,
}

impl Deref for Demo {
    type Target = Shop;
    fn deref(&self) -> &Shop {
        &self.shop
    }
}

impl Demo {
    fn open(files: &dyn Files) -> Demo {
        let (shop, found) = Shop::open(files, &mut Sources::default(), "batch.toml");
        Demo { shop: shop.unwrap_or_else(|| panic!("{found:#?}")), found }
    }
    fn boatshed() -> Demo {
        Demo::open(&Folder("boatshed"))
    }
    fn office() -> Demo {
        Demo::open(&Folder("slip-office"))
    }
    fn porch() -> Demo {
        Demo::open(&Folder("porch"))
    }
    fn landing() -> Demo {
        Demo::open(&Folder("landing"))
    }
    fn plan(&self, threads: usize) -> Plan {
        let (plan, found) = plan::plan(&self.inputs(), &Options { ticks: 20_000, threads }, &());
        assert!(found.is_empty(), "{found:#?}");
        plan.unwrap()
    }
    fn frame(&self, name: &str) -> View<'_> {
        let frames = self.jobs.iter().flat_map(|job| &job.frames);
        let frame = frames.into_iter().find(|f| &*f.name == name).unwrap();
        View { demo: self, frame }
    }
    fn walls(&self) -> Vec<View<'_>> {
        let frames = self.jobs.iter().flat_map(|job| &job.frames);
        let walls = frames.filter(|f| f.kind == FrameKind::Wall);
        walls.map(|frame| View { demo: self, frame }).collect()
    }
    fn frames(&self) -> u32 {
        self.jobs.iter().flat_map(|job| &job.frames).map(|f| f.quantity).sum()
    }
    fn pieces(&self) -> u32 {
        let frames = self.jobs.iter().flat_map(|job| &job.frames);
        frames.map(|f| f.quantity * f.members.iter().map(|m| m.quantity).sum::<u32>()).sum()
    }
    fn kind_is(&self, feature: &Feature, name: &str) -> bool {
        &*self.loaded.library.feature(feature.kind).unwrap().name == name
    }
}

/// A frame with what its joints need to know.
struct View<'a> {
    demo: &'a Demo,
    frame: &'a Frame,
}

/// Micrometres from a member's start.
type Um = i64;

fn um(length: Length) -> Um {
    assert_eq!(length.nm() % 1_000, 0, "{length}");
    length.nm() / 1_000
}

impl<'a> View<'a> {
    fn of(&self, usage: Usage) -> Vec<&'a Member> {
        self.frame.members.iter().filter(|m| m.usage == usage).collect()
    }
    fn one(&self, usage: Usage) -> &'a Member {
        let all = self.of(usage);
        assert_eq!(all.len(), 1, "{} {usage:?}", self.frame.name);
        all[0]
    }
    /// Features of a type, as first and last place covered.
    fn extents(&self, member: &Member, kind: &str) -> Vec<(Um, Um)> {
        let shape = &member.shape;
        let of_kind = shape.features.iter().filter(|f| self.demo.kind_is(f, kind));
        let mut all: Vec<(Um, Um)> = of_kind
            .map(|f| f.place.extent(f.outline, shape.length))
            .map(|(a, b)| (um(a.distance()), um(b.distance())))
            .collect();
        all.sort_unstable();
        all
    }
    /// Their centres.
    fn centres(&self, member: &Member, kind: &str) -> Vec<Um> {
        self.extents(member, kind).into_iter().map(|(a, b)| (a + b) / 2).collect()
    }
    fn dimples(&self, member: &Member) -> Vec<Um> {
        self.centres(member, "dimple")
    }
    fn shaped(&self, member: &Member, kind: &str, end: End) -> bool {
        member.shape.features.iter().any(|f| {
            self.demo.kind_is(f, kind)
                && matches!(f.place, Place::End { end: here, .. } if here == end)
        })
    }
}

/// Screw line from the outside of a web, from a nested end, and what is between the two.
const SCREW: Um = 20_000;
const JOINT: Um = 18_000;
const FIT: Um = 2_000;
/// Half a flange of an upright.
const HALF: Um = 20_000;
const HEIGHT: Um = 2_400_000;

#[test]
fn the_boatshed_is_as_large_as_it_says() {
    let demo = Demo::boatshed();
    assert_eq!((demo.frames(), demo.pieces()), (20, 275));
    assert_eq!(demo.loaded.library.profiles.len(), 2);
    let line = &demo.loaded.line;
    assert_eq!(line.stations.len(), 10);
    for station in &line.stations {
        let offset = um(station.offset) / 1_000;
        match station.works {
            Works::Flat => assert!((3_000..=6_000).contains(&offset), "{}", station.name),
            Works::Formed => assert!((0..=1_000).contains(&offset), "{}", station.name),
        }
    }
    assert_eq!(line.tools.iter().filter(|t| t.how == How::Straddle).count(), 1);
    let calibration = &demo.loaded.calibration;
    assert_eq!(calibration.applied_by, AppliedBy::Coilwright);
    assert!(calibration.profiles.iter().all(|(_, factor)| *factor != 0));
    assert!(calibration.stations.iter().all(|s| s.shift != Length::ZERO));
    let coils = &demo.loaded.stock.coils;
    assert!(coils.iter().any(|c| c.part_used) && coils.iter().any(|c| !c.defects.is_empty()));
}

#[test]
fn the_boatshed_has_no_findings_but_the_one_that_is_waived() {
    let demo = Demo::boatshed();
    assert!(demo.found.is_empty(), "{:#?}", demo.found);
    let [waived] = demo.waived.as_slice() else { panic!("{:#?}", demo.waived) };
    assert_eq!(&*demo.jobs[waived.job].waivers[waived.waiver].rule, "hole-to-end");
}

#[test]
fn the_demos_are_written_in_canonical_form() {
    for (folder, files) in [
        ("boatshed", &["job", "common", "walls", "loft", "trusses"][..]),
        ("slip-office", &["office"][..]),
        ("porch", &["roof"][..]),
        ("landing", &["deck", "battens"]),
    ] {
        for name in files {
            let path = match folder {
                "boatshed" => format!("members/{name}.members"),
                _ => format!("{name}.members"),
            };
            let text = String::from_utf8(Folder(folder).read(&path).unwrap()).unwrap();
            let (tree, found) = language::parse(FileId(0), &text);
            assert!(found.is_empty(), "{path}: {found:#?}");
            assert!(language::format(&tree, &text).unwrap() == text, "{path}: run `fmt` on it");
        }
    }
}

#[test]
fn the_boatshed_is_made_and_judged_right() {
    let demo = Demo::boatshed();
    // Planning replays the printed bytes of every run and reports what is not right.
    let plan = demo.plan(1);
    let pieces: usize = plan.runs.iter().map(|run| run.pieces.len()).sum();
    assert_eq!(pieces, 275);
    for run in &plan.runs {
        assert!(run.account.closes(), "{:?}", run.account);
        assert!(run.pieces.iter().all(|piece| piece.mark.is_some()), "a piece leaves blank");
    }
    let touched = |name: &str| plan.runs.iter().find(|run| &*run.coil.id == name).unwrap();
    assert!(touched("K-118").coil.part_used);
    assert!(touched("K-131").account.head_at_defects > Length::ZERO, "no defect was passed");
}

/// The porch: rafters and trusses with sloped ends on a line that turns its shear. Parallel ends
/// share their cuts, ties and chords come off either way round, and the two hands of the hip
/// rafter stay apart.
#[test]
fn the_porch_is_made_and_judged_right() {
    let demo = Demo::porch();
    assert!(demo.found.is_empty(), "{:#?}", demo.found);
    let plan = demo.plan(1);
    let [run] = plan.runs.as_slice() else { panic!("one coil") };
    assert_eq!(run.pieces.len(), 27);
    assert!(run.account.closes(), "{:?}", run.account);
    let turned = run.pieces.iter().filter(|piece| piece.turned).count();
    assert!(turned >= 2, "{turned} turned");
    let cuts: Vec<(bool, Slope)> = run
        .program
        .events
        .iter()
        .filter_map(|event| match event {
            Event::Cut { piece, slope, .. } => Some((piece.is_some(), *slope)),
            _ => None,
        })
        .collect();
    assert!(cuts.iter().filter(|(_, slope)| !slope.is_square()).count() > 20);
    // Four rafters of the lean-to end as no other piece begins, so they end four runs of shared
    // cuts; the trusses are one more. With the head and the defect that is six pieces of scrap.
    let scrap = cuts.iter().filter(|(good, _)| !good).count();
    assert!(scrap <= 6, "{scrap} pieces of scrap");
    assert!(run.account.head_at_slopes > Length::ZERO);
    assert_eq!(run.account.head_at_gaps, Length::ZERO);
    // The two hands of the hip rafter begin and end on opposite slopes.
    let hand = |mark: &str| {
        let frames = demo.jobs.iter().flat_map(|job| &job.frames);
        let member = frames.flat_map(|f| &f.members).find(|m| &*m.mark == mark).unwrap();
        (Slope::of_start(member.shape.start), Slope::of_end(member.shape.end))
    };
    let (left, right) = (hand("H1"), hand("H2"));
    assert_eq!((left.0.opposite(), left.1.opposite()), right);
}

/// The landing: a stamp, a parting shear, a die for swage and dimple together, a punch below the
/// shear that one of two must be chosen of, nibbled notches, two profiles, bars beside coils, two
/// bundles open at a time and jobs within a window.
#[test]
fn the_landing_is_made_and_judged_right() {
    let demo = Demo::landing();
    assert!(demo.found.is_empty(), "{:#?}", demo.found);
    let plan = demo.plan(1);
    assert!(plan.runs.iter().all(|run| run.account.closes() && run.account.slug == Length::ZERO));
    assert_eq!(plan.runs.iter().map(|run| run.pieces.len()).sum::<usize>(), 58);
    let (deck, battens) = plan.runs.split_first().unwrap();
    assert!(deck.coil.bar.is_none() && battens.len() >= 2);
    assert!(battens.iter().all(|run| run.coil.bar.is_some() && run.profile != deck.profile));

    let line = &demo.loaded.line;
    let fired = |name: &str| {
        let (wanted, _) = line.tools().find(|(_, tool)| &*tool.name == name).unwrap();
        let strokes = |event: &Event| match event {
            Event::Stop { strokes, .. } => strokes.iter().filter(|s| s.tool == wanted).count(),
            _ => 0,
        };
        deck.program.events.iter().map(strokes).sum::<usize>()
    };
    // Every joist and the blocking has a joint at each end, every pair of neighbours shares one.
    let swaged = deck
        .pieces
        .iter()
        .filter(|piece| piece.shape.features.iter().any(|feature| demo.kind_is(feature, "swage")));
    let swaged = swaged.count();
    assert!((swaged + 1..swaged + 5).contains(&fired("joint-45")), "{}", fired("joint-45"));
    assert_eq!(fired("swage-45"), 0);
    assert!(fired("hole-12") > 0 && fired("late-hole-12") > 0);
    // 24 notches of one bite, and one of 88 mm.
    assert!(fired("notch-48") >= 24 + 2);

    // Stamped where the strip stands: at its place within the slack, more often than not at a stop
    // that a tool needs.
    let stops = deck.program.events.iter().filter_map(|event| match event {
        Event::Stop { at, .. } | Event::Cut { at, .. } => Some(*at),
        Event::Mark { .. } => None,
    });
    let stops: BTreeSet<_> = stops.collect();
    let stamped = deck.program.events.iter().filter_map(|event| match event {
        Event::Mark { at, .. } => Some(*at),
        _ => None,
    });
    let (shared, own): (Vec<_>, Vec<_>) = stamped.partition(|at| stops.contains(at));
    assert!(shared.len() > own.len(), "{} shared, {} of their own", shared.len(), own.len());
    assert!(line.marker.as_ref().is_some_and(|marker| marker.stamp.is_some()));
}

#[test]
fn members_with_and_without_straddled_ends_occur() {
    let demo = Demo::boatshed();
    let straddled = |m: &Member| m.shape.features.iter().any(|f| demo.kind_is(f, "swage"));
    let members: Vec<bool> =
        demo.jobs.iter().flat_map(Job::members).map(|(_, m)| straddled(m)).collect();
    assert!(members.contains(&true) && members.contains(&false));
}

/// Uprights of a wall as its plates have them, from the start of the wall.
struct Uprights {
    top: Vec<Um>,
    bottom: Vec<Um>,
    /// King studs, where there is an opening.
    kings: Option<(Um, Um)>,
    /// Those over the full height, in order.
    full: Vec<Um>,
}

fn uprights(wall: &View<'_>) -> Uprights {
    let top_plate = wall.one(Usage::TopPlate);
    let top = wall.dimples(top_plate);
    let length = um(top_plate.shape.length);
    let mut bottom = Vec::new();
    let plates = wall.of(Usage::BottomPlate);
    for (i, plate) in plates.iter().enumerate() {
        let from = if i == 0 { 0 } else { length - um(plate.shape.length) };
        bottom.extend(wall.dimples(plate).iter().map(|x| x + from));
    }
    let has = |list: &[Um], x: Um| list.contains(&x);
    let kings = wall.of(Usage::Lintel).first().map(|lintel| {
        let space = um(lintel.shape.length) - 2 * JOINT;
        let pairs: Vec<(Um, Um)> = top
            .iter()
            .map(|&a| (a, a + space))
            .filter(|&(_, b)| has(&top, b))
            .filter(|&(a, b)| has(&bottom, a + 2 * HALF) && has(&bottom, b - 2 * HALF))
            .collect();
        assert_eq!(pairs.len(), 1, "{}: {pairs:?}", wall.frame.name);
        pairs[0]
    });
    let inside = |x: Um| kings.is_some_and(|(a, b)| x > a && x < b);
    let full = top.iter().copied().filter(|&x| !inside(x)).collect();
    Uprights { top, bottom, kings, full }
}

#[test]
fn plates_have_a_joint_for_each_upright_and_no_other() {
    for wall in Demo::boatshed().walls() {
        let name = &wall.frame.name;
        let at = uprights(&wall);
        let count = |usage| wall.of(usage).len();
        let standing = count(Usage::Stud) + count(Usage::KingStud);
        assert_eq!(at.full.len(), standing, "{name}");
        assert!(at.full.iter().all(|x| at.bottom.contains(x)), "{name}");
        // Cripples stand on the lintel or under the sill; trimmers on the bottom plate alone.
        let cripples = wall.of(Usage::CrippleStud);
        let sill = wall.of(Usage::Sill);
        let below = cripples.iter().filter(|c| um(c.shape.length) > 500_000).count();
        assert_eq!(sill.is_empty(), below == 0, "{name}");
        assert_eq!(at.top.len(), standing + cripples.len() - below, "{name}");
        assert_eq!(at.bottom.len(), standing + count(Usage::TrimmerStud) + below, "{name}");
    }
}

#[test]
fn lips_are_cut_where_a_flange_comes_and_nowhere_else() {
    let demo = Demo::boatshed();
    let loft = demo.frame("F1");
    let mut frames = demo.walls();
    frames.push(loft);
    for frame in &frames {
        for member in &frame.frame.members {
            let receives = matches!(
                member.usage,
                Usage::TopPlate | Usage::BottomPlate | Usage::Lintel | Usage::Sill | Usage::Rim
            );
            if !receives {
                continue;
            }
            let mut cut = frame.extents(member, "lip-notch");
            cut.extend(frame.extents(member, "lip-cut"));
            let name = format!("{} {}", frame.frame.name, member.mark);
            let length = um(member.shape.length);
            let nested_ends = member.usage == Usage::Sill;
            let joints = frame.dimples(member);
            let joints: Vec<Um> = joints
                .into_iter()
                .filter(|&x| !nested_ends || (x > JOINT && x < length - JOINT))
                .collect();
            for &x in &joints {
                let (from, to) = ((x - HALF).max(0), (x + HALF).min(length));
                let covered = |at: Um| cut.iter().any(|&(a, b)| a <= at && at <= b);
                let holes = (from..=to).step_by(1_000).filter(|&at| !covered(at)).count();
                // A lintel's trimmers lap over its outside.
                let laps = member.usage == Usage::Lintel
                    && (x == JOINT + 2 * SCREW || x == length - JOINT - 2 * SCREW);
                assert!(holes == 0 || laps, "{name}: lips in the way at {x} µm");
            }
            for (a, b) in frame.extents(member, "lip-notch") {
                let near = |x: &&Um| **x + HALF + 5_000 >= a && **x - HALF - 5_000 <= b;
                let wanted: Um = joints.iter().filter(near).count() as Um * 2 * HALF;
                assert!(b - a <= wanted + 8_000, "{name}: {a} .. {b} cuts more than it needs");
            }
        }
    }
}

#[test]
fn uprights_reach_from_plate_to_plate_and_lie_in_the_same_lines() {
    let demo = Demo::boatshed();
    for wall in demo.walls() {
        let name = &wall.frame.name;
        let mut nogs: BTreeSet<Vec<Um>> = BTreeSet::new();
        let lintel_line = wall.of(Usage::TrimmerStud).first().map(|t| um(t.shape.length) - JOINT);
        for member in wall.of(Usage::Stud).into_iter().chain(wall.of(Usage::KingStud)) {
            let mut at = wall.dimples(member);
            assert_eq!(um(member.shape.length), HEIGHT - 2 * FIT, "{name}");
            // 20 mm from the outside of either plate: the middle of its flange.
            assert_eq!((at.remove(0), at.pop().unwrap()), (JOINT, HEIGHT - 2 * FIT - JOINT));
            if member.usage == Usage::KingStud {
                // The lintel's tabs and the trimmer's tabs lie on one line.
                let line = at.pop().unwrap();
                assert_eq!(Some(line), lintel_line, "{name} {}", member.mark);
            }
            assert_eq!(wall.centres(member, "lip-notch"), at, "{name} {}", member.mark);
            nogs.insert(at);
        }
        assert_eq!(nogs.len(), 1, "{name}: noggings at different heights: {nogs:?}");
    }
}

#[test]
fn noggings_fit_between_their_uprights() {
    let demo = Demo::boatshed();
    for wall in demo.walls() {
        let name = &wall.frame.name;
        let at = uprights(&wall);
        let last = *at.full.last().unwrap();
        let bays: Vec<(Um, Um)> =
            at.full.windows(2).map(|w| (w[0], w[1])).filter(|bay| Some(*bay) != at.kings).collect();
        let stud = wall.of(Usage::Stud)[0];
        let rows = wall.dimples(stud).len() - 2;
        let mut noggings = wall.of(Usage::Nogging);
        noggings.sort_by_key(|m| m.mark[1..].parse::<u32>().unwrap());
        assert_eq!(noggings.len(), rows * bays.len(), "{name}");
        for (i, nogging) in noggings.iter().enumerate() {
            let (left, right) = bays[i % bays.len()];
            let label = format!("{name} {}", nogging.mark);
            let ends = wall.dimples(nogging);
            assert_eq!(ends.len(), 2, "{label}");
            assert_eq!(ends[1] - ends[0], right - left, "{label}");
            assert_eq!((ends[0], um(nogging.shape.length) - ends[1]), (JOINT, JOINT), "{label}");
            // Webs stand to the left, but for the last upright and the king left of an opening.
            let open_left = |x: Um| x == last || at.kings.is_some_and(|(a, _)| a == x);
            for (end, nests) in [(End::Start, !open_left(left)), (End::End, open_left(right))] {
                assert_eq!(wall.shaped(nogging, "joggle", end), nests, "{label} {end}");
                assert_eq!(wall.shaped(nogging, "web-cut", end), !nests, "{label} {end}");
                assert_eq!(wall.shaped(nogging, "lip-cut", end), !nests, "{label} {end}");
            }
        }
    }
}

#[test]
fn openings_are_framed() {
    let demo = Demo::boatshed();
    let mut openings = 0;
    for wall in demo.walls() {
        let name = &wall.frame.name;
        let at = uprights(&wall);
        let Some((left, right)) = at.kings else { continue };
        openings += 1;
        let (king, trimmer) = (wall.of(Usage::KingStud)[0], wall.of(Usage::TrimmerStud)[0]);
        let lintel = wall.one(Usage::Lintel);
        let within = |list: &[Um]| -> Vec<Um> {
            list.iter().copied().filter(|&x| x > left && x < right).collect()
        };
        // Kings, trimmers and the cripples of the top plate, from the lintel's start.
        let mut wanted = within(&at.top);
        wanted.extend([left, left + 2 * HALF, right - 2 * HALF, right]);
        wanted.sort_unstable();
        let here: Vec<Um> = wanted.iter().map(|x| x - left + JOINT).collect();
        assert_eq!(wall.dimples(lintel), here, "{name}: lintel");
        // Heights: 20 from the outside of the bottom plate to the lintel's line, then to the top.
        let line = wall.dimples(trimmer).pop().unwrap() + FIT;
        let short: Vec<&Member> = wall
            .of(Usage::CrippleStud)
            .into_iter()
            .filter(|c| um(c.shape.length) < 500_000)
            .collect();
        for cripple in &short {
            let ends = wall.dimples(cripple);
            assert_eq!(line + ends[1] - ends[0], HEIGHT - SCREW, "{name}: {}", cripple.mark);
        }
        assert_eq!(short.len(), within(&at.top).len(), "{name}");
        // King and trimmer back to back: screws and pipes go through both.
        for kind in ["pilot", "service-hole"] {
            let common = wall.centres(trimmer, kind);
            assert!(!common.is_empty(), "{name}");
            assert_eq!(wall.centres(king, kind), common, "{name}: {kind}");
        }
        let Some(sill) = wall.of(Usage::Sill).first().copied() else { continue };
        let here: Vec<Um> =
            within(&at.bottom).iter().map(|x| x - left - 2 * HALF + JOINT).collect();
        assert_eq!(wall.dimples(sill), here, "{name}: sill");
        let sill_line = wall.dimples(trimmer)[1] + FIT;
        for cripple in wall.of(Usage::CrippleStud) {
            if um(cripple.shape.length) > 500_000 {
                let ends = wall.dimples(cripple);
                assert_eq!(SCREW + ends[1] - ends[0], sill_line, "{name}: {}", cripple.mark);
            }
        }
        let notch = wall.centres(trimmer, "lip-notch");
        assert_eq!(notch, [sill_line - FIT], "{name}");
    }
    assert_eq!(openings, 6, "four windows and two doors");
}

#[test]
fn anchors_stand_between_uprights() {
    let demo = Demo::boatshed();
    for wall in demo.walls() {
        for plate in wall.of(Usage::BottomPlate) {
            let anchors = wall.centres(plate, "hole");
            assert!(!anchors.is_empty(), "{} {}", wall.frame.name, plate.mark);
            for anchor in anchors {
                let nearest = wall.dimples(plate).into_iter().map(|x| (x - anchor).abs()).min();
                // A 50 mm washer beside a flange, with room for a socket.
                assert!(nearest.unwrap() >= 80_000, "{} {anchor}", wall.frame.name);
            }
        }
    }
}

#[test]
fn the_loft_goes_together() {
    let demo = Demo::boatshed();
    let loft = demo.frame("F1");
    let joists = loft.of(Usage::Joist);
    let rims = loft.of(Usage::Rim);
    let at = loft.dimples(rims[0]);
    assert!(rims.iter().all(|rim| loft.dimples(rim) == at));
    assert_eq!(at.len(), joists.len());
    let blocking = loft.of(Usage::Nogging);
    assert_eq!(blocking.len(), at.len() - 1);
    for (block, bay) in blocking.iter().zip(at.windows(2)) {
        let ends = loft.dimples(block);
        assert_eq!(ends[1] - ends[0], bay[1] - bay[0], "{}", block.mark);
    }
    for joist in &joists {
        assert_eq!(loft.centres(joist, "lip-notch"), [um(joist.shape.length) / 2]);
    }
    for bolt in loft.centres(rims[0], "hole") {
        assert!(at.iter().all(|x| (x - bolt).abs() >= 80_000), "bolt at {bolt} in a joist");
    }
}

/// Bolt holes of a chord as places on plan and above the bottom chord, in micrometres.
fn nodes(truss: &View<'_>, usage: Usage) -> Vec<(Um, Um)> {
    let holes = truss.centres(truss.one(usage), "hole");
    match usage {
        Usage::BottomChord => holes.into_iter().map(|x| (x - 48_000, 0)).collect(),
        // 450 of eaves, then 7 in 24 from 200 above the bottom chord's centre line.
        _ => holes
            .into_iter()
            .map(|s| {
                let along = s - 450_000;
                assert_eq!(along * 24 % 25, 0);
                (along * 24 / 25, 200_000 + along * 7 / 25)
            })
            .collect(),
    }
}

#[test]
fn truss_webs_reach_from_bolt_to_bolt() {
    let demo = Demo::boatshed();
    for name in ["T1", "T2"] {
        let truss = demo.frame(name);
        let bottom = nodes(&truss, Usage::BottomChord);
        let mut top = nodes(&truss, Usage::TopChord);
        let mut webs: Vec<(Um, &str)> = truss
            .of(Usage::TrussWeb)
            .into_iter()
            .map(|web| {
                let holes = truss.centres(web, "hole");
                assert_eq!(um(web.shape.length), holes[1] - holes[0] + 60_000, "{}", web.mark);
                (holes[1] - holes[0], &*web.mark)
            })
            .collect();
        assert_eq!((bottom.len(), top.len()), (webs.len(), webs.len()), "{name}");
        // Verticals first: every bolt of the bottom chord with one above it.
        let mut diagonals = Vec::new();
        for node in bottom {
            match top.iter().position(|above| above.0 == node.0) {
                Some(i) => {
                    let height = top.remove(i).1;
                    let fits = |w: &(Um, &str)| w.0 == height && w.1.starts_with('V');
                    let web = webs.iter().position(fits);
                    webs.remove(web.unwrap_or_else(|| panic!("{name}: no web {height} µm long")));
                }
                None => diagonals.push(node),
            }
        }
        // The rest in order: a diagonal from each to the next one on the top chord.
        for (foot, head) in diagonals.into_iter().zip(top) {
            let (run, rise) = (head.0 - foot.0, head.1 - foot.1);
            let square = i128::from(run).pow(2) + i128::from(rise).pow(2);
            let root = Um::try_from(square.isqrt()).unwrap();
            let web = webs.iter().position(|w| (w.0 - root).abs() <= 10 && w.1.starts_with('D'));
            webs.remove(web.unwrap_or_else(|| panic!("{name}: no diagonal {root} µm long")));
        }
        assert!(webs.is_empty(), "{name}: {webs:?} go nowhere");
    }
}

#[test]
fn truss_webs_keep_clear_of_each_other_and_inside_the_chords() {
    let demo = Demo::boatshed();
    let truss_web = demo.loaded.library.profile_named("U60x30-0.75").unwrap().1;
    let chord = demo.loaded.library.profile_named("C90x40-0.75").unwrap().1;
    // A corner of a web's end lies at most √(30² + 30²) from the bolt.
    let half = um(truss_web.web) / 2;
    let corner = (half * half + 30_000_i64.pow(2)).isqrt();
    assert!(corner < um(chord.web) / 2);
    for name in ["T1", "T2"] {
        let truss = demo.frame(name);
        for usage in [Usage::TopChord, Usage::BottomChord] {
            let holes = truss.centres(truss.one(usage), "hole");
            for pair in holes.windows(2) {
                assert!(pair[1] - pair[0] > corner + half, "{name}: {pair:?}");
            }
        }
    }
}

#[test]
fn the_slip_office_is_made_and_judged_right() {
    let demo = Demo::office();
    assert!(demo.found.is_empty(), "{:#?}", demo.found);
    assert_eq!((demo.frames(), demo.pieces()), (2, 36));
    let plan = demo.plan(1);
    assert_eq!(plan.runs.iter().map(|run| run.pieces.len()).sum::<usize>(), 36);
    assert!(plan.runs.iter().all(|run| run.account.closes()));
}

/// 1/64 in.
const SIXTY_FOURTH: i64 = 396_875;

fn sixty_fourths(length: Length) -> i64 {
    assert_eq!(length.nm() % SIXTY_FOURTH, 0, "{length} is no whole 1/64 in");
    length.nm() / SIXTY_FOURTH
}

impl View<'_> {
    /// Centres of pilots on these faces, in 1/64 in.
    fn pilots(&self, member: &Member, faces: Faces) -> Vec<i64> {
        let length = member.shape.length;
        let mut all: Vec<i64> = member
            .shape
            .features
            .iter()
            .filter(|f| self.demo.kind_is(f, "pilot") && f.faces == faces)
            .map(|f| match f.place {
                Place::Point { at, .. } => sixty_fourths(at.on(length).distance()),
                _ => panic!("a pilot is a point"),
            })
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }
}

#[test]
fn the_slip_office_goes_together() {
    let demo = Demo::office();
    // In 1/64 in: half a stud's flange, a screw from the outside of a track, a bent tab.
    let (half_flange, screw, tab, gap) = (52, 40, 96, 4);
    let mut headers = 0;
    for wall in demo.walls() {
        let name = &wall.frame.name;
        let top_track = wall.one(Usage::TopPlate);
        let length = sixty_fourths(top_track.shape.length);
        let top = wall.pilots(top_track, Faces::FLANGES);
        let mut bottom = Vec::new();
        for (i, track) in wall.of(Usage::BottomPlate).into_iter().enumerate() {
            let from = if i == 0 { 0 } else { length - sixty_fourths(track.shape.length) };
            let pilots = wall.pilots(track, Faces::FLANGES);
            for anchor in wall.centres(track, "hole") {
                let far = |x: &i64| (x * SIXTY_FOURTH / 1_000 - anchor).abs() >= 60_000;
                assert!(pilots.iter().all(far), "{name}: anchor at {anchor} in a stud");
            }
            bottom.extend(pilots.into_iter().map(|x| x + from));
        }
        let studs: Vec<&Member> =
            wall.of(Usage::Stud).into_iter().chain(wall.of(Usage::KingStud)).collect();
        assert_eq!(bottom.len(), studs.len(), "{name}");
        let cripples: Vec<i64> = top.iter().copied().filter(|x| !bottom.contains(x)).collect();
        assert_eq!(cripples.len(), wall.of(Usage::CrippleStud).len(), "{name}");
        assert!(bottom.iter().all(|x| top.contains(x)), "{name}");
        // Door jambs are the two uprights with a cripple between them; their webs face it.
        let door = cripples.first().map(|c| {
            let left = bottom.iter().copied().filter(|x| x < c).max().unwrap();
            (left, bottom.iter().copied().filter(|x| x > c).min().unwrap())
        });
        let last = *bottom.last().unwrap();
        let web = |x: i64| {
            let open_left = x == last || door.is_some_and(|(left, _)| left == x);
            if open_left { x + half_flange } else { x - half_flange }
        };
        let bays: Vec<(i64, i64)> =
            bottom.windows(2).map(|w| (w[0], w[1])).filter(|bay| Some(*bay) != door).collect();
        let blocking = wall.of(Usage::Nogging);
        assert_eq!(blocking.len(), bays.len(), "{name}");
        let line = wall.pilots(studs[0], Faces::WEB)[0] + gap;
        for (block, (left, right)) in blocking.iter().zip(bays) {
            // 0.043 in of steel comes off between two webs, and up to 1/8 in is left for fit.
            let fit = web(right) - web(left) - (sixty_fourths(block.shape.length) - 2 * tab);
            assert!((2..=10).contains(&fit), "{name} {}: {fit}/64 in", block.mark);
            let pilots = wall.pilots(block, Faces::WEB);
            let end = sixty_fourths(block.shape.length);
            assert_eq!((pilots[0], pilots[1]), (tab / 2, end - tab / 2), "{name}");
            // The tab is bent up at 4 ft: its screw is as far above that as it is from the bend.
            assert_eq!(line, 4 * 12 * 64 + tab - pilots[0], "{name}");
        }
        for stud in &studs {
            let ends = wall.pilots(stud, Faces::FLANGES);
            let length = sixty_fourths(stud.shape.length);
            assert_eq!(ends, [screw - gap, length - screw + gap], "{name} {}", stud.mark);
            assert_eq!(length + 2 * gap, 8 * 12 * 64 + 72, "{name} {}", stud.mark);
        }
        let Some((left, right)) = door else { continue };
        headers += 1;
        let header = wall.one(Usage::Lintel);
        let clear = sixty_fourths(header.shape.length) - 2 * tab;
        assert!((2..=6).contains(&(web(right) - web(left) - clear)), "{name}");
        // The cripple's foot in the header, as far from the king as its head in the top track;
        // the fit is shared by both ends.
        let foot = wall.pilots(header, Faces::FLANGES)[0] - tab;
        assert!((foot - (cripples[0] - web(left))).abs() <= 2, "{name}");
        let king = wall.of(Usage::KingStud)[0];
        let cripple = wall.of(Usage::CrippleStud)[0];
        let head_line = wall.pilots(king, Faces::WEB)[1] + gap - tab / 2;
        let cripple = sixty_fourths(cripple.shape.length);
        assert_eq!(head_line + cripple + 2 * gap, 8 * 12 * 64 + 72, "{name}");
    }
    assert_eq!(headers, 1);
}

fn same(one: &Plan, two: &Plan) {
    assert_eq!(one.runs.len(), two.runs.len());
    for (a, b) in one.runs.iter().zip(&two.runs) {
        assert!(a.printed.bytes == b.printed.bytes, "{} differs", a.program.id);
        assert_eq!(a.account, b.account);
    }
    assert_eq!(one.profiles, two.profiles);
}

#[test]
fn threads_change_nothing() {
    let demo = Demo::boatshed();
    same(&demo.plan(1), &demo.plan(2));
    let houses = Demo::open(&house::files(2));
    same(&houses.plan(1), &houses.plan(2));
}
