//! Where the strokes of nibbled ranges fall.
//!
//! The first and the last stroke of a range stand already. Between them strokes follow each
//! other by no more than the tool allows: as far on as a stop that exists anyway lets them,
//! and a new stop only where none does. Reaching furthest is never worse: from further on
//! every later stop within reach is still within reach. So new stops are the fewest.

use super::stops::{Crowded, Due, Standstill};
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
        let chosen =
            follow(&stands, dues, &first, range, from, to).ok_or(Crowded { due: range.last })?;
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

/// Places of the strokes between `from` and `to`.
fn follow(
    stands: &BTreeMap<i64, Standstill>,
    dues: &[Due],
    first: &Due,
    range: &Range,
    from: i64,
    to: i64,
) -> Option<Vec<i64>> {
    let busy = |stand: &Standstill| {
        stand
            .strokes
            .iter()
            .any(|&i| dues.get(i as usize).is_some_and(|due| due.station == first.station))
    };
    let mut places: Vec<i64> = Vec::new();
    let mut new: Vec<i64> = Vec::new();
    let mut here = from;
    while to - here > range.most {
        let low = here + range.least;
        let high = (here + range.most).min(to - range.least);
        if high < low {
            return None;
        }
        let there = stands.range(low..=high).rev().find(|(_, stand)| !busy(stand));
        here = match there {
            Some((&place, _)) => place,
            None => {
                let place = (low..=high).rev().find(|place| !stands.contains_key(place))?;
                new.push(place);
                place
            }
        };
        places.push(here);
    }
    drop_spare(&mut places, &new, range, from, to);
    Some(places)
}

/// Leaves out strokes at stops that exist anyway which the range does not need.
fn drop_spare(places: &mut Vec<i64>, new: &[i64], range: &Range, from: i64, to: i64) {
    let mut i = 0;
    while let Some(&place) = places.get(i) {
        let before = if i == 0 { from } else { places.get(i - 1).copied().unwrap_or(from) };
        let after = places.get(i + 1).copied().unwrap_or(to);
        if after - before <= range.most && !new.contains(&place) {
            places.remove(i);
        } else {
            i += 1;
        }
    }
}
