//! What `cut` answers: the plan, counted again, and the bound, proved again before anything is
//! called proved. One file per form.

pub mod certificate;
pub mod patterns;
pub mod text;
pub mod tsv;

use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::cutting::{E1007, E1008, W1009};
use crate::nest::cutting::{self, Certificate, Outcome, Plan, Problem};
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
    judged(problem, cutting::solve(problem, ticks, over), stopped)
}

fn judged(
    problem: &Problem,
    outcome: Outcome,
    stopped: &dyn Fn() -> bool,
) -> Result<Answer, Diagnostic> {
    let (mut bound, mut certificate) = (outcome.bound, outcome.certificate);
    let mut doubted = None;
    if let Err(doubt) = proved(problem, bound, &certificate, stopped) {
        doubted = Some(doubt);
        (bound, certificate) = cutting::by_length(problem);
        // Quickly done, interrupt or not.
        if proved(problem, bound, &certificate, &|| false).is_err() {
            return Err(contradiction());
        }
    }
    let Some(plan) = outcome.plan else { return Err(short(problem, bound)) };
    let cost = plan.cost(problem);
    if !cutting::verify(problem, &plan) || bound > cost {
        return Err(contradiction());
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

/// No plan was found; the bound says whether there can be one.
fn short(problem: &Problem, bound: i128) -> Diagnostic {
    let wanted = problem.material();
    let what = if bound > problem.dearest() {
        format!("there is no way to cut pieces of {wanted} together from the stock there is")
    } else {
        format!("no way was found to cut pieces of {wanted} together from the stock there is")
    };
    Diagnostic::new(&E1007, what)
        .note("pieces that are left over would be missing on site")
        .help("add stock, or take pieces out")
}

fn contradiction() -> Diagnostic {
    Diagnostic::new(&E1008, "the plan or its bound did not survive being counted again")
        .note("nothing is printed for this list: it could not be relied upon")
        .help("this is a fault in Coilwright: report it with the list")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::cutting::{Item, Stock};

    fn solved() -> (Problem, Outcome) {
        let stock = Stock { length: 10, count: None, cost: 1, kept: None };
        let items = [Item { length: 6, demand: 3 }, Item { length: 5, demand: 1 }];
        let problem = Problem::new(vec![stock], &items).unwrap();
        let outcome = cutting::solve(&problem, 1_000_000, &|| false);
        assert_eq!(outcome.bound, 4);
        (problem, outcome)
    }

    #[test]
    fn what_contradicts_itself_is_not_printed() {
        let (problem, outcome) = solved();
        let mut short = outcome;
        short.plan.as_mut().unwrap().cuts.pop();
        let told = judged(&problem, short, &|| false).unwrap_err();
        assert_eq!(told.code.number, "E1008");
    }

    #[test]
    fn a_bound_that_is_not_proved_again_is_not_printed() {
        let (problem, outcome) = solved();
        let high = Outcome { bound: 5, ..outcome.clone() };
        let answer = judged(&problem, high, &|| false).unwrap();
        assert_eq!((answer.bound, answer.cost, answer.proved), (3, 4, false));
        assert_eq!(answer.warning("x").unwrap().code.number, "W1009");
        // An interrupt while the checker is at work proves nothing either.
        let answer = judged(&problem, outcome.clone(), &|| true).unwrap();
        assert!(!answer.proved && answer.warning("x").is_some());
        let answer = judged(&problem, outcome, &|| false).unwrap();
        assert!(answer.proved && answer.warning("x").is_none());
    }
}
