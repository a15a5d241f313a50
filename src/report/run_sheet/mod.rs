//! The run sheet in Markdown: what the operator has in hand at the line, coil after coil.

use super::model::{PieceReport, Report, RunReport};
use super::words::{count, end_shape, hours, metres, percent};
use crate::library::model::Library;
use crate::member::model::{Datum, Feature, FeatureTypeId, Place, Position, Shape};
use crate::plan::{Inputs, Plan, Run};
use crate::quantity::{Length, Time, Tolerance};
use std::collections::BTreeSet;

/// What stands on every sheet, whatever is made. Titles of standards are from memory, so the sheet
/// refers to "the standards in force".
const CAUTIONS: &[&str] = &[
    "This program is no safety function and designs no structure. Guards, lock-out and emergency \
     stop are the machine's, to the standards in force where it stands (among them ANSI B11.12, \
     ISO 12100, ISO 13849-1, IEC 60204-1, OSHA 1910.147 and .217, AS/NZS 4024).",
    "Members, holes and connections are the engineer's, to the local code.",
    "Lock out before you reach in, clear a jam or change a tool.",
    "Strapped coils recoil when the strap is cut; loads hang. Stand clear.",
    "Cut edges and burrs are sharp: gloves and sleeves.",
    "Run new tooling dry and slow.",
    "Measure the first piece of each run, and the first of each shape, with a tape before the run \
     goes on (tables below).",
    "After an emergency stop, an opened guard or an unknown stroke the position is lost: do not \
     resume; inspect or scrap what is in the line, and thread up afresh.",
];

/// The sheet.
pub fn print(report: &Report, inputs: &Inputs<'_>, plan: &Plan) -> String {
    let mut sheet = String::new();
    let mut put = |line: &str| {
        sheet.push_str(line);
        sheet.push('\n');
    };
    put(&format!("# Run sheet: batch {}", text(&report.batch)));
    put("");
    put(&format!(
        "Line {}, programs for `{}`, calibration of {} (applied by the {}).",
        text(&report.line),
        report.dialect,
        text(&report.calibration),
        if report.calibration_applied_by == "controller" { "controller" } else { "program" },
    ));
    put("");
    put(&format!(
        "{}, {}, {} m of strip, {} planned.",
        count(report.runs.len(), "run"),
        count(report.total.pieces, "piece"),
        metres(Length::from_nm(report.total.account.used_nm), 1),
        hours(Time::from_ns(report.total.planned_ns)),
    ));
    if report.cut_short {
        put("");
        put("The search for this plan was cut short.");
    }
    put("");
    put("## Before you start");
    put("");
    for caution in CAUTIONS {
        put(&format!("- {caution}"));
    }
    put("");
    put("Line checked, guards closed, tooling as listed: ______________ (name)  ________ (time)");
    put("");
    put("## Runs in order");
    put("");
    put("| run | coil | profile | program | file | pieces | strip m | time |");
    put("|---:|---|---|---|---|---:|---:|---:|");
    for run in &report.runs {
        put(&format!(
            "| {} | {} | {} | {} | `{}` | {} | {} | {} |",
            run.run,
            text(&run.coil.id),
            text(&run.profile),
            text(&run.program),
            run.file,
            run.pieces.len(),
            metres(Length::from_nm(run.account.used_nm), 1),
            Time::from_ns(run.time.total_ns),
        ));
    }
    put("");
    let mut before: Option<&RunReport> = None;
    // Shapes whose dimensions stand on the sheet already.
    let mut taped = BTreeSet::new();
    for (run, planned) in report.runs.iter().zip(&plan.runs) {
        sheet.push_str(&one_run(run, planned, before, inputs, &mut taped));
        before = Some(run);
    }
    sheet.push_str(&after(report));
    sheet
}

