//! The program told to stop while it writes.

use std::fs;
use std::os::unix::process::ExitStatusExt as _;
use std::process::Stdio;

use rustix::process::{Pid, Signal, kill_process};

use super::desk::Desk;

fn drafts(desk: &Desk) -> usize {
    let names = fs::read_dir(desk.path("")).unwrap().map(|entry| entry.unwrap().file_name());
    names.filter(|name| name.to_string_lossy().starts_with(".quintfall-")).count()
}

/// Whether whoever runs the tests has them ignore a signal.
fn is_ignored(signal: Signal) -> bool {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:")).unwrap_or("0");
    u64::from_str_radix(mask.trim(), 16).unwrap() >> (signal.as_raw() - 1) & 1 == 1
}

/// Begins a sheet and sends the signal as soon as its draft is there. Gives the signal that ended
/// the program, if it was not quicker.
fn stopped(desk: &Desk, signal: Signal) -> Option<i32> {
    let mut program = desk.command(&["handout", "--key", "C", "--force"]);
    let mut program = program.stdout(Stdio::null()).spawn().unwrap();
    while drafts(desk) == 0 && program.try_wait().unwrap().is_none() {}
    let _ = kill_process(Pid::from_child(&program), signal);
    program.wait().unwrap().signal()
}

#[test]
fn a_program_that_is_stopped_leaves_no_draft_and_ends_as_it_was_told() {
    for signal in [Signal::INT, Signal::TERM, Signal::HUP] {
        if is_ignored(signal) {
            // By whoever runs the tests, behind a shell perhaps: then the program does so too.
            assert_ne!(signal, Signal::TERM);
            continue;
        }
        let desk = Desk::new();
        // A few programs may have done their work before the signal comes.
        let ended = (0..50).find_map(|_| {
            let ended = stopped(&desk, signal);
            assert_eq!(drafts(&desk), 0, "{signal:?} left a draft behind");
            ended
        });
        assert_eq!(ended, Some(signal.as_raw()));
    }
}

/// As `nohup` starts it.
#[cfg(target_os = "linux")]
#[test]
fn a_signal_that_is_to_be_ignored_is() {
    let desk = Desk::new();
    let script = "trap '' HUP; exec \"$0\" handout --key C";
    let mut shell = std::process::Command::new("sh");
    shell.args(["-c", script, env!("CARGO_BIN_EXE_quintfall")]).current_dir(desk.path(""));
    let mut program = shell.stdout(Stdio::null()).spawn().unwrap();
    while drafts(&desk) == 0 && program.try_wait().unwrap().is_none() {}
    let _ = kill_process(Pid::from_child(&program), Signal::HUP);
    assert_eq!(program.wait().unwrap().code(), Some(0));
    assert!(desk.path("handout-pushed-C-80.pdf").is_file());
}
