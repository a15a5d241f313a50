//! The most memory this process has had.

/// The greatest resident size so far, in kB; `None` where the system does not tell.
#[allow(clippy::disallowed_methods)] // the system tells it in a file
pub fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// Counts the peak from here on, where the system can.
#[allow(dead_code, clippy::disallowed_methods)]
pub fn reset() {
    let _counts_from_the_start_then = std::fs::write("/proc/self/clear_refs", "5");
}

/// In megabytes, to be printed.
pub fn megabytes(kb: Option<u64>) -> String {
    kb.map_or("?".into(), |kb| format!("{} MB", kb / 1_000))
}
