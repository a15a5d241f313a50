//! What no choice of stops can beat, for given cuts and windows: in number and in time.
//!
//! **Number.** Let I be a stretch of strip in which n windows of one station lie whole. They need
//! n stops in I, for a station fires once per stop; the c cuts in I may serve as such, so at
//! least n − c further stops lie there. Stretches without a common point add up. The bound is the
//! number of cuts plus the greatest such sum; its certificate is the stretches, and whoever
//! doubts it counts the windows in them ([`StopsBound::holds`]). For one window and no cut inside
//! that is the usual argument of disjoint windows. Where each stroke has its one station the
//! bound is met but for stops that would have to stand on one grid point: the demands of
//! stretches are totally unimodular, and by Hall's theorem for intervals they are all there is.
//!
//! **Time.** Given the cuts, and windows without cuts and without a common point, in their order:
//! the strip stands somewhere in each. What it does between two of them takes at least the move
//! from one to the other, for the time of a move T is subadditive. So moving takes at least the
//! least ΣT(p′ − p) over all places p, one in each.
//! - T grows with the distance: the least gap between each two neighbours is a bound.
//! - Without a jerk T is concave, the sum is concave in each p, and the least is attained with
//!   every p at an end of its window: found exactly, from one to the next. With a jerk the
//!   trapezoid of the same limits is still a bound.
//!
//! The better of the two is taken. Each standstill but one at the very start settles once. For
//! strokes: at least N(τ) stops hold a stroke that takes τ or more, N the bound of those windows
//! alone, without cuts; the time of a stop is its slowest stroke or more, so that all stops
//! together take at least ∫ N(τ) dτ.

use super::time::TimeBreakdown;
use crate::library::model::{Feed, Line, StationId};
use crate::program::move_time;
use crate::quantity::{Advance, Length, Time};
use crate::tooling::Geometry;

/// A stroke that any plan has to make at a stop.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Need {
    /// The station that has to make it; `None` where several can.
    pub station: Option<StationId>,
    /// First step at which any of its ways allows it.
    pub lo: i64,
    /// Last step at which any does.
    pub hi: i64,
    /// Time of the stroke, the least of its ways.
    pub time: Time,
}

/// A stretch that needs stops of its own.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Claim {
    /// First step.
    pub lo: i64,
    /// Last step.
    pub hi: i64,
    /// Whose strokes are counted; with `None` it is a single one.
    pub station: Option<StationId>,
    /// Windows of that station inside.
    pub windows: u32,
    /// Cuts inside.
    pub cuts: u32,
}

/// The least number of standstills, with its certificate.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct StopsBound {
    /// Cuts and further stops.
    pub stops: u32,
    /// Stretches without a common point, in order, that prove it.
    pub claims: Vec<Claim>,
}

/// What a run takes at least.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct RunBound {
    /// Standstills; [`stops_bound`] has the certificate.
    pub stops: u32,
    /// Time, by cause; thread-up and set-up are none of its business.
    pub time: TimeBreakdown,
}

impl StopsBound {
    /// Whether the certificate proves the bound for these needs and cuts (ascending, distinct):
    /// nothing of how it was found is used.
    pub fn holds(&self, needs: &[Need], cuts: &[i64]) -> bool {
        let apart = self.claims.is_sorted_by(|a, b| a.hi < b.lo);
        let mut sum = cuts.len();
        for claim in &self.claims {
            let inside = needs.iter().filter(|n| claim.lo <= n.lo && n.hi <= claim.hi);
            let windows = match claim.station {
                None => inside.take(1).count(),
                station => inside.filter(|n| n.station == station).count(),
            };
            let cuts = cuts.iter().filter(|&&cut| claim.lo <= cut && cut <= claim.hi).count();
            if claim.windows as usize > windows || cuts > claim.cuts as usize {
                return false;
            }
            sum += claim.windows.saturating_sub(claim.cuts) as usize;
        }
        apart && sum == self.stops as usize
    }
}

/// What any nibbling needs whose first hit lies in `first` and whose last in `last` (steps), with
/// hits at most `bite` steps from one to the next and as many in between as it likes: the first,
/// the last, and one in every stretch of `bite` steps between them, for without a hit there two
/// hits would be `bite + 1` apart. These are as many as the fewest hits, where both ends are exact.
pub fn nibble_needs(
    station: StationId,
    time: Time,
    first: (i64, i64),
    last: (i64, i64),
    bite: i64,
) -> impl Iterator<Item = Need> {
    let need = move |(lo, hi)| Need { station: Some(station), lo, hi, time };
    let bite = bite.max(1);
    let between = (0..)
        .map(move |n: i64| first.1.saturating_add(n.saturating_mul(bite)))
        .map(move |after| (after.saturating_add(1), after.saturating_add(bite)))
        .take_while(move |&(_, hi)| hi < last.0);
    let ends = if first == last { vec![first] } else { vec![first, last] };
    ends.into_iter().chain(between).map(need)
}

