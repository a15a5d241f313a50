//! Members laid flat, as other drawing programs read them: a [`Drawing`] of each shape, and one
//! file a format.
//!
//! A drawing is at full size in millimetres. x runs along the member from its start, y across the
//! blank from the middle of the web toward the left flange, so that drawings of one member made
//! by two programs fall on each other. The contour is the blank with its ends; what is made on it
//! lies on a layer of its own, notches too: a library says where a notch is, not whether its tool
//! takes the steel away or presses it.

mod caption;
pub mod dxf;
mod features;
mod figure;
mod layer;
mod list;
mod names;
mod part;
mod running;
pub mod svg;

pub use figure::{Anchor, Figure, Point, Text};
pub use layer::Layer;
pub use list::list;
pub use part::{Part, Wanted, parts};

use super::unrolled::Unrolled;
use crate::library::model::Library;

/// A member laid flat.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Drawing {
    /// What it is of, in a few words.
    pub title: String,
    /// The same in a sentence, for readers that do not see.
    pub about: String,
    /// What is drawn, layer by layer.
    pub items: Vec<Item>,
}

/// One thing drawn.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Item {
    /// On which layer.
    pub layer: Layer,
    /// What.
    pub figure: Figure,
    /// What it stands for, where that is worth saying.
    pub about: String,
}

impl Item {
    fn plain(layer: Layer, figure: Figure) -> Item {
        Item { layer, figure, about: String::new() }
    }
}

impl Drawing {
    /// Of members that are alike; `None` where the library has no such profile.
    pub fn of(part: &Part<'_>, library: &Library) -> Option<Drawing> {
        let shape = part.shape;
        let profile = library.profile(shape.profile)?;
        let flat = Unrolled::of(profile);
        let (low, high) = flat.edges();
        let mut items = vec![Item::plain(Layer::Contour, Figure::Outline(flat.contour(shape)))];
        items.extend(
            flat.bends(shape)
                .into_iter()
                .map(|(y, from, to)| Item::plain(Layer::Bends, Figure::Line((from, y), (to, y)))),
        );
        let lettered = features::lettered(shape, library);
        items.extend(lettered.iter().flat_map(|one| one.items(shape, &flat)));
        let (rows, below) = running::rows(shape, &lettered, low);
        items.extend(rows);
        items.extend(caption::legend(&lettered, below));
        items.extend(caption::faces(&flat));
        items.extend(caption::head(part, profile, &flat, high));
        items.sort_by_key(|item| item.layer);
        let (title, about) = caption::words(part, profile);
        Some(Drawing { title, about, items })
    }

    /// Lower left and upper right corner of all of it, texts with the room they may take.
    pub fn extent(&self) -> (Point, Point) {
        let mut corners = self.items.iter().flat_map(|item| item.figure.corners());
        let first = corners.next().unwrap_or_default();
        corners.fold((first, first), |(low, high), (x, y)| {
            ((low.0.min(x), low.1.min(y)), (high.0.max(x), high.1.max(y)))
        })
    }
}
