//! Whole batches on small mixed racks against every plan there is: coils with defects and bars,
//! slugs, heads, tails, remnants that go back, changes of coils, frames that stay together. The
//! brute force counts strip by an arithmetic of its own, from the figures of the line as written in
//! the fixture. No bound passes the best plan, no plan beats it, and what is called proved is it.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::disallowed_methods,
    clippy::print_stdout,
    missing_docs
)]

mod common;

use coilwright::plan::{self, Least, Options, Plan};
use coilwright::quantity::Length;
use common::Dice;
use common::small_shop::{STRIP, small_shop_on};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// Of the fixture's line, in tenths of a mm.
const SLUG: i64 = 40;
const DROP: i64 = 300;
const HEAD: i64 = 100;
/// The tool that straddles cuts: how near it fires again, how far it clamps beyond the slug, and
/// what the drawing leaves it to either side, less what line and tool are off.
const REFIRE: i64 = 1_000;
const REACH: i64 = 550 - SLUG / 2;
const OFF: i64 = 10 - 1 - 1;

/// A coil or bar, in tenths of a mm.
#[derive(Clone, Debug)]
struct Strip {
    length: i64,
    defect: Option<(i64, i64)>,
    tail: i64,
    parting: i64,
    /// What loading it counts.
    worth: i64,
}

/// A member: its length, whether a tool that straddles the cut shapes its start and its end, and
/// whether it may be made end first.
#[derive(Clone, Copy, Debug)]
struct Piece {
    length: i64,
    shaped: [bool; 2],
    turnable: bool,
}

/// Frames of pieces on a rack.
#[derive(Debug)]
struct Case {
    frames: Vec<Vec<Piece>>,
    strips: Vec<Strip>,
    keep: i64,
    /// What a change of coils counts.
    worth: i64,
    whole: bool,
}

fn random(dice: &mut Dice, shaped: bool) -> Case {
    let bars = dice.below(3) == 0;
    let worth = [0, 0, 7_000][dice.below(3) as usize];
    let strip = |dice: &mut Dice| {
        let length = dice.between(2_400, 7_000);
        let from = dice.between(1, length - 1);
        let to = (from + dice.between(1, 500)).min(length);
        Strip {
            length: length * 10,
            defect: (dice.below(3) == 0).then_some((from * 10, to * 10)),
            tail: 12_000,
            parting: 5_000,
            worth,
        }
    };
    let mut strips: Vec<Strip> = (0..dice.between(1, 3)).map(|_| strip(dice)).collect();
    if bars {
        let length = dice.between(1_500, 4_000) * 10;
        // 90 s of the 600 that a coil takes.
        let bar = Strip { length, defect: None, tail: 400, parting: 0, worth: worth * 90 / 600 };
        strips.extend(vec![bar; dice.between(1, 2) as usize]);
    }
    let most = if shaped { 4 } else { 2 };
    let mut frames: Vec<Vec<Piece>> = (0..dice.between(1, 4))
        .map(|_| {
            let piece = |dice: &mut Dice| Piece {
                length: dice.between(200, 1_400) * 10,
                shaped: [(); 2].map(|()| shaped && dice.below(2) == 0),
                turnable: shaped && dice.below(3) == 0,
            };
            (0..dice.between(1, most)).map(|_| piece(dice)).collect()
        })
        .collect();
    while frames.iter().flatten().count() > 8 {
        frames.pop();
    }
    if shaped && dice.below(2) == 0 {
        just_fits(dice, &mut strips[0], &frames);
        // One that surely takes them.
        let longer = strips[0].length + dice.between(500, 3_000) * 10;
        strips.push(Strip { length: longer, defect: None, ..strips[0].clone() });
    }
    let keep = [3_000, 10_000, 90_000][dice.below(3) as usize];
    Case { frames, strips, keep, worth, whole: dice.below(2) == 0 }
}

