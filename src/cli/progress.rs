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
    watched: bool,
    bar: ProgressBar,
    interrupt: &'a Interrupt,
    stage: Mutex<&'static str>,
}

impl<'a> Progress<'a> {
    /// Drawn when somebody watches, from the first thing told.
    pub fn new(watched: bool, interrupt: &'a Interrupt) -> Progress<'a> {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {pos} of {len}, {elapsed}")
        {
            bar.set_style(style);
        }
        Progress { watched, bar, interrupt, stage: Mutex::new("") }
    }
}

impl Watch for Progress<'_> {
    fn stopped(&self) -> bool {
        self.interrupt.raised()
    }
    fn tell(&self, stage: &'static str, done: usize, of: usize) {
        let Ok(mut now) = self.stage.lock() else { return };
        let first = now.is_empty();
        if *now != stage {
            *now = stage;
            self.bar.set_position(0);
            self.bar.set_message(stage);
        }
        self.bar.set_length(of as u64);
        // What is done is told; what is in hand is shown. Threads tell out of order, and the line
        // only ever grows.
        let in_hand = (done as u64 + 1).min(of as u64);
        self.bar.set_position(self.bar.position().max(in_hand));
        if first && self.watched {
            self.bar.set_draw_target(ProgressDrawTarget::stderr_with_hz(8));
            self.bar.enable_steady_tick(Duration::from_millis(125));
        }
    }
}

impl Drop for Progress<'_> {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}
