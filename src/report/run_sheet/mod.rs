//! The run sheet: what the operator has in hand at the line, coil after coil.

mod continues;
mod first_off;
mod order;
mod set_up;

use super::model::{JobReport, Report, RunReport, StripKind, WaivedReport};
use super::preview_text::set_ups;
use super::sheet::markdown;
use super::sheet::model::{Block, Cell, Section, Sheet, Table, Words, bold};
use super::units::{figure, long, resolution, section, short, strip, thickness};
use super::words::{count, hours, job_and_revision, percent};
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

/// The sheet in Markdown.
pub fn print(report: &Report, inputs: &Inputs<'_>, plan: &Plan) -> String {
    markdown::print(&sheet(report, inputs, plan))
}

/// The sheet, whatever it is printed as: what holds for all runs, then a section for each.
pub fn sheet(report: &Report, inputs: &Inputs<'_>, plan: &Plan) -> Sheet {
    let job_name = |job: &JobReport| job_and_revision(&job.job, &job.revision);
    let jobs: Vec<String> = report.jobs.iter().map(job_name).collect();
    let section = |own_page, blocks| Section { jobs: jobs.clone(), own_page, blocks };
    let mut sections = vec![section(true, before_all(report, inputs, plan))];
    let mut before: Option<&RunReport> = None;
    // Shapes whose dimensions stand on the sheet already.
    let mut taped = BTreeSet::new();
    for (run, planned) in report.runs.iter().zip(&plan.runs) {
        let of_run = |job: &&JobReport| run.pieces.iter().any(|piece| piece.job == job.job);
        sections.push(Section {
            jobs: report.jobs.iter().filter(of_run).map(job_name).collect(),
            own_page: true,
            blocks: one_run(run, planned, before, inputs, &mut taped),
        });
        before = Some(run);
    }
    sections.push(section(false, after(report, inputs, plan)));
    Sheet { kind: "Run sheet", batch: report.batch.clone(), units: inputs.batch.units, sections }
}

/// What holds for all runs.
fn before_all(report: &Report, inputs: &Inputs<'_>, plan: &Plan) -> Vec<Block> {
    let units = inputs.batch.units;
    let applied_by =
        if report.calibration_applied_by == "controller" { "controller" } else { "program" };
    let mut blocks = vec![
        Block::Prose(
            Words::from(format!("Line {}, programs for ", report.line))
                .code(report.dialect.as_str())
                .plain(format!(
                    ", calibration of {} (applied by the {applied_by}). {}, {}, {} {} of strip, {} \
                     planned.",
                    report.calibration,
                    count(report.runs.len(), "run"),
                    count(report.total.pieces, "piece"),
                    strip(Length::from_nm(report.total.account.used_nm), units, 1),
                    long(units),
                    hours(Time::from_ns(report.total.planned_ns)),
                )),
        ),
        Block::Prose(format!("{} Programs have the exact figures.", resolution(units)).into()),
    ];
    if report.cut_short {
        blocks.push(Block::Prose("The search for this plan was cut short.".into()));
    }
    blocks.extend(jobs(report));
    blocks.extend(continues::blocks(report.continues.as_ref(), inputs));
    blocks.push(Block::Heading(2, "Before you start".into()));
    blocks.push(Block::Cautions(CAUTIONS.iter().map(|caution| Words::from(*caution)).collect()));
    blocks.extend(to_know(report, units));
    blocks.push(Block::Heading(2, "Runs in order".into()));
    let rows: Vec<Vec<Cell>> = report
        .runs
        .iter()
        .map(|run| {
            vec![
                run.run.to_string().into(),
                run.coil.id.as_str().into(),
                run.profile.as_str().into(),
                run.program.as_str().into(),
                run.pieces.len().to_string().into(),
                strip(Length::from_nm(run.account.used_nm), units, 1).into(),
                Time::from_ns(run.time.total_ns).to_string().into(),
            ]
        })
        .collect();
    let used = format!("strip {}", long(units));
    let heads = ["run", "coil", "profile", "program", "pieces", &used, "time"];
    blocks.push(Block::Table(Table::new(&heads, &[0, 4, 5, 6], rows)));
    if let Some(set_ups) = set_ups(&report.profiles, report.total.set_up_is_least) {
        blocks.push(Block::Prose(format!("{set_ups}.").into()));
    }
    blocks.push(Block::Heading(2, "Stations and tools".into()));
    blocks.extend(set_up::stations(inputs, plan));
    blocks.push(Block::SignOff(
        Words::from("Line checked, guards closed, tooling as listed: ")
            .blank(14)
            .plain(" (name)  ")
            .blank(8)
            .plain(" (time)"),
    ));
    blocks
}

