//! From readings of a tape to equations.
//!
//! Let P be the strip of a piece and r the strip from its start to a stroke, both as programmed;
//! f the forming factor the program was made with. On a line whose station stands δ further
//! upstream than its calibration says, whose cut leaves every piece longer by c and whose strip
//! comes out longer by the share ε, the tape reads
//!
//! - length: (1 + ε) (P + c) / (1 + f),
//! - from the start to the stroke: (1 + ε) (r + δ + c) / (1 + f),
//! - from the end to the stroke: (1 + ε) (P − r − δ) / (1 + f): the cut that made the end has no
//!   part in it, and a station too far upstream shows the other way round.
//!
//! Products of two corrections are left out: a millimetre of δ times a thousandth of ε is a
//! micrometre. Where the controller applies the calibration, programs count finished lengths
//! (f = 0 here), and a controller that applies the same figures makes the same equations.

use super::fit::{Fraction, Row};
use super::model::{Cause, Ran};
use super::place::{self, Made, Placed};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::library::E0309;
use crate::diagnostic::codes::measured::{E0951, E0952, E0953, E0954, E0958};
use crate::library::model::{Edge, Measured, PieceName, Tape, TapedFeature, TapedPiece, Which};
use crate::member::model::{End, Feature, Place};
use crate::program::Serial;
use crate::quantity::{Length, Rational, Span};
use std::collections::BTreeMap;

/// Features drawn no further apart than this are one to a tape.
const SAME: Length = Length::from_mm(1);

/// A reading further off than this is a slip at first sight.
const GROSS: Length = Length::from_mm(50);

/// A reading with what it says.
#[derive(Debug)]
pub(super) struct Reading {
    /// As messages call it: `piece 3 (N1 S2), length`.
    pub words: String,
    /// Where it is written.
    pub span: Span,
    /// What it reads more than programmed, in nanometres, and what may be the cause.
    pub excess: Fraction,
    pub terms: Vec<(Cause, Fraction)>,
    pub variance: Fraction,
}

impl Reading {
    /// With causes by number.
    pub(super) fn row(&self, causes: &[Cause]) -> Row {
        let number = |cause: &Cause| causes.iter().position(|c| c == cause);
        let terms = self
            .terms
            .iter()
            .filter_map(|(cause, share)| Some((number(cause)?, share.clone())))
            .collect();
        Row { excess: self.excess.clone(), terms, variance: self.variance.clone() }
    }
}

/// Every reading as an equation; findings say which could not be understood.
pub(super) fn all(measured: &Measured, ran: &Ran<'_>) -> (Vec<Reading>, Vec<Diagnostic>) {
    let placed = place::all(ran);
    let (mut readings, mut found) = (Vec::new(), Vec::new());
    for taped in &measured.pieces {
        match piece(taped, &placed) {
            Ok(piece) => one(taped, piece, ran, &measured.tape, &mut readings, &mut found),
            Err(refusal) => found.push(*refusal),
        }
    }
    for reading in &readings {
        let gross = whole(GROSS);
        if reading.excess > gross || reading.excess < -gross {
            found.push(
                Diagnostic::new(
                    &E0958,
                    format!(
                        "{}: the tape reads {} than the program makes it",
                        reading.words,
                        off(&reading.excess)
                    ),
                )
                .at(reading.span, "no calibration is that far off")
                .help("look whether it is this piece, this feature and this end; tape it again"),
            );
        }
    }
    (readings, found)
}

/// The pieces that were taped, with the places that name them. Those that nobody made are left
/// out: [`all`] names them.
pub(super) fn serials(measured: &Measured, ran: &Ran<'_>) -> Vec<(Serial, Span)> {
    let placed = place::all(ran);
    let taped = measured.pieces.iter();
    taped.filter_map(|taped| Some((piece(taped, &placed).ok()?.piece.serial, taped.span))).collect()
}

/// `1.2 mm more`, `0.4 mm less`.
pub(super) fn off(excess: &Fraction) -> String {
    let tenths = (excess / Fraction::from_integer(100_000.into())).round().to_integer();
    let tenths = i64::try_from(tenths).unwrap_or(i64::MAX);
    let way = if tenths < 0 { "less" } else { "more" };
    format!("{}.{} mm {way}", (tenths / 10).unsigned_abs(), (tenths % 10).unsigned_abs())
}

