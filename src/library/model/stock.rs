use super::profile::Profile;
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

const NM: Length = Length::from_nm(1);

/// One coil in stock, or one bar: strip with a leading edge and an end.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Coil {
    /// Its identity: what is written on it.
    pub id: Arc<str>,
    /// Where it is no coil but one of several bars: what these are called.
    pub bar: Option<Arc<str>>,
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

impl Coil {
    /// What it is called on papers.
    pub const fn word(&self) -> &'static str {
        if self.bar.is_some() { "bar" } else { "coil" }
    }
    /// Whether it is the strip a profile is made from.
    pub fn fits(&self, profile: &Profile) -> bool {
        self.strip_width == profile.strip_width
            && self.thickness == profile.thickness
            && self.grade == profile.grade
            && self.coating == profile.coating.name
    }
    /// What it is when `gone` of its strip has left it: its defect zones are counted from the new
    /// edge, cost and mass go down with its length.
    #[must_use]
    pub fn after(&self, gone: Length, stays: bool) -> Coil {
        let length = self.length - gone;
        let share = |whole: i64| {
            let of = i128::from(self.length.nm()).max(1);
            i64::try_from(i128::from(whole) * i128::from(length.nm()) / of).unwrap_or(0)
        };
        Coil {
            length,
            defects: self
                .defects
                .iter()
                .filter(|(_, to)| *to > gone)
                .map(|(from, to)| ((*from - gone).max(Length::ZERO), *to - gone))
                .collect(),
            part_used: true,
            threaded: stays && length > Length::ZERO,
            cost: self.cost.map(share),
            mass: self.mass.map(|mass| Mass::from_mg(share(mass.mg()))),
            ..self.clone()
        }
    }
    /// The coil in the figures of a program whose advances the controller stretches by `factor`
    /// (parts per 10⁹): no longer than its strip, its defect zones no smaller.
    #[must_use]
    pub fn as_counted(&self, factor: i64) -> Coil {
        if factor == 0 {
            return self.clone();
        }
        // The nearest figure may reach past the strip by a part of a nanometre.
        let least = |strip: Length| {
            let near = strip.unstretched(factor);
            let past = i128::from(near.nm()) * (1_000_000_000 + i128::from(factor))
                > i128::from(strip.nm()) * 1_000_000_000;
            if past { near - NM } else { near }
        };
        let most = |strip: Length| least(strip) + NM;
        Coil {
            length: least(self.length),
            defects: self.defects.iter().map(|(from, to)| (least(*from), most(*to))).collect(),
            ..self.clone()
        }
    }
    /// As [`Coil::after`], with `gone` in the figures of a program whose advances the controller
    /// stretches by `factor`.
    #[must_use]
    pub fn after_counted(&self, gone: Length, stays: bool, factor: i64) -> Coil {
        if factor == 0 {
            return self.after(gone, stays);
        }
        let all = gone >= self.as_counted(factor).length;
        let strip = if all { self.length } else { (gone.stretched(factor) + NM).min(self.length) };
        self.after(strip, stays)
    }
    /// What it is when another coil is threaded: one that was in the line is parted and loses
    /// that much strip, any other stays as it is.
    #[must_use]
    pub fn out_of_the_line(&self, parting: Length) -> Coil {
        if self.threaded { self.after(parting.min(self.length), false) } else { self.clone() }
    }
}

/// What is on the rack.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Stock {
    /// Coils, then bars one by one, as listed.
    pub coils: Vec<Coil>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::FileId;

    #[test]
    fn a_coil_is_counted_from_its_new_edge() {
        let m = |m: i64| Length::from_mm(1000 * m);
        let coil = Coil {
            id: "K1".into(),
            bar: None,
            heat: "".into(),
            certificate: "".into(),
            docket: "".into(),
            strip_width: Length::from_mm(188),
            thickness: Length::from_um(750),
            grade: "G550".into(),
            coating: "Z275".into(),
            length: m(100),
            basis: LengthBasis::DocketMass,
            uncertainty: 10_000,
            defects: vec![(m(10), m(12)), (m(39), m(41)), (m(90), m(91))],
            part_used: false,
            threaded: true,
            cost: Some(1_000),
            mass: Some(Mass::from_kg(200)),
            span: Span::new(FileId(0), 0, 0),
        };
        let after = coil.after(m(40), false);
        assert_eq!(after.length, m(60));
        assert_eq!(after.defects, [(m(0), m(1)), (m(50), m(51))]);
        assert_eq!((after.cost, after.mass), (Some(600), Some(Mass::from_kg(120))));
        assert!(after.part_used && !after.threaded);
        assert!(coil.after(m(40), true).threaded);
        assert!(!coil.after(m(100), true).threaded, "nothing is left to be threaded");
        let factor = 800_000;
        let counted = coil.as_counted(factor);
        assert!(counted.length.stretched(factor) <= coil.length);
        assert!(coil.length - counted.length.stretched(factor) < Length::from_nm(10));
        for (counted, real) in counted.defects.iter().zip(&coil.defects) {
            assert!(counted.0.stretched(factor) <= real.0 && counted.1.stretched(factor) >= real.1);
        }
        assert_eq!(coil.after_counted(counted.length, true, factor).length, Length::ZERO);
        let used = coil.after_counted(m(40), false, factor);
        assert_eq!(used.length, m(60) - Length::from_nm(32_000_001));
        let out = coil.out_of_the_line(m(3));
        assert_eq!((out.length, out.threaded), (m(97), false));
        assert_eq!(out.out_of_the_line(m(3)), out, "it is out already");
    }
}
