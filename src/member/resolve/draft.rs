//! A member while it is being made: recipes called, conditions decided, lists run through.
//!
//! What depends on the member's length, which a later line may say, is left for
//! [`settle`](super::settle).

use super::args::match_args;
use super::eval::Resolver;
use super::limits;
use super::said::Said;
use super::scope::Kind;
use super::value::Value;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::language::tree::{
    self, Block, Call, EndShape as EndNode, Ends, PlacesKind, Setting, SettingKind, Side,
    Spot as SpotNode, Statement,
};
use crate::member::model::{Datum, End, EndShape, Faces, FeatureTypeId, Position};
use crate::quantity::{Length, Rational, Span, Tolerance};

/// One recipe or group called, or the member itself (the first).
pub(super) struct Level<'a> {
    pub(super) parent: Option<usize>,
    pub(super) depth: u32,
    pub(super) said: Said<'a>,
}

/// Where along a member, or about a group's centre, before the length is known.
#[derive(Clone, Copy)]
pub(super) enum Along {
    One(Position),
    Range(Position, Position),
    Every { step: Length, from: Position, to: Position },
    Equal { most: Length, from: Position, to: Position, round: Option<Length> },
    End(End),
}

#[derive(Clone, Copy)]
pub(super) struct Spot {
    pub(super) along: Along,
    /// Offsets are inward from the end, not from the start.
    pub(super) mirrored: bool,
    pub(super) span: Span,
}

/// A run of a draft's vector.
#[derive(Clone, Copy)]
pub(super) struct Run {
    pub(super) from: usize,
    pub(super) to: usize,
}

/// A feature statement, with its expressions settled.
pub(super) struct Pending {
    pub(super) kind: FeatureTypeId,
    pub(super) faces: Faces,
    pub(super) size: Option<(Length, Option<Length>)>,
    pub(super) size_span: Span,
    pub(super) across: Run,
    pub(super) spots: Run,
    /// Of the position, or of both ends of a range.
    pub(super) tolerance: Option<(Tolerance, Tolerance)>,
    pub(super) across_tolerance: Option<Tolerance>,
    pub(super) level: usize,
    /// The group it belongs to, as an index of placements.
    pub(super) group: Option<usize>,
    pub(super) span: Span,
}

/// A group placed at centres.
pub(super) struct Placement {
    pub(super) parent: Option<usize>,
    pub(super) spots: Run,
    pub(super) span: Span,
}

/// All that is known of a member so far. Kept between members for its memory.
#[derive(Default)]
pub(super) struct Draft<'a> {
    pub(super) levels: Vec<Level<'a>>,
    pub(super) pending: Vec<Pending>,
    pub(super) spots: Vec<Spot>,
    pub(super) across: Vec<Length>,
    pub(super) placements: Vec<Placement>,
    pub(super) length: Option<(Length, Span)>,
    pub(super) start: Option<(EndShape, Span)>,
    pub(super) end: Option<(EndShape, Span)>,
    /// Whether something in it could not be settled; the reason is reported.
    pub(super) spoiled: bool,
    /// Recipes and groups being called.
    calling: Vec<usize>,
}

impl Draft<'_> {
    /// Empty, with the member itself as its first level.
    pub(super) fn begin(&mut self) {
        self.levels.clear();
        self.levels.push(Level { parent: None, depth: 0, said: Said::default() });
        self.pending.clear();
        self.spots.clear();
        self.across.clear();
        self.placements.clear();
        self.length = None;
        self.start = None;
        self.end = None;
        self.spoiled = false;
        self.calling.clear();
    }
}

/// Where statements stand.
#[derive(Clone, Copy)]
pub(super) struct Standpoint {
    pub(super) file: usize,
    pub(super) level: usize,
    pub(super) group: Option<usize>,
}

