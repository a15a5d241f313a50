//! What was taped on the first pieces off: `first-off.toml`.

use super::calibration::check_date;
use super::common::{Face, Found, faces, few_enough, finding, out_of_range, positive};
use super::model::{self, Edge, PieceName, Tape, Which};
use super::reading::{At, Fraction, OneOrMany, wire, words};
use super::shelf::read;
use crate::diagnostic::codes::measured as codes;
use crate::diagnostic::{Diagnostic, any_error, load};
use crate::member::model::{End, Faces};
use crate::quantity::{Files, Length, Rational, Sources, Span};

/// Most pieces of a file, and most readings of a piece: nobody tapes more.
const MOST: usize = 200;

/// Most readings of a file: exact fractions take their time.
const MOST_READINGS: usize = 2_000;

words! {
    /// An end of the member as drawn; its start leaves the line first.
    pub enum EndWord {
        /// The start.
        Start = "start",
        /// The end.
        End = "end",
    }
    /// Which feature of its type, from the start of the piece.
    pub enum WhichWord {
        /// The one nearest the start.
        First = "first",
        /// The one nearest the end.
        Last = "last",
    }
    /// To which point of a feature the tape is read.
    pub enum EdgeWord {
        /// Its centre.
        Centre = "centre",
        /// The edge nearer to where the tape hangs.
        NearEdge = "near-edge",
        /// The edge further away.
        FarEdge = "far-edge",
    }
}

words! {
    /// Whether it is known where the strip stands.
    pub enum PositionWord {
        /// The line stopped right after the cut of that piece, and nothing has moved, fired or
        /// been opened since.
        Kept = "kept",
        /// After an emergency stop, an opened guard or an unknown stroke: a fresh cut is made by
        /// hand, and nothing good is made as far as the strip may bear strokes.
        Lost = "lost",
    }
    /// What becomes of pieces that are begun.
    pub enum BegunWord {
        /// A program of their own finishes them, as the old one would have.
        Finish = "finish",
        /// They are cut off as scrap and made again.
        Scrap = "scrap",
    }
}

wire! {
    /// What was taped on the first pieces off the line.
    pub struct Measured {
        /// The folder that `compile` wrote and the line ran, from this file's folder.
        output: At<String>,
        /// When it was taped, as year-month-day: "2026-11-26".
        date: At<String>,
        /// Who taped it.
        by: At<String>,
        /// How well the tape is read; needed with pieces.
        tape: Option<TapeText>,
        /// The pieces; may be left out where only the rest of a run is to be compiled, with the
        /// calibration as it is.
        piece: Option<At<Vec<PieceText>>>,
        /// How far the run has come, when the rest of it is to be compiled.
        stands: Option<StandsText>,
    }
    /// How far a run has come. What is not told counts as lost and is scrapped.
    pub struct StandsText {
        /// Serial of the last good piece on the run-out table; may be left out where a log
        /// says it.
        after: Option<At<i64>>,
        /// The controller's log, from this file's folder; several in the order they were written.
        log: Option<OneOrMany<At<String>>>,
        /// The description of that log, from this file's folder.
        log_as: Option<At<String>>,
        /// Whether it is known where the strip stands; "lost" when left out.
        position: Option<PositionWord>,
        /// What becomes of pieces that bear strokes and are not cut: "finish" when the position
        /// is kept, "scrap" when it is lost.
        begun: Option<At<BegunWord>>,
        /// Serials of pieces cut that are no good: they are made again.
        again: Option<Vec<At<i64>>>,
        /// What is left of the coil, where the position is lost and somebody measured it.
        left: Option<At<Length>>,
    }
    /// How well the tape is read.
    pub struct TapeText {
        /// How far a reading may be off, the tape's own error and its reading together.
        uncertainty: At<Length>,
        /// How many standard uncertainties that is, from 1 to 3: 2 where about 19 readings of 20
        /// are that good, 3 where nearly all are.
        coverage: At<Fraction>,
    }
    /// A piece: by its serial, or by frame and mark (and job and copy where that is not enough).
    pub struct PieceText {
        /// Its number on the run sheet.
        serial: Option<At<i64>>,
        /// Its job.
        job: Option<At<String>>,
        /// Its frame.
        frame: Option<At<String>>,
        /// Which copy of the frame; 1 when left out.
        copy: Option<At<i64>>,
        /// Its mark.
        mark: Option<At<String>>,
        /// Its length over all.
        length: Option<At<Length>>,
        /// Features taped on it.
        feature: Option<Vec<FeatureText>>,
    }
    /// One reading of a feature.
    pub struct FeatureText {
        /// Its type.
        kind: At<String>,
        /// Which of its type; or give `drawn`.
        which: Option<At<WhichWord>>,
        /// Where it is drawn, counted as the reading is: from the same end to the same point.
        drawn: Option<At<Length>>,
        /// Faces it is on; needed only where different stations make the type on different faces.
        faces: Option<At<OneOrMany<Face>>>,
        /// Where across the face it is drawn; needed only where different stations make the type
        /// side by side.
        across: Option<At<Length>>,
        /// The end the tape hangs from.
        from: EndWord,
        /// To which point the tape is read; the centre when left out. A range has two edges and
        /// is read to one of them; an end shape is read to its inner edge, without this.
        to: Option<EdgeWord>,
        /// What the tape reads.
        at: At<Length>,
    }
}

