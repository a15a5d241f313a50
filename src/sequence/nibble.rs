//! Where the strokes of nibbled ranges fall.
//!
//! The first and the last stroke of a range stand already. Between them strokes follow each
//! other by no less than a bite and no more than the tool allows, at stops that exist anyway as
//! far as those lie well. Which of them to use for the fewest new stops is a shortest path: from
//! one to a later one, D apart, n strokes further on, n·least ≤ D ≤ n·most, cost n − 1 new stops.
//! (Reaching as far as possible each time is not enough: the least bite may then rule out a stop
//! just behind.)

use super::sharing::Sharing;
use super::stops::{Crowded, Due, Standstill};
use crate::library::model::Line;
use crate::tooling::{Geometry, Nibbled};
use std::collections::BTreeMap;

/// A range of a run: its first and last strokes as indices into the dues.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Range {
    first: u32,
    last: u32,
    least: i64,
    most: i64,
}

impl Range {
    /// A shape's range, the shape's strokes being the dues from `offset` on.
    pub(super) fn from(nibbled: &Nibbled, offset: usize) -> Range {
        let index = |stroke: usize| u32::try_from(offset + stroke).unwrap_or(u32::MAX);
        Range {
            first: index(nibbled.first),
            last: index(nibbled.last),
            least: nibbled.least,
            most: nibbled.most,
        }
    }
}

/// Adds the strokes between the first and the last of each range, to the dues and to stops.
pub(super) fn fill(
    line: &Line,
    geometry: &Geometry,
    dues: &mut Vec<Due>,
    ranges: &[Range],
    standstills: Vec<Standstill>,
) -> Result<Vec<Standstill>, Crowded> {
    if ranges.is_empty() {
        return Ok(standstills);
    }
    let mut stands: BTreeMap<i64, Standstill> =
        standstills.into_iter().map(|stand| (stand.at, stand)).collect();
    let mut at: BTreeMap<u32, i64> = BTreeMap::new();
    for range in ranges {
        at.extend([(range.first, i64::MIN), (range.last, i64::MIN)]);
    }
    for stand in stands.values() {
        for stroke in &stand.strokes {
            at.entry(*stroke).and_modify(|place| *place = stand.at);
        }
    }
    for range in ranges {
        let (Some(&from), Some(&to)) = (at.get(&range.first), at.get(&range.last)) else {
            continue;
        };
        let Some(first) = dues.get(range.first as usize).copied() else { continue };
        let sharing = Sharing::on(line, dues);
        let chosen =
            follow(&stands, sharing, range, from, to).ok_or(Crowded { due: range.last })?;
        for place in chosen {
            let index = u32::try_from(dues.len()).unwrap_or(u32::MAX);
            dues.push(Due { lo: place, hi: place, nominal: geometry.length(place), ..first });
            let stand = stands.entry(place).or_insert_with(|| Standstill {
                at: place,
                strokes: Vec::new(),
                cut: false,
            });
            stand.strokes.push(index);
        }
    }
    Ok(stands.into_values().collect())
}

/// Places of the strokes between `from` and `to`: fewest new stops, then fewest strokes.
fn follow(
    stands: &BTreeMap<i64, Standstill>,
    sharing: Sharing<'_>,
    range: &Range,
    from: i64,
    to: i64,
) -> Option<Vec<i64>> {
    let free = |stand: &Standstill| sharing.may(&stand.strokes, &[range.first]);
    let between = stands.range(from.saturating_add(1)..to).filter(|(_, stand)| free(stand));
    let mut anchors: Vec<i64> = vec![from];
    anchors.extend(between.map(|(at, _)| *at));
    anchors.push(to);
    // For each anchor the least cost of a way to it, and the anchor before it there.
    let mut ways: Vec<Option<((i64, i64), usize)>> = vec![Some(((0, 0), 0))];
    for (j, &there) in anchors.iter().enumerate().skip(1) {
        let way = anchors.iter().zip(&ways).enumerate().filter_map(|(i, (&here, way))| {
            let ((new, strokes), _) = (*way)?;
            let further = range.strokes_over(there - here)?;
            Some(((new + further - 1, strokes + further), i))
        });
        ways.push(way.min());
        debug_assert_eq!(ways.len(), j + 1, "one way to each anchor");
    }
    let mut path = vec![anchors.len() - 1];
    while let Some(&at) = path.last()
        && at > 0
    {
        path.push((*ways.get(at)?)?.1);
    }
    path.reverse();
    let mut places = Vec::new();
    for pair in path.windows(2) {
        let [a, b] = *pair else { continue };
        let (here, there) = (*anchors.get(a)?, *anchors.get(b)?);
        places.extend(range.evenly(here, there, |place| stands.contains_key(&place))?);
        if there != to {
            places.push(there);
        }
    }
    Some(places)
}

