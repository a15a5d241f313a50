use super::bind::BoundShape;
use super::geometry::Geometry;
use crate::library::model::Marker;
use crate::quantity::{Advance, Length};

/// The stops, in steps from the base, at which the marker may begin this text on a piece of this
/// shape: one for ink, a window for a stamp. `None` where the text
/// does not fit.
pub fn mark_window(
    marker: &Marker,
    geometry: &Geometry,
    shape: &BoundShape,
    text: &str,
) -> Option<(i64, i64)> {
    let BoundShape { strip_length, pitch, .. } = *shape;
    let characters = text.chars().count();
    if characters == 0 || characters > marker.most {
        return None;
    }
    let extent = marker.pitch.times(i64::try_from(characters).ok()?);
    let (slug, offset) = (geometry.slug, geometry.marker_offset());
    let [at_start, at_end] = shape.blades.map(|blade| blade.half());
    let due = slug + at_start + geometry.strip(marker.from_start) - offset;
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
    // On whole steel: between the short points of sloped ends.
    let lo = lo.max(geometry.ceil_steps(slug + at_start - offset));
    let last = slug + strip_length - at_end - extent - beyond - offset;
    let hi = hi.min(geometry.floor_steps(last));
    (lo <= hi).then_some((lo, hi))
}
