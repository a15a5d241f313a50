//! What the exact searches share. Both go along the strip from place to place and keep, for each
//! past that may still turn out best, which of the strokes now due have fired.

use super::exact::{Halt, Instance, index, span};
use std::iter::Peekable;
use std::vec::IntoIter;

/// Steps of search that are left.
pub(super) struct Work(pub(super) u64);

impl Work {
    /// `None` when they are spent.
    pub(super) fn spend(&mut self, steps: usize) -> Option<()> {
        self.0 = self.0.checked_sub(u64::try_from(steps).unwrap_or(u64::MAX))?;
        Some(())
    }
}

/// How each past came about: its last halt, and the one before.
#[derive(Default)]
pub(super) struct Trail {
    halts: Vec<(Option<u32>, Halt)>,
}

impl Trail {
    pub(super) fn push(&mut self, before: Option<u32>, halt: Halt) -> u32 {
        self.halts.push((before, halt));
        index(self.halts.len() - 1)
    }
    /// All halts of a past, in order.
    pub(super) fn back_from(&self, mut last: Option<u32>) -> Vec<Halt> {
        let mut plan = Vec::new();
        while let Some((before, halt)) = last.and_then(|i| self.halts.get(i as usize)) {
            plan.push(halt.clone());
            last = *before;
        }
        plan.reverse();
        plan
    }
}

/// A past: what has fired of the strokes now due, by the bits of their slots.
pub(super) trait Past {
    fn fired(&mut self) -> &mut u128;
}

/// A stroke that is due here: its bit among the fired.
#[derive(Clone, Copy)]
pub(super) struct Slot {
    pub(super) bit: u32,
    pub(super) stroke: u32,
}

/// The strokes along the strip, and those now due.
pub(super) struct Strokes {
    spans: Vec<(i64, i64)>,
    coming: Peekable<IntoIter<u32>>,
    pub(super) due: Vec<Slot>,
}

impl Strokes {
    /// `None` where a stroke has no place at all.
    pub(super) fn of(instance: &Instance) -> Option<Strokes> {
        let spans: Vec<(i64, i64)> = instance.strokes.iter().map(|ways| span(ways)).collect();
        if spans.iter().any(|(lo, hi)| lo > hi) {
            return None;
        }
        let mut coming: Vec<u32> = (0..spans.len()).map(index).collect();
        coming.sort_by_key(|&i| spans.get(i as usize).map(|s| (s.0, s.1)));
        Some(Strokes { spans, coming: coming.into_iter().peekable(), due: Vec::new() })
    }
    /// First and last place of each.
    pub(super) fn spans(&self) -> &[(i64, i64)] {
        &self.spans
    }
    /// Goes on to a place: pasts in which a stroke that is no longer due has not fired are none.
    /// `false` where a stroke came and went between two places, `None` where too many are due at
    /// once.
    pub(super) fn go_to<P: Past>(&mut self, at: i64, pasts: &mut Vec<P>) -> Option<bool> {
        let Strokes { spans, coming, due } = self;
        let of = |i: u32| spans.get(i as usize).copied().unwrap_or((i64::MAX, i64::MIN));
        for slot in due.extract_if(.., |slot| of(slot.stroke).1 < at) {
            pasts.retain_mut(|past| *past.fired() >> slot.bit & 1 == 1);
            for past in &mut *pasts {
                *past.fired() &= !(1 << slot.bit);
            }
        }
        while let Some(stroke) = coming.next_if(|&i| of(i).0 <= at) {
            if of(stroke).1 < at {
                return Some(false);
            }
            let bit = (0..128).find(|bit| due.iter().all(|slot| slot.bit != *bit))?;
            due.push(Slot { bit, stroke });
        }
        Some(true)
    }
    /// The pasts in which every stroke has fired; none while some are still to come.
    pub(super) fn whole<P: Past>(&mut self, mut pasts: Vec<P>) -> Vec<P> {
        let all = mask(&self.due);
        if self.coming.peek().is_some() {
            pasts.clear();
        }
        pasts.retain_mut(|past| *past.fired() == all);
        pasts
    }
}

/// The bits of these strokes.
pub(super) fn mask(slots: &[Slot]) -> u128 {
    slots.iter().fold(0, |mask, slot| mask | 1 << slot.bit)
}
