//! What `cut` answers: the plan, counted again, and the bound, proved again before anything is
//! called proved. One file per form.

pub mod patterns;
pub mod text;
pub mod tsv;

use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::cutting::{E1007, E1008, W1009};
use crate::nest::cutting::{self, Certificate, Plan, Problem};
use crate::plan::proved;
use crate::proof::Doubt;
use std::time::Duration;

/// An answer to one list.
#[derive(Debug)]
pub struct Answer {
    pub plan: Plan,
    pub cost: i128,
    pub bound: i128,
    /// Whether the checker accepted the bound, and the plan meets it.
    pub proved: bool,
    /// Why a better bound was not accepted.
    doubted: Option<Doubt>,
    pub certificate: Certificate,
    pub ticks: u64,
    pub cut_short: bool,
    pub seconds: Duration,
}

impl Answer {
    /// What has to be said besides.
    pub fn warning(&self, name: &str) -> Option<Diagnostic> {
        let why = match self.doubted? {
            Doubt::Endless => "checking it was not over in time",
            Doubt::Senseless => "it makes no sense",
            Doubt::Exceeded | Doubt::Short => "it proves less than it says",
        };
        Some(
            Diagnostic::new(&W1009, format!("the bound for `{name}` was not proved again: {why}"))
                .note("the weaker bound that is printed follows from lengths alone")
                .help(
                    "the plan stands; report this with the list if it happens without an interrupt",
                ),
        )
    }
}

/// Solves, counts the plan again and has the bound proved again. `over` ends the search,
/// `stopped` everything.
pub fn answer(
    problem: &Problem,
    ticks: u64,
    over: &dyn Fn() -> bool,
    stopped: &dyn Fn() -> bool,
) -> Result<Answer, Diagnostic> {
    let outcome = cutting::solve(problem, ticks, over);
    let Some(plan) = outcome.plan else { return Err(short(problem)) };
    let cost = plan.cost(problem);
    if !cutting::verify(problem, &plan) || outcome.bound > cost {
        return Err(contradiction());
    }
    let (mut bound, mut doubted) = (outcome.bound, None);
    let mut certificate = outcome.certificate;
    if let Err(doubt) = proved(problem, bound, &certificate, stopped) {
        doubted = Some(doubt);
        (bound, certificate) = cutting::by_length(problem);
        if proved(problem, bound, &certificate, stopped).is_err() {
            return Err(contradiction());
        }
    }
    Ok(Answer {
        cost,
        bound,
        proved: bound == cost,
        doubted,
        certificate,
        ticks: outcome.ticks,
        cut_short: outcome.cut_short,
        seconds: Duration::ZERO,
        plan,
    })
}

fn short(problem: &Problem) -> Diagnostic {
    let stock: i128 = problem
        .stocks()
        .iter()
        .map(|stock| i128::from(stock.length) * i128::from(stock.count.unwrap_or(0)))
        .sum();
    let wanted = problem.material();
    let what = if stock < wanted {
        format!("the pieces take {wanted} together, and there is {stock} of stock")
    } else {
        format!("no way was found to cut pieces of {wanted} together from {stock} of stock")
    };
    Diagnostic::new(&E1007, what)
        .note("pieces that are left over would be missing on site")
        .help("add stock, or take pieces out; a longer search may still find a way")
}

fn contradiction() -> Diagnostic {
    Diagnostic::new(&E1008, "the plan or its bound did not survive being counted again")
        .note("nothing is printed for this list: it could not be relied upon")
        .help("this is a fault in Coilwright: report it with the list")
}
