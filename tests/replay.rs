//! Programs written by hand: good ones pass with the books and the clock as worked out on paper;
//! each refusal is met once.
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
use coilwright::program::{Event, Program, Serial, StripAccount, Stroke};
use coilwright::quantity::{Advance, FileId, Length, Span, Time};
use coilwright::replay::replay;
use replay_shop::*;

/// A stud of 1000 and a packer of 400, swaged at both ends.
fn wanted() -> Vec<Wanted> {
    let stud = shape(
        mm(1000),
        vec![
            swage(End::Start),
            point(DIMPLE, Position::from_start(mm(50)), um(500)),
            notch(mm(300), mm(348), um(500)),
            point(HOLE, Position { datum: Datum::Middle, offset: mm(0) }, um(500)),
            point(DIMPLE, Position::from_end(mm(-50)), um(500)),
            swage(End::End),
        ],
    );
    let packer = shape(
        mm(400),
        vec![
            swage(End::Start),
            point(DIMPLE, Position::from_start(mm(200)), um(500)),
            swage(End::End),
        ],
    );
    vec![
        Wanted { serial: Serial(1), mark_text: "N1-S1".into(), shape: stud },
        Wanted { serial: Serial(2), mark_text: "N1-P1".into(), shape: packer },
    ]
}

/// The stud starts at 5600 of the strip and is cut at 6600, the packer lies from 6604 to 7004.
/// A stroke at x of a member that starts at s is due at s + x − d; a straddling stroke at its
/// cut − d.
fn events() -> Vec<Event> {
    vec![
        mark(60, "N1-S1"),               // 5600 + 60 − 5600
        mark(1064, "N1-P1"),             // 6604 + 60 − 5600
        stop(1300, &[T_DIMPLE]),         // 5600 + 50 − 4350
        stop(2200, &[T_DIMPLE, T_HOLE]), // 6600 − 50 − 4350, 5600 + 500 − 3900
        stop(2454, &[T_DIMPLE]),         // 6604 + 200 − 4350
        stop(5104, &[T_LIP]),            // 5600 + 324 − 820
        stop(5286, &[T_SWAGE]),          // 5596 − 310
        cut(5596, None),                 // the trim
        stop(6290, &[T_SWAGE]),          // 6600 − 310
        cut(6600, Some(1)),
        stop(6694, &[T_SWAGE]), // 7004 − 310
        cut(7004, Some(2)),
    ]
}

const TRIM: usize = 7;
const CUT_1: usize = 9;
const CUT_2: usize = 11;

/// Codes of refusals after an edit of the hand-written program, and the first message.
fn refused(edit: impl FnOnce(&mut Shop, &mut Vec<Event>)) -> (Vec<&'static str>, String) {
    let mut shop = Shop::new();
    let mut events = events();
    edit(&mut shop, &mut events);
    let program = shop.program(events);
    let outcome = run(&shop, &program, &wanted());
    let first = outcome.refused.first().map(|f| f.1.clone()).unwrap_or_default();
    (outcome.refused_as(), first)
}

#[track_caller]
fn refuses(codes: &[&str], says: &[&str], edit: impl FnOnce(&mut Shop, &mut Vec<Event>)) {
    let (found, message) = refused(edit);
    assert_eq!(found, codes, "{message}");
    for words in says {
        assert!(message.contains(words), "`{words}` is not in: {message}");
    }
}

fn program(shop: &Shop) -> Program {
    shop.program(events())
}

#[test]
fn the_hand_written_program_passes() {
    let shop = Shop::new();
    let outcome = run(&shop, &program(&shop), &wanted());
    assert_eq!(outcome.refused, []);
    assert_eq!(outcome.faults, []);
    assert_eq!(outcome.verdict.right, 2);
    // Stud: two swages on two flanges, two dimples on two, a notch on two lips, a hole; packer:
    // two swages on two, a dimple on two.
    assert_eq!(outcome.verdict.features, (4 + 4 + 2 + 1) + (4 + 2));
    assert_eq!(outcome.verdict.scrap, 1);
    assert_eq!(outcome.verdict.strokes_on_scrap, 1, "the trim's swage");
    assert_eq!(outcome.verdict.at_fault, []);
}

