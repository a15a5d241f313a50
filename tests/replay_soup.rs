//! Whatever the events, the line or the coil: replay and judge come to an end, say what is wrong,
//! and the books close.
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

use coilwright::diagnostic::any_error;
use coilwright::library::model::*;
use coilwright::member::model::*;
use coilwright::program::{Event, Program, Serial, Stroke};
use coilwright::quantity::{Advance, Grid, Length, Time};
use coilwright::replay::{Expected, judge, replay};
use replay_shop::compile::*;
use replay_shop::*;

/// A figure from anywhere: around nought, around the coil, around every limit.
fn wild(dice: &mut Dice) -> Length {
    let limit = Length::LIMIT.nm();
    let near = [0, 1_000_000_000, 12_000_000_000, limit, -limit, i64::MAX, i64::MIN, i64::MAX / 2];
    let around = dice.between(-3, 3) * [1, 100_000, 50_000_000][dice.below(3)];
    match dice.below(4) {
        0 => Length::from_nm(near[dice.below(near.len())].saturating_add(around)),
        1 => Length::from_nm(dice.roll() as i64),
        _ => Length::from_nm(dice.between(-1_000_000, 13_000_000) * 1_000),
    }
}

fn soup(dice: &mut Dice, tools: usize) -> Vec<Event> {
    let tame = dice.one_in(2);
    let count = dice.below(40);
    let mut events: Vec<Event> = (0..count)
        .map(|_| {
            let at = Advance::at(match tame {
                true => um(dice.between(-5_000, 120_000) * 100),
                false => wild(dice),
            });
            match dice.below(3) {
                0 => Event::Cut {
                    at,
                    piece: dice.one_in(2).then(|| Serial(dice.below(4) as u32)),
                    slope: match dice.below(8) {
                        0 => Slope { rise: dice.roll() as i32, run: dice.roll() as i32 },
                        1 => Slope { rise: 1, run: 3 },
                        2 => Slope { rise: -1, run: 3 },
                        _ => Slope::SQUARE,
                    },
                },
                1 => Event::Mark { at, text: "N".repeat(dice.below(40)).into() },
                _ => Event::Stop {
                    at,
                    strokes: (0..dice.below(4))
                        .map(|_| Stroke {
                            phase: dice.below(3) as u8,
                            tool: ToolId(match dice.one_in(20) {
                                true => dice.roll() as u16,
                                false => dice.below(tools) as u16,
                            }),
                        })
                        .collect(),
                },
            }
        })
        .collect();
    if !dice.one_in(4) {
        events.sort_by_key(Event::at);
    }
    events
}

fn survive(shop: &Shop, program: &Program, wanted: &[Wanted]) -> bool {
    let (products, refused) = replay(program, None, &shop.situation());
    let account = products.account;
    let sum = [account.good, account.slug, account.head, account.tail, account.remnant]
        .iter()
        .map(|length| i128::from(length.nm()))
        .sum::<i128>();
    assert_eq!(sum, i128::from(account.strip.nm()), "{account:?}");
    let named = account.head_at_defects + account.head_at_gaps + account.head_at_slopes;
    assert!(named <= account.head);
    for part in [account.good, account.slug, account.head, account.tail] {
        assert!(part >= Length::ZERO, "{account:?}");
    }
    assert!(products.time.total() >= Time::ZERO);
    for pair in products.pieces.windows(2) {
        assert!(pair[0].start <= pair[0].cut && pair[0].cut <= pair[1].start);
    }
    let expected: Vec<Expected> = wanted.iter().map(Wanted::expected).collect();
    let (verdict, faults) = judge(&products, &expected, &shop.library);
    assert!(refused.len() <= 100 && faults.len() <= 100);
    for found in refused.iter().chain(&faults) {
        assert!(found.help.as_ref().is_some_and(|help| !help.is_empty()), "{}", found.message);
    }
    assert_eq!(verdict.at_fault.is_empty(), verdict.right == wanted.len());
    // The same again, to the letter.
    let (again, refused_again) = replay(program, None, &shop.situation());
    assert_eq!(
        (&again.pieces, &again.swept, &refused_again),
        (&products.pieces, &products.swept, &refused)
    );
    !any_error(&refused) && !any_error(&faults)
}

fn two_wanted() -> Vec<Wanted> {
    let one = |serial, length| Wanted {
        serial: Serial(serial),
        mark_text: "NN".into(),
        shape: shape(mm(length), vec![point(HOLE, Position::from_start(mm(100)), mm(1))]),
    };
    vec![one(1, 300), one(2, 2000)]
}

#[test]
fn any_events_come_to_an_end_with_the_books_closed() {
    let mut dice = Dice(0xC011);
    let wanted = two_wanted();
    for _ in 0..30_000 {
        let mut shop = Shop::new();
        if dice.one_in(3) {
            shop = random_shop(&mut dice);
        }
        shop.coil.length = um(dice.between(0, 13_000_000));
        shop.coil.threaded = dice.one_in(2);
        for _ in 0..dice.below(3) {
            let from = um(dice.between(-1_000, 13_000_000));
            shop.coil.defects.push((from, from + um(dice.between(-500, 900_000))));
        }
        shop.ending.at_end = if dice.one_in(2) { AtEnd::Unload } else { AtEnd::StayThreaded };
        let mut program = shop.program(soup(&mut dice, 9));
        program.warm = dice.one_in(2);
        if dice.one_in(8) {
            program.end = Advance::at(wild(&mut dice));
        }
        survive(&shop, &program, &wanted);
    }
}