fn piece<'p, 'r, 'a>(
    taped: &TapedPiece,
    placed: &'p BTreeMap<Serial, Placed<'r, 'a>>,
) -> Result<&'p Placed<'r, 'a>, Box<Diagnostic>> {
    let unknown = |what: String| {
        Box::new(
            Diagnostic::new(&E0951, what)
                .at(taped.span, "not made by any program of the folder")
                .help("the run sheet and marks.csv of that folder list every piece"),
        )
    };
    match &taped.name {
        PieceName::Serial(serial) => placed
            .get(&Serial(*serial))
            .ok_or_else(|| unknown(format!("there is no piece of serial {serial}"))),
        PieceName::Member { job, frame, copy, mark } => {
            let named: Vec<&Placed<'_, '_>> = placed
                .values()
                .filter(|p| p.piece.frame == *frame && p.piece.mark == *mark)
                .filter(|p| p.piece.copy == *copy)
                .filter(|p| job.as_ref().is_none_or(|job| p.piece.job == *job))
                .collect();
            match named.as_slice() {
                [] => Err(unknown(format!("there is no piece `{mark}` of frame `{frame}`"))),
                [one] => Ok(one),
                several => {
                    let serials: Vec<String> =
                        several.iter().take(8).map(|p| p.piece.serial.to_string()).collect();
                    Err(Box::new(
                        Diagnostic::new(
                            &E0954,
                            format!("{} pieces are `{mark}` of frame `{frame}`", several.len()),
                        )
                        .at(taped.span, "which of them?")
                        .help(format!("write its serial: one of {}", serials.join(", "))),
                    ))
                }
            }
        }
    }
}

/// The readings of one piece.
fn one(
    taped: &TapedPiece,
    placed: &Placed<'_, '_>,
    ran: &Ran<'_>,
    tape: &Tape,
    readings: &mut Vec<Reading>,
    found: &mut Vec<Diagnostic>,
) {
    let profile = placed.program.profile;
    // Finished per strip, as the program was made.
    let per_strip = per_strip(ran.calibration.strip_factor(profile));
    let line = ran.line.accuracy;
    if let Some((length, span)) = taped.length {
        let programmed = whole(placed.strip()) * &per_strip;
        readings.push(Reading {
            words: format!("{}, length", placed.words()),
            span,
            excess: whole(length) - &programmed,
            terms: vec![(Cause::Strip(profile), programmed), (Cause::Cut, per_strip.clone())],
            variance: variance(tape, &[line]),
        });
    }
    for reading in &taped.features {
        match feature(reading, placed, ran) {
            Ok((made, beyond, words)) => {
                let (strip, station) = match reading.from {
                    End::Start => (made.at, per_strip.clone()),
                    End::End => (placed.strip() - made.at, -per_strip.clone()),
                };
                let programmed = whole(strip) * &per_strip;
                let mut terms = vec![(Cause::Station(made.station), station)];
                terms.push((Cause::Strip(profile), programmed.clone()));
                if reading.from == End::Start {
                    terms.push((Cause::Cut, per_strip.clone()));
                }
                readings.push(Reading {
                    words: format!("{}, {words}", placed.words()),
                    span: reading.span,
                    excess: whole(reading.at - beyond) - programmed,
                    terms,
                    variance: variance(tape, &[line, made.tool.accuracy]),
                });
            }
            Err(refusal) => found.push(*refusal),
        }
    }
}

/// The stroke that was taped, how far beyond its own point the tape was read (away from where it
/// hangs), and words for the reading.
fn feature<'a>(
    taped: &TapedFeature,
    placed: &Placed<'_, '_>,
    ran: &Ran<'a>,
) -> Result<(Made<'a>, Length, String), Box<Diagnostic>> {
    let (name, kind_at) = &taped.kind;
    let Some((kind, _)) = ran.library.feature_named(name) else {
        let names = ran.library.features.iter().map(|f| &*f.name);
        return Err(Box::new(
            Diagnostic::new(&E0309, format!("there is no feature type `{name}`"))
                .at(*kind_at, "not declared anywhere")
                .help(crate::library::reading::one_of(name, names)),
        ));
    };
    let shape = &*placed.piece.shape;
    let mut features: Vec<&Feature> = shape
        .features
        .iter()
        .filter(|f| f.kind == kind && f.faces.intersects(taped.faces))
        .filter(|f| taped.across.is_none_or(|at| (f.across - at).abs() <= SAME))
        .collect();
    features.sort_by_key(|f| f.place.extent(f.outline, shape.length));
    let drawn = |feature: &Feature| drawn(feature, taped, shape.length);
    let chosen = match taped.which {
        Which::First => features.first().copied(),
        Which::Last => features.last().copied(),
        Which::Drawn(at) => features
            .iter()
            .copied()
            .filter(|f| (drawn(f) - at).abs() <= SAME)
            .min_by_key(|f| (drawn(f) - at).abs()),
    };
    let Some(chosen) = chosen else {
        let places: Vec<String> =
            features.iter().take(8).map(|f| format!("{} mm", drawn(f))).collect();
        return Err(Box::new(
            Diagnostic::new(&E0953, format!("{} has no such `{name}`", placed.words()))
                .at(taped.span, "this reading is of none of them")
                .help(match places.as_slice() {
                    [] => format!(
                        "no `{name}` is drawn on it: look at the type, the faces and the piece"
                    ),
                    _ => format!(
                        "counted from the {} as the tape was, they are drawn at {}",
                        taped.from,
                        places.join(", ")
                    ),
                }),
        ));
    };
    let edge = edge(taped, chosen, name)?;
    // Side by side on a face, or on different faces, the tape alone does not tell which it was.
    let side = match (edge, taped.from) {
        (Edge::Centre, _) => None,
        (Edge::Near, End::Start) | (Edge::Far, End::End) => Some(End::Start),
        (Edge::Far, End::Start) | (Edge::Near, End::End) => Some(End::End),
    };
    let mut made: Vec<Made<'a>> = Vec::new();
    let beside = features.iter().filter(|f| (drawn(f) - drawn(chosen)).abs() <= SAME);
    for feature in std::iter::once(&chosen).chain(beside) {
        // Only the faces that were taped count.
        let wanted = Feature { faces: feature.faces & taped.faces, ..(*feature).clone() };
        for stroke in place::strokes(ran, placed, &wanted, side) {
            if made.iter().all(|other| other.station != stroke.station) {
                made.push(stroke);
            }
        }
    }
    let made = match made.as_slice() {
        [] => {
            return Err(Box::new(
                Diagnostic::new(
                    &E0953,
                    format!("{}: no stroke of the program makes this `{name}`", placed.words()),
                )
                .at(taped.span, "taped here")
                .help("tape another feature of the type; verify the folder"),
            ));
        }
        [made] => *made,
        several => {
            let stations: Vec<String> = several
                .iter()
                .filter_map(|made| {
                    let station = ran.line.station(made.station)?;
                    let makes = made.makes;
                    Some(format!(
                        "`{}` on the {}, {} mm across",
                        station.name, makes.faces, makes.across
                    ))
                })
                .collect();
            return Err(Box::new(
                Diagnostic::new(
                    &E0954,
                    format!("{}: more than one station makes this `{name}`", placed.words()),
                )
                .at(taped.span, "which of the marks was taped?")
                .note(stations.join(", "))
                .help("add `faces` or `across`, and give each mark its own reading"),
            ));
        }
    };
    let half = made.reach;
    let beyond = match edge {
        Edge::Centre => Length::ZERO,
        Edge::Near => -half,
        Edge::Far => half,
    };
    let which = match taped.which {
        Which::First => format!("first {name}"),
        Which::Last => format!("last {name}"),
        Which::Drawn(at) => format!("{name} drawn at {at}"),
    };
    let to = match (edge, taped.to) {
        (_, None) => "",
        (Edge::Centre, _) => ", centre",
        (Edge::Near, _) => ", near edge",
        (Edge::Far, _) => ", far edge",
    };
    Ok((made, beyond, format!("{which}{to}, from the {}", taped.from)))
}

