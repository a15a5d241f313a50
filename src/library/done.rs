//! Pieces of a batch that need not be made any more: `done.toml`.

use super::common::{Found, few_enough, finding, out_of_range};
use super::model;
use super::reading::{At, wire};
use crate::diagnostic::codes::library as codes;
use std::collections::BTreeSet;

/// Most pieces of a file: as many as are planned at once.
const MOST: usize = 500_000;

wire! {
    /// What need not be made any more: pieces that programs before this batch have made or will
    /// finish.
    pub struct Done {
        /// The highest serial used so far, for these pieces and for any that were scrapped: new
        /// pieces count on from there.
        last_serial: At<i64>,
        /// The pieces.
        piece: Option<Vec<DonePiece>>,
    }
    /// One piece that is there, or soon will be.
    pub struct DonePiece {
        /// Its number on the run sheet that it was made from.
        serial: At<i64>,
        /// Its job.
        job: At<String>,
        /// Its frame.
        frame: At<String>,
        /// Which copy of the frame; 1 when left out.
        #[schemars(extend("default" = 1))]
        copy: Option<At<i64>>,
        /// Its mark.
        mark: At<String>,
    }
}

/// The pieces, each serial once and none above the highest used.
pub(super) fn settle(wire: &Done, found: &mut Found) -> model::Done {
    let last = u32::try_from(wire.last_serial.value).ok().filter(|&last| last <= LAST);
    if last.is_none() {
        let message = format!("{} is not the highest serial used", wire.last_serial.value);
        let help = "write the highest number of the run sheets before; 0 if there is none";
        out_of_range(found, wire.last_serial.span, message, help);
    }
    let last = last.unwrap_or(LAST);
    let texts = wire.piece.as_deref().unwrap_or_default();
    few_enough(found, "pieces", texts.len(), MOST, wire.span);
    let mut used = BTreeSet::new();
    let mut pieces = Vec::with_capacity(texts.len());
    for text in texts {
        let serial = u32::try_from(text.serial.value).ok().filter(|s| (1..=last).contains(s));
        let Some(serial) = serial else {
            let message = format!("serial {} is not from 1 to {last}", text.serial.value);
            let help = "take serials from the run sheet; the highest of all is `last-serial`";
            out_of_range(found, text.serial.span, message, help);
            continue;
        };
        if !used.insert(serial) {
            found.push(finding(
                &codes::E0308,
                text.serial.span,
                format!("serial {serial} is there twice"),
                "used before",
                "a serial is used once: look at the run sheet",
            ));
        }
        let copy = text.copy.as_ref().map_or(Some(1), |at| {
            let copy = u32::try_from(at.value).ok().filter(|&copy| copy > 0);
            if copy.is_none() {
                let message = format!("there is no copy {}", at.value);
                out_of_range(found, at.span, message, "copies of a frame count from 1");
            }
            copy
        });
        let Some(copy) = copy else { continue };
        pieces.push(model::DonePiece {
            serial,
            job: text.job.value.as_str().into(),
            frame: text.frame.value.as_str().into(),
            copy,
            mark: text.mark.value.as_str().into(),
            span: text.span,
        });
    }
    model::Done { last_serial: last, pieces }
}

/// Room is left for the pieces of this batch.
const LAST: u32 = 4_000_000_000;
