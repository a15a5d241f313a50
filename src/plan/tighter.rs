//! Who allows more never gets a worse plan: what stays together more than the batch asks for is a
//! plan too. Where the plan is not known to be the least, tighter bundling is tried as well.

use super::bound_shapes::BoundProfile;
use super::model::{Inputs, Options, Watch};
use super::nesting::{Nested, Rack, account, change_worth, nested};
use super::order_check::keeps_order;
use super::pieces::Pieces;
use crate::diagnostic::any_error;
use crate::library::model::{Batch, Bundling};
use crate::nest::Bundle;
use crate::quantity::Length;

/// So many frames open side by side are tried; of eight or sixteen one more or less is a detail.
const OPEN: [usize; 6] = [1, 2, 3, 4, 8, 16];

/// Up to so many pieces frames open side by side are tried where the batch allows more than these.
const FEW: usize = 4_000;

/// What a plan of a profile comes to; the less the better.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct ComesTo {
    /// Strip of the pieces that are not made.
    pub short: Length,
    /// Strip used up, and what changes of coils are worth.
    pub used: Length,
    /// Strip on coils that were whole before.
    pub opened: Length,
}

impl ComesTo {
    pub(super) fn of(
        inputs: &Inputs<'_>,
        of: &BoundProfile,
        rack: &Rack<'_>,
        nested: &Nested,
    ) -> ComesTo {
        let Nested { instance, solution, laid, .. } = nested;
        let short = solution.short.iter().filter_map(|&b| instance.bundles.get(b));
        let mut comes_to = ComesTo {
            short: short.map(Bundle::in_pieces).sum(),
            used: Length::ZERO,
            opened: Length::ZERO,
        };
        for (i, (coil, lies)) in laid.iter().enumerate() {
            let Some(coil) = rack.counted.get(*coil) else { continue };
            let stays = rack.stays(inputs, i + 1 == laid.len(), coil);
            comes_to.used += account(inputs, of, coil, lies, stays).consumed();
            if !(i == 0 && coil.threaded) {
                comes_to.used += change_worth(inputs, coil);
            }
            if !coil.part_used {
                comes_to.opened += coil.length;
            }
        }
        comes_to
    }
}

/// A plan of tighter bundling that comes to less than `least`, if one is found: of those the
/// least. `is_least` says of what one comes to whether no plan comes to less.
#[allow(clippy::too_many_arguments)] // one call site; a struct would only rename them
pub(super) fn better(
    inputs: &Inputs<'_>,
    options: &Options,
    watch: &dyn Watch,
    pieces: &Pieces<'_>,
    of: &BoundProfile,
    rack: &Rack<'_>,
    mut least: ComesTo,
    is_least: &dyn Fn(ComesTo) -> bool,
) -> Option<Nested> {
    let mut best = None;
    for bundling in tighter(inputs.batch.bundling, of.pieces.len()) {
        if is_least(least) || watch.stopped() {
            break;
        }
        let batch = Batch { bundling, ..inputs.batch.clone() };
        let tried = Inputs { batch: &batch, ..*inputs };
        // What frames that stay whole would be told of is nothing this batch asks for.
        let mut found = Vec::new();
        let nested = nested(&tried, options, watch, pieces, of, rack, &mut found);
        let comes_to = ComesTo::of(inputs, of, rack, &nested);
        if comes_to < least && !any_error(&found) && keeps_order(inputs, pieces, of, &nested.laid) {
            least = comes_to;
            best = Some(nested);
        }
    }
    best
}

/// What allows less, from the tightest on.
fn tighter(bundling: Bundling, pieces: usize) -> Vec<Bundling> {
    let few = |most: usize| OPEN.iter().copied().take_while(move |open| *open < most);
    let open: Vec<usize> = match bundling {
        Bundling::Frame => return Vec::new(),
        Bundling::Open(most) => few(most).collect(),
        Bundling::None => few(pieces).collect(),
    };
    let open = open.into_iter().filter(|_| pieces <= FEW).map(Bundling::Open);
    std::iter::once(Bundling::Frame).chain(open).collect()
}