/// How many windows of one station are looked at together, at most: a cap on the work. More would
/// only make the bound better, and only where that many overlap in a chain.
const TOGETHER: usize = 64;

/// The bound on stops. Cuts are ascending and distinct; empty windows are left out of account.
pub fn stops_bound(needs: &[Need], cuts: &[i64]) -> StopsBound {
    let order = by_end(needs);
    let claims = claims(order.iter(), cuts);
    let most = most(&claims);
    let stops = count(cuts.len()).saturating_add(most.last().map_or(0, |m| m.0));
    StopsBound { stops, claims: chosen(&claims, &most) }
}

/// Needs whose window is not empty, by the ends of their windows. They come nearly in this order.
fn by_end(needs: &[Need]) -> Vec<Need> {
    let mut order: Vec<Need> = needs.iter().filter(|n| n.lo <= n.hi).copied().collect();
    order.sort_by_key(|n| (n.hi, n.lo));
    order
}

pub(super) fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

/// How many of the first `upto` are before, all of those that are being at the front: looked for
/// from the back, where the answer is near.
fn before(upto: usize, is_before: impl Fn(usize) -> bool) -> usize {
    let (mut high, mut step) = (upto, 1);
    let mut low = high.saturating_sub(step);
    while low > 0 && !is_before(low - 1) {
        high = low - 1;
        step *= 2;
        low = high.saturating_sub(step);
    }
    while low < high {
        let middle = usize::midpoint(low, high);
        if is_before(middle) { low = middle + 1 } else { high = middle }
    }
    low
}

/// Every claim that may be of use, by their ends: for each window as the last one, that of it
/// alone and those of the windows that chain back from it, where they ask for more.
fn claims<'a>(order: impl Iterator<Item = &'a Need>, cuts: &[i64]) -> Vec<Claim> {
    let mut claims = Vec::with_capacity(order.size_hint().0);
    let mut seen: Vec<Vec<(i64, i64)>> = Vec::new();
    let mut openings: Vec<i64> = Vec::new();
    let mut cuts_upto = 0;
    for last in order {
        while cuts.get(cuts_upto).is_some_and(|&cut| cut <= last.hi) {
            cuts_upto += 1;
        }
        openings.clear();
        openings.push(last.lo);
        if let Some(StationId(station)) = last.station {
            let station = usize::from(station);
            if seen.len() <= station {
                seen.resize_with(station + 1, Vec::new);
            }
            if let Some(seen) = seen.get_mut(station) {
                // A window that ends before the least opening so far adds a claim of its own.
                let mut least = last.lo;
                for &(lo, hi) in seen.iter().rev().take(TOGETHER) {
                    if hi < least {
                        break;
                    }
                    least = least.min(lo);
                    openings.push(lo);
                }
                seen.push((last.lo, last.hi));
            }
        }
        if openings.len() > 1 {
            openings.sort_unstable_by(|a, b| b.cmp(a));
        }
        let mut asked = 0;
        for (n, &lo) in openings.iter().enumerate() {
            let cut_before = |i: usize| cuts.get(i).is_some_and(|&cut| cut < lo);
            let cuts = count(cuts_upto - before(cuts_upto, cut_before));
            let windows = count(n + 1);
            if windows.saturating_sub(cuts) > asked {
                asked = windows - cuts;
                claims.push(Claim { lo, hi: last.hi, station: last.station, windows, cuts });
            }
        }
    }
    claims
}

/// For each claim: the most stops that claims up to it ask for without a common point, and whether
/// it is one of them.
fn most(claims: &[Claim]) -> Vec<(u32, bool)> {
    let mut most: Vec<(u32, bool)> = Vec::with_capacity(claims.len());
    for (i, claim) in claims.iter().enumerate() {
        let upto = |n: usize| n.checked_sub(1).and_then(|i| most.get(i)).map_or(0, |m| m.0);
        let without = upto(i);
        let asked = claim.windows.saturating_sub(claim.cuts);
        let with = upto(ended_before(claims, claim.lo, i)).saturating_add(asked);
        most.push((without.max(with), with > without));
    }
    most
}

fn ended_before(claims: &[Claim], at: i64, upto: usize) -> usize {
    before(upto, |i| claims.get(i).is_some_and(|claim| claim.hi < at))
}

fn chosen(claims: &[Claim], most: &[(u32, bool)]) -> Vec<Claim> {
    let mut chosen = Vec::new();
    let mut upto = claims.len();
    while let Some(i) = upto.checked_sub(1) {
        let (Some(claim), Some((_, taken))) = (claims.get(i), most.get(i)) else { break };
        if *taken {
            chosen.push(*claim);
            upto = ended_before(claims, claim.lo, i);
        } else {
            upto = i;
        }
    }
    chosen.reverse();
    chosen
}

