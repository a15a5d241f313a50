//! From expressions to values, lengths and counts; every error at its place, once.

use super::findings::Findings;
use super::limits;
use super::scope::{Kind, Names};
use super::value::{self, Dim, Fault, Outcome, Value, as_millimetres, shown};
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::language::tree::{self, At, Binary, Expr, ExprId, Unary, Unit};
use crate::member::model::{Datum, Position};
use crate::quantity::{Length, Rational, Span, Tolerance};

/// What is being made, for findings in a recipe that many members share.
#[derive(Clone, Copy)]
pub(super) struct Subject<'a> {
    pub(super) file: usize,
    pub(super) node: &'a tree::Member,
}

/// The state of making members: names, what they stand for now, and how much may still be done.
pub(super) struct Resolver<'n, 'a> {
    pub(super) names: &'n Names<'a>,
    pub(super) findings: Findings,
    /// By index of [`Names::lets`]; `None` where its value could not be found.
    pub(super) let_values: Vec<Option<Value>>,
    /// Names known here, innermost last, with what they stand for.
    pub(super) locals: Vec<(&'a str, Option<Value>)>,
    /// First of the locals that can be seen.
    pub(super) base: usize,
    pub(super) depth: u32,
    /// Steps left for this member, and for all.
    pub(super) steps: u64,
    pub(super) all_steps: u64,
    /// Whether they ran out, in this member.
    pub(super) spent: bool,
    pub(super) subject: Option<Subject<'a>>,
    /// Of each recipe and group, whether it is not worth calling: what is wrong is told.
    pub(super) hopeless: Vec<bool>,
}

impl<'n, 'a> Resolver<'n, 'a> {
    pub(super) fn new(names: &'n Names<'a>, findings: Findings) -> Resolver<'n, 'a> {
        Resolver {
            names,
            findings,
            let_values: Vec::new(),
            locals: Vec::new(),
            base: 0,
            depth: 0,
            steps: limits::STEPS_OF_A_MEMBER,
            all_steps: limits::STEPS,
            spent: false,
            subject: None,
            hopeless: Vec::new(),
        }
    }

    /// Evaluates the constants of all files, in order.
    pub(super) fn evaluate_lets(&mut self) {
        for i in 0..self.names.lets.len() {
            let Some(&(file, node)) = self.names.lets.get(i) else { continue };
            self.begin(None);
            let value = self.eval(file, node.value);
            self.let_values.push(value);
        }
    }
    /// Begins something with steps of its own.
    pub(super) fn begin(&mut self, subject: Option<Subject<'a>>) {
        self.subject = subject;
        self.depth = 0;
        self.steps = limits::STEPS_OF_A_MEMBER;
        self.spent = self.all_steps == 0;
    }

    pub(super) fn span(&self, file: usize, at: At) -> Span {
        self.names.span(file, at)
    }
    pub(super) fn tree(&self, file: usize) -> Option<&'a tree::Tree> {
        Some(&self.names.files.get(file)?.tree)
    }

    /// Reports a finding; where it stands in a recipe, with the member it was met in.
    pub(super) fn say(&mut self, diagnostic: Diagnostic) {
        let mut diagnostic = diagnostic;
        if let (Some(subject), Some(span)) = (self.subject, diagnostic.span()) {
            let whole = self.span(subject.file, subject.node.at);
            let inside =
                span.file == whole.file && whole.start <= span.start && span.end <= whole.end;
            if !inside {
                let text = format!("met while making {}", self.subject_words());
                diagnostic = diagnostic.at(self.subject_span(whole), text);
            }
        }
        self.findings.say(diagnostic);
    }

    /// The marks of the member being made, for people.
    pub(super) fn subject_words(&self) -> String {
        let words = self.subject.and_then(|subject| {
            let marks = self.tree(subject.file)?.get(subject.node.marks);
            let first = self.names.words(subject.file, marks.first()?.at);
            Some(match marks.len() {
                1 => format!("member {first}"),
                _ => format!("member {first} and others"),
            })
        });
        words.unwrap_or_else(|| "this".to_string())
    }
    /// Where they are written.
    pub(super) fn subject_span(&self, otherwise: Span) -> Span {
        let span = self.subject.and_then(|subject| {
            let marks = self.tree(subject.file)?.get(subject.node.marks);
            let (first, last) = (marks.first()?, marks.last()?);
            Some(self.span(subject.file, first.at.to(last.at)))
        });
        span.unwrap_or(otherwise)
    }