/// To which point the tape was read, seen from the end it hangs on.
fn edge(taped: &TapedFeature, feature: &Feature, name: &str) -> Result<Edge, Box<Diagnostic>> {
    let refuse = |message: String, help: &str| {
        Box::new(Diagnostic::new(&E0952, message).at(taped.span, "read to where?").help(help))
    };
    match (feature.place, taped.to) {
        (Place::Point { .. }, to) => Ok(to.unwrap_or(Edge::Centre)),
        (Place::Range { .. }, Some(to @ (Edge::Near | Edge::Far))) => Ok(to),
        (Place::Range { .. }, _) => Err(refuse(
            format!("`{name}` reaches along the member: it is not said to which edge it was taped"),
            "add `to = \"near-edge\"` or `to = \"far-edge\"`, seen from the end the tape hangs on",
        )),
        // The inner edge is the far one from its own end and the near one from the other.
        (Place::End { end, .. }, None) => {
            Ok(if end == taped.from { Edge::Far } else { Edge::Near })
        }
        (Place::End { .. }, Some(_)) => Err(refuse(
            format!("`{name}` shapes an end, and has one edge to read to: the inner one"),
            "leave `to` out",
        )),
    }
}

/// Where the drawing has what was taped, counted as the tape is.
fn drawn(feature: &Feature, taped: &TapedFeature, length: Length) -> Length {
    let (from, to) = feature.place.extent(feature.outline, length);
    let (near, far) = match taped.from {
        End::Start => (from.distance(), to.distance()),
        End::End => (length - to.distance(), length - from.distance()),
    };
    match (feature.place, taped.to) {
        (Place::End { end, .. }, _) if end == taped.from => far,
        (Place::End { .. }, _) | (_, Some(Edge::Near)) => near,
        (_, Some(Edge::Far)) => far,
        (_, Some(Edge::Centre) | None) => (near + far).half(),
    }
}

fn per_strip(factor: i64) -> Fraction {
    let one = 1_000_000_000_i64;
    Fraction::new(one.into(), (one + factor).into())
}

pub(super) fn whole(length: Length) -> Fraction {
    Fraction::from_integer(length.nm().into())
}

pub(super) fn fraction(value: Rational) -> Fraction {
    Fraction::new(value.numerator().into(), value.denominator().into())
}

/// Variance of a reading in nm²: of the tape, and of what the line may be off by within the
/// accuracies it states. A bound ±a counts as a²/3, as if anywhere within were as likely: common
/// practice, no source.
fn variance(tape: &Tape, accuracies: &[Length]) -> Fraction {
    let standard = whole(tape.uncertainty) / fraction(tape.coverage);
    let three = Fraction::from_integer(3.into());
    let line: Fraction = accuracies.iter().map(|a| whole(*a) * whole(*a) / &three).sum();
    &standard * &standard + line
}
