use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether somebody has asked this run to stop (Ctrl-C, or the system's request to end).
///
/// Work polls it between steps and unwinds by returning, so that every guard cleans up. A second
/// request ends the process at once.
#[derive(Clone, Debug, Default)]
pub struct Interrupt(Arc<AtomicBool>);

impl Interrupt {
    /// Listens from now on. Where the system offers no signals the flag just never rises.
    pub fn listen() -> Interrupt {
        let interrupt = Interrupt::default();
        let flag = Arc::clone(&interrupt.0);
        let _unavailable = ctrlc::set_handler(move || {
            if flag.swap(true, Ordering::SeqCst) {
                std::process::exit(2);
            }
        });
        interrupt
    }
    /// Whether to stop.
    pub fn raised(&self) -> bool {
        self.0.load(Ordering::SeqCst)
    }
    /// Raises it, as a signal would.
    #[cfg(test)]
    pub fn raise(&self) {
        self.0.store(true, Ordering::SeqCst);
    }
}
