//! Figures that follow from others: blank width, mass, coating, coil length. All in integers; the
//! source of each formula stands beside it.

mod blank;
mod coating;
mod coil;

pub use blank::{Allowance, Dimensions, aisi_inside_radius, blank_width, section_area};
pub use coating::{coated_mass, coating_of, total_thickness};
pub use coil::{length_from_diameters, length_from_mass};

/// Density of steel, kg/m³.
const STEEL: i128 = 7_850;

/// π × 10¹⁸.
const PI: i128 = 3_141_592_653_589_793_238;
const PI_SCALE: i128 = 1_000_000_000_000_000_000;

/// `a / b` to the nearest whole number, halves upward; `b` is positive.
const fn nearest(a: i128, b: i128) -> i128 {
    (2 * a + b).div_euclid(2 * b)
}