    /// Takes steps; `None` once too many were taken.
    pub(super) fn step(&mut self, count: u64, file: usize, at: At) -> Option<()> {
        if self.spent {
            return None;
        }
        self.steps = self.steps.saturating_sub(count);
        self.all_steps = self.all_steps.saturating_sub(count);
        if self.steps > 0 && self.all_steps > 0 {
            return Some(());
        }
        let span = self.span(file, at);
        self.tick(0, span)
    }
    /// Takes steps; `None` once too many were taken.
    pub(super) fn tick(&mut self, count: u64, span: Span) -> Option<()> {
        if self.spent {
            return None;
        }
        self.steps = self.steps.saturating_sub(count);
        self.all_steps = self.all_steps.saturating_sub(count);
        if self.steps > 0 && self.all_steps > 0 {
            return Some(());
        }
        self.spent = true;
        let message = if self.all_steps == 0 {
            format!("these jobs ask for more than {} steps of reckoning", limits::STEPS)
        } else {
            format!("more than {} steps of reckoning for one member", limits::STEPS_OF_A_MEMBER)
        };
        self.too_much_at(message, span);
        None
    }
    pub(super) fn too_much(&mut self, message: String, file: usize, at: At) {
        let span = self.span(file, at);
        self.too_much_at(message, span);
    }
    fn too_much_at(&mut self, message: String, span: Span) {
        self.say(
            Diagnostic::new(&codes::E0213, message)
                .at(span, "too much here")
                .note("recipes that call recipes, or lists of lists, multiply quickly")
                .help("check the counts; a member has tens of features, not thousands"),
        );
    }

    pub(super) fn fault(&mut self, fault: Fault, file: usize, at: At) {
        let span = self.span(file, at);
        let diagnostic = match fault {
            Fault::TooLarge => {
                Diagnostic::new(&codes::E0222, "this number is too large, or too fine, to hold")
                    .at(span, "does not fit")
                    .note("numbers are kept exact, with up to 38 digits")
                    .help("round on the way: `round(x, 0.001)`")
            }
            Fault::ByNought => Diagnostic::new(&codes::E0221, "division by nought")
                .at(span, "divides by 0")
                .help("ask first: `if n > 0 { … }`, or give the divisor another value"),
            Fault::Mixed(a, b) => Diagnostic::new(
                &codes::E0223,
                format!(
                    "a number in {} from one file meets a number in {} from another",
                    a.word(),
                    b.word()
                ),
            )
            .at(span, "which unit?")
            .note("read in the wrong unit, the member is 25 times too long or too short")
            .help("write the units out where the two meet, such as `96in` or `2438.4mm`"),
            Fault::Kind(message, help) => {
                Diagnostic::new(&codes::E0220, message).at(span, "").help(help)
            }
        };
        self.say(diagnostic);
    }
    fn settle(&mut self, outcome: Outcome<Value>, file: usize, at: At) -> Option<Value> {
        match outcome {
            Ok(value) => Some(value),
            Err(fault) => {
                self.fault(fault, file, at);
                None
            }
        }
    }
    pub(super) fn wrong_kind(
        &mut self,
        wanted: &str,
        value: &Value,
        file: usize,
        at: At,
        help: &str,
    ) {
        let message = format!("{wanted} is needed here, and this is {}", value.kind());
        self.fault(Fault::Kind(message, help.to_string()), file, at);
    }

    /// What a name stands for; `None` if that is unknown, which was reported already.
    fn look_up(&self, file: usize, at: At) -> Option<Value> {
        let name = self.names.words(file, at);
        let known = self.locals.get(self.base..).unwrap_or_default();
        if let Some((_, value)) = known.iter().rev().find(|(local, _)| *local == name) {
            return value.clone();
        }
        let id = self.names.first(file, name, Kind::Let)?;
        self.let_values.get(id)?.clone()
    }

    /// What an expression comes to; `None` once the reason is reported.
    pub(super) fn eval(&mut self, file: usize, id: ExprId) -> Option<Value> {
        let expr = self.tree(file)?.expr(id);
        let at = expr.at();
        self.step(1, file, at)?;
        if self.depth >= limits::DEPTH {
            // Said by the check of names, unless recipes in recipes came to it.
            let message = format!("more than {} things within each other", limits::DEPTH);
            self.too_much(message, file, at);
            return None;
        }
        self.depth += 1;
        let value = self.eval_inner(file, expr);
        self.depth -= 1;
        value
    }