/// A coil that the first frames as they are listed just fit or just do not, with a defect between
/// two members.
fn just_fits(dice: &mut Dice, strip: &mut Strip, frames: &[Vec<Piece>]) {
    let frames = &frames[..dice.between(1, frames.len() as i64) as usize];
    let lengths: Vec<i64> = frames.iter().flatten().map(|piece| SLUG + piece.length).collect();
    let before = dice.between(1, lengths.len() as i64) as usize;
    let from = HEAD + lengths[..before].iter().sum::<i64>() + dice.between(-2, 40) * 10;
    let to = from + dice.between(1, 60) * 10;
    strip.defect = Some((from, to));
    strip.length =
        to + lengths[before..].iter().sum::<i64>() + strip.tail + dice.between(-4, 60) * 10;
}

/// Where pieces lie so far: the cut that the next one begins behind, and whether what ends there
/// is straddled; `None` before the first.
type Laid = (i64, Option<bool>);

/// The cut behind a piece, laid after what is there.
fn laid(strip: &Strip, (cut, before): Laid, length: i64, start: bool) -> i64 {
    // The scrap between two cuts takes up what the tool did beyond them, and is long enough for it
    // to fire twice.
    let both = before == Some(true) && start;
    let reach = if before == Some(true) || start { REACH + OFF } else { 0 };
    let scrap = SLUG + DROP.max(reach).max(if both { REFIRE + 2 * OFF } else { 0 });
    let apart = before.is_some_and(|before| before != start);
    let mut base = if apart { cut + scrap } else { cut };
    if let Some((from, to)) = strip.defect
        && base + SLUG < to
        && base + SLUG + length > from
    {
        // The head takes it, or a piece of scrap.
        base = (to - SLUG).max(if before.is_none() { base } else { cut + scrap });
    }
    base + SLUG + length
}

/// What a strip loses whose last cut is this one, if it can be made there.
fn used(case: &Case, strip: &Strip, (mut cut, last): Laid) -> Option<i64> {
    let rest = |cut: i64| (strip.length - cut - SLUG).max(0);
    if last == Some(true) && REACH + OFF > strip.parting && rest(cut) - strip.parting >= case.keep {
        // What the tool left beyond the last cut is cut off a strip that goes back.
        cut += SLUG + DROP.max(REACH + OFF);
    }
    if cut > strip.length - strip.tail {
        return None;
    }
    let rest = rest(cut);
    let parted = strip.parting.min(rest);
    Some(if rest - parted >= case.keep { strip.length - rest + parted } else { strip.length })
}

/// What each set of pieces costs on this strip at the least, over every order in which frames that
/// stay whole do, each piece either way round where it may be turned.
fn on_strip(case: &Case, strip: &Strip) -> BTreeMap<usize, i64> {
    let pieces: Vec<Piece> = case.frames.iter().flatten().copied().collect();
    let mut frames: Vec<usize> = Vec::new();
    for frame in &case.frames {
        let before: u32 = frames.iter().map(|set| set.count_ones()).sum();
        frames.push(((1 << frame.len()) - 1) << before);
    }
    let mut least: BTreeMap<usize, i64> = BTreeMap::new();
    let mut reached: BTreeMap<usize, BTreeSet<Laid>> = BTreeMap::new();
    reached.insert(0, BTreeSet::from([(HEAD - SLUG, None)]));
    for set in 0..1_usize << pieces.len() {
        let Some(here) = reached.get(&set).cloned() else { continue };
        let open = frames.iter().copied().find(|of| case.whole && set & of != 0 && set & of != *of);
        if open.is_none() && set > 0 {
            let cost = here.iter().filter_map(|laid| used(case, strip, *laid)).min();
            cost.map(|cost| least.insert(set, cost));
        }
        let may = open.unwrap_or(usize::MAX);
        for (n, piece) in pieces.iter().enumerate().filter(|(n, _)| may & !set & 1 << n != 0) {
            let [a, b] = piece.shaped;
            for (start, end) in [(a, b), (b, a)].into_iter().take(1 + usize::from(piece.turnable)) {
                for &at in &here {
                    let cut = laid(strip, at, piece.length, start);
                    if cut <= strip.length {
                        reached.entry(set | 1 << n).or_default().insert((cut, Some(end)));
                    }
                }
            }
        }
    }
    least
}

