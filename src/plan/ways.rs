//! Which way each piece of a run is made, where its line offers several.

use super::model::Inputs;
use super::nesting::RunDraft;
use crate::member::model::{Member, Shape};
use crate::sequence::{self, Choosing, Chosen, Marking};
use crate::tooling::{Alternatives, BoundShape};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The pieces of a run that are better made another way than the usual one.
pub(super) fn better(
    inputs: &Inputs<'_>,
    draft: &RunDraft,
    members: &[&Member],
    shapes: &[&BoundShape],
    markings: &[Marking],
) -> Chosen {
    // Members made alike share one allocation; the address only finds it again.
    let mut known: BTreeMap<(*const Shape, bool), Option<u32>> = BTreeMap::new();
    let mut distinct: Vec<(Cow<'_, Shape>, &Member, &BoundShape)> = Vec::new();
    let mut drawn_of: Vec<Option<u32>> = Vec::with_capacity(members.len());
    for ((member, turned), bound) in members.iter().zip(&draft.turned).zip(shapes) {
        let key = (std::sync::Arc::as_ptr(&member.shape), *turned);
        drawn_of.push(*known.entry(key).or_insert_with(|| {
            let shape = match turned {
                false => Cow::Borrowed(&*member.shape),
                true => Cow::Owned(member.shape.turned()?),
            };
            distinct.push((shape, member, bound));
            u32::try_from(distinct.len() - 1).ok()
        }));
    }
    let mut offers = Vec::new();
    let mut offer_of_shape: Vec<Option<u32>> = Vec::with_capacity(distinct.len());
    for (shape, member, bound) in &distinct {
        let (library, line, geometry) = (inputs.library, inputs.line, &draft.geometry);
        let offer = Alternatives::of(shape, member.span, library, line, geometry, bound);
        offer_of_shape.push(offer.and_then(|offer| {
            offers.push(offer);
            u32::try_from(offers.len() - 1).ok()
        }));
    }
    if offers.is_empty() {
        return Chosen::new();
    }
    let offer_of: Vec<Option<u32>> = drawn_of
        .iter()
        .map(|shape| offer_of_shape.get((*shape)? as usize).copied().flatten())
        .collect();
    let stamps = inputs.line.marker.as_ref().is_some_and(|marker| marker.stamp.is_some());
    sequence::choose(&Choosing {
        line: inputs.line,
        geometry: &draft.geometry,
        laid: &draft.laid,
        shapes,
        offer_of: &offer_of,
        offers: &offers,
        stamped: if stamps { markings } else { &[] },
        warm: draft.coil.threaded,
    })
}
