use super::model::Watch;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Applies `f` to each item on up to `threads` threads; results come in the order of the items,
/// so the number of threads never shows. Items not begun when the watch stops are left out.
pub(super) fn in_order<T: Send + Sync, R: Send>(
    threads: usize,
    items: Vec<T>,
    watch: &dyn Watch,
    f: impl Fn(usize, &T) -> R + Sync,
) -> Vec<R> {
    if threads <= 1 || items.len() < 2 {
        let begun = items.iter().enumerate().take_while(|_| !watch.stopped());
        return begun.map(|(i, item)| f(i, item)).collect();
    }
    let next = AtomicUsize::new(0);
    let done: Mutex<Vec<(usize, R)>> = Mutex::new(Vec::with_capacity(items.len()));
    std::thread::scope(|scope| {
        for _ in 0..threads.min(items.len()) {
            scope.spawn(|| {
                while !watch.stopped() {
                    let i = next.fetch_add(1, Ordering::Relaxed);
                    let Some(item) = items.get(i) else { break };
                    let result = f(i, item);
                    if let Ok(mut done) = done.lock() {
                        done.push((i, result));
                    }
                }
            });
        }
    });
    let mut done = done.into_inner().unwrap_or_default();
    done.sort_by_key(|(i, _)| *i);
    done.into_iter().map(|(_, result)| result).collect()
}
