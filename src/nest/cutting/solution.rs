use super::problem::{Item, Problem, Stock};

/// What is cut from one stock: pieces by their number in the problem's list and how many of each,
/// in ascending order, each once.
pub type Pieces = Vec<(u32, u32)>;

/// A pattern and how often it is cut.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Cut {
    /// Which kind of stock.
    pub stock: usize,
    /// What is cut from it.
    pub pieces: Pieces,
    /// From how many.
    pub times: u64,
}

/// What a plan of these pieces costs with these stocks.
pub fn cost(stocks: &[Stock], items: &[Item], plan: &Plan) -> i128 {
    let one = |cut: &Cut| {
        let held = held(items, &cut.pieces);
        stocks.get(cut.stock).map_or(0, |stock| i128::from(stock.cost_of(held)))
    };
    plan.cuts.iter().map(|cut| one(cut) * i128::from(cut.times)).sum()
}

/// Length of these pieces together.
pub fn held(items: &[Item], pieces: &[(u32, u32)]) -> i64 {
    let length = |&(item, count): &(u32, u32)| {
        items.get(item as usize).map_or(0, |i| i.length.saturating_mul(i64::from(count)))
    };
    pieces.iter().map(length).fold(0, i64::saturating_add)
}

/// Which patterns are cut how often.
#[derive(Clone, PartialEq, Eq, Default, Debug)]
pub struct Plan {
    /// The patterns.
    pub cuts: Vec<Cut>,
}

impl Plan {
    /// How many stocks it takes.
    pub fn stocks(&self) -> u64 {
        self.cuts.iter().map(|cut| cut.times).sum()
    }
    /// What it costs.
    pub fn cost(&self, problem: &Problem) -> i128 {
        cost(problem.stocks(), problem.items(), self)
    }
    /// The same plan with equal patterns put together, in a fixed order.
    #[must_use]
    pub fn tidied(mut self) -> Plan {
        self.cuts.retain(|cut| cut.times > 0);
        self.cuts.sort();
        let mut cuts: Vec<Cut> = Vec::with_capacity(self.cuts.len());
        for cut in self.cuts {
            match cuts.last_mut() {
                Some(last) if last.stock == cut.stock && last.pieces == cut.pieces => {
                    last.times += cut.times;
                }
                _ => cuts.push(cut),
            }
        }
        Plan { cuts }
    }
}
