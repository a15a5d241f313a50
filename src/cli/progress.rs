use super::interrupt::Interrupt;
use crate::plan::Watch;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::sync::Mutex;
use std::time::Duration;

/// A line on the terminal that says how far the work is, and the way an interrupt reaches it.
///
/// It shows itself only after a moment: short work has no progress. Without a terminal nothing is
/// ever drawn.
#[derive(Debug)]
pub struct Progress<'a> {
    bar: ProgressBar,
    interrupt: &'a Interrupt,
    stage: Mutex<&'static str>,
}

impl<'a> Progress<'a> {
    /// Drawn when somebody watches.
    pub fn new(watched: bool, interrupt: &'a Interrupt) -> Progress<'a> {
        let target = if watched {
            ProgressDrawTarget::stderr_with_hz(8)
        } else {
            ProgressDrawTarget::hidden()
        };
        let bar = ProgressBar::with_draw_target(None, target);
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {pos}/{len} {elapsed}") {
            bar.set_style(style);
        }
        if watched {
            bar.enable_steady_tick(Duration::from_millis(125));
        }
        Progress { bar, interrupt, stage: Mutex::new("") }
    }
}

impl Watch for Progress<'_> {
    fn stopped(&self) -> bool {
        self.interrupt.raised()
    }
    fn tell(&self, stage: &'static str, done: usize, of: usize) {
        if let Ok(mut now) = self.stage.lock()
            && *now != stage
        {
            *now = stage;
            self.bar.set_message(stage);
            self.bar.set_position(0);
        }
        self.bar.set_length(of as u64);
        // Threads finish out of order; the line only ever grows.
        self.bar.set_position(self.bar.position().max(done as u64));
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
