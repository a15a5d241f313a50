//! The exact search for stops, against every plan of small cases and the counter-examples to
//! greedy of SEQUENCING.md §2.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod common;

use coilwright::library::model::Feed;
use coilwright::program::move_time;
use coilwright::quantity::{Length, Time};
use coilwright::sequence::exact::{Found, Halt, Instance, Way, exact};
use coilwright::sequence::least_time::{Pace, Timed, least_time};
use common::Dice;

const WORK: u64 = 5_000_000;

/// Strokes of one way each, tool `i` for stroke `i`: (station, force, first, last).
fn instance(strokes: &[(u16, i64, i64, i64)]) -> Instance {
    let way = |(i, &(station, force, lo, hi)): (usize, &(u16, i64, i64, i64))| {
        vec![Way { tool: i as u16, station, force, press: Some(0), time: Time::ZERO, lo, hi }]
    };
    Instance {
        strokes: strokes.iter().enumerate().map(way).collect(),
        cuts: Vec::new(),
        clashes: Vec::new(),
        presses: vec![i64::MAX],
        most: usize::MAX,
        least_feed: 1,
    }
}

fn extra(plan: &[Halt]) -> usize {
    plan.iter().filter(|halt| !halt.cut).count()
}

fn fewest(instance: &Instance) -> usize {
    match exact(instance, WORK) {
        Found::Fewest(plan) => {
            assert_sound(instance, &plan);
            extra(&plan)
        }
        other => panic!("{instance:?}: {other:?}"),
    }
}

/// Whether strokes (stroke, way) may share a stop at `at`.
fn company(instance: &Instance, strokes: &[(usize, usize)], at: i64) -> bool {
    let ways: Vec<&Way> = strokes.iter().map(|&(s, w)| &instance.strokes[s][w]).collect();
    let clash =
        |a: u16, b: u16| instance.clashes.contains(&(a, b)) || instance.clashes.contains(&(b, a));
    ways.len() <= instance.most
        && (0..).zip(&instance.presses).all(|(press, most)| {
            let driven = ways.iter().filter(|way| way.press == Some(press));
            driven.map(|way| way.force).sum::<i64>() <= *most
        })
        && ways.iter().all(|way| way.lo <= at && at <= way.hi)
        && ways.iter().enumerate().all(|(i, a)| {
            ways[..i].iter().all(|b| a.station != b.station && !clash(a.tool, b.tool))
        })
}

/// Everything a plan must keep, told apart from how it was found.
fn assert_sound(instance: &Instance, plan: &[Halt]) {
    let mut fired = vec![0; instance.strokes.len()];
    for halt in plan {
        let strokes: Vec<(usize, usize)> =
            halt.strokes.iter().map(|&(s, w)| (s as usize, w as usize)).collect();
        assert!(company(instance, &strokes, halt.at), "{instance:?}: {halt:?}");
        assert!(halt.cut || !strokes.is_empty(), "a stop for nothing: {plan:?}");
        for (stroke, _) in strokes {
            fired[stroke] += 1;
        }
    }
    assert!(fired.iter().all(|&n| n == 1), "each once: {fired:?} in {plan:?}");
    for pair in plan.windows(2) {
        let apart = pair[1].at - pair[0].at;
        let least = if pair[0].cut && pair[1].cut { 1 } else { instance.least_feed };
        assert!(apart >= least, "{instance:?}: {plan:?}");
    }
    let cuts: Vec<i64> = plan.iter().filter(|h| h.cut).map(|h| h.at).collect();
    assert_eq!(cuts, instance.cuts);
}

/// The cuts, and the stops of this set of places, in order; `None` where two are too near.
fn halts(instance: &Instance, places: &[i64], set: u32) -> Option<Vec<(i64, bool)>> {
    let mut halts: Vec<(i64, bool)> = instance.cuts.iter().map(|&cut| (cut, true)).collect();
    halts.extend(
        places.iter().enumerate().filter(|(i, _)| set >> i & 1 == 1).map(|(_, &p)| (p, false)),
    );
    halts.sort_unstable();
    let apart = halts
        .windows(2)
        .all(|pair| (pair[0].1 && pair[1].1) || pair[1].0 - pair[0].0 >= instance.least_feed);
    apart.then_some(halts)
}

