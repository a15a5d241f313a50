use crate::diagnostic::Diagnostic;
use crate::quantity::Span;

/// More than this many findings of one replay are counted, not listed.
const MOST: usize = 100;

/// Said wherever the only cure is a fresh program.
pub(super) const COMPILE_AGAIN: &str =
    "do not run this program; compile the batch again and load the file it writes";

/// Collects findings, each placed at its event.
pub(super) struct Refusals<'a> {
    spans: Option<&'a [Span]>,
    found: Vec<Diagnostic>,
    unlisted: usize,
    stopped: bool,
}

impl<'a> Refusals<'a> {
    pub(super) fn new(spans: Option<&'a [Span]>) -> Refusals<'a> {
        Refusals { spans, found: Vec::new(), unlisted: 0, stopped: false }
    }
    /// Adds a finding about an event (counted from 0); `make` is not called once too many are
    /// listed.
    pub(super) fn add(&mut self, event: Option<usize>, make: impl FnOnce() -> Diagnostic) {
        if self.full() {
            self.unlisted += 1;
            return;
        }
        let span = event.and_then(|index| self.spans.and_then(|spans| spans.get(index)));
        self.found.push(match span {
            Some(&span) => make().at(span, "this event"),
            None => make(),
        });
    }
    /// Takes over what another collected of the same program.
    pub(super) fn absorb(&mut self, other: Refusals<'_>) {
        for found in other.found {
            if self.full() {
                self.unlisted += 1;
            } else {
                self.found.push(found);
            }
        }
        self.unlisted += other.unlisted;
    }
    /// Counts a finding nobody has room to read.
    pub(super) fn count(&mut self) {
        self.unlisted += 1;
    }
    /// Adds a finding after which nothing more can be executed.
    pub(super) fn stop(&mut self, event: Option<usize>, make: impl FnOnce() -> Diagnostic) {
        self.add(event, make);
        self.stopped = true;
    }
    pub(super) fn full(&self) -> bool {
        self.found.len() >= MOST
    }
    pub(super) fn stopped(&self) -> bool {
        self.stopped
    }
    pub(super) fn len(&self) -> usize {
        self.found.len() + self.unlisted
    }
    pub(super) fn finish(mut self) -> Vec<Diagnostic> {
        if self.unlisted > 0
            && let Some(last) = self.found.pop()
        {
            self.found.push(last.note(format!("{} more findings are not listed", self.unlisted)));
        }
        self.found
    }
}

/// An event as people count them, from 1.
pub(super) fn numbered(event: usize) -> String {
    format!("event {}", event + 1)
}