#[test]
fn the_books_are_as_on_paper() {
    let shop = Shop::new();
    let account = run(&shop, &program(&shop), &wanted()).products.account;
    let paper = StripAccount {
        strip: mm(12_000),
        good: mm(1_400),
        slug: mm(12),
        head: mm(5_596),
        head_at_defects: mm(0),
        head_at_gaps: mm(0),
        head_at_slopes: mm(0),
        tail: mm(250),
        remnant: mm(4_742),
    };
    assert_eq!(account, paper);
}

#[test]
fn endings_book_tail_and_remnant() {
    let mut shop = Shop::new();
    let ended = |shop: &Shop| {
        let account = run(shop, &program(shop), &wanted()).products.account;
        (account.tail, account.remnant)
    };
    shop.ending.at_end = AtEnd::StayThreaded;
    assert_eq!(ended(&shop), (mm(0), mm(4_992)));
    shop.ending.keep = mm(4_993);
    assert_eq!(ended(&shop), (mm(4_992), mm(0)), "too short to keep");
    shop.ending.at_end = AtEnd::Unload;
    shop.ending.keep = mm(4_742);
    assert_eq!(ended(&shop), (mm(250), mm(4_742)));
    shop.line.parting = mm(8_000);
    shop.ending.keep = mm(0);
    assert_eq!(ended(&shop), (mm(4_992), mm(0)), "parting takes no more than there is");
}

#[test]
fn the_clock_is_as_on_paper() {
    let shop = Shop::new();
    let time = run(&shop, &program(&shop), &wanted()).products.time;
    // Standstills at 1300, 2200, 2454, 5104, 5286, 5596, 6290, 6600, 6694, 7004; v 1 m/s and
    // a 5 m/s²: d + 0.2 s from 0.2 m on, 2√(d/5) s below.
    // 1.5 + 1.1 + 0.454 + 2.85 + 0.381575681 + 0.51 + 0.894 + 0.51 + 0.274226185 + 0.51
    assert!((time.moves.ns() - 8_983_801_866).abs() < 1_000, "{:?}", time.moves);
    assert_eq!(time.standstills, 10);
    assert_eq!(time.settle, Time::from_ms(300));
    assert_eq!(time.strokes, Time::from_ms(7 * 200), "two tools of one stop strike together");
    assert_eq!(time.cuts, Time::from_ms(3 * 400));
    assert_eq!(time.unloading, Time::from_ms(2 * 1000));
    let parts = time.moves + time.settle + time.strokes + time.cuts + time.unloading;
    assert_eq!(time.total(), parts);
}

/// The row of stops worked in the sequencing notes: moves 3.6104 s, six settles 0.18 s.
#[test]
fn the_worked_row_of_stops_settles_six_times() {
    let mut shop = Shop::new();
    shop.line.tools[0].refire = mm(0);
    let row = [0, 150, 420, 1020, 1620, 2214, 2414];
    let program = shop.program(row.iter().map(|&x| stop(x, &[T_DIMPLE])).collect());
    let time = run(&shop, &program, &[]).products.time;
    assert!((time.moves.ns() - 3_610_400_000).abs() < 50_000, "worked to 0.1 ms");
    assert_eq!(time.settle, Time::from_ms(180));
    assert_eq!(time.standstills, 7);
}

#[test]
fn phases_add_up_and_strokes_of_one_phase_do_not() {
    let mut shop = Shop::new();
    shop.line.tools[1].time = Time::from_ms(350);
    let mut events = events();
    let time = |events: &[Event]| {
        run(&shop, &shop.program(events.to_vec()), &wanted()).products.time.strokes
    };
    let before = time(&events);
    let Event::Stop { strokes, .. } = &mut events[3] else { panic!() };
    strokes[1].phase = 1;
    assert_eq!(before, Time::from_ms(6 * 200 + 350));
    assert_eq!(time(&events), Time::from_ms(7 * 200 + 350));
}

#[test]
fn a_warm_strip_needs_no_trim() {
    let mut shop = Shop::new();
    shop.coil.threaded = true;
    // A packer of 400 without its swages, from the clean cut.
    let shape = shape(mm(400), vec![point(TAB, Position::from_start(mm(200)), um(500))]);
    let wanted = [Wanted { serial: Serial(9), mark_text: "".into(), shape }];
    // 0 + 200 + 120 past the shear.
    let mut program = shop.program(vec![stop(320, &[T_TAB]), cut(400, Some(9))]);
    program.warm = true;
    let outcome = run(&shop, &program, &wanted);
    assert!(outcome.accepted(), "{:?} {:?}", outcome.refused, outcome.faults);
    assert_eq!(outcome.products.account.head, mm(0));
    program.warm = false;
    let outcome = run(&shop, &program, &wanted);
    assert_eq!(outcome.refused_as(), ["E0818"], "the same, cold");
}

