//! Statements of every level.

use super::super::tree::*;
use super::super::words::frame_kind_word;
use super::Printer;
use crate::member::model::End;

impl Printer<'_> {
    pub(super) fn item(&mut self, item: &Item) {
        match item {
            Item::Job(job) => {
                self.put("job ");
                self.source(job.name);
                self.option(" ", job.title);
                self.option(" revision ", job.revision);
            }
            Item::Units(_, unit) => {
                self.put("units ");
                self.put(unit.word());
            }
            Item::Include(_, path) => {
                self.put("include ");
                self.source(*path);
            }
            Item::Profile(_, alias, profile) => {
                self.put("profile ");
                self.source(*alias);
                self.put(" = ");
                self.source(*profile);
            }
            Item::Setting(setting) => self.setting(setting),
            Item::Let(constant) => self.constant(constant),
            Item::Recipe(recipe) => self.recipe("recipe ", recipe),
            Item::Group(recipe) => self.recipe("group ", recipe),
            Item::Frame(frame) => self.frame(frame),
            Item::Waive(waive) => self.waive(waive),
            Item::Broken(at) => self.source(*at),
        }
    }

    fn option(&mut self, before: &str, at: Option<At>) {
        if let Some(at) = at {
            self.put(before);
            self.source(at);
        }
    }

    fn constant(&mut self, constant: &Let) {
        self.put("let ");
        self.source(constant.name);
        self.put(" = ");
        self.expr(constant.value);
    }

    fn setting(&mut self, setting: &Setting) {
        match setting.kind {
            SettingKind::Length(value) => {
                self.put("length ");
                self.expr(value);
            }
            SettingKind::Quantity(value) => {
                self.put("quantity ");
                self.expr(value);
            }
            SettingKind::Tolerance(tolerance) => {
                self.put("tolerance ");
                self.tolerance(tolerance);
            }
            SettingKind::LengthTolerance(tolerance) => {
                self.put("length-tolerance ");
                self.tolerance(tolerance);
            }
            SettingKind::Profile(name) => self.option("profile ", Some(name)),
            SettingKind::Turnable(yes) => self.put(if yes { "turnable" } else { "not turnable" }),
            SettingKind::MarkText(text) => self.option("mark-text ", Some(text)),
        }
    }

    fn settings(&mut self, settings: Slice<Setting>) {
        for setting in self.tree.get(settings) {
            self.put(" ");
            self.setting(setting);
        }
    }

    fn waive(&mut self, waive: &Waive) {
        self.option("waive ", Some(waive.rule));
        self.option(" frame ", waive.frame);
        self.option(" mark ", waive.mark);
        self.option(" reference ", Some(waive.reference));
        self.option(" by ", Some(waive.by));
    }

    fn recipe(&mut self, word: &str, recipe: &Recipe) {
        self.option(word, Some(recipe.name));
        self.put("(");
        self.commas(
            self.tree.get(recipe.params),
            |_, param| param.name,
            |p, param| {
                p.source(param.name);
                if let Some(default) = param.default {
                    p.put(" = ");
                    p.expr(default);
                }
            },
        );
        self.put(") ");
        self.body(recipe.body);
    }

    fn frame(&mut self, frame: &Frame) {
        self.option("frame ", Some(frame.name));
        self.put(" ");
        self.put(frame.kind.map_or("", frame_kind_word));
        self.option(" ", frame.title);
        self.settings(frame.settings);
        self.put(" ");
        self.block(frame.body, self.tree.get(frame.parts), |p, part| {
            p.line_of(part.at(), |p| match part {
                FramePart::Member(member) => p.member(member),
                FramePart::Let(constant) => p.constant(constant),
                FramePart::Setting(setting) => p.setting(setting),
                FramePart::Waive(waive) => p.waive(waive),
                FramePart::Broken(at) => p.source(*at),
            });
        });
    }

    fn member(&mut self, member: &Member) {
        self.put("member ");
        self.commas(
            self.tree.get(member.marks),
            |_, marks| marks.at,
            |p, marks| {
                p.source(marks.from);
                p.option("..", marks.to);
            },
        );
        for word in member.usage_at.text(self.text).split_ascii_whitespace() {
            self.put(" ");
            self.put(word);
        }
        self.settings(member.settings);
        if let Some(recipe) = member.recipe {
            self.put(" = ");
            self.call(recipe);
        }
        if let Some(body) = member.body {
            self.put(" ");
            self.body(body);
        }
    }

    fn body(&mut self, block: Block) {
        self.block(block.at, self.tree.get(block.statements), |p, statement| {
            p.line_of(statement.at(), |p| p.statement(statement));
        });
    }

    fn statement(&mut self, statement: &Statement) {
        match statement {
            Statement::Let(constant) => self.constant(constant),
            Statement::Setting(setting) => self.setting(setting),
            Statement::EndShape(shape) => self.end_shape(shape),
            Statement::Feature(feature) => self.feature(feature),
            Statement::Call(placed) => {
                self.call(placed.call);
                if let Some(places) = placed.places {
                    self.places(places, true);
                }
            }
            Statement::If(condition) => {
                for (i, branch) in self.tree.get(condition.branches).iter().enumerate() {
                    self.put(if i == 0 { "if " } else { " else if " });
                    self.expr(branch.condition);
                    self.put(" ");
                    self.body(branch.block);
                }
                if let Some(block) = condition.otherwise {
                    self.put(" else ");
                    self.body(block);
                }
            }
            Statement::For(repetition) => {
                self.option("for ", Some(repetition.name));
                self.put(" in ");
                self.expr(repetition.list);
                self.put(" ");
                self.body(repetition.block);
            }
            Statement::Broken(at) => self.source(*at),
        }
    }

    fn ends(&mut self, ends: Ends) {
        self.put(match ends {
            Ends::One(End::Start) => "start",
            Ends::One(End::End) => "end",
            Ends::Both => "both ends",
        });
    }

    fn end_shape(&mut self, shape: &EndShape) {
        self.ends(shape.ends);
        let Some(slope) = shape.slope else { return self.put(" square") };
        self.put(" slope ");
        self.expr(slope.rise);
        self.put(" : ");
        self.expr(slope.run);
        self.put(match slope.long {
            Some(Side::Left) => " long point left",
            Some(Side::Right) => " long point right",
            None => "",
        });
    }

    fn feature(&mut self, feature: &Feature) {
        self.source(feature.kind);
        if let Some(size) = feature.size {
            self.put(" ");
            self.expr(size.length);
            if let Some(width) = size.width {
                self.put(" x ");
                self.expr(width);
            }
        }
        if let Some(on) = feature.faces {
            self.put(" on ");
            self.put(&on.faces.to_string());
        }
        if !feature.across.is_empty() {
            self.put(" across ");
            self.exprs(feature.across);
        }
        let more = feature.size.is_some() || feature.faces.is_some() || !feature.across.is_empty();
        self.places(feature.places, more);
        for (i, tolerance) in self.tree.get(feature.tolerance).iter().enumerate() {
            self.put(if i == 0 { " tolerance " } else { " .. " });
            self.tolerance(*tolerance);
        }
        for tolerance in self.tree.get(feature.across_tolerance) {
            self.put(" across-tolerance ");
            self.tolerance(*tolerance);
        }
    }

    /// With a comma before `both ends` where more than a name stands before it.
    fn places(&mut self, places: Places, more: bool) {
        match places.kind {
            PlacesKind::At(spots) => {
                self.put(" at ");
                self.spots(spots);
            }
            PlacesKind::Mirrored(spots) => {
                self.put(if more { ", both ends at " } else { " both ends at " });
                self.spots(spots);
            }
            PlacesKind::Ends(ends) => {
                self.put(if more && ends == Ends::Both { ", " } else { " " });
                self.ends(ends);
            }
        }
    }

    fn spots(&mut self, spots: Slice<Spot>) {
        let place = |p: &Self, spot: Spot| match spot {
            Spot::One(at) | Spot::Range(at, _) => p.tree.expr(at).at(),
            Spot::Every { at, .. } | Spot::Equal { at, .. } => at,
        };
        self.commas(self.tree.get(spots), place, |p, spot| match spot {
            Spot::One(at) => p.expr(at),
            Spot::Range(from, to) => {
                p.expr(from);
                p.put(" .. ");
                p.expr(to);
            }
            Spot::Every { step, from, to, .. } => {
                p.put("every ");
                p.expr(step);
                p.bounds(from, to);
            }
            Spot::Equal { most, from, to, round, .. } => {
                p.put("equal at most ");
                p.expr(most);
                p.bounds(from, to);
                if let Some(round) = round {
                    p.put(" round ");
                    p.expr(round);
                }
            }
        });
    }

    fn bounds(&mut self, from: ExprId, to: ExprId) {
        self.put(" from ");
        self.expr(from);
        self.put(" to ");
        self.expr(to);
    }
}
