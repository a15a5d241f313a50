//! The most memory this process has had.

/// The greatest resident size so far, in kB; `None` where the system does not tell.
#[allow(clippy::disallowed_methods)] // the system tells it in a file
pub fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// In megabytes, to be printed.
pub fn megabytes(kb: Option<u64>) -> String {
    kb.map_or("?".into(), |kb| format!("{} MB", kb / 1_000))
}
