//! What is done when the program is told to stop while it writes: its drafts are removed, and it
//! ends as it would have ended. Nothing can be done about SIGKILL.

#[cfg(unix)]
pub(super) use unix::heed;

/// Nothing to heed.
#[cfg(not(unix))]
pub(super) fn heed() {}

#[cfg(unix)]
mod unix {
    use std::ffi::c_int;
    use std::sync::Arc;
    use std::sync::atomic::AtomicBool;
    use std::sync::mpsc;
    use std::thread;

    use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGXFSZ};
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::emulate_default_handler;

    use crate::output::abandon_drafts;

    /// Heeds signals from here on.
    pub(in crate::cli) fn heed() {
        // A file that may not grow any more then fails to be written, which is told as any other
        // failure is, in place of ending the program.
        let _ = signal_hook::flag::register(SIGXFSZ, Arc::new(AtomicBool::new(false)));
        let (ready, heeding) = mpsc::channel();
        // Without a thread to heed them, signals end the program as ever.
        let spawned = thread::Builder::new().spawn(move || {
            let signals = Signals::new(not_ignored());
            let _ = ready.send(());
            if let Ok(mut signals) = signals {
                for signal in signals.forever() {
                    abandon_drafts(|| {
                        let _ = emulate_default_handler(signal);
                    });
                }
            }
        });
        if spawned.is_ok() {
            let _ = heeding.recv();
        }
    }

    /// The signals that end a program, without those that whoever started it has it ignore, as
    /// `nohup` does and shells do for what runs behind.
    fn not_ignored() -> Vec<c_int> {
        let signals = [SIGINT, SIGTERM, SIGHUP, SIGQUIT].into_iter();
        match ignored() {
            Some(ignored) => signals.filter(|signal| ignored >> (signal - 1) & 1 == 0).collect(),
            // Where it cannot be known, those that are seldom ignored.
            None => signals.take(2).collect(),
        }
    }

    /// The signals that are ignored, a bit each from the first (Linux, `proc_pid_status(5)`).
    fn ignored() -> Option<u64> {
        let status = std::fs::read_to_string("/proc/self/status").ok()?;
        let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"))?;
        u64::from_str_radix(mask.trim(), 16).ok()
    }
}
