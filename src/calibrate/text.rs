//! The proposal as the operator reads it.

use super::model::{Cause, Finding, Proposal, Ran, Verdict};
use crate::library::model::{AppliedBy, Counted, Measured};
use std::collections::BTreeSet;

/// The whole page.
/// `folder` is the output folder as the user knows it.
pub fn print(proposal: &Proposal, measured: &Measured, ran: &Ran<'_>, folder: &str) -> String {
    let was = ran.calibration;
    let mut page = format!(
        "{} of {folder}, taped on {} by {}: {} readings, each to {} mm.\nMade with the \
         calibration of {}, applied by the {}. Uncertainties (±) below are at coverage {}.\n",
        count(proposal.pieces, "piece"),
        measured.date.0,
        measured.by,
        proposal.readings,
        measured.tape.uncertainty,
        was.date,
        applier(was.applied_by),
        ratio(&proposal.coverage),
    );
    if proposal.widened > 100 {
        page.push_str(&format!(
            "The readings scatter more than that: uncertainties are {}.{:02} times as wide.\n",
            proposal.widened / 100,
            proposal.widened % 100
        ));
    }
    page.push('\n');
    page.push_str(&table(&proposal.findings, ran));
    let taped: BTreeSet<&str> = proposal
        .findings
        .iter()
        .filter_map(|finding| match finding.cause {
            Cause::Station(station) => ran.line.station(station).map(|s| &*s.name),
            _ => None,
        })
        .collect();
    let not_taped: Vec<&str> =
        ran.line.stations.iter().map(|s| &*s.name).filter(|name| !taped.contains(name)).collect();
    if !not_taped.is_empty() {
        page.push_str(&wrapped("Not taped, stays as it is:", &not_taped));
    }
    if let Some((residual, reading)) = &proposal.worst {
        page.push_str(&format!(
            "Furthest from the fit: {reading}, by {} mm.\n",
            millimetres(residual.nm().abs())
        ));
    }
    page.push('\n');
    page.push_str(next(proposal, was.applied_by));
    page
}

/// What to do now, with the cautions that belong to it.
fn next(proposal: &Proposal, by: AppliedBy) -> &'static str {
    match (proposal.calibration.is_some(), by) {
        (false, _) => {
            "Nothing changes: no correction is larger than its uncertainty. The calibration stands.\n\
             It is no safety function: lock out before you reach in to measure a station.\n"
        }
        (true, AppliedBy::Coilwright) => {
            "This is a proposal. Programs that are written do not change: `--rest DIR` compiles what is\n\
             not begun yet, from where the line stands; for later batches name the new file in them.\n\
             Tape the first piece that comes off with it.\n\
             It is no safety function: lock out before you reach in to measure a station.\n"
        }
        (true, AppliedBy::Controller) => {
            "This is a proposal. The controller applies the calibration: enter these figures there,\n\
             by its own manual; the programs stay as they are. Name the new file in the batch, so\n\
             that papers tell the truth. Tape the first piece that comes off with it.\n\
             It is no safety function: lock out before you reach in to measure a station.\n"
        }
    }
}

fn table(findings: &[Finding], ran: &Ran<'_>) -> String {
    let mut lines: Vec<[String; 5]> = vec![[
        "Correction".into(),
        "was".into(),
        "now".into(),
        "readings say".into(),
        String::new(),
    ]];
    lines.extend(findings.iter().map(|finding| line(finding, ran)));
    let mut widths = [0; 4];
    for line in &lines {
        for (width, cell) in widths.iter_mut().zip(line) {
            *width = (*width).max(cell.chars().count());
        }
    }
    let mut text = String::new();
    for line in &lines {
        let mut row = String::new();
        for (i, (cell, width)) in line.iter().zip(widths.iter().chain([&0])).enumerate() {
            let gap = " ".repeat(width.saturating_sub(cell.chars().count()));
            match i {
                0 => row.push_str(&format!("{cell}{gap}")),
                4 => row.push_str(&format!("  {cell}")),
                _ => row.push_str(&format!("  {gap}{cell}")),
            }
        }
        text.push_str(row.trim_end());
        text.push('\n');
    }
    text
}