    fn eval_inner(&mut self, file: usize, expr: Expr) -> Option<Value> {
        match expr {
            Expr::Number(number) => self.number(file, number),
            Expr::Name(at) => self.look_up(file, at),
            Expr::Datum(_, datum) => Some(Value::Position(datum, Rational::ZERO)),
            Expr::Flag(_, yes) => Some(Value::Flag(yes)),
            Expr::Paren { inner, .. } => self.eval(file, inner),
            Expr::Unary { at, op, operand } => match op {
                Unary::Negate => {
                    let value = self.eval(file, operand)?;
                    self.settle(value::negate(&value), file, at)
                }
                Unary::Not => Some(Value::Flag(!self.flag(file, operand)?)),
            },
            Expr::Binary { op: Binary::And, left, right, .. } => {
                Some(Value::Flag(self.flag(file, left)? && self.flag(file, right)?))
            }
            Expr::Binary { op: Binary::Or, left, right, .. } => {
                Some(Value::Flag(self.flag(file, left)? || self.flag(file, right)?))
            }
            Expr::Binary { at, op, left, right } => {
                let left = self.eval(file, left);
                let right = self.eval(file, right)?;
                let left = left?;
                if let (Value::List(a), Value::List(_)) = (&left, &right) {
                    self.step(a.len() as u64, file, at)?;
                }
                self.settle(value::binary(op, &left, &right), file, at)
            }
            Expr::Call(call) => {
                let mut args = Vec::new();
                for arg in self.tree(file)?.get(call.args) {
                    args.push(self.eval(file, arg.value)?);
                }
                if let Some(Value::List(items)) = args.first() {
                    self.step(items.len() as u64, file, call.at)?;
                }
                // An unknown function was reported by the check of names.
                let outcome = value::call(self.names.words(file, call.name), &args)?;
                self.settle(outcome, file, call.at)
            }
            Expr::List { at, items } => {
                let mut list: Vec<Value> = Vec::new();
                for &item in self.tree(file)?.get(items) {
                    match self.eval(file, item)? {
                        // A list in a list gives its items: `[first, nogs, last]`.
                        Value::List(inner) => {
                            self.step(inner.len() as u64, file, at)?;
                            list.extend(inner.iter().cloned());
                        }
                        value => list.push(value),
                    }
                    if list.len() > limits::LIST {
                        let message = format!("a list of more than {} items", limits::LIST);
                        self.too_much(message, file, at);
                        return None;
                    }
                }
                Some(Value::List(list.into()))
            }
            Expr::Missing(_) => None,
        }
    }

    fn number(&mut self, file: usize, number: tree::Number) -> Option<Value> {
        let Some(n) = number.value() else {
            self.fault(Fault::ByNought, file, number.at);
            return None;
        };
        let Some(unit) = number.unit else {
            let unit = self.names.files.get(file).map_or(Unit::Millimetre, |f| f.unit);
            return Some(Value::Number(n, Dim::Bare(unit)));
        };
        let mm = n.checked_mul(unit.millimetres()).ok_or(Fault::TooLarge);
        self.settle(mm.map(|mm| Value::Number(mm, Dim::Length)), file, number.at)
    }

    /// A condition.
    pub(super) fn flag(&mut self, file: usize, id: ExprId) -> Option<bool> {
        match self.eval(file, id)? {
            Value::Flag(yes) => Some(yes),
            value => {
                let at = self.tree(file)?.expr(id).at();
                let help = "compare it with something: `height > 2600`; or say `yes` or `no`";
                self.wrong_kind("a condition", &value, file, at, help);
                None
            }
        }
    }

    /// A value as a length of any sign.
    pub(super) fn length_of(&mut self, value: &Value, file: usize, at: At) -> Option<Length> {
        let &Value::Number(number, dim) = value else {
            let help = match value {
                Value::Position(..) => {
                    "write a plain length; `start`, `middle` and `end` are places"
                }
                Value::List(_) => "write one length; lists stand after `at`, `across` and `in`",
                _ => "write a length, such as `2386` or `7ft 10in`",
            };
            self.wrong_kind("a length", value, file, at, help);
            return None;
        };
        match as_millimetres(number, dim) {
            Ok(Some(mm)) => self.exact(mm, file, at),
            Ok(None) => {
                let help = "multiply it by a length, such as `n * 600`";
                self.wrong_kind("a length", value, file, at, help);
                None
            }
            Err(fault) => {
                self.fault(fault, file, at);
                None
            }
        }
    }
    /// Millimetres as a length in whole nanometres, within the limit.
    fn exact(&mut self, mm: Rational, file: usize, at: At) -> Option<Length> {
        if let Some(length) = mm.millimetres() {
            return Some(length);
        }
        let span = self.span(file, at);
        let limit = Rational::whole(10_000_000);
        let diagnostic = if mm > limit || mm < Rational::whole(-10_000_000) {
            let message = format!("{} mm is more than 10 km", about(mm));
            Diagnostic::new(&codes::E0225, message)
                .at(span, "too long")
                .note("no coil holds that much strip: most likely a unit or a digit is wrong")
                .help(
                    "check the unit: bare numbers are millimetres unless the file says `units in`",
                )
        } else {
            let text = self.names.words(file, at);
            let text = if text.len() <= 40 { text } else { "…" };
            Diagnostic::new(
                &codes::E0224,
                format!("{} mm does not come out even", about(mm)),
            )
            .at(span, format!("{} mm exactly", shown(mm)))
            .note("lengths are whole nanometres, so that no two of them ever differ by a rounding")
            .help(format!("say how to round it: `round({text}, 0.5 mm)`"))
        };
        self.say(diagnostic);
        None
    }

