use super::overlap::{self, Clamped};
use super::products::{Piece, Products, Swept, Text};
use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use super::slope;
use super::strip::VirtualStrip;
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::{How, Slope, ToolId};
use crate::program::Serial;
use crate::quantity::{Advance, Length, Strip};

/// Cuts here: what lies before the cut drops. `false` when replay has to stop.
///
/// A cut where there is no strip is refused and drops nothing.
pub(super) fn cut(
    strip: &mut VirtualStrip,
    products: &mut Products,
    event: usize,
    at: Advance,
    (serial, slope): (Option<Serial>, Slope),
    refusals: &mut Refusals,
) -> bool {
    strip.machine.can_stand(event, at, refusals);
    let cut = at.strip_at(Length::ZERO);
    slope::can_be_cut(strip.machine, event, slope, refusals);
    if !there_is_strip(strip, event, (cut, slope), refusals) {
        return true;
    }
    let (before, behind) = (strip.edge_half(), strip.machine.at_left(slope).abs());
    let mut piece = Piece {
        serial,
        start: strip.edge,
        cut,
        slopes: (strip.edge_slope, slope),
        long: (strip.edge - before, cut + behind),
        short: (strip.edge + before, cut - behind),
        event,
        swept: products.swept.len()..products.swept.len(),
        texts: products.texts.len()..products.texts.len(),
    };
    match serial {
        None => scrap_drops(strip, &piece, refusals),
        Some(serial) => piece_is_fit(strip, &piece, serial, refusals),
    }
    let Some(mut clamped) = take_strokes(strip, products, &piece, refusals) else { return false };
    piece.swept.end = products.swept.len();
    take_texts(strip, products, &piece, at, refusals);
    piece.texts.end = products.texts.len();
    let goes_on = serial.is_none() || overlap::check(strip, &piece, &mut clamped, refusals);
    strip.edge = (cut + strip.machine.slug).min(Strip::at(strip.machine.strip));
    strip.edge_slope = slope;
    strip.last_cut = Some(cut);
    strip.begun |= serial.is_some();
    products.pieces.push(piece);
    goes_on
}

/// Whether the shear has metal to cut.
fn there_is_strip(
    strip: &VirtualStrip,
    event: usize,
    (cut, slope): (Strip, Slope),
    refusals: &mut Refusals,
) -> bool {
    let (edge, machine) = (strip.edge, strip.machine);
    if cut < edge {
        refusals.add(Some(event), || match strip.last_cut {
            None => {
                let message = format!(
                    "{}: the shear cuts at {cut} mm, before the strip's edge at {edge} mm",
                    numbered(event)
                );
                Diagnostic::new(&codes::E0805, message).help(COMPILE_AGAIN)
            }
            Some(last) => {
                let message = format!(
                    "{}: a cut at {cut} mm; the one before, at {last} mm, took the strip up to \
                     {edge} mm",
                    numbered(event)
                );
                Diagnostic::new(&codes::E0816, message).help(COMPILE_AGAIN)
            }
        });
        return false;
    }
    if slope::shorter_side(strip, cut, slope) < Length::ZERO {
        refusals.add(Some(event), || slope::cuts_cross(strip, event, cut, slope));
        return false;
    }
    // A slug may reach over the coil's end, the cut may not.
    if cut + machine.at_left(slope).abs() > Strip::at(machine.strip) {
        refusals.add(Some(event), || {
            let message = format!(
                "{}: a cut at {cut} mm; the coil ends at {} mm",
                numbered(event),
                machine.strip
            );
            Diagnostic::new(&codes::E0814, message)
                .help("check the coil's length in the stock file; compile the batch again")
        });
        return false;
    }
    true
}

/// Scrap has to fall out of the shear. The trim of a cold strip is as long as the line says a
/// head must at least be: the shop knows that this much drops, or that only its slug is taken.
fn scrap_drops(strip: &VirtualStrip, piece: &Piece, refusals: &mut Refusals) {
    let length = slope::shorter_side(strip, piece.cut, piece.slopes.1);
    let line = strip.machine.line;
    let trim = strip.last_cut.is_none() && !strip.machine.warm;
    let least = if trim {
        line.shear.least_drop.min((strip.machine.ends.head - strip.machine.slug).max(Length::ZERO))
    } else {
        line.shear.least_drop
    };
    if length < least {
        refusals.add(Some(piece.event), || {
            let message = format!(
                "{}: a piece of scrap of {length} mm{}; the shear drops {least} mm or more",
                numbered(piece.event),
                if piece.slopes.0 == piece.slopes.1 { "" } else { " at its shorter side" }
            );
            Diagnostic::new(&codes::E0815, message).help(COMPILE_AGAIN)
        });
    }
}

