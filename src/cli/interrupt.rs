use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether somebody has asked this run to stop (Ctrl-C, or the system's request to end).
///
/// Work that would leave something behind, or take long to come to an end by itself, is
/// [guarded](Interrupt::guard): it polls the flag between steps and unwinds by returning, so that
/// everything is cleaned up. Without a guard, and on a second request, the process ends at once.
#[derive(Clone, Debug, Default)]
pub struct Interrupt(Arc<Flags>);

#[derive(Debug, Default)]
struct Flags {
    raised: AtomicBool,
    guarded: AtomicBool,
}

impl Interrupt {
    /// Listens from now on. Where the system offers no signals the flag just never rises.
    pub fn listen() -> Interrupt {
        let interrupt = Interrupt::default();
        let flags = Arc::clone(&interrupt.0);
        let _unavailable = ctrlc::set_handler(move || {
            let again = flags.raised.swap(true, Ordering::SeqCst);
            if again || !flags.guarded.load(Ordering::SeqCst) {
                std::process::exit(2);
            }
        });
        interrupt
    }
    /// From here on the work ends itself when asked to.
    pub fn guard(&self) {
        self.0.guarded.store(true, Ordering::SeqCst);
    }
    /// Whether to stop.
    pub fn raised(&self) -> bool {
        self.0.raised.load(Ordering::SeqCst)
    }
    /// Raises it, as a signal would.
    #[cfg(test)]
    pub fn raise(&self) {
        self.0.raised.store(true, Ordering::SeqCst);
    }
}
