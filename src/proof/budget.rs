use super::Doubt;
use std::cell::Cell;

/// Most steps of one check, all cases together: five times what the longest certificate so far
/// took, that of a list of 200 pieces with 4 632 ends.
const STEPS: u64 = 1_000_000_000;

/// How often `stop` is asked, in steps.
const ASK: u64 = 1 << 16;

/// Most numbers that cases hold at a time, the one at hand and those that wait; one takes about 16
/// bytes.
pub const HELD: usize = 8_000_000;

/// What a check may take, whatever the certificate says.
pub struct Budget<'a> {
    left: Cell<u64>,
    stop: &'a dyn Fn() -> bool,
}

impl<'a> Budget<'a> {
    /// All of it, until `stop` says so.
    pub fn new(stop: &'a dyn Fn() -> bool) -> Budget<'a> {
        Budget::of(STEPS, stop)
    }
    /// So many steps of it.
    pub fn of(steps: u64, stop: &'a dyn Fn() -> bool) -> Budget<'a> {
        Budget { left: Cell::new(steps), stop }
    }

    /// Takes steps off what is left.
    pub fn spend(&self, steps: u64) -> Result<(), Doubt> {
        let before = self.left.get();
        let left = before.checked_sub(steps).ok_or(Doubt::Endless)?;
        self.left.set(left);
        if before / ASK == left / ASK { Ok(()) } else { self.asked() }
    }

    /// Asks whether to stop.
    pub fn asked(&self) -> Result<(), Doubt> {
        if (self.stop)() { Err(Doubt::Endless) } else { Ok(()) }
    }
}
