//! How to get from the run that was stopped to the runs of this sheet.

use crate::library::model::AppliedBy;
use crate::plan::Inputs;
use crate::quantity::Length;
use crate::report::continues::{Continues, StoodPiece};
use crate::report::markdown::{item, prose, table, text};
use crate::report::units::{figure, short};
use crate::report::words::count;

/// The section; nothing where the batch begins by itself.
pub fn print(continues: Option<&Continues>, inputs: &Inputs<'_>) -> String {
    let units = inputs.batch.units;
    let Some(of) = continues else { return String::new() };
    let after = &of.after;
    let mut sheet = String::from("## First: where the line stands\n\n");
    sheet.push_str(&prose(
        &format!(
            "This is the rest of batch {}. Program {} was stopped after piece {} ({} {}), as {} \
             said on {}. {} of that batch need not be made again.",
            text(&of.batch),
            text(&of.program),
            after.serial,
            text(&after.frame),
            text(&after.mark),
            text(&of.said_by),
            text(&of.said_on),
            count(of.done, "piece"),
        ),
        0,
    ));
    sheet.push('\n');
    match (&of.finish, of.position_kept) {
        (Some(finish), _) => {
            sheet.push_str(&item(
                "Position kept: the strip stands right after that cut, and nothing has moved, \
                 fired or been opened since. If that is not so, stop here: the pieces below are \
                 scrap, and the rest is compiled again with `position = \"lost\"`.",
            ));
            sheet.push_str(&item(&format!(
                "Do not feed. Set the counter to nought where the line stands, and run program \
                 **{}**, {}: it finishes with the old calibration what was begun with it.",
                text(&finish.program),
                in_files(&finish.file, &finish.more_files)
            )));
            sheet.push_str(&item(match inputs.calibration.applied_by {
                AppliedBy::Coilwright => {
                    "When its last piece has dropped, go on with run 1: the new calibration \
                     counts from there."
                }
                AppliedBy::Controller => {
                    "The controller applies the calibration: leave its figures as they are until \
                     the last of these has dropped. Enter the new ones then, and go on with run 1."
                }
            }));
            sheet.push_str(&format!("\n{}\n", listed(&finish.pieces)));
        }
        (None, true) => sheet.push_str(&item("Position kept: go on with run 1.")),
        (None, false) => sheet.push_str(&item(
            "Position lost: cut the strip by hand, once, and throw away what drops. The fresh edge \
             at the shear is where run 1 begins. If more of the coil has gone through, measure \
             what is left and compile again with `left`.",
        )),
    }
    if of.marked_nm > 0 {
        sheet.push_str(&item(&format!(
            "The first {} {} behind the edge bear strokes of the old program: run 1 cuts them off \
             as scrap.",
            figure(Length::from_nm(of.marked_nm), units),
            short(units)
        )));
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
            sheet.push_str(&format!("\n{what}:\n\n{}", listed(pieces)));
        }
    }
    sheet.push('\n');
    sheet
}

fn listed(pieces: &[StoodPiece]) -> String {
    let rows: Vec<Vec<String>> = pieces
        .iter()
        .map(|piece| {
            let copy = if piece.copy > 1 { format!(" no. {}", piece.copy) } else { String::new() };
            vec![
                piece.serial.to_string(),
                text(&piece.job),
                format!("{}{copy}", text(&piece.frame)),
                text(&piece.mark),
            ]
        })
        .collect();
    table(&["serial", "job", "frame", "mark"], &[0], &rows)
}

/// A file by its name, or several in their order.
fn in_files(first: &str, more: &[String]) -> String {
    let mut told = format!("file `{first}`");
    for file in more {
        told.push_str(&format!(", then with the counter at nought again `{file}`"));
    }
    told
}
