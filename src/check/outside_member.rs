use super::subject::{Draft, Subject, shown};
use crate::diagnostic::codes::member::E0401;
use crate::member::model::{Faces, Place};

/// A feature that is not wholly on its member.
///
/// A point feature must lie on the steel, sloped ends and all; a range or an end feature must lie
/// between the start and the end, both as square cuts to the long point.
pub(super) fn look(subject: &mut Subject<'_>) {
    for index in 0..subject.items.len() {
        let Some(item) = subject.items.get(index).copied().filter(|item| item.sound) else {
            continue;
        };
        let whole = 2 * subject.shape.length.nm();
        let mut worst: Option<(i64, bool, Faces)> = None;
        for face in item.feature.faces.each() {
            let Some(placed) = subject.placed(&item, face) else { continue };
            let (first, last) = match item.feature.place {
                Place::Point { .. } => subject.steel(face, placed.y),
                Place::Range { .. } | Place::End { .. } => (0, whole),
            };
            let (before, behind) = (first - placed.x.0, placed.x.1 - last);
            let (over, at_end) = if before > behind { (before, false) } else { (behind, true) };
            if over > 0 && worst.is_none_or(|(w, ..)| over > w) {
                worst = Some((over, at_end, face));
            }
        }
        let Some((over, at_end, face)) = worst else { continue };
        if let Some(item) = subject.items.get_mut(index) {
            item.sound = false;
        }
        let end = if at_end { "end" } else { "start" };
        let says = match item.feature.place {
            Place::End { .. } => format!(
                "is {} mm long, longer than the member ({} mm)",
                item.feature.outline.length(),
                subject.shape.length
            ),
            _ => format!(
                "reaches {} mm past the {end} of the member, which is {} mm long",
                shown(over),
                subject.shape.length
            ),
        };
        let help = match item.feature.place {
            Place::Range { .. } if at_end => "let it stop at `end`, or make the member longer",
            Place::Range { .. } => "let it begin at `start`",
            Place::End { .. } => "make the member longer, or leave this feature out",
            Place::Point { .. } if at_end => {
                "measure it from the end (`end - …`), or make the member longer"
            }
            Place::Point { .. } => "move it onto the member; 0 is the start",
        };
        let found = Draft::new(&E0401, says, format!("past the {end}"), help).note(
            "the part beyond lies in the cut or on the next member, and would be punched into it",
        );
        let faces = if matches!(item.feature.place, Place::Point { .. }) {
            face
        } else {
            item.feature.faces
        };
        subject.report(&item, faces, found);
    }
}
