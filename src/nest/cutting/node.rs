use super::problem::{Item, Problem, Stock, material};
use super::solution::{Cut, Pieces, Plan, held};
use std::cmp::Reverse;

/// A pattern of a node: the kind of stock, and pieces by their place in the node's list.
pub type Pattern = (usize, Pieces);

/// One case of the problem: what is left of it, with pieces that were joined and pieces that must
/// not share a stock.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Node {
    /// Kinds of stock; costs in whole steps.
    pub stocks: Vec<Stock>,
    /// Pieces, longest first; equal lengths may occur twice where one of them is joined.
    pub items: Vec<Item>,
    /// The number each has in certificates.
    pub labels: Vec<u32>,
    /// What each is made of, by numbers of the problem.
    pub parts: Vec<Pieces>,
    /// What each must not share a stock with, by place, ascending; itself: no two of it.
    pub apart: Vec<Vec<u32>>,
    /// The number the next joined pair gets.
    pub next: u32,
    /// What a stock may at most leave over; only where plans of a least cost are looked for.
    pub waste: Option<i64>,
}

impl Node {
    /// The whole problem.
    pub fn root(problem: &Problem) -> Node {
        let step = problem.step();
        let pieces = problem.pieces();
        let stocks = problem.stocks().iter().map(|stock| Stock {
            cost: stock.cost / step,
            // More than there are pieces is as many as wanted.
            count: stock.count.filter(|&count| count < pieces),
            ..*stock
        });
        let items = problem.items().to_vec();
        let count = u32::try_from(items.len()).unwrap_or(u32::MAX);
        Node {
            stocks: stocks.collect(),
            labels: (0..count).collect(),
            parts: (0..count).map(|item| vec![(item, 1)]).collect(),
            apart: vec![Vec::new(); items.len()],
            next: count,
            items,
            waste: None,
        }
    }

    /// The same, where only plans that cost at most `target` steps count. `None`: there is none,
    /// by length alone.
    pub fn aimed(&self, target: i64) -> Option<Node> {
        let mut node = self.clone();
        node.waste = match self.stocks.as_slice() {
            [only] if only.kept.is_none() => {
                let stocks = target / only.cost;
                let room = i128::from(stocks) * i128::from(only.length) - material(&self.items);
                if room < 0 {
                    return None;
                }
                i64::try_from(room).ok().filter(|&room| room < only.length)
            }
            _ => None,
        };
        Some(node)
    }

    /// A length by place.
    pub fn length(&self, item: u32) -> i64 {
        self.items.get(item as usize).map_or(0, |item| item.length)
    }
    /// Two places, as certificates name them.
    pub fn labelled(&self, a: u32, b: u32) -> (u32, u32) {
        let label = |item: u32| self.labels.get(item as usize).copied().unwrap_or(u32::MAX);
        (label(a), label(b))
    }
    /// How many are wanted, by place.
    pub fn demand(&self, item: u32) -> u64 {
        self.items.get(item as usize).map_or(0, |item| item.demand)
    }
    /// Length of what a pattern holds.
    pub fn held(&self, pieces: &Pieces) -> i64 {
        held(&self.items, pieces)
    }
    /// What a pattern costs.
    pub fn cost(&self, (stock, pieces): &Pattern) -> i64 {
        self.stocks.get(*stock).map_or(1, |stock| stock.cost_of(self.held(pieces)))
    }
    /// Whether two must not share a stock.
    pub fn are_apart(&self, a: u32, b: u32) -> bool {
        self.apart.get(a as usize).is_some_and(|list| list.binary_search(&b).is_ok())
    }

    /// Whether a pattern may be used here.
    pub fn allows(&self, (stock, pieces): &Pattern) -> bool {
        let Some(stock) = self.stocks.get(*stock) else { return false };
        let room = stock.length - self.held(pieces);
        let kept = pieces.iter().enumerate().all(|(place, &(item, count))| {
            u64::from(count) <= self.demand(item)
                && (count < 2 || !self.are_apart(item, item))
                && pieces.iter().skip(place + 1).all(|&(other, _)| !self.are_apart(item, other))
        });
        kept && room >= 0 && self.waste.is_none_or(|waste| room <= waste)
    }

    /// What is left when these patterns are cut, and where each item went. `None` where they cut
    /// more than is wanted or there is.
    pub fn without(&self, cuts: &[(Pattern, u64)]) -> Option<(Node, Vec<Option<u32>>)> {
        let mut node = self.clone();
        for ((stock, pieces), times) in cuts {
            if let Some(count) = node.stocks.get_mut(*stock)?.count.as_mut() {
                *count = count.checked_sub(*times)?;
            }
            for &(item, count) in pieces {
                let demand = &mut node.items.get_mut(item as usize)?.demand;
                *demand = demand.checked_sub(u64::from(count).checked_mul(*times)?)?;
            }
        }
        Some(node.packed())
    }

