use super::subject::{Draft, Item, Subject, place_words, shown};
use crate::diagnostic::codes::member::E0401;
use crate::member::model::{Faces, Place};
use crate::quantity::Span;
use std::collections::BTreeMap;

/// How a feature lies off its member.
struct Off {
    /// Which of the subject's items.
    index: usize,
    /// How far it reaches past the end, in half-nanometres.
    over: i64,
    at_end: bool,
    face: Faces,
    /// The last place that such a feature could have, in half-nanometres: the first, at the start.
    limit: i64,
}

/// A feature that is not wholly on its member.
///
/// A point feature must lie on the steel, sloped ends and all; a range or an end feature must lie
/// between the start and the end, both as square cuts to the long point. Places that one statement
/// puts past the same end are one finding: a pattern that runs too far is one mistake.
pub(super) fn look(subject: &mut Subject<'_>) {
    let all: Vec<Off> = (0..subject.items.len()).filter_map(|index| off(subject, index)).collect();
    let mut statements: BTreeMap<(Span, bool), Vec<Off>> = BTreeMap::new();
    for off in all {
        let Some(item) = subject.items.get_mut(off.index) else { continue };
        item.sound = false;
        let mut key = (item.feature.span, off.at_end);
        // An end feature that is too long is so at either end.
        if matches!(item.feature.place, Place::End { .. }) {
            key.1 = true;
        }
        statements.entry(key).or_default().push(off);
    }
    let mut groups: Vec<Vec<Off>> = statements.into_values().collect();
    groups.sort_by_key(|group| group.first().map(|off| off.index));
    for group in groups {
        report(subject, &group);
    }
}

fn off(subject: &Subject<'_>, index: usize) -> Option<Off> {
    let item = subject.items.get(index).copied().filter(|item| item.sound)?;
    let whole = 2 * subject.shape.length.nm();
    let mut worst: Option<Off> = None;
    for face in item.feature.faces.each() {
        let Some(placed) = subject.placed(&item, face) else { continue };
        let (first, last) = match item.feature.place {
            Place::Point { .. } => subject.steel(face, placed.y),
            Place::Range { .. } | Place::End { .. } => (0, whole),
        };
        let (before, behind) = (first - placed.x.0, placed.x.1 - last);
        let (over, at_end) = if before > behind { (before, false) } else { (behind, true) };
        if over > 0 && worst.as_ref().is_none_or(|worst| over > worst.over) {
            let centre = i64::midpoint(placed.x.0, placed.x.1);
            let limit = if at_end { centre - over } else { centre + over };
            worst = Some(Off { index, over, at_end, face, limit });
        }
    }
    worst
}

fn report(subject: &mut Subject<'_>, group: &[Off]) {
    let Some(off) = group.iter().max_by_key(|off| off.over) else { return };
    let Some(worst) = subject.items.get(off.index).copied() else { return };
    let mut places: Vec<Place> = group
        .iter()
        .filter_map(|off| subject.items.get(off.index))
        .map(|item| item.feature.place)
        .collect();
    places.dedup_by_key(|place| place_words(*place));
    let (end, past) = match off.at_end {
        true => ("end", "past the end"),
        false => ("start", "past the start"),
    };
    let length = subject.shape.length;
    let one = places.len() < 2;
    let says = match worst.feature.place {
        Place::End { .. } => format!(
            "is {} mm long, longer than the member ({length} mm)",
            worst.feature.outline.length(),
        ),
        _ if one => format!(
            "reaches {} mm past the {end} of the member, which is {length} mm long",
            shown(off.over),
        ),
        _ => format!(
            "falls off the {end} of the member, which is {length} mm long, at {} places, by up to \
             {} mm",
            places.len(),
            shown(off.over),
        ),
    };
    let help = match worst.feature.place {
        Place::Point { .. } if !one => last_that_fits(subject, &worst, off),
        Place::Range { .. } if off.at_end => {
            "let it stop at `end`, or make the member longer".to_string()
        }
        Place::Range { .. } => "let it begin at `start`".to_string(),
        Place::End { .. } => "make the member longer, or leave this feature out".to_string(),
        Place::Point { .. } if off.at_end => {
            "measure it from the end (`end - …`), or make the member longer".to_string()
        }
        Place::Point { .. } => "move it onto the member; 0 is the start".to_string(),
    };
    for off in group {
        let Some(item) = subject.items.get(off.index).copied() else { continue };
        let faces = match item.feature.place {
            Place::Point { .. } => off.face,
            _ => item.feature.faces,
        };
        let found = Draft::new(&E0401, says.clone(), past, help.clone()).note(
            "the part beyond lies in the cut or on the next member, and would be punched into it",
        );
        subject.report(&item, faces, found);
    }
}

/// Where a pattern must stop: at the last of its places that is on the member, or, if none is, at
/// the last place there could be.
fn last_that_fits(subject: &Subject<'_>, worst: &Item<'_>, off: &Off) -> String {
    let mut on = subject
        .items
        .iter()
        .filter(|item| item.sound && item.feature.span == worst.feature.span)
        .map(|item| (i64::midpoint(item.x.0, item.x.1), item.feature.place));
    let last = if off.at_end {
        on.max_by_key(|(centre, _)| *centre)
    } else {
        on.next().map(|first| on.fold(first, |a, b| if b.0 < a.0 { b } else { a }))
    };
    let which = if off.at_end { "last" } else { "first" };
    let fits = match last {
        Some((_, place)) => format!("the {which} place that fits is {}", place_words(place)),
        None => {
            format!("none of it fits: the {which} place there could be is {}", shown(off.limit))
        }
    };
    match off.at_end {
        true => format!(
            "{fits}; let it stop there, measure it from the end (`end - …`), or make the member \
             longer"
        ),
        false => format!("{fits}; let it begin there; 0 is the start"),
    }
}
