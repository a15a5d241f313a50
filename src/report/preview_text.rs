//! The preview for people: what is made, what is lost and why, how long it takes.

use super::bars;
use super::model::{CoilReport, JobReport, ProfileReport};
use super::preview::{Preview, StopsReport};
use super::units;
use super::words::{count, hours, percent};
use crate::library::model::Units;
use crate::library::rewrite::money;
use crate::quantity::{Length, Mass, Time};

/// The preview as text, in these units.
pub fn print(preview: &Preview, shown: Units) -> String {
    let mut text = String::new();
    let strip = |nm: i64, decimals| units::strip(Length::from_nm(nm), shown, decimals);
    let mass = |mg: i64| units::mass(Mass::from_mg(mg), shown);
    let (long, heavy) = (units::long(shown), units::heavy(shown));
    let total = &preview.total;
    let account = &total.account;
    let nm = Length::from_nm;
    line(
        &mut text,
        &format!(
            "Batch {} on line {}: {}",
            preview.batch,
            preview.line,
            count(total.pieces, "piece")
        ),
    );
    if total.pieces_short > 0 {
        line(&mut text, &format!("No strip for {} more.", count(total.pieces_short, "piece")));
    }
    if preview.cut_short {
        line(&mut text, "The search was cut short: another run may find a better plan.");
    }
    line(&mut text, "");
    line(
        &mut text,
        &format!(
            "Strip used {} {long}, {} {heavy} coated; {} of it in good pieces",
            strip(account.used_nm, 2),
            mass(account.used_mg),
            percent(nm(account.good_nm), nm(account.used_nm)),
        ),
    );
    if let Some(cost) = total.cost_minor {
        line(&mut text, &format!("Strip used costs {}", money(cost)));
    }
    line(
        &mut text,
        &format!(
            "Machine time {} running, {} planned at the line's availability{}",
            Time::from_ns(total.time.total_ns),
            hours(Time::from_ns(total.planned_ns)),
            match total.shift_ns {
                Some(shift) => format!(", of {} on offer", hours(Time::from_ns(shift))),
                None => String::new(),
            }
        ),
    );
    for kind in &preview.bars {
        line(&mut text, &bars::told(kind, shown));
    }
    if let Some(set_ups) = set_ups(&preview.profiles, total.set_up_is_least) {
        line(&mut text, &set_ups);
    }
    line(&mut text, "");
    let mut rows = vec![cells(["Scrap", long, heavy, "of strip used"])];
    for scrap in &preview.scrap {
        rows.push(cells([
            cause(&scrap.cause),
            &strip(scrap.strip_nm, 3),
            &mass(scrap.mass_mg),
            &percent(nm(scrap.strip_nm), nm(account.used_nm)),
        ]));
    }
    rows.push(cells([
        "together",
        &strip(account.scrap_nm(), 3),
        &mass(account.scrap_mg),
        &percent(nm(account.scrap_nm()), nm(account.used_nm)),
    ]));
    table(&mut text, &rows);
    table(&mut text, &coil_rows(&preview.coils, shown));
    table(&mut text, &run_rows(&preview.runs));
    line(&mut text, "The least: what no choice of stops can beat, order and cuts as they are.");
    line(&mut text, "");
    table(&mut text, &job_rows(&preview.jobs, shown));
    line(&mut text, "Jobs bear heads, tails and time by their length of good pieces.");
    line(&mut text, "");
    for profile in &preview.profiles {
        line(&mut text, &profile_line(profile, shown));
    }
    for remnant in &preview.remnants {
        line(
            &mut text,
            &format!(
                "{} {} has {} {long} left{}.",
                if remnant.bar { "Bar" } else { "Coil" },
                remnant.coil,
                strip(remnant.length_nm, 1),
                if remnant.threaded { " and stays in the line" } else { "" }
            ),
        );
    }
    text
}

/// In which order the line is set up for the profiles, where there are several.
pub fn set_ups(profiles: &[ProfileReport], least: bool) -> Option<String> {
    let steps: Vec<String> = profiles
        .iter()
        .filter_map(|of| Some((of, of.set_up.as_ref()?)))
        .map(|(of, step)| match step.time_ns {
            0 => format!("{} (no time)", of.profile),
            time => format!("{} ({})", of.profile, Time::from_ns(time)),
        })
        .collect();
    (steps.len() > 1).then(|| {
        let how = if least { "no order takes less" } else { "found by search" };
        format!("Set up for {}: {how}", steps.join(", then "))
    })
}

fn cause(word: &str) -> &str {
    match word {
        "slug" => "cuts (slugs)",
        "thread-up" => "heads at thread-up",
        "defects" => "around defects",
        "gaps" => "gaps between members",
        "slopes" => "between unequal slopes",
        "tail" => "tails",
        other => other,
    }
}

