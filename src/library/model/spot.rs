use super::Library;
use super::line::{How, Made, Tool};
use crate::member::model::{End, Feature, Place};
use crate::quantity::Length;

/// A mark of a tool as seen from the point of its stroke.
#[derive(Clone, Copy, Debug)]
pub struct Spot<'l> {
    /// What it leaves there.
    pub makes: &'l Made,
    /// From the stroke's point to the mark's own, on the strip: its centre; for a straddling tool
    /// the face of the cut.
    pub own: Length,
    /// The end it shapes, where it can shape only one of the two.
    pub end: Option<End>,
    /// Whether it makes points and ranges, and shapes no end.
    pub inside: bool,
}

impl Tool {
    /// What one stroke leaves, with this slug, on strip that is longer than what is finished by
    /// `factor` parts in 10⁹. A straddling tool leaves the same on either side of the cut.
    pub fn spots(&self, slug: Length, factor: i64) -> Vec<Spot<'_>> {
        let makes = &self.makes;
        let straddles = self.how == How::Straddle;
        let mut spots = if straddles {
            vec![
                Spot { makes, own: slug, end: Some(End::Start), inside: false },
                Spot { makes, own: Length::ZERO, end: Some(End::End), inside: false },
            ]
        } else {
            vec![Spot { makes, own: Length::ZERO, end: None, inside: self.how != How::End }]
        };
        for part in &self.also {
            let at = part.at.stretched(factor);
            // A further mark of a pattern is a point, however the tool is used.
            let spot = |own: Length| Spot { makes: &part.makes, own, end: None, inside: true };
            if straddles {
                spots.extend([spot(slug + at), spot(-at)]);
            } else {
                spots.push(spot(at));
            }
        }
        spots
    }
}

impl Spot<'_> {
    /// How far the mark's edges lie from its own point, finished.
    pub fn reach(&self) -> Length {
        let length = self.makes.outline.length();
        if self.end.is_some() { length } else { length.half() }
    }

    /// Whether this mark is the feature, or part of it, on one of its faces at least.
    pub fn serves(&self, feature: &Feature, library: &Library) -> bool {
        let fits_place = match feature.place {
            Place::End { end, .. } => !self.inside && self.end.is_none_or(|shapes| shapes == end),
            Place::Point { .. } | Place::Range { .. } => self.inside,
        };
        // Whether a tool is long enough for a range shows by where it strikes.
        let length_fits = matches!(feature.place, Place::Range { .. })
            || self.makes.outline.length() == feature.outline.length();
        fits_place
            && length_fits
            && self.makes.kinds.contains(&feature.kind)
            && self.makes.faces.intersects(feature.faces)
            && self.makes.likeness(feature, library).is_whole()
    }
}
