//! The page in the browser over raw sockets: what it listens to, what it refuses before it has read
//! it, and that it makes the bytes that commands make.

mod guard;
mod page;
mod trouble;

use std::fs;
use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{Ipv4Addr, SocketAddr, TcpListener, TcpStream};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// The program with its page, ended when it is dropped.
struct Page {
    child: Child,
    port: u16,
    token: String,
    folder: TempDir,
}

impl Page {
    fn open() -> Self {
        Self::started(&["desk", "--no-browser"], &[])
    }

    fn started(args: &[&str], variables: &[(&str, &str)]) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_quintfall"))
            .args(args)
            .envs(variables.iter().copied())
            .current_dir(folder.path())
            .env("XDG_CONFIG_HOME", folder.path())
            .env("HOME", folder.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut line = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut line).unwrap();
        let address = line.trim().strip_prefix("the page is at http://127.0.0.1:").unwrap();
        let (port, token) = address.split_once("/#").unwrap();
        let (port, token) = (port.parse().unwrap(), token.to_owned());
        Self { child, port, token, folder }
    }

    fn connect(&self) -> TcpStream {
        let stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port)).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(90))).unwrap();
        stream
    }

    /// What comes back for these bytes: the status and the body.
    fn ask(&self, request: &[u8]) -> (u16, Vec<u8>) {
        let mut stream = self.connect();
        // It may be refused while it is still being written.
        let _ = stream.write_all(request);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let end = answer.windows(4).position(|four| four == b"\r\n\r\n").expect("an answer");
        let head = String::from_utf8_lossy(&answer[..end]).into_owned();
        let status = head.split(' ').nth(1).unwrap().parse().unwrap();
        (status, answer[end + 4..].to_vec())
    }

    fn head(&self, method: &str, path: &str, more: &str) -> String {
        let (port, token) = (self.port, &self.token);
        format!(
            "{method} {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nX-Token: {token}\r\n\
             Content-Type: application/json\r\nConnection: close\r\n{more}\r\n"
        )
    }

    fn post(&self, path: &str, body: &str) -> (u16, Vec<u8>) {
        let length = format!("Content-Length: {}\r\n", body.len());
        self.ask((self.head("POST", path, &length) + body).as_bytes())
    }
}

