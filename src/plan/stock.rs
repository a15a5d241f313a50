use super::nesting::CoilState;
use crate::library::model::{Profile, Stock};

/// The rack before the batch.
pub(super) fn states(stock: &Stock) -> Vec<CoilState> {
    stock.coils.iter().map(|coil| CoilState { coil: coil.clone(), touched: false }).collect()
}

/// Why the nearest coil does not fit, in words.
pub(super) fn why_none(coils: &[CoilState], profile: &Profile) -> String {
    let nearest = coils.iter().map(|state| &state.coil).max_by_key(|coil| {
        [
            coil.strip_width == profile.strip_width,
            coil.thickness == profile.thickness,
            coil.grade == profile.grade,
            coil.coating == profile.coating.name,
        ]
        .into_iter()
        .filter(|same| *same)
        .count()
    });
    let Some(coil) = nearest else { return "there is no coil in stock at all".to_string() };
    let mut wrong = Vec::new();
    if coil.strip_width != profile.strip_width {
        wrong.push(format!("{} mm wide, not {} mm", coil.strip_width, profile.strip_width));
    }
    if coil.thickness != profile.thickness {
        wrong.push(format!("{} mm thick, not {} mm", coil.thickness, profile.thickness));
    }
    if coil.grade != profile.grade {
        wrong.push(format!("grade {}, not {}", coil.grade, profile.grade));
    }
    if coil.coating != profile.coating.name {
        wrong.push(format!("coated {}, not {}", coil.coating, profile.coating.name));
    }
    format!("the nearest coil `{}` is {}", coil.id, wrong.join("; "))
}
