//! The run sheet in Markdown: what the operator has in hand at the line, coil after coil.

mod continues;
mod first_off;
mod order;
mod set_up;

use super::markdown::{item, prose, table, text};
use super::model::{Report, RunReport, WaivedReport};
use super::preview_text::set_ups;
use super::units::{figure, long, resolution, section, short, strip, thickness};
use super::words::{count, hours, percent};
use crate::library::model::Units;
use crate::plan::{Inputs, Plan, Run};
use crate::quantity::{Length, Time};
use std::collections::BTreeSet;

/// What stands on every sheet, whatever is made. Titles of standards are from memory, so the sheet
/// refers to "the standards in force".
pub const CAUTIONS: &[&str] = &[
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
    let units = inputs.batch.units;
    let mut sheet = format!("# Run sheet: batch {}\n\n", text(&report.batch));
    sheet.push_str(&prose(
        &format!(
            "Line {}, programs for `{}`, calibration of {} (applied by the {}). {}, {}, {} {} of \
             strip, {} planned.",
            text(&report.line),
            report.dialect,
            text(&report.calibration),
            if report.calibration_applied_by == "controller" { "controller" } else { "program" },
            count(report.runs.len(), "run"),
            count(report.total.pieces, "piece"),
            strip(Length::from_nm(report.total.account.used_nm), units, 1),
            long(units),
            hours(Time::from_ns(report.total.planned_ns)),
        ),
        0,
    ));
    sheet.push_str(&format!("\n{} Programs have the exact figures.\n\n", resolution(units)));
    if report.cut_short {
        sheet.push_str("The search for this plan was cut short.\n\n");
    }
    sheet.push_str(&jobs(report));
    sheet.push_str(&continues::print(report.continues.as_ref(), inputs));
    sheet.push_str("## Before you start\n\n");
    for caution in CAUTIONS {
        sheet.push_str(&item(caution));
    }
    sheet.push('\n');
    sheet.push_str(&to_know(report, units));
    sheet.push_str("## Stations and tools\n\n");
    sheet.push_str(&set_up::stations(inputs, plan));
    sheet.push_str(
        "Line checked, guards closed, tooling as listed: ______________ (name)  ________ \
         (time)\n\n",
    );
    sheet.push_str("## Runs in order\n\n");
    let rows: Vec<Vec<String>> = report
        .runs
        .iter()
        .map(|run| {
            vec![
                run.run.to_string(),
                text(&run.coil.id),
                text(&run.profile),
                text(&run.program),
                run.pieces.len().to_string(),
                strip(Length::from_nm(run.account.used_nm), units, 1),
                Time::from_ns(run.time.total_ns).to_string(),
            ]
        })
        .collect();
    let used = format!("strip {}", long(units));
    let heads = ["run", "coil", "profile", "program", "pieces", &used, "time"];
    sheet.push_str(&table(&heads, &[0, 4, 5, 6], &rows));
    sheet.push('\n');
    if let Some(set_ups) = set_ups(&report.profiles, report.total.set_up_is_least) {
        sheet.push_str(&prose(&format!("{}.", text(&set_ups)), 0));
        sheet.push('\n');
    }
    let mut before: Option<&RunReport> = None;
    // Shapes whose dimensions stand on the sheet already.
    let mut taped = BTreeSet::new();
    for (run, planned) in report.runs.iter().zip(&plan.runs) {
        sheet.push_str(&one_run(run, planned, before, inputs, &mut taped));
        before = Some(run);
    }
    sheet.push_str(&after(report, inputs, plan));
    sheet
}

/// Which drawings this is made from.
fn jobs(report: &Report) -> String {
    let rows: Vec<Vec<String>> = report
        .jobs
        .iter()
        .map(|job| {
            vec![
                text(&job.job),
                if job.revision.is_empty() {
                    "–".to_string()
                } else {
                    format!("**{}**", text(&job.revision))
                },
                text(&job.title),
                job.frames.to_string(),
                job.pieces.to_string(),
            ]
        })
        .collect();
    let heads = ["job", "revision", "title", "frames", "pieces"];
    format!(
        "{}\nCompare the revision with the drawings in hand before you cut.\n\n",
        table(&heads, &[3, 4], &rows)
    )
}