/// The least over every set of places and every way to share out the strokes.
fn by_force(instance: &Instance, lo: i64, hi: i64) -> Option<usize> {
    let places: Vec<i64> = (lo..=hi).filter(|p| !instance.cuts.contains(p)).collect();
    let mut sets: Vec<u32> = (0..1_u32 << places.len()).collect();
    sets.sort_by_key(|set| set.count_ones());
    for set in sets {
        if set.count_ones() as usize > instance.strokes.len() {
            break;
        }
        let Some(halts) = halts(instance, &places, set) else { continue };
        if shared_out(instance, &halts, 0, &mut vec![Vec::new(); halts.len()]) {
            return Some(set.count_ones() as usize);
        }
    }
    None
}

fn shared_out(
    instance: &Instance,
    halts: &[(i64, bool)],
    stroke: usize,
    at: &mut Vec<Vec<(usize, usize)>>,
) -> bool {
    if stroke == instance.strokes.len() {
        return true;
    }
    for way in 0..instance.strokes[stroke].len() {
        for halt in 0..halts.len() {
            at[halt].push((stroke, way));
            if company(instance, &at[halt], halts[halt].0)
                && shared_out(instance, halts, stroke + 1, at)
            {
                return true;
            }
            at[halt].pop();
        }
    }
    false
}

/// SEQUENCING.md §2, row "both": one stroke per station and two tools a stop.
#[test]
fn stations_and_most_tools_together() {
    let mut case = instance(&[(0, 0, 3, 11), (1, 0, 9, 11), (2, 0, 1, 10), (1, 0, 7, 11)]);
    case.most = 2;
    assert_eq!(fewest(&case), 2);
    assert_eq!(by_force(&case, -1, 12), Some(2));
}

/// Row "force, if one phase only".
#[test]
fn press_force_in_one_phase() {
    let mut case = instance(&[(0, 4, 0, 4), (1, 4, 3, 5), (2, 2, -1, 2), (3, 5, 1, 5)]);
    case.presses = vec![8];
    assert_eq!(fewest(&case), 2);
    assert_eq!(by_force(&case, -1, 6), Some(2));
}

/// Row "clash, if one phase only"; clashes 1-2, 1-4, 3-4 counted from 0.
#[test]
fn clashes_in_one_phase() {
    let mut case =
        instance(&[(0, 0, 0, 6), (1, 0, 1, 5), (2, 0, 2, 4), (3, 0, 3, 6), (4, 0, 4, 12)]);
    case.clashes = vec![(1, 2), (1, 4), (3, 4)];
    assert_eq!(fewest(&case), 2);
    assert_eq!(by_force(&case, 0, 12), Some(2));
}

/// Row "least feed between stops": greedy is stuck.
#[test]
fn least_feed_between_stops() {
    let mut case = instance(&[(0, 0, 0, 4), (1, 0, 5, 6)]);
    case.least_feed = 4;
    assert_eq!(fewest(&case), 2);
    assert_eq!(by_force(&case, 0, 6), Some(2));
    case.least_feed = 7;
    assert_eq!(exact(&case, WORK), Found::Impossible);
}

/// Row "alternatives": each of five strokes can be made at either of two neighbouring places of a
/// ring of five, by a station of its own for each: least vertex cover of a five-cycle, 3.
#[test]
fn alternatives_of_the_five_cycle() {
    let mut case = instance(&[]);
    case.strokes = (0..5)
        .map(|edge: u16| {
            [(edge, 2 * edge), ((edge + 1) % 5, 2 * edge + 1)]
                .iter()
                .map(|&(place, station)| {
                    let at = i64::from(place) * 2;
                    Way {
                        tool: station,
                        station,
                        force: 0,
                        press: None,
                        time: Time::ZERO,
                        lo: at,
                        hi: at,
                    }
                })
                .collect()
        })
        .collect();
    assert_eq!(fewest(&case), 3);
    assert_eq!(by_force(&case, 0, 9), Some(3));
}

