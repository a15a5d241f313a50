use super::geometry::Geometry;
use crate::library::model::Marker;
use crate::quantity::{Advance, Length};

/// The stops, in steps from the base, at which the marker may begin this many characters on a
/// piece of this strip length and pitch: one for ink, a window for a stamp. `None` where the text
/// does not fit.
pub fn mark_window(
    marker: &Marker,
    geometry: &Geometry,
    strip_length: Length,
    pitch: i64,
    characters: usize,
) -> Option<(i64, i64)> {
    if characters == 0 || characters > marker.most {
        return None;
    }
    let extent = marker.pitch.times(i64::try_from(characters).ok()?);
    let (slug, offset) = (geometry.slug, geometry.marker_offset());
    let due = slug + geometry.strip(marker.from_start) - offset;
    // Every base is a grid point: how far the text lies from its due place is the same on all.
    let nearest = geometry.floor_steps(geometry.grid.nearest(Advance::at(due)).distance());
    let slack = marker.stamp.map_or(Length::ZERO, |stamp| stamp.slack);
    let (mut lo, mut hi) = (geometry.ceil_steps(due - slack), geometry.floor_steps(due + slack));
    if lo > hi || marker.stamp.is_none() {
        (lo, hi) = (nearest, nearest);
    }
    // Ink below the shear prints what has gone past it: the rest of the text must have before the
    // piece is cut off. A stamp is done at once, but the piece must still be held.
    let beyond = match marker.stamp {
        None => Length::ZERO.max(-offset),
        Some(_) => {
            hi = hi.min(pitch);
            Length::ZERO
        }
    };
    let lo = lo.max(geometry.ceil_steps(slug - offset));
    let hi = hi.min(geometry.floor_steps(slug + strip_length - extent - beyond - offset));
    (lo <= hi).then_some((lo, hi))
}