#[test]
fn a_bare_trim_has_nothing_to_drop() {
    let mut shop = Shop::new();
    shop.line.head.least = mm(4);
    let shape = shape(mm(400), vec![point(TAB, Position::from_start(mm(200)), um(500))]);
    let wanted = [Wanted { serial: Serial(9), mark_text: "".into(), shape }];
    let program = shop.program(vec![cut(0, None), stop(324, &[T_TAB]), cut(404, Some(9))]);
    let outcome = run(&shop, &program, &wanted);
    assert!(outcome.accepted(), "{:?} {:?}", outcome.refused, outcome.faults);
    assert_eq!(outcome.products.account.slug, mm(8));
    assert_eq!(outcome.products.account.head, mm(0));
}

/// Between the two pieces a scrap of 40 is cut away: over a defect, or to part them.
#[test]
fn gaps_are_booked_by_their_reason() {
    let gap = |defects: Vec<(Length, Length)>| {
        let mut shop = Shop::new();
        shop.coil.defects = defects;
        // A stud without its end swage and the packer behind 44: 6600 + 4 + 40 + 4 = 6648.
        let mut wanted = wanted();
        wanted[1].shape.features.retain(|f| f.kind == DIMPLE);
        let events = vec![
            mark(60, "N1-S1"),
            mark(1108, "N1-P1"),
            stop(1300, &[T_DIMPLE]),
            stop(2200, &[T_DIMPLE, T_HOLE]),
            stop(2498, &[T_DIMPLE]),
            stop(5104, &[T_LIP]),
            stop(5286, &[T_SWAGE]),
            cut(5596, None),
            stop(6290, &[T_SWAGE]),
            cut(6600, Some(1)),
            cut(6644, None),
            cut(7048, Some(2)),
        ];
        let program = shop.program(events);
        let outcome = run(&shop, &program, &wanted);
        assert!(outcome.accepted(), "{:?} {:?}", outcome.refused, outcome.faults);
        let account = outcome.products.account;
        assert_eq!((account.head, account.slug), (mm(5_596 + 40), mm(16)));
        (account.head_at_defects, account.head_at_gaps)
    };
    assert_eq!(gap(vec![]), (mm(0), mm(40)));
    assert_eq!(gap(vec![(mm(6_610), mm(6_620))]), (mm(40), mm(0)));
    assert_eq!(gap(vec![(mm(6_645), mm(6_648))]), (mm(40), mm(0)), "in the slug after it");
    assert_eq!(gap(vec![(mm(6_601), mm(6_603))]), (mm(40), mm(0)), "in the slug before it");
    assert_eq!(gap(vec![(mm(9_000), mm(9_020)), (mm(10), mm(20))]), (mm(0), mm(40)), "unsorted");
}

#[test]
fn findings_stand_at_their_event() {
    let shop = Shop::new();
    let mut events = events();
    events[2] = stop(1300, &[ToolId(99)]);
    let spans: Vec<Span> = (0..12).map(|i| Span::new(FileId(3), i * 10, i * 10 + 9)).collect();
    let program = shop.program(events);
    let (products, found) = replay(&program, Some(&spans), &shop.situation());
    assert_eq!(found.len(), 1);
    assert_eq!(found[0].span(), Some(spans[2]));
    let wanted = wanted();
    let expected: Vec<_> = wanted.iter().map(Wanted::expected).collect();
    let (verdict, found) = coilwright::replay::judge(&products, &expected, &shop.library);
    assert_eq!(found.len(), 2, "the dimple on either flange");
    assert_eq!(found[0].span(), Some(spans[CUT_1]), "nothing made it: the cut that dropped it");
    assert_eq!(verdict.at_fault, [Serial(1)]);
}

// Each refusal.