fn any_case(dice: &mut Dice) -> Instance {
    let strokes = (0..dice.between(1, 6))
        .map(|_| {
            (0..if dice.below(3) == 0 { 2 } else { 1 })
                .map(|_| {
                    let lo = dice.between(0, 8);
                    Way {
                        tool: dice.below(5) as u16,
                        station: dice.below(4) as u16,
                        force: dice.between(1, 5),
                        press: [Some(0), Some(0), Some(1), None][dice.below(4) as usize],
                        time: Time::from_ms(dice.between(1, 4) * 50),
                        lo,
                        hi: lo + dice.between(0, 4),
                    }
                })
                .collect()
        })
        .collect();
    let mut cuts: Vec<i64> = (0..dice.below(3)).map(|_| dice.between(0, 12)).collect();
    cuts.sort_unstable();
    cuts.dedup();
    Instance {
        strokes,
        cuts,
        clashes: (0..dice.below(3)).map(|_| (dice.below(5) as u16, dice.below(5) as u16)).collect(),
        presses: vec![dice.between(5, 10), dice.between(5, 8)],
        most: dice.between(1, 4) as usize,
        least_feed: *[1, 1, 2, 4].get(dice.below(4) as usize).unwrap(),
    }
}

/// All of it together, with cuts that may serve, against every plan.
#[test]
fn everything_at_once_against_every_plan() {
    let mut dice = Dice(51);
    let (mut possible, mut impossible, mut greedy_worse) = (0, 0, 0);
    for _ in 0..3_000 {
        let case = any_case(&mut dice);
        let least = by_force(&case, 0, 12);
        match exact(&case, WORK) {
            Found::Fewest(plan) => {
                assert_sound(&case, &plan);
                assert_eq!(Some(extra(&plan)), least, "{case:?}: {plan:?}");
                possible += 1;
            }
            Found::Impossible => {
                assert_eq!(least, None, "{case:?}");
                impossible += 1;
            }
            other => panic!("{case:?}: {other:?}"),
        }
        // With no work to spend: a sound plan or an honest word.
        match exact(&case, 0) {
            Found::Greedy(plan) => {
                assert_sound(&case, &plan);
                assert!(least.is_some_and(|least| extra(&plan) >= least));
                greedy_worse += usize::from(Some(extra(&plan)) > least);
            }
            Found::Unknown => {}
            other => panic!("{case:?}: {other:?}"),
        }
    }
    println!("{possible} possible, {impossible} not, greedy worse in {greedy_worse}");
    assert!(possible > 1_000 && impossible > 300 && greedy_worse > 30);
}

/// Where the exact search is not given the work, the narrow one comes near it: a hundred strokes
/// crowded together, some of them on one place.
#[test]
fn the_narrow_sweep_comes_near_the_fewest() {
    let mut dice = Dice(56);
    let (mut cases, mut equal, mut over, mut best) = (0, 0, 0, 0);
    for _ in 0..60 {
        let mut case = instance(&[]);
        for tool in 0..100_u16 {
            let lo = dice.between(0, 2_000);
            let way = Way {
                tool: tool % 8,
                station: tool % 8,
                force: dice.between(2, 6),
                press: Some(u16::from(tool % 8 > 4)),
                time: Time::ZERO,
                lo,
                hi: lo + dice.between(0, 60),
            };
            case.strokes.push(vec![way]);
        }
        case.presses = vec![8, 9];
        case.clashes = vec![(0, 5), (1, 2), (6, 7)];
        case.cuts = vec![500, 1_000, 1_500];
        let Found::Fewest(fewest) = exact(&case, 3_000_000) else { continue };
        let Found::Greedy(near) = exact(&case, 6_000) else { continue };
        assert_sound(&case, &near);
        assert!(extra(&near) >= extra(&fewest));
        cases += 1;
        equal += usize::from(near.len() == fewest.len());
        over += near.len() - fewest.len();
        best += fewest.len();
    }
    println!("{cases} cases: as few in {equal}, {over} stops over {best}");
    assert!(cases > 20 && over * 50 < best, "{cases} {over} {best}");
}

