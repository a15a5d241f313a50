use super::super::limits;
use super::Walk;
use crate::diagnostic::Diagnostic;
use crate::diagnostic::codes::resolve as codes;
use crate::quantity::Span;

impl Walk<'_, '_> {
    /// Recipes that come back to themselves, each circle once.
    pub(super) fn report_circles(&mut self) {
        // Grey: on the way from the root; black: done.
        let count = self.edges.len();
        let (mut grey, mut black) = (vec![false; count], vec![false; count]);
        let mut circles = 0;
        for root in 0..count {
            let mut way: Vec<(usize, usize)> = vec![(root, 0)];
            while let Some((node, next)) = way.last_mut() {
                let node = *node;
                if black.get(node).copied().unwrap_or(true) {
                    way.pop();
                    continue;
                }
                if let Some(grey) = grey.get_mut(node) {
                    *grey = true;
                }
                let edge = self.edges.get(node).and_then(|edges| edges.get(*next)).copied();
                *next += 1;
                match edge {
                    Some((to, span)) if grey.get(to).copied().unwrap_or(false) => {
                        let from = way.iter().position(|&(n, _)| n == to).unwrap_or(0);
                        let circle: Vec<usize> = way.iter().skip(from).map(|&(n, _)| n).collect();
                        self.report_circle(&circle, span);
                        circles += 1;
                        if circles >= limits::CIRCLES {
                            return;
                        }
                    }
                    Some((to, _)) => way.push((to, 0)),
                    None => {
                        if let Some(grey) = grey.get_mut(node) {
                            *grey = false;
                        }
                        if let Some(black) = black.get_mut(node) {
                            *black = true;
                        }
                        way.pop();
                    }
                }
            }
        }
    }
    fn report_circle(&mut self, circle: &[usize], span: Span) {
        let name = |id: usize| {
            self.names.callables.get(id).map_or("", |c| self.names.words(c.file, c.node.name))
        };
        let first = circle.first().map_or("", |&id| name(id));
        let message = if circle.len() == 1 {
            format!("`{first}` calls itself")
        } else {
            let mut way: Vec<&str> = circle.iter().take(8).map(|&id| name(id)).collect();
            if circle.len() > way.len() {
                way.push("…");
            }
            format!("`{first}` comes back to itself: {} → {first}", way.join(" → "))
        };
        self.findings.say(
            Diagnostic::new(&codes::E0211, message)
                .at(span, "called again here")
                .note("a member made so would never be finished")
                .help("repeat with `for`, `every` or `equal at most` instead"),
        );
    }
}
