use crate::quantity::Length;

/// Where the strip of one coil goes in one run. Closed: the parts sum to what was there.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct StripAccount {
    /// Strip on the coil before the run.
    pub strip: Length,
    /// In good pieces.
    pub good: Length,
    /// Lost in cuts.
    pub slug: Length,
    /// Before a good piece: thread-up, and what is cut away to pass a defect or to part two
    /// members that cannot share a cut.
    pub head: Length,
    /// Of `head`: cut away around defect zones.
    pub head_at_defects: Length,
    /// Of `head`: gaps between members that cannot share a cut, though their ends slope alike.
    pub head_at_gaps: Length,
    /// Of `head`: gaps between members whose ends slope differently.
    pub head_at_slopes: Length,
    /// After the last good piece, too short to keep or lost in taking the coil off.
    pub tail: Length,
    /// Goes back to the rack, or stays threaded.
    pub remnant: Length,
}

impl StripAccount {
    /// Whether good + slug + head + tail + remnant is the strip there was.
    pub fn closes(&self) -> bool {
        self.good + self.slug + self.head + self.tail + self.remnant == self.strip
    }
    /// Strip that became neither piece nor remnant.
    pub fn scrap(&self) -> Length {
        self.slug + self.head + self.tail
    }
    /// Strip no longer on the coil.
    pub fn consumed(&self) -> Length {
        self.strip - self.remnant
    }
    /// Adds another run's parts.
    #[must_use]
    pub fn plus(&self, other: &StripAccount) -> StripAccount {
        StripAccount {
            strip: self.strip + other.strip,
            good: self.good + other.good,
            slug: self.slug + other.slug,
            head: self.head + other.head,
            head_at_defects: self.head_at_defects + other.head_at_defects,
            head_at_gaps: self.head_at_gaps + other.head_at_gaps,
            head_at_slopes: self.head_at_slopes + other.head_at_slopes,
            tail: self.tail + other.tail,
            remnant: self.remnant + other.remnant,
        }
    }
}
