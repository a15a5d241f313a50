use super::geometry::Geometry;
use crate::library::model::Marker;
use crate::quantity::Length;

/// Whether a text of this many characters fits on a piece of this strip length, begun as near to
/// the marker's own distance from the start as the line's increment allows.
pub fn mark_fits(
    marker: &Marker,
    geometry: &Geometry,
    strip_length: Length,
    characters: usize,
) -> bool {
    let Ok(count) = i64::try_from(characters) else { return false };
    // A marker below the shear prints what has gone past it: the rest of the text must have
    // before the piece is cut off.
    let beyond = Length::ZERO.max(-geometry.marker_offset());
    characters <= marker.most
        && marker.from_start + marker.pitch.times(count) + geometry.grid.increment() + beyond
            <= strip_length
}