fn profile_line(profile: &ProfileReport, shown: Units) -> String {
    match &profile.shortage {
        None => format!("{}: {}.", profile.profile, profile.gap),
        Some(short) => format!(
            "{}: strip {} {} {} is short by {} {} ({} {}) for {}; heads and tails come on top.",
            profile.profile,
            units::section(&profile.strip, shown),
            profile.strip.grade,
            profile.strip.coating,
            units::strip(Length::from_nm(short.strip_nm), shown, 1),
            units::long(shown),
            units::mass(Mass::from_mg(short.mass_mg), shown),
            units::heavy(shown),
            count(short.pieces, "piece"),
        ),
    }
}

fn coil_rows(coils: &[CoilReport], shown: Units) -> Vec<Vec<String>> {
    let strip = |length, decimals| units::strip(length, shown, decimals);
    let (long, heavy) = (units::long(shown), units::heavy(shown));
    let mut rows = vec![cells([
        "Coil",
        "pieces",
        &format!("used {long}"),
        heavy,
        "yield",
        &format!("scrap {long}"),
        &format!("left {long}"),
        "time",
    ])];
    for coil in coils {
        let nm = Length::from_nm;
        rows.push(cells([
            &coil.coil,
            &coil.pieces.to_string(),
            &strip(nm(coil.account.used_nm), 2),
            &units::mass(Mass::from_mg(coil.account.used_mg), shown),
            &percent(nm(coil.account.good_nm), nm(coil.account.used_nm)),
            &strip(nm(coil.account.scrap_nm()), 2),
            &strip(nm(coil.account.remnant_nm), 1),
            &Time::from_ns(coil.time.total_ns).to_string(),
        ]));
    }
    rows
}

fn run_rows(runs: &[StopsReport]) -> Vec<Vec<String>> {
    let mut rows = vec![cells(["Run", "coil", "stops", "least", "over", "time", "least", "over"])];
    let share = |part: i64, whole: i64| {
        percent(Length::from_nm(part.saturating_sub(whole)), Length::from_nm(whole))
    };
    for run in runs {
        let stops = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
        rows.push(cells([
            &run.run.to_string(),
            &run.coil,
            &run.stops.to_string(),
            &run.stops_bound.to_string(),
            &share(stops(run.stops), stops(run.stops_bound)),
            &Time::from_ns(run.time_ns).to_string(),
            &Time::from_ns(run.time_bound_ns).to_string(),
            &share(run.time_ns, run.time_bound_ns),
        ]));
    }
    rows
}

fn job_rows(jobs: &[JobReport], shown: Units) -> Vec<Vec<String>> {
    let strip = |length, decimals| units::strip(length, shown, decimals);
    let (long, heavy) = (units::long(shown), units::heavy(shown));
    let mut rows = vec![cells([
        "Job",
        "frames",
        "pieces",
        &format!("good {long}"),
        heavy,
        "yield",
        &format!("scrap {long}"),
        "time",
    ])];
    for job in jobs {
        let nm = Length::from_nm;
        let scrap = job.slug_nm + job.head_nm + job.tail_nm;
        rows.push(cells([
            &job.job,
            &job.frames.to_string(),
            &if job.pieces == job.wanted {
                job.pieces.to_string()
            } else {
                format!("{} of {}", job.pieces, job.wanted)
            },
            &strip(nm(job.good_nm), 2),
            &units::mass(Mass::from_mg(job.mass_mg), shown),
            &percent(nm(job.good_nm), nm(job.good_nm + scrap)),
            &strip(nm(scrap), 2),
            &Time::from_ns(job.time_ns).to_string(),
        ]));
    }
    rows
}

/// A row from anything that reads as text.
pub fn cells<const N: usize>(cells: [&str; N]) -> Vec<String> {
    cells.map(str::to_string).to_vec()
}

/// Columns as wide as their widest cell, the first to the left, the others to the right; a blank
/// line after.
pub fn table(text: &mut String, rows: &[Vec<String>]) {
    let columns = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column));
        cells.map(|cell| cell.chars().count()).max().unwrap_or(0)
    };
    let widths: Vec<usize> = (0..columns).map(width).collect();
    for row in rows {
        let mut shown = String::new();
        for (i, (cell, &width)) in row.iter().zip(&widths).enumerate() {
            let fill = " ".repeat(width.saturating_sub(cell.chars().count()));
            if i == 0 {
                shown.push_str(&format!("{cell}{fill}"));
            } else {
                shown.push_str(&format!("  {fill}{cell}"));
            }
        }
        line(text, shown.trim_end());
    }
    line(text, "");
}

fn line(text: &mut String, line: &str) {
    text.push_str(line);
    text.push('\n');
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_line_up() {
        let mut text = String::new();
        table(&mut text, &[cells(["Coil", "m"]), cells(["Ö1", "12.50"])]);
        assert_eq!(text, "Coil      m\nÖ1    12.50\n\n");
    }
}