impl<'a> Resolver<'_, 'a> {
    /// Carries out a block; names bound in it are forgotten after.
    pub(super) fn block(&mut self, draft: &mut Draft<'a>, here: Standpoint, block: &'a Block) {
        if self.depth >= limits::DEPTH {
            let message = format!("more than {} things within each other", limits::DEPTH);
            self.too_much(message, here.file, block.at);
            draft.spoiled = true;
            return;
        }
        let Some(tree) = self.tree(here.file) else { return };
        self.depth += 1;
        let known = self.locals.len();
        for statement in tree.get(block.statements) {
            if self.statement(draft, here, statement).is_none() {
                draft.spoiled = true;
            }
            if self.spent {
                break;
            }
        }
        self.locals.truncate(known);
        self.depth -= 1;
    }

    /// `None` once it is reported why it could not be carried out.
    fn statement(
        &mut self,
        draft: &mut Draft<'a>,
        here: Standpoint,
        statement: &'a Statement,
    ) -> Option<()> {
        let tree = self.tree(here.file)?;
        match statement {
            Statement::Let(node) => {
                let value = self.eval(here.file, node.value);
                let known = value.is_some();
                if self.locals.len() < self.base + limits::LOCALS {
                    self.locals.push((self.names.words(here.file, node.name), value));
                }
                known.then_some(())
            }
            Statement::If(node) => {
                for branch in tree.get(node.branches) {
                    if self.flag(here.file, branch.condition)? {
                        self.block(draft, here, &branch.block);
                        return Some(());
                    }
                }
                if let Some(block) = &node.otherwise {
                    self.block(draft, here, block);
                }
                Some(())
            }
            Statement::For(node) => {
                let items = match self.eval(here.file, node.list)? {
                    Value::List(items) => items,
                    value => {
                        let at = tree.expr(node.list).at();
                        let help = "put it in brackets: `[1186]`";
                        self.wrong_kind("a list", &value, here.file, at, help);
                        return None;
                    }
                };
                let name = self.names.words(here.file, node.name);
                for item in items.iter() {
                    self.step(1, here.file, node.at)?;
                    self.locals.push((name, Some(item.clone())));
                    self.block(draft, here, &node.block);
                    self.locals.pop();
                }
                Some(())
            }
            Statement::Setting(node) => self.setting(draft, here, node),
            Statement::EndShape(node) => self.end_shape(draft, here, node),
            Statement::Feature(node) => self.feature(draft, here, node),
            Statement::Call(node) => {
                let group = match node.places {
                    None => None,
                    Some(places) => {
                        let spots = self.spots(draft, here, &places)?;
                        let span = self.span(here.file, node.at);
                        draft.placements.push(Placement { parent: here.group, spots, span });
                        Some(draft.placements.len() - 1)
                    }
                };
                self.call(draft, here, &node.call, group)
            }
            Statement::Broken(_) => None,
        }
    }

    /// Something said about the member, at this level.
    pub(super) fn setting(
        &mut self,
        draft: &mut Draft<'a>,
        here: Standpoint,
        node: &Setting,
    ) -> Option<()> {
        if let SettingKind::Length(id) = node.kind {
            let span = self.span(here.file, node.at);
            let length = self.positive(here.file, id, "a member's length")?;
            return self.put(&mut draft.length, length, span, "length");
        }
        let mut said = draft.levels.get(here.level)?.said;
        let done = self.set(&mut said, here.file, node);
        draft.levels.get_mut(here.level)?.said = said;
        done
    }

    fn end_shape(&mut self, draft: &mut Draft<'a>, here: Standpoint, node: &EndNode) -> Option<()> {
        let shape = match node.slope {
            None => EndShape::Square,
            Some(slope) => self.slope(here.file, node, &slope)?,
        };
        let span = self.span(here.file, node.at);
        let (start, end) = match node.ends {
            Ends::One(End::Start) => (true, false),
            Ends::One(End::End) => (false, true),
            Ends::Both => (true, true),
        };
        if start {
            self.put(&mut draft.start, shape, span, "shape of the start")?;
        }
        if end {
            self.put(&mut draft.end, shape, span, "shape of the end")?;
        }
        Some(())
    }

    fn slope(&mut self, file: usize, node: &EndNode, slope: &tree::Slope) -> Option<EndShape> {
        let rise = self.eval(file, slope.rise);
        let run = self.eval(file, slope.run)?;
        let ratio = super::value::binary(tree::Binary::Divide, &rise?, &run);
        let ratio = match ratio {
            Ok(Value::Number(ratio, dim)) if dim != super::value::Dim::Length => ratio,
            Ok(value) => {
                let help = "write both sides with a unit or both without: `slope 4 : 12`";
                self.wrong_kind("a slope, rise : run,", &value, file, node.at, help);
                return None;
            }
            Err(fault) => {
                self.fault(fault, file, node.at);
                return None;
            }
        };
        let small = |n: i128| if n.abs() <= limits::SLOPE { i32::try_from(n).ok() } else { None };
        let reduced = small(ratio.numerator()).zip(small(ratio.denominator()));
        match reduced {
            Some((0, _)) => Some(EndShape::Square),
            Some((rise, run)) if rise > 0 => {
                let rise = if slope.long == Some(Side::Right) { -rise } else { rise };
                Some(EndShape::Slope { rise, run })
            }
            _ => {
                let span = self.span(file, node.at);
                let message = if ratio < Rational::ZERO {
                    "a slope falls".to_string()
                } else {
                    format!("a slope of {ratio} is finer than a saw or a die is set")
                };
                self.say(
                    Diagnostic::new(&codes::E0257, message)
                        .at(span, "")
                        .note("rise and run are both nought or more; the long point says which way")
                        .help("write it like `slope 4 : 12 long point right`"),
                );
                None
            }
        }
    }

    /// Calls a recipe, or a group at a placement.
    pub(super) fn call(
        &mut self,
        draft: &mut Draft<'a>,
        here: Standpoint,
        call: &Call,
        group: Option<usize>,
    ) -> Option<()> {
        self.step(1, here.file, call.at)?;
        let name = self.names.words(here.file, call.name);
        // Unknown names, circles and wrong arguments were reported by the check of names.
        let id = self.names.first(here.file, name, Kind::Callable)?;
        let callable = *self.names.callables.get(id)?;
        let hopeless = self.hopeless.get(id).copied().unwrap_or(false);
        if hopeless || draft.calling.contains(&id) || callable.is_group != group.is_some() {
            return None;
        }
        if here.group.is_some() && !callable.is_group {
            return None;
        }
        let args = self.arguments(here.file, call, id)?;
        let parent = draft.levels.get(here.level)?;
        draft.levels.push(Level {
            parent: Some(here.level),
            depth: parent.depth + 1,
            said: Said::default(),
        });
        let level = draft.levels.len() - 1;
        draft.calling.push(id);
        let (base, known) = (self.base, self.locals.len());
        self.base = known;
        self.locals.extend(args);
        self.block(draft, Standpoint { file: callable.file, level, group }, &callable.node.body);
        self.locals.truncate(known);
        self.base = base;
        draft.calling.pop();
        Some(())
    }

    /// The parameters of a callable with what this call gives them.
    pub(super) fn arguments(
        &mut self,
        file: usize,
        call: &Call,
        id: usize,
    ) -> Option<Vec<(&'a str, Option<Value>)>> {
        let callable = *self.names.callables.get(id)?;
        let (args, params) = {
            let there = self.tree(callable.file)?;
            (self.tree(file)?.get(call.args), there.get(callable.node.params))
        };
        let words: Vec<&str> =
            params.iter().map(|p| self.names.words(callable.file, p.name)).collect();
        let bound = match_args(args, params, &words, |at| self.names.words(file, at)).ok()?;
        let mut values: Vec<(&'a str, Option<Value>)> = Vec::with_capacity(params.len());
        for (value, &word) in bound.iter().zip(&words) {
            let value = match value {
                Some(id) => Some(self.eval(file, *id)?),
                None => None,
            };
            values.push((word, value));
        }
        // Defaults may speak of the parameters before them, and of nothing of the caller's.
        let (base, known) = (self.base, self.locals.len());
        self.base = known;
        for (i, param) in params.iter().enumerate() {
            let given = values.get(i).is_some_and(|(_, value)| value.is_some());
            if let (false, Some(default)) = (given, param.default) {
                let value = self.eval(callable.file, default);
                if let Some(slot) = values.get_mut(i) {
                    slot.1 = value;
                }
            }
            if let Some(pair) = values.get(i) {
                self.locals.push(pair.clone());
            }
        }
        self.locals.truncate(known);
        self.base = base;
        values.iter().all(|(_, value)| value.is_some()).then_some(values)
    }

    fn feature(
        &mut self,
        draft: &mut Draft<'a>,
        here: Standpoint,
        node: &tree::Feature,
    ) -> Option<()> {
        let file = here.file;
        let tree = self.tree(file)?;
        let spots = self.spots(draft, here, &node.places);
        let kind = self.names.kind(self.names.words(file, node.kind))?;
        let feature = self.names.library.feature(kind)?;
        let faces = node.faces.map_or(feature.default_faces, |on| on.faces);
        let span = self.span(file, node.at);
        let stray = faces - feature.allowed;
        if !stray.is_empty() {
            let at = node.faces.map_or(node.kind, |on| on.at);
            let at = self.span(file, at);
            self.say(
                Diagnostic::new(
                    &codes::E0250,
                    format!("a {} cannot be on the {stray}", feature.name),
                )
                .at(at, "not this face")
                .note("the shop's library says on which faces a type can be made")
                .help(format!("it can be on the {}", feature.allowed)),
            );
            return None;
        }
        let size = match node.size {
            None => None,
            Some(size) => {
                let length = self.positive(file, size.length, "a size");
                let width = match size.width {
                    None => None,
                    Some(width) => Some(self.positive(file, width, "a size")?),
                };
                Some((length?, width))
            }
        };
        let from = draft.across.len();
        if node.across.is_empty() {
            draft.across.push(feature.across);
        }
        for &id in tree.get(node.across) {
            let value = self.eval(file, id)?;
            let at = tree.expr(id).at();
            match &value {
                Value::List(items) => {
                    self.step(items.len() as u64, file, at)?;
                    for item in items.iter() {
                        let across = self.length_of(item, file, at)?;
                        draft.across.push(across);
                    }
                }
                value => {
                    let across = self.length_of(value, file, at)?;
                    draft.across.push(across);
                }
            }
        }
        let tolerance = match tree.get(node.tolerance) {
            [] => None,
            [both] => {
                let both = self.tolerance(file, both)?;
                Some((both, both))
            }
            [from, to, ..] => {
                let from = self.tolerance(file, from);
                let to = self.tolerance(file, to)?;
                Some((from?, to))
            }
        };
        let across_tolerance = match tree.get(node.across_tolerance) {
            [] => None,
            [first, ..] => Some(self.tolerance(file, first)?),
        };
        draft.pending.push(Pending {
            kind,
            faces,
            size,
            size_span: node.size.map_or(span, |size| self.span(file, size.at)),
            across: Run { from, to: draft.across.len() },
            spots: spots?,
            tolerance,
            across_tolerance,
            level: here.level,
            group: here.group,
            span,
        });
        Some(())
    }

    /// Settles where along the member, as far as the length is not needed.
    fn spots(
        &mut self,
        draft: &mut Draft<'a>,
        here: Standpoint,
        places: &tree::Places,
    ) -> Option<Run> {
        let from = draft.spots.len();
        let all = self.span(here.file, places.at);
        match places.kind {
            PlacesKind::Ends(ends) => {
                if here.group.is_some() {
                    return None;
                }
                for end in [End::Start, End::End] {
                    if ends == Ends::Both || ends == Ends::One(end) {
                        let along = Along::End(end);
                        draft.spots.push(Spot { along, mirrored: false, span: all });
                    }
                }
            }
            PlacesKind::At(nodes) => {
                for node in self.tree(here.file)?.get(nodes) {
                    self.spot(draft, here, node, false)?;
                }
            }
            PlacesKind::Mirrored(nodes) => {
                if here.group.is_some() {
                    return None;
                }
                for node in self.tree(here.file)?.get(nodes) {
                    self.spot(draft, here, node, true)?;
                }
                let to = draft.spots.len();
                for i in from..to {
                    let Some(&spot) = draft.spots.get(i) else { continue };
                    draft.spots.push(Spot { mirrored: true, ..spot });
                }
            }
        }
        Some(Run { from, to: draft.spots.len() })
    }

    fn spot(
        &mut self,
        draft: &mut Draft<'a>,
        here: Standpoint,
        node: &SpotNode,
        inward: bool,
    ) -> Option<()> {
        let file = here.file;
        let tree = self.tree(file)?;
        // Inward from an end, or about a centre, there is no other datum.
        let plain = if inward {
            Some("after `both ends`, write how far in from each end, such as `both ends at 22`")
        } else if here.group.is_some() {
            Some("positions in a group are relative to its centre: write a plain length")
        } else {
            None
        };
        let (along, at) = match *node {
            SpotNode::One(id) => {
                let at = tree.expr(id).at();
                let value = self.eval(file, id)?;
                if let Value::List(items) = &value {
                    self.step(items.len() as u64, file, at)?;
                    let span = self.span(file, at);
                    for item in items.iter() {
                        let along = Along::One(self.position(item, file, at, plain)?);
                        draft.spots.push(Spot { along, mirrored: false, span });
                    }
                    return Some(());
                }
                (Along::One(self.position(&value, file, at, plain)?), at)
            }
            SpotNode::Range(from, to) => {
                let at = tree.expr(from).at().to(tree.expr(to).at());
                let from = self.place(file, from, plain);
                let to = self.place(file, to, plain)?;
                (Along::Range(from?, to), at)
            }
            SpotNode::Every { at, step, from, to } => {
                let step = self.positive(file, step, "the step of `every`");
                let from = self.place(file, from, plain);
                let to = self.place(file, to, plain)?;
                (Along::Every { step: step?, from: from?, to }, at)
            }
            SpotNode::Equal { at, most, from, to, round } => {
                let most = self.positive(file, most, "the space of `equal at most`");
                let from = self.place(file, from, plain);
                let to = self.place(file, to, plain)?;
                let round = match round {
                    None => None,
                    Some(id) => Some(self.positive(file, id, "the step of `round`")?),
                };
                (Along::Equal { most: most?, from: from?, to, round }, at)
            }
        };
        let span = self.span(file, at);
        draft.spots.push(Spot { along, mirrored: false, span });
        Some(())
    }

    fn place(&mut self, file: usize, id: tree::ExprId, plain: Option<&str>) -> Option<Position> {
        let value = self.eval(file, id)?;
        let at = self.tree(file)?.expr(id).at();
        self.position(&value, file, at, plain)
    }
    fn position(
        &mut self,
        value: &Value,
        file: usize,
        at: tree::At,
        plain: Option<&str>,
    ) -> Option<Position> {
        match (plain, value) {
            (Some(help), Value::Position(..)) => {
                self.wrong_kind("a plain length", value, file, at, help);
                None
            }
            (Some(_), _) => {
                Some(Position { datum: Datum::Start, offset: self.length_of(value, file, at)? })
            }
            (None, _) => self.position_of(value, file, at),
        }
    }
}
