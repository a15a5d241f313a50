use super::{STEEL, nearest};
use crate::library::model::Coating;
use crate::quantity::{Length, MassPerLength};

/// Mass of a metre of coated strip: base steel at 7850 kg/m³ plus the coating's mass on both
/// sides together, to the nearest microgram.
pub fn coated_mass(
    strip_width: Length,
    thickness: Length,
    grams_per_square_metre: i64,
) -> MassPerLength {
    let (w, t) = (i128::from(strip_width.nm()), i128::from(thickness.nm()));
    // nm² × kg/m³ = 10⁻⁹ µg/m; nm × g/m² = 10⁻³ µg/m.
    let base = nearest(w * t * STEEL, 1_000_000_000);
    let coating = nearest(w * i128::from(grams_per_square_metre), 1_000);
    MassPerLength::from_ug_per_m(i64::try_from(base + coating).unwrap_or(i64::MAX))
}

/// Thickness of the coated strip.
pub fn total_thickness(thickness: Length, coating: &Coating) -> Length {
    thickness + coating.thickness
}

/// The coating of a designation: `Z275` (zinc, g/m² on both sides; 7.14 g/m² is 1 µm, ASTM A653
/// §8.1.3 read second-hand), `G90` (hundredths of oz/ft²; 1 oz/ft² is 305.15 g/m², the same), or
/// `AZ150` (55 % aluminium-zinc at 3.75 g/cm³, from memory). `None` for any other, whose mass and
/// thickness the shop must state.
pub fn coating_of(designation: &str) -> Option<Coating> {
    let number = |prefix: &str| {
        let digits = designation.strip_prefix(prefix)?;
        (digits.len() <= 3 && digits.bytes().all(|b| b.is_ascii_digit()))
            .then(|| digits.parse::<i128>().ok())
            .flatten()
    };
    // Grams per square metre, and hundredths of g/cm³.
    let (grams, density) = if let Some(grams) = number("AZ") {
        (grams, 375)
    } else if let Some(grams) = number("Z") {
        (grams, 714)
    } else if let Some(hundredths) = number("G") {
        (nearest(hundredths * 30_515, 10_000), 714)
    } else {
        return None;
    };
    if grams == 0 {
        return None;
    }
    Some(Coating {
        name: designation.into(),
        grams_per_square_metre: i64::try_from(grams).ok()?,
        thickness: Length::from_nm(i64::try_from(nearest(grams * 100_000, density)).ok()?),
    })
}
