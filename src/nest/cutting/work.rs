use std::cell::Cell;

/// Elementary steps of a tick: about as many as a microsecond holds.
const STEPS: u64 = 1_000;

/// How often `stop` is asked, in steps.
const ASK: u64 = 1_000_000;

/// The work that is left, counted in steps so that the same effort gives the same bytes, and a
/// way to be stopped from outside.
pub struct Work<'a> {
    done: Cell<u64>,
    most: u64,
    asked: Cell<u64>,
    stopped: Cell<bool>,
    stop: &'a dyn Fn() -> bool,
}

impl std::fmt::Debug for Work<'_> {
    fn fmt(&self, to: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(to, "Work({} of {})", self.done.get(), self.most)
    }
}

impl<'a> Work<'a> {
    /// So many ticks of it, until `stop` says so.
    pub fn new(ticks: u64, stop: &'a dyn Fn() -> bool) -> Work<'a> {
        let most = ticks.saturating_mul(STEPS);
        Work { done: Cell::new(0), most, asked: Cell::new(0), stopped: Cell::new(stop()), stop }
    }
    /// Counts steps that were done.
    pub fn spend(&self, steps: u64) {
        let done = self.done.get().saturating_add(steps);
        self.done.set(done);
        if done - self.asked.get() >= ASK {
            self.asked.set(done);
            if (self.stop)() {
                self.stopped.set(true);
            }
        }
    }
    /// Whether to come to an end.
    pub fn over(&self) -> bool {
        self.stopped.get() || self.done.get() >= self.most
    }
    /// Whether `over` for a clock or a signal, and not for the effort asked for.
    pub fn cut_short(&self) -> bool {
        self.stopped.get()
    }
    /// Ticks done.
    pub fn ticks(&self) -> u64 {
        self.done.get() / STEPS
    }
}
