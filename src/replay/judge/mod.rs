//! Compares what came off with what was wanted.
//!
//! Each wanted piece exactly once, by the serial its cut claims and by the mark printed on it;
//! its length; each feature once within its own tolerance, measured from the real end, start or
//! middle its datum names, by the marks **swept** on each face and not by strokes counted; nothing
//! extra. The judge moves every stroke by the accuracy of line and tool: what is right only on an
//! exact machine is refused.

mod face;
mod identity;
mod matching;
mod seen;
mod wanted;
mod witness;

use super::products::{Piece, Products};
use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::{Library, Profile};
use crate::member::model::{EndShape, Faces, Shape};
use crate::program::Serial;

/// A piece that is wanted from this program.
#[derive(Clone, Copy, Debug)]
pub struct Expected<'a> {
    /// Its serial.
    pub serial: Serial,
    /// What is to be printed on it wherever the line can; empty where nothing is.
    pub mark_text: &'a str,
    /// What it is.
    pub shape: &'a Shape,
}

/// What the judge found, in figures; the findings come beside it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Verdict {
    /// Good pieces that are right.
    pub right: usize,
    /// Features found on them, one for each face.
    pub features: usize,
    /// Pieces of scrap.
    pub scrap: usize,
    /// Strokes that touch scrap.
    pub strokes_on_scrap: usize,
    /// Serials of wanted pieces that are missing or wrong, in order.
    pub at_fault: Vec<Serial>,
}

/// Judges the products against the wanted pieces, which may come in any order.
pub fn judge(
    products: &Products,
    expected: &[Expected],
    library: &Library,
) -> (Verdict, Vec<Diagnostic>) {
    let mut findings = Refusals::new(products.spans);
    let mut verdict = Verdict::default();
    let mut book = identity::Book::new(expected);
    let mut bench = face::Bench::default();
    for piece in &products.pieces {
        let Some(serial) = piece.serial else {
            verdict.scrap += 1;
            verdict.strokes_on_scrap += products.swept_on(piece).len();
            continue;
        };
        let before = findings.len();
        let Some(wanted) = book.claim(serial, piece.event, &mut findings) else { continue };
        identity::mark(products, piece, wanted, &mut findings);
        length(products, piece, wanted, &mut findings);
        let found = either_way(products, piece, wanted, library, &mut bench, &mut findings);
        if findings.len() == before {
            verdict.right += 1;
            verdict.features += found;
        } else {
            verdict.at_fault.push(serial);
        }
    }
    book.missing(&mut findings, &mut verdict.at_fault);
    verdict.at_fault.sort_unstable();
    verdict.at_fault.dedup();
    (verdict, findings.finish())
}

/// How a piece is named in findings: its serial and what the crew looks for.
fn named(wanted: &Expected) -> String {
    if wanted.mark_text.is_empty() {
        format!("piece {}", wanted.serial)
    } else {
        format!("piece {} (`{}`)", wanted.serial, wanted.mark_text)
    }
}

fn length(products: &Products, piece: &Piece, wanted: &Expected, findings: &mut Refusals) {
    let Shape { length, length_tolerance, profile, .. } = *wanted.shape;
    let got = (piece.long.1 - piece.long.0).unstretched(products.factor);
    if !length_tolerance.admits(got - length) {
        findings.add(Some(piece.event), || {
            let message = format!(
                "{} is {got} mm long; wanted {length} mm {length_tolerance} (cut at {}, from {} mm \
                 of the strip to {} mm)",
                named(wanted),
                numbered(piece.event),
                piece.long.0,
                piece.long.1
            );
            Diagnostic::new(&codes::E0845, message).help(COMPILE_AGAIN)
        });
    } else {
        let off = products.line.accuracy.unstretched(products.factor);
        if !length_tolerance.admits(got - length - off)
            || !length_tolerance.admits(got - length + off)
        {
            findings.add(Some(piece.event), || {
                let message = format!(
                    "{} is {got} mm long (cut at {}); wanted {length} mm {length_tolerance}",
                    named(wanted),
                    numbered(piece.event)
                );
                Diagnostic::new(&codes::E0850, message)
                    .note(format!("a stop of the line may be off by {} mm", products.line.accuracy))
                    .help(
                        "widen the length tolerance, or make it on a line that is accurate enough",
                    )
            });
        }
    }
    if profile != products.profile {
        findings.add(Some(piece.event), || {
            let message = format!("{} is drawn in another profile", named(wanted));
            Diagnostic::new(&codes::E0852, message).help(COMPILE_AGAIN)
        });
    }
}

