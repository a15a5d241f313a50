use super::{Expected, named};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::Marker;
use crate::program::Serial;
use crate::quantity::{Advance, Length};
use crate::replay::print::extent;
use crate::replay::products::{Piece, Products, Text};
use crate::replay::refusals::{COMPILE_AGAIN, Refusals, numbered};
use std::collections::BTreeMap;

/// Which pieces are wanted, and which have come off.
pub(super) struct Book<'e> {
    expected: &'e [Expected<'e>],
    /// Index of each serial, and the event that dropped it.
    by_serial: BTreeMap<Serial, (usize, Option<usize>)>,
}

impl<'e> Book<'e> {
    pub(super) fn new(expected: &'e [Expected<'e>]) -> Book<'e> {
        let by_serial =
            expected.iter().enumerate().map(|(index, e)| (e.serial, (index, None))).collect();
        Book { expected, by_serial }
    }
    /// The wanted piece a cut claims.
    pub(super) fn claim(
        &mut self,
        serial: Serial,
        event: usize,
        findings: &mut Refusals,
    ) -> Option<&'e Expected<'e>> {
        match self.by_serial.get_mut(&serial) {
            None => {
                findings.add(Some(event), || {
                    let message = format!(
                        "{} drops a piece with serial {serial}, which is not of this program",
                        numbered(event)
                    );
                    Diagnostic::new(&codes::E0840, message).help(COMPILE_AGAIN)
                });
                None
            }
            Some((_, Some(before))) => {
                let before = *before;
                findings.add(Some(event), || {
                    let message = format!(
                        "{} drops piece {serial} again; {} has dropped it already",
                        numbered(event),
                        numbered(before)
                    );
                    Diagnostic::new(&codes::E0841, message).help(COMPILE_AGAIN)
                });
                None
            }
            Some((index, dropped)) => {
                *dropped = Some(event);
                self.expected.get(*index)
            }
        }
    }
    /// Finds what never dropped.
    pub(super) fn missing(&self, findings: &mut Refusals, at_fault: &mut Vec<Serial>) {
        for (index, wanted) in self.expected.iter().enumerate() {
            // A serial that is wanted twice can drop once only.
            let dropped = self
                .by_serial
                .get(&wanted.serial)
                .is_some_and(|&(of, dropped)| of == index && dropped.is_some());
            if !dropped {
                at_fault.push(wanted.serial);
                findings.add(None, || {
                    let message = format!("{} never drops", named(wanted));
                    Diagnostic::new(&codes::E0842, message).help(COMPILE_AGAIN)
                });
            }
        }
    }
}

/// Whether the piece carries its own mark and no other.
///
/// Where the line has no marker, the text does not fit on the member, or its place had passed the
/// marker when the strip was threaded, the piece is known by its place in the program alone.
pub(super) fn mark(products: &Products, piece: &Piece, wanted: &Expected, findings: &mut Refusals) {
    let texts = products.texts_on(piece);
    let Some(marker) = &products.line.marker else { return };
    if let [text] = texts
        && *text.text == *wanted.mark_text
    {
        return in_place(products, piece, marker, wanted, text, findings);
    }
    if texts.is_empty() {
        if can_be_printed(products, piece, marker, wanted.mark_text) {
            findings.add(Some(piece.event), || {
                let message = format!(
                    "{} drops at {} with nothing printed on it",
                    named(wanted),
                    numbered(piece.event)
                );
                Diagnostic::new(&codes::E0843, message).help(COMPILE_AGAIN)
            });
        }
        return;
    }
    let event = texts.iter().find(|text| *text.text != *wanted.mark_text).or(texts.first());
    findings.add(event.map(|text| text.event), || {
        let shown: Vec<String> = texts
            .iter()
            .take(4)
            .map(|text| format!("`{}` ({})", text.text, numbered(text.event)))
            .collect();
        let message = format!(
            "{} carries {}; wanted {}",
            named(wanted),
            shown.join(" and "),
            if wanted.mark_text.is_empty() {
                "no mark".to_string()
            } else {
                format!("`{}` once", wanted.mark_text)
            }
        );
        Diagnostic::new(&codes::E0844, message).help(COMPILE_AGAIN)
    });
}

/// A mark begins where the line's marker has its place, or as near as the line can stop: a stamp
/// within its slack.
fn in_place(
    products: &Products,
    piece: &Piece,
    marker: &Marker,
    wanted: &Expected,
    text: &Text,
    findings: &mut Refusals,
) {
    let due = marker.from_start.stretched(products.factor);
    let slack = marker.stamp.map_or(Length::ZERO, |stamp| stamp.slack);
    // A nanometre: the half of an odd increment.
    let nearest = products.line.grid.increment().half() + Length::from_nm(1);
    let off = text.at - due;
    if off.abs() <= slack.max(nearest) {
        return;
    }
    findings.add(Some(text.event), || {
        let message = format!(
            "{} carries its mark from {} mm of its start on ({}); the marker's place is {due} mm \
             from there, give or take {slack} mm",
            named(wanted),
            text.at,
            numbered(text.event),
        );
        Diagnostic::new(&codes::E0853, message)
            .note(format!("it drops at {}", numbered(piece.event)))
            .help(COMPILE_AGAIN)
    });
}

/// Whether this line could have marked the piece with the text: ink begins at the stop nearest to
/// its place, a stamp at any within its slack.
fn can_be_printed(products: &Products, piece: &Piece, marker: &Marker, text: &str) -> bool {
    let characters = text.chars().count();
    if characters == 0 || characters > marker.most {
        return false;
    }
    let Some(extent) = extent(marker, text) else { return false };
    let grid = products.line.grid;
    let due =
        piece.short.0.distance() + marker.from_start.stretched(products.factor) - marker.offset;
    let possible = |at: Advance, held: Length| {
        let from = at.strip_at(marker.offset);
        at >= products.start && from >= piece.short.0 && from + extent + held <= piece.short.1
    };
    let nearest = grid.nearest(Advance::at(due));
    let Some(stamp) = marker.stamp else {
        // A marker below the shear is done only when the text has passed it.
        return possible(nearest, Length::ZERO.max(-marker.offset));
    };
    let within = |at: Advance| (at.distance() - due).abs() <= stamp.slack;
    let cut = piece.cut.distance();
    let last = piece.short.1.distance() - extent - marker.offset;
    let last = (due + stamp.slack).min(last).min(cut);
    let last = grid.floor(Advance::at(last));
    if possible(last, Length::ZERO) && within(last) {
        return true;
    }
    possible(nearest, Length::ZERO) && nearest.distance() <= cut
}