#[test]
fn e0801_an_advance_beyond_any_coil() {
    for far in [Length::LIMIT.nm() + 1, i64::MAX, i64::MIN, -Length::LIMIT.nm() - 1] {
        refuses(&["E0801"], &["event 3"], |_, events| {
            events[2] = stop_at(Advance::at(Length::from_nm(far)), &[T_DIMPLE]);
        });
    }
    // The end of the program as well.
    let shop = Shop::new();
    let mut program = program(&shop);
    program.end = Advance::at(Length::from_nm(i64::MAX));
    assert_eq!(run(&shop, &program, &wanted()).refused_as(), ["E0801"]);
}

#[test]
fn e0802_an_advance_that_falls() {
    refuses(&["E0802"], &["event 4", "1300", "2200"], |_, events| events.swap(2, 3));
    let shop = Shop::new();
    let mut program = program(&shop);
    program.end = at(7003);
    assert_eq!(run(&shop, &program, &wanted()).refused_as(), ["E0802"]);
}

#[test]
fn e0803_a_stop_between_two_increments() {
    refuses(&["E0803"], &["event 3", "1300.05", "1300"], |_, events| {
        events[2] = stop_at(at_um(1_300_050), &[T_DIMPLE]);
    });
    refuses(&["E0803"], &["event 10"], |_, events| {
        events[CUT_1] =
            Event::Cut { at: at_um(6_599_999), piece: Some(Serial(1)), slope: Slope::SQUARE };
    });
}

#[test]
fn e0804_a_stop_before_thread_up() {
    refuses(&["E0804"], &["event 1", "100"], |shop, _| {
        shop.line.head.first_advance = mm(100);
    });
    // A strip gripped upstream may be worked on before its edge reaches the shear.
    refuses(&[], &[], |shop, events| {
        shop.line.head.first_advance = mm(-500);
        shop.line.stations[3].offset = mm(6500);
        shop.line.tools[4].how = How::Point;
        events.insert(0, stop(-400, &[T_FLANGE_CUT]));
    });
}

#[test]
fn e0805_a_stroke_on_air() {
    refuses(&["E0805"], &["event 2", "`tab`", "-60"], |_, events| {
        events.insert(1, stop(60, &[T_TAB]));
    });
    refuses(&["E0805"], &["shear cuts at -1"], |shop, events| {
        shop.line.head.first_advance = mm(-500);
        events.insert(0, cut(-1, None));
    });
}

#[test]
fn e0806_a_stroke_on_strip_already_cut_off() {
    // A swage at the shear itself, fired after its cut.
    refuses(&["E0806"], &["event 9", "`swage`", "5596", "5600"], |shop, events| {
        shop.line.stations[5].offset = mm(0);
        events[6] = stop(5286, &[]);
        events.insert(8, stop(5596, &[T_SWAGE]));
        events[9] = stop(6600, &[T_SWAGE]);
        events[11] = stop(7004, &[T_SWAGE]);
    });
}

#[test]
fn e0807_a_stroke_past_the_coils_end() {
    refuses(&["E0807"], &["`dimple`", "11900", "11900"], |shop, events| {
        shop.coil.length = mm(11_900);
        shop.ending.keep = mm(6_000);
        events.insert(CUT_2 + 1, stop(7550, &[T_DIMPLE]));
        shop.line.tail = mm(0);
    });
}

#[test]
fn e0808_a_station_twice_at_one_standstill() {
    refuses(&["E0808", "E0812"], &["event 4", "`holes`", "`hole 16`"], |_, events| {
        events[3] = stop(2200, &[T_DIMPLE, T_HOLE, T_WIDE_HOLE]);
    });
    // Also in two records.
    refuses(&["E0808"], &["event 4", "`dimples`"], |_, events| {
        events.insert(3, stop(1300, &[T_DIMPLE]));
    });
}

#[test]
fn e0809_a_tool_the_line_does_not_have() {
    refuses(&["E0809"], &["event 3", "tool 8"], |_, events| {
        events[2] = stop(1300, &[T_DIMPLE, ToolId(8)]);
    });
}

#[test]
fn e0810_a_tool_that_strikes_too_near_its_last_stroke() {
    refuses(&["E0810"], &["event 5", "14.9 mm"], |_, events| {
        events[4] = stop_at(at_um(2_214_900), &[T_DIMPLE]);
    });
}

