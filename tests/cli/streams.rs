//! Stdout that goes away or is full.

use std::fs;

use super::desk::Desk;

#[test]
fn a_reader_that_has_gone_is_no_error() {
    let desk = Desk::new();
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    let output = desk.command(&["drills", "pushed"]).stdout(writer).output().unwrap();
    let complaint = String::from_utf8(output.stderr).unwrap();
    assert_eq!((output.status.code(), complaint.as_str()), (Some(0), ""));
}

#[cfg(target_os = "linux")]
#[test]
fn a_stdout_that_is_full_is_told() {
    let desk = Desk::new();
    let full = fs::OpenOptions::new().write(true).open("/dev/full").unwrap();
    let output = desk.command(&["drills"]).stdout(full).output().unwrap();
    let complaint = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(complaint.starts_with("error: cannot write to stdout: "), "{complaint}");
}

#[test]
fn a_file_name_cannot_steer_the_terminal() {
    let desk = Desk::new();
    let message = desk.refusal(&["workbook", "\u{1b}[2J.toml"]);
    assert!(!message.contains('\u{1b}'), "{message:?}");
}
