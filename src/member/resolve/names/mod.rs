//! Every name that is used leads somewhere: checked for all the text, made into a member or not.
//!
//! What is said here is not said again while members are made: there, an unknown name is
//! something already reported.

mod circles;
mod unused;

use super::args::match_args;
use super::findings::Findings;
use super::limits;
use super::scope::{Found, Kind, Names};
use super::value;
use crate::diagnostic::codes::resolve as codes;
use crate::diagnostic::{Code, Diagnostic, closest};
use crate::language::tree::{
    At, Block, Call, Expr, ExprId, Feature, Frame, FramePart, Item, Let, Member, Placed, Places,
    PlacesKind, Recipe, Setting, SettingKind, Slice, Spot, Statement, Tolerance, Tree,
};
use crate::quantity::Span;

/// Where a piece of text stands: what may be said there differs.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Place {
    Outside,
    Recipe,
    Group,
}

struct Local<'a> {
    name: &'a str,
    at: At,
    used: bool,
}

struct Walk<'w, 'a> {
    names: &'w Names<'a>,
    findings: &'w mut Findings,
    file: usize,
    tree: &'a Tree,
    text: &'a str,
    place: Place,
    locals: Vec<Local<'a>>,
    depth: u32,
    used_lets: Vec<bool>,
    used_callables: Vec<bool>,
    used_aliases: Vec<bool>,
    /// Which recipe or group calls which, and where.
    edges: Vec<Vec<(usize, Span)>>,
    inside: Option<usize>,
    /// Groups that say what a group cannot: placing them would only tell so again.
    spoiled: Vec<bool>,
    /// Recipes and groups are met in the order they were gathered.
    next_callable: usize,
}

/// Checks every name of every file, and says what is defined in listed files and never used.
/// Tells of each recipe and group whether it is not worth calling.
pub(super) fn check(names: &Names<'_>, findings: &mut Findings) -> Vec<bool> {
    let Some(first) = names.files.first() else { return Vec::new() };
    let mut walk = Walk {
        names,
        findings,
        file: 0,
        tree: &first.tree,
        text: &first.text,
        place: Place::Outside,
        locals: Vec::new(),
        depth: 0,
        used_lets: vec![false; names.lets.len()],
        used_callables: vec![false; names.callables.len()],
        used_aliases: vec![false; names.aliases.len()],
        edges: vec![Vec::new(); names.callables.len()],
        inside: None,
        spoiled: vec![false; names.callables.len()],
        next_callable: 0,
    };
    for (index, file) in names.files.iter().enumerate() {
        walk.file = index;
        walk.tree = &file.tree;
        walk.text = &file.text;
        for item in &file.tree.items {
            walk.item(item);
        }
    }
    walk.report_circles();
    walk.report_unused();
    walk.spoiled
}