fn line(finding: &Finding, ran: &Ran<'_>) -> [String; 5] {
    let (name, show): (String, fn(i64) -> String) = match finding.cause {
        Cause::Strip(_) if ran.calibration.counted != Counted::Strip => {
            ("pieces long by the encoder".into(), |ppb| format!("{} %", percent(ppb)))
        }
        Cause::Strip(profile) => {
            let name = ran.library.profile(profile).map_or("?", |p| &p.name);
            (format!("strip of {name}"), |ppb| format!("{} %", percent(ppb)))
        }
        Cause::Station(station) => {
            let name = ran.line.station(station).map_or("?", |s| &s.name);
            (name.to_string(), |nm| format!("{} mm", millimetres(nm)))
        }
        Cause::Cut => ("pieces long by the cut".into(), |nm| format!("{} mm", millimetres(nm))),
    };
    let sign = if finding.differs > 0 { "+" } else { "" };
    let says = match finding.verdict {
        Verdict::Unchecked => format!("{sign}{}", show(finding.differs)),
        _ => {
            let up = match finding.cause {
                // Rounded up once more to the digits shown.
                Cause::Strip(_) => up(finding.uncertainty, 1_000),
                _ => up(finding.uncertainty, 10_000),
            };
            format!("{sign}{} ± {}", show(finding.differs), show(up))
        }
    };
    let verdict = match finding.verdict {
        Verdict::Changes => "changes",
        Verdict::Stays if finding.cause == Cause::Cut => "within its uncertainty",
        Verdict::Stays => "stays: within its uncertainty",
        Verdict::Unchecked => "stays: taped once, nothing checks it",
        Verdict::Elsewhere if matches!(finding.cause, Cause::Strip(_)) => {
            "set the encoder's scale in the controller"
        }
        Verdict::Elsewhere => "look at `slug` in the line file",
    };
    let (was, now) = match finding.cause {
        Cause::Cut => (String::new(), String::new()),
        Cause::Strip(_) if ran.calibration.counted != Counted::Strip => Default::default(),
        _ => (show(finding.was), show(finding.now)),
    };
    [name, was, now, says, verdict.into()]
}

fn up(value: i64, step: i64) -> i64 {
    value.saturating_add(step - 1).div_euclid(step).saturating_mul(step)
}

/// Parts in 10⁹ as percent, to four decimals: parts in 10⁶.
pub(super) fn percent(ppb: i64) -> String {
    places(ppb, 1_000, 4)
}

/// Nanometres as millimetres, to a hundredth.
pub(super) fn millimetres(nm: i64) -> String {
    places(nm, 10_000, 2)
}

/// `value` to the nearest `step`, which is one in the last of `decimals` places.
fn places(value: i64, step: i64, decimals: usize) -> String {
    let steps = value.saturating_add(step / 2).div_euclid(step);
    let unit = 10_u64.pow(u32::try_from(decimals).unwrap_or(0));
    let sign = if steps < 0 { "-" } else { "" };
    let steps = steps.unsigned_abs();
    format!("{sign}{}.{:0decimals$}", steps / unit, steps % unit)
}

fn ratio(value: &num_rational::BigRational) -> String {
    use num_traits::ToPrimitive;
    decimal(value.numer().to_i128().unwrap_or(0), value.denom().to_i128().unwrap_or(1))
}

/// A ratio of at most two decimals: `2`, `1.96`.
fn decimal(numerator: i128, denominator: i128) -> String {
    let hundredths = numerator.saturating_mul(100).checked_div(denominator).unwrap_or(0);
    let text = format!("{}.{:02}", hundredths / 100, hundredths % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// A list over as many lines as it takes.
fn wrapped(lead: &str, words: &[&str]) -> String {
    let (mut text, mut line) = (String::new(), lead.to_string());
    for (i, word) in words.iter().enumerate() {
        let end = if i + 1 == words.len() { "." } else { "," };
        if line.chars().count() + word.chars().count() + 2 > 96 {
            text.push_str(&line);
            text.push('\n');
            line = "  ".to_string();
        } else {
            line.push(' ');
        }
        line.push_str(&format!("{word}{end}"));
    }
    format!("{text}{line}\n")
}

pub(super) fn count(n: usize, word: &str) -> String {
    format!("{n} {word}{}", if n == 1 { "" } else { "s" })
}

/// Who applies a calibration, as papers say it.
fn applier(by: AppliedBy) -> &'static str {
    match by {
        AppliedBy::Controller => "controller",
        AppliedBy::Coilwright => "programs",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_rounded_to_the_nearest_and_keep_their_sign() {
        assert_eq!(percent(-180_000), "-0.0180");
        assert_eq!(percent(-499), "0.0000");
        assert_eq!(millimetres(-405_000), "-0.40");
        assert_eq!(millimetres(12_345_678), "12.35");
        assert_eq!((up(10_001, 10_000), up(10_000, 10_000)), (20_000, 10_000));
        assert_eq!((decimal(2, 1), decimal(49, 25)), ("2".into(), "1.96".into()));
    }
}
