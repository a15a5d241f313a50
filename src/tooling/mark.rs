use super::geometry::Geometry;
use crate::library::model::Marker;
use crate::quantity::{Advance, Length};

/// Where the marker begins to print on a piece with this base.
pub fn print_advance(marker: &Marker, geometry: &Geometry, base: i64) -> Advance {
    let from = geometry.length(base) + geometry.slug + geometry.strip(marker.from_start)
        - geometry.marker_offset();
    geometry.grid.nearest(Advance::at(from))
}

/// Whether a text of this many characters fits on a piece of this strip length, begun as near to
/// the marker's own distance from the start as the line's increment allows.
pub fn mark_fits(
    marker: &Marker,
    geometry: &Geometry,
    strip_length: Length,
    characters: usize,
) -> bool {
    let Ok(count) = i64::try_from(characters) else { return false };
    if characters > marker.most {
        return false;
    }
    // Every base is a grid point: how far the text lies from its due place is the same on all.
    let from = print_advance(marker, geometry, 0).strip_at(geometry.marker_offset()).distance();
    let to = from + marker.pitch.times(count);
    // A marker below the shear prints what has gone past it: the rest of the text must have
    // before the piece is cut off.
    let beyond = Length::ZERO.max(-geometry.marker_offset());
    from >= geometry.slug && to + beyond <= geometry.slug + strip_length
}
