use super::bound::by_length;
use super::branch::{Branch, Branched};
use super::certificate::Certificate;
use super::closed::{Closed, all};
use super::construct::{careful, quick};
use super::costs::Costs;
use super::covering::by_covering;
use super::dive::Dive;
use super::node::{Node, Pattern};
use super::problem::Problem;
use super::relax::{Until, relax};
use super::solution::Plan;
use super::spread::Spread;
use super::work::Work;

/// Most lengths that are looked at with more than quick plans and the bound by length.
const MOST_TYPES: usize = 2_000;

/// Chance in each round of dives, in millionths of a share.
const CHANCE: [usize; 6] = [0, 100_000, 200_000, 300_000, 400_000, 500_000];

/// What a search came to.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The best plan found; `None` where the stock there is did not do.
    pub plan: Option<Plan>,
    /// What every plan costs at least.
    pub bound: i128,
    /// Why.
    pub certificate: Certificate,
    /// Work done, in ticks.
    pub ticks: u64,
    /// Whether `stop` ended it.
    pub cut_short: bool,
}

/// The best plan that is found within `ticks` of work, and the best bound. `stop` may end it
/// early.
pub fn solve(problem: &Problem, ticks: u64, stop: &dyn Fn() -> bool) -> Outcome {
    let work = Work::new(ticks, stop);
    let mut search = Search::new(problem, &work);
    search.run();
    let open = search.open();
    Outcome {
        plan: search.plan.map(Plan::tidied),
        bound: search.bound,
        certificate: search.certificate,
        ticks: work.ticks(),
        cut_short: open && work.cut_short(),
    }
}

struct Search<'a> {
    problem: &'a Problem,
    work: &'a Work<'a>,
    plan: Option<Plan>,
    cost: Option<i128>,
    bound: i128,
    certificate: Certificate,
    costs: Option<Costs>,
}

