use crate::library::model::Made;
use crate::quantity::Length;
use crate::replay::products::{Products, Swept};

/// A mark on a piece, in finished lengths from its real start.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seen<'p> {
    pub swept: &'p Swept,
    pub made: &'p Made,
    /// Its reference point; the centre but for a straddling tool.
    pub centre: Length,
    /// As the tool swept it, past the piece's ends too.
    pub from: Length,
    pub to: Length,
    /// How far it may be off either way.
    pub accuracy: Length,
    /// What of it lies on the piece.
    pub on: (Length, Length),
    /// The most that can lie on the piece, moved by the accuracy.
    pub reach: (Length, Length),
}

impl<'p> Seen<'p> {
    /// `None` where the stroke's tool is not known (it was refused already).
    pub(super) fn new(swept: &'p Swept, products: &'p Products, length: Length) -> Option<Self> {
        let tool = products.tools.get(usize::from(swept.tool.0))?;
        let made = &products.line.tool(swept.tool)?.makes;
        let factor = products.factor;
        let from = (swept.at - tool.before).unstretched(factor);
        let to = (swept.at + tool.after).unstretched(factor);
        // Conversion by the forming factor rounds to whole nanometres, here and where the stroke
        // was planned: a mark that leaves its tolerance by that rounding alone has not left it.
        let rounding = Length::from_nm(if factor == 0 { 0 } else { 3 });
        let accuracy = (tool.accuracy.unstretched(factor) - rounding).max(Length::ZERO);
        let clip = |x: Length| x.max(Length::ZERO).min(length);
        Some(Seen {
            swept,
            made,
            centre: swept.at.unstretched(factor),
            from,
            to,
            accuracy,
            on: (clip(from), clip(to)),
            reach: (clip(from - accuracy), clip(to + accuracy)),
        })
    }
    /// Whether any of it lies on the piece with the line exact.
    pub(super) fn is_on(&self) -> bool {
        self.on.0 < self.on.1
    }
    /// Whether any of it can lie on the piece at all.
    pub(super) fn can_be_on(&self) -> bool {
        self.reach.0 < self.reach.1
    }
}
