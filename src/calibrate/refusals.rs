//! What readings cannot support, in words.

use super::fit::{Fit, Fraction, Row};
use super::model::{Cause, Finding, Ran, Verdict};
use super::reading::{Reading, off};
use super::text::{count, millimetres, percent};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::measured::{
    E0955, E0956, E0958, E0959, E0960, E0961, W0957, W0963, W0968,
};
use crate::library::model::{Calibration, Measured};
use crate::quantity::{Length, Span};
use num_traits::Zero;
use std::collections::BTreeSet;

/// A cause in words: `the strip of C90`, `station web-punch`, `the cut`.
pub(super) fn words(cause: Cause, ran: &Ran<'_>) -> String {
    match cause {
        Cause::Strip(profile) => {
            let name = ran.library.profile(profile).map_or("?", |p| &p.name);
            format!("the strip of `{name}`")
        }
        Cause::Station(station) => {
            let name = ran.line.station(station).map_or("?", |s| &s.name);
            format!("station `{name}`")
        }
        Cause::Cut => "the cut".to_string(),
    }
}

fn list(causes: &[Cause], ran: &Ran<'_>) -> String {
    let words: Vec<String> = causes.iter().map(|cause| words(*cause, ran)).collect();
    match words.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => words.concat(),
    }
}

/// Where the file as a whole is shown: its first piece.
fn whole_file(measured: &Measured) -> Span {
    measured.pieces.first().map_or(measured.date.1, |piece| piece.span)
}

pub(super) fn too_old(measured: &Measured, was: &Calibration) -> Vec<Diagnostic> {
    let (date, at) = &measured.date;
    // Both are year-month-day with all their digits: they compare as text.
    if **date >= *was.date {
        return Vec::new();
    }
    vec![
        Diagnostic::new(
            &E0960,
            format!(
                "taped on {date}, before the calibration of {} that the programs use",
                was.date
            ),
        )
        .at(*at, "earlier than the calibration")
        .help("correct the date, or name the output folder that was run on that day"),
    ]
}

pub(super) fn cannot_tell(
    open: &[usize],
    causes: &[Cause],
    readings: &[Reading],
    measured: &Measured,
    ran: &Ran<'_>,
) -> Box<Diagnostic> {
    let open: Vec<Cause> = open.iter().filter_map(|place| causes.get(*place).copied()).collect();
    let message = match open.as_slice() {
        [one] => format!("these readings say nothing of {}", words(*one, ran)),
        _ => format!("these readings cannot tell apart {}", list(&open, ran)),
    };
    let mut told =
        Diagnostic::new(&E0955, message).at(whole_file(measured), "the pieces from here on");
    let lengths: BTreeSet<Length> =
        measured.pieces.iter().filter_map(|piece| piece.length).map(|(l, _)| l).collect();
    if measured.pieces.len() == 1 {
        told = told.note(
            "one piece was taped: an error in its length may come from the strip, which grows with \
             the length, or from the cut, which is the same on every piece",
        );
    } else if let (Some(short), Some(long)) = (lengths.first(), lengths.last()) {
        told = told.note(format!("the pieces taped are {short} to {long} mm long"));
    }
    if readings.len() < causes.len() {
        told = told.note(format!(
            "{} for {} unknowns: strip, cut, and each station taped",
            count(readings.len(), "reading"),
            causes.len()
        ));
    }
    Box::new(told.help(
        "tape pieces of clearly different lengths, and on each the first and the last feature of each type",
    ))
}

pub(super) fn unchecked(readings: usize, causes: usize, measured: &Measured) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(&E0956, "no reading checks another: one misread would not show")
            .at(whole_file(measured), "the pieces from here on")
            .note(format!("{} for {causes} unknowns: strip, cut, and each station taped", count(readings, "reading")))
            .help("tape another piece, of another length, and both the first and last feature of each type"),
    )
}

pub(super) fn taped_once(cause: Cause, reading: &Reading, ran: &Ran<'_>) -> Diagnostic {
    let what = words(cause, ran);
    Diagnostic::new(&W0957, format!("{what} is left as it is: one reading alone speaks of it"))
        .at(reading.span, "the only one")
        .note("if it was misread, nothing would show that")
        .help("tape it on another piece too")
}

