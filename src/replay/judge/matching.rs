use std::ops::Range;

/// Pairs features with marks one to one, as many as possible.
///
/// Features come by the end of their window and take the first free mark in it: earliest
/// deadline first, which is already the best where all tools serve one type. Where a mark may
/// serve several, a feature left over exchanges along a chain of others, so that a pairing is
/// found whenever there is one.
#[derive(Default)]
pub(super) struct Matching {
    /// The feature each mark serves.
    pub owner: Vec<Option<usize>>,
    /// The mark each feature has.
    pub mark: Vec<Option<usize>>,
    /// Candidate marks: for each feature its range in `candidates`.
    spans: Vec<Range<usize>>,
    candidates: Vec<usize>,
    /// Who reached each mark in the search under way, and which search that was.
    via: Vec<(usize, usize)>,
    queue: Vec<usize>,
}

/// Searches over more pairs than this are given up: a feature then counts as missing. No real
/// member comes near.
const MOST_STEPS: usize = 1_000_000;

impl Matching {
    /// Starts afresh for this many marks.
    pub(super) fn clear(&mut self, marks: usize) {
        self.owner.clear();
        self.owner.resize(marks, None);
        self.via.clear();
        self.via.resize(marks, (0, 0));
        self.mark.clear();
        self.spans.clear();
        self.candidates.clear();
    }
    /// Adds a feature with the marks that would do for it.
    pub(super) fn add(&mut self, candidates: impl Iterator<Item = usize>) {
        let from = self.candidates.len();
        self.candidates.extend(candidates);
        self.spans.push(from..self.candidates.len());
        self.mark.push(None);
    }
    /// Pairs them; `order` lists the features by deadline.
    pub(super) fn solve(&mut self, order: &[usize]) {
        let mut steps = 0;
        for (search, &feature) in order.iter().enumerate() {
            let free = self
                .of(feature)
                .iter()
                .copied()
                .find(|&mark| self.owner.get(mark).is_some_and(Option::is_none));
            match free {
                Some(mark) => self.pair(feature, mark),
                None => self.exchange(feature, search + 1, &mut steps),
            }
        }
    }
    fn of(&self, feature: usize) -> &[usize] {
        self.spans
            .get(feature)
            .and_then(|span| self.candidates.get(span.clone()))
            .unwrap_or_default()
    }
    fn pair(&mut self, feature: usize, mark: usize) {
        if let Some(owner) = self.owner.get_mut(mark) {
            *owner = Some(feature);
        }
        if let Some(slot) = self.mark.get_mut(feature) {
            *slot = Some(mark);
        }
    }
    /// Breadth first from `feature` to any free mark, then hands each mark on along the way.
    fn exchange(&mut self, feature: usize, search: usize, steps: &mut usize) {
        self.queue.clear();
        self.queue.push(feature);
        let mut next = 0;
        while let Some(&from) = self.queue.get(next) {
            next += 1;
            let Some(span) = self.spans.get(from).cloned() else { return };
            for index in span {
                *steps += 1;
                if *steps > MOST_STEPS {
                    return;
                }
                let Some(&mark) = self.candidates.get(index) else { return };
                let Some(via) = self.via.get_mut(mark) else { return };
                if via.1 == search {
                    continue;
                }
                *via = (from, search);
                match self.owner.get(mark).copied().flatten() {
                    Some(owner) => self.queue.push(owner),
                    None => return self.hand_on(feature, mark),
                }
            }
        }
    }
    fn hand_on(&mut self, first: usize, mut mark: usize) {
        // Each step goes one feature back toward the first, so it ends.
        while let Some(&(feature, _)) = self.via.get(mark) {
            let before = self.mark.get(feature).copied().flatten();
            self.pair(feature, mark);
            match before {
                Some(handed) if feature != first => mark = handed,
                _ => return,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn solve(features: &[&[usize]], marks: usize) -> Vec<Option<usize>> {
        let mut matching = Matching::default();
        matching.clear(marks);
        for &candidates in features {
            matching.add(candidates.iter().copied());
        }
        let order: Vec<usize> = (0..features.len()).collect();
        matching.solve(&order);
        for (feature, &mark) in matching.mark.iter().enumerate() {
            if let Some(mark) = mark {
                assert!(features[feature].contains(&mark));
                assert_eq!(matching.owner[mark], Some(feature), "both sides agree");
            }
        }
        matching.mark
    }

    #[test]
    fn exchanges_along_a_chain() {
        // The first two take 0 and 1; the third needs 0, and only the second can move to 2.
        assert_eq!(solve(&[&[0, 1], &[1, 2], &[0]], 3), [Some(1), Some(2), Some(0)]);
        assert_eq!(solve(&[&[0], &[0]], 1).iter().flatten().count(), 1);
    }

    /// Against every pairing, tried one after the other.
    #[test]
    fn pairs_as_many_as_brute_force() {
        fn best(features: &[&[usize]], used: u32) -> usize {
            let Some((first, rest)) = features.split_first() else { return 0 };
            let skip = best(rest, used);
            first
                .iter()
                .filter(|&&mark| used & (1 << mark) == 0)
                .map(|&mark| 1 + best(rest, used | (1 << mark)))
                .fold(skip, usize::max)
        }
        let mut seed = 7u64;
        for _ in 0..400 {
            let mut next = |n: u64| {
                seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
                (seed >> 33) % n
            };
            let lists: Vec<Vec<usize>> =
                (0..5).map(|_| (0..5usize).filter(|_| next(3) == 0).collect()).collect();
            let features: Vec<&[usize]> = lists.iter().map(Vec::as_slice).collect();
            let paired = solve(&features, 5).iter().flatten().count();
            assert_eq!(paired, best(&features, 0), "{lists:?}");
        }
    }
}
