//! Cutting stock: against brute force on small random cases, against published optima where the
//! shared collection is there, and certificates that were tampered with.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, missing_docs)]

use coilwright::nest::cutting::{self, Certificate, Item, Kept, Leaf, Problem, Stock};
use coilwright::plan::{proved, reason};
use coilwright::proof::{self, Reason};
use std::collections::BTreeMap;
use std::path::Path;

/// Enough for any small case.
const TICKS: u64 = 5_000_000;

struct Roll(u64);

impl Roll {
    fn below(&mut self, n: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963);
        (self.0 >> 33) % n
    }
    fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.below(high - low + 1)
    }
}

/// Least cost by trying every way: of the longest piece left, every kind of stock and every set
/// of others that goes with it.
fn brute(problem: &Problem) -> Option<i64> {
    type Seen = BTreeMap<(Vec<u64>, Vec<u64>), Option<i64>>;
    fn rest(problem: &Problem, wanted: &[u64], stock: &[u64], seen: &mut Seen) -> Option<i64> {
        let Some(first) = wanted.iter().position(|&n| n > 0) else { return Some(0) };
        let key = (wanted.to_vec(), stock.to_vec());
        if let Some(&known) = seen.get(&key) {
            return known;
        }
        let mut best: Option<i64> = None;
        for (kind, s) in problem.stocks().iter().enumerate() {
            let length = problem.items()[first].length;
            if stock[kind] == 0 || length > s.length {
                continue;
            }
            let mut left = wanted.to_vec();
            left[first] -= 1;
            let mut stock = stock.to_vec();
            stock[kind] -= 1;
            fill(problem, first, s.length - length, &mut left, &mut |left| {
                let cut = problem.items().iter().zip(wanted.iter().zip(left));
                let held: i64 = cut.map(|(i, (a, b))| i.length * (a - b) as i64).sum();
                let kept = s.kept.filter(|kept| held <= kept.room).map(|kept| kept.cost + held);
                if let Some(cost) = rest(problem, left, &stock, seen) {
                    let cost = cost + kept.map_or(s.cost, |kept| kept.min(s.cost));
                    best = Some(best.map_or(cost, |b| b.min(cost)));
                }
            });
        }
        seen.insert(key, best);
        best
    }
    fn fill(
        problem: &Problem,
        from: usize,
        room: i64,
        left: &mut Vec<u64>,
        then: &mut dyn FnMut(&[u64]),
    ) {
        if from == left.len() {
            return then(left);
        }
        let length = problem.items()[from].length;
        let most = left[from].min((room / length) as u64);
        for taken in 0..=most {
            left[from] -= taken;
            fill(problem, from + 1, room - length * taken as i64, left, then);
            left[from] += taken;
        }
    }
    let wanted: Vec<u64> = problem.items().iter().map(|item| item.demand).collect();
    let stock: Vec<u64> =
        problem.stocks().iter().map(|s| s.count.unwrap_or(problem.pieces())).collect();
    rest(problem, &wanted, &stock, &mut BTreeMap::new())
}

/// A few pieces of a few lengths, from one to three kinds of stock.
fn random(roll: &mut Roll, keeping: bool) -> Option<Problem> {
    let longest = roll.between(8, 40) as i64;
    let kinds = roll.between(1, 3);
    let stocks: Vec<Stock> = (0..kinds)
        .map(|kind| {
            let length = if kind == 0 { longest } else { roll.between(4, longest as u64) as i64 };
            let count = (roll.below(2) == 0).then(|| roll.between(1, 4));
            let cost = match roll.below(3) {
                0 => 1,
                1 => length,
                _ => roll.between(1, 30) as i64,
            };
            let kept = (keeping && roll.below(3) > 0).then(|| Kept {
                room: roll.between(1, length as u64) as i64,
                cost: roll.between(1, 5) as i64,
            });
            // Where some is kept costs are lengths, mostly.
            let cost = if keeping && roll.below(3) > 0 { length + 1 } else { cost };
            Stock { length, count, cost, kept }
        })
        .collect();
    let mut pieces = roll.between(1, 9);
    let mut items = Vec::new();
    while pieces > 0 {
        let demand = roll.between(1, pieces.min(3));
        pieces -= demand;
        items.push(Item { length: roll.between(1, longest as u64) as i64, demand });
    }
    Problem::new(stocks, &items).ok()
}