/// Whether the line can make a good piece here, from this strip.
fn piece_is_fit(strip: &VirtualStrip, piece: &Piece, serial: Serial, refusals: &mut Refusals) {
    let machine = strip.machine;
    let Piece { long: (start, cut), event, .. } = *piece;
    if !machine.warm && strip.last_cut.is_none() {
        refusals.add(Some(event), || {
            let message = format!(
                "{}: piece {serial} is cut off a freshly threaded strip without a trim",
                numbered(event)
            );
            Diagnostic::new(&codes::E0818, message).help(COMPILE_AGAIN)
        });
    } else if !machine.warm && !strip.begun && start.distance() < machine.ends.head {
        refusals.add(Some(event), || {
            let message = format!(
                "{}: piece {serial} begins at {start} mm of the strip; the line needs a head of \
                 {} mm",
                numbered(event),
                machine.ends.head
            );
            Diagnostic::new(&codes::E0819, message).help(COMPILE_AGAIN)
        });
    }
    // A cut stands on the nearest grid point: that rounding is not the member's length.
    let length = (cut - start).unstretched(machine.factor);
    let rounding = machine.grid.increment();
    let (least, most) = (machine.line.shortest, machine.line.longest);
    if length + rounding < least || length - rounding > most {
        refusals.add(Some(event), || {
            let message = format!(
                "{}: piece {serial} is {length} mm long; the line makes {least} to {most} mm",
                numbered(event)
            );
            Diagnostic::new(&codes::E0820, message)
                .help("make this member on a line that takes its length")
        });
    }
    let next = machine.defects.partition_point(|&(_, to)| to <= start);
    if let Some(&(from, to)) = machine.defects.get(next)
        && from < cut
    {
        refusals.add(Some(event), || {
            let message = format!(
                "{}: piece {serial}, from {start} to {cut} mm of the strip, lies on the defect \
                 from {from} to {to} mm",
                numbered(event)
            );
            Diagnostic::new(&codes::E0817, message).help(COMPILE_AGAIN)
        });
    }
}

/// Moves the strokes that touch the piece from the strip to the products, and checks that none
/// clamps over the cut. What each clamps on the piece comes back; `None` when replay has to stop.
fn take_strokes(
    strip: &mut VirtualStrip,
    products: &mut Products,
    piece: &Piece,
    refusals: &mut Refusals,
) -> Option<Vec<Clamped>> {
    let machine = strip.machine;
    // Between the short points of a sloped cut nothing stands wholly on one piece.
    let slope = piece.cut - piece.short.1;
    let (before_slug, after_slug) = (piece.short.1, piece.cut + machine.slug + slope);
    let mut clamped = Vec::new();
    let mut steps = 0;
    for (index, (queue, tool)) in strip.struck.iter_mut().zip(&machine.tools).enumerate() {
        let id = ToolId(u16::try_from(index).unwrap_or(u16::MAX));
        let mut gone = 0;
        for struck in queue.iter() {
            let (from, to) = (struck.c - tool.clamp_before, struck.c + tool.clamp_after);
            let touched_to = struck.c + tool.touch_after();
            if struck.c - tool.touch_before() >= after_slug {
                break;
            }
            steps += 1;
            if touched_to <= after_slug {
                gone += 1;
            }
            if matches!(tool.how, How::Point | How::Nibble { .. })
                && from < after_slug
                && to > before_slug
            {
                refusals.add(Some(struck.event), || {
                    let message = format!(
                        "{}: tool `{}` clamps {from} to {to} mm of the strip, over the cut from \
                         {before_slug} to {after_slug} mm ({})",
                        numbered(struck.event),
                        machine.tool_name(id),
                        numbered(piece.event)
                    );
                    Diagnostic::new(&codes::E0811, message)
                        .help("keep the feature further from the member's end, or give the line an end tool for it")
                });
            }
            if slope > Length::ZERO && slope::shapes_end(tool, struck.c, (before_slug, after_slug))
            {
                refusals.add(Some(struck.event), || {
                    slope::end_tool_on_slope(machine, id, struck.event, piece.slopes.1)
                });
            }
            if from < piece.long.1 && to > piece.long.0 {
                clamped.push(Clamped { from, to, tool: id, faces: tool.faces, struck: *struck });
            }
            let reached = struck.c - (tool.before + tool.accuracy) < piece.long.1
                && struck.c + (tool.after + tool.accuracy) > piece.long.0;
            if reached {
                let at = struck.c - piece.long.0;
                products.swept.push(Swept { tool: id, event: struck.event, at });
            }
        }
        queue.drain(..gone);
    }
    strip.spend(piece.event, steps, refusals).then_some(clamped)
}

/// Moves the texts on the piece from the strip to the products.
fn take_texts(
    strip: &mut VirtualStrip,
    products: &mut Products,
    piece: &Piece,
    at: Advance,
    refusals: &mut Refusals,
) {
    let after_slug = piece.cut + strip.machine.slug + (piece.cut - piece.short.1);
    while strip.printed.front().is_some_and(|p| p.from < after_slug) {
        let Some(printed) = strip.printed.pop_front() else { break };
        if printed.to > piece.short.1 || printed.done > at {
            refusals.add(Some(printed.event), || {
                let message = format!(
                    "{}: the mark `{}` lies from {} to {} mm of the strip and is finished at \
                     advance {} mm; the cut at {} mm ({}) goes through it",
                    numbered(printed.event),
                    printed.text,
                    printed.from,
                    printed.to,
                    printed.done,
                    piece.cut,
                    numbered(piece.event)
                );
                Diagnostic::new(&codes::E0822, message).help(COMPILE_AGAIN)
            });
        } else {
            let at = printed.from - piece.short.0;
            products.texts.push(Text { text: printed.text, event: printed.event, at });
        }
    }
}