/// Warnings, and what somebody took responsibility for. Nothing when there is neither.
fn to_know(report: &Report, units: Units) -> String {
    if report.findings.is_empty() && report.waived.is_empty() {
        return String::new();
    }
    let mut sheet = String::from("## What was found\n\n");
    if units != Units::Millimetres {
        sheet.push_str("Figures in these sentences are millimetres.\n\n");
    }
    for finding in &report.findings {
        let place = finding.place.as_ref().map_or(String::new(), |place| format!(" ({place})"));
        sheet.push_str(&item(&format!(
            "{} {}: {}{}.",
            finding.severity,
            finding.code,
            text(&finding.message),
            text(&place)
        )));
    }
    for waived in &report.waived {
        let pieces = pieces_of(report, waived);
        for message in &waived.messages {
            sheet.push_str(&item(&format!(
                "Waived: {} ({}, job {}{}). Allowed by {}: {}.",
                text(message),
                text(&waived.rule),
                text(&waived.job),
                pieces,
                text(&waived.by),
                text(&waived.reference),
            )));
        }
    }
    sheet.push('\n');
    sheet
}

/// Serials of the pieces a waiver is limited to, where it names a mark.
fn pieces_of(report: &Report, waived: &WaivedReport) -> String {
    const MOST: usize = 8;
    let Some(mark) = &waived.mark else { return String::new() };
    let serials: Vec<String> = report
        .runs
        .iter()
        .flat_map(|run| &run.pieces)
        .filter(|piece| piece.job == waived.job && piece.mark == *mark)
        .filter(|piece| waived.frame.as_ref().is_none_or(|frame| piece.frame == *frame))
        .map(|piece| piece.serial.to_string())
        .collect();
    let shown = serials.get(..MOST.min(serials.len())).unwrap_or_default().join(", ");
    match serials.len() {
        0 => String::new(),
        1 => format!(", serial {shown}"),
        n if n <= MOST => format!(", serials {shown}"),
        n => format!(", serials {shown} and {} more", n - MOST),
    }
}

fn one_run(
    run: &RunReport,
    planned: &Run,
    before: Option<&RunReport>,
    inputs: &Inputs<'_>,
    taped: &mut BTreeSet<String>,
) -> String {
    let units = inputs.batch.units;
    let mut sheet = format!(
        "## Run {}: {} {}, {}\n\n",
        run.run,
        what(run),
        text(&run.coil.id),
        text(&run.profile)
    );
    sheet.push_str(&prose(
        &match run.more_files.len() {
            0 => format!(
                "Program **{}**, file `{}`. Compare the id on the controller with this one before \
                 you start.",
                text(&run.program),
                run.file
            ),
            more => {
                let all: Vec<String> = std::iter::once(&run.file)
                    .chain(&run.more_files)
                    .map(|file| format!("`{file}`"))
                    .collect();
                format!(
                    "Program **{}** in {} files: {}. Run them in this order, one right after the \
                     other: set the counter to nought, feed nothing and cut nothing between them. \
                     Compare the id on the controller before each: this one with `.1`, `.2` … \
                     behind it.",
                    text(&run.program),
                    more + 1,
                    all.join(", ")
                )
            }
        },
        0,
    ));
    sheet.push_str("\n### Changeover\n\n");
    if before.is_none_or(|b| b.profile != run.profile) {
        let now = inputs.batch.set_up_now.and_then(|id| inputs.library.profile(id));
        let from = before.map(|b| &*b.profile).or(now.map(|profile| &*profile.name));
        sheet.push_str(&set_up::change_over(inputs, planned, run, from));
    }
    if let Some(profile) = inputs.library.profile(planned.profile) {
        let parts: Vec<String> = [
            ("web", profile.web),
            ("left flange", profile.left_flange),
            ("right flange", profile.right_flange),
            ("left lip", profile.left_lip),
            ("right lip", profile.right_lip),
        ]
        .into_iter()
        .filter(|(_, length)| *length > Length::ZERO)
        .map(|(what, length)| format!("{what} {}", figure(length, units)))
        .collect();
        sheet.push_str(&item(&format!(
            "Section ({}): {}, thickness {}.",
            short(units),
            parts.join(", "),
            thickness(profile.thickness, units)
        )));
    }
    if run.warm {
        sheet.push_str(&item(
            "The coil is in the line, with a clean cut at the shear: do not thread up. The counter \
             is at nought with the strip's edge at the shear.",
        ));
    } else {
        if let Some(before) = before {
            let id = text(&before.coil.id);
            sheet.push_str(&item(&match before.coil.bar {
                None => format!("Take coil {id} off."),
                Some(_) => format!("Take what is left of bar {id} out."),
            }));
        }
        let (id, time) = (text(&run.coil.id), Time::from_ns(run.time.coil_change_ns));
        sheet.push_str(&item(&match run.coil.bar {
            None => format!("Load coil {id}, thread up: {time}."),
            Some(_) => format!("Feed bar {id}, thread up: {time}."),
        }));
    }
    sheet.push('\n');
    sheet.push_str(&set_up::tools_of(inputs, planned));
    sheet.push_str(&coil(run, planned, inputs));
    let (first_off, serials) = first_off::print(run, planned, inputs, taped);
    sheet.push_str(&first_off);
    sheet.push_str(&order::print(run, &serials, units));
    sheet.push_str(&balance(run, units));
    sheet
}

