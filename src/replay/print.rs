use super::refusals::{COMPILE_AGAIN, Refusals, numbered};
use super::strip::{Printed, VirtualStrip};
use crate::diagnostic::{Diagnostic, codes::replay as codes};
use crate::library::model::Marker;
use crate::quantity::{Advance, Length, Strip};
use std::sync::Arc;

/// Strip a text takes; `None` when it is beyond measure.
pub(super) fn extent(marker: &Marker, text: &str) -> Option<Length> {
    let characters = i64::try_from(text.chars().count()).ok()?;
    let nm = marker.pitch.nm().checked_mul(characters)?;
    (nm <= Length::LIMIT.nm()).then_some(Length::from_nm(nm))
}

/// Prints a text from here on, while the strip moves.
pub(super) fn print(
    strip: &mut VirtualStrip,
    event: usize,
    at: Advance,
    text: &Arc<str>,
    refusals: &mut Refusals,
) {
    let Some(marker) = strip.machine.marker else {
        refusals.add(Some(event), || {
            let message = format!(
                "{}: the mark `{text}` is to be printed, but line `{}` has no marker",
                numbered(event),
                strip.machine.line.name
            );
            Diagnostic::new(&codes::E0821, message).help(COMPILE_AGAIN)
        });
        return;
    };
    let characters = text.chars().count();
    let extent = extent(marker, text);
    if characters == 0 || characters > marker.most || extent.is_none() {
        refusals.add(Some(event), || {
            let shown: String = text.chars().take(40).collect();
            let message = format!(
                "{}: the mark `{shown}` has {characters} characters; the marker takes 1 to {}",
                numbered(event),
                marker.most
            );
            Diagnostic::new(&codes::E0821, message)
                .help("shorten what is printed: `mark_text` in the batch file says what that is")
        });
    }
    let Some(extent) = extent else { return };
    let from = at.strip_at(marker.offset);
    let to = from + extent;
    if from < strip.sure() || to > Strip::at(strip.machine.strip) {
        refusals.add(Some(event), || {
            let message = format!(
                "{}: the mark `{text}` would lie from {from} to {to} mm of the strip, which \
                 begins at {} mm and ends at {} mm",
                numbered(event),
                strip.edge,
                strip.machine.strip
            );
            Diagnostic::new(&codes::E0822, message).help(COMPILE_AGAIN)
        });
        return;
    }
    // A stamp leaves the whole text at once, ink while the strip moves on.
    let done = if marker.stamp.is_some() { at } else { at + extent };
    strip.printed.push_back(Printed { from, to, done, text: text.clone(), event });
}