/// Which drawings this is made from.
fn jobs(report: &Report) -> [Block; 2] {
    let rows: Vec<Vec<Cell>> = report
        .jobs
        .iter()
        .map(|job| {
            vec![
                job.job.as_str().into(),
                if job.revision.is_empty() { "–".into() } else { bold(&job.revision).into() },
                job.title.as_str().into(),
                job.frames.to_string().into(),
                job.pieces.to_string().into(),
            ]
        })
        .collect();
    let heads = ["job", "revision", "title", "frames", "pieces"];
    [
        Block::Table(Table::new(&heads, &[3, 4], rows)),
        Block::Prose("Compare the revision with the drawings in hand before you cut.".into()),
    ]
}

/// Warnings, and what somebody took responsibility for. Nothing when there is neither.
fn to_know(report: &Report, units: Units) -> Vec<Block> {
    if report.findings.is_empty() && report.waived.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::Heading(2, "What was found".into())];
    if units != Units::Millimetres {
        blocks.push(Block::Prose("Figures in these sentences are millimetres.".into()));
    }
    for finding in &report.findings {
        let place = finding.place.as_ref().map_or(String::new(), |place| format!(" ({place})"));
        blocks.push(Block::Item(
            format!("{} {}: {}{place}.", finding.severity, finding.code, finding.message).into(),
        ));
    }
    for waived in &report.waived {
        let pieces = pieces_of(report, waived);
        for message in &waived.messages {
            let WaivedReport { rule, job, by, reference, .. } = waived;
            blocks.push(Block::Item(
                format!(
                    "Waived: {message} ({rule}, job {job}{pieces}). Allowed by {by}: {reference}."
                )
                .into(),
            ));
        }
    }
    blocks
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
) -> Vec<Block> {
    let units = inputs.batch.units;
    let heading = format!("Run {}: {} {}, {}", run.run, what(run), run.coil.id, run.profile);
    let mut blocks = vec![
        Block::Heading(2, heading.into()),
        Block::Prose(files(run)),
        Block::Heading(3, "Changeover".into()),
    ];
    blocks.extend(change_over(run, planned, before, inputs));
    blocks.push(set_up::tools_of(inputs, planned));
    blocks.extend(coil(run, planned, inputs));
    let (first_off, serials) = first_off::blocks(run, planned, inputs, taped);
    blocks.extend(first_off);
    blocks.extend(order::blocks(run, &serials, units));
    blocks.extend(balance(run, units));
    blocks
}

/// Which program, and in which files.
fn files(run: &RunReport) -> Words {
    let words = Words::from("Program ").bold(&run.program);
    if run.more_files.is_empty() {
        return words
            .plain(", file ")
            .code(&run.file)
            .plain(". Compare the id on the controller with this one before you start.");
    }
    let count = run.more_files.len() + 1;
    let mut words = words.plain(format!(" in {count} files: ")).code(&run.file);
    for file in &run.more_files {
        words = words.plain(", ").code(file);
    }
    words
        .plain(
            ". Run them in this order, one right after the other: set the counter to nought, feed \
             nothing and cut nothing between them. Compare the id on the controller before each: \
             this one with ",
        )
        .code(".1")
        .plain(", ")
        .code(".2")
        .plain(" … behind it.")
}

