//! What lies on which layer.

use crate::library::model::Purpose;

/// A layer of a drawing: what a reader switches on and off together.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Layer {
    /// The blank with its ends.
    Contour,
    /// Middles of bends.
    Bends,
    /// Features where members meet.
    Joint,
    /// Features for pipes and cables.
    Service,
    /// Features for what holds it down.
    Anchor,
    /// Features that shape an end.
    End,
    /// Running dimensions.
    Dimensions,
    /// Words.
    Text,
}

impl Layer {
    /// Every layer, in the order they are drawn.
    pub const ALL: [Layer; 8] = [
        Layer::Contour,
        Layer::Bends,
        Layer::Joint,
        Layer::Service,
        Layer::Anchor,
        Layer::End,
        Layer::Dimensions,
        Layer::Text,
    ];

    /// Its name: of letters that every program takes for a layer and for an id.
    pub const fn name(self) -> &'static str {
        match self {
            Layer::Contour => "contour",
            Layer::Bends => "bends",
            Layer::Joint => "joint-features",
            Layer::Service => "service-features",
            Layer::Anchor => "anchor-features",
            Layer::End => "end-features",
            Layer::Dimensions => "dimensions",
            Layer::Text => "text",
        }
    }

    /// The layer of features of this purpose.
    pub const fn of(purpose: Purpose) -> Layer {
        match purpose {
            Purpose::Joint => Layer::Joint,
            Purpose::Service => Layer::Service,
            Purpose::Anchor => Layer::Anchor,
            Purpose::End => Layer::End,
        }
    }
}
