//! Stops, heads and order against brute force and against worked values.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs
)]

mod common;

use coilwright::library::model::{StationId, ToolId};
use coilwright::member::model::ProfileId;
use coilwright::quantity::Length;
use coilwright::sequence::{self, Due, Standstill, Strip};
use coilwright::tooling::{BoundShape, Geometry};
use common::*;

fn geometry() -> Geometry {
    Geometry::new(&bare_line(), &no_calibration(), ProfileId(0))
}

fn due(station: u16, lo: i64, hi: i64) -> Due {
    let middle = um(100).times(lo + hi).half();
    Due { tool: ToolId(station), station: StationId(station), lo, hi, nominal: middle, piece: 0 }
}

/// Every stroke once, in its window, no station twice at a stop; every cut there.
fn assert_sound(dues: &[Due], cuts: &[i64], found: &[Standstill]) {
    let mut fired = vec![0; dues.len()];
    let mut cut_at = Vec::new();
    for pair in found.windows(2) {
        assert!(pair[0].at < pair[1].at, "standstills apart and in order: {found:?}");
    }
    for standstill in found {
        let mut stations: Vec<u16> = Vec::new();
        for &i in &standstill.strokes {
            let due = dues[i as usize];
            assert!(
                due.lo <= standstill.at && standstill.at <= due.hi,
                "{due:?} at {}",
                standstill.at
            );
            stations.push(due.station.0);
            fired[i as usize] += 1;
        }
        stations.sort_unstable();
        stations.dedup();
        assert_eq!(stations.len(), standstill.strokes.len(), "a station twice: {standstill:?}");
        if standstill.cut {
            cut_at.push(standstill.at);
        } else {
            assert!(!standstill.strokes.is_empty(), "a stop for nothing");
        }
    }
    assert!(fired.iter().all(|&n| n == 1), "each stroke once: {fired:?}");
    assert_eq!(cut_at, cuts);
}

/// Fewest extra stops by trying every set of positions (windows are small), with matching of
/// strokes to stops by earliest right end per station, which is exact for one station.
fn fewest(dues: &[Due], cuts: &[i64]) -> Option<usize> {
    let lo = dues.iter().map(|d| d.lo).min()?;
    let hi = dues.iter().map(|d| d.hi).max()?;
    let places: Vec<i64> = (lo..=hi).filter(|p| !cuts.contains(p)).collect();
    let mut best = None;
    for set in 0_u32..1 << places.len() {
        let count = set.count_ones() as usize;
        if best.is_some_and(|b| count >= b) {
            continue;
        }
        let mut stops: Vec<i64> = cuts.to_vec();
        stops.extend(
            places.iter().enumerate().filter(|(i, _)| set & (1 << i) != 0).map(|(_, p)| *p),
        );
        stops.sort_unstable();
        if feasible(dues, &stops) {
            best = Some(count);
        }
    }
    best
}

fn feasible(dues: &[Due], stops: &[i64]) -> bool {
    let stations: Vec<u16> = dues.iter().map(|d| d.station.0).collect();
    stations.iter().all(|&station| {
        let mut open: Vec<&Due> = dues.iter().filter(|d| d.station.0 == station).collect();
        for &stop in stops {
            let next = open
                .iter()
                .enumerate()
                .filter(|(_, d)| d.lo <= stop && stop <= d.hi)
                .min_by_key(|(_, d)| d.hi)
                .map(|(i, _)| i);
            if let Some(i) = next {
                open.remove(i);
            }
        }
        open.is_empty()
    })
}

