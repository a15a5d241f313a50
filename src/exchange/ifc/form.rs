//! What an opening's outline is, and how openings are told.

use super::opening::Hole;
use crate::quantity::Length;

/// How far a corner's radius may be from a half circle, or from none, and be meant to be it: as
/// much as sizes of openings. Common practice, no source.
const NEAR: i128 = 50_000;

/// What an opening's outline is.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Form {
    /// Straight sides with half circles.
    Slot,
    /// Square corners.
    Rectangle,
    /// Corners with a radius that make no half circle.
    Rounded,
    /// A circle.
    Round,
}

impl Form {
    /// Of a rectangle whose corners have this radius; all in nanometres.
    pub fn of_corners(size: (i128, i128), radius: i128) -> Form {
        if radius <= NEAR {
            Form::Rectangle
        } else if (size.0.min(size.1) / 2 - radius).abs() <= NEAR {
            Form::Slot
        } else {
            Form::Rounded
        }
    }

    /// One word, for the text that openings are compared by.
    fn word(self) -> &'static str {
        match self {
            Form::Slot => "slot",
            Form::Rectangle => "rectangle",
            Form::Rounded => "rounded",
            Form::Round => "round",
        }
    }
}

impl Hole {
    /// Whether it is round.
    pub fn is_round(&self) -> bool {
        self.form == Form::Round
    }

    /// Its size, as maps say it.
    pub fn size_told(&self) -> String {
        if self.is_round() {
            format!("Ø{}", self.length)
        } else {
            format!("{} × {}", self.length, self.width)
        }
    }

    /// Its outline, for findings.
    pub fn told(&self) -> String {
        match self.form {
            Form::Round => format!("a round hole {}", self.size_told()),
            Form::Slot => format!("a slot {}", self.size_told()),
            Form::Rectangle => format!("a rectangle {}", self.size_told()),
            Form::Rounded => format!("a rectangle {} with round corners", self.size_told()),
        }
    }

    /// Where it begins and where it stops along the member.
    pub fn extent(&self) -> (Length, Length) {
        let first = self.along - self.length.half();
        (first, first + self.length)
    }
}

/// Openings with the types they were made of, in a form that can be compared: sorted, with all
/// their figures.
pub fn told_openings<'h>(holes: impl IntoIterator<Item = (&'h str, Hole)>) -> String {
    let mut sorted: Vec<(Hole, &str)> =
        holes.into_iter().map(|(word, hole)| (hole, word)).collect();
    sorted.sort_unstable();
    let told: Vec<String> = sorted
        .iter()
        .map(|(hole, word)| {
            format!(
                "{word} {} {} {} {} {}",
                hole.along,
                hole.faces,
                hole.across,
                hole.form.word(),
                hole.size_told()
            )
        })
        .collect();
    told.join("; ")
}

/// The same as models of the first form have it: without types and outlines.
pub fn told_before(holes: impl IntoIterator<Item = Hole>) -> String {
    let mut sorted: Vec<Hole> = holes.into_iter().collect();
    sorted.sort_unstable();
    let told: Vec<String> = sorted
        .iter()
        .map(|h| format!("{} {} {} {}", h.along, h.faces, h.across, h.size_told()))
        .collect();
    told.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn corners_tell_a_slot_from_a_rectangle() {
        let mm = 1_000_000;
        let of = |radius| Form::of_corners((60 * mm, 32 * mm), radius);
        assert_eq!(of(16 * mm), Form::Slot);
        assert_eq!(of(16 * mm - 1_000), Form::Slot);
        assert_eq!(of(8 * mm), Form::Rounded);
        assert_eq!(of(0), Form::Rectangle);
    }
}