/// Reads a file of taped pieces; `None` where anything in it cannot be used.
pub fn load_measured(
    files: &dyn Files,
    sources: &mut Sources,
    path: &str,
) -> (Option<model::Measured>, Vec<Diagnostic>) {
    let mut found = Vec::new();
    let measured = match load(files, sources, path, None) {
        Ok(file) => {
            read::<Measured>(sources, file, &mut found).and_then(|wire| settle(&wire, &mut found))
        }
        Err(diagnostic) => {
            found.push(*diagnostic);
            None
        }
    };
    (measured.filter(|_| !any_error(&found)), found)
}

fn settle(wire: &Measured, found: &mut Found) -> Option<model::Measured> {
    check_date(&wire.date, found);
    if wire.by.value.trim().is_empty() {
        found.push(finding(
            &codes::E0952,
            wire.by.span,
            "nobody is named who taped the pieces",
            "empty",
            "write who did: a calibration is somebody's word",
        ));
    }
    let texts = wire.piece.as_ref().map_or(&[][..], |at| at.value.as_slice());
    let span = wire.piece.as_ref().map_or(wire.output.span, |at| at.span);
    few_enough(found, "pieces", texts.len(), MOST, span);
    if texts.is_empty() && wire.stands.is_none() {
        found.push(finding(
            &codes::E0952,
            span,
            "no piece was taped",
            "nothing to compare with what was run",
            "write a [[piece]] for each: its serial, its length, its features; to compile only \
             the rest of a run that was stopped, add [stands]",
        ));
    }
    if let (false, None) = (texts.is_empty(), &wire.tape) {
        found.push(finding(
            &codes::E0952,
            span,
            "it is not said how well the tape is read",
            "taped with what?",
            "add `tape = { uncertainty = \"0.5 mm\", coverage = 2 }`: half a millimetre, 19 \
             readings of 20",
        ));
    }
    let readings = |piece: &PieceText| {
        usize::from(piece.length.is_some()) + piece.feature.as_ref().map_or(0, Vec::len)
    };
    let readings = texts.iter().map(readings).sum();
    few_enough(found, "readings", readings, MOST_READINGS, span);
    let tape = wire.tape.as_ref().map_or(Tape::USUAL, |text| tape(text, found));
    let pieces = texts.iter().filter_map(|text| piece(text, found)).collect();
    Some(model::Measured {
        output: (wire.output.value.as_str().into(), wire.output.span),
        date: (wire.date.value.as_str().into(), wire.date.span),
        by: wire.by.value.trim().into(),
        tape,
        pieces,
        halt: wire.stands.as_ref().and_then(|stands| halt(stands, found)),
        log: wire.stands.as_ref().and_then(|stands| log(stands, found)),
    })
}