impl Drop for Page {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn the_page_makes_the_bytes_that_a_command_makes() {
    let page = Page::open();
    let choices = r#"{"choices": {"form": "handout", "keys": ["Db", "Gb"], "student": "Zoë", "tempo": "84"}}"#;
    let (status, sheet) = page.post("/pdf", choices);
    assert_eq!(status, 200);
    let file = page.folder.path().join("sheet.pdf");
    let args = ["handout", "--keys", "Db,Gb", "--student", "Zoë", "--tempo", "84", "-o"];
    let made =
        Command::new(env!("CARGO_BIN_EXE_quintfall")).args(args).arg(&file).output().unwrap();
    assert!(made.status.success());
    assert!(fs::read(file).unwrap() == sheet);
}

#[test]
fn tracks_notes_and_charts_are_those_of_commands() {
    let page = Page::open();
    let run = |args: &[&str], name: &str| {
        let file = page.folder.path().join(name);
        let made = Command::new(env!("CARGO_BIN_EXE_quintfall")).args(args).arg(&file).output();
        let made = made.unwrap();
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        fs::read(file).unwrap()
    };
    let sheet = r#""choices": {"form": "handout", "drill": "solid", "keys": ["F"], "tempo": "200", "student": "Zoë"}"#;
    let drill = ["--drill", "solid", "--key", "F", "--tempo", "200", "--student", "Zoë"];
    for kind in ["mid", "wav", "flac"] {
        let track = format!(
            r#"{{{sheet}, "track": {{"as": "{kind}", "with": ["bass", "click"], "swing": "light", "count-in": 2}}}}"#
        );
        let (status, track) = page.post("/track", &track);
        assert_eq!(status, 200);
        let options = ["--with", "bass,click", "--swing", "light", "--count-in", "2", "-o"];
        let args = [&["playalong"], &drill[..], &options[..]].concat();
        assert!(run(&args, &format!("track.{kind}")) == track, "{kind}");
    }
    for kind in ["musicxml", "mxl"] {
        let (status, notes) = page.post("/notes", &format!(r#"{{{sheet}, "as": "{kind}"}}"#));
        assert_eq!(status, 200);
        let args = [&["handout"], &drill[..], &["--musicxml"]].concat();
        assert!(run(&args, &format!("notes.{kind}")) == notes, "{kind}");
    }
    let chart = fs::read_to_string("templates/charts/slate-roof.toml").unwrap();
    let text = page.folder.path().join("mine.toml");
    fs::write(&text, &chart).unwrap();
    let text = text.to_str().unwrap();
    let quoted = chart.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n");
    let asked = format!(r#"{{"text": "{quoted}", "look": {{"key": "D", "for": "Bb"}}}}"#);
    let (status, pdf) = page.post("/tune/pdf", &asked);
    assert_eq!(status, 200);
    assert!(run(&["chart", text, "--key", "D", "--for", "Bb", "-o"], "chart.pdf") == pdf);
    let asked = format!(r#"{{"text": "{quoted}", "choices": {{"keys": ["D"]}}}}"#);
    let (status, track) = page.post("/track", &asked);
    assert_eq!(status, 200);
    assert!(run(&["playalong", "--tune", text, "--key", "D", "-o"], "tune.mid") == track);
    let asked = format!(
        r#"{{"texts": ["{quoted}"], "asked": {{"key": "D", "student": "Zoë", "under": ["shells", "walking"]}}}}"#
    );
    let (status, packet) = page.post("/packet/pdf", &asked);
    assert_eq!(status, 200);
    let args = ["study", text, "--key", "D", "--student", "Zoë", "--under", "shells,walking", "-o"];
    assert!(run(&args, "study.pdf") == packet);
}

/// The tracks of a course are those that a command puts into a folder, name by name.
#[test]
fn the_tracks_of_a_course_are_those_of_a_command() {
    let page = Page::open();
    for kind in ["mid", "flac"] {
        let asked = format!(
            r#"{{"choices": {{"course": ["solid", "pushed"], "keys": ["F"], "tempo": "200"}},
                "track": {{"as": "{kind}", "with": ["click"]}}}}"#
        );
        let (status, all) = page.post("/track", &asked);
        assert_eq!(status, 200);
        let folder = page.folder.path().join(kind);
        let made = Command::new(env!("CARGO_BIN_EXE_quintfall"))
            .args([
                "playalong",
                "--drill",
                "solid",
                "--drill",
                "pushed",
                "--key",
                "F",
                "--tempo",
                "200",
            ])
            .args(["--with", "click", "--as", kind, "-o"])
            .arg(&folder)
            .output()
            .unwrap();
        assert!(made.status.success(), "{}", String::from_utf8_lossy(&made.stderr));
        let files = zipped(&all);
        assert_eq!(files.len(), fs::read_dir(&folder).unwrap().count());
        assert_eq!(files.len(), 3);
        for (name, bytes) in files {
            assert!(fs::read(folder.join(&name)).unwrap() == bytes, "{name}");
        }
    }
}

/// The files in one that holds several as they are, by their headers.
fn zipped(all: &[u8]) -> Vec<(String, Vec<u8>)> {
    let number = |at: usize, bytes: usize| {
        all[at..at + bytes].iter().rev().fold(0, |sum, byte| sum << 8 | usize::from(*byte))
    };
    let (mut files, mut at) = (Vec::new(), 0);
    while all[at..].starts_with(b"PK\x03\x04") {
        let (length, name) = (number(at + 18, 4), number(at + 26, 2));
        let start = at + 30 + name;
        let name = String::from_utf8(all[at + 30..start].to_vec()).unwrap();
        files.push((name, all[start..start + length].to_vec()));
        at = start + length;
    }
    files
}

/// An hour of sound takes no more memory than a minute: it is sent from a file as it is read.
#[cfg(target_os = "linux")]
#[test]
fn memory_does_not_grow_with_the_length_of_sound() {
    let page = Page::open();
    let peak = || {
        let status = fs::read_to_string(format!("/proc/{}/status", page.child.id())).unwrap();
        let line = status.lines().find(|line| line.starts_with("VmHWM")).unwrap();
        line.split_whitespace().nth(1).unwrap().parse::<usize>().unwrap() / 1024
    };
    let mut sizes = Vec::new();
    for choruses in [1, 12] {
        let asked = format!(
            r#"{{"choices": {{"drill": "solid", "keys": ["C"], "tempo": "60"}},
                "track": {{"as": "wav", "with": ["click"], "choruses": {choruses}}}}}"#
        );
        let (status, track) = page.post("/track", &asked);
        assert_eq!(status, 200);
        sizes.push((track.len() / 1024 / 1024, peak()));
    }
    let [(short, before), (long, after)] = sizes[..] else { unreachable!() };
    assert!(long > short + 20, "{sizes:?} MB");
    assert!(after < before + 16, "{sizes:?} MB");
}

/// What stands among the arguments of a browser can be read by others.
#[cfg(target_os = "linux")]
#[test]
fn a_browser_is_started_with_a_code_that_is_good_once() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = tempfile::tempdir().unwrap();
    let (opener, told) = (folder.path().join("xdg-open"), folder.path().join("told"));
    fs::write(
        &opener,
        format!("#!/bin/sh\necho \"$@\" > {0}.new; mv {0}.new {0}\n", told.display()),
    )
    .unwrap();
    fs::set_permissions(&opener, fs::Permissions::from_mode(0o700)).unwrap();
    let path = std::env::var("PATH").unwrap();
    let path = format!("{}:{path}", folder.path().display());
    let page = Page::started(&["desk"], &[("PATH", &path)]);
    let start = Instant::now();
    while !told.exists() {
        assert!(start.elapsed() < Duration::from_secs(20), "no browser was started");
        std::thread::sleep(Duration::from_millis(10));
    }
    let told = fs::read_to_string(told).unwrap();
    let begins = format!("http://127.0.0.1:{}/#once-", page.port);
    let code = told.trim().strip_prefix(&begins).unwrap();
    assert!(!told.contains(&page.token), "{told}");
    let asked = format!(r#"{{"code": "{code}"}}"#);
    let (status, given) = page.post("/begin", &asked);
    assert_eq!(status, 200);
    assert!(String::from_utf8(given).unwrap().contains(&page.token));
    assert_eq!(page.post("/choices", "{}").0, 200);
    assert_eq!(page.post("/begin", &asked).0, 401);
    assert_eq!(page.post("/choices", "{}").0, 401);
}

#[test]
fn strangers_are_refused_over_the_wire() {
    let page = Page::open();
    let port = page.port;
    let status = |request: String| page.ask(request.as_bytes()).0;
    let get = |host: &str| format!("GET / HTTP/1.1\r\n{host}Connection: close\r\n\r\n");
    assert_eq!(status(get(&format!("Host: 127.0.0.1:{port}\r\n"))), 200);
    assert_eq!(status(get(&format!("Host: localhost:{port}\r\n"))), 200);
    for host in [
        String::new(),
        "Host: 127.0.0.1\r\n".to_owned(),
        format!("Host: example.org:{port}\r\n"),
        format!("Host: 127.0.0.1:{port}.example.org\r\n"),
        format!("Host: 127.0.0.1:{port}\r\nHost: 127.0.0.1:{port}\r\n"),
        format!("Host: [::1]:{port}\r\n"),
    ] {
        let found = status(get(&host));
        assert!([400, 421].contains(&found), "{host}: {found}");
    }
    let absolute = format!(
        "GET http://127.0.0.1:{port}/ HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n"
    );
    assert_eq!(status(absolute), 421);
    let no_token = page.head("POST", "/sheet", "Content-Length: 2\r\n").replace(&page.token, "0");
    assert_eq!(status(no_token + "{}"), 401);
    assert_eq!(status(page.head("OPTIONS", "/sheet", "Origin: http://example.org\r\n")), 403);
    assert_eq!(status(page.head("OPTIONS", "/sheet", "")), 405);
    assert_eq!(status(page.head("GET", "/../../etc/passwd", "")), 404);
    assert_eq!(status(page.head("GET", "/%2e%2e/etc/passwd", "")), 404);
    assert_eq!(status("no HTTP at all\r\n\r\n".to_owned()), 400);
}

/// A claim is refused at once, and nothing is read that nobody would look at.
#[test]
fn what_is_too_large_is_refused_without_waiting_for_it() {
    let page = Page::open();
    let start = Instant::now();
    let claim = page.head("POST", "/open", "Content-Length: 1000000000\r\n");
    assert_eq!(page.ask(claim.as_bytes()).0, 413);
    assert!(start.elapsed() < Duration::from_secs(5));
    // One that does not say how large it is.
    let mut chunked = page.head("POST", "/keep", "Transfer-Encoding: chunked\r\n").into_bytes();
    for _ in 0..20 {
        chunked.extend(format!("{:x}\r\n", 65536).bytes());
        chunked.extend(vec![b' '; 65536]);
        chunked.extend(b"\r\n");
    }
    assert_eq!(page.ask(&chunked).0, 413);
    let many: String = (0..80).map(|number| format!("X-{number}: 1\r\n")).collect();
    assert_eq!(page.ask(page.head("GET", "/", &many).as_bytes()).0, 431);
    let long = format!("X-Long: {}\r\n", "x".repeat(40_000));
    assert_eq!(page.ask(page.head("GET", "/", &long).as_bytes()).0, 431);
}

/// Connections that say nothing keep nobody out for longer than they may be silent.
#[test]
fn silent_connections_are_let_go() {
    let page = Page::open();
    let silent: Vec<TcpStream> = (0..64).map(|_| page.connect()).collect();
    let mut one = page.connect();
    one.set_read_timeout(Some(Duration::from_secs(30))).unwrap();
    one.write_all(page.head("GET", "/", "").as_bytes()).unwrap();
    let mut answer = Vec::new();
    one.read_to_end(&mut answer).unwrap();
    assert!(answer.starts_with(b"HTTP/1.1 200"));
    drop(silent);
}

#[test]
fn only_this_machine_is_listened_to() {
    let page = Page::open();
    // Nothing is at the other addresses of the loop.
    let other = SocketAddr::from(([127, 0, 0, 2], page.port));
    assert!(TcpStream::connect_timeout(&other, Duration::from_secs(2)).is_err());
}

#[test]
fn a_port_that_is_taken_is_told() {
    let taken = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let args = ["desk", "--no-browser", "--port", &port];
    let run = Command::new(env!("CARGO_BIN_EXE_quintfall")).args(args).output().unwrap();
    assert_eq!(run.status.code(), Some(2));
    let said = String::from_utf8(run.stderr).unwrap();
    assert_eq!(said.lines().count(), 1, "{said}");
    assert!(said.starts_with(&format!("error: port {port} is taken by another program")), "{said}");
}

/// Two at once do not disturb each other, and what one knows does not open the other.
#[test]
fn two_pages_at_once_are_two() {
    let (one, other) = (Page::open(), Page::open());
    assert_ne!((one.port, &one.token), (other.port, &other.token));
    let head = other.head("POST", "/sheet", "Content-Length: 2\r\n");
    let stolen = head.replace(&other.token, &one.token) + "{}";
    assert_eq!(other.ask(stolen.as_bytes()).0, 401);
}

/// What was chosen is written for its owner's program to find again, wherever its folder is.
#[test]
fn choices_are_kept_in_the_folder_of_settings() {
    let page = Page::open();
    let (status, _) = page.post("/keep", r#"{"state": {"view": "sheet"}}"#);
    assert_eq!(status, 200);
    if cfg!(target_os = "linux") {
        let kept = fs::read_to_string(page.folder.path().join("quintfall/desk.json")).unwrap();
        assert_eq!(kept, r#"{"view":"sheet"}"#);
    }
}

/// A page that is open is a request without an end, whose end is noticed.
#[test]
fn an_open_page_is_held_open() {
    let page = Page::open();
    let mut stream = page.connect();
    stream.set_read_timeout(Some(Duration::from_millis(800))).unwrap();
    let request = page.head("POST", "/stay", "Content-Length: 2\r\n") + "{}";
    stream.write_all(request.as_bytes()).unwrap();
    let mut answer = [0; 4096];
    let length = stream.read(&mut answer).unwrap();
    assert!(answer[..length].starts_with(b"HTTP/1.1 200"));
    // Nothing more comes, and it is not ended either.
    assert!(stream.read(&mut answer).is_err());
}