/// The reading whose residual is largest for what may be left of it, if that is more than three
/// standard uncertainties.
pub(super) fn blunder(
    full: &Fit,
    rows: &[Row],
    readings: &[Reading],
) -> Result<(), Box<Diagnostic>> {
    let squares: Vec<Fraction> = rows
        .iter()
        .zip(&full.residuals)
        .zip(&full.redundancy)
        .map(|((row, residual), left)| {
            if left.is_zero() {
                return Fraction::zero();
            }
            residual * residual / (&row.variance * left)
        })
        .collect();
    let Some(most) = squares.iter().max() else { return Ok(()) };
    if *most <= Fraction::from_integer(9.into()) {
        return Ok(());
    }
    // Readings that check each other alone show the same: it cannot be said which is wrong.
    let near = most * Fraction::new(9.into(), 10.into());
    let mut suspects: Vec<(&Fraction, usize)> =
        squares.iter().enumerate().filter(|(_, s)| **s >= near).map(|(i, s)| (s, i)).collect();
    suspects.sort_by(|(a, i), (b, j)| b.cmp(a).then(i.cmp(j)));
    let mut told: Option<Diagnostic> = None;
    for (_, place) in suspects.iter().take(4) {
        let (Some(reading), Some(residual), Some(left)) =
            (readings.get(*place), full.residuals.get(*place), full.redundancy.get(*place))
        else {
            continue;
        };
        let by = off(&(residual / left));
        let label = format!("reads about {by} than the others make likely");
        told = Some(match told {
            None if suspects.len() == 1 => Diagnostic::new(
                &E0958,
                format!(
                    "{}: the tape reads about {by} than the other readings make likely",
                    reading.words
                ),
            )
            .at(reading.span, "does not agree with the others"),
            None => Diagnostic::new(
                &E0958,
                format!(
                    "readings contradict each other: {}, or one of those named below",
                    reading.words
                ),
            )
            .at(reading.span, label),
            Some(told) => told.at(reading.span, format!("or {}: {label}", reading.words)),
        });
    }
    match told {
        Some(told) => Err(Box::new(
            told.note(
                "more than three times what tape and line allow; nothing is proposed from it",
            )
            .help("tape it again and correct the figure; look at the piece, the feature, the end"),
        )),
        None => Ok(()),
    }
}

pub(super) fn not_attributed(
    dropped: &[Cause],
    measured: &Measured,
    ran: &Ran<'_>,
) -> Box<Diagnostic> {
    Box::new(
        Diagnostic::new(
            &E0959,
            format!("the pieces are off, but it cannot be said by what: {}", list(dropped, ran)),
        )
        .at(whole_file(measured), "the pieces from here on")
        .note("together they have a share for certain, none of them alone")
        .help("tape pieces that differ more in length, features nearer to both ends, and more of them"),
    )
}

pub(super) fn too_far(findings: &[Finding], measured: &Measured, ran: &Ran<'_>) -> Vec<Diagnostic> {
    let most = |cause| match cause {
        Cause::Strip(_) => 50_000_000,
        Cause::Station(_) => Length::from_mm(100).nm(),
        Cause::Cut => i64::MAX,
    };
    let far = |finding: &&Finding| finding.now.saturating_abs() > most(finding.cause);
    let told = |finding: &Finding| {
        let figure = match finding.cause {
            Cause::Strip(_) => format!("{} %", percent(finding.now)),
            _ => format!("{} mm", millimetres(finding.now)),
        };
        Diagnostic::new(
            &E0961,
            format!("{} would be corrected by {figure}", words(finding.cause, ran)),
        )
        .at(whole_file(measured), "by these readings")
        .help(
            "look whether the folder, the profile and the units are right; measure the line again",
        )
    };
    findings.iter().filter(|f| f.verdict == Verdict::Changes).filter(far).map(told).collect()
}

/// What is off and no calibration corrects.
pub(super) fn elsewhere(finding: &Finding, ran: &Ran<'_>) -> Option<Diagnostic> {
    match (finding.verdict, finding.cause) {
        (Verdict::Elsewhere, Cause::Strip(_)) => Some(encoder(finding, ran)),
        (Verdict::Elsewhere, _) => Some(cut(finding, ran)),
        _ => None,
    }
}

fn encoder(finding: &Finding, ran: &Ran<'_>) -> Diagnostic {
    let way = if finding.differs > 0 { "long" } else { "short" };
    Diagnostic::new(
        &W0968,
        format!(
            "pieces come {} % too {way} (± {} %): the encoder's scale",
            percent(finding.differs.saturating_abs()),
            percent(finding.uncertainty),
        ),
    )
    .at(ran.line.span, "the line whose encoder runs behind the forming zone")
    .note("it counts the formed section: what forming does to the strip has no part in it")
    .help("set the encoder's scale in the controller by its own manual, then tape a first piece again")
}

fn cut(finding: &Finding, ran: &Ran<'_>) -> Diagnostic {
    let slug = finding.was.saturating_sub(finding.differs);
    let way = if finding.differs > 0 { "long" } else { "short" };
    Diagnostic::new(
        &W0963,
        format!(
            "every piece is {} mm too {way}, whatever its length (± {} mm): the cut",
            millimetres(finding.differs.saturating_abs()),
            millimetres(finding.uncertainty),
        ),
    )
    .at(ran.line.span, "the line that states the slug")
    .note(format!(
        "the line file says `slug` is {} mm; the pieces fit a slug of {} mm",
        ran.line.shear.slug,
        millimetres(slug)
    ))
    .help("measure the slug, look at blade and stop, and correct `slug` in the line file")
}
