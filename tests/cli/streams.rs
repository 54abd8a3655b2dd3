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
    let message = "cannot write to stdout: there is no room where it goes; make room there";
    assert_eq!(complaint, format!("error: {message}\n"));
}

#[test]
fn a_file_name_cannot_steer_the_terminal() {
    let desk = Desk::new();
    let message = desk.refusal(&["workbook", "\u{1b}[2J.toml"]);
    assert!(!message.contains('\u{1b}'), "{message:?}");
    let said = desk.does(&["handout", "--key", "C", "-o", "\u{1b}[2J.pdf"]);
    assert!(!said.contains('\u{1b}'), "{said:?}");
}

#[test]
fn a_sheet_goes_to_stdout_and_nothing_else_does() {
    let desk = Desk::new();
    desk.does(&["handout", "--key", "C", "-o", "x.pdf"]);
    let sheet = desk.read("x.pdf");
    for args in [
        &["handout", "--key", "C", "-o", "-"][..],
        &["retempo", "x.pdf", "--tempo", "80", "-o", "-"],
    ] {
        let output = desk.run(args);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(0), "{said}");
        assert_eq!(said, "wrote the sheet to stdout: 1 page, 1 key, A4\n");
        assert!(output.stdout == sheet, "{args:?}");
        assert_eq!(desk.files().len(), 1);
        let output = desk.run(&[args, &["--quiet"]].concat());
        assert!(output.stderr.is_empty() && output.stdout == sheet, "{args:?}");
    }
    let output = desk.run(&["handout", "--key", "C", "-o", "-", "--png", ".", "--dpi", "40"]);
    assert!(output.stdout == sheet);
    let said = String::from_utf8(output.stderr).unwrap();
    assert!(
        said.starts_with(
            "wrote ./handout-pushed-C-80-1.png: 1 picture at 40 dots an inch\nwrote the sheet"
        ),
        "{said}"
    );
    assert!(desk.path("handout-pushed-C-80-1.png").is_file());
}
