use super::instance::Instance;
use crate::quantity::Length;

/// Lower bound on the strip used up by any plan that makes everything.
///
/// Members and slugs are the same in every plan, and so are gaps that bundles have in any order. At least as many coils are needed as the
/// longest ones hold; each of them starts with a head no smaller than the `least_heads` listed
/// (ascending, one a coil), and all but one that may stay threaded lose the lesser of what
/// parting costs and what cannot be driven: less than nothing where the last slug may fall off
/// the coil's end. The head part is proved by exchange, the end part argued: see DEVELOPERS.md.
///
/// Where no order of all pieces falls into fewer than `runs` of shared cuts, each coil begins one
/// of them and every other costs `gap`, or a coil more; gaps within bundles are among these.
pub fn bound(
    instance: &Instance,
    least_heads: &[Length],
    least_end: Length,
    (runs, gap): (usize, Length),
) -> Length {
    let material: Length = instance.bundles.iter().map(|b| b.length).sum();
    if material == Length::ZERO {
        return Length::ZERO;
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
    // Another coil, for as long as that is cheaper than a gap.
    let mut broken = Length::ZERO;
    let others = least_heads.iter().skip(coils).map(|head| *head + least_end);
    let mut others = others.map(|coil| coil.max(Length::ZERO).min(gap));
    let within: usize = instance.bundles.iter().map(|b| b.gaps).sum();
    for _ in coils.max(1)..runs.saturating_sub(within) {
        broken += others.next().unwrap_or(gap);
    }
    material + heads + end_loss + broken
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::library::model::{Bundling, JobOrder};
    use crate::nest::{Bundle, CoilSpace, Policy};

    fn instance(members: i64, coils: &[i64], last_stays: bool) -> Instance {
        let mm = Length::from_mm;
        Instance {
            bundles: vec![Bundle {
                rank: 0,
                length: mm(members),
                pieces: vec![0],
                frame: 0,
                gaps: 0,
                in_gaps: Length::ZERO,
            }],
            pitches: vec![mm(members)],
            heads: Vec::new(),
            coils: coils
                .iter()
                .map(|&length| CoilSpace {
                    coil: 0,
                    length: mm(length),
                    reserve: Length::ZERO,
                    tail: Length::ZERO,
                    part_used: false,
                    threaded: false,
                    parting: mm(2),
                    opening: mm(1),
                    head: Length::ZERO,
                    bar: None,
                })
                .collect(),
            policy: Policy {
                bundling: Bundling::None,
                order: JobOrder::Free,
                keep: mm(10),
                last_stays,
            },
        }
    }

    fn bound_of(members: i64, coils: &[i64], stays: bool, heads: &[i64], end: i64) -> i64 {
        let heads: Vec<Length> = heads.iter().map(|&h| Length::from_mm(h)).collect();
        let whole = (1, Length::ZERO);
        bound(&instance(members, coils, stays), &heads, Length::from_mm(end), whole).nm()
            / 1_000_000
    }

    #[test]
    fn runs_that_share_no_cut_cost_gaps_or_coils() {
        let mm = Length::from_mm;
        let of = |runs, gap: i64| {
            let heads = [mm(7), mm(9), mm(30)];
            let all = bound(&instance(101, &[60, 100, 20], false), &heads, mm(2), (runs, mm(gap)));
            all.nm() / 1_000_000 - (101 + 7 + 9 + 2 * 2)
        };
        assert_eq!((of(1, 5), of(2, 5)), (0, 0), "each of two coils begins one");
        assert_eq!((of(3, 5), of(6, 5)), (5, 20));
        // A third coil costs 30 and 2, and there is no fourth.
        assert_eq!((of(3, 40), of(5, 40)), (32, 32 + 2 * 40));
    }

    #[test]
    fn as_many_heads_and_ends_as_coils_are_needed() {
        assert_eq!(bound_of(0, &[100], false, &[7], 2), 0);
        assert_eq!(bound_of(100, &[100, 60], false, &[7, 9], 2), 109);
        assert_eq!(bound_of(101, &[60, 100], false, &[7, 9], 2), 101 + 7 + 9 + 2 * 2);
        assert_eq!(bound_of(101, &[60, 100], true, &[7, 9], 2), 101 + 7 + 9 + 2);
    }

    #[test]
    fn a_slug_that_falls_off_the_end_is_not_paid_for() {
        // A coil of 100 mm holds members and slugs of 104 mm, the last slug being air.
        assert_eq!(bound_of(104, &[100, 60], false, &[0, 9], -4), 100);
        assert_eq!(bound_of(104, &[100, 60], true, &[0, 9], -4), 100);
        assert_eq!(bound_of(105, &[100, 60], false, &[0, 9], -4), 105 + 9 - 2 * 4);
    }
}