/// The least strip used, and the least with changes counted, over every plan.
fn best(case: &Case) -> Option<(i64, i64)> {
    let n = case.frames.iter().flatten().count();
    let mut reached: BTreeMap<usize, (i64, i64)> = BTreeMap::from([(0, (0, 0))]);
    for strip in &case.strips {
        let on = on_strip(case, strip);
        let before = reached.clone();
        for (set, (used, worth)) in before {
            for (more, cost) in on.iter().filter(|(more, _)| *more & set == 0) {
                let with = (used + cost, worth + cost + strip.worth);
                let known = reached.entry(set | more).or_insert(with);
                *known = (known.0.min(with.0), known.1.min(with.1));
            }
        }
    }
    reached.get(&((1 << n) - 1)).copied()
}

fn planned(case: &Case) -> Option<Plan> {
    let mut job = String::new();
    for (f, frame) in case.frames.iter().enumerate() {
        let _ = writeln!(job, "frame F{f} wall profile C90 {{");
        for (m, piece) in frame.iter().enumerate() {
            let _ = writeln!(job, "member M{m} stud length {} {{", piece.length / 10);
            for (end, _) in ["start", "end"].iter().zip(piece.shaped).filter(|(_, shaped)| *shaped)
            {
                let _ = writeln!(job, "lip-cut {end}");
            }
            job.push_str(if piece.turnable { "turnable\n}\n" } else { "}\n" });
        }
        job.push_str("}\n");
    }
    let mut stock = String::new();
    for (s, strip) in case.strips.iter().enumerate() {
        let length = strip.length / 10;
        if strip.parting == 0 {
            let _ = writeln!(
                stock,
                "[[bar]]\nid = \"B{s}\"\nlength = \"{length} mm\"\ncount = 1\n{STRIP}"
            );
            continue;
        }
        let defects = strip.defect.map_or(String::new(), |(from, to)| {
            let (from, to) = (from / 10, to / 10);
            format!("defects = [{{ from = \"{from} mm\", to = \"{to} mm\" }}]\n")
        });
        let _ = writeln!(
            stock,
            "[[coil]]\nid = \"K{s}\"\nlength = \"{length} mm\"\nuncertainty = \"0 %\"\n{defects}{STRIP}"
        );
    }
    let keep = format!("keep = \"{} mm\"", case.keep / 10);
    let worth = format!("coil-change-worth = \"{} mm\"", case.worth / 10);
    let mut batch = vec![
        ("keep = \"2 m\"", keep.as_str()),
        ("coil-change-worth = \"5 m\"", worth.as_str()),
        ("order = \"as-listed\"", "order = \"free\""),
    ];
    if !case.whole {
        batch.push(("bundling = \"frame\"", "bundling = \"none\""));
    }
    // Strokes so early that no head is asked for.
    let line = [("first-advance = \"0 mm\"", "first-advance = \"-600 mm\"")];
    let shop = small_shop_on(&line, &[&job], &stock, &batch);
    let options = Options { ticks: 20_000, threads: 1 };
    let (plan, found) = plan::plan(&shop.inputs(), &options, &());
    assert!(found.iter().all(|found| found.code.number != "E0604"), "{case:?} {found:#?}");
    plan.filter(|plan| plan.profiles[0].shortage.is_none())
}

/// How many racks to try: more of them with `COILWRIGHT_RACKS`.
fn racks(usually: usize) -> usize {
    std::env::var("COILWRIGHT_RACKS").map_or(usually, |text| text.parse().unwrap())
}

/// What came of so many racks.
#[derive(Default, Debug)]
struct Tally {
    possible: usize,
    made: usize,
    /// Of these at the least that any plan comes to.
    least: usize,
    proved: usize,
    with_defects: usize,
    /// Of frames that stay whole, with gaps between members.
    whole_with_gaps: usize,
    /// By how much plans are over the least in all, and the sum of the least.
    over: i64,
    total: i64,
}

