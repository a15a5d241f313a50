use crate::library::model::{How, Made};
use crate::quantity::Length;
use crate::replay::machine::Fitted;
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
    /// Adds what one stroke leaves: its tool's mark and those of its pattern. Nothing where the
    /// stroke's tool is not known (it was refused already).
    pub(super) fn add_all(
        swept: &'p Swept,
        products: &'p Products,
        length: Length,
        seen: &mut Vec<Seen<'p>>,
    ) {
        let fitted = products.tools.get(usize::from(swept.tool.0));
        let (Some(fitted), Some(tool)) = (fitted, products.line.tool(swept.tool)) else { return };
        let (factor, slug) = (products.factor, products.line.shear.slug);
        let straddles = tool.how == How::Straddle;
        let mut add = |made: &'p Made, from: Length, to: Length, centre: Length| {
            seen.push(Seen::new(swept, made, fitted, factor, (from, to, centre), length));
        };
        let reach = tool.makes.outline.length().stretched(factor);
        // A straddling tool's own mark goes from reach to reach over the slug.
        if straddles {
            add(&tool.makes, -reach, slug + reach, Length::ZERO);
        } else {
            add(&tool.makes, -reach.half(), reach - reach.half(), Length::ZERO);
        }
        for part in &tool.also {
            let at = part.at.stretched(factor);
            let size = part.makes.outline.length().stretched(factor);
            let sides = [Some(if straddles { -at } else { at }), straddles.then_some(slug + at)];
            for centre in sides.into_iter().flatten() {
                let from = centre - size.half();
                add(&part.makes, from, from + size, centre);
            }
        }
    }

    fn new(
        swept: &'p Swept,
        made: &'p Made,
        fitted: &Fitted,
        factor: i64,
        (from, to, centre): (Length, Length, Length),
        length: Length,
    ) -> Seen<'p> {
        let from = (swept.at + from).unstretched(factor);
        let to = (swept.at + to).unstretched(factor);
        // Conversion by the forming factor rounds to whole nanometres, here and where the stroke
        // was planned: a mark that leaves its tolerance by that rounding alone has not left it.
        let rounding = Length::from_nm(if factor == 0 { 0 } else { 3 });
        let accuracy = (fitted.accuracy.unstretched(factor) - rounding).max(Length::ZERO);
        let clip = |x: Length| x.max(Length::ZERO).min(length);
        Seen {
            swept,
            made,
            centre: (swept.at + centre).unstretched(factor),
            from,
            to,
            accuracy,
            on: (clip(from), clip(to)),
            reach: (clip(from - accuracy), clip(to + accuracy)),
        }
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
