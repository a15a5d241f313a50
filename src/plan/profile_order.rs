//! In which order the profiles of a batch are made: least time to set up.

use super::bound_shapes::BoundProfile;
use super::model::Inputs;
use crate::quantity::Time;

/// Up to so many profiles every order is weighed.
const EXACT: usize = 12;

/// Rounds of improvement for more profiles than that.
const ROUNDS: usize = 24;

/// Puts profiles into the order that takes least time to set up; among equal ones they stay as
/// they are. One that the coil in the line fits goes first, for that coil is used first. Whether
/// no other order takes less.
pub(super) fn arrange(inputs: &Inputs<'_>, bound: &mut Vec<BoundProfile>) -> bool {
    let line = inputs.line;
    let in_line: Vec<bool> = bound
        .iter()
        .map(|of| {
            inputs.library.profile(of.profile).is_some_and(|profile| {
                inputs.stock.coils.iter().any(|coil| coil.threaded && coil.fits(profile))
            })
        })
        .collect();
    let first: Vec<Option<Time>> = bound
        .iter()
        .zip(&in_line)
        .map(|(of, &fits)| {
            if !fits && in_line.contains(&true) {
                return None;
            }
            // Where nothing is said, the line is set up for the coil in it.
            let now = inputs.batch.set_up_now.or(fits.then_some(of.profile));
            Some(line.set_up_time(now, of.profile))
        })
        .collect();
    let between: Vec<Vec<Time>> = bound
        .iter()
        .map(|from| bound.iter().map(|to| line.set_up_time(Some(from.profile), to.profile)))
        .map(Iterator::collect)
        .collect();
    let (order, least) = least_time(&first, &between);
    let mut places: Vec<Option<BoundProfile>> = bound.drain(..).map(Some).collect();
    bound.extend(order.into_iter().filter_map(|i| places.get_mut(i).and_then(Option::take)));
    least
}

/// The order of least time, the first of equal ones by number: `first` is what each takes as the
/// first (`None`: it may not be), `between` what each takes after another. Whether it is surely
/// the least.
fn least_time(first: &[Option<Time>], between: &[Vec<Time>]) -> (Vec<usize>, bool) {
    if first.len() <= EXACT {
        (weigh_all(first, between), true)
    } else {
        let mut order = nearest(first, between);
        improve(first, between, &mut order);
        (order, false)
    }
}

fn after(between: &[Vec<Time>], from: usize, to: usize) -> Time {
    between.get(from).and_then(|row| row.get(to)).copied().unwrap_or(Time::ZERO)
}

/// Every order, by the sets of profiles still to be made and the one made last.
fn weigh_all(first: &[Option<Time>], between: &[Vec<Time>]) -> Vec<usize> {
    let n = first.len();
    let whole = (1_usize << n) - 1;
    // Least time for what is left, after each.
    let mut rest: Vec<Vec<Time>> = vec![vec![Time::ZERO; n]; whole + 1];
    let through = |rest: &[Vec<Time>], left: usize, last: usize, next: usize| {
        let then = rest.get(left & !(1 << next)).and_then(|row| row.get(next));
        after(between, last, next) + then.copied().unwrap_or(Time::ZERO)
    };
    let each = move |left: usize| (0..n).filter(move |i| left & 1 << i != 0);
    for left in 1..=whole {
        let times: Vec<Time> = (0..n)
            .map(|last| each(left).map(|next| through(&rest, left, last, next)).min())
            .map(|least| least.unwrap_or(Time::ZERO))
            .collect();
        if let Some(row) = rest.get_mut(left) {
            *row = times;
        }
    }
    let whole_time = |i: usize| {
        let then = rest.get(whole & !(1 << i)).and_then(|row| row.get(i)).copied();
        Some((*first.get(i)?)? + then.unwrap_or(Time::ZERO))
    };
    let begin = (0..n).filter_map(|i| Some((whole_time(i)?, i))).min();
    let Some((_, mut last)) = begin else { return (0..n).collect() };
    let mut order = vec![last];
    let mut left = whole & !(1 << last);
    while let Some((_, next)) =
        each(left).map(|next| (through(&rest, left, last, next), next)).min()
    {
        order.push(next);
        left &= !(1 << next);
        last = next;
    }
    order
}

