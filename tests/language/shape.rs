//! A tree as text without places: two trees that mean the same have the same shape.

use coilwright::language::Tree;
use coilwright::language::tree::*;
use std::fmt::Write;

pub fn shape(tree: &Tree, text: &str) -> String {
    let mut shape = Shape { tree, text, out: String::new() };
    tree.items.iter().for_each(|item| shape.item(item));
    for comment in &tree.comments {
        shape.line(format!("comment {}", comment.text(text)));
    }
    shape.out
}

struct Shape<'a> {
    tree: &'a Tree,
    text: &'a str,
    out: String,
}

impl Shape<'_> {
    fn line(&mut self, line: String) {
        writeln!(self.out, "{line}").unwrap();
    }
    fn t(&self, at: At) -> &str {
        at.text(self.text)
    }
    fn o(&self, at: Option<At>) -> String {
        at.map_or_else(|| "none".into(), |at| self.t(at).into())
    }
    fn item(&mut self, item: &Item) {
        match item {
            Item::Job(job) => {
                let line = format!(
                    "job {} {} {}",
                    self.t(job.name),
                    self.o(job.title),
                    self.o(job.revision)
                );
                self.line(line);
            }
            Item::Units(_, unit) => self.line(format!("units {unit:?}")),
            Item::Include(_, path) => self.line(format!("include {}", self.t(*path))),
            Item::Profile(_, alias, name) => {
                self.line(format!("profile {} = {}", self.t(*alias), self.t(*name)));
            }
            Item::Setting(setting) => self.setting(setting),
            Item::Let(constant) => self.constant(constant),
            Item::Recipe(recipe) => self.recipe("recipe", recipe),
            Item::Group(recipe) => self.recipe("group", recipe),
            Item::Frame(frame) => {
                let line = format!(
                    "frame {} {:?} {}",
                    self.t(frame.name),
                    frame.kind,
                    self.o(frame.title)
                );
                self.line(line);
                self.tree.get(frame.settings).iter().for_each(|s| self.setting(s));
                self.line("{".into());
                for part in self.tree.get(frame.parts) {
                    match part {
                        FramePart::Member(member) => self.member(member),
                        FramePart::Let(constant) => self.constant(constant),
                        FramePart::Setting(setting) => self.setting(setting),
                        FramePart::Waive(waive) => self.waive(waive),
                        FramePart::Broken(_) => panic!("broken"),
                    }
                }
                self.line("}".into());
            }
            Item::Waive(waive) => self.waive(waive),
            Item::Broken(_) => panic!("broken"),
        }
    }
    fn waive(&mut self, w: &Waive) {
        let line = format!(
            "waive {} {} {} {} {}",
            self.t(w.rule),
            self.o(w.frame),
            self.o(w.mark),
            self.t(w.reference),
            self.t(w.by)
        );
        self.line(line);
    }
    fn constant(&mut self, constant: &Let) {
        let line = format!("let {} {}", self.t(constant.name), self.e(constant.value));
        self.line(line);
    }
    fn setting(&mut self, setting: &Setting) {
        let line = match setting.kind {
            SettingKind::Length(e) => format!("length {}", self.e(e)),
            SettingKind::Tolerance(t) => format!("tolerance {}", self.tolerance(t)),
            SettingKind::LengthTolerance(t) => format!("length-tolerance {}", self.tolerance(t)),
            SettingKind::Profile(at) => format!("profile {}", self.t(at)),
            SettingKind::Quantity(e) => format!("quantity {}", self.e(e)),
            SettingKind::Turnable(yes) => format!("turnable {yes}"),
            SettingKind::MarkText(at) => format!("mark-text {}", self.t(at)),
        };
        self.line(line);
    }
    fn tolerance(&self, t: Tolerance) -> String {
        format!("{}/{:?}", self.e(t.minus), t.plus.map(|plus| self.e(plus)))
    }
    fn recipe(&mut self, word: &str, recipe: &Recipe) {
        let line = format!("{word} {}", self.t(recipe.name));
        self.line(line);
        for param in self.tree.get(recipe.params) {
            let line =
                format!("param {} {:?}", self.t(param.name), param.default.map(|d| self.e(d)));
            self.line(line);
        }
        self.block(recipe.body);
    }
    fn member(&mut self, member: &Member) {
        let marks: Vec<String> = self
            .tree
            .get(member.marks)
            .iter()
            .map(|m| format!("{}..{}", self.t(m.from), self.o(m.to)))
            .collect();
        self.line(format!("member {marks:?} {:?}", member.usage.unwrap()));
        self.tree.get(member.settings).iter().for_each(|s| self.setting(s));
        if let Some(recipe) = member.recipe {
            let line = format!("= {}", self.call(recipe));
            self.line(line);
        }
        if let Some(body) = member.body {
            self.block(body);
        }
    }
    fn block(&mut self, block: Block) {
        self.line("{".into());
        for statement in self.tree.get(block.statements) {
            self.statement(statement);
        }
        self.line("}".into());
    }
    fn statement(&mut self, statement: &Statement) {
        match statement {
            Statement::Let(constant) => self.constant(constant),
            Statement::Setting(setting) => self.setting(setting),
            Statement::If(condition) => {
                for branch in self.tree.get(condition.branches) {
                    let line = format!("if {}", self.e(branch.condition));
                    self.line(line);
                    self.block(branch.block);
                }
                if let Some(block) = condition.otherwise {
                    self.line("else".into());
                    self.block(block);
                }
            }
            Statement::For(f) => {
                let line = format!("for {} {}", self.t(f.name), self.e(f.list));
                self.line(line);
                self.block(f.block);
            }
            Statement::EndShape(shape) => {
                let slope = shape.slope.map(|s| (self.e(s.rise), self.e(s.run), s.long));
                self.line(format!("{:?} {slope:?}", shape.ends));
            }
            Statement::Feature(f) => {
                let size = f.size.map(|s| (self.e(s.length), s.width.map(|w| self.e(w))));
                let faces = f.faces.map(|on| on.faces);
                let across: Vec<String> =
                    self.tree.get(f.across).iter().map(|&id| self.e(id)).collect();
                let tolerances = |slice| {
                    let each = self.tree.get(slice).iter().map(|&t| self.tolerance(t));
                    each.collect::<Vec<String>>()
                };
                let line = format!(
                    "feature {} {size:?} {faces:?} {across:?} {} {:?} {:?}",
                    self.t(f.kind),
                    self.places(f.places),
                    tolerances(f.tolerance),
                    tolerances(f.across_tolerance)
                );
                self.line(line);
            }
            Statement::Call(placed) => {
                let places = placed.places.map(|places| self.places(places));
                self.line(format!("call {} {places:?}", self.call(placed.call)));
            }
            Statement::Broken(_) => panic!("broken"),
        }
    }
    fn places(&self, places: Places) -> String {
        let spots = |slice| {
            let each = self.tree.get(slice).iter().map(|&spot| match spot {
                Spot::One(at) => self.e(at),
                Spot::Range(from, to) => format!("{} .. {}", self.e(from), self.e(to)),
                Spot::Every { step, from, to, .. } => {
                    format!("every {} {} {}", self.e(step), self.e(from), self.e(to))
                }
                Spot::Equal { most, from, to, round, .. } => format!(
                    "equal {} {} {} {:?}",
                    self.e(most),
                    self.e(from),
                    self.e(to),
                    round.map(|r| self.e(r))
                ),
            });
            each.collect::<Vec<String>>().join(", ")
        };
        match places.kind {
            PlacesKind::At(list) => format!("at {}", spots(list)),
            PlacesKind::Mirrored(list) => format!("mirrored {}", spots(list)),
            PlacesKind::Ends(ends) => format!("{ends:?}"),
        }
    }
    fn call(&self, call: Call) -> String {
        let args: Vec<String> = self
            .tree
            .get(call.args)
            .iter()
            .map(|arg| format!("{}={}", self.o(arg.name), self.e(arg.value)))
            .collect();
        format!("{}{args:?}", self.t(call.name))
    }
    fn e(&self, id: ExprId) -> String {
        match self.tree.expr(id) {
            Expr::Number(n) => format!("{}/{}{:?}", n.numerator, n.denominator, n.unit),
            Expr::Name(at) => self.t(at).into(),
            Expr::Datum(_, datum) => format!("{datum:?}"),
            Expr::Flag(_, flag) => format!("{flag}"),
            Expr::Unary { op, operand, .. } => format!("<{op:?} {}>", self.e(operand)),
            Expr::Binary { op, left, right, .. } => {
                format!("<{} {op:?} {}>", self.e(left), self.e(right))
            }
            Expr::Paren { inner, .. } => format!("({})", self.e(inner)),
            Expr::Call(call) => self.call(call),
            Expr::List { items, .. } => {
                let items: Vec<String> =
                    self.tree.get(items).iter().map(|&id| self.e(id)).collect();
                format!("{items:?}")
            }
            Expr::Missing(_) => panic!("missing"),
        }
    }
}
