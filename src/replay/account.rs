use super::Ending;
use super::machine::Machine;
use super::products::Piece;
use crate::library::model::AtEnd;
use crate::program::StripAccount;
use crate::quantity::{Length, Strip};

/// Books every nanometre of the strip from what dropped, along the middle of the web: that is what
/// a piece with sloped ends takes, and weighs.
///
/// Scrap before the last good piece is head; between two good pieces it is a gap, made to pass a
/// defect where it (with the slugs beside it) touches one, else between ends that slope
/// differently. Scrap after the last good piece is
/// tail. What is left on the coil is remnant if it is worth keeping once the coil is parted.
pub(super) fn close(
    pieces: &[Piece],
    machine: &Machine,
    edge: Strip,
    ending: &Ending,
) -> StripAccount {
    let mut account = StripAccount { strip: machine.strip, ..StripAccount::default() };
    let first_good = pieces.iter().position(|p| p.serial.is_some());
    let last_good = pieces.iter().rposition(|p| p.serial.is_some());
    for (index, piece) in pieces.iter().enumerate() {
        let length = piece.cut - piece.start;
        // Of a slug past the coil's end only what is there is lost.
        account.slug += machine.slug.min(Strip::at(machine.strip) - piece.cut);
        if piece.serial.is_some() {
            account.good += length;
        } else if last_good.is_none_or(|last| index > last) {
            account.tail += length;
        } else {
            account.head += length;
            if first_good.is_some_and(|first| index > first) {
                if touches_defect(piece, machine) {
                    account.head_at_defects += length;
                } else if piece.slopes.0 != piece.slopes.1 {
                    account.head_at_slopes += length;
                } else {
                    account.head_at_gaps += length;
                }
            }
        }
    }
    let rest = Strip::at(machine.strip) - edge;
    let lost = match ending.at_end {
        AtEnd::Unload => machine.ends.parting.min(rest),
        AtEnd::StayThreaded => Length::ZERO,
    };
    if rest - lost >= ending.keep {
        account.tail += lost;
        account.remnant = rest - lost;
    } else {
        account.tail += rest;
    }
    account
}

fn touches_defect(piece: &Piece, machine: &Machine) -> bool {
    let (from, to) = (piece.start - machine.slug, piece.cut + machine.slug);
    let next = machine.defects.partition_point(|&(_, end)| end <= from);
    machine.defects.get(next).is_some_and(|&(begin, _)| begin < to)
}
