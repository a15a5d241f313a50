//! Expressions, arguments, tolerances.

use super::super::tree::*;
use super::Printer;
use crate::member::model::Datum;

impl Printer<'_> {
    pub(super) fn expr(&mut self, id: ExprId) {
        match self.tree.expr(id) {
            Expr::Number(number) => self.number(number.at),
            Expr::Name(at) | Expr::Missing(at) => self.source(at),
            Expr::Datum(_, datum) => self.put(match datum {
                Datum::Start => "start",
                Datum::Middle => "middle",
                Datum::End => "end",
            }),
            Expr::Flag(_, flag) => self.put(if flag { "yes" } else { "no" }),
            Expr::Unary { op, operand, .. } => {
                self.put(match op {
                    Unary::Negate => "-",
                    Unary::Not => "not ",
                });
                self.expr(operand);
            }
            Expr::Binary { op, left, right, .. } => {
                self.expr(left);
                self.put(" ");
                self.put(op.sign());
                self.put(" ");
                self.expr(right);
            }
            Expr::Paren { inner, .. } => {
                self.put("(");
                self.expr(inner);
                self.put(")");
            }
            Expr::Call(call) => self.call(call),
            Expr::List { items, .. } => {
                self.put("[");
                self.exprs(items);
                self.put("]");
            }
        }
    }

    pub(super) fn exprs(&mut self, ids: Slice<ExprId>) {
        self.commas(self.tree.get(ids), |p, id| p.tree.expr(id).at(), Self::expr);
    }

    /// As written, with single blanks, and its unit close to it.
    fn number(&mut self, at: At) {
        let text = at.text(self.text);
        for (i, part) in text.split_ascii_whitespace().enumerate() {
            if i > 0 && part.starts_with(|c: char| c.is_ascii_digit()) {
                self.put(" ");
            }
            self.put(part);
        }
    }

    pub(super) fn call(&mut self, call: Call) {
        self.source(call.name);
        self.put("(");
        let place = |p: &Self, arg: Arg| arg.name.unwrap_or_else(|| p.tree.expr(arg.value).at());
        self.commas(self.tree.get(call.args), place, |p, arg| {
            if let Some(name) = arg.name {
                p.source(name);
                p.put(" = ");
            }
            p.expr(arg.value);
        });
        self.put(")");
    }

    pub(super) fn tolerance(&mut self, tolerance: Tolerance) {
        match tolerance.plus {
            None => self.expr(tolerance.minus),
            Some(plus) => {
                self.put("-");
                self.expr(tolerance.minus);
                self.put("/+");
                self.expr(plus);
            }
        }
    }
}