/// The log that says how far the run has come, if the file names one.
fn log(wire: &StandsText, found: &mut Found) -> Option<model::LogNamed> {
    let mut half = |span: Span, message: &str, help: &str| {
        found.push(finding(&codes::E0964, span, message, "half of it", help));
        None
    };
    match (&wire.log, &wire.log_as) {
        (None, None) => None,
        (None, Some(read_as)) => half(
            read_as.span,
            "a log is described, and none is named",
            "add `log = \"…\"`: the file that the controller wrote",
        ),
        (Some(_), None) => half(
            wire.span,
            "a log is named, and nothing says how to read it",
            "add `log-as = \"…\"`: the description of the controller's log",
        ),
        (Some(files), Some(read_as)) => Some(model::LogNamed {
            files: files
                .as_slice()
                .iter()
                .map(|file| (file.value.as_str().into(), Some(file.span)))
                .collect(),
            read_as: (read_as.value.as_str().into(), Some(read_as.span)),
            after: wire
                .after
                .as_ref()
                .and_then(|at| Some((u32::try_from(at.value).ok()?, at.span))),
        }),
    }
}

/// How far the run has come. Only a kept position lets what is begun be finished.
fn halt(wire: &StandsText, found: &mut Found) -> Option<model::Halt> {
    let mut serial = |at: &At<i64>| {
        let serial = u32::try_from(at.value).ok().filter(|&serial| serial > 0);
        if serial.is_none() {
            let message = format!("there is no serial {}", at.value);
            out_of_range(found, at.span, message, "serials count from 1");
        }
        serial
    };
    let after = match &wire.after {
        Some(after) => serial(after),
        None if wire.log.is_some() => Some(0),
        None => None,
    };
    let again: Option<Vec<u32>> = wire.again.iter().flatten().map(&mut serial).collect();
    if wire.after.is_none() && wire.log.is_none() {
        found.push(finding(
            &codes::E0964,
            wire.span,
            "nothing says which piece dropped last",
            "after which?",
            "add `after`, the serial of the last good piece on the run-out table; or `log` and \
             `log-as`",
        ));
    }
    let kept = wire.position == Some(PositionWord::Kept);
    let begun = wire.begun.as_ref().map(|at| at.value);
    if let (false, Some(at)) =
        (kept, wire.begun.as_ref().filter(|_| begun == Some(BegunWord::Finish)))
    {
        found.push(
            Diagnostic::new(&codes::E0964, "what is begun cannot be finished from a lost position")
                .at(at.span, "nobody says where the strip stands")
                .note("strokes would come down beside those that are there")
                .help(
                    "write `position = \"kept\"` only if the line stopped right after that cut and \
                     nothing moved, fired or was opened since; else `begun = \"scrap\"`",
                ),
        );
    }
    if let (true, Some(at)) = (kept, &wire.left) {
        found.push(
            Diagnostic::new(
                &codes::E0964,
                "what is left of the coil is known where the position is",
            )
            .at(at.span, "the program tells it")
            .help("leave `left` out, or say `position = \"lost\"`"),
        );
    }
    let left = wire.left.as_ref().map(|at| positive(found, "left", at, Length::LIMIT));
    Some(model::Halt {
        after: after?,
        kept,
        finish: begun.map_or(kept, |word| word == BegunWord::Finish) && kept,
        again: again?,
        left,
        span: wire.span,
    })
}

fn tape(wire: &TapeText, found: &mut Found) -> Tape {
    let (least, most) = (Length::from_um(20), Length::from_mm(10));
    let uncertainty = wire.uncertainty.value;
    if uncertainty < least || uncertainty > most {
        out_of_range(
            found,
            wire.uncertainty.span,
            format!("a tape is not read to {uncertainty} mm"),
            format!("write a length from {least} to {most} mm; half a millimetre is usual"),
        );
    }
    let coverage = wire.coverage.value.0;
    // Two decimals: more would say nothing, and keeps the figures short.
    let fine = coverage.checked_mul(Rational::whole(100)).is_some_and(|c| c.denominator() == 1);
    if coverage < Rational::whole(1) || coverage > Rational::whole(3) || !fine {
        out_of_range(
            found,
            wire.coverage.span,
            format!("a coverage of {coverage} is none"),
            "write 2 if about 19 readings of 20 are that good, 3 if nearly all, 1 if two of three",
        );
    }
    Tape { uncertainty, coverage }
}