#[test]
fn e0811_a_footprint_over_a_cut() {
    // Clamped 15 either side: the packer's dimple at 10 from its start lies over the slug.
    refuses(&["E0811"], &["`dimple`", "6600", "event 10"], |_, events| {
        events[4] = stop(2264, &[T_DIMPLE]);
    });
    // And over the strip's edge, where the cut came before.
    refuses(&["E0811"], &["`tab`", "6604"], |_, events| {
        events.insert(10, stop(6735, &[T_TAB]));
        events.swap(10, 11);
    });
    // Exactly up to it is allowed.
    refuses(&[], &[], |_, events| events[4] = stop(2269, &[T_DIMPLE]));
}

#[test]
fn e0812_footprints_of_two_tools_on_one_place() {
    // Hole clamps 18, service 45: their centres at 500 and 562 of the stud.
    refuses(&["E0812"], &["`hole 12`", "`service`", "piece 1"], |_, events| {
        events.insert(2, stop(962, &[T_SERVICE]));
        events.swap(1, 2);
    });
    refuses(&[], &[], |_, events| {
        events.insert(1, stop(963, &[T_SERVICE]));
    });
    // On another face it does no harm: the dimple at 540.
    refuses(&[], &[], |_, events| {
        events.insert(3, stop(1790, &[T_DIMPLE]));
    });
    // On scrap neither.
    refuses(&[], &[], |_, events| {
        events.insert(1, stop(100, &[T_SERVICE]));
        events.insert(2, stop(1420, &[T_HOLE]));
        events.swap(2, 3);
        events.swap(3, 4);
    });
}

#[test]
fn e0813_declared_overlaps_in_the_wrong_order() {
    // The dimple comes first everywhere on this line; declared the other way round it is wrong.
    refuses(&["E0813", "E0813"], &["before", "`swage`", "`dimple`"], |shop, _| {
        shop.line.overlaps[0] = OverlapOrder { first: T_SWAGE, then: T_DIMPLE };
        shop.line.tools[6].footprint = mm(80);
        shop.line.tools[6].refire = mm(0);
    });
    // Together in one phase is no order; in two phases it is.
    let together = |second: u8| {
        move |shop: &mut Shop, events: &mut Vec<Event>| {
            shop.line.overlaps.push(OverlapOrder { first: T_HOLE, then: T_SERVICE });
            shop.line.stations[2].offset = mm(3930);
            events[3] = Event::Stop {
                at: at(2200),
                strokes: vec![
                    Stroke { phase: 0, tool: T_DIMPLE },
                    Stroke { phase: 0, tool: T_HOLE },
                    Stroke { phase: second, tool: T_SERVICE },
                ],
            };
        }
    };
    refuses(&["E0813"], &["at the same moment"], together(0));
    refuses(&[], &[], together(1));
}

#[test]
fn e0814_past_the_tail() {
    refuses(&["E0814", "E0814"], &["event 12", "7003.9"], |shop, _| {
        shop.coil.length = mm(7_904) - um(100);
        shop.ending.keep = mm(5_000);
    });
    // The cut itself past the coil's end: refused, and the books still close.
    refuses(&["E0807", "E0814", "E0814", "E0814"], &["event 11"], |shop, _| {
        shop.line.tail = mm(0);
        shop.coil.length = mm(7_003);
    });
    // A slug that reaches over the end is no harm.
    refuses(&[], &[], |shop, _| {
        shop.line.tail = mm(0);
        shop.coil.length = mm(7_005);
    });
}

#[test]
fn e0815_scrap_too_short_to_drop() {
    refuses(&["E0815"], &["event 9", "29.9", "30"], |_, events| {
        events.insert(8, Event::Cut { at: at_um(5_629_900), piece: None, slope: Slope::SQUARE });
    });
    // A trim as long as the least head leaves it is the shop's own word that it drops.
    refuses(&["E0815"], &["event 1", "15 mm", "16 mm"], |_, events| {
        events.insert(0, cut(15, None));
    });
    refuses(&[], &[], |_, events| events.insert(0, cut(16, None)));
}

#[test]
fn e0816_a_cut_over_a_cut() {
    refuses(&["E0816"], &["event 11", "6600", "6604"], |_, events| {
        events.insert(10, cut(6600, None));
    });
    refuses(&["E0816"], &["event 11", "6603"], |_, events| {
        events.insert(10, cut(6603, None));
    });
}

