//! What a model's instances say: units, placements, bodies, sections. Parameters are counted as
//! IFC4 and IFC4X3 (ISO 16739-1) order them; from memory, checked by reading what ifcopenshell
//! writes.

use super::fixed::{Axes, FURTHEST, ONE, Vector, rounded, scaled};
use super::section::Drawn;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::exchange as codes;
use crate::exchange::step::{Entity, Step, Value};
use std::collections::HashMap;
use std::hash::{BuildHasherDefault, DefaultHasher};

type Refusal = Box<Diagnostic>;
pub(super) type Table<K, V> = HashMap<K, V, BuildHasherDefault<DefaultHasher>>;

/// Placements within placements, mapped items within mapped items.
const DEEPEST: usize = 60;

/// Most points of an outline.
const MOST_POINTS: usize = 1_000;

/// A model being read.
pub struct Model<'t> {
    pub step: Step<'t>,
    /// Millionths of a nanometre in the model's unit of length.
    unit: i128,
    placements: Table<u64, Axes>,
}

/// A section swept along a straight line.
#[derive(Clone, Debug)]
pub struct Sweep {
    /// The section's definition.
    pub area: u64,
    /// Where the sweep begins, its z along the sweep, seen from its element.
    pub axes: Axes,
    /// How far it goes.
    pub depth: i128,
    /// Planes that cut it, seen from its element.
    pub cuts: Vec<Cut>,
}

/// A plane that takes away everything on one side of it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Cut {
    /// The instance that says so.
    pub id: u64,
    /// A point of the plane.
    pub point: Vector,
    /// Square to it, toward what is taken away.
    pub away: Vector,
}

/// What a section's definition draws.
pub enum Outline {
    /// A section of thin steel.
    Section(Drawn),
    /// A circle of this diameter.
    Circle(i128),
    /// A rectangle or slot: along the definition's x, along its y, and the radius of its corners.
    Rectangle(i128, i128, i128),
    /// Anything else, by its class.
    Other(String),
}

