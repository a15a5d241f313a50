use super::line::Line;
use super::stock::Coil;
use crate::quantity::{Length, Time};

/// What a line does with bars: stock of fixed length, fed in one by one.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Bars {
    /// Least head, trim and its slug included.
    pub head: Length,
    /// Strip that can no longer be driven under the shear when the bar's end passes.
    pub tail: Length,
    /// Time to take what is left of one bar out and feed the next.
    pub change: Time,
}

/// What is lost at the two ends of a coil or bar on a line, and how long it takes to load.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ends {
    /// Least head, trim and its slug included.
    pub head: Length,
    /// Strip that can no longer be driven under the shear when the end passes.
    pub tail: Length,
    /// Strip lost when it is taken out; a bar needs no parting.
    pub parting: Length,
    /// Time to load it.
    pub change: Time,
}

impl Line {
    /// The ends of a coil or bar. Whether the line takes bars at all is `bars`.
    pub fn ends(&self, coil: &Coil) -> Ends {
        // Strip whose end has passed the encoder is driven, but nobody knows how far.
        let uncounted = self.encoder.unwrap_or(Length::ZERO);
        let of_coil = Ends {
            head: self.head.least,
            tail: self.tail.max(uncounted),
            parting: self.parting,
            change: self.coil_change,
        };
        match (&coil.bar, &self.bars) {
            (None, _) => of_coil,
            (Some(_), None) => Ends { parting: Length::ZERO, ..of_coil },
            (Some(_), Some(bars)) => Ends {
                head: bars.head,
                tail: bars.tail.max(uncounted),
                parting: Length::ZERO,
                change: bars.change,
            },
        }
    }
}
