//! The judge on programs written by hand: each fault is met once, with its witness; what is
//! within tolerance passes at the edge of it and fails one increment further.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

#[path = "common/dice.rs"]
mod dice;
mod replay_shop;

use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::program::{Event, Serial};
use coilwright::quantity::{Length, Tolerance};
use replay_shop::*;

/// One member of 1000 that starts at 5600: what is on it, and the strokes that make it.
struct Case {
    shop: Shop,
    wanted: Vec<Wanted>,
    /// Reference point of each stroke on the member, in micrometres.
    strokes: Vec<(ToolId, i64)>,
    marks: Vec<(i64, &'static str)>,
}

const LENGTH: i64 = 1_000_000;
const START: i64 = 5_600_000;

fn case(features: Vec<Feature>, strokes: &[(ToolId, i64)]) -> Case {
    Case {
        shop: Shop::new(),
        wanted: vec![Wanted {
            serial: Serial(1),
            mark_text: "N1-S1".into(),
            shape: shape(um(LENGTH), features),
        }],
        strokes: strokes.to_vec(),
        marks: vec![(60_000, "N1-S1")],
    }
}

impl Case {
    fn events(&self) -> Vec<Event> {
        let mut events = vec![cut(5596, None), cut(6600, Some(1))];
        for &(tool, x) in &self.strokes {
            let tool_at = self.shop.line.tools[usize::from(tool.0)].station;
            let offset = self.shop.line.stations[usize::from(tool_at.0)].offset;
            let at = coilwright::quantity::Advance::at(um(START + x) - offset);
            events.push(stop_at(at, &[tool]));
        }
        if let Some(marker) = &self.shop.line.marker {
            for &(x, text) in &self.marks {
                let at = coilwright::quantity::Advance::at(um(START + x) - marker.offset);
                events.push(Event::Mark { at, text: text.into() });
            }
        }
        events.sort_by_key(|event| (event.at(), matches!(event, Event::Cut { .. })));
        events
    }
    #[track_caller]
    fn gives(&self, codes: &[&str]) -> Vec<Found> {
        let program = self.shop.program(self.events());
        let outcome = run(&self.shop, &program, &self.wanted);
        assert_eq!(outcome.refused, [], "the machine can do it");
        assert_eq!(outcome.faulted_as(), codes, "{:?}", outcome.faults);
        assert_eq!(outcome.verdict.right, usize::from(codes.is_empty()));
        assert_eq!(outcome.verdict.at_fault.len(), usize::from(!codes.is_empty()));
        outcome.faults
    }
    #[track_caller]
    fn says(&self, codes: &[&str], words: &[&str]) {
        let faults = self.gives(codes);
        for word in words {
            assert!(faults[0].1.contains(word), "`{word}` is not in: {}", faults[0].1);
        }
    }
}

fn hole(x: i64) -> Feature {
    point(HOLE, Position::from_start(mm(x)), um(500))
}

// Identity.

#[test]
fn e0840_a_serial_nobody_asked_for() {
    let mut case = case(vec![hole(500)], &[(T_HOLE, 500_000)]);
    case.wanted[0].serial = Serial(7);
    let program = case.shop.program(case.events());
    let outcome = run(&case.shop, &program, &case.wanted);
    assert_eq!(outcome.faulted_as(), ["E0840", "E0842"]);
    assert!(outcome.faults[0].1.contains("serial 1"));
    assert!(outcome.faults[1].1.contains("piece 7 (`N1-S1`)"));
}

#[test]
fn e0841_a_serial_twice() {
    let case = case(vec![], &[]);
    let mut events = case.events();
    events.push(cut(7604, Some(1)));
    let program = case.shop.program(events);
    let outcome = run(&case.shop, &program, &case.wanted);
    assert_eq!(outcome.faulted_as(), ["E0841"]);
    assert!(outcome.faults[0].1.contains("event 4 drops piece 1 again; event 3"));
}

#[test]
fn e0842_a_piece_that_never_drops() {
    let case = case(vec![], &[]);
    let mut events = case.events();
    events.pop();
    let program = case.shop.program(events);
    let mut shop = case.shop.clone();
    shop.ending.keep = mm(9000);
    let outcome = run(&shop, &program, &case.wanted);
    assert_eq!(outcome.faulted_as(), ["E0842"]);
    assert_eq!(outcome.verdict.at_fault, [Serial(1)]);
}

#[test]
fn e0843_a_piece_without_its_mark() {
    let mut case = case(vec![], &[]);
    case.marks.clear();
    case.says(&["E0843"], &["piece 1 (`N1-S1`)", "event 2"]);
    // Nothing to print, nothing to find.
    case.wanted[0].mark_text = "".into();
    case.gives(&[]);
    // A line without a marker knows its pieces by their order.
    case.wanted[0].mark_text = "N1-S1".into();
    case.shop.line.marker = None;
    case.gives(&[]);
}

#[test]
fn a_member_shorter_than_its_mark_may_be_blank() {
    let mut case = case(vec![], &[]);
    case.marks.clear();
    // 5 characters of 4 mm from 60: 80 in all.
    case.shop.line.marker.as_mut().unwrap().from_start = mm(980);
    case.gives(&["E0843"]);
    case.shop.line.marker.as_mut().unwrap().from_start = mm(981);
    case.gives(&[]);
    // If it is printed all the same, it has to be the right one, in its place.
    case.marks = vec![(100_000, "N1-S1")];
    case.gives(&["E0853"]);
    case.marks = vec![(100_000, "N1-S2")];
    case.gives(&["E0844"]);
}

#[test]
fn e0844_another_mark_than_its_own() {
    let mut case = case(vec![], &[]);
    case.marks = vec![(60_000, "N1-S2")];
    case.says(&["E0844"], &["`N1-S2` (event 1)", "wanted `N1-S1` once"]);
    case.marks = vec![(60_000, "N1-S1"), (200_000, "N1-S1")];
    case.gives(&["E0844"]);
    case.marks = vec![(60_000, "N1-S1"), (200_000, "N1-S2")];
    case.says(&["E0844"], &["`N1-S1` (event 1) and `N1-S2` (event 2)"]);
    case.wanted[0].mark_text = "".into();
    case.marks = vec![(60_000, "N1-S1")];
    case.says(&["E0844"], &["wanted no mark"]);
}

#[test]
fn e0853_a_mark_out_of_place() {
    let mut case = case(vec![], &[]);
    case.marks = vec![(60_000, "N1-S1")];
    case.gives(&[]);
    case.marks = vec![(60_500, "N1-S1")];
    case.says(&["E0853"], &["from 60.5 mm of its start on (event 1)", "60 mm from there"]);
    case.shop.line.marker.as_mut().unwrap().stamp =
        Some(Stamp { time: coilwright::quantity::Time::from_ms(300), slack: mm(5) });
    case.gives(&[]);
    case.marks = vec![(65_000, "N1-S1")];
    case.gives(&[]);
    case.marks = vec![(54_900, "N1-S1")];
    case.gives(&["E0853"]);
}

// The piece.

#[test]
fn e0845_a_length_out_of_tolerance() {
    let mut case = case(vec![], &[]);
    case.wanted[0].shape.length = um(LENGTH + 600);
    case.says(&["E0845"], &["1000 mm long", "1000.6 mm ±0.5"]);
    case.wanted[0].shape.length = um(LENGTH - 600);
    case.gives(&["E0845"]);
    case.wanted[0].shape.length_tolerance = Tolerance { minus: mm(0), plus: mm(1) };
    case.gives(&[]);
}

#[test]
fn e0851_a_sloped_end() {
    let mut case = case(vec![], &[]);
    case.wanted[0].shape.end = EndShape::Slope { rise: 3, run: 12 };
    case.says(
        &["E0851"],
        &["its end is drawn 3 : 12 with the long point at the left; it was cut square"],
    );
    case.wanted[0].shape.end = EndShape::Slope { rise: 0, run: 12 };
    case.gives(&[]);
}

#[test]
fn e0852_another_profile() {
    let mut case = case(vec![], &[]);
    case.wanted[0].shape.profile = ProfileId(4);
    case.gives(&["E0852"]);
}

// Features at a point.

#[test]
fn e0846_a_feature_that_is_missing() {
    let case = case(vec![hole(300), hole(500)], &[(T_HOLE, 300_000)]);
    case.says(&["E0846"], &["hole on the web wanted at 500 mm ±0.5 (Ø12", "there is nothing"]);
}

#[test]
fn e0847_a_feature_out_of_place() {
    let at = |x| case(vec![hole(500)], &[(T_HOLE, x)]);
    // ±0.5 less 0.15 for line and tool.
    at(500_300).gives(&[]);
    at(499_700).gives(&[]);
    at(500_600).says(&["E0847"], &["500 mm ±0.5", "`hole 12` (event 2) sweeps 494.6 to 506.6 mm"]);
    at(499_400).gives(&["E0847"]);
    at(450_000).gives(&["E0847"]);
}

#[test]
fn e0850_in_tolerance_only_on_an_exact_line() {
    let at = |x| case(vec![hole(500)], &[(T_HOLE, x)]);
    at(500_400).says(&["E0850"], &["500 mm ±0.5", "494.4 to 506.4"]);
    at(499_600).gives(&["E0850"]);
    // The length as well: ±0.5 less 0.1.
    let mut case = case(vec![], &[]);
    case.wanted[0].shape.length = um(LENGTH + 400);
    case.gives(&[]);
    case.wanted[0].shape.length = um(LENGTH + 450);
    case.says(&["E0850"], &["1000 mm long", "1000.45"]);
    // A tolerance below the accuracy cannot be met at all.
    let mut exact = at(500_000);
    exact.wanted[0].shape.features[0] = point(HOLE, Position::from_start(mm(500)), um(149));
    exact.gives(&["E0850"]);
    exact.wanted[0].shape.features[0] = point(HOLE, Position::from_start(mm(500)), um(150));
    exact.gives(&[]);
}

/// The cut stands 0.4 past nominal: what is dimensioned from the end moves with it, what is
/// dimensioned from the middle by half of it.
#[test]
fn positions_are_measured_from_the_real_end() {
    let at = |position, x| {
        let mut case = case(vec![point(HOLE, position, um(350))], &[(T_HOLE, x)]);
        case.wanted[0].shape.length = um(LENGTH - 400);
        case
    };
    at(Position::from_end(mm(-100)), 900_000).gives(&[]);
    at(Position::from_end(mm(-100)), 899_600).gives(&["E0847"]);
    let middle = Position { datum: Datum::Middle, offset: mm(20) };
    at(middle, 520_000).gives(&[]);
    at(middle, 519_700).gives(&["E0850"]);
    at(Position::from_start(mm(100)), 100_000).gives(&[]);
}

#[test]
fn e0848_a_mark_nobody_wants() {
    let stray = case(vec![hole(500)], &[(T_HOLE, 500_000), (T_HOLE, 700_000)]);
    stray.says(&["E0848"], &["nothing more is wanted on the web", "694 to 706 mm"]);
    // On a face without any features.
    case(vec![], &[(T_DIMPLE, 500_000)]).gives(&["E0848", "E0848"]);
    // The second of two that both would do is one too many: only tools of two stations can do so.
    let mut twice = case(vec![hole(500)], &[(T_HOLE, 500_000), (T_WIDE_HOLE, 500_000)]);
    let station = StationId(2);
    twice.shop.line.tools[2].station = station;
    twice.shop.line.tools[2].makes.outline = Outline::Circle { diameter: mm(12) };
    twice.shop.line.overlaps.push(OverlapOrder { first: T_WIDE_HOLE, then: T_HOLE });
    twice.gives(&["E0848"]);
}

#[test]
fn e0849_another_outline() {
    let wide = case(vec![hole(500)], &[(T_WIDE_HOLE, 500_000)]);
    wide.says(&["E0849"], &["Ø12", "`hole 16`", "Ø16"]);
    case(vec![hole(500)], &[(T_SERVICE, 500_000)]).gives(&["E0849"]);
    // A slot is no circle, a longer slot is another one.
    let mut slot = point(SERVICE, Position::from_start(mm(500)), um(500));
    slot.outline = Outline::Slot { length: mm(61), width: mm(30) };
    case(vec![slot.clone()], &[(T_SERVICE, 500_000)]).gives(&["E0849"]);
    slot.outline = Outline::Rectangle { length: mm(60), width: mm(30) };
    case(vec![slot.clone()], &[(T_SERVICE, 500_000)]).gives(&["E0849"]);
    slot.outline = Outline::Slot { length: mm(60), width: mm(30) };
    case(vec![slot.clone()], &[(T_SERVICE, 500_000)]).gives(&[]);
    // Across the face.
    slot.across = um(500);
    case(vec![slot.clone()], &[(T_SERVICE, 500_000)]).gives(&[]);
    slot.across = um(501);
    case(vec![slot], &[(T_SERVICE, 500_000)]).says(&["E0849"], &["at 0.501 across"]);
}

/// The hole tools serve `hole` and `anchor`; which feature gets which stroke is the judge's to
/// find.
#[test]
fn a_tool_may_serve_several_types() {
    let anchor = |x| point(ANCHOR, Position::from_start(mm(x)), um(500));
    let strokes = [(T_HOLE, 300_000), (T_HOLE, 500_000)];
    case(vec![anchor(300), hole(500)], &strokes).gives(&[]);
    case(vec![hole(300), anchor(500)], &strokes).gives(&[]);
    let mut only = case(vec![hole(300), anchor(500)], &strokes);
    only.shop.line.tools[1].makes.kinds = vec![HOLE];
    only.gives(&["E0849"]);
}

/// Windows that overlap: taken in order the second feature would be left with nothing.
#[test]
fn features_with_overlapping_windows_are_paired_by_deadline() {
    let wide = point(HOLE, Position::from_start(mm(500)), mm(60));
    let tight = point(HOLE, Position::from_start(mm(480)), um(500));
    let strokes = [(T_HOLE, 480_000), (T_HOLE, 530_000)];
    case(vec![wide.clone(), tight.clone()], &strokes).gives(&[]);
    case(vec![tight, wide], &strokes).gives(&[]);
}

// Features from edge to edge.

#[test]
fn both_edges_of_a_range_are_judged() {
    let at = |x, from, to| case(vec![notch(um(from), um(to), um(500))], &[(T_LIP, x)]);
    at(324_000, 300_000, 348_000).gives(&[]);
    at(324_300, 300_000, 348_000).gives(&[]);
    at(324_400, 300_000, 348_000).gives(&["E0850", "E0850"]);
    at(324_600, 300_000, 348_000).gives(&["E0847", "E0847"]);
    // A tool of 48 makes a range of 48.6 if it stands in its middle, not of 49.2.
    at(324_000, 299_700, 348_300).gives(&[]);
    at(324_200, 299_700, 348_300).gives(&["E0850", "E0850"]);
    at(324_000, 299_400, 348_600)
        .says(&["E0847", "E0847"], &["from 299.4 mm ±0.5 to 348.6 mm ±0.5", "300 to 348 mm"]);
}

/// Two strokes of 48 that overlap sweep one notch of 80; what counts is the sweep.
#[test]
fn overlapping_strokes_sweep_one_range() {
    let nibbled = |strokes: &[i64]| {
        let strokes: Vec<_> = strokes.iter().map(|&x| (T_LIP, x)).collect();
        let mut case = case(vec![notch(mm(300), mm(380), um(500))], &strokes);
        case.shop.line.tools[5].refire = mm(0);
        case
    };
    nibbled(&[324_000, 356_000]).gives(&[]);
    nibbled(&[324_000, 340_000, 356_000]).gives(&[]);
    nibbled(&[324_300, 355_700]).gives(&[]);
    // Too short, too long, and in two: each lip has the fault and a mark too many.
    assert!(!nibbled(&[324_000, 355_000]).gives(&["E0847", "E0848", "E0847", "E0848"]).is_empty());
    nibbled(&[324_000, 357_000]).gives(&["E0847", "E0848", "E0847", "E0848"]);
    // They must overlap by what both may be off, 0.3, or a tongue may stay between them.
    let apart = |to| {
        let mut case = nibbled(&[324_000, to]);
        case.wanted[0].shape.features[0] = notch(mm(300), um(to + 24_000), um(500));
        case
    };
    apart(371_700).gives(&[]);
    apart(371_800).gives(&["E0847", "E0848", "E0847", "E0848"]);
    apart(373_000).gives(&["E0847", "E0848", "E0847", "E0848"]);
    // A hit inside what is swept already changes nothing.
    let mut inside = nibbled(&[324_000, 324_200]);
    inside.wanted[0].shape.features[0] = notch(mm(300), mm(348), um(500));
    inside.gives(&[]);
}

/// A type whose width is the whole face: the tool may be wider than the face, not narrower.
#[test]
fn what_covers_a_whole_face_may_overrun_its_edges() {
    let wide = |tool: Length, across: Length| {
        let mut case = case(vec![notch(mm(300), mm(348), um(500))], &[(T_LIP, 324_000)]);
        let made = &mut case.shop.line.tools[5].makes;
        made.outline = Outline::Rectangle { length: mm(48), width: tool };
        made.across = across;
        case
    };
    wide(mm(12), mm(0)).gives(&[]);
    wide(mm(12), um(500)).gives(&[]);
    wide(mm(12), um(501)).gives(&["E0849", "E0849"]);
    wide(mm(14), um(-1_500)).gives(&[]);
    wide(mm(14), um(-1_501)).gives(&["E0849", "E0849"]);
    wide(mm(11), mm(0)).gives(&["E0849", "E0849"]);
}

// Ends.

/// Straddling strokes at the trim (5596) and at the cut (6600), 40 to either side of the slug.
#[test]
fn straddling_strokes_are_clipped_by_the_cuts() {
    let both = vec![swage(End::Start), swage(End::End)];
    case(both.clone(), &[(T_SWAGE, -4_000), (T_SWAGE, LENGTH)]).gives(&[]);
    // Off by 0.8 the inner edge is within ±1, less 0.15; off by 0.9 it is not.
    case(both.clone(), &[(T_SWAGE, -3_200), (T_SWAGE, LENGTH)]).gives(&[]);
    case(both.clone(), &[(T_SWAGE, -3_100), (T_SWAGE, LENGTH)]).gives(&["E0850", "E0850"]);
    case(both.clone(), &[(T_SWAGE, -4_000)]).says(
        &["E0846", "E0846"],
        &["swage on the left flange wanted from 960 mm ±1 to 1000 mm ±1"],
    );
    // One end only wanted: the other half of the stroke is a mark too many.
    let start = vec![swage(End::Start)];
    case(start, &[(T_SWAGE, -4_000), (T_SWAGE, LENGTH)]).gives(&["E0848", "E0848"]);
}

/// An end tool of 52 for a reach of 50: it overruns the end into the slug of 4.
#[test]
fn end_tools_may_overrun_into_the_slug() {
    let end = |x| case(vec![flange_cut(End::End)], &[(T_FLANGE_CUT, x)]);
    // Inner edge at 950: its centre at 976.
    end(976_000).gives(&[]);
    end(975_200).gives(&[]);
    end(974_500).gives(&["E0847"]);
    let start = |x| case(vec![flange_cut(End::Start)], &[(T_FLANGE_CUT, x)]);
    start(24_000).gives(&[]);
    // 51.6 in; the outer edge 0.4 short of the end: both within ±1, less 0.15 … and 1.6 is not.
    start(24_800).gives(&[]);
    start(27_000).gives(&["E0847"]);
}

/// The overrun of an end tool must not reach the neighbour, however the line is off.
#[test]
fn an_overrun_stays_off_the_neighbour() {
    let two = |x: i64| {
        let mut case = case(vec![flange_cut(End::End)], &[(T_FLANGE_CUT, x)]);
        case.wanted[0].shape.features[0].place =
            Place::End { end: End::End, tolerance: Tolerance::even(mm(3)) };
        case.wanted.push(Wanted {
            serial: Serial(2),
            mark_text: "".into(),
            shape: shape(mm(400), vec![]),
        });
        let mut events = case.events();
        events.push(cut(7004, Some(2)));
        let program = case.shop.program(events);
        run(&case.shop, &program, &case.wanted).faulted_as()
    };
    // Reaching 3.8 over the end; 0.15 more would stay in the slug of 4.
    assert!(two(977_800).is_empty());
    assert_eq!(two(977_900), ["E0850"], "3.9 over, and 0.05 on the neighbour at worst");
    assert_eq!(two(978_100), ["E0848"], "4.1 over");
}

// Forming.

/// Strip a thousandth longer than the finished member: 1001 of strip make 1000.
#[test]
fn lengths_and_positions_are_finished_ones() {
    let mut case = case(
        vec![hole(500), notch(mm(800), mm(848), um(300)), swage(End::End)],
        // 500 · 1.001, 824 · 1.001 and the cut itself, which `events` puts at 1000 of strip.
        &[(T_HOLE, 500_500), (T_LIP, 824_800), (T_SWAGE, LENGTH)],
    );
    case.shop.calibration.profiles = vec![(ProfileId(0), 1_000_000)];
    // 1000 of strip are 999.000 999 finished.
    case.wanted[0].shape.length = mm(999);
    case.marks = vec![(60_100, "N1-S1")];
    case.gives(&[]);
    // Judged as strip, the hole is 0.5 out, which is its whole tolerance, and the notch 0.8.
    case.shop.calibration.applied_by = AppliedBy::Controller;
    case.wanted[0].shape.length = mm(1000);
    case.marks = vec![(60_000, "N1-S1")];
    let faults = case.gives(&["E0850", "E0847", "E0847"]);
    assert!(faults[0].1.contains("hole"), "{faults:?}");
}

#[test]
fn a_calibrated_station_works_where_it_really_stands() {
    let mut case = case(vec![hole(500)], &[(T_HOLE, 500_000)]);
    case.shop.calibration.stations =
        vec![StationCorrection { station: StationId(1), factor: 0, shift: mm(1) }];
    case.says(&["E0847"], &["495 to 507 mm"]);
    case.strokes[0].1 -= 1_000;
    case.gives(&[]);
}

#[test]
fn many_findings_are_counted_not_listed() {
    let mut case = case(vec![], &[]);
    case.shop.line.tools[1].refire = mm(0);
    case.strokes = (0..300).map(|i| (T_HOLE, 100_000 + i * 1000)).collect();
    let program = case.shop.program(case.events());
    let (products, _) = coilwright::replay::replay(&program, None, &case.shop.situation());
    let expected: Vec<_> = case.wanted.iter().map(Wanted::expected).collect();
    let (_, found) = coilwright::replay::judge(&products, &expected, &case.shop.library);
    assert_eq!(found.len(), 100);
    assert_eq!(found[99].notes, ["200 more findings are not listed"]);
}