/// A run of hundreds of strokes is swept in little work, and agrees with the method that is exact
/// for stations alone.
#[test]
fn long_runs_agree_with_the_method_for_stations_alone() {
    use coilwright::library::model::{StationId, ToolId};
    use coilwright::sequence::{self, Due};
    let mut dice = Dice(52);
    let mut proved = 0;
    for _ in 0..30 {
        let mut case = instance(&[]);
        let mut dues = Vec::new();
        for i in 0..300_u16 {
            let (lo, station) = (dice.between(0, 60_000), dice.below(6) as u16);
            let hi = lo + dice.between(0, 300);
            let (force, press, time) = (0, None, Time::ZERO);
            case.strokes.push(vec![Way { tool: i, station, force, press, time, lo, hi }]);
            dues.push(Due {
                tool: ToolId(station),
                station: StationId(station),
                lo,
                hi,
                nominal: common::um(50).times(lo + hi),
                piece: 0,
            });
        }
        case.cuts = (1..20).map(|i| i * 3_000).collect();
        let geometry = coilwright::tooling::Geometry::new(
            &common::bare_line(),
            &common::no_calibration(),
            coilwright::member::model::ProfileId(0),
        );
        let stops = sequence::stops(&geometry, &dues, &case.cuts).unwrap();
        match exact(&case, WORK) {
            Found::Fewest(plan) => {
                assert_sound(&case, &plan);
                assert_eq!(plan.len(), stops.len());
                proved += 1;
            }
            Found::Greedy(plan) => assert_sound(&case, &plan),
            other => panic!("{other:?}"),
        }
    }
    println!("{proved} of 30 proved");
    assert!(proved >= 25);
}

fn any_pace(dice: &mut Dice, jerk: bool) -> Pace {
    Pace {
        feed: Feed {
            speed: dice.between(100, 1_500) * 1_000,
            acceleration: dice.between(2, 12) * 1_000_000,
            deceleration: dice.between(2, 12) * 1_000_000,
            jerk: jerk.then(|| dice.between(10, 200) * 1_000_000),
            settle: Time::from_ms(dice.between(0, 60)),
        },
        increment: Length::from_mm(dice.between(1, 60)),
        start: -dice.between(0, 2),
    }
}

/// Time of a plan, told apart from how it was found.
fn time_of(instance: &Instance, pace: &Pace, plan: &[(i64, Vec<(usize, usize)>)]) -> Time {
    let mut time = Time::ZERO;
    let mut at = pace.start;
    for (place, strokes) in plan {
        if *place != at {
            time += move_time(&pace.feed, pace.increment.times(place - at)) + pace.feed.settle;
        }
        at = *place;
        time += strokes
            .iter()
            .map(|&(stroke, way)| instance.strokes[stroke][way].time)
            .max()
            .unwrap_or(Time::ZERO);
    }
    time
}

/// The least time over every set of places and every way to share out the strokes.
fn time_by_force(instance: &Instance, pace: &Pace, lo: i64, hi: i64) -> Option<Time> {
    let places: Vec<i64> = (lo..=hi).filter(|p| !instance.cuts.contains(p)).collect();
    let mut best = None;
    for set in 0..1_u32 << places.len() {
        if set.count_ones() as usize > instance.strokes.len() {
            continue;
        }
        if let Some(halts) = halts(instance, &places, set) {
            let mut at = vec![Vec::new(); halts.len()];
            soonest(instance, pace, &halts, 0, &mut at, &mut best);
        }
    }
    best
}

fn soonest(
    instance: &Instance,
    pace: &Pace,
    halts: &[(i64, bool)],
    stroke: usize,
    at: &mut Vec<Vec<(usize, usize)>>,
    best: &mut Option<Time>,
) {
    if stroke == instance.strokes.len() {
        let plan: Vec<_> =
            halts.iter().zip(&*at).map(|(h, strokes)| (h.0, strokes.clone())).collect();
        let time = time_of(instance, pace, &plan);
        *best = Some(best.map_or(time, |best| best.min(time)));
        return;
    }
    for way in 0..instance.strokes[stroke].len() {
        for halt in 0..halts.len() {
            at[halt].push((stroke, way));
            if company(instance, &at[halt], halts[halt].0) {
                soonest(instance, pace, halts, stroke + 1, at, best);
            }
            at[halt].pop();
        }
    }
}

