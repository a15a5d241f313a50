//! The shortest order of a bar's pieces.
//!
//! On a coil a head or a gap more is a detail; on six metres it decides whether a piece fits.
//! Over the sets of pieces laid and the last of them, all ways are kept that no other beats in
//! both the head that is asked for and the strip taken since: exact for heads, gaps between ends
//! that cannot share a cut, and turning. Re-fire distances over more than one neighbour are not
//! in it; laying out sees to them.

use super::layout::gap_between;
use super::order::Shapes;
use crate::library::model::Line;
use crate::tooling::Geometry;
use std::collections::BTreeMap;

/// Most pieces of a group whose orders are weighed.
const MOST: usize = 9;

/// One way to have laid some pieces.
#[derive(Clone)]
struct Way {
    /// Head that the pieces so far ask for, from the base of the first.
    head: i64,
    /// From the base of the first to the last cut.
    length: i64,
    /// The pieces, as they are made.
    order: Vec<u32>,
}

impl Way {
    fn beats(&self, other: &Way) -> bool {
        self.head <= other.head && self.length <= other.length
    }
}

/// These groups one after the other, each in the order that makes the whole take the least strip
/// behind a head of at least `least` steps. `None` where a group has too many pieces for that.
pub fn tightest(
    line: &Line,
    geometry: &Geometry,
    shapes: Shapes<'_>,
    groups: &[&[u32]],
    least: i64,
) -> Option<Vec<Vec<u32>>> {
    if groups.iter().any(|group| group.len() > MOST) {
        return None;
    }
    let mut gaps: BTreeMap<(u32, u32), i64> = BTreeMap::new();
    let mut gap = |before: u32, after: u32| -> Option<i64> {
        if let Some(known) = gaps.get(&(before, after)) {
            return Some(*known);
        }
        let found = gap_between(line, geometry, shapes.get(before)?, shapes.get(after)?);
        gaps.insert((before, after), found);
        Some(found)
    };
    let mut ways = vec![Way { head: i64::MIN / 4, length: 0, order: Vec::new() }];
    for group in groups {
        // By the pieces of the group that are laid, and the last of them.
        let mut stages: BTreeMap<(u32, Option<u32>), Vec<Way>> = BTreeMap::new();
        for way in ways {
            keep(stages.entry((0, way.order.last().copied())).or_default(), way);
        }
        let full = (1_u32 << group.len()) - 1;
        for set in 0..full {
            let here = stages.range((set, None)..(set + 1, None));
            let here: Vec<_> = here.map(|((_, last), ways)| (*last, ways.clone())).collect();
            for (last, ways) in here {
                for (n, &piece) in group.iter().enumerate().filter(|(n, _)| set >> n & 1 == 0) {
                    for next in [Some(piece), shapes.other(piece)].into_iter().flatten() {
                        let Some(shape) = shapes.get(next) else { continue };
                        let Some(gap) = last.map_or(Some(0), |last| gap(last, next)) else {
                            continue;
                        };
                        let entry = stages.entry((set | 1 << n, Some(next))).or_default();
                        for way in &ways {
                            let base = way.length + gap;
                            let mut order = way.order.clone();
                            order.push(next);
                            let head = way.head.max(shape.head - base);
                            keep(entry, Way { head, length: base + shape.pitch, order });
                        }
                    }
                }
            }
        }
        ways =
            stages.into_iter().filter(|((set, _), _)| *set == full).flat_map(|(_, w)| w).collect();
    }
    let best = ways.into_iter().min_by_key(|way| way.head.max(least) + way.length)?;
    let mut rest = best.order.into_iter();
    Some(groups.iter().map(|group| rest.by_ref().take(group.len()).collect()).collect())
}

/// Adds a way unless another is as good; those it beats go.
fn keep(ways: &mut Vec<Way>, way: Way) {
    if !ways.iter().any(|other| other.beats(&way)) {
        ways.retain(|other| !way.beats(other));
        ways.push(way);
    }
}