fn one_run(
    run: &RunReport,
    planned: &Run,
    before: Option<&RunReport>,
    inputs: &Inputs<'_>,
    taped: &mut BTreeSet<String>,
) -> String {
    let mut sheet = String::new();
    let nm = Length::from_nm;
    let mut put = |line: &str| {
        sheet.push_str(line);
        sheet.push('\n');
    };
    put(&format!("## Run {}: coil {}, {}", run.run, text(&run.coil.id), text(&run.profile)));
    put("");
    put(&format!(
        "Program **{}**, file `{}`. Compare the id on the controller with this one before you \
         start.",
        text(&run.program),
        run.file
    ));
    put("");
    put("### Changeover");
    put("");
    if before.is_none_or(|b| b.profile != run.profile) && run.time.set_up_ns > 0 {
        put(&format!(
            "- Set the line up for {}: {}.",
            text(&run.profile),
            Time::from_ns(run.time.set_up_ns)
        ));
    }
    if run.warm {
        put("- The coil is in the line, with a clean cut at the shear: do not thread up.");
    } else {
        if let Some(before) = before {
            put(&format!("- Take coil {} off.", text(&before.coil.id)));
        }
        put(&format!(
            "- Load coil {}, thread up: {}.",
            text(&run.coil.id),
            Time::from_ns(run.time.coil_change_ns)
        ));
    }
    put("");
    put("### Coil");
    put("");
    put("| | |");
    put("|---|---|");
    put(&format!("| id | **{}** |", text(&run.coil.id)));
    for (what, value) in [
        ("heat", &run.coil.heat),
        ("certificate", &run.coil.certificate),
        ("docket", &run.coil.docket),
    ] {
        put(&format!("| {what} | {} |", if value.is_empty() { "–".into() } else { text(value) }));
    }
    put(&format!(
        "| strip | {} × {} mm, {}, {} |",
        nm(run.coil.strip.width_nm),
        nm(run.coil.strip.thickness_nm),
        text(&run.coil.strip.grade),
        text(&run.coil.strip.coating)
    ));
    put(&format!(
        "| length before | {} m ({}), ± {} m |",
        metres(nm(run.account.strip_nm), 1),
        run.coil.basis,
        metres(nm(run.account.strip_nm).scaled(run.coil.uncertainty_ppm, 1_000_000), 1),
    ));
    put(&format!("| length after | {} m |", metres(nm(run.account.remnant_nm), 1)));
    put("| measured after | ____________ m |");
    // What the drives can still bring under the shear after the last piece.
    let end = run.pieces.last().map_or(Length::ZERO, |piece| nm(piece.cut_nm));
    let spare = nm(run.account.strip_nm) - inputs.line.tail - end;
    let doubt = nm(run.account.strip_nm).scaled(run.coil.uncertainty_ppm, 1_000_000);
    if spare < doubt {
        put(&format!(
            "| **may run out** | {} m of drivable strip are spare, and the length may be off by \
             more: watch for the end, and have another coil ready |",
            metres(spare, 1)
        ));
    }
    for defect in &run.coil.defects {
        put(&format!(
            "| defect | {} m to {} m from the leading edge: nothing good lies there |",
            metres(nm(defect.from_nm), 2),
            metres(nm(defect.to_nm), 2)
        ));
    }
    put("");
    put(&format!(
        "Head: the first good piece starts {} mm behind the strip's edge; what drops before it is \
         scrap.",
        nm(run.first_piece_at_nm)
    ));
    put("");
    put("### First off");
    put("");
    put("Measure from the leading end (the end that leaves the line first), long point, unless \
         the line says otherwise. mm. The first piece of the run is always here; shapes \
         checked in an earlier run are not repeated.");
    put("");
    sheet.push_str(&first_off(run, planned, inputs.library, taped));
    sheet.push_str(&order(run));
    sheet.push_str(&balance(run));
    sheet
}

