use super::certificate::Certificate;
use super::problem::Problem;

/// Least cost by length alone, with its reason: each kind's price of a unit of length is tried as
/// the price of all, kinds that would be cheaper count with what they save, as far as there are
/// any.
pub fn by_length(problem: &Problem) -> (i128, Certificate) {
    let step = i128::from(problem.step());
    let material = problem.material();
    let mut best = (0, Certificate::ByLength { value: 0, unit: 1 });
    for stock in problem.stocks() {
        let cost = i128::from(stock.cost) / step;
        let mut sum = material * cost;
        let mut possible = true;
        for other in problem.stocks() {
            // What a full stock of this kind would hold beyond what it costs.
            let full = i128::from(other.length) * cost
                - i128::from(other.cost) / step * i128::from(stock.length);
            let kept = other.kept.map_or(0, |kept| {
                let held = i128::from(kept.room) * (cost - i128::from(stock.length)).max(0);
                held - i128::from(kept.cost) * i128::from(stock.length)
            });
            let over = full.max(kept);
            if over > 0 {
                match other.count {
                    Some(count) => sum -= over * i128::from(count),
                    None => possible = false,
                }
            }
        }
        let least = rounded_up(sum, i128::from(stock.length)) * step;
        if possible && least > best.0 {
            let value = i64::try_from(cost).unwrap_or(0);
            best = (least, Certificate::ByLength { value, unit: stock.length });
        }
    }
    best
}

/// A quotient rounded up; the divisor is above 0.
pub fn rounded_up(sum: i128, by: i128) -> i128 {
    -(-sum).div_euclid(by)
}

#[cfg(test)]
mod tests {
    use super::super::problem::{Item, Stock};
    use super::*;

    #[test]
    fn cheap_stock_counts_as_far_as_there_is_any() {
        let stock = |length, count, cost| Stock { length, count, cost, kept: None };
        let bound = |stocks: &[Stock], length, demand| {
            let problem = Problem::new(stocks.to_vec(), &[Item { length, demand }]).unwrap();
            by_length(&problem).0
        };
        assert_eq!(bound(&[stock(10, None, 1)], 3, 7), 3);
        // 40 of 50 from cheap stock for 4, the rest at 2 a ten.
        let cheap = stock(10, Some(4), 1);
        assert_eq!(bound(&[cheap, stock(10, None, 2)], 5, 10), 6);
        assert_eq!(bound(&[stock(10, None, 2), cheap], 5, 10), 6);
        assert_eq!(bound(&[stock(10, None, 4), stock(5, None, 3)], 5, 3), 6);
    }
}