#[test]
fn as_good_as_trying_every_way() {
    against_every_way(false);
}

#[test]
fn as_good_as_trying_every_way_where_what_is_left_is_kept() {
    against_every_way(true);
}

fn against_every_way(keeping: bool) {
    let count = match std::env::var("COILWRIGHT_CUTS") {
        Ok(text) => text.parse().unwrap(),
        Err(_) => 4_000,
    };
    let mut roll = Roll(3);
    let (mut possible, mut several, mut impossible) = (0, 0, 0);
    for case in 0..count {
        let Some(problem) = random(&mut roll, keeping) else { continue };
        let outcome = cutting::solve(&problem, TICKS, &|| false);
        let Some(best) = brute(&problem) else {
            assert!(outcome.plan.is_none(), "case {case}: {problem:?}");
            impossible += 1;
            // That there is none is proved too: a plan would cost more than all stock.
            assert!(outcome.bound > problem.dearest(), "case {case}: {problem:?} {outcome:?}");
            let told = proved(&problem, outcome.bound, &outcome.certificate, &|| false);
            assert_eq!(told, Ok(()), "case {case}: {problem:?} {outcome:?}");
            continue;
        };
        let shown = || format!("case {case}: {problem:?}\n{outcome:?}");
        possible += 1;
        several += usize::from(problem.stocks().len() > 1);
        let plan = outcome.plan.as_ref().unwrap_or_else(|| panic!("{}", shown()));
        assert!(cutting::verify(&problem, plan), "{}", shown());
        assert_eq!(plan.cost(&problem), i128::from(best), "{}", shown());
        assert_eq!(outcome.bound, i128::from(best), "{}", shown());
        assert_eq!(
            proved(&problem, outcome.bound, &outcome.certificate, &|| false),
            Ok(()),
            "{}",
            shown()
        );
        let more = proved(&problem, outcome.bound + 1, &outcome.certificate, &|| false);
        assert!(more.is_err(), "proves too much: {}", shown());
    }
    assert!(
        impossible > 0 && possible * 2 > count && several * 4 > count,
        "{possible}, {several} of {count}"
    );
}

/// Pieces that branching joins stand at other places than the problem's; what is kept costs by its
/// length, so a plan is counted in its node's pieces. Here 30, 10 and 5 are cut from one stock each
/// (34, 2 + 10, 2 + 5), and nothing is less.
#[test]
fn what_is_joined_is_counted_by_its_own_length() {
    let kept = Some(Kept { room: 11, cost: 2 });
    let stock = Stock { length: 33, count: Some(4), cost: 34, kept };
    let items = [Item { length: 15, demand: 2 }, Item { length: 5, demand: 3 }];
    let problem = Problem::new(vec![stock], &items).unwrap();
    assert_eq!(brute(&problem), Some(53));
    let outcome = cutting::solve(&problem, TICKS, &|| false);
    assert_eq!((outcome.plan.unwrap().cost(&problem), outcome.bound), (53, 53));
    assert_eq!(proved(&problem, 53, &outcome.certificate, &|| false), Ok(()));
}

/// A problem whose fractional plans need two stocks and whose whole ones need three.
fn with_a_gap() -> Problem {
    let item = |length, demand| Item { length, demand };
    let stock = Stock { length: 132, count: None, cost: 1, kept: None };
    Problem::new(vec![stock], &[item(44, 2), item(33, 3), item(12, 6)]).unwrap()
}

#[test]
fn a_bound_above_the_fractional_one_is_proved() {
    let problem = with_a_gap();
    assert_eq!(brute(&problem), Some(3));
    let outcome = cutting::solve(&problem, TICKS, &|| false);
    assert_eq!((outcome.plan.unwrap().stocks(), outcome.bound), (3, 3));
    assert_eq!(proved(&problem, 3, &outcome.certificate, &|| false), Ok(()));
}

fn worths<'a>(leaf: &'a mut Leaf, to: &mut Vec<&'a mut i64>) {
    to.push(&mut leaf.unit);
    to.extend(leaf.values.iter_mut().map(|(_, value)| value));
    to.extend(leaf.threes.iter_mut().map(|(_, value)| value));
}