/// Goes on with what takes least time next.
fn nearest(first: &[Option<Time>], between: &[Vec<Time>]) -> Vec<usize> {
    let mut left: Vec<usize> = (0..first.len()).collect();
    let mut order: Vec<usize> = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let time = |i: usize| match order.last() {
            Some(&last) => Some(after(between, last, i)),
            None => first.get(i).copied().flatten(),
        };
        let place = left.iter().enumerate().filter_map(|(p, &i)| Some((time(i)?, i, p))).min();
        let place = place.map_or(0, |(_, _, place)| place);
        order.push(left.remove(place));
    }
    order
}

fn total(first: &[Option<Time>], between: &[Vec<Time>], order: &[usize]) -> Option<Time> {
    let begin = order.first().and_then(|&i| first.get(i).copied().flatten())?;
    let steps = order.windows(2).map(|pair| match pair {
        [a, b] => after(between, *a, *b),
        _ => Time::ZERO,
    });
    Some(steps.fold(begin, |sum, time| sum + time))
}

/// Moves one profile elsewhere while that saves time.
fn improve(first: &[Option<Time>], between: &[Vec<Time>], order: &mut Vec<usize>) {
    let Some(mut best) = total(first, between, order) else { return };
    // What one move changes is a few steps; a batch of hundreds of profiles is no batch.
    if order.len() > 200 {
        return;
    }
    for _ in 0..ROUNDS {
        let before = best;
        for from in 0..order.len() {
            for to in 0..order.len() {
                let mut tried = order.clone();
                let moved = tried.remove(from);
                tried.insert(to, moved);
                if let Some(time) = total(first, between, &tried)
                    && time < best
                {
                    best = time;
                    *order = tried;
                }
            }
        }
        if best == before {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn case(seed: &mut u64, n: usize, held: bool) -> (Vec<Option<Time>>, Vec<Vec<Time>>) {
        let mut roll = |below: u64| {
            *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            (*seed >> 33) % below
        };
        let mut time = || Time::from_ms(roll(6) as i64 * 1_000);
        let first = (0..n).map(|i| (!held || i % 2 == 1).then(&mut time)).collect();
        (first, (0..n).map(|_| (0..n).map(|_| time()).collect()).collect())
    }

    /// Every order, in the order of their numbers.
    fn orders(n: usize) -> Vec<Vec<usize>> {
        if n == 0 {
            return vec![Vec::new()];
        }
        let mut all = Vec::new();
        for shorter in orders(n - 1) {
            for place in 0..n {
                let mut order = shorter.clone();
                order.insert(place, n - 1);
                all.push(order);
            }
        }
        all.sort();
        all
    }

    #[test]
    fn no_order_takes_less_and_of_equal_ones_it_is_the_first() {
        let mut seed = 3;
        for round in 0..120 {
            let n = 1 + round % 6;
            let (first, between) = case(&mut seed, n, n > 1 && round % 3 == 0);
            let all = orders(n);
            let allowed = all.iter().filter_map(|o| Some((total(&first, &between, o)?, o)));
            let (_, best) = allowed.min().unwrap();
            assert_eq!(least_time(&first, &between), (best.clone(), true));
        }
    }

    #[test]
    fn many_profiles_are_each_made_once_and_no_worse_than_as_listed_by_the_nearest() {
        let mut seed = 5;
        for _ in 0..20 {
            let (first, between) = case(&mut seed, 15, false);
            let (order, sure) = least_time(&first, &between);
            let mut each = order.clone();
            each.sort_unstable();
            assert_eq!(each, (0..15).collect::<Vec<_>>());
            assert!(!sure);
            let near = total(&first, &between, &nearest(&first, &between)).unwrap();
            assert!(total(&first, &between, &order).unwrap() <= near);
        }
    }
}
