use super::Stock;

/// Most costs that are told apart, and most steps of it.
const COSTS: i128 = 1_000_000;
const STEPS: u128 = 200_000_000;

/// The greatest cost up to `most` that a plan of `pieces` pieces can have: some stocks of this
/// cost together are as long as all pieces. Below nought where there is none; `most` itself where
/// there are too many costs to tell.
pub fn greatest(stocks: &[Stock], pieces: u64, material: i128, most: i128) -> i128 {
    let (0..=COSTS, Ok(size)) = (most, usize::try_from(most)) else { return most };
    // One table for each kind: the longest so far, then with 0, 1, 2 … of this kind. Numbers run
    // along chains of costs that differ by one of it.
    let work: u128 = stocks.iter().map(|_| size as u128 * 8).sum();
    if work > STEPS {
        return most;
    }
    let mut longest: Vec<Option<i128>> = vec![None; size + 1];
    if let Some(first) = longest.first_mut() {
        *first = Some(0);
    }
    for stock in stocks {
        let Ok(cost) = usize::try_from(stock.cost) else { continue };
        let count = stock.count.map_or(pieces, |count| count.min(pieces));
        longest = with(&longest, cost, i128::from(stock.length), count);
    }
    let enough = |length: &Option<i128>| length.is_some_and(|length| length >= material);
    longest.iter().rposition(enough).map_or(-1, |cost| cost as i128)
}

/// The longest with up to `count` more of a kind. Along costs r, r + c, r + 2c … the best is the
/// greatest of the last `count` + 1 lengths, each less what its place in the chain is worth.
fn with(before: &[Option<i128>], cost: usize, length: i128, count: u64) -> Vec<Option<i128>> {
    let mut after = before.to_vec();
    for start in 0..cost.min(before.len()) {
        let mut window: std::collections::VecDeque<(u64, i128)> = std::collections::VecDeque::new();
        for (place, at) in (0_u64..).zip((start..before.len()).step_by(cost)) {
            if let Some(Some(value)) = before.get(at) {
                let value = value - length * i128::from(place);
                while window.back().is_some_and(|&(_, known)| known <= value) {
                    window.pop_back();
                }
                window.push_back((place, value));
            }
            while window.front().is_some_and(|&(first, _)| place - first > count) {
                window.pop_front();
            }
            if let (Some(&(_, best)), Some(slot)) = (window.front(), after.get_mut(at)) {
                *slot = Some(best + length * i128::from(place));
            }
        }
    }
    after
}