/// SEQUENCING.md §2, rows "windows only" and "one stroke per station and stop": the greedy is
/// claimed exact. Checked against every set of stops on small random cases.
#[test]
fn stops_are_the_fewest_on_small_cases() {
    let mut dice = Dice(2);
    let (mut feasible_cases, mut with_cuts) = (0, 0);
    for _ in 0..600 {
        let count = dice.between(1, 6);
        let dues: Vec<Due> = (0..count)
            .map(|_| {
                let lo = dice.between(0, 9);
                due(dice.below(3) as u16, lo, lo + dice.between(0, 3))
            })
            .collect();
        let mut cuts: Vec<i64> = (0..dice.below(3)).map(|_| dice.between(0, 12)).collect();
        cuts.sort_unstable();
        cuts.dedup();
        let found = sequence::stops(&geometry(), &dues, &cuts);
        match (fewest(&dues, &cuts), found) {
            (Some(least), Ok(found)) => {
                assert_sound(&dues, &cuts, &found);
                let extra = found.iter().filter(|s| !s.cut).count();
                assert_eq!(extra, least, "{dues:?} cuts {cuts:?}: {found:?}");
                feasible_cases += 1;
                with_cuts += usize::from(!cuts.is_empty());
            }
            (None, Err(_)) => {}
            (least, found) => panic!("{dues:?} cuts {cuts:?}: least {least:?}, found {found:?}"),
        }
    }
    assert!(feasible_cases > 300 && with_cuts > 100, "{feasible_cases} {with_cuts}");
}

/// SEQUENCING.md §2: re-centring keeps the stops and leaves most strokes nominal (there: about
/// 92 %, modelled load; here only that edges are left).
#[test]
fn a_lone_stroke_fires_where_the_drawing_has_it() {
    let dues = [due(0, 100, 110), due(1, 300, 310), due(0, 304, 330)];
    let found = sequence::stops(&geometry(), &dues, &[]).unwrap();
    assert_sound(&dues, &[], &found);
    assert_eq!(found[0].at, 105);
    // The pair shares a stop; 300..310 around 305 and 304..330 around 317 balance by width:
    // (p−305)/10 = (317−p)/26 at p = 308⅓.
    assert_eq!(found.len(), 2);
    assert_eq!(found[1].at, 308);
}

/// The head table of SEQUENCING.md §4 (worked there; mm, stamped mark): requirement / pitch of
/// four members, slug 4, least head 10.
const MEMBERS: [(&str, i64, i64); 4] =
    [("stud", 1150, 2418), ("track", 1200, 3604), ("nog", 400, 584), ("packer", 90, 304)];

fn bound(requirement: i64, pitch: i64) -> BoundShape {
    BoundShape {
        pitch: pitch * 10,
        strip_length: mm(pitch - 4),
        strokes: Vec::new(),
        start: None,
        end: None,
        first: Vec::new(),
        last: Vec::new(),
        // A head of h means a base of h − slug; requirements are on the start.
        head: (requirement - 4) * 10,
    }
}

fn head_of(order: &[usize], first_advance: i64) -> Length {
    let mut line = bare_line();
    line.head.first_advance = mm(first_advance);
    let bounds: Vec<BoundShape> =
        MEMBERS.iter().map(|(_, r, p)| bound(r + first_advance, *p)).collect();
    let of_piece: Vec<u32> = order.iter().map(|&i| i as u32).collect();
    let pieces: Vec<u32> = (0..order.len() as u32).collect();
    let geometry = Geometry::new(&line, &no_calibration(), ProfileId(0));
    let strip = Strip {
        head: line.head.least,
        tail: line.tail,
        length: mm(100_000),
        defects: &[],
        warm: false,
        parting: mm(3_000),
        keep: mm(1_000),
    };
    let laid = sequence::lay(&line, &geometry, &bounds, &of_piece, &[pieces], &strip).unwrap();
    geometry.length(laid.bases[0]) + mm(4)
}

#[test]
fn heads_match_the_worked_table() {
    let (stud, track, nog, packer) = (0, 1, 2, 3);
    let table: [(&[usize], i64, i64); 5] = [
        (&[track, stud, nog, packer], 1200, 700),
        (&[stud, track, nog, packer], 1150, 650),
        (&[nog, nog, stud, track], 400, 10),
        (&[packer, nog, stud, track], 262, 10),
        (&[packer, packer, nog, stud, track], 90, 10),
    ];
    for (order, cold, gripped) in table {
        assert_eq!(head_of(order, 0), mm(cold), "{order:?}");
        assert_eq!(head_of(order, -500), mm(gripped), "{order:?} gripped 500 mm upstream");
    }
}

