use crate::nest::cutting::{Certificate, Problem};
use crate::proof::{self, Doubt, Piece, Reason, Stock};

/// Has a bound on what every plan of `problem` costs proved again from its certificate, by a
/// checker that shares nothing with the search. `stop` may end it, which proves nothing.
pub fn proved(
    problem: &Problem,
    bound: i128,
    certificate: &Certificate,
    stop: &dyn Fn() -> bool,
) -> Result<(), Doubt> {
    let (stocks, pieces) = stocks_and_pieces(problem);
    proof::check(&stocks, &pieces, bound, &reason(certificate), stop)
}

/// A problem in the checker's words.
fn stocks_and_pieces(problem: &Problem) -> (Vec<Stock>, Vec<Piece>) {
    let stocks: Vec<Stock> = problem
        .stocks()
        .iter()
        .map(|s| Stock {
            length: s.length,
            count: s.count,
            cost: s.cost,
            kept: s.kept.map(|kept| (kept.room, kept.cost)),
        })
        .collect();
    let pieces: Vec<Piece> = problem
        .items()
        .iter()
        .map(|item| Piece { length: item.length, demand: item.demand })
        .collect();
    (stocks, pieces)
}

/// A certificate, line by line, as [`proof::text`] has it.
pub fn certificate_lines(certificate: &Certificate) -> Vec<String> {
    proof::text::print(&reason(certificate))
}

/// A certificate in the checker's words.
pub fn reason(certificate: &Certificate) -> Reason {
    match certificate {
        Certificate::ByLength { value, unit } => Reason::ByLength { value: *value, unit: *unit },
        Certificate::Covering => Reason::Covering,
        Certificate::Leaf(leaf) => Reason::Worths {
            unit: leaf.unit,
            values: leaf.values.clone(),
            threes: leaf.threes.clone(),
        },
        Certificate::Sieve { leaf, then } => Reason::Sieve {
            unit: leaf.unit,
            values: leaf.values.clone(),
            threes: leaf.threes.clone(),
            then: Box::new(reason(then)),
        },
        Certificate::Split { pair, together, apart } => Reason::Split {
            pair: *pair,
            together: Box::new(reason(together)),
            apart: Box::new(reason(apart)),
        },
    }
}