/// What is done at the line before the strip moves.
fn change_over(
    run: &RunReport,
    planned: &Run,
    before: Option<&RunReport>,
    inputs: &Inputs<'_>,
) -> Vec<Block> {
    let units = inputs.batch.units;
    let mut items: Vec<String> = Vec::new();
    match before.filter(|_| !run.warm).map(|before| &before.coil) {
        Some(coil) if coil.bar.is_some() => {
            items.push(format!("Take what is left of bar {} out.", coil.id));
        }
        Some(coil) => items.push(format!("Take coil {} off.", coil.id)),
        // The stock has a coil in the line that is not the one the batch begins on.
        None => items.extend(
            inputs
                .stock
                .coils
                .iter()
                .filter(|coil| before.is_none() && coil.threaded && *coil.id != *run.coil.id)
                .map(|coil| format!("Part coil {} and take it off: it is in the line.", coil.id)),
        ),
    }
    if before.is_none_or(|b| b.profile != run.profile) {
        let now = inputs.batch.set_up_now.and_then(|id| inputs.library.profile(id));
        let from = before.map(|b| &*b.profile).or(now.map(|profile| &*profile.name));
        items.extend(set_up::change_over(inputs, planned, run, from));
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
        items.push(format!(
            "Section ({}): {}, thickness {}.",
            short(units),
            parts.join(", "),
            thickness(profile.thickness, units)
        ));
    }
    if run.warm {
        items.push(
            "The coil is in the line, with a clean cut at the shear: do not thread up. The counter \
             is at nought with the strip's edge at the shear."
                .to_string(),
        );
    } else {
        let (id, time) = (&run.coil.id, Time::from_ns(run.time.coil_change_ns));
        items.push(match run.coil.bar {
            None => format!("Load coil {id}, thread up: {time}."),
            Some(_) => format!("Feed bar {id}, thread up: {time}."),
        });
    }
    items.into_iter().map(|item| Block::Item(item.into())).collect()
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
fn coil(run: &RunReport, planned: &Run, inputs: &Inputs<'_>) -> Vec<Block> {
    let units = inputs.batch.units;
    let nm = Length::from_nm;
    let far = |length, decimals| format!("{} {}", strip(length, units, decimals), long(units));
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut put = |what: Words, value: Words| rows.push(vec![what.into(), value.into()]);
    put("id".into(), bold(&run.coil.id));
    for (what, value) in [
        ("heat", &run.coil.heat),
        ("certificate", &run.coil.certificate),
        ("docket", &run.coil.docket),
    ] {
        if !value.is_empty() {
            put(what.into(), value.as_str().into());
        }
    }
    let StripKind { grade, coating, .. } = &run.coil.strip;
    put("strip".into(), format!("{}, {grade}, {coating}", section(&run.coil.strip, units)).into());
    let held = planned.coil.length;
    let doubt = doubt(inputs, &run.coil.id);
    let off = if doubt > Length::ZERO { format!(", ± {}", far(doubt, 1)) } else { String::new() };
    put("length before".into(), format!("{} ({}){off}", far(held, 1), run.coil.basis).into());
    let factor = inputs.calibration.controller_factor(planned.profile);
    let left = planned.coil.after_counted(planned.account.consumed(), run.stays, factor).length;
    let is_used_up = run.coil.bar.is_some() && left <= Length::ZERO;
    if is_used_up {
        put("length after".into(), "none".into());
    } else {
        let doubtful = left > Length::ZERO && doubt > Length::ZERO;
        let same = if doubtful { ", with the same doubt" } else { "" };
        put("length after".into(), format!("{}{same}", far(left, 1)).into());
        put("measured after".into(), Words::default().blank(12).plain(format!(" {}", long(units))));
    }
    // What the drives can still bring under the shear after the last piece.
    let end = run.pieces.last().map_or(Length::ZERO, |piece| nm(piece.cut_nm));
    let spare = nm(run.account.strip_nm) - inputs.line.ends(&planned.coil).tail - end;
    if spare < doubt {
        put(
            bold("may run out"),
            format!("{} spare, less than the doubt: watch for the end, see below", far(spare, 1))
                .into(),
        );
    }
    for defect in &run.coil.defects {
        put(
            "defect".into(),
            format!(
                "{} to {} from the leading edge: nothing good lies there",
                far(nm(defect.from_nm), 2),
                far(nm(defect.to_nm), 2)
            )
            .into(),
        );
    }
    let title = if run.coil.bar.is_some() { "Bar" } else { "Coil" };
    let mut blocks =
        vec![Block::Heading(3, title.into()), Block::Table(Table::new(&["", ""], &[], rows))];
    if spare < doubt {
        blocks.push(Block::Prose(
            "The plan uses this coil to within the doubt of its length: have another coil of the \
             same strip ready. If it ends early, write down the last good serial; what comes \
             after it is not made, and has to be compiled again."
                .into(),
        ));
    }
    if run.first_piece_at_nm > 0 {
        blocks.push(Block::Prose(
            format!(
                "Head: the first good piece starts {} {} behind the strip's edge; what drops before \
                 it is scrap.",
                figure(nm(run.first_piece_at_nm), units),
                short(units)
            )
            .into(),
        ));
    }
    blocks
}

/// Where the strip and the time of the run go, and who stands for it.
fn balance(run: &RunReport, units: Units) -> Vec<Block> {
    let account = &run.account;
    let nm = Length::from_nm;
    let parts: Vec<String> = [
        ("good pieces", account.good_nm),
        ("cuts (slugs)", account.slug_nm),
        ("head, defects and gaps", account.head_nm - account.head_at_slopes_nm),
        ("between unequal slopes", account.head_at_slopes_nm),
        ("tail", account.tail_nm),
    ]
    .into_iter()
    .filter(|(_, part)| *part != 0)
    .map(|(what, part)| {
        let (part, used) = (nm(part), nm(account.used_nm));
        let share = percent(part, used);
        format!("{what} {} {} ({share})", strip(part, units, 2), long(units))
    })
    .collect();
    let used = strip(nm(account.used_nm), units, 2);
    let strip_goes = format!("Strip used {used} {}: {}.", long(units), parts.join(", "));
    let time = &run.time;
    let told = format!(
        "Time {}: {}moving {}, settling {}, tools {}, shear {}{}, clearing {}; {}.",
        Time::from_ns(time.total_ns),
        [("setting up", time.set_up_ns), ("loading and threading up", time.coil_change_ns)]
            .into_iter()
            .filter(|(_, ns)| *ns != 0)
            .map(|(what, ns)| format!("{what} {}, ", Time::from_ns(ns)))
            .collect::<String>(),
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
    );
    let then = if run.coil.bar.is_some() {
        "What is left of the bar is taken out after this run."
    } else if run.stays {
        "The coil stays in the line."
    } else {
        "The coil is taken off after this run."
    };
    vec![
        Block::Heading(3, "Balance".into()),
        Block::Prose(strip_goes.into()),
        Block::Prose(told.into()),
        Block::Prose(then.into()),
        Block::SignOff(
            Words::from("First off checked: ").blank(14).plain("  Run done: ").blank(14),
        ),
        Block::SignOff(Words::from("Bad pieces (serials): ").blank(14)),
    ]
}

/// What the rack is like now, for the stock file.
fn after(report: &Report, inputs: &Inputs<'_>, plan: &Plan) -> Vec<Block> {
    let units = inputs.batch.units;
    let mut items: Vec<Words> = Vec::new();
    let far = |length, decimals| format!("{} {}", strip(length, units, decimals), long(units));
    for bars in &report.bars {
        let left = bars.there.saturating_sub(bars.used);
        items.push(
            Words::from(format!("Bars {}: {} of {} used. Write ", bars.bar, bars.used, bars.there))
                .code(format!("count = {left}"))
                .plain(", and what goes back as bars of their own."),
        );
    }
    for coil in &plan.rack {
        if coil.bar.is_some() {
            if coil.length > Length::ZERO {
                let length = far(coil.length, 1);
                items.push(format!("Bar {}: {length} go back to the rack.", coil.id).into());
            }
            continue;
        }
        if coil.length <= Length::ZERO {
            items.push(
                format!(
                    "Coil {}: used up by the plan. Take it out of the stock file, or measure what \
                     is left.",
                    coil.id
                )
                .into(),
            );
            continue;
        }
        let defects: Vec<String> = coil
            .defects
            .iter()
            .map(|(from, to)| format!("{} to {}", far(*from, 2), far(*to, 2)))
            .collect();
        let told = format!(
            "Coil {}: {} (± {}) {}.{}",
            coil.id,
            far(coil.length, 1),
            far(doubt(inputs, &coil.id), 1),
            if coil.threaded { "stay in the line" } else { "go back to the rack" },
            if defects.is_empty() {
                String::new()
            } else {
                format!(" Defects, from its new leading edge: {}.", defects.join(", "))
            }
        );
        items.push(told.into());
    }
    if !plan.rack.is_empty() {
        items.push(
            "Write what is left, measured where you can, on each coil and into the stock file: \
             the next batch starts from what stands there."
                .into(),
        );
    }
    let mut blocks = vec![Block::Heading(2, "After the last run".into())];
    blocks.extend(items.into_iter().map(Block::Item));
    blocks.push(Block::SignOff(
        Words::from("Batch closed: ").blank(14).plain(" (name)  ").blank(14).plain(" (date)"),
    ));
    blocks
}