impl<'t> Model<'t> {
    /// Looks for what everything else depends on: the schema and the unit of length.
    pub fn open(
        step: Step<'t>,
        header: impl Fn() -> crate::quantity::Span,
    ) -> Result<Model<'t>, Refusal> {
        let known = |schema: &String| schema == "IFC4" || schema.starts_with("IFC4X3");
        if !step.schemas.iter().any(known) {
            let said = match step.schemas.as_slice() {
                [] => "the file does not say which schema it follows".to_string(),
                schemas => format!("the file follows {}", schemas.join(", ")),
            };
            return Err(Box::new(
                Diagnostic::new(&codes::E1144, format!("{said}; IFC4 and IFC4X3 are read"))
                    .at(header(), "the header")
                    .help("export the model as IFC4"),
            ));
        }
        let mut model = Model { step, unit: 0, placements: Table::default() };
        model.unit = model.find_unit(&header)?;
        Ok(model)
    }

    fn find_unit(&self, header: &impl Fn() -> crate::quantity::Span) -> Result<i128, Refusal> {
        let none = |what: &str, id: Option<u64>| {
            Box::new(
                Diagnostic::new(&codes::E1145, what.to_string())
                    .at(id.map_or_else(header, |id| self.step.place(id)), "no unit of length")
                    .note("2396 may be millimetres or thousandths of an inch: nothing is guessed")
                    .help("export the model with its units"),
            )
        };
        let Some(project) = self.step.of("IFCPROJECT").first().copied() else {
            return Err(none("the model has no project, which would say its units", None));
        };
        if let Some(second) = self.step.of("IFCPROJECT").get(1) {
            return Err(none(
                "the model has two projects, each with units of its own",
                Some(*second),
            ));
        }
        for id in self.step.of("IFCPROJECTLIBRARY") {
            if self.step.entity(id, id)?.reference(8).is_some() {
                return Err(none("a library in the model has units of its own", Some(id)));
            }
        }
        let entity = self.step.entity(project, project)?;
        let Some(assignment) = entity.reference(8) else {
            return Err(none("the model declares no units", Some(project)));
        };
        let assignment = self.step.entity(assignment, project)?;
        let mut lengths = Vec::new();
        for id in assignment.references(0) {
            let unit = self.step.entity(id, assignment.id)?;
            if unit.word(1).eq_ignore_ascii_case("LENGTHUNIT") {
                lengths.push((id, unit));
            }
        }
        if let [_, (second, _), ..] = lengths.as_slice() {
            return Err(none("the model declares two units of length", Some(*second)));
        }
        for (id, unit) in lengths {
            if unit.is("IFCSIUNIT") {
                return si(&unit)
                    .ok_or_else(|| none("the model's unit of length is no metre", Some(id)));
            }
            let measure = unit.reference(3);
            if let (true, Some(measure)) = (unit.is("IFCCONVERSIONBASEDUNIT"), measure) {
                let measure = self.step.entity(measure, id)?;
                let base = measure.reference(1).map(|base| self.step.entity(base, measure.id));
                let base = base
                    .transpose()?
                    .filter(|base| base.is("IFCSIUNIT"))
                    .and_then(|base| si(&base));
                let unit =
                    base.zip(measure.number(0)).and_then(|(base, factor)| scaled(factor, base, 1));
                return unit.filter(|unit| *unit > 0).ok_or_else(|| {
                    none("the model's unit of length is no part of a metre", Some(id))
                });
            }
        }
        Err(none("the model declares no unit of length", Some(assignment.id)))
    }

    /// A length in nanometres, rounded to the nearest.
    pub fn length(&self, text: Option<&str>) -> Option<i128> {
        let nm = scaled(text?, self.unit, 1_000_000)?;
        (nm.abs() <= FURTHEST).then_some(nm)
    }

    /// The coordinates of a point or list item; what is missing is nought.
    fn coordinates(&self, values: &Value<'_>) -> Option<Vector> {
        let Value::List(items) = values else { return None };
        let part = |i: usize| match items.get(i) {
            Some(Value::Number(text)) => self.length(Some(text)),
            None => Some(0),
            _ => None,
        };
        Some(Vector(part(0)?, part(1)?, part(2)?)).filter(|v| v.is_near())
    }

    fn point(&self, id: u64, from: u64) -> Result<Vector, Refusal> {
        let entity = self.step.entity(id, from)?;
        self.coordinates(entity.get(0))
            .ok_or_else(|| self.not_understood(id, "no point of a drawing"))
    }

    fn direction(&self, id: Option<u64>, from: u64, usual: Vector) -> Result<Vector, Refusal> {
        let Some(id) = id else { return Ok(usual) };
        let entity = self.step.entity(id, from)?;
        let Value::List(items) = entity.get(0) else {
            return Err(self.not_understood(id, "no direction"));
        };
        let part = |i: usize| match items.get(i) {
            Some(Value::Number(text)) => scaled(text, ONE, 1),
            None => Some(0),
            _ => None,
        };
        match (part(0), part(1), part(2)) {
            (Some(x), Some(y), Some(z)) => Ok(Vector(x, y, z)),
            _ => Err(self.not_understood(id, "no direction")),
        }
    }

    /// An axis placement in two or three dimensions.
    fn axes(&self, id: Option<u64>, from: u64) -> Result<Axes, Refusal> {
        let Some(id) = id else { return Ok(Axes::HERE) };
        let entity = self.step.entity(id, from)?;
        let origin = match entity.reference(0) {
            Some(point) => self.point(point, id)?,
            None => Vector::default(),
        };
        let flat = entity.is("IFCAXIS2PLACEMENT2D");
        if !flat && !entity.is("IFCAXIS2PLACEMENT3D") {
            return Err(self.not_understood(id, "placed in a way that is not read"));
        }
        let up = Vector(0, 0, ONE);
        let z = if flat { up } else { self.direction(entity.reference(1), id, up)? };
        let x =
            self.direction(entity.reference(if flat { 1 } else { 2 }), id, Vector(ONE, 0, 0))?;
        Axes::of(origin, z, x)
            .ok_or_else(|| self.not_understood(id, "a placement without directions"))
    }

    /// Where an object is, seen from the model's origin.
    pub fn placement(&mut self, id: u64, from: u64) -> Result<Axes, Refusal> {
        let mut chain = Vec::new();
        let (mut next, mut named_by) = (Some(id), from);
        let mut outer = Axes::HERE;
        while let Some(id) = next {
            if let Some(known) = self.placements.get(&id) {
                outer = *known;
                break;
            }
            let entity = self.step.entity(id, named_by)?;
            if !entity.is("IFCLOCALPLACEMENT") {
                return Err(self.not_understood(id, "placed in a way that is not read"));
            }
            chain.push((id, self.axes(entity.reference(1), id)?));
            if chain.len() > DEEPEST {
                return Err(
                    self.not_understood(id, "placements that refer to each other in a circle")
                );
            }
            (next, named_by) = (entity.reference(0), id);
        }
        for (id, axes) in chain.into_iter().rev() {
            outer = outer.then(&axes);
            if !outer.origin.is_near() {
                return Err(self.not_understood(id, "placed beyond the earth"));
            }
            self.placements.insert(id, outer);
        }
        Ok(outer)
    }

    /// The straight extrusions that an element's body consists of. Axes, boxes and outlines in
    /// plan are drawn beside the body and are not read; a second body would be another member.
    pub fn body(&self, shape: u64, from: u64) -> Result<Vec<Sweep>, Refusal> {
        let shape = self.step.entity(shape, from)?;
        let (mut named, mut unnamed) = (Vec::new(), Vec::new());
        for id in shape.references(2) {
            let representation = self.step.entity(id, shape.id)?;
            match representation.text(1) {
                name if name.is_empty() => unnamed.push(representation),
                name if name.eq_ignore_ascii_case("Body") => named.push(representation),
                _ => {}
            }
        }
        let bodies = if named.is_empty() { unnamed } else { named };
        if bodies.len() > 1 {
            return Err(self.not_understood(shape.id, "drawn with more than one body"));
        }
        let mut sweeps = Vec::new();
        for body in bodies {
            for item in body.references(3) {
                self.item(item, body.id, &Axes::HERE, &mut sweeps, 0)?;
            }
        }
        Ok(sweeps)
    }

    fn item(
        &self,
        id: u64,
        from: u64,
        outer: &Axes,
        sweeps: &mut Vec<Sweep>,
        depth: usize,
    ) -> Result<(), Refusal> {
        let entity = self.step.entity(id, from)?;
        if depth > DEEPEST {
            return Err(self.not_understood(id, "bodies that refer to each other in a circle"));
        }
        if entity.is("IFCEXTRUDEDAREASOLID") {
            let axes = outer.then(&self.axes(entity.reference(1), id)?);
            let way = self.direction(entity.reference(2), id, Vector(0, 0, ONE))?;
            let way = way
                .unit()
                .ok_or_else(|| self.not_understood(id, "an extrusion without direction"))?;
            if way.0.abs() > ONE / 1_000_000 || way.1.abs() > ONE / 1_000_000 {
                return Err(self.not_understood(id, "extruded askew to its section"));
            }
            let (Some(area), Some(length)) = (entity.reference(0), self.length(entity.number(3)))
            else {
                return Err(self.not_understood(id, "an extrusion without section or depth"));
            };
            let mut axes = axes;
            if way.2 < 0 {
                // Swept backward: it begins where it ends.
                axes.origin = axes.point(Vector(0, 0, -length));
            }
            sweeps.push(Sweep { area, axes, depth: length, cuts: Vec::new() });
            return Ok(());
        }
        if entity.is("IFCMAPPEDITEM") {
            let (Some(source), Some(target)) = (entity.reference(0), entity.reference(1)) else {
                return Err(self.not_understood(id, "mapped from nowhere"));
            };
            let source = self.step.entity(source, id)?;
            let target = self.step.entity(target, id)?;
            let plain = target.is("IFCCARTESIANTRANSFORMATIONOPERATOR3D")
                && target
                    .number(3)
                    .is_none_or(|scale| scaled(scale, 1_000_000, 1) == Some(1_000_000));
            if !plain {
                return Err(self.not_understood(id, "mapped to another scale"));
            }
            let origin = match target.reference(2) {
                Some(point) => self.point(point, target.id)?,
                None => Vector::default(),
            };
            let x = self.direction(target.reference(0), target.id, Vector(ONE, 0, 0))?;
            let z = self.direction(target.reference(4), target.id, Vector(0, 0, ONE))?;
            let place = Axes::of(origin, z, x)
                .ok_or_else(|| self.not_understood(id, "mapped without directions"))?;
            // The second axis may point the other way, also where it is left out (ISO 16739-1,
            // IfcBaseAxis, from memory): what is mapped is then seen as in a mirror.
            let y = self.direction(target.reference(1), target.id, Vector(0, ONE, 0))?;
            if y.unit().is_none_or(|y| rounded(y.dot(place.y), ONE) < -ONE / 1_000) {
                return Err(self.not_understood(id, "mapped as in a mirror"));
            }
            let from_origin = self.axes(source.reference(0), source.id)?.seeing(&Axes::HERE);
            let place = outer.then(&place).then(&from_origin);
            let Some(mapped) = source.reference(1) else {
                return Err(self.not_understood(id, "mapped from nowhere"));
            };
            for item in self.step.entity(mapped, source.id)?.references(3) {
                self.item(item, mapped, &place, sweeps, depth + 1)?;
            }
            return Ok(());
        }
        if entity.is("IFCBOOLEANCLIPPINGRESULT") || entity.is("IFCBOOLEANRESULT") {
            let cut = self.cut(&entity, outer)?;
            let Some(whole) = entity.reference(1) else {
                return Err(self.not_understood(id, "cut from nothing"));
            };
            let before = sweeps.len();
            self.item(whole, id, outer, sweeps, depth + 1)?;
            for sweep in sweeps.iter_mut().skip(before) {
                sweep.cuts.push(cut);
            }
            return Ok(());
        }
        Err(self.not_understood(id, &format!("a body as {}", entity.kind)))
    }

    /// The plane of a body that is cut off along one.
    fn cut(&self, entity: &Entity<'_>, outer: &Axes) -> Result<Cut, Refusal> {
        let id = entity.id;
        let by = entity.reference(2).filter(|_| entity.word(0).eq_ignore_ascii_case("DIFFERENCE"));
        let Some(by) = by else {
            return Err(self.not_understood(id, "put together from several bodies"));
        };
        let half = self.step.entity(by, id)?;
        let side = match half.word(1) {
            "T" | "t" => -1,
            "F" | "f" => 1,
            _ => 0,
        };
        let plane = half.reference(0).filter(|_| half.is("IFCHALFSPACESOLID") && side != 0);
        let Some(plane) = plane else {
            return Err(self.not_understood(id, "cut by another body than a half space"));
        };
        let surface = self.step.entity(plane, by)?;
        if !surface.is("IFCPLANE") {
            return Err(self.not_understood(plane, "a cut that is not flat"));
        }
        let axes = outer.then(&self.axes(surface.reference(0), plane)?);
        // The agreement says whether the normal points away from what the half space is full of.
        let away = Vector(axes.z.0 * side, axes.z.1 * side, axes.z.2 * side);
        Ok(Cut { id, point: axes.origin, away })
    }

    /// What a section's definition draws, where it lies, and its name.
    pub fn outline(&self, id: u64, from: u64) -> Result<(Outline, Axes, String), Refusal> {
        let entity = self.step.entity(id, from)?;
        let name = entity.text(1);
        let kind = entity.kind.to_ascii_uppercase();
        let l = |i: usize| self.length(entity.number(i)).filter(|nm| *nm > 0);
        let need = |value: Option<i128>| {
            value.ok_or_else(|| self.not_understood(id, "a section without its sizes"))
        };
        let flat = |i: usize| self.axes(entity.reference(i), id);
        if entity.word(0).eq_ignore_ascii_case("CURVE") {
            return Ok((Outline::Other("a line and no area".into()), Axes::HERE, name));
        }
        let outline = match kind.as_str() {
            "IFCCSHAPEPROFILEDEF" => {
                let drawn = Drawn::channel(need(l(3))?, need(l(4))?, need(l(6))?, need(l(5))?);
                (Outline::Section(drawn), flat(2)?)
            }
            "IFCUSHAPEPROFILEDEF" => {
                let (web, flange) = (need(l(5))?, need(l(6))?);
                let slope = entity.number(9).and_then(|slope| scaled(slope, ONE, 1));
                let rolled = match slope {
                    None | Some(0) => "web and flange of different thickness",
                    Some(_) => "its flanges of uneven thickness",
                };
                if (web - flange).abs() > 1_000 || slope.is_some_and(|slope| slope != 0) {
                    (Outline::Other(format!("a rolled channel, {rolled}")), flat(2)?)
                } else {
                    (Outline::Section(Drawn::channel(need(l(3))?, need(l(4))?, 0, web)), flat(2)?)
                }
            }
            "IFCCIRCLEPROFILEDEF" => (Outline::Circle(need(l(3))? * 2), flat(2)?),
            "IFCRECTANGLEPROFILEDEF" => (Outline::Rectangle(need(l(3))?, need(l(4))?, 0), flat(2)?),
            "IFCROUNDEDRECTANGLEPROFILEDEF" => {
                (Outline::Rectangle(need(l(3))?, need(l(4))?, need(l(5))?), flat(2)?)
            }
            "IFCARBITRARYCLOSEDPROFILEDEF" => {
                let curve = entity
                    .reference(2)
                    .ok_or_else(|| self.not_understood(id, "an outline without its curve"))?;
                (self.polygon(curve, id)?, Axes::HERE)
            }
            _ => (Outline::Other(entity.kind.to_string()), Axes::HERE),
        };
        Ok((outline.0, outline.1, name))
    }

    /// A closed curve: a section, or a rectangle about its middle where it has four corners.
    fn polygon(&self, id: u64, from: u64) -> Result<Outline, Refusal> {
        let entity = self.step.entity(id, from)?;
        let mut points = Vec::new();
        if entity.is("IFCPOLYLINE") {
            for point in entity.references(0).into_iter().take(MOST_POINTS) {
                points.push(self.point(point, id)?);
            }
        } else if entity.is("IFCINDEXEDPOLYCURVE") && goes_round(entity.get(1)) {
            let list = entity.reference(0).map(|list| self.step.entity(list, id)).transpose()?;
            if let Some(Value::List(items)) = list.as_ref().map(|list| list.get(0)) {
                for item in items.iter().take(MOST_POINTS) {
                    let point = self.coordinates(item);
                    points.push(
                        point.ok_or_else(|| self.not_understood(id, "no point of a drawing"))?,
                    );
                }
            }
        } else {
            return Ok(Outline::Other(format!("an outline as {}", entity.kind)));
        }
        if points.first() == points.last() {
            points.pop();
        }
        let flat: Vec<(i128, i128)> = points.iter().map(|p| (p.0, p.1)).collect();
        if let Some(drawn) = Drawn::ribbon(&flat) {
            return Ok(Outline::Section(drawn));
        }
        if let [a, b, c, d] = flat.as_slice() {
            let (xs, ys) = ([a.0, b.0, c.0, d.0], [a.1, b.1, c.1, d.1]);
            let span = |v: [i128; 4]| Some((*v.iter().min()?, *v.iter().max()?));
            let square = (a.0 == b.0) != (a.1 == b.1)
                && (b.0 == c.0) != (b.1 == c.1)
                && (c.0 == d.0) != (c.1 == d.1);
            if let (Some((x0, x1)), Some((y0, y1)), true) = (span(xs), span(ys), square)
                && (x0 + x1).abs() <= 1
                && (y0 + y1).abs() <= 1
            {
                return Ok(Outline::Rectangle(x1 - x0, y1 - y0, 0));
            }
        }
        Ok(Outline::Other("an outline that is no section of one thickness".into()))
    }

    /// A refusal about an instance that says something this does not read.
    pub fn not_understood(&self, id: u64, why: &str) -> Refusal {
        Box::new(
            Diagnostic::new(&codes::E1147, format!("#{id} is {why}"))
                .at(self.step.place(id), "not understood")
                .help("export the member as a straight extrusion of its section, with openings"),
        )
    }
}