/// Every figure of a certificate, to be changed.
fn figures<'a>(certificate: &'a mut Certificate, to: &mut Vec<&'a mut i64>) {
    match certificate {
        Certificate::ByLength { value, unit } => to.extend([value, unit]),
        Certificate::Covering => {}
        Certificate::Leaf(leaf) => worths(leaf, to),
        Certificate::Sieve { leaf, then } => {
            worths(leaf, to);
            figures(then, to);
        }
        Certificate::Split { together, apart, .. } => {
            figures(together, to);
            figures(apart, to);
        }
    }
}

#[test]
fn a_damaged_certificate_proves_nothing_that_is_not_so() {
    let mut roll = Roll(29);
    let (mut cases, mut refused, mut tried) = (0, 0, 0);
    while cases < 300 {
        let problem = if cases == 0 { Some(with_a_gap()) } else { random(&mut roll, false) };
        let Some(problem) = problem else { continue };
        let outcome = cutting::solve(&problem, TICKS, &|| false);
        let Some(best) = brute(&problem) else { continue };
        cases += 1;
        // Where no stocks of a lower cost are long enough together any certificate will do.
        let nothing = Certificate::ByLength { value: 0, unit: 1 };
        let needed = proved(&problem, best.into(), &nothing, &|| false).is_err();
        for _ in 0..40 {
            let mut damaged = outcome.certificate.clone();
            let mut all = Vec::new();
            figures(&mut damaged, &mut all);
            let at = roll.below(all.len() as u64) as usize;
            *all[at] = match roll.below(6) {
                0 => 0,
                1 => *all[at] / 2,
                2 => all[at].saturating_mul(2),
                3 => i64::MAX,
                4 => -*all[at],
                _ => all[at].saturating_add(roll.below(1 << 40) as i64),
            };
            if needed {
                tried += 1;
                refused += usize::from(proved(&problem, best.into(), &damaged, &|| false).is_err());
            }
            for more in 1..3 {
                let bound = i128::from(best + more * problem.step());
                let told = proved(&problem, bound, &damaged, &|| false);
                assert!(told.is_err(), "{bound} of {best}: {problem:?}\n{damaged:?}");
            }
        }
    }
    // Some of what was changed does not matter: a worth with room to spare, for one.
    assert!(refused * 2 > tried, "{refused} of {tried} refused");
}

#[test]
fn a_certificate_of_which_a_part_is_missing_is_refused() {
    let problem = with_a_gap();
    let outcome = cutting::solve(&problem, TICKS, &|| false);
    let Certificate::Leaf(leaf) = &outcome.certificate else {
        // A tree: half of it proves nothing.
        let Reason::Split { together, apart, .. } = reason(&outcome.certificate) else { panic!() };
        let stocks = [proof::Stock { length: 132, count: None, cost: 1, kept: None }];
        let pieces =
            [(44, 2), (33, 3), (12, 6)].map(|(length, demand)| proof::Piece { length, demand });
        for half in [together, apart] {
            assert!(proof::check(&stocks, &pieces, 3, &half, &|| false).is_err());
        }
        return;
    };
    for left_out in 0..leaf.values.len() {
        let mut leaf = leaf.clone();
        leaf.values.remove(left_out);
        assert!(proved(&problem, 3, &Certificate::Leaf(leaf), &|| false).is_err());
    }
}

#[test]
fn same_effort_same_plan_and_no_effort_a_plan_all_the_same() {
    let mut roll = Roll(5);
    for _ in 0..50 {
        let Some(problem) = random(&mut roll, false) else { continue };
        let once = cutting::solve(&problem, 50, &|| false);
        let twice = cutting::solve(&problem, 50, &|| false);
        assert_eq!(format!("{once:?}"), format!("{twice:?}"));
        let at_once = cutting::solve(&problem, u64::MAX, &|| true);
        if let Some(plan) = at_once.plan {
            assert!(cutting::verify(&problem, &plan));
            assert!(at_once.bound <= plan.cost(&problem));
        }
        let told = proved(&problem, at_once.bound, &at_once.certificate, &|| false);
        assert_eq!(told, Ok(()));
    }
}