/// Both bounds of a run: the strip starts at `start`, `cuts` (ascending, distinct) say which cut
/// off a good piece.
pub fn run_bound(
    line: &Line,
    geometry: &Geometry,
    start: Advance,
    needs: &[Need],
    cuts: &[(i64, bool)],
) -> RunBound {
    let places: Vec<i64> = cuts.iter().map(|(at, _)| *at).collect();
    let order = by_end(needs);
    let asked = most(&claims(order.iter(), &places)).last().map_or(0, |m| m.0);
    let stops = count(places.len()).saturating_add(asked);
    let at_start = |at: i64| geometry.advance(at) <= start;
    let free = places.iter().any(|&cut| at_start(cut)) || needs.iter().any(|n| at_start(n.lo));
    let moved = stops.saturating_sub(u32::from(free));
    let good = cuts.iter().filter(|(_, good)| *good).count();
    let time = TimeBreakdown {
        moves: moving(&line.feed, geometry, start, &order, &places),
        settle: times(line.feed.settle, moved),
        strokes: striking(&order),
        cuts: times(line.shear.time, count(cuts.len())),
        unloading: times(line.unloading, count(good)),
        ..TimeBreakdown::default()
    };
    RunBound { stops, time }
}

pub(super) fn times(time: Time, n: u32) -> Time {
    Time::from_ns(time.ns().saturating_mul(i64::from(n)))
}

/// ∫ N(τ) dτ: a step of τ for each stroke time there is. `order` is by the ends of windows.
fn striking(order: &[Need]) -> Time {
    let mut levels: Vec<Time> = order.iter().map(|n| n.time).collect();
    levels.sort_unstable();
    levels.dedup();
    let mut below = Time::ZERO;
    let mut sum = Time::ZERO;
    for level in levels {
        let slow = claims(order.iter().filter(|n| n.time >= level), &[]);
        let stops = most(&slow).last().map_or(0, |m| m.0);
        sum += times(Time::from_ns(level.ns() - below.ns()), stops);
        below = level;
    }
    sum
}

/// The cuts, and as many windows without a cut as lie apart from each other, in order; the needs
/// are given by the ends of their windows.
fn chain(order: &[Need], cuts: &[i64]) -> Vec<(i64, i64)> {
    let mut cuts = cuts.iter().copied().peekable();
    let mut chain: Vec<(i64, i64)> = Vec::new();
    let mut end = i64::MIN;
    for need in order {
        while let Some(cut) = cuts.next_if(|&cut| cut <= need.hi) {
            chain.push((cut, cut));
            end = cut;
        }
        if need.lo > end {
            chain.push((need.lo, need.hi));
            end = need.hi;
        }
    }
    chain.extend(cuts.map(|cut| (cut, cut)));
    chain
}

fn moving(feed: &Feed, geometry: &Geometry, start: Advance, needs: &[Need], cuts: &[i64]) -> Time {
    let places: Vec<(Length, Length)> = chain(needs, cuts)
        .into_iter()
        .map(|(lo, hi)| (geometry.length(lo), geometry.length(hi)))
        .collect();
    let by_ends = by_ends(feed, start.distance(), &places);
    // Without a jerk the gaps cannot say more.
    match feed.jerk {
        None => by_ends,
        Some(_) => by_ends.max(by_gaps(feed, start.distance(), &places)),
    }
}

/// No more than the exact time of a move: a place before the start is reached at it.
fn at_least(feed: &Feed, from: Length, to: Length) -> Time {
    let whole = Length::from_um((to - from).max(Length::ZERO).nm() / 1_000);
    Time::from_ns((move_time(feed, whole).ns() - 2).max(0))
}

fn by_gaps(feed: &Feed, start: Length, places: &[(Length, Length)]) -> Time {
    let mut sum = Time::ZERO;
    let mut end = start;
    for &(lo, hi) in places {
        sum += at_least(feed, end, lo);
        end = hi.max(start);
    }
    sum
}

/// Least time to each end of the last window.
fn by_ends(feed: &Feed, start: Length, places: &[(Length, Length)]) -> Time {
    let trapezoid = Feed { jerk: None, ..*feed };
    // A cut has one end only: half the ways.
    let mut last = ((start, Time::ZERO), None);
    for &(lo, hi) in places {
        let least = |to: Length| {
            let way = |(from, so_far): (Length, Time)| so_far + at_least(&trapezoid, from, to);
            let first = way(last.0);
            (to, last.1.map_or(first, |other| first.min(way(other))))
        };
        let (lo, hi) = (lo.max(start), hi.max(start));
        last = (least(lo), (lo < hi).then(|| least(hi)));
    }
    last.1.map_or(last.0.1, |(_, time)| time.min(last.0.1))
}