fn what(run: &RunReport) -> &'static str {
    if run.coil.bar.is_some() { "bar" } else { "coil" }
}

/// How far a coil's length may be off: as many metres as before the batch, however much of it
/// has been used since, for what a program takes is known.
fn doubt(inputs: &Inputs<'_>, id: &str) -> Length {
    let coil = inputs.stock.coils.iter().find(|coil| &*coil.id == id);
    coil.map_or(Length::ZERO, |coil| coil.length.scaled(coil.uncertainty, 1_000_000))
}

/// The coil of a run, what it should hold before and after, and where nothing good lies.
fn coil(run: &RunReport, planned: &Run, inputs: &Inputs<'_>) -> String {
    let units = inputs.batch.units;
    let nm = Length::from_nm;
    let far = |length, decimals| format!("{} {}", strip(length, units, decimals), long(units));
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut put = |what: &str, value: String| rows.push(vec![what.to_string(), value]);
    put("id", format!("**{}**", text(&run.coil.id)));
    for (what, value) in [
        ("heat", &run.coil.heat),
        ("certificate", &run.coil.certificate),
        ("docket", &run.coil.docket),
    ] {
        put(what, if value.is_empty() { "–".into() } else { text(value) });
    }
    put(
        "strip",
        format!(
            "{}, {}, {}",
            section(&run.coil.strip, units),
            text(&run.coil.strip.grade),
            text(&run.coil.strip.coating)
        ),
    );
    let held = planned.coil.length;
    let doubt = doubt(inputs, &run.coil.id);
    put("length before", format!("{} ({}), ± {}", far(held, 1), run.coil.basis, far(doubt, 1)));
    let factor = inputs.calibration.controller_factor(planned.profile);
    let left = planned.coil.after_counted(planned.account.consumed(), run.stays, factor).length;
    let same = if left > Length::ZERO { ", with the same doubt" } else { "" };
    put("length after", format!("{}{same}", far(left, 1)));
    put("measured after", format!("____________ {}", long(units)));
    // What the drives can still bring under the shear after the last piece.
    let end = run.pieces.last().map_or(Length::ZERO, |piece| nm(piece.cut_nm));
    let spare = nm(run.account.strip_nm) - inputs.line.ends(&planned.coil).tail - end;
    if spare < doubt {
        put(
            "**may run out**",
            format!("{} spare, less than the doubt: watch for the end, see below", far(spare, 1)),
        );
    }
    for defect in &run.coil.defects {
        put(
            "defect",
            format!(
                "{} to {} from the leading edge: nothing good lies there",
                far(nm(defect.from_nm), 2),
                far(nm(defect.to_nm), 2)
            ),
        );
    }
    let title = if run.coil.bar.is_some() { "Bar" } else { "Coil" };
    let mut sheet = format!("### {title}\n\n{}\n", table(&["", ""], &[], &rows));
    if spare < doubt {
        sheet.push_str(&prose(
            "The plan uses this coil to within the doubt of its length: have another coil of the \
             same strip ready. If it ends early, write down the last good serial; what comes \
             after it is not made, and has to be compiled again.",
            0,
        ));
        sheet.push('\n');
    }
    if run.first_piece_at_nm > 0 {
        sheet.push_str(&prose(
            &format!(
                "Head: the first good piece starts {} {} behind the strip's edge; what drops before \
                 it is scrap.",
                figure(nm(run.first_piece_at_nm), units),
                short(units)
            ),
            0,
        ));
        sheet.push('\n');
    }
    sheet
}

