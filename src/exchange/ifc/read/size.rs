//! The size of an opening against the size of what it stands for.

use super::Reader;
use super::feature::Known;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::ifc::form::Form;
use crate::exchange::ifc::opening::Hole;
use crate::exchange::ifc::section::Drawn;
use crate::library::model::{self, FeatureType, OutlineForm};
use crate::quantity::Length;

/// How far a drawn size may be off and be the type's: as far as sizes of a map when it says
/// nothing.
pub(super) const SAME_SIZE: Length = Length::from_um(50);

/// Length or diameter, and width, as a feature says them.
type Size = Option<(Length, Option<Length>)>;

impl Reader<'_, '_> {
    /// The size a feature says: what its type leaves open. Another size than the type has is
    /// refused, unless the map says that this size stands for it.
    pub(super) fn size(
        &self,
        id: u64,
        hole: &Hole,
        section: &Drawn,
        (name, of): (&str, Option<&FeatureType>),
        known: Known,
    ) -> Result<Size, Box<Diagnostic>> {
        let Some(kind) = of else {
            let width = Some(hole.width).filter(|_| !hole.is_round());
            return Ok((known == Known::BySize(true)).then_some((hole.length, width)));
        };
        let width = width_said(kind.outline, hole, section);
        if let Known::ByWord(length, wide) = known {
            let differs = |said: Option<Length>, is| said.is_some_and(|said| !near(said, is));
            if !fits(kind, hole, width) {
                return Err(self.of_another_size(id, hole, name, &outline_told(kind.outline)));
            }
            if differs(length, hole.length) || differs(wide, hole.width) {
                let sizes: Vec<String> =
                    [length, wide].iter().flatten().map(Length::to_string).collect();
                let told = format!("{} in the map's [[code]]", sizes.join(" × "));
                return Err(self.of_another_size(id, hole, name, &told));
            }
        }
        let range = kind.form == model::Form::Range;
        let say = match known {
            Known::BySize(said) => said || range && width.is_some(),
            Known::ByWord(..) => true,
        };
        Ok(if say { size_said(kind.outline, hole, width) } else { None })
    }

    fn of_another_size(&self, id: u64, hole: &Hole, name: &str, wanted: &str) -> Box<Diagnostic> {
        Box::new(
            Diagnostic::new(
                &codes::E1154,
                format!("the opening #{id} is {}, and {name} is {wanted}", hole.told()),
            )
            .at(self.model.step.place(id), format!("drawn as {name}"))
            .note("the line would make it in its own size, whatever is drawn")
            .help(
                "draw it in that size, name it as a type that has this one, or say what this size \
                 stands for with an [[opening]] in the map",
            ),
        )
    }
}

/// Whether two sizes are the same but for rounding.
fn near(one: Length, other: Length) -> bool {
    (one - other).abs() <= SAME_SIZE
}

/// The width a rectangle says: none where it goes over the whole of its faces and its type does
/// so too.
fn width_said(outline: OutlineForm, hole: &Hole, section: &Drawn) -> Option<Length> {
    let OutlineForm::Rectangle { width: None, .. } = outline else { return Some(hole.width) };
    let faces = section.faces.iter().filter(|face| hole.faces.contains(face.face));
    let widest = faces.map(|face| face.width).max().unwrap_or(0);
    let reach = i128::from(hole.width.nm()) - 2 * i128::from(hole.across.abs().nm());
    let whole = reach + i128::from(SAME_SIZE.nm()) >= widest;
    (!whole).then_some(hole.width)
}

/// Whether a hole is what its type's outline can be.
fn fits(kind: &FeatureType, hole: &Hole, width: Option<Length>) -> bool {
    let same = |fixed: Option<Length>, is: Length| fixed.is_none_or(|fixed| near(fixed, is));
    match kind.outline {
        OutlineForm::Circle { diameter } => hole.is_round() && same(diameter, hole.length),
        OutlineForm::Slot { length, width } => {
            // As long as it is wide, a slot is round.
            (hole.form == Form::Slot || hole.is_round())
                && same(length, hole.length)
                && same(width, hole.width)
        }
        OutlineForm::Rectangle { length, width: fixed } => {
            matches!(hole.form, Form::Rectangle | Form::Rounded)
                && same(length, hole.length)
                && width.is_none_or(|width| same(fixed, width))
        }
    }
}

/// What a feature of this outline says of a hole's size; fixed sizes as the type has them.
fn size_said(outline: OutlineForm, hole: &Hole, wide: Option<Length>) -> Size {
    match outline {
        OutlineForm::Circle { diameter: Some(_) }
        | OutlineForm::Slot { length: Some(_), width: Some(_) } => None,
        OutlineForm::Circle { .. } => Some((hole.length, None)),
        OutlineForm::Slot { length, width } => {
            Some((length.unwrap_or(hole.length), Some(width.unwrap_or(hole.width))))
        }
        OutlineForm::Rectangle { length, width } => match (length, width, wide) {
            (Some(_), Some(_), _) | (Some(_), None, None) => None,
            (Some(length), None, wide) => Some((length, wide)),
            (None, Some(_), _) | (None, None, None) => Some((hole.length, None)),
            (None, None, wide) => Some((hole.length, wide)),
        },
    }
}

/// A type's outline, for findings.
fn outline_told(outline: OutlineForm) -> String {
    let both = |length: Option<Length>, width: Option<Length>| match (length, width) {
        (Some(length), Some(width)) => format!(" {length} × {width}"),
        (Some(length), None) => format!(" {length} long"),
        (None, Some(width)) => format!(" {width} wide"),
        (None, None) => String::new(),
    };
    match outline {
        OutlineForm::Circle { diameter: Some(diameter) } => format!("a round hole Ø{diameter}"),
        OutlineForm::Circle { diameter: None } => "round".to_string(),
        OutlineForm::Slot { length, width } => format!("a slot{}", both(length, width)),
        OutlineForm::Rectangle { length, width } => format!("a rectangle{}", both(length, width)),
    }
}
