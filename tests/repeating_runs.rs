//! What plans that repeat with every member, and stops placed for time, could gain where cuts are
//! exact: the figures of DEVELOPERS.md.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod common;

use coilwright::library::model::{Feed, StationId, ToolId};
use coilwright::program::move_time;
use coilwright::quantity::Time;
use coilwright::sequence::{self, Due, Standstill, circular};
use common::*;

const STEP: i64 = 100;

fn due(station: u16, lo: i64, hi: i64) -> Due {
    let nominal = um(STEP * (lo + hi) / 2);
    Due { tool: ToolId(station), station: StationId(station), lo, hi, nominal, piece: 0 }
}

fn geometry() -> coilwright::tooling::Geometry {
    let profile = coilwright::member::model::ProfileId(0);
    coilwright::tooling::Geometry::new(&bare_line(), &no_calibration(), profile)
}

/// A member's windows from its base, one station each, in steps of 0.1 mm: strokes metres upstream
/// of the shear come before its base.
fn member(dice: &mut Dice, pitch: i64) -> Vec<(i64, i64)> {
    (0..dice.between(3, 9))
        .map(|_| {
            let lo = dice.between(0, pitch) - dice.between(2_000, 60_000);
            (lo, lo + dice.between(4, 40))
        })
        .collect()
}

/// Stops besides cuts of a run of so many members alike, on strip where others were cut before.
fn stops_of(members: i64, pitch: i64, windows: &[(i64, i64)]) -> i64 {
    let mut dues = Vec::new();
    for (station, (lo, hi)) in (0..).zip(windows) {
        dues.extend((0..members).map(|n| due(station, lo + n * pitch, hi + n * pitch)));
    }
    let before = 64_000 / pitch + 2;
    let cuts: Vec<i64> = (-before..=members).map(|n| n * pitch).collect();
    let stops = sequence::stops(&geometry(), &dues, &cuts).unwrap();
    i64::try_from(stops.len() - cuts.len()).unwrap()
}

/// Stops that repeat with the member cannot be fewer: the greedy way by right ends has the fewest
/// of all plans for the run laid out, those that repeat among them. Here how much fewer, for a hundred
/// members more.
#[test]
fn plans_that_repeat_with_every_member_have_no_fewer_stops() {
    let mut dice = Dice(71);
    let (mut fewer, mut greedy, mut repeating) = (0, 0, 0);
    for round in 0..500 {
        // Short members hold many windows in little strip: there some may meet.
        let short = round % 2 == 0;
        let pitch = if short { dice.between(600, 3_000) } else { dice.between(6_000, 30_000) };
        let windows = member(&mut dice, pitch);
        // The cut is a stop of every member: the circle is pierced there too.
        let mut around = windows.clone();
        around.push((0, 0));
        let besides = i64::try_from(circular(pitch, &around).unwrap().len()).unwrap() - 1;
        let more = stops_of(400, pitch, &windows) - stops_of(300, pitch, &windows);
        assert!(more <= besides * 100, "{windows:?} modulo {pitch}: {more}, {besides} each");
        fewer += usize::from(more < besides * 100);
        greedy += more;
        repeating += besides * 100;
    }
    println!("{greedy} stops besides cuts, {repeating} where they repeat; fewer in {fewer} of 500");
    assert!(greedy <= repeating);
}

fn moves(feed: &Feed, places: &[i64]) -> Time {
    let length = |pair: &[i64]| um(STEP * (pair[1] - pair[0]));
    places.windows(2).map(|pair| move_time(feed, length(pair))).fold(Time::ZERO, |a, b| a + b)
}

/// The least time of moves with the strokes of each stop as they are: without a jerk it is concave
/// in each place, so one end or the other of what is open to the stop will do.
fn least_moves(feed: &Feed, stands: &[Standstill], dues: &[Due]) -> Time {
    let mut ways: Vec<(i64, Time)> = vec![(0, Time::ZERO)];
    for stand in stands {
        let of = || stand.strokes.iter().map(|i| &dues[*i as usize]);
        let (mut lo, mut hi) = (stand.at, stand.at);
        if !stand.cut {
            lo = of().map(|due| due.lo).max().unwrap();
            hi = of().map(|due| due.hi).min().unwrap();
        }
        let to = |at: i64| {
            let way = |(from, sofar): &(i64, Time)| {
                (at >= *from).then(|| *sofar + move_time(feed, um(STEP * (at - from))))
            };
            ways.iter().filter_map(way).min().map(|time| (at, time))
        };
        ways = [lo, hi].into_iter().filter_map(to).collect();
    }
    ways.into_iter().map(|(_, time)| time).min().unwrap()
}

/// The middle of the windows of a stop is one point, so nothing is free for time; giving up the
/// middle would gain this much.
#[test]
fn time_that_stops_out_of_the_middle_would_save() {
    let feed = bare_line().feed;
    let mut dice = Dice(72);
    let (mut centred, mut least) = (0, 0);
    for _ in 0..300 {
        let mut dues = Vec::new();
        let mut cuts = Vec::new();
        let mut base = 70_000;
        for _ in 0..12 {
            let pitch = dice.between(4_000, 36_000);
            for (station, (lo, hi)) in (0..).zip(member(&mut dice, pitch)) {
                dues.push(due(station, base + lo, base + hi));
            }
            base += pitch;
            cuts.push(base);
        }
        let stands = sequence::stops(&geometry(), &dues, &cuts).unwrap();
        let mut places = vec![0];
        places.extend(stands.iter().map(|stand| stand.at));
        let whole = |moves: Time| moves.ns() + stands.len() as i64 * 230_000_000;
        centred += whole(moves(&feed, &places));
        least += whole(least_moves(&feed, &stands, &dues));
    }
    let share = (centred - least) * 1_000_000 / centred;
    println!("centred {centred} ns, least {least} ns: {share} parts in a million");
    assert!(least <= centred);
    assert!(share < 3_000, "{share}");
}