#[test]
fn e0817_a_piece_on_a_defect() {
    refuses(&["E0817"], &["event 10", "piece 1", "6000", "6010"], |shop, _| {
        shop.coil.defects = vec![(mm(6000), mm(6010))];
    });
    // In the slug, and just before the first piece, it does no harm.
    refuses(&[], &[], |shop, _| {
        shop.coil.defects = vec![(mm(5000), mm(5600)), (mm(6600), mm(6604))];
    });
}

#[test]
fn e0818_a_first_piece_without_a_trim() {
    refuses(&["E0818", "E0820"], &["event 9", "piece 1"], |shop, events| {
        events.remove(TRIM);
        shop.line.longest = mm(6_500);
    });
}

#[test]
fn e0819_a_head_that_is_too_short() {
    refuses(&["E0819"], &["event 10", "5600", "5601"], |shop, _| {
        shop.line.head.least = mm(5601);
    });
}

#[test]
fn e0820_a_piece_the_line_cannot_handle() {
    // By more than the rounding of one cut.
    refuses(&["E0820"], &["event 12", "400 mm", "400.2"], |shop, _| {
        shop.line.shortest = mm(400) + um(200);
    });
    refuses(&[], &[], |shop, _| shop.line.shortest = mm(400) + um(100));
    refuses(&["E0820"], &["event 10", "1000 mm"], |shop, _| {
        shop.line.longest = mm(1000) - um(200);
    });
}

#[test]
fn e0821_a_mark_the_marker_cannot_print() {
    refuses(&["E0821"], &["event 1", "25 characters", "24"], |_, events| {
        events[0] = mark(60, "N1-S1 and nineteen others");
    });
    refuses(&["E0821"], &["0 characters"], |_, events| events[0] = mark(60, ""));
    refuses(&["E0821", "E0821"], &["no marker"], |shop, _| shop.line.marker = None);
}

#[test]
fn e0822_a_mark_over_a_cut() {
    // Five characters of 4: from 6590 to 6610, over the slug from 6600.
    refuses(&["E0822"], &["event 2", "6590", "6610", "event 10"], |_, events| {
        events[1] = mark(990, "N1-S1");
    });
    // Up to the cut is allowed.
    refuses(&[], &[], |_, events| events[1] = mark(980, "N1-S1"));
    // Still printing when the piece is cut off, past the shear.
    refuses(&["E0822"], &["`N1-S1`", "finished at advance 6610"], |shop, events| {
        shop.line.marker.as_mut().unwrap().offset = mm(-100);
        events.drain(0..2);
        events.insert(7, mark(6590, "N1-S1"));
    });
    // On air.
    refuses(&["E0822"], &["event 1", "-40"], |shop, events| {
        shop.line.marker.as_mut().unwrap().offset = mm(-100);
        events.remove(1);
    });
}

#[test]
fn e0823_a_stroke_after_its_member_is_gone() {
    refuses(&["E0823"], &["event 11", "`tab`", "6530", "6604"], |_, events| {
        events.insert(10, stop(6650, &[T_TAB]));
    });
}

#[test]
fn e0824_strokes_on_strip_that_stays_in_use() {
    refuses(&["E0824"], &["event 6", "`dimple`", "9350"], |_, events| {
        events.insert(5, stop(5000, &[T_DIMPLE]));
    });
    refuses(&["E0824"], &["event 6", "`stray`", "10600"], |_, events| {
        events.insert(5, mark(5000, "stray"));
    });
    // On the tail it does no harm.
    refuses(&[], &[], |shop, events| {
        events.insert(5, stop(5000, &[T_DIMPLE]));
        shop.ending.keep = mm(5000);
    });
}

#[test]
fn e0825_a_program_for_another_line_profile_or_coil() {
    let named = |edit: &dyn Fn(&mut Program), says: &str| {
        let shop = Shop::new();
        let mut program = program(&shop);
        edit(&mut program);
        let outcome = run(&shop, &program, &wanted());
        assert_eq!(outcome.refused_as(), ["E0825"]);
        assert!(outcome.refused[0].1.contains(says), "{}", outcome.refused[0].1);
    };
    named(&|program| program.line = "line 2".into(), "for line `line 2`");
    named(&|program| program.profile = "C140".into(), "for profile `C140`");
    named(&|program| program.coil = "K-18".into(), "for coil `K-18`");
    refuses(&["E0825"], &["`line 1`", "`C90`"], |shop, _| shop.line.set_ups.clear());
}

