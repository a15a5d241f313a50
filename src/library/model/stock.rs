use crate::quantity::{Length, Mass, Span};
use std::sync::Arc;

/// Where a coil's length comes from.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum LengthBasis {
    /// Docket mass over coated mass per metre.
    DocketMass,
    /// Outer and inner diameter, total thickness and winding factor.
    Diameter,
    /// Measured, or carried forward from measured use.
    Measured,
}

/// One coil in stock.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Coil {
    /// Its identity: what is written on it.
    pub id: Arc<str>,
    /// Heat number; may be empty.
    pub heat: Arc<str>,
    /// Mill certificate; may be empty.
    pub certificate: Arc<str>,
    /// Docket; may be empty.
    pub docket: Arc<str>,
    /// Width of the strip.
    pub strip_width: Length,
    /// Base metal thickness.
    pub thickness: Length,
    /// Grade.
    pub grade: Arc<str>,
    /// Coating designation.
    pub coating: Arc<str>,
    /// Length on the coil now, from its leading edge.
    pub length: Length,
    /// What the length rests on.
    pub basis: LengthBasis,
    /// How far the length may be off, parts per million.
    pub uncertainty: i64,
    /// Stretches that nothing good may lie on, from the leading edge, in order, not touching.
    pub defects: Vec<(Length, Length)>,
    /// Whether part of it has been used before.
    pub part_used: bool,
    /// Whether it is threaded in the line now, with a clean cut at the shear.
    pub threaded: bool,
    /// Cost of the coil as it is now, in the currency's minor unit; `None` where not known.
    pub cost: Option<i64>,
    /// Mass as it is now, as far as known.
    pub mass: Option<Mass>,
    /// Where it is described.
    pub span: Span,
}

/// What is on the rack.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Stock {
    /// Coils, as listed.
    pub coils: Vec<Coil>,
}
