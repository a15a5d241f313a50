//! Filling coils where frames may be left unfinished: at most so many at a time.

use super::fill::best_subset;
use super::instance::Instance;
use super::solution::{Load, Solution};
use crate::quantity::Length;
use std::collections::VecDeque;

/// Most bundles that are looked through for those that fill a coil's end.
const LOOK_AHEAD: usize = 512;

/// How often a bar is filled anew because of the head its pieces ask for.
const TRIES: usize = 16;

/// Bundles of one frame that are not made yet.
#[derive(Clone)]
struct Frame {
    rank: usize,
    left: Vec<usize>,
    length: Length,
}

/// Fills coils one after the other in this order. The first `open` frames that are left and may
/// be begun are the only ones that are ever unfinished: whole frames are taken in order while
/// these all fit, then pieces of them fill the coil's end.
pub(super) fn fill(instance: &Instance, order: &[usize], open: usize) -> Solution {
    let mut frames: VecDeque<Frame> = VecDeque::new();
    let mut last = None;
    for (index, bundle) in instance.bundles.iter().enumerate() {
        if last != Some(bundle.frame) {
            last = Some(bundle.frame);
            frames.push_back(Frame { rank: bundle.rank, left: Vec::new(), length: Length::ZERO });
        }
        if let Some(frame) = frames.back_mut() {
            frame.left.push(index);
            frame.length += bundle.length;
        }
    }
    let mut solution = Solution::default();
    for &coil in order {
        let Some(space) = instance.coils.get(coil) else { continue };
        let mut room = space.capacity();
        let mut bundles = Vec::new();
        for _ in 0..TRIES {
            let before = space.bar.map(|_| frames.clone());
            bundles = fill_coil(instance, room, open, &mut frames);
            let pieces = bundles.iter().filter_map(|&b| instance.bundles.get(b));
            let over = instance.over_bar(space, pieces.flat_map(|b| b.pieces.iter().copied()));
            let Some(before) = before.filter(|_| over > Length::ZERO) else { break };
            // The tools ask for more head than was thought: fill less of the bar.
            frames = before;
            bundles = Vec::new();
            room -= over;
        }
        if !bundles.is_empty() {
            solution.loads.push(Load { coil, bundles });
        }
        if frames.is_empty() {
            break;
        }
    }
    solution.short = frames.into_iter().flat_map(|frame| frame.left).collect();
    solution
}

fn fill_coil(
    instance: &Instance,
    mut room: Length,
    open: usize,
    frames: &mut VecDeque<Frame>,
) -> Vec<usize> {
    let length = |b: usize| instance.bundles.get(b).map_or(Length::ZERO, |b| b.length);
    let mut taken = Vec::new();
    loop {
        let Some(oldest) = frames.front().map(|frame| frame.rank) else { return taken };
        let allowed = |frame: &&Frame| instance.policy.order.allows(frame.rank, oldest);
        let window = frames.iter().take(open.max(1)).take_while(allowed).count();
        let whole: Length = frames.iter().take(window).map(|frame| frame.length).sum();
        if whole > room {
            let pieces: Vec<usize> = frames
                .iter()
                .take(window)
                .flat_map(|frame| &frame.left)
                .take(LOOK_AHEAD)
                .copied()
                .collect();
            let lengths: Vec<Length> = pieces.iter().map(|&b| length(b)).collect();
            let picked = best_subset(&lengths, room);
            let mut chosen = pieces.iter().zip(&picked).filter(|(_, p)| **p).map(|(b, _)| *b);
            let mut next = chosen.next();
            for frame in frames.iter_mut().take(window) {
                frame.left.retain(|&b| {
                    let goes = next == Some(b);
                    if goes {
                        taken.push(b);
                        next = chosen.next();
                    }
                    !goes
                });
                frame.length = frame.left.iter().map(|&b| length(b)).sum();
            }
            frames.retain(|frame| !frame.left.is_empty());
            return taken;
        }
        if let Some(first) = frames.pop_front() {
            room -= first.length;
            taken.extend(first.left);
        }
    }
}
