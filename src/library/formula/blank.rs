use super::{PI, PI_SCALE, nearest};
use crate::library::model::{Profile, Section};
use crate::quantity::Length;

/// What a section's blank follows from; all out to out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Dimensions {
    /// Its form.
    pub section: Section,
    /// Web.
    pub web: Length,
    /// Left and right flange; zero where there is none.
    pub flanges: [Length; 2],
    /// Left and right lip; zero where there is none.
    pub lips: [Length; 2],
    /// Base metal thickness.
    pub thickness: Length,
    /// Inside bend radius.
    pub radius: Length,
}

impl Dimensions {
    /// Those of a profile.
    pub fn of(profile: &Profile) -> Dimensions {
        Dimensions {
            section: profile.section,
            web: profile.web,
            flanges: [profile.left_flange, profile.right_flange],
            lips: [profile.left_lip, profile.right_lip],
            thickness: profile.thickness,
            radius: profile.radius,
        }
    }
    /// Each dimension with the number of right-angle bends that bound it.
    pub fn legs(&self) -> impl Iterator<Item = (Length, i64)> {
        let has = |length: Length| i64::from(length > Length::ZERO);
        let [left, right] = self.flanges;
        let [left_lip, right_lip] = self.lips;
        [
            (self.web, has(left) + has(right)),
            (left, has(left) + has(left_lip)),
            (right, has(right) + has(right_lip)),
            (left_lip, 1),
            (right_lip, 1),
        ]
        .into_iter()
        .filter(|(length, _)| *length > Length::ZERO)
    }
    /// Right-angle bends.
    pub fn bends(&self) -> i64 {
        self.flanges.iter().chain(&self.lips).map(|l| i64::from(*l > Length::ZERO)).sum()
    }
}

/// How much strip a right-angle bend takes: there is no one rule, and they differ by about half a
/// per cent on a stud.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Allowance {
    /// Along the centre line: π/2 · (r + t/2). Geometry.
    Centreline,
    /// c · t + 1.57 · r, with c in hundredths (55 soft, 64 medium, 71 hard): Machinery's Handbook,
    /// from memory.
    Handbook(i64),
    /// π/2 · (r + k·t/2) with k = 0.65 + 0.5·lg(r/t), 1 above r/t = 5: DIN 6935, from memory.
    Din6935,
}

impl Allowance {
    /// Length of the arc of one right-angle bend, to the nearest nanometre.
    pub fn arc(self, thickness: Length, radius: Length) -> Length {
        let (t, r) = (i128::from(thickness.nm()), i128::from(radius.nm()));
        let nm = match self {
            Allowance::Centreline => nearest((2 * r + t) * PI, 4 * PI_SCALE),
            Allowance::Handbook(c) => nearest(i128::from(c) * t + 157 * r, 100),
            Allowance::Din6935 => {
                // In parts per 10⁹: (2r + k·t)·π/4.
                let twice = 2 * r * 1_000_000_000 + din_k(r, t) * t;
                nearest(nearest(twice, 1_000) * PI, 4 * PI_SCALE * 1_000_000)
            }
        };
        Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
    }
}

/// k of DIN 6935 in parts per 10⁹, held between 0 and 1.
fn din_k(radius: i128, thickness: i128) -> i128 {
    if radius <= 0 || thickness <= 0 {
        return 0;
    }
    if radius > 5 * thickness {
        return 1_000_000_000;
    }
    (650_000_000 + lg_ratio(radius, thickness) / 2).clamp(0, 1_000_000_000)
}

/// lg(a/b) in parts per 10⁹, by repeated squaring of the mantissa in base 2: exact to about
/// 10⁻⁹ for the ratios of bends (10⁻⁶ to 10⁶).
fn lg_ratio(a: i128, b: i128) -> i128 {
    const ONE: i128 = 1 << 60;
    /// lg 2 × 10¹⁸.
    const LG_2: i128 = 301_029_995_663_981_195;
    let Some(mut x) = a.checked_mul(ONE).map(|n| n / b).filter(|&x| x > 0) else { return 0 };
    let mut log2 = 0_i128;
    while x >= 2 * ONE {
        x /= 2;
        log2 += ONE;
    }
    while x < ONE {
        x *= 2;
        log2 -= ONE;
    }
    let mut bit = ONE / 2;
    for _ in 0..40 {
        // x < 2⁶¹, so its square fits.
        x = (x * x) >> 60;
        if x >= 2 * ONE {
            x /= 2;
            log2 += bit;
        }
        bit /= 2;
    }
    // |log2| < 2⁶⁶ and lg 2 < 2⁵⁹: the product fits.
    nearest(log2 * (LG_2 / 1_000), ONE * 1_000_000)
}

/// Width of the flat strip a section is formed from: flats plus arcs.
///
/// Each leg loses t + r at each of its bends; each right-angle bend gives back its arc.
pub fn blank_width(dimensions: &Dimensions, allowance: Allowance) -> Length {
    let corner = dimensions.thickness + dimensions.radius;
    let flats: Length = dimensions.legs().map(|(leg, bends)| leg - corner.times(bends)).sum();
    let arc = allowance.arc(dimensions.thickness, dimensions.radius);
    flats + arc.times(dimensions.bends())
}

/// Area of the base metal's cross-section in square nanometres: centre line × thickness.
pub fn section_area(dimensions: &Dimensions) -> i128 {
    let blank = blank_width(dimensions, Allowance::Centreline);
    i128::from(blank.nm()) * i128::from(dimensions.thickness.nm())
}

/// Inside radius that North American section tables assume for a design thickness: the larger of
/// 3/32 in − t/2 and 1.5 t (AISI, read second-hand; fits every row of the table).
pub fn aisi_inside_radius(design_thickness: Length) -> Length {
    let small = Length::from_nm(2_381_250) - design_thickness.half();
    small.max(design_thickness.scaled(3, 2))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn logarithms_are_right_to_a_part_in_ten_to_the_eight() {
        // lg 2, lg 3, lg 0.5, lg 10: tables.
        for (a, b, lg) in
            [(2, 1, 301_029_996), (3, 1, 477_121_255), (1, 2, -301_029_996), (10, 1, 1_000_000_000)]
        {
            assert!((lg_ratio(a, b) - lg).abs() <= 10, "{a}/{b}: {}", lg_ratio(a, b));
        }
        assert_eq!(lg_ratio(1, 1), 0);
    }
}