/// The published instances: file, optimum.
fn published() -> Option<Vec<(String, String, i128)>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    // Beside the project, or beside it where it is checked out one folder deeper.
    let beside = ["../shared/data/csp", "../../shared/data/csp"].map(|folder| root.join(folder));
    let read = |folder: &Path| std::fs::read_to_string(folder.join("optima.tsv")).ok();
    let Some((folder, table)) = beside.iter().find_map(|f| Some((f, read(f)?))) else {
        println!("skipped: ../shared/data/csp is not there");
        return None;
    };
    let line = |line: &str| {
        let columns: Vec<&str> = line.split('\t').collect();
        let text = std::fs::read_to_string(folder.join(columns[6])).unwrap();
        (columns[1].to_string(), text, columns[5].parse().unwrap())
    };
    Some(table.lines().skip(1).map(line).collect())
}

#[test]
fn never_better_than_a_published_optimum() {
    let Some(instances) = published() else { return };
    let every = if std::env::var("COILWRIGHT_CUTS").is_ok() { 1 } else { 5 };
    let (mut proofs, mut all) = (0, 0);
    for (_, text, optimum) in instances.iter().step_by(every) {
        let problem = read(text);
        let outcome = cutting::solve(&problem, 300_000, &|| false);
        let plan = outcome.plan.unwrap();
        assert!(cutting::verify(&problem, &plan));
        let cost = plan.cost(&problem);
        assert!(cost >= *optimum && outcome.bound <= *optimum, "{cost} {optimum}: {text}");
        assert_eq!(proved(&problem, outcome.bound, &outcome.certificate, &|| false), Ok(()));
        all += 1;
        proofs += usize::from(cost == outcome.bound);
    }
    println!("{proofs} of {all} proved with little effort");
    assert!(proofs * 20 >= all * 17, "{proofs} of {all}");
}

fn read(text: &str) -> Problem {
    let (list, found) = cutting::read::read(coilwright::quantity::FileId(0), text);
    assert_eq!(found, []);
    list.unwrap().problem
}

/// Kinds of cases in a certificate: ends, sieves, splits.
fn counted(certificate: &Certificate) -> [usize; 3] {
    let add = |a: [usize; 3], b: [usize; 3]| [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
    match certificate {
        Certificate::ByLength { .. } | Certificate::Covering | Certificate::Leaf(_) => [1, 0, 0],
        Certificate::Sieve { then, .. } => add([0, 1, 0], counted(then)),
        Certificate::Split { together, apart, .. } => {
            add([0, 0, 1], add(counted(together), counted(apart)))
        }
    }
}

/// Gives both cases of one split the certificate of the first.
fn repeated(certificate: &mut Certificate) -> bool {
    match certificate {
        Certificate::ByLength { .. } | Certificate::Covering | Certificate::Leaf(_) => false,
        Certificate::Sieve { then, .. } => repeated(then),
        Certificate::Split { together, apart, .. } => {
            *apart = together.clone();
            true
        }
    }
}

#[test]
fn a_tree_of_cases_is_proved_and_its_damage_found() {
    let Some(instances) = published() else { return };
    // Its fractional plans make do with one stock less, so that nothing but a tree proves it.
    let (_, text, optimum) = instances.iter().find(|(name, ..)| name == "Hard28_BPP14").unwrap();
    let problem = read(text);
    let outcome = cutting::solve(&problem, 20_000_000, &|| false);
    assert_eq!(outcome.bound, *optimum);
    let [ends, sieves, splits] = counted(&outcome.certificate);
    assert!(ends == splits + 1 && splits > 0 && sieves > 0, "{ends} {sieves} {splits}");
    let check = |bound, certificate: &Certificate| proved(&problem, bound, certificate, &|| false);
    assert_eq!(check(*optimum, &outcome.certificate), Ok(()));
    assert!(check(optimum + 1, &outcome.certificate).is_err());
    let mut half = outcome.certificate.clone();
    assert!(repeated(&mut half));
    assert!(check(*optimum, &half).is_err(), "one case of two");
    let mut roll = Roll(41);
    let mut refused = 0;
    for _ in 0..20 {
        let mut damaged = outcome.certificate.clone();
        let mut all = Vec::new();
        figures(&mut damaged, &mut all);
        let large = all.iter().map(|figure| **figure).max().unwrap();
        let mut at = roll.below(all.len() as u64) as usize;
        while *all[at] * 8 < large {
            at = (at + 1) % all.len();
        }
        *all[at] *= 2;
        assert!(check(optimum + 1, &damaged).is_err());
        refused += usize::from(check(*optimum, &damaged).is_err());
    }
    assert!(refused >= 15, "{refused} of 20");
}