    /// An expression as a length of any sign.
    pub(super) fn length(&mut self, file: usize, id: ExprId) -> Option<Length> {
        let value = self.eval(file, id)?;
        let at = self.tree(file)?.expr(id).at();
        self.length_of(&value, file, at)
    }
    /// An expression as a length above nought. `what` names it in the message.
    pub(super) fn positive(&mut self, file: usize, id: ExprId, what: &str) -> Option<Length> {
        let length = self.length(file, id)?;
        if length > Length::ZERO {
            return Some(length);
        }
        let span = self.span(file, self.tree(file)?.expr(id).at());
        self.say(
            Diagnostic::new(
                &codes::E0226,
                format!("{what} must be more than nought, and this is {length} mm"),
            )
            .at(span, format!("{length} mm"))
            .help("check the numbers it is made from"),
        );
        None
    }
    /// A value as a position.
    pub(super) fn position_of(&mut self, value: &Value, file: usize, at: At) -> Option<Position> {
        match value {
            &Value::Position(datum, offset) => {
                Some(Position { datum, offset: self.exact(offset, file, at)? })
            }
            Value::Number(..) => {
                Some(Position { datum: Datum::Start, offset: self.length_of(value, file, at)? })
            }
            _ => {
                let help = "write `450`, `end - 45` or `middle + 20`";
                self.wrong_kind("a position", value, file, at, help);
                None
            }
        }
    }

    /// An expression as a whole number from 1 to `most`.
    pub(super) fn count(&mut self, file: usize, id: ExprId, most: u64) -> Option<u32> {
        let value = self.eval(file, id)?;
        let at = self.tree(file)?.expr(id).at();
        let &Value::Number(n, Dim::Bare(_) | Dim::Plain) = &value else {
            self.wrong_kind("a whole number", &value, file, at, "write it without a unit: `2`");
            return None;
        };
        let whole = (n.denominator() == 1).then(|| u32::try_from(n.numerator()).ok()).flatten();
        match whole {
            Some(count) if count >= 1 && u64::from(count) <= most => Some(count),
            _ => {
                let span = self.span(file, at);
                self.say(
                    Diagnostic::new(
                        &codes::E0227,
                        format!("a quantity is a whole number from 1 to {most}"),
                    )
                    .at(span, shown(n))
                    .help("leave the quantity out for one; take the line out for none"),
                );
                None
            }
        }
    }

    /// A tolerance as written.
    pub(super) fn tolerance(&mut self, file: usize, node: &tree::Tolerance) -> Option<Tolerance> {
        let minus = self.length(file, node.minus);
        let plus = match node.plus {
            Some(plus) => self.length(file, plus),
            None => minus,
        };
        let (minus, plus) = (minus?, plus?);
        if minus.is_negative() || plus.is_negative() {
            let span = self.span(file, node.at);
            self.say(
                Diagnostic::new(&codes::E0226, "a tolerance is nought or more each way")
                    .at(span, format!("-{minus}/+{plus}"))
                    .help("write `0.5` for both ways, or `-0.5/+1`"),
            );
            return None;
        }
        let tolerance = Tolerance { minus, plus };
        if tolerance.too_loose() {
            let span = self.span(file, node.at);
            let most = Tolerance::LOOSEST;
            self.say(
                Diagnostic::new(
                    &codes::E0228,
                    format!("a tolerance of more than {most} mm is none: this is {tolerance} mm"),
                )
                .at(span, "too loose")
                .note("a stroke is fired anywhere in its tolerance: the piece would be far from its drawing, and proved")
                .help(format!("check the figure and its unit; write at most `{most}mm`")),
            );
            return None;
        }
        Some(tolerance)
    }
}

/// To three decimals, for people.
fn about(mm: Rational) -> String {
    let rounded = Rational::new(1, 1000).and_then(|step| mm.round_to(step));
    shown(rounded.unwrap_or(mm))
}