/// Order of pieces by bundle: neighbours of one frame, alike ones counted.
fn order(run: &RunReport) -> String {
    let mut sheet = String::from(
        "### Order\n\n| serials | frame | mark | usage | length mm | quantity | printed |\n\
         |---|---|---|---|---:|---:|---|\n",
    );
    let alike = |a: &PieceReport, b: &PieceReport| {
        (&a.job, &a.frame, a.copy, &a.mark, a.length_nm)
            == (&b.job, &b.frame, b.copy, &b.mark, b.length_nm)
    };
    let mut bundle: Option<(&str, &str, u32)> = None;
    for group in run.pieces.chunk_by(alike) {
        let (Some(first), Some(last)) = (group.first(), group.last()) else { continue };
        let here = (first.job.as_str(), first.frame.as_str(), first.copy);
        let frame = if bundle == Some(here) {
            String::new()
        } else if first.copy > 1 {
            format!("**{} {}** no. {}", text(&first.job), text(&first.frame), first.copy)
        } else {
            format!("**{} {}**", text(&first.job), text(&first.frame))
        };
        bundle = Some(here);
        let serials = if first.serial == last.serial {
            first.serial.to_string()
        } else {
            format!("{}–{}", first.serial, last.serial)
        };
        sheet.push_str(&format!(
            "| {serials} | {frame} | {} | {} | {} | {} | {} |\n",
            text(&first.mark),
            first.usage,
            Length::from_nm(first.length_nm),
            group.len(),
            match &first.printed {
                Some(printed) => text(printed),
                None => "leaves blank: write it by hand".to_string(),
            },
        ));
    }
    sheet.push('\n');
    sheet
}

/// Where the strip and the time of the run go, and who stands for it.
fn balance(run: &RunReport) -> String {
    let account = &run.account;
    let nm = Length::from_nm;
    let mut sheet = String::from("### Balance\n\n| | m | of strip used |\n|---|---:|---:|\n");
    for (what, part) in [
        ("good pieces", account.good_nm),
        ("cuts (slugs)", account.slug_nm),
        ("head, defects, gaps", account.head_nm),
        ("tail", account.tail_nm),
    ] {
        sheet.push_str(&format!(
            "| {what} | {} | {} |\n",
            metres(nm(part), 3),
            percent(nm(part), nm(account.used_nm))
        ));
    }
    sheet.push_str(&format!("| left on the coil | {} | |\n\n", metres(nm(account.remnant_nm), 3)));
    let time = &run.time;
    sheet.push_str(&format!(
        "Time {}: moving {}, settling {}, tools {}, shear {}, clearing {}; {}.\n\n",
        Time::from_ns(time.total_ns),
        Time::from_ns(time.moves_ns),
        Time::from_ns(time.settle_ns),
        Time::from_ns(time.strokes_ns),
        Time::from_ns(time.cuts_ns),
        Time::from_ns(time.unloading_ns),
        count(run.stops, "standstill"),
    ));
    sheet.push_str(if run.stays {
        "The coil stays in the line.\n\n"
    } else {
        "The coil is taken off after this run.\n\n"
    });
    sheet.push_str(
        "First off checked: ______________  Run done: ______________  Bad pieces (serials): \
         ______________\n\n",
    );
    sheet
}

fn after(report: &Report) -> String {
    let mut sheet = String::from("## After the last run\n\n");
    for remnant in &report.remnants {
        sheet.push_str(&format!(
            "- Coil {}: {} m {}.\n",
            text(&remnant.coil),
            metres(Length::from_nm(remnant.length_nm), 1),
            if remnant.threaded { "stay in the line" } else { "go back to the rack" },
        ));
    }
    for finding in &report.findings {
        let place = finding.place.as_ref().map_or(String::new(), |place| format!(" ({place})"));
        sheet.push_str(&format!(
            "- {} {}: {}{}.\n",
            finding.severity,
            finding.code,
            text(&finding.message),
            text(&place)
        ));
    }
    for waived in &report.waived {
        sheet.push_str(&format!(
            "- Waived by {} ({}): {} for {}.\n",
            text(&waived.by),
            text(&waived.reference),
            text(&waived.rule),
            count(waived.messages.len(), "finding"),
        ));
    }
    sheet.push_str("\nBatch closed: ______________ (name)  ______________ (date)\n");
    sheet
}

