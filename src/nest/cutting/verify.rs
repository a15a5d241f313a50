use super::problem::Problem;
use super::solution::Plan;

/// Whether a plan, counted again from nothing, cuts exactly the pieces wanted, each stock within
/// its length and each kind within its number.
pub fn verify(problem: &Problem, plan: &Plan) -> bool {
    let mut made = vec![0_u64; problem.items().len()];
    let mut used = vec![0_u64; problem.stocks().len()];
    for cut in &plan.cuts {
        let (Some(stock), Some(used)) = (problem.stocks().get(cut.stock), used.get_mut(cut.stock))
        else {
            return false;
        };
        *used = used.saturating_add(cut.times);
        let mut length = 0_i128;
        for &(item, count) in &cut.pieces {
            let item = item as usize;
            let (Some(kind), Some(made)) = (problem.items().get(item), made.get_mut(item)) else {
                return false;
            };
            length += i128::from(kind.length) * i128::from(count);
            *made = made.saturating_add(u64::from(count).saturating_mul(cut.times));
        }
        if length > i128::from(stock.length) {
            return false;
        }
    }
    let enough = problem.stocks().iter().zip(&used);
    problem.items().iter().zip(&made).all(|(item, made)| item.demand == *made)
        && enough.into_iter().all(|(stock, used)| stock.count.is_none_or(|count| *used <= count))
}

#[cfg(test)]
mod tests {
    use super::super::problem::{Item, Stock};
    use super::super::solution::Cut;
    use super::*;

    #[test]
    fn a_plan_that_is_not_one_is_refused() {
        let stock = Stock { length: 10, count: Some(2), cost: 1, kept: None };
        let items = [Item { length: 6, demand: 2 }, Item { length: 4, demand: 1 }];
        let problem = Problem::new(vec![stock], &items).unwrap();
        let cut = |pieces: &[(u32, u32)], times| Cut { stock: 0, pieces: pieces.to_vec(), times };
        let plan = |cuts: &[Cut]| Plan { cuts: cuts.to_vec() };
        assert!(verify(&problem, &plan(&[cut(&[(0, 1), (1, 1)], 1), cut(&[(0, 1)], 1)])));
        assert!(!verify(&problem, &plan(&[cut(&[(0, 1), (1, 1)], 2)])), "a piece too many");
        assert!(!verify(&problem, &plan(&[cut(&[(0, 1), (1, 1)], 1)])), "a piece missing");
        assert!(!verify(&problem, &plan(&[cut(&[(0, 2), (1, 1)], 1)])), "too long");
        let three = [cut(&[(0, 1)], 2), cut(&[(1, 1)], 1)];
        assert!(!verify(&problem, &plan(&three)), "three stocks of two");
    }
}
