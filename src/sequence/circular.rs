//! Stops of a run of identical members that repeat with every member: windows on a circle of one
//! pitch, pierced by the fewest points.

/// Fewest places, ascending in `[0, pitch)`, such that every window holds one of them modulo the
/// pitch. Windows are `(first, last)` steps, anywhere; one that spans a pitch holds any place.
/// `None` where the pitch is not above 0 or a window is empty.
///
/// Some point of a best set may be moved to the end of a window. With that end given the circle
/// is cut open and the usual greedy by right ends is the best for the rest; all ends are tried,
/// each in one pass over the windows in order: O(n²).
///
/// These are the fewest of plans that stop alike for every member, once the line is in step. Where
/// windows reach over the cut, a plan that does not repeat with each member may do with fewer on
/// the whole; [`super::stops()`] on the run laid out finds it.
pub fn circular(pitch: i64, windows: &[(i64, i64)]) -> Option<Vec<i64>> {
    if pitch <= 0 || windows.iter().any(|(lo, hi)| lo > hi) {
        return None;
    }
    // (end, length) on the circle; what spans it is held by any point at all.
    let mut arcs: Vec<(i64, i64)> = windows
        .iter()
        .map(|&(lo, hi)| (hi.rem_euclid(pitch), hi.saturating_sub(lo)))
        .filter(|&(_, length)| length < pitch - 1)
        .collect();
    if arcs.is_empty() {
        return Some(windows.first().map(|_| 0).into_iter().collect());
    }
    // Of windows with one end only the shortest matters.
    arcs.sort_unstable();
    arcs.dedup_by_key(|(end, _)| *end);
    let mut best: Option<Vec<i64>> = None;
    for start in 0..arcs.len() {
        let points = from_end(pitch, &arcs, start);
        if best.as_ref().is_none_or(|best| points.len() < best.len()) {
            best = Some(points);
        }
    }
    let mut best = best?;
    best.sort_unstable();
    Some(best)
}

/// With a point at the end of the arc `start`: greedy on what it does not hold, once round.
fn from_end(pitch: i64, arcs: &[(i64, i64)], start: usize) -> Vec<i64> {
    let first = arcs.get(start).map_or(0, |arc| arc.0);
    let mut points = vec![first];
    // As distances from the first point on, in the order of their ends.
    let mut last = 0;
    for &(end, length) in arcs.iter().cycle().skip(start).take(arcs.len()) {
        let end_from = (end - first).rem_euclid(pitch);
        // One that reaches back to the first point or beyond has `end_from - length <= 0`.
        if end_from - length > last {
            last = end_from;
            points.push(end);
        }
    }
    points
}
