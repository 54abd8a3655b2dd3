//! Sheets from strangers: nothing in them opens a file, and nothing makes the program wait.

use std::process::{Child, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use super::desk::{Desk, png, sheet_with};

#[test]
fn a_picture_that_a_sheet_names_is_not_fetched() {
    let desk = Desk::new()
        .with("secret.png", png(4, 4))
        .with("secret.txt", "a line of a letter\n")
        .with("a.pdf", sheet_with("{\"logo\": \"secret.png\", \"keys\": [\"C\"]}"))
        .with("b.pdf", sheet_with("{\"logo\": \"secret.txt\", \"keys\": [\"C\"]}"));
    for (sheet, logo) in [("a.pdf", "secret.png"), ("b.pdf", "secret.txt")] {
        let message = format!(
            "{sheet}: the recipe inside names the picture `{logo}` without holding it, and a \
             sheet opens no files; take the sheet as Quintfall made it, which holds all that it \
             needs"
        );
        desk.refuses(&["retempo", sheet, "--tempo", "90"], &message);
        desk.refuses(&["workbook", sheet], &message);
        desk.refuses(&["recipe", sheet], &message);
    }
}

#[test]
fn a_drill_that_a_sheet_names_is_not_fetched() {
    let letter = "a line of a letter\n";
    let desk = Desk::new()
        .with("letter.toml", letter)
        .with("letter", letter)
        .with("a.pdf", sheet_with("{\"drill\": \"./letter.toml\"}"))
        .with("b.pdf", sheet_with("{\"course\": [\"pushed\", \"letter.toml\"]}"))
        .with("c.pdf", sheet_with("{\"drill\": \"letter\"}"));
    for sheet in ["a.pdf", "b.pdf", "c.pdf"] {
        let message = desk.refusal(&["retempo", sheet, "--tempo", "90"]);
        assert!(!message.contains("line of a letter"), "{message}");
        assert!(!message.contains("rename"), "{message} tells that there is such a file");
    }
    let message = desk.refusal(&["recipe", "b.pdf"]);
    assert!(message.starts_with("b.pdf: the recipe inside names the drill `letter.toml`"));
}

/// Kills the program if it waits for ever.
#[track_caller]
fn ends(mut child: Child) -> String {
    let start = Instant::now();
    while child.try_wait().unwrap().is_none() {
        if start.elapsed() > Duration::from_secs(20) {
            child.kill().unwrap();
            panic!("it still waits");
        }
        sleep(Duration::from_millis(10));
    }
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(2));
    String::from_utf8(output.stderr).unwrap()
}

#[cfg(unix)]
#[test]
fn a_pipe_or_a_device_is_not_waited_for() {
    let desk = Desk::new().with("a.toml", "logo = \"pipe.png\"\nkeys = [\"C\"]\n");
    for name in ["pipe.toml", "pipe.png", "pipe.pdf"] {
        let made = std::process::Command::new("mkfifo").arg(desk.path(name)).status().unwrap();
        assert!(made.success());
    }
    for args in [
        &["workbook", "pipe.toml"][..],
        &["workbook", "--drill", "./pipe.toml"],
        &["workbook", "--logo", "pipe.png"],
        &["workbook", "a.toml"],
        &["workbook", "/dev/zero"],
        &["retempo", "pipe.pdf", "--tempo", "90"],
        &["drills", "check", "pipe.toml"],
    ] {
        let piped = desk.command(args).stderr(Stdio::piped()).stdout(Stdio::null()).spawn();
        let message = ends(piped.unwrap());
        let told = "it is a pipe or a device and no ordinary file; save what it gives";
        assert!(message.contains(told), "{args:?}: {message}");
    }
}

#[test]
fn what_others_wrote_does_not_turn_or_break_a_message() {
    let field = "\u{202e}drow\u{2028}error: all is well\u{1b}[2J";
    let desk = Desk::new()
        .with("a.toml", format!("\"{field}\" = 1\n"))
        .with("a.pdf", sheet_with(&format!("{{\"{}\": 1}}", field.replace('\u{1b}', "x"))))
        .with("long.toml", format!("title = [\"{}\"]\n", "x".repeat(100_000)));
    for args in [
        &["workbook", "a.toml"][..],
        &["workbook", "a.pdf"],
        &["drills", "check", "a.toml"],
        &["workbook", "--drill", field],
    ] {
        let complaint = String::from_utf8(desk.run(args).stderr).unwrap();
        let acts = |c: char| c != '\n' && c.is_control() || "\u{202e}\u{2028}".contains(c);
        assert!(!complaint.contains(acts), "{args:?}: {complaint:?}");
        assert!(complaint.lines().all(|line| line.starts_with("error: ")), "{complaint}");
    }
    for args in [&["workbook", "long.toml"][..], &["workbook", "--paper", &"y".repeat(90_000)]] {
        let message = desk.refusal(args);
        assert!(message.chars().count() < 1300, "{} characters", message.len());
    }
}