fn piece(wire: &PieceText, found: &mut Found) -> Option<model::TapedPiece> {
    let name = name(wire, found);
    let length = wire.length.as_ref().map(|at| {
        positive(found, "length", at, Length::from_mm(100_000));
        (at.value, at.span)
    });
    let texts = wire.feature.as_deref().unwrap_or_default();
    few_enough(found, "readings of a piece", texts.len(), MOST, wire.span);
    if length.is_none() && texts.is_empty() {
        found.push(finding(
            &codes::E0952,
            wire.span,
            "nothing was taped on this piece",
            "no length and no feature",
            "write its `length`, and a [[piece.feature]] for each reading",
        ));
    }
    let features = texts.iter().filter_map(|text| feature(text, found)).collect();
    Some(model::TapedPiece { name: name?, length, features, span: wire.span })
}

fn name(wire: &PieceText, found: &mut Found) -> Option<PieceName> {
    let mut refuse = |message: &str, label: &str| {
        let help = "give its `serial` alone, or `frame` and `mark`: the run sheet has both";
        found.push(finding(&codes::E0952, wire.span, message, label, help));
        None
    };
    let by_name = [wire.job.is_some(), wire.frame.is_some(), wire.mark.is_some()];
    match (&wire.serial, &wire.frame, &wire.mark) {
        (Some(_), _, _) if by_name.contains(&true) || wire.copy.is_some() => {
            refuse("the piece is named twice, by serial and by name", "named twice")
        }
        (Some(serial), _, _) => match u32::try_from(serial.value) {
            Ok(number) if number > 0 => Some(PieceName::Serial(number)),
            _ => {
                let message = format!("there is no serial {}", serial.value);
                out_of_range(found, serial.span, message, "serials count from 1");
                None
            }
        },
        (None, Some(frame), Some(mark)) => {
            let copy = wire.copy.as_ref().map_or(Some(1), |at| {
                let copy = u32::try_from(at.value).ok().filter(|&copy| copy > 0);
                if copy.is_none() {
                    let message = format!("there is no copy {}", at.value);
                    out_of_range(found, at.span, message, "copies of a frame count from 1");
                }
                copy
            })?;
            Some(PieceName::Member {
                job: wire.job.as_ref().map(|at| at.value.as_str().into()),
                frame: frame.value.as_str().into(),
                copy,
                mark: mark.value.as_str().into(),
            })
        }
        (None, _, _) => refuse("it is not said which piece this is", "which piece?"),
    }
}

fn feature(wire: &FeatureText, found: &mut Found) -> Option<model::TapedFeature> {
    let at = &wire.at;
    if at.value.is_negative() || at.value > Length::from_mm(100_000) {
        let message = format!("a tape does not read {} mm", at.value);
        out_of_range(
            found,
            at.span,
            message,
            "write what the tape reads, from the end it hangs on",
        );
    }
    let which = match (&wire.which, &wire.drawn) {
        (Some(word), None) => match word.value {
            WhichWord::First => Which::First,
            WhichWord::Last => Which::Last,
        },
        (None, Some(at)) => Which::Drawn(at.value),
        (both, _) => {
            found.push(finding(
                &codes::E0952,
                wire.span,
                match both {
                    Some(_) => "this feature is named twice, by `which` and by `drawn`",
                    None => "it is not said which feature this is",
                },
                "which one?",
                "write `which = \"first\"` or `\"last\"`, or `drawn` with its position on the drawing",
            ));
            return None;
        }
    };
    Some(model::TapedFeature {
        kind: (wire.kind.value.as_str().into(), wire.kind.span),
        faces: wire.faces.as_ref().map_or(Faces::all(), |list| faces(found, "faces", list)),
        across: wire.across.as_ref().map(|at| at.value),
        which,
        from: match wire.from {
            EndWord::Start => End::Start,
            EndWord::End => End::End,
        },
        to: wire.to.map(|to| match to {
            EdgeWord::Centre => Edge::Centre,
            EdgeWord::NearEdge => Edge::Near,
            EdgeWord::FarEdge => Edge::Far,
        }),
        at: at.value,
        span: at.span,
    })
}