#[test]
fn e0826_a_coil_of_another_strip() {
    refuses(&["E0826"], &["thickness 1", "0.75"], |shop, _| shop.coil.thickness = mm(1));
    refuses(&["E0826"], &["strip width 175", "180"], |shop, _| shop.coil.strip_width = mm(175));
    refuses(&["E0826"], &["grade G300"], |shop, _| shop.coil.grade = "G300".into());
    refuses(&["E0826"], &["coating AZ150"], |shop, _| shop.coil.coating = "AZ150".into());
}

#[test]
fn e0827_a_warm_start_without_a_threaded_strip() {
    let shop = Shop::new();
    let mut program = program(&shop);
    program.warm = true;
    let outcome = run(&shop, &program, &wanted());
    assert_eq!(outcome.refused_as(), ["E0827"]);
    assert!(outcome.refused[0].1.contains("`K-17`"));
}

#[test]
fn e0828_figures_nothing_can_be_counted_with() {
    let one = |edit: &dyn Fn(&mut Shop)| {
        let (found, message) = refused(|shop, _| edit(shop));
        assert_eq!(found, ["E0828"], "{message}");
    };
    one(&|shop| shop.line.shear.slug = mm(-1));
    one(&|shop| shop.line.shear.slug = Length::from_nm(i64::MAX));
    one(&|shop| shop.coil.length = Length::from_nm(i64::MIN));
    one(&|shop| shop.line.tools[0].footprint = Length::from_nm(i64::MAX));
    one(&|shop| shop.line.tools[0].station = StationId(77));
    one(&|shop| shop.line.stations[0].offset = Length::from_nm(i64::MAX));
    one(&|shop| shop.line.feed.acceleration = i64::MAX);
    one(&|shop| shop.line.feed.speed = 0);
    one(&|shop| shop.line.feed.jerk = Some(0));
    one(&|shop| shop.line.feed.jerk = Some(i64::MAX));
    one(&|shop| shop.calibration.profiles = vec![(ProfileId(0), -1_000_000_000)]);
    one(&|shop| {
        shop.calibration.stations =
            vec![StationCorrection { station: StationId(0), factor: i64::MIN, shift: mm(0) }];
    });
    one(&|shop| shop.line.marker.as_mut().unwrap().pitch = mm(-1));
}

#[test]
fn e0829_more_strokes_than_anything_real() {
    // Two tools that clamp 10 m and strike at every increment.
    refuses(&["E0829"], &["too many"], |shop, events| {
        for tool in [0, 1] {
            shop.line.tools[tool].how = How::End;
            shop.line.tools[tool].footprint = mm(10_000);
            shop.line.tools[tool].refire = mm(0);
        }
        shop.line.overlaps.push(OverlapOrder { first: T_DIMPLE, then: T_HOLE });
        shop.line.overlaps.push(OverlapOrder { first: T_HOLE, then: T_DIMPLE });
        let dense = (0..20_000).map(|step| stop_at(at_um(2_500_000 + step * 100), &[T_DIMPLE]));
        events.splice(5..5, dense);
        shop.ending.keep = mm(12_000);
        shop.line.overlaps.push(OverlapOrder { first: T_DIMPLE, then: T_SWAGE });
    });
}

/// The hand-written program's fifth event has two tools of different stations in one phase.
fn pressed(force: Option<i64>, recovery: i64) -> impl FnOnce(&mut Shop, &mut Vec<Event>) {
    move |shop, events| {
        for tool in &mut shop.line.tools {
            tool.force = 40_000;
        }
        shop.line.presses = vec![Press {
            name: "front".into(),
            stations: vec![StationId(0), StationId(1), StationId(5)],
            force,
            recovery: Time::from_ms(recovery),
            span: nowhere(),
        }];
        events[3] = stop(2200, &[T_DIMPLE, T_HOLE]);
    }
}