impl<'a> Search<'a> {
    fn new(problem: &'a Problem, work: &'a Work<'a>) -> Search<'a> {
        let (mut bound, mut certificate) = by_length(problem);
        if let Some(covering) = by_covering(problem).filter(|covering| *covering > bound) {
            (bound, certificate) = (covering, Certificate::Covering);
        }
        Search { problem, work, plan: None, cost: None, bound, certificate, costs: None }
    }

    fn open(&self) -> bool {
        self.cost.is_none_or(|cost| cost > self.bound)
    }

    /// Keeps a plan if it is the best so far and stands up to being counted again.
    fn offer(&mut self, plan: Option<Plan>) -> bool {
        let Some(plan) = plan else { return false };
        let cost = plan.cost(self.problem);
        let better = self.cost.is_none_or(|known| cost < known);
        if better && super::verify(self.problem, &plan) {
            (self.plan, self.cost) = (Some(plan), Some(cost));
            return true;
        }
        false
    }

    fn run(&mut self) {
        let (stocks, items) = (self.problem.stocks(), self.problem.items());
        self.offer(quick(stocks, items, self.work));
        if !self.open() || items.is_empty() || items.len() > MOST_TYPES || self.work.over() {
            return;
        }
        self.offer(careful(stocks, items, self.work));
        if !self.open() || self.work.over() {
            return;
        }
        let root = Node::root(self.problem);
        let most = self.cost.unwrap_or_else(|| self.problem.dearest());
        let costs = Costs::new(self.problem, most / i128::from(self.problem.step()));
        self.costs = Some(costs);
        let (known, certificate) = (self.bound, self.certificate.clone());
        self.raise(known / i128::from(self.problem.step()), certificate);
        if !self.open() {
            return;
        }
        let mut pool = self.first_columns(&root);
        let step = i128::from(self.problem.step());
        let until = Until::Bound(self.bound / step);
        let Some(relaxed) = relax(&root, &mut pool, usize::MAX, &[], until, self.work) else {
            return;
        };
        self.raise(relaxed.best.bound, Certificate::Leaf(relaxed.leaf));
        // What the relaxation uses comes first.
        let hot = relaxed.used.len();
        pool.splice(0..0, relaxed.used.into_iter().map(|(pattern, _)| pattern));
        for (round, chance) in (0_u64..).zip(CHANCE) {
            if !self.open() || self.work.over() {
                return;
            }
            self.dive(&root, &pool, hot, round, chance);
            if round == 1 {
                self.listed(&root, &mut pool, hot);
            }
        }
        self.branch(&root, &pool, hot);
    }

    /// Takes up a bound in steps: the least cost from there on that a plan can have.
    fn raise(&mut self, bound: i128, certificate: Certificate) {
        let bound = self.costs.as_ref().map_or(bound, |costs| costs.from(bound));
        let bound = bound * i128::from(self.problem.step());
        if bound > self.bound {
            (self.bound, self.certificate) = (bound, certificate);
        }
    }

    /// The patterns of the plan so far, and of each length alone.
    fn first_columns(&self, root: &Node) -> Vec<Pattern> {
        let cuts = self.plan.iter().flat_map(|plan| &plan.cuts);
        let mut pool: Vec<Pattern> = cuts.map(|cut| (cut.stock, cut.pieces.clone())).collect();
        for (stock, kind) in root.stocks.iter().enumerate() {
            for (item, wanted) in (0_u32..).zip(&root.items) {
                let fit = u64::try_from(kind.length / wanted.length).unwrap_or(0);
                let fit = u32::try_from(fit.min(wanted.demand)).unwrap_or(u32::MAX);
                if fit > 0 && root.stocks.len() < 20 {
                    pool.push((stock, vec![(item, fit)]));
                }
            }
        }
        pool
    }

    /// What a plan that is better than the best may cost, in steps; the least first.
    fn targets(&self) -> Option<(i64, i64)> {
        let step = i128::from(self.problem.step());
        let least = i64::try_from(self.bound / step).ok()?;
        let better = match self.cost {
            Some(cost) => i64::try_from(cost / step).ok()? - 1,
            None => i64::try_from(self.problem.dearest() / step).ok()?,
        };
        let possible = |cost: i64| {
            let cost = i128::from(cost);
            let cost = self.costs.as_ref().map_or(cost, |costs| costs.up_to(cost));
            i64::try_from(cost).ok()
        };
        Some((least, possible(better)?.max(least)))
    }

    fn dive(&mut self, root: &Node, pool: &[Pattern], hot: usize, round: u64, chance: usize) {
        let Some((least, better)) = self.targets() else { return };
        let mut targets = vec![least, better];
        targets.dedup();
        for target in targets {
            if !self.open() {
                return;
            }
            let spread = Spread::new(round + 1);
            let mut dive = Dive { work: self.work, spread, chance, patience: 10 };
            let plan = dive.search(root, pool, hot, target);
            self.offer(plan);
        }
    }

    /// Searches a list of all patterns that a plan within the target may hold, where it is short.
    fn listed(&mut self, root: &Node, pool: &mut Vec<Pattern>, hot: usize) {
        let Some((_, target)) = self.targets().filter(|_| self.open() && !self.work.over()) else {
            return;
        };
        let Some(aimed) = root
            .aimed(target)
            .filter(|_| self.problem.stocks().len() == 1 && !self.problem.keeps())
        else {
            return;
        };
        let Some(relaxed) = relax(&aimed, pool, hot, &[], Until::End, self.work) else { return };
        if relaxed.missing || self.work.over() {
            return;
        }
        let found = if relaxed.best.bound > i128::from(target) {
            Branched::Refuted(Certificate::Leaf(relaxed.leaf))
        } else {
            let Some(list) = all(&aimed, &relaxed.best, target, self.work) else { return };
            match (Closed { work: self.work, target }).search(&aimed, list, 0, Vec::new(), 0) {
                Branched::Refuted(then) => Branched::Refuted(Certificate::Sieve {
                    leaf: relaxed.leaf,
                    then: Box::new(then),
                }),
                other => other,
            }
        };
        self.settle(found, target);
    }

    /// Takes up what a search for plans within a target came to; whether it came to something.
    fn settle(&mut self, found: Branched, target: i64) -> bool {
        match found {
            Branched::Found(plan) => self.offer(Some(plan)),
            Branched::Refuted(certificate) => {
                self.raise(i128::from(target) + 1, certificate);
                self.cost.is_some()
            }
            Branched::Over => false,
        }
    }

    fn branch(&mut self, root: &Node, pool: &[Pattern], hot: usize) {
        let mut effort = 0;
        while self.open() && !self.work.over() {
            let Some((_, target)) = self.targets() else { return };
            let aimed = root.aimed(target).unwrap_or_else(|| root.clone());
            // Without cuts nodes are quick; where that does not do soon, fewer nodes are better.
            let rounds = if effort == 0 { 0 } else { 4 };
            let nodes = if effort == 0 { 400 } else { u64::MAX };
            let mut tree = Branch { work: self.work, target, nodes, rounds };
            match tree.search(&aimed, pool.to_vec(), hot, Vec::new(), 0) {
                Branched::Over if tree.nodes == 0 => effort += 1,
                found => {
                    if !self.settle(found, target) {
                        return;
                    }
                }
            }
        }
    }
}