    /// Without what is no longer wanted, and where each item went.
    fn packed(self) -> (Node, Vec<Option<u32>>) {
        let mut places = Vec::with_capacity(self.items.len());
        let mut kept = 0_u32;
        for item in &self.items {
            places.push((item.demand > 0).then_some(kept));
            kept += u32::from(item.demand > 0);
        }
        let moved = |list: Vec<u32>| -> Vec<u32> {
            list.iter().filter_map(|&other| places.get(other as usize).copied().flatten()).collect()
        };
        let apart = stay(self.apart, &places).into_iter().map(moved).collect();
        let node = Node {
            items: stay(self.items, &places),
            labels: stay(self.labels, &places),
            parts: stay(self.parts, &places),
            apart,
            ..self
        };
        (node, places)
    }

    /// One of each of two items joined to one that is cut as a whole, with the places of the
    /// others and its own. They fit together and are not apart.
    pub fn joined(&self, a: u32, b: u32) -> Option<(Node, Vec<Option<u32>>, u32)> {
        let mut node = self.clone();
        for item in [a, b] {
            let demand = &mut node.items.get_mut(item as usize)?.demand;
            *demand = demand.checked_sub(1)?;
        }
        let length = self.length(a) + self.length(b);
        let mut parts = self.parts.get(a as usize)?.clone();
        for &(part, count) in self.parts.get(b as usize)? {
            match parts.iter_mut().find(|(known, _)| *known == part) {
                Some((_, known)) => *known += count,
                None => parts.push((part, count)),
            }
        }
        parts.sort_unstable();
        let mut apart: Vec<u32> = self.apart.get(a as usize)?.clone();
        apart.extend(self.apart.get(b as usize)?);
        apart.sort_unstable();
        apart.dedup();
        // Nothing else is made of the same two, so whether it is apart from itself is all one.
        let at = node.items.partition_point(|item| Reverse(item.length) < Reverse(length));
        let at = u32::try_from(at).ok()?;
        let shift = |list: &mut Vec<u32>| {
            for other in list.iter_mut().filter(|other| **other >= at) {
                *other += 1;
            }
        };
        for list in &mut node.apart {
            shift(list);
        }
        shift(&mut apart);
        node.items.insert(at as usize, Item { length, demand: 1 });
        node.labels.insert(at as usize, self.next);
        node.parts.insert(at as usize, parts);
        node.apart.insert(at as usize, apart.clone());
        for &other in &apart {
            let list = node.apart.get_mut(other as usize)?;
            if let Err(place) = list.binary_search(&at) {
                list.insert(place, at);
            }
        }
        node.next += 1;
        let (node, places) = node.packed();
        let own = places.get(at as usize).copied().flatten()?;
        let places = (0..self.items.len())
            .map(|item| places.get(item + usize::from(item >= at as usize)).copied().flatten())
            .collect();
        Some((node, places, own))
    }

    /// Two items kept apart.
    pub fn parted(&self, a: u32, b: u32) -> Node {
        let mut node = self.clone();
        for (item, other) in [(a, b), (b, a)] {
            if let Some(list) = node.apart.get_mut(item as usize)
                && let Err(place) = list.binary_search(&other)
            {
                list.insert(place, other);
            }
        }
        node
    }

    /// A plan of the problem from one of this node's stocks and items.
    pub fn whole(&self, plan: Plan) -> Plan {
        let pattern = |cut: Cut| ((cut.stock, cut.pieces), cut.times);
        self.plan(&plan.cuts.into_iter().map(pattern).collect::<Vec<_>>())
    }

    /// A plan of the problem from patterns of this node, which may hold more than is wanted.
    pub fn plan(&self, cuts: &[(Pattern, u64)]) -> Plan {
        let mut plan = Plan::default();
        for ((stock, pieces), times) in cuts {
            let mut whole: Pieces = Vec::new();
            for &(item, count) in pieces {
                for &(part, each) in self.parts.get(item as usize).into_iter().flatten() {
                    match whole.iter_mut().find(|(known, _)| *known == part) {
                        Some((_, known)) => *known += each * count,
                        None => whole.push((part, each * count)),
                    }
                }
            }
            whole.sort_unstable();
            plan.cuts.push(Cut { stock: *stock, pieces: whole, times: *times });
        }
        plan
    }
}

/// Those of a list that have a place.
fn stay<T>(list: Vec<T>, places: &[Option<u32>]) -> Vec<T> {
    list.into_iter().zip(places).filter(|(_, place)| place.is_some()).map(|(one, _)| one).collect()
}

/// A pattern of another node with its items at their places in this one, as much of it as is
/// wanted here; `None` where the node does not allow what is left of it.
pub fn fitted(pattern: &Pattern, node: &Node, places: &[Option<u32>]) -> Option<Pattern> {
    let pattern = (pattern.0, moved(&pattern.1, node, places));
    (!pattern.1.is_empty() && node.allows(&pattern)).then_some(pattern)
}

/// Pieces at their places in a node, as many as are wanted there.
pub fn moved(pieces: &Pieces, node: &Node, places: &[Option<u32>]) -> Pieces {
    let mut moved: Pieces = Vec::with_capacity(pieces.len() + 1);
    for &(item, count) in pieces {
        if let Some(place) = places.get(item as usize).copied().flatten() {
            let most = u32::try_from(node.demand(place)).unwrap_or(u32::MAX);
            moved.push((place, count.min(most)));
        }
    }
    moved.sort_unstable();
    moved
}