/// Figures of the line and the coil from anywhere as well.
#[test]
fn any_line_comes_to_an_end_with_the_books_closed() {
    let mut dice = Dice(0x11FE);
    let wanted = two_wanted();
    for _ in 0..30_000 {
        let mut shop = Shop::new();
        for _ in 0..=dice.below(3) {
            let figure = wild(&mut dice);
            let rate = figure.nm();
            let tool = dice.below(shop.line.tools.len());
            let station = dice.below(shop.line.stations.len());
            let line = &mut shop.line;
            match dice.below(24) {
                0 => line.shear.slug = figure,
                1 => line.shear.least_drop = figure,
                2 => line.accuracy = figure,
                3 => line.tail = figure,
                4 => line.parting = figure,
                5 => line.head.first_advance = figure,
                6 => line.head.least = figure,
                7 => line.shortest = figure,
                8 => line.longest = figure,
                9 => line.feed.speed = rate,
                10 => line.feed.acceleration = rate,
                11 => line.feed.settle = Time::from_ns(rate.saturating_abs()),
                12 => line.tools[tool].footprint = figure,
                13 => line.tools[tool].refire = figure,
                14 => line.tools[tool].accuracy = figure,
                15 => line.tools[tool].makes.outline = Outline::Circle { diameter: figure },
                16 => line.stations[station].offset = figure,
                17 => line.marker.as_mut().unwrap().offset = figure,
                18 => line.marker.as_mut().unwrap().pitch = figure,
                19 => line.tools[tool].time = Time::from_ns(rate.saturating_abs()),
                20 => shop.coil.length = figure,
                21 => shop.calibration.profiles = vec![(ProfileId(0), rate)],
                22 => line.grid = Grid::new(figure).unwrap_or(line.grid),
                _ => {
                    shop.calibration.stations = vec![StationCorrection {
                        station: StationId(station as u16),
                        factor: dice.roll() as i64,
                        shift: figure,
                    }];
                }
            }
        }
        shop.ending.keep = um(dice.between(0, 5_000_000));
        let program = shop.program(soup(&mut dice, 9));
        survive(&shop, &program, &wanted);
    }
}

/// Soup is mostly refused at once; programs that are right but for one wild figure get further.
#[test]
fn a_right_program_with_one_wild_figure_comes_to_an_end() {
    let mut dice = Dice(0xFEED);
    let (mut right, mut wrong) = (0, 0);
    for _ in 0..200 {
        let mut shop = random_shop(&mut dice);
        let wanted = random_members(&mut dice, &shop, 4);
        let Some(program) = compile(&mut shop, &wanted) else { continue };
        assert!(survive(&shop, &program, &wanted));
        for _ in 0..50 {
            let mut changed = program.clone();
            let index = dice.below(changed.events.len());
            let to = Advance::at(wild(&mut dice));
            match &mut changed.events[index] {
                Event::Stop { at, .. } | Event::Cut { at, .. } | Event::Mark { at, .. } => *at = to,
            }
            if dice.one_in(2) {
                changed.events.sort_by_key(Event::at);
            }
            if survive(&shop, &changed, &wanted) { right += 1 } else { wrong += 1 }
        }
    }
    assert!(wrong > 5_000 && right < wrong / 20, "{right} right, {wrong} wrong");
}

/// A hundred thousand strokes, serials and texts over a few millimetres: an answer, and soon.
#[test]
fn dense_programs_are_given_up_not_gone_through() {
    let mut shop = Shop::new();
    for tool in &mut shop.line.tools {
        tool.refire = mm(0);
        tool.footprint = mm(5_000);
    }
    shop.line.grid = Grid::new(Length::from_nm(1)).unwrap();
    let mut events: Vec<Event> = (0..100_000)
        .map(|i| {
            stop_at(
                Advance::at(mm(1000) + Length::from_nm(i)),
                &[T_DIMPLE, T_HOLE, T_SERVICE, T_LIP, T_SWAGE],
            )
        })
        .collect();
    for i in 0..2_000 {
        events.push(Event::Cut {
            at: at(8_000 + i),
            piece: Some(Serial(i as u32)),
            slope: Slope::SQUARE,
        });
    }
    let program = shop.program(events);
    assert!(!survive(&shop, &program, &two_wanted()));
    // The same without refusals for the overlaps: only the judge has work to do.
    for tool in &mut shop.line.tools {
        tool.footprint = mm(0);
    }
    let mut events: Vec<Event> =
        (0..50_000).map(|i| stop_at(at_um(1_000_000 + i), &[T_HOLE])).collect();
    events.push(cut(3000, None));
    events.push(cut(5_500, Some(1)));
    let program = shop.program(events);
    let many = (0..400).map(|i| point(HOLE, Position::from_start(mm(1900) + um(i)), mm(60)));
    let wanted = vec![Wanted {
        serial: Serial(1),
        mark_text: "".into(),
        shape: shape(mm(2_496), many.collect()),
    }];
    assert!(!survive(&shop, &program, &wanted));
}