/// Whether both ends were cut as they are drawn. The long point of a start lies downstream, that
/// of an end upstream, so at one slope of the blade they lie on opposite sides; and of a piece
/// that came off end first, each end was seen from the other side of the member.
fn end_shapes(piece: &Piece, wanted: &Expected, turned: bool, findings: &mut Refusals) {
    let Shape { start, end, .. } = *wanted.shape;
    let (start, end) = match turned {
        false => (rise(start), rise(end)),
        true => (other_side(rise(end)), other_side(rise(start))),
    };
    for (which, drawn, cut, upstream) in
        [("start", start, piece.slopes.0, false), ("end", end, piece.slopes.1, true)]
    {
        let got = (i64::from(cut.rise), i64::from(cut.run));
        let got = if upstream { got } else { other_side(got) };
        if got.0 * drawn.1 == drawn.0 * got.1 {
            continue;
        }
        findings.add(Some(piece.event), || {
            let message = format!(
                "{}: its {which} is drawn {}; it was cut {}",
                named(wanted),
                sloped(drawn),
                sloped(got),
            );
            Diagnostic::new(&codes::E0851, message)
                .note(format!("it drops at {}", numbered(piece.event)))
                .help(COMPILE_AGAIN)
        });
    }
}

/// How far an end runs along the member per width of the web; above nought with the long point at
/// the left.
fn rise(shape: EndShape) -> (i64, i64) {
    match shape {
        EndShape::Square => (0, 1),
        EndShape::Slope { rise, run } => (i64::from(rise), i64::from(run)),
    }
}

fn other_side((rise, run): (i64, i64)) -> (i64, i64) {
    (-rise, run)
}

/// `square`, `4 : 12 with the long point at the left`.
fn sloped((rise, run): (i64, i64)) -> String {
    let side = if rise > 0 { "left" } else { "right" };
    match rise {
        0 => "square".to_string(),
        _ => format!("{} : {run} with the long point at the {side}", rise.abs()),
    }
}

/// Judges every face; the number of features found.
/// As drawn, or turned end for end where the member and its section allow that: a crew that takes
/// the piece up turned has the member. What is wrong is told of the way that has less wrong.
fn either_way(
    products: &Products,
    piece: &Piece,
    wanted: &Expected,
    library: &Library,
    bench: &mut face::Bench,
    findings: &mut Refusals,
) -> usize {
    let section = library.profile(wanted.shape.profile);
    if !wanted.shape.turnable || !section.is_some_and(Profile::may_turn) {
        return features(products, piece, wanted, false, library, bench, findings);
    }
    let mut as_drawn = Refusals::new(products.spans);
    let found = features(products, piece, wanted, false, library, bench, &mut as_drawn);
    if as_drawn.len() > 0 {
        let mut turned = Refusals::new(products.spans);
        let found = features(products, piece, wanted, true, library, bench, &mut turned);
        // What is wrong with a turned piece is told of that: its own places, from the end that
        // came first.
        if turned.len() < as_drawn.len() {
            findings.absorb(turned);
            return found;
        }
    }
    findings.absorb(as_drawn);
    found
}

fn features(
    products: &Products,
    piece: &Piece,
    wanted: &Expected,
    turned: bool,
    library: &Library,
    bench: &mut face::Bench,
    findings: &mut Refusals,
) -> usize {
    end_shapes(piece, wanted, turned, findings);
    let length = (piece.long.1 - piece.long.0).unstretched(products.factor);
    let mut marks: Vec<seen::Seen> = Vec::new();
    for swept in products.swept_on(piece) {
        seen::Seen::add_all(swept, products, length, &mut marks);
    }
    let mut found = 0;
    for (face, name) in Faces::NAMES {
        let on_face = face::Face { face, name, piece, wanted, turned, length, products, library };
        found += on_face.judge(&marks, bench, findings);
    }
    found
}
