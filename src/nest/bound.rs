use super::instance::Instance;
use crate::quantity::Length;

/// What no plan can beat, for this profile's members on this stock.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Bound {
    /// Least strip used up: members, slugs, heads and what is lost at the ends of coils.
    pub strip: Length,
    /// Fewest coils.
    pub coils: usize,
}

/// Lower bound on the strip used up by any plan that makes everything.
///
/// Members and slugs are the same in every plan. At least as many coils are needed as the
/// longest ones hold; each of them starts with a head no smaller than the `least_heads` listed
/// (ascending, one a coil), and all but one that may stay threaded lose the lesser of what
/// parting costs and what cannot be driven (less than nothing where the last slug may fall off
/// the coil's end; a further coil still costs its head, which is no shorter than a slug). The head part is proved by exchange, the end part
/// argued: see DEVELOPERS.md.
pub fn bound(instance: &Instance, least_heads: &[Length], least_end: Length) -> Bound {
    let material: Length = instance.bundles.iter().map(|b| b.length).sum();
    if material == Length::ZERO {
        return Bound::default();
    }
    let mut lengths: Vec<Length> = instance.coils.iter().map(|c| c.length).collect();
    lengths.sort_unstable_by(|a, b| b.cmp(a));
    let mut coils = 0;
    let mut held = Length::ZERO;
    for length in lengths {
        if held >= material {
            break;
        }
        // A last slug that falls off the end lets a coil hold that much more.
        held += length - least_end.min(Length::ZERO);
        coils += 1;
    }
    let heads: Length = least_heads.iter().take(coils).copied().sum();
    let stays = instance.policy.last_stays && !least_end.is_negative();
    let ends = coils.saturating_sub(usize::from(stays));
    let end_loss = least_end.times(i64::try_from(ends).unwrap_or(0));
    Bound { strip: material + heads + end_loss, coils }
}
