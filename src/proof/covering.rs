use super::Doubt;
use super::budget::Budget;

/// A kind of stock: its length, how many may be used, and what one costs beside what is cut.
#[derive(Clone, Copy, Debug)]
pub struct Kind {
    pub length: i128,
    pub count: u64,
    pub beside: i128,
}

/// Most sets.
const SETS: usize = 40_000;

/// The least that stocks which are `material` long together cost beside what is cut; `None` where
/// all of them are not so long.
pub fn least(kinds: &[Kind], material: i128, budget: &Budget<'_>) -> Result<Option<i128>, Doubt> {
    // Sets by cost, each longer than every cheaper one.
    let mut sets: Vec<(i128, i128)> = vec![(0, 0)];
    for kind in kinds {
        // One more at a time, of those sets that were made of one less: a new stock helps no set
        // that is long enough, unless it costs less than nothing.
        let mut latest = sets.clone();
        for _ in 0..kind.count {
            latest.retain(|&(_, length)| length < material || kind.beside < 0);
            if latest.is_empty() {
                break;
            }
            budget.spend((latest.len() + sets.len()) as u64)?;
            if sets.len() > SETS {
                return Err(Doubt::Endless);
            }
            for (cost, length) in &mut latest {
                *cost += kind.beside;
                *length += kind.length;
            }
            sets.extend(&latest);
            sets.sort_unstable_by(|a, b| a.0.cmp(&b.0).then(b.1.cmp(&a.1)));
            let mut longest = -1;
            sets.retain(|&(_, length)| {
                let more = length > longest;
                longest = longest.max(length);
                more
            });
        }
    }
    let enough = sets.iter().filter(|(_, length)| *length >= material);
    Ok(enough.map(|(cost, _)| *cost).min())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_every_set_of_stocks_says() {
        let mut seed = 5_u64;
        let mut roll = |n: i128| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            i128::from(seed >> 33) % n
        };
        for _ in 0..500 {
            let kinds: Vec<Kind> = (0..1 + roll(3))
                .map(|_| Kind {
                    length: 1 + roll(20),
                    count: 1 + roll(3) as u64,
                    beside: roll(9) - 2,
                })
                .collect();
            let material = 1 + roll(60);
            let mut best = None;
            let mut counts = vec![0_u64; kinds.len()];
            loop {
                let sum = |of: &dyn Fn(&Kind) -> i128| -> i128 {
                    kinds.iter().zip(&counts).map(|(k, &n)| of(k) * i128::from(n)).sum()
                };
                if sum(&|k| k.length) >= material {
                    let cost = sum(&|k| k.beside);
                    best = Some(best.map_or(cost, |b: i128| b.min(cost)));
                }
                let Some(next) = (0..kinds.len()).find(|&k| counts[k] < kinds[k].count) else {
                    break;
                };
                counts[next] += 1;
                counts[..next].fill(0);
            }
            let told = least(&kinds, material, &Budget::new(&|| false));
            assert_eq!(told, Ok(best), "{kinds:?} {material}");
        }
    }
}
