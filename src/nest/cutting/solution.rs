use super::problem::Problem;

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
        let cost = |cut: &Cut| problem.stocks().get(cut.stock).map_or(0, |stock| stock.cost);
        self.cuts.iter().map(|cut| i128::from(cost(cut)) * i128::from(cut.times)).sum()
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