/// Ascending requirement is optimal (SEQUENCING.md §4, by exchange): against all orders.
#[test]
fn arranging_finds_the_least_head_of_all_orders() {
    let mut dice = Dice(4);
    let line = bare_line();
    let geometry = geometry();
    for _ in 0..200 {
        let bounds: Vec<BoundShape> =
            (0..5).map(|_| bound(dice.between(4, 3000), dice.between(60, 2500))).collect();
        let of_piece: Vec<u32> = (0..5).collect();
        let pieces: Vec<u32> = (0..5).collect();
        let head = |order: &[u32]| {
            let strip = Strip {
                head: line.head.least,
                tail: line.tail,
                length: mm(100_000),
                defects: &[],
                warm: false,
                parting: mm(3_000),
                keep: mm(1_000),
            };
            sequence::lay(&line, &geometry, &bounds, &of_piece, &[order.to_vec()], &strip)
                .unwrap()
                .bases[0]
        };
        let arranged = sequence::arrange(&line, &geometry, &bounds, &of_piece, &[&pieces], 1);
        let ours = head(&arranged[0].1);
        let mut least = i64::MAX;
        permute(&mut pieces.clone(), 0, &mut |order| least = least.min(head(order)));
        assert_eq!(ours, least);
    }
}

fn permute(items: &mut Vec<u32>, from: usize, visit: &mut impl FnMut(&[u32])) {
    if from == items.len() {
        visit(items);
        return;
    }
    for i in from..items.len() {
        items.swap(from, i);
        permute(items, from + 1, visit);
        items.swap(from, i);
    }
}

/// No member on a defect zone, whatever the zones; gaps are 0 or a piece the shear can part.
#[test]
fn layouts_keep_off_defects() {
    let mut dice = Dice(9);
    let line = bare_line();
    let geometry = geometry();
    let mut passed = 0;
    for _ in 0..400 {
        let bounds: Vec<BoundShape> = (0..6).map(|_| bound(14, dice.between(60, 2500))).collect();
        let of_piece: Vec<u32> = (0..12).map(|_| dice.below(6) as u32).collect();
        let mut defects = Vec::new();
        let mut at = dice.between(0, 3000);
        for _ in 0..dice.below(4) {
            let end = at + dice.between(1, 600);
            defects.push((mm(at), mm(end)));
            at = end + dice.between(1, 8000);
        }
        let strip = Strip {
            head: line.head.least,
            tail: line.tail,
            length: mm(200_000),
            defects: &defects,
            warm: false,
            parting: mm(3_000),
            keep: mm(1_000),
        };
        let bundles = vec![(0..5).collect::<Vec<u32>>(), (5..12).collect()];
        let laid = sequence::lay(&line, &geometry, &bounds, &of_piece, &bundles, &strip).unwrap();
        let mut seen = laid.pieces.clone();
        seen.sort_unstable();
        assert_eq!(seen, (0..12).collect::<Vec<u32>>());
        let mut behind = None;
        for (&piece, &base) in laid.pieces.iter().zip(&laid.bases) {
            let shape = &bounds[of_piece[piece as usize] as usize];
            let start = geometry.length(base) + mm(4);
            let cut = geometry.length(base + shape.pitch);
            for &(from, to) in &defects {
                assert!(cut <= from || start >= to, "{start}..{cut} on {from}..{to}");
            }
            if let Some(behind) = behind {
                let gap = base - behind;
                assert!(gap == 0 || geometry.length(gap) >= mm(4) + line.shear.least_drop, "{gap}");
                passed += usize::from(gap > 0);
            }
            behind = Some(base + shape.pitch);
        }
    }
    assert!(passed > 100, "defects were met: {passed}");
}