/// Whether the segments of a curve go straight from each point of its list to the next; it has
/// none where they do.
fn goes_round(segments: &Value<'_>) -> bool {
    let Value::List(items) = segments else { return true };
    let mut at = 1_u32;
    for item in items {
        let Value::Typed(kind, values) = item else { return false };
        let [Value::List(indices)] = values.as_slice() else { return false };
        let indices: Vec<u32> = indices
            .iter()
            .filter_map(|index| match index {
                Value::Number(text) => text.parse().ok(),
                _ => None,
            })
            .collect();
        if !kind.eq_ignore_ascii_case("IFCLINEINDEX") || indices.first() != Some(&at) {
            return false;
        }
        for &index in indices.iter().skip(1) {
            // The last segment may close the curve at its first point.
            if index != at + 1 && index != 1 {
                return false;
            }
            at = index;
        }
    }
    true
}

/// Millionths of a nanometre in an SI unit of length.
fn si(unit: &Entity<'_>) -> Option<i128> {
    if unit.word(3) != "METRE" {
        return None;
    }
    let metre = 1_000_000_000_000_000;
    Some(match unit.word(2) {
        "" => metre,
        "KILO" => metre * 1_000,
        "DECI" => metre / 10,
        "CENTI" => metre / 100,
        "MILLI" => metre / 1_000,
        "MICRO" => metre / 1_000_000,
        _ => return None,
    })
}