impl Range {
    /// How many strokes further on `distance` is, the last of them there.
    fn strokes_over(&self, distance: i64) -> Option<i64> {
        let strokes = -(-distance).div_euclid(self.most);
        (strokes >= 1 && strokes * self.least <= distance).then_some(strokes)
    }

    /// New stops between two places, evenly, none where the strip stands already.
    fn evenly(&self, from: i64, to: i64, taken: impl Fn(i64) -> bool) -> Option<Vec<i64>> {
        let strokes = self.strokes_over(to - from)?;
        let mut places = Vec::new();
        let mut here = from;
        for left in (1..strokes).rev() {
            let even = here + (to - here) / (left + 1);
            let low = (here + self.least).max(to - left * self.most);
            let high = (here + self.most).min(to - left * self.least);
            here = (0..=high - low)
                .flat_map(|off| [even + off, even - off])
                .find(|place| (low..=high).contains(place) && !taken(*place))?;
            places.push(here);
        }
        Some(places)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const RANGE: Range = Range { first: 0, last: 1, least: 5, most: 38 };

    /// Places between `from` and `to` with stops of other stations at `there`.
    fn places(there: &[i64], from: i64, to: i64) -> Vec<i64> {
        let stand = |&at: &i64| (at, Standstill { at, strokes: Vec::new(), cut: false });
        let stands: BTreeMap<i64, Standstill> = there.iter().map(stand).collect();
        follow(&stands, Sharing::by_stations(&[]), &RANGE, from, to).unwrap()
    }

    #[test]
    fn a_notch_of_150_by_a_tool_of_40_sharing_2() {
        // 150 − 40 = 110 mm from the first stroke to the last, 38 at most from one to the next:
        // four strokes. Alone the two between are new; with stops at 30, 64 and 101 none is.
        assert_eq!(places(&[], 0, 110), [36, 73]);
        assert_eq!(places(&[0, 30, 64, 101], 0, 110), [30, 64, 101]);
        // What is not needed is left out.
        assert_eq!(places(&[30, 38, 64, 76, 101], 0, 110), [38, 76]);
        // 38 would be as far as the first can go, and too near to 41.
        assert_eq!(places(&[41], 0, 155).iter().filter(|place| **place == 41).count(), 1);
    }

    /// Fewest new stops, by trying everything.
    fn fewest(there: &[i64], from: i64, to: i64) -> usize {
        let mut new = vec![usize::MAX; usize::try_from(to - from + 1).unwrap()];
        new[0] = 0;
        for here in from..to {
            let sofar = new[usize::try_from(here - from).unwrap()];
            if sofar == usize::MAX {
                continue;
            }
            for next in here + RANGE.least..=(here + RANGE.most).min(to) {
                let cost = usize::from(next != to && !there.contains(&next));
                let slot = &mut new[usize::try_from(next - from).unwrap()];
                *slot = (*slot).min(sofar + cost);
            }
        }
        new[new.len() - 1]
    }

    #[test]
    fn new_stops_are_the_fewest() {
        let mut seed = 7_u64;
        let mut next = |n: i64| {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            i64::try_from(seed >> 33).unwrap() % n
        };
        let mut saved = 0;
        for _ in 0..5_000 {
            let to = 10 + next(220);
            let there: Vec<i64> = (0..next(8)).map(|_| 1 + next(to)).collect();
            let chosen = places(&there, 0, to);
            let all: Vec<i64> =
                std::iter::once(0).chain(chosen.iter().copied()).chain([to]).collect();
            for pair in all.windows(2) {
                assert!((5..=38).contains(&(pair[1] - pair[0])), "{there:?} {all:?}");
            }
            let new = chosen.iter().filter(|place| !there.contains(place)).count();
            assert_eq!(new, fewest(&there, 0, to), "{there:?} to {to}: {chosen:?}");
            saved += chosen.len() - new;
        }
        assert!(saved > 1_000, "{saved}");
    }
}
