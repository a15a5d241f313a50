//! How to get from the run that was stopped to the runs of this sheet.

use crate::library::model::AppliedBy;
use crate::plan::Inputs;
use crate::quantity::Length;
use crate::report::continues::{Continues, StoodPiece};
use crate::report::sheet::model::{Block, Cell, Table, Words};
use crate::report::units::{figure, short};
use crate::report::words::count;

/// The section; nothing where the batch begins by itself.
pub fn blocks(continues: Option<&Continues>, inputs: &Inputs<'_>) -> Vec<Block> {
    let units = inputs.batch.units;
    let Some(of) = continues else { return Vec::new() };
    let after = &of.after;
    let mut blocks = vec![Block::Heading(2, "First: where the line stands".into())];
    blocks.push(Block::Prose(
        format!(
            "This is the rest of batch {}. Program {} was stopped after piece {} ({} {}), as {} \
             said on {}. {} of that batch need not be made again.",
            of.batch,
            of.program,
            after.serial,
            after.frame,
            after.mark,
            of.said_by,
            of.said_on,
            count(of.done, "piece"),
        )
        .into(),
    ));
    match (&of.finish, of.position_kept) {
        (Some(finish), _) => {
            let kept = "Position kept: the strip stands right after that cut, and nothing has \
                        moved, fired or been opened since. If that is not so, stop here: the \
                        pieces below are scrap, and the rest is compiled again with ";
            blocks.push(Block::Item(Words::from(kept).code("position = \"lost\"").plain(".")));
            let run = "Do not feed. Set the counter to nought where the line stands, and run \
                       program ";
            let mut words =
                Words::from(run).bold(&finish.program).plain(", file ").code(&finish.file);
            for file in &finish.more_files {
                words = words.plain(", then with the counter at nought again ").code(file);
            }
            blocks.push(Block::Item(
                words.plain(": it finishes what is begun, with the calibration it was begun with."),
            ));
            let date = &inputs.calibration.date;
            let then = match inputs.calibration.applied_by {
                AppliedBy::Coilwright => format!(
                    "When its last piece has dropped, go on with run 1: from there the \
                     calibration of {date} counts."
                ),
                AppliedBy::Controller => format!(
                    "The controller applies the calibration: leave its figures as they are until \
                     the last of these has dropped. See then that they are those of {date}, and \
                     go on with run 1."
                ),
            };
            blocks.push(Block::Item(then.into()));
            blocks.push(listed(&finish.pieces));
        }
        (None, true) => blocks.push(Block::Item("Position kept: go on with run 1.".into())),
        (None, false) => {
            let lost = "Position lost: cut the strip by hand, once, and throw away what drops. \
                        The fresh edge at the shear is where run 1 begins. If more of the coil \
                        has gone through, measure what is left and compile again with ";
            blocks.push(Block::Item(Words::from(lost).code("left").plain(".")));
        }
    }
    if of.marked_nm > 0 {
        let marked = format!(
            "The first {} {} behind the edge bear strokes of the old program: run 1 cuts them off \
             as scrap.",
            figure(Length::from_nm(of.marked_nm), units),
            short(units)
        );
        blocks.push(Block::Item(marked.into()));
    }
    for (what, pieces) in [
        (
            "Their marks were being printed when the line stopped: look, and write what is missing",
            &of.half_printed,
        ),
        ("Begun and scrapped, made again with a new serial", &of.scrapped),
        ("No good, taken out of the bundle and made again with a new serial", &of.again),
    ] {
        if !pieces.is_empty() {
            blocks.push(Block::Caption(format!("{what}:").into()));
            blocks.push(listed(pieces));
        }
    }
    blocks
}

fn listed(pieces: &[StoodPiece]) -> Block {
    let rows: Vec<Vec<Cell>> = pieces
        .iter()
        .map(|piece| {
            let copy = if piece.copy > 1 { format!(" no. {}", piece.copy) } else { String::new() };
            vec![
                piece.serial.to_string().into(),
                piece.job.as_str().into(),
                format!("{}{copy}", piece.frame).into(),
                piece.mark.as_str().into(),
            ]
        })
        .collect();
    Block::Table(Table::new(&["serial", "job", "frame", "mark"], &[0], rows))
}