/// Least time with a trapezoid and with a jerk, against every plan; to a nanosecond a move.
#[test]
fn least_time_against_every_plan() {
    let mut dice = Dice(53);
    let (mut found, mut more_stops) = (0, 0);
    for round in 0..300 {
        let mut case = any_case(&mut dice);
        case.strokes.truncate(4);
        let pace = any_pace(&mut dice, round % 2 == 0);
        match (least_time(&case, &pace, WORK), time_by_force(&case, &pace, 0, 12)) {
            (Timed::Least(time, plan), Some(least)) => {
                assert_sound(&case, &plan);
                let told: Vec<(i64, Vec<(usize, usize)>)> = plan
                    .iter()
                    .map(|halt| {
                        let strokes =
                            halt.strokes.iter().map(|&(s, w)| (s as usize, w as usize)).collect();
                        (halt.at, strokes)
                    })
                    .collect();
                assert_eq!(time_of(&case, &pace, &told), time);
                let over = time.ns() - least.ns();
                assert!((0..=8).contains(&over), "{case:?} {pace:?}: {over} ns over");
                found += 1;
                more_stops += usize::from(extra(&plan) > fewest(&case));
            }
            (Timed::Impossible, None) => {}
            (ours, theirs) => panic!("{case:?}: {ours:?}, by force {theirs:?}"),
        }
    }
    println!("{found} found, {more_stops} of them with more stops than the fewest");
    assert!(found > 100);
}

/// Two hundred cases with their least stops and least times, for `benches/cpsat_stops.py`; written
/// to the file that COILWRIGHT_EXPORT names.
#[test]
#[allow(clippy::disallowed_methods)]
fn cases_for_an_outside_solver() {
    let Ok(file) = std::env::var("COILWRIGHT_EXPORT") else {
        println!("skipped: COILWRIGHT_EXPORT names no file");
        return;
    };
    let mut dice = Dice(54);
    let mut cases = Vec::new();
    for round in 0..200 {
        let mut case = any_case(&mut dice);
        // Wider than what can be tried by force: up to nine strokes over thirty steps.
        let more = any_case(&mut dice);
        for mut stroke in more.strokes.into_iter().take(4) {
            for way in &mut stroke {
                way.lo += 8;
                way.hi += 10;
            }
            case.strokes.push(stroke);
        }
        let pace = any_pace(&mut dice, round % 2 == 0);
        let stops = match exact(&case, WORK) {
            Found::Fewest(plan) => Some(extra(&plan)),
            Found::Impossible => None,
            other => panic!("{other:?}"),
        };
        let time = match least_time(&case, &pace, 10 * WORK) {
            Timed::Least(time, _) => Some(time.ns()),
            Timed::Impossible => None,
            Timed::Unknown => panic!("{case:?}"),
        };
        let strokes: Vec<serde_json::Value> = case
            .strokes
            .iter()
            .map(|ways| {
                let way = |w: &Way| {
                    serde_json::json!({
                        "tool": w.tool, "station": w.station, "force": w.force,
                        "press": w.press,
                        "time_ns": w.time.ns(), "lo": w.lo, "hi": w.hi,
                    })
                };
                ways.iter().map(way).collect()
            })
            .collect();
        cases.push(serde_json::json!({
            "strokes": strokes,
            "cuts": case.cuts,
            "clashes": case.clashes,
            "presses": case.presses,
            "most": case.most,
            "least_feed": case.least_feed,
            "start": pace.start,
            "increment_um": pace.increment.nm() / 1_000,
            "speed": pace.feed.speed,
            "acceleration": pace.feed.acceleration,
            "deceleration": pace.feed.deceleration,
            "jerk": pace.feed.jerk,
            "settle_ns": pace.feed.settle.ns(),
            "stops": stops,
            "least_time_ns": time,
        }));
    }
    std::fs::write(file, serde_json::to_string(&cases).unwrap()).unwrap();
}