impl<'a> Walk<'_, 'a> {
    fn span(&self, at: At) -> Span {
        at.span(self.tree.file)
    }
    fn words(&self, at: At) -> &'a str {
        at.words(self.text)
    }
    /// Whether everything that could define a name outside members could be read: if not, an
    /// unknown one is no news.
    fn complete(&self) -> bool {
        self.names.files.get(self.file).is_some_and(|f| f.complete)
    }
    fn unknown(&mut self, code: &'static Code, at: At, near: Option<&str>, otherwise: &str) {
        let name = self.words(at);
        if name.is_empty() {
            return;
        }
        let what = match code.number {
            "E0201" => "constant or parameter",
            "E0202" => "recipe or group",
            "E0203" => "feature type",
            _ => "function",
        };
        let help = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => otherwise.to_string(),
        };
        self.findings.say(
            Diagnostic::new(code, format!("there is no {what} `{name}`"))
                .at(self.span(at), "unknown")
                .help(help),
        );
    }

    fn item(&mut self, item: &'a Item) {
        self.place = Place::Outside;
        self.locals.clear();
        match item {
            Item::Let(node) => self.expr(node.value),
            Item::Setting(node) => self.setting(node),
            Item::Recipe(node) => self.recipe(node, Place::Recipe),
            Item::Group(node) => self.recipe(node, Place::Group),
            Item::Frame(node) => self.frame(node),
            Item::Job(_)
            | Item::Units(..)
            | Item::Include(..)
            | Item::Profile(..)
            | Item::Waive(_)
            | Item::Broken(_) => {}
        }
    }

    fn recipe(&mut self, node: &'a Recipe, place: Place) {
        self.place = place;
        self.inside = Some(self.next_callable);
        self.next_callable += 1;
        for param in self.tree.get(node.params) {
            if let Some(default) = param.default {
                self.expr(default);
            }
            self.define(param.name);
        }
        self.block(&node.body);
        self.leave(0);
        self.inside = None;
    }

    fn frame(&mut self, node: &'a Frame) {
        for setting in self.tree.get(node.settings) {
            self.setting(setting);
        }
        for part in self.tree.get(node.parts) {
            match part {
                FramePart::Let(node) => self.bind(node),
                FramePart::Setting(node) => self.setting(node),
                FramePart::Member(node) => self.member(node),
                FramePart::Waive(_) | FramePart::Broken(_) => {}
            }
        }
        self.leave(0);
    }

    fn member(&mut self, node: &'a Member) {
        for setting in self.tree.get(node.settings) {
            self.setting(setting);
        }
        if let Some(call) = &node.recipe {
            self.call(call, false);
        }
        if let Some(body) = &node.body {
            self.block(body);
        }
    }

    /// A name known from here on.
    fn define(&mut self, at: At) {
        let name = self.words(at);
        if name.is_empty() {
            return;
        }
        if let Some(before) = self.locals.iter().find(|local| local.name == name) {
            self.findings.say(
                Diagnostic::new(&codes::E0207, format!("`{name}` is defined twice"))
                    .at(at.span(self.tree.file), "again here")
                    .at(before.at.span(self.tree.file), "first here")
                    .help("give one of them another name"),
            );
        }
        if self.locals.len() >= limits::LOCALS {
            self.findings.say(
                Diagnostic::new(
                    &codes::E0213,
                    format!("more than {} names known at one place", limits::LOCALS),
                )
                .at(at.span(self.tree.file), "one too many")
                .help("keep constants at the outer level of the file, or use a list"),
            );
            return;
        }
        self.locals.push(Local { name, at, used: false });
    }
    fn bind(&mut self, node: &'a Let) {
        self.expr(node.value);
        self.define(node.name);
    }
    /// Forgets the names from `from` on, and says which were never used.
    fn leave(&mut self, from: usize) {
        let listed = self.names.files.get(self.file).is_some_and(|f| f.listed && !f.tree.broken);
        while self.locals.len() > from {
            let Some(local) = self.locals.pop() else { break };
            if !local.used && listed {
                self.unused_name(local.name, self.span(local.at));
            }
        }
    }
    fn unused_name(&mut self, name: &str, span: Span) {
        self.findings.say(
            Diagnostic::new(&codes::W0271, format!("`{name}` is never used"))
                .at(span, "defined here")
                .help("use it or take it out"),
        );
    }

    fn block(&mut self, block: &'a Block) {
        if self.depth >= limits::DEPTH {
            self.too_deep(block.at);
            return;
        }
        self.depth += 1;
        let from = self.locals.len();
        for statement in self.tree.get(block.statements) {
            self.statement(statement);
        }
        self.leave(from);
        self.depth -= 1;
    }
    fn too_deep(&mut self, at: At) {
        self.findings.say(
            Diagnostic::new(
                &codes::E0213,
                format!("more than {} blocks or brackets within each other", limits::DEPTH),
            )
            .at(self.span(at), "too deep")
            .help("name parts of it with `let`, or make a recipe of the inner blocks"),
        );
    }

    fn statement(&mut self, statement: &'a Statement) {
        match statement {
            Statement::Let(node) => self.bind(node),
            Statement::If(node) => {
                for branch in self.tree.get(node.branches) {
                    self.expr(branch.condition);
                    self.block(&branch.block);
                }
                if let Some(block) = &node.otherwise {
                    self.block(block);
                }
            }
            Statement::For(node) => {
                self.expr(node.list);
                let from = self.locals.len();
                self.define(node.name);
                self.block(&node.block);
                self.leave(from);
            }
            Statement::Setting(node) => self.setting(node),
            Statement::EndShape(node) => {
                if self.place == Place::Group {
                    self.not_in_group(node.at, "shapes of ends belong to a member or a recipe");
                }
                if let Some(slope) = node.slope {
                    self.expr(slope.rise);
                    self.expr(slope.run);
                }
            }
            Statement::Feature(node) => self.feature(node),
            Statement::Call(node) => self.placed(node),
            Statement::Broken(_) => {}
        }
    }

    fn feature(&mut self, node: &'a Feature) {
        // `service hole`: the second word was read as a size, and is no name to look for.
        if let Some(joined) = self.torn_name(node) {
            let (first, all) = (self.words(node.kind), self.words(node.kind.to(joined.1)));
            self.findings.say(
                Diagnostic::new(&codes::E0203, format!("there is no feature type `{first}`"))
                    .at(self.span(node.kind.to(joined.1)), "two words")
                    .help(format!("write `{}`, in one word, for `{all}`", joined.0)),
            );
            return self.rest_of_feature(node);
        }
        if self.names.kind(self.words(node.kind)).is_none() {
            let near = closest(self.words(node.kind), self.names.kind_names());
            let known: Vec<String> =
                self.names.kind_names().take(12).map(|n| format!("`{n}`")).collect();
            let help = if known.is_empty() {
                "the shop's library has no feature types yet; add some, or `shipped` ones"
                    .to_string()
            } else {
                format!("the shop's library has {}", known.join(", "))
            };
            self.unknown(&codes::E0203, node.kind, near, &help);
        }
        if let Some(size) = node.size {
            self.expr(size.length);
            if let Some(width) = size.width {
                self.expr(width);
            }
        }
        self.rest_of_feature(node);
    }

    /// The type that an unknown one is with the name after it, if there is one; and that name.
    fn torn_name(&self, node: &Feature) -> Option<(&'a str, At)> {
        if self.names.kind(self.words(node.kind)).is_some() {
            return None;
        }
        let size = node.size.filter(|size| size.width.is_none())?;
        let Expr::Name(second) = self.tree.expr(size.length) else { return None };
        let joined = format!("{}-{}", self.words(node.kind), self.words(second));
        Some((closest(&joined, self.names.kind_names())?, second))
    }

    fn rest_of_feature(&mut self, node: &'a Feature) {
        for &across in self.tree.get(node.across) {
            self.expr(across);
        }
        self.places(&node.places);
        self.tolerances(node.tolerance);
        self.tolerances(node.across_tolerance);
    }

    fn places(&mut self, places: &'a Places) {
        if self.place == Place::Group && !matches!(places.kind, PlacesKind::At(_)) {
            self.not_in_group(
                places.at,
                "write positions relative to the group's centre, such as `at -20, 20`, and say \
                 `both ends` where the group is placed",
            );
        }
        let (PlacesKind::At(spots) | PlacesKind::Mirrored(spots)) = places.kind else { return };
        for spot in self.tree.get(spots) {
            match *spot {
                Spot::One(at) => self.expr(at),
                Spot::Range(from, to) => {
                    self.expr(from);
                    self.expr(to);
                }
                Spot::Every { step, from, to, .. } => {
                    self.expr(step);
                    self.expr(from);
                    self.expr(to);
                }
                Spot::Equal { most, from, to, round, .. } => {
                    self.expr(most);
                    self.expr(from);
                    self.expr(to);
                    if let Some(round) = round {
                        self.expr(round);
                    }
                }
            }
        }
    }

    fn tolerances(&mut self, tolerances: Slice<Tolerance>) {
        for tolerance in self.tree.get(tolerances) {
            self.tolerance(tolerance);
        }
    }
    fn tolerance(&mut self, tolerance: &Tolerance) {
        self.expr(tolerance.minus);
        if let Some(plus) = tolerance.plus {
            self.expr(plus);
        }
    }

    fn not_in_group(&mut self, at: At, help: &str) {
        if let Some(spoiled) = self.inside.and_then(|id| self.spoiled.get_mut(id)) {
            *spoiled = true;
        }
        self.findings.say(
            Diagnostic::new(&codes::E0214, "this cannot be said in a group")
                .at(self.span(at), "not about the group's centre")
                .note("a group is a pattern of features about a centre, placed on many members")
                .help(help),
        );
    }

    fn setting(&mut self, setting: &'a Setting) {
        let tolerance = matches!(setting.kind, SettingKind::Tolerance(_));
        if self.place == Place::Group && !tolerance {
            self.not_in_group(setting.at, "say it in the member or in a recipe");
        }
        match setting.kind {
            SettingKind::Length(id) | SettingKind::Quantity(id) => self.expr(id),
            SettingKind::Tolerance(t) | SettingKind::LengthTolerance(t) => self.tolerance(&t),
            SettingKind::Profile(at) => self.profile(at),
            SettingKind::Turnable(_) | SettingKind::MarkText(_) => {}
        }
    }

    fn profile(&mut self, at: At) {
        let name = self.words(at);
        match self.names.find(self.file, name, Kind::Alias) {
            Found::One(id) => {
                if let Some(used) = self.used_aliases.get_mut(id) {
                    *used = true;
                }
            }
            Found::Two(a, b) => self.ambiguous(at, Kind::Alias, a, b),
            Found::Nothing if self.names.is_profile(name) || name.is_empty() => {}
            Found::Nothing if !self.complete() => {}
            Found::Nothing => self.findings.say(self.names.no_profile(self.file, at, true)),
        }
    }

    fn ambiguous(&mut self, at: At, kind: Kind, a: usize, b: usize) {
        let mut diagnostic =
            Diagnostic::new(&codes::E0208, format!("`{}` means two things here", self.words(at)))
                .at(self.span(at), "which one?")
                .note("two of the included files define it")
                .help("rename one of them, or include only one of the two files");
        for (id, text) in [(a, "one"), (b, "the other")] {
            if let Some(span) = self.names.place(kind, id) {
                diagnostic = diagnostic.at(span, text);
            }
        }
        self.findings.say(diagnostic);
    }

    fn placed(&mut self, node: &'a Placed) {
        self.call(&node.call, true);
        if let Some(places) = &node.places {
            self.places(places);
        }
        let Some(id) = self.names.first(self.file, self.words(node.call.name), Kind::Callable)
        else {
            return;
        };
        let Some(callable) = self.names.callables.get(id) else { return };
        let name = self.words(node.call.name);
        let span = self.span(node.call.at);
        let diagnostic = match (callable.is_group, node.places) {
            (true, None) => Diagnostic::new(
                &codes::E0212,
                format!("`{name}` is a group: it needs a place for its centre"),
            )
            .at(span, "where?")
            .help(format!("write where it goes, such as `{name}(…) at 300, end - 300`")),
            (false, Some(places)) => Diagnostic::new(
                &codes::E0212,
                format!("`{name}` is a recipe: it speaks of the whole member"),
            )
            .at(self.span(places.at), "a recipe has no place")
            .help("take the places out, or make it a group, with positions about its centre"),
            (false, None) if self.place == Place::Group => Diagnostic::new(
                &codes::E0212,
                format!("`{name}` is a recipe and cannot be part of a group"),
            )
            .at(span, "speaks of the whole member")
            .help("call it in the member, or make it a group"),
            _ => return,
        };
        self.findings.say(diagnostic);
    }

    /// A recipe or group is called; `anywhere` if groups may stand there too.
    fn call(&mut self, call: &'a Call, anywhere: bool) {
        let args = self.tree.get(call.args);
        for arg in args {
            self.expr(arg.value);
        }
        let name = self.words(call.name);
        let id = match self.names.find(self.file, name, Kind::Callable) {
            Found::One(id) => id,
            Found::Two(a, b) => {
                self.ambiguous(call.name, Kind::Callable, a, b);
                return;
            }
            Found::Nothing => {
                let near = closest(name, self.names.seen(self.file, Kind::Callable));
                let help = "define it with `recipe`, or include the file that does";
                if self.complete() {
                    self.unknown(&codes::E0202, call.name, near, help);
                }
                return;
            }
        };
        if let Some(used) = self.used_callables.get_mut(id) {
            // A recipe that is called by itself alone is not used.
            *used |= self.inside != Some(id);
        }
        let span = self.span(call.at);
        if let Some(edges) = self.inside.and_then(|from| self.edges.get_mut(from)) {
            edges.push((id, span));
        }
        let Some(callable) = self.names.callables.get(id) else { return };
        if callable.is_group && !anywhere {
            self.findings.say(
                Diagnostic::new(
                    &codes::E0212,
                    format!("`{name}` is a group: it does not make a member"),
                )
                .at(span, "not a recipe")
                .help(format!("place it in the member's body: `{{ {name}(…) at 300 }}`")),
            );
        }
        let Some(file) = self.names.files.get(callable.file) else { return };
        let params = file.tree.get(callable.node.params);
        let words: Vec<&str> = params.iter().map(|p| file.words(p.name)).collect();
        if let Err((at, message)) = match_args(args, params, &words, |at| self.words(at)) {
            let takes = if words.is_empty() {
                format!("`{name}()` takes none")
            } else {
                format!("write `{name}({})`", words.join(", "))
            };
            self.findings.say(
                Diagnostic::new(&codes::E0210, message.replace("{}", name))
                    .at(self.span(at.unwrap_or(call.at)), "")
                    .at(file.span(callable.node.name), "defined here")
                    .help(takes),
            );
        }
    }

    fn expr(&mut self, id: ExprId) {
        let expr = self.tree.expr(id);
        if self.depth >= limits::DEPTH {
            self.too_deep(expr.at());
            return;
        }
        self.depth += 1;
        match expr {
            Expr::Number(_) | Expr::Flag(..) | Expr::Missing(_) => {}
            Expr::Name(at) => self.name(at),
            Expr::Datum(at, _) => {
                if self.place == Place::Group {
                    self.not_in_group(at, "positions in a group are relative to its centre");
                }
            }
            Expr::Unary { operand, .. } => self.expr(operand),
            Expr::Binary { left, right, .. } => {
                self.expr(left);
                self.expr(right);
            }
            Expr::Paren { inner, .. } => self.expr(inner),
            Expr::Call(call) => self.function(call),
            Expr::List { items, .. } => {
                for &item in self.tree.get(items) {
                    self.expr(item);
                }
            }
        }
        self.depth -= 1;
    }

    fn function(&mut self, call: Call) {
        for arg in self.tree.get(call.args) {
            self.expr(arg.value);
            if let Some(at) = arg.name {
                self.findings.say(
                    Diagnostic::new(&codes::E0210, "a function's values have no names")
                        .at(self.span(at), "")
                        .help("give them in order: `round(height / 3, 0.5)`"),
                );
            }
        }
        let name = self.words(call.name);
        if value::FUNCTIONS.contains(&name) {
            return;
        }
        let near = closest(name, value::FUNCTIONS);
        let help = format!("there are {}", value::FUNCTIONS.map(|n| format!("`{n}`")).join(", "));
        self.unknown(&codes::E0204, call.name, near, &help);
    }

    fn name(&mut self, at: At) {
        let name = self.words(at);
        if let Some(local) = self.locals.iter_mut().rev().find(|local| local.name == name) {
            local.used = true;
            return;
        }
        match self.names.find(self.file, name, Kind::Let) {
            Found::One(id) => {
                if let Some(used) = self.used_lets.get_mut(id) {
                    *used = true;
                }
                let Some(&(file, node)) = self.names.lets.get(id) else { return };
                if file == self.file && node.at.end > at.start {
                    self.findings.say(
                        Diagnostic::new(
                            &codes::E0206,
                            format!("`{name}` is used above the line that says what it is"),
                        )
                        .at(self.span(at), "used here")
                        .at(self.span(node.name), "defined here")
                        .help(format!("move `let {name} = …` up")),
                    );
                }
            }
            Found::Two(a, b) => self.ambiguous(at, Kind::Let, a, b),
            Found::Nothing => {
                let mut seen = self.names.seen(self.file, Kind::Let);
                seen.extend(self.locals.iter().map(|local| local.name));
                let near = closest(name, seen);
                let help = match self.names.first(self.file, name, Kind::Callable) {
                    Some(_) => "a recipe or group is called on a line of its own: `name(…)`",
                    None => "define it with `let`, or make it a parameter of the recipe",
                };
                if self.complete() && !self.tree.broken {
                    self.unknown(&codes::E0201, at, near, help);
                }
            }
        }
    }
}
