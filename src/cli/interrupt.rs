use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Whether somebody has asked this run to stop (Ctrl-C, or the system's request to end).
///
/// Work that takes long to come to an end by itself is [guarded](Interrupt::guard): it polls the
/// flag between steps and unwinds by returning. Without a guard, and on a second request, the
/// process ends at once; what is half written then ([`Interrupt::scratch`]) is taken away first.
#[derive(Clone, Debug, Default)]
pub struct Interrupt(Arc<Flags>);

#[derive(Debug, Default)]
struct Flags {
    raised: AtomicBool,
    guards: AtomicUsize,
    /// Files and folders that are half written.
    scratch: Mutex<Vec<PathBuf>>,
}

impl Flags {
    fn scratch(&self) -> MutexGuard<'_, Vec<PathBuf>> {
        self.scratch.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Interrupt {
    /// Listens from now on. Where the system offers no signals the flag just never rises.
    pub fn listen() -> Interrupt {
        let interrupt = Interrupt::default();
        let listening = interrupt.clone();
        let _unavailable = ctrlc::set_handler(move || {
            if listening.ends_now() {
                // Held to the end, so that nothing new is begun.
                let scratch = listening.0.scratch();
                scratch.iter().for_each(|path| remove(path));
                std::process::exit(2);
            }
        });
        interrupt
    }
    /// Raises the flag; whether nobody would look at it.
    fn ends_now(&self) -> bool {
        let again = self.0.raised.swap(true, Ordering::SeqCst);
        again || self.0.guards.load(Ordering::SeqCst) == 0
    }
    /// While this is held the work ends itself when asked to.
    #[must_use]
    pub fn guard(&self) -> Guard {
        self.0.guards.fetch_add(1, Ordering::SeqCst);
        Guard(self.clone())
    }
    /// Whether to stop.
    pub fn raised(&self) -> bool {
        self.0.raised.load(Ordering::SeqCst)
    }
    /// Makes a file or folder that is to be renamed once it is whole: until the second value is
    /// dropped, it goes away when the process is ended.
    pub fn scratch<T>(
        &self,
        make: impl FnOnce() -> std::io::Result<T>,
        path: impl FnOnce(&T) -> PathBuf,
    ) -> std::io::Result<(T, Scratch)> {
        let mut scratch = self.0.scratch();
        let made = make()?;
        let path = path(&made);
        scratch.push(path.clone());
        Ok((made, Scratch { interrupt: self.clone(), path }))
    }
    /// Does what must not be ended half way. It must be short, and make no scratch.
    pub fn undivided<T>(&self, work: impl FnOnce() -> T) -> T {
        let _held = self.0.scratch();
        work()
    }
    /// Raises it, as a signal would.
    #[cfg(test)]
    pub fn raise(&self) {
        self.0.raised.store(true, Ordering::SeqCst);
    }
}

/// See [`Interrupt::guard`].
#[derive(Debug)]
pub struct Guard(Interrupt);

impl Drop for Guard {
    fn drop(&mut self) {
        self.0.0.guards.fetch_sub(1, Ordering::SeqCst);
    }
}

/// See [`Interrupt::scratch`].
#[derive(Debug)]
pub struct Scratch {
    interrupt: Interrupt,
    path: PathBuf,
}

impl Drop for Scratch {
    fn drop(&mut self) {
        self.interrupt.0.scratch().retain(|path| *path != self.path);
    }
}

/// Removes a file, or a folder with all in it: again where somebody is still writing into it.
fn remove(path: &Path) {
    for _ in 0..8 {
        let removed =
            if path.is_dir() { std::fs::remove_dir_all(path) } else { std::fs::remove_file(path) };
        if removed.is_ok() || !path.exists() {
            return;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_guarded_work_is_left_to_end_itself() {
        let interrupt = Interrupt::default();
        let (outer, inner) = (interrupt.guard(), interrupt.guard());
        drop(inner);
        assert!(!interrupt.ends_now(), "somebody still looks");
        assert!(interrupt.ends_now(), "asked twice");
        drop(outer);
        assert!(Interrupt::default().ends_now());
    }

    #[test]
    fn what_is_half_written_is_known_until_it_is_whole() {
        let top = tempfile::tempdir().unwrap();
        let interrupt = Interrupt::default();
        let path = top.path().join("half");
        let make = || std::fs::write(&path, "x");
        let (_, scratch) = interrupt.scratch(make, |()| path.clone()).unwrap();
        assert_eq!(*interrupt.0.scratch(), std::slice::from_ref(&path));
        remove(&path);
        assert!(!path.exists());
        drop(scratch);
        assert!(interrupt.0.scratch().is_empty());
        let fails = || Err::<(), _>(std::io::ErrorKind::NotFound.into());
        assert!(interrupt.scratch(fails, |()| path.clone()).is_err());
        assert!(interrupt.0.scratch().is_empty());
    }
}