fn tally(dice: &mut Dice, rounds: usize, shaped: bool) -> Tally {
    let mut tally = Tally::default();
    for round in 0..rounds {
        let case = random(dice, shaped);
        let Some((strip, worth)) = best(&case) else {
            // A frame that no strip takes whole is parted: then there may be a plan.
            assert!(case.whole || planned(&case).is_none(), "{round}: {case:?}");
            continue;
        };
        tally.possible += 1;
        let Some(plan) = planned(&case) else { continue };
        tally.made += 1;
        tally.with_defects += usize::from(plan.runs.iter().any(|run| !run.coil.defects.is_empty()));
        let gaps = plan.runs.iter().any(|run| run.account.head_at_gaps > Length::ZERO);
        tally.whole_with_gaps += usize::from(case.whole && gaps);
        let of = &plan.profiles[0];
        let tenths = |nm: i64| {
            assert_eq!(nm % 100_000, 0, "{round}: {case:?}");
            nm / 100_000
        };
        let used = tenths(of.used.nm());
        let bound = of.bound.unwrap().nm();
        let shown = || format!("{round}: {case:?} used {used}, best {strip} {worth}, {of:?}");
        // What bars and coils are worth together; nought where nothing is.
        let counted = of.worth.map_or(used, |worth| tenths(worth.plan.nm()));
        assert!(used >= strip && counted >= worth, "a plan that cannot be: {}", shown());
        assert!(bound <= strip * 100_000, "a bound that is passed: {}", shown());
        if let Some(bounded) = of.worth {
            assert!(bounded.bound.nm() <= worth * 100_000, "a bound that is passed: {}", shown());
        }
        for proof in &of.proofs {
            let (comes_to, can) = match proof.least {
                Least::Strip => (used, strip),
                Least::Worth => (counted, worth),
            };
            if proof.strip().nm() == comes_to * 100_000 {
                tally.proved += 1;
                assert_eq!(comes_to, can, "proved and wrong: {}", shown());
            }
        }
        tally.least += usize::from(counted == worth);
        tally.over += counted - worth;
        tally.total += worth;
    }
    println!("of {rounds}: {tally:?}");
    tally
}

#[test]
fn no_plan_beats_every_plan_and_no_bound_passes_them() {
    let Tally { possible, made, least, proved, with_defects, .. } =
        tally(&mut Dice(51), racks(600), false);
    assert!(made * 100 >= possible * 97 && least * 100 >= made * 90, "{made} {least}");
    assert!(proved * 2 > made && with_defects * 6 > made, "{proved} {with_defects}");
}

/// The same with up to four members a frame, whose ends ask for gaps between them.
#[test]
fn nor_where_gaps_between_members_cannot_be_avoided() {
    let Tally { possible, made, least, proved, with_defects, whole_with_gaps, .. } =
        tally(&mut Dice(52), racks(600), true);
    assert!(made * 100 >= possible * 97 && least * 100 >= made * 70, "{made} {least}");
    assert!(proved * 4 > made && with_defects * 6 > made && whole_with_gaps * 5 > made);
}

/// A gap that a frame's members ask for may lie where a defect has to be cut out anyway.
#[test]
fn a_gap_at_a_defect_is_not_paid_twice() {
    let piece = |shaped| Piece { length: 8_000, shaped: [shaped; 2], turnable: false };
    let coil = |length, defect| Strip { length, defect, tail: 12_000, parting: 5_000, worth: 0 };
    let (from, to) = (HEAD + 8_000, HEAD + 8_000 + 700);
    let just = coil(to + 8_000 + 12_000, Some((from, to)));
    let longer = coil(just.length + 5_000, None);
    let frames = vec![vec![piece(false), piece(true)]];
    for strips in [vec![just.clone()], vec![just, longer]] {
        let case = Case { frames: frames.clone(), strips, keep: 90_000, worth: 0, whole: true };
        let of = &planned(&case).expect("it fits").profiles[0];
        let (best, _) = best(&case).unwrap();
        assert_eq!(best, case.strips[0].length);
        assert!(of.bound.unwrap() <= Length::from_mm(best / 10), "{of:?}");
        assert_eq!(of.used, Length::from_mm(best / 10), "{of:?}");
    }
}