/// One table for each shape that occurs in the run, at the first piece of it.
fn first_off(
    run: &RunReport,
    planned: &Run,
    library: &Library,
    taped: &mut BTreeSet<String>,
) -> String {
    let mut sheet = String::new();
    for (i, (piece, of)) in run.pieces.iter().zip(&planned.pieces).enumerate() {
        if !taped.insert(piece.drawn.clone()) && i > 0 {
            continue;
        }
        let shape = &*of.shape;
        sheet.push_str(&format!(
            "**Serial {}**, {} {} {} ({})\n\n| what | at | tolerance | measured |\n\
             |---|---:|---|---|\n| length | {} | {} | |\n",
            piece.serial,
            text(&piece.job),
            text(&piece.frame),
            text(&piece.mark),
            piece.usage,
            shape.length,
            shape.length_tolerance,
        ));
        for (what, at, tolerance) in dimensions(shape, library) {
            sheet.push_str(&format!("| {} | {at} | {tolerance} | |\n", text(&what)));
        }
        for (end, word) in [(shape.start, "leading"), (shape.end, "trailing")] {
            if end != crate::member::model::EndShape::Square {
                sheet.push_str(&format!("| {word} end | {} | | |\n", end_shape(end)));
            }
        }
        sheet.push('\n');
    }
    sheet
}

/// First and last feature of each type, from the leading end.
fn dimensions(shape: &Shape, library: &Library) -> Vec<(String, String, Tolerance)> {
    let kinds: BTreeSet<FeatureTypeId> = shape.features.iter().map(|f| f.kind).collect();
    let mut rows = Vec::new();
    for kind in kinds {
        let name = library.feature(kind).map_or("feature", |kind| &*kind.name);
        let mut of_kind: Vec<&Feature> = shape.features.iter().filter(|f| f.kind == kind).collect();
        of_kind.sort_by_key(|f| f.place.extent(f.outline, shape.length));
        let last = if of_kind.len() > 1 { of_kind.last() } else { None };
        for (word, feature) in [("first", of_kind.first()), ("last", last)]
            .into_iter()
            .filter_map(|(w, f)| Some((w, f?)))
        {
            let word = if of_kind.len() > 1 { format!("{word} ") } else { String::new() };
            let what = format!("{word}{name} {} on {}", feature.outline, feature.faces);
            match feature.place {
                Place::Point { at, tolerance } => {
                    rows.push((format!("{what}, centre"), from_leading(at, shape), tolerance));
                }
                Place::Range { from, from_tolerance, to, to_tolerance } => {
                    rows.push((
                        format!("{what}, near edge"),
                        from_leading(from, shape),
                        from_tolerance,
                    ));
                    rows.push((format!("{what}, far edge"), from_leading(to, shape), to_tolerance));
                }
                Place::End { end, tolerance } => rows.push((
                    format!(
                        "{what}, depth from the {} end",
                        match end {
                            crate::member::model::End::Start => "leading",
                            crate::member::model::End::End => "trailing",
                        }
                    ),
                    feature.outline.length().to_string(),
                    tolerance,
                )),
            }
        }
    }
    rows
}

/// Where to hold the tape: the figure from the leading end, and where the drawing dimensions from
/// the other end or the middle, that figure too, for its tolerance holds there.
fn from_leading(at: Position, shape: &Shape) -> String {
    let figure = at.on(shape.length);
    match at.datum {
        Datum::Start => figure.to_string(),
        Datum::End => format!("{figure} (drawn {} from the trailing end)", -at.offset),
        Datum::Middle => format!("{figure} (drawn from the middle: {})", at.offset),
    }
}

/// Text from a file, fit for a table cell.
fn text(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '|' | '\\' | '`' | '*' | '_' | '<' | '[' | ']' => {
                out.push('\\');
                out.push(c);
            }
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_a_table() {
        assert_eq!(text("a|b\n*c*"), "a\\|b \\*c\\*");
    }

    #[test]
    fn says_where_a_dimension_is_drawn_from() {
        let shape = Shape {
            profile: crate::member::model::ProfileId(0),
            length: Length::from_mm(2386),
            length_tolerance: Tolerance::even(Length::from_mm(1)),
            start: crate::member::model::EndShape::Square,
            end: crate::member::model::EndShape::Square,
            turnable: false,
            features: Vec::new(),
        };
        let end = Position::from_end(Length::from_mm(-45));
        assert_eq!(from_leading(end, &shape), "2341 (drawn 45 from the trailing end)");
        assert_eq!(from_leading(Position::from_start(Length::from_mm(22)), &shape), "22");
    }
}
