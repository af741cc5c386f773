//! Which signals whoever started the program wants ignored: a system shows that as a file.

/// The ignored signals, a bit for each from signal 1 on; `None` where the system does not show them: Linux does.
pub(crate) fn ignored_signals() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"))?;
    u64::from_str_radix(mask.trim(), 16).ok()
}