/// Where the strip and the time of the run go, and who stands for it.
fn balance(run: &RunReport, units: Units) -> String {
    let account = &run.account;
    let nm = Length::from_nm;
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (what, part) in [
        ("good pieces", account.good_nm),
        ("cuts (slugs)", account.slug_nm),
        ("head, defects, gaps", account.head_nm - account.head_at_slopes_nm),
        ("between unequal slopes", account.head_at_slopes_nm),
        ("tail", account.tail_nm),
    ] {
        if what == "between unequal slopes" && part == 0 {
            continue;
        }
        rows.push(vec![
            what.to_string(),
            strip(nm(part), units, 2),
            percent(nm(part), nm(account.used_nm)),
        ]);
    }
    let mut sheet =
        format!("### Balance\n\n{}\n", table(&["", long(units), "of strip used"], &[1, 2], &rows));
    let time = &run.time;
    sheet.push_str(&prose(
        &format!(
            "Time {}: moving {}, settling {}, tools {}, shear {}{}, clearing {}; {}.",
            Time::from_ns(time.total_ns),
            Time::from_ns(time.moves_ns),
            Time::from_ns(time.settle_ns),
            Time::from_ns(time.strokes_ns),
            Time::from_ns(time.cuts_ns),
            match time.slopes_ns {
                0 => String::new(),
                turning => format!(" and turning it {}", Time::from_ns(turning)),
            },
            Time::from_ns(time.unloading_ns),
            count(run.stops, "standstill"),
        ),
        0,
    ));
    sheet.push_str(if run.coil.bar.is_some() {
        "\nWhat is left of the bar is taken out after this run.\n\n"
    } else if run.stays {
        "\nThe coil stays in the line.\n\n"
    } else {
        "\nThe coil is taken off after this run.\n\n"
    });
    sheet.push_str(
        "First off checked: ______________  Run done: ______________\n\nBad pieces (serials): \
         ______________\n\n",
    );
    sheet
}

/// What the rack is like now, for the stock file.
fn after(report: &Report, inputs: &Inputs<'_>, plan: &Plan) -> String {
    let units = inputs.batch.units;
    let mut sheet = String::from("## After the last run\n\n");
    let far = |length, decimals| format!("{} {}", strip(length, units, decimals), long(units));
    for bars in &report.bars {
        sheet.push_str(&item(&format!(
            "Bars {}: {} of {} used. Write `count = {}`, and what goes back as bars of their own.",
            text(&bars.bar),
            bars.used,
            bars.there,
            bars.there.saturating_sub(bars.used)
        )));
    }
    for coil in &plan.rack {
        if coil.bar.is_some() {
            if coil.length > Length::ZERO {
                sheet.push_str(&item(&format!(
                    "Bar {}: {} go back to the rack.",
                    text(&coil.id),
                    far(coil.length, 1)
                )));
            }
            continue;
        }
        if coil.length <= Length::ZERO {
            sheet.push_str(&item(&format!(
                "Coil {}: used up by the plan. Take it out of the stock file, or measure what is left.",
                text(&coil.id)
            )));
            continue;
        }
        let defects: Vec<String> = coil
            .defects
            .iter()
            .map(|(from, to)| format!("{} to {}", far(*from, 2), far(*to, 2)))
            .collect();
        sheet.push_str(&item(&format!(
            "Coil {}: {} (± {}) {}.{}",
            text(&coil.id),
            far(coil.length, 1),
            far(doubt(inputs, &coil.id), 1),
            if coil.threaded { "stay in the line" } else { "go back to the rack" },
            if defects.is_empty() {
                String::new()
            } else {
                format!(" Defects, from its new leading edge: {}.", defects.join(", "))
            }
        )));
    }
    if !plan.rack.is_empty() {
        sheet.push_str(&item(
            "Write what is left, measured where you can, on each coil and into the stock file: \
             the next batch starts from what stands there.",
        ));
    }
    sheet.push_str("\nBatch closed: ______________ (name)  ______________ (date)\n");
    sheet
}
