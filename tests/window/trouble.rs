//! What goes wrong outside of the page: each is told in a sentence, and nothing else is lost by it.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use super::Page;

/// A sentence for a teacher: what and how to mend it, and no word of the program's insides.
#[track_caller]
fn is_a_sentence(answer: &[u8], about: &str) {
    let said = String::from_utf8_lossy(answer).into_owned();
    assert!(said.contains("\"refused\"") && said.contains(about) && said.contains("; "), "{said}");
    for word in ["panic", "unwrap", "Err(", "Os {", "src/"] {
        assert!(!said.contains(word), "{said}");
    }
}

const CLASS: &str =
    r#"{"name": "five.csv", "text": "name,drill,keys\nAda,solid,C\n", "choices": {}}"#;
const SOUND: &str = r#"{"choices": {"drill": "solid", "keys": ["C"], "tempo": "240"}, "track": {"as": "wav", "with": ["click"]}}"#;

/// Where nothing can be put, as on a disk that is full, choices, classes and sound are refused, and
/// sheets are made as before.
#[test]
fn a_disk_without_room_is_told() {
    let nowhere = "/proc/quintfall-has-no-room";
    let page = Page::started(
        &["desk", "--no-browser"],
        &[("TMPDIR", nowhere), ("TMP", nowhere), ("TEMP", nowhere)],
    );
    for (path, body, about) in
        [("/class/all", CLASS, "cannot be kept"), ("/track", SOUND, "playalong-solid-C")]
    {
        let (status, answer) = page.post(path, body);
        assert_eq!(status, 200, "{path}");
        is_a_sentence(&answer, about);
    }
    let (status, sheet) = page.post("/pdf", r#"{"choices": {"form": "handout", "keys": ["C"]}}"#);
    assert_eq!(status, 200);
    assert!(sheet.starts_with(b"%PDF"));
}

/// What was chosen cannot be kept, which is no reason to forget it on the page.
#[cfg(unix)]
#[test]
fn settings_that_cannot_be_kept_are_told() {
    let page = Page::open();
    // A file stands where the folder would be.
    std::fs::write(page.folder.path().join("quintfall"), "").unwrap();
    let (status, answer) = page.post("/keep", r#"{"state": {"view": "sheet"}}"#);
    assert_eq!(status, 200);
    is_a_sentence(&answer, "is a file and no folder");
    assert_eq!(page.post("/choices", "{}").0, 200);
}

/// Without a browser the address is told, and the page is there for whoever opens it.
#[cfg(target_os = "linux")]
#[test]
fn a_machine_without_a_browser_is_told() {
    use std::io::{BufRead as _, BufReader};
    let folder = tempfile::tempdir().unwrap();
    let mut child = Command::new(env!("CARGO_BIN_EXE_quintfall"))
        .args(["desk"])
        .env("PATH", folder.path())
        .env("HOME", folder.path())
        .env("XDG_CONFIG_HOME", folder.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    BufReader::new(child.stderr.take().unwrap()).read_line(&mut line).unwrap();
    let mut address = String::new();
    BufReader::new(child.stdout.take().unwrap()).read_line(&mut address).unwrap();
    let is_running = child.try_wait().unwrap().is_none();
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(is_running, "it ended");
    assert_eq!(line, "error: no browser could be started; open the address in one yourself\n");
    assert!(address.starts_with("the page is at http://127.0.0.1:"), "{address}");
}

/// A name that is a tag or a path is a name: shown as it was typed, and no part of a path.
#[test]
fn a_name_is_a_name_whatever_it_looks_like() {
    let page = Page::open();
    for name in [
        "<b>Ada</b>",
        "../../etc/Ada",
        "/Ada",
        "C:\\\\Ada",
        "Ada\\u0000",
        "<script>alert(1)</script>",
    ] {
        let body =
            format!(r#"{{"choices": {{"form": "handout", "keys": ["C"], "student": "{name}"}}}}"#);
        let (status, answer) = page.post("/sheet", &body);
        assert_eq!(status, 200);
        let said = String::from_utf8(answer).unwrap();
        // Its words are text on the page; the drawing is markup, where they are escaped.
        let drawing = said.split("\"label\":").next().unwrap();
        assert!(!drawing.contains("<b>") && !drawing.contains("<script"), "{drawing}");
        if let Some((_, rest)) = said.split_once("\"name\":\"") {
            let file = rest.split('"').next().unwrap();
            assert!(file.starts_with("handout-") && !file.contains(['/', '\\', '<']), "{file}");
        } else {
            is_a_sentence(said.as_bytes(), "student");
        }
        let list = format!(
            r#"{{"name": "a.csv", "choices": {{}}, "text": "name,drill,keys\n{name},solid,C\n"}}"#
        );
        let (status, all) = page.post("/class/all", &list);
        assert_eq!(status, 200);
        for (file, _) in super::zipped(&all) {
            let is_within = !file.contains("..") && !file.starts_with('/') && !file.contains('\\');
            assert!(is_within, "{file}");
        }
    }
}

/// 100 MB are refused by what their head says, before they are read; what was open stays open.
#[test]
fn a_hundred_megabytes_are_refused_at_once() {
    let page = Page::open();
    let start = Instant::now();
    let claim = page.head("POST", "/open", "Content-Length: 104857600\r\n");
    let (status, answer) = page.ask(claim.as_bytes());
    assert_eq!(status, 413);
    is_a_sentence(&answer, "larger than 18 MiB");
    assert!(start.elapsed() < Duration::from_secs(5));
    assert_eq!(page.post("/choices", "{}").0, 200);
}