#[test]
fn e0830_a_press_asked_for_more_than_it_has() {
    refuses(&["E0830"], &["event 4", "`front`", "80000 N", "79999 N"], pressed(Some(79_999), 0));
    // With a phase for each they have what they need.
    refuses(&[], &[], |shop, events| {
        pressed(Some(79_999), 0)(shop, events);
        let Event::Stop { strokes, .. } = &mut events[3] else { panic!() };
        strokes[1].phase = 1;
    });
    refuses(&[], &[], pressed(Some(80_000), 0));
    refuses(&[], &[], pressed(None, 0));
}

#[test]
fn e0831_two_tools_that_clash_in_one_phase() {
    refuses(&["E0831"], &["event 4", "`dimple`", "`hole 12`"], |shop, events| {
        shop.line.clashes = vec![(T_DIMPLE, T_HOLE)];
        events[3] = stop(2200, &[T_DIMPLE, T_HOLE]);
    });
    refuses(&[], &[], |shop, events| {
        shop.line.clashes = vec![(T_DIMPLE, T_HOLE)];
        events[3] = stop(2200, &[T_DIMPLE, T_HOLE]);
        let Event::Stop { strokes, .. } = &mut events[3] else { panic!() };
        strokes[0].phase = 1;
    });
}

#[test]
fn e0836_two_moments_at_a_stop_of_a_line_that_fires_all_at_once() {
    let at_once = |shop: &mut Shop, events: &mut Vec<Event>| {
        shop.line.firing = Firing::AtOnce;
        events[3] = stop(2200, &[T_DIMPLE, T_HOLE]);
    };
    let in_turn = |events: &mut Vec<Event>| {
        let Event::Stop { strokes, .. } = &mut events[3] else { panic!() };
        strokes[1].phase = 1;
    };
    let says = ["event 4", "2200 mm", "`hole 12`", "at once"];
    refuses(&["E0836"], &says, |shop, events| {
        at_once(shop, events);
        in_turn(events);
    });
    // Nor in two records at one place.
    refuses(&["E0836"], &["event 5"], |shop, events| {
        at_once(shop, events);
        events[3] = stop(2200, &[T_DIMPLE]);
        events.insert(4, stop(2200, &[T_HOLE]));
    });
    // Together they may fire, and on a line that knows phases in turn too.
    refuses(&[], &[], at_once);
    refuses(&[], &[], |shop, events| {
        at_once(shop, events);
        shop.line.firing = Firing::InPhases;
        in_turn(events);
    });
}

#[test]
fn a_press_that_has_struck_needs_its_time() {
    let strokes = |recovery: i64| {
        let mut shop = Shop::new();
        let mut events = events();
        pressed(None, recovery)(&mut shop, &mut events);
        let Event::Stop { strokes, .. } = &mut events[3] else { panic!() };
        strokes[1].phase = 1;
        let program = shop.program(events);
        let time = run(&shop, &program, &wanted()).products.time;
        assert_eq!(time.strokes, coilwright::sequence::time_of(&shop.line, &program).strokes);
        time.strokes.ns()
    };
    // At one standstill the second phase waits all of it.
    assert_eq!(strokes(100) - strokes(0), 100_000_000);
    assert_eq!(strokes(400) - strokes(100), 300_000_000);
    // From 2200 to 2454 mm: 0.254/1 + 1/5 s of feeding and 0.03 s of settling are 0.484 s of rest;
    // all other stops of this press lie further apart.
    assert_eq!(strokes(600) - strokes(400), 200_000_000 + 116_000_000);
}

#[test]
fn one_stroke_of_a_pattern_leaves_all_its_marks() {
    // The swage at each cut brings a dimple at 60 from each of the two ends with it: the judge
    // finds them on the pieces, where nobody asked for them.
    let mut shop = Shop::new();
    let dimple = shop.line.tools[usize::from(T_DIMPLE.0)].makes.clone();
    shop.line.tools[usize::from(T_SWAGE.0)].also = vec![PatternPart { makes: dimple, at: mm(60) }];
    shop.line.tools[usize::from(T_SWAGE.0)].footprint = mm(80);
    let outcome = run(&shop, &program(&shop), &wanted());
    let extra: Vec<_> = outcome.faults.iter().filter(|f| f.0 == "E0848").collect();
    // Two pieces, two ends, two flanges.
    assert_eq!(extra.len(), 8, "{:?}", outcome.faults);
    assert!(extra[0].1.contains("55 to 65 mm"), "{}", extra[0].1);
}
