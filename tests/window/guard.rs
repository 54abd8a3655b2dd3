//! The guard line by line, over the wire: what a page of the web, another program or another user of
//! this machine could try. The lines on this machine alone, hosts, tokens and sizes are in the root.

use std::io::{Read as _, Write as _};
use std::time::{Duration, Instant};

use super::Page;

impl Page {
    /// The head of what comes back, in small letters, and its status.
    fn head_of(&self, request: &[u8]) -> (u16, String) {
        let mut stream = self.connect();
        let _ = stream.write_all(request);
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        let answer = String::from_utf8_lossy(&answer).into_owned();
        let head = answer.split("\r\n\r\n").next().unwrap().to_lowercase();
        (head.split(' ').nth(1).unwrap().parse().unwrap(), head)
    }
}

/// Third line: where a request comes from, as browsers say it.
#[test]
fn another_page_is_refused_whatever_it_is_called() {
    let page = Page::open();
    let port = page.port;
    let status = |more: &str| {
        let more = format!("{more}Content-Length: 2\r\n");
        page.ask((page.head("POST", "/choices", &more) + "{}").as_bytes()).0
    };
    for own in [
        String::new(),
        format!("Origin: http://127.0.0.1:{port}\r\n"),
        format!("Origin: http://localhost:{port}\r\nSec-Fetch-Site: same-origin\r\n"),
    ] {
        assert_eq!(status(&own), 200, "{own}");
    }
    for other in [
        "Origin: null\r\n".to_owned(),
        "Origin: http://example.org\r\n".to_owned(),
        format!("Origin: https://127.0.0.1:{port}\r\n"),
        format!("Origin: http://127.0.0.1:{}\r\n", port ^ 1),
        format!("Origin: http://127.0.0.1:{port}.example.org\r\n"),
        format!("Origin: http://127.0.0.1:{port}\r\nOrigin: http://127.0.0.1:{port}\r\n"),
        "Sec-Fetch-Site: cross-site\r\n".to_owned(),
        "Sec-Fetch-Site: same-site\r\n".to_owned(),
        "Sec-Fetch-Site: none\r\n".to_owned(),
    ] {
        assert_eq!(status(&other), 403, "{other}");
    }
}

/// Fourth line: nothing that is given without the token has it.
#[test]
fn the_token_stands_in_no_piece_of_the_page() {
    let page = Page::open();
    for path in ["/", "/main.js", "/engine.js", "/style.css"] {
        let request =
            page.head("GET", path, "").replace(&format!("X-Token: {}\r\n", page.token), "");
        let (status, body) = page.ask(request.as_bytes());
        assert_eq!(status, 200, "{path}");
        assert!(!String::from_utf8_lossy(&body).contains(&page.token), "{path}");
    }
    for token in
        ["", "0", &page.token[1..], &format!("{}0", page.token), &page.token.to_uppercase()]
    {
        if *token == *page.token {
            continue;
        }
        let head = page.head("POST", "/choices", "Content-Length: 2\r\n");
        let asked = head.replace(&page.token, token) + "{}";
        assert_eq!(page.ask(asked.as_bytes()).0, 401, "{token:?}");
    }
}

/// Fifth line: what a form of another page can send is not understood.
#[test]
fn forms_are_not_understood() {
    let page = Page::open();
    let head = page.head("POST", "/choices", "Content-Length: 2\r\n");
    for kind in ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""] {
        let asked = head.replace("application/json", kind) + "{}";
        assert_eq!(page.ask(asked.as_bytes()).0, 415, "{kind:?}");
    }
    for method in ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "HEAD"] {
        let asked = page.head(method, "/choices", "");
        assert_eq!(page.ask(asked.as_bytes()).0, 405, "{method}");
    }
}

/// Sixth line: whatever is called like a file is none.
#[test]
fn no_name_leads_to_a_file() {
    let page = Page::open();
    let secret = page.folder.path().join("secret.toml");
    std::fs::write(&secret, "title = \"the secret\"").unwrap();
    for path in [secret.to_str().unwrap(), "secret.toml", "../../../../etc/passwd", "/etc/passwd"] {
        for (route, body) in [
            ("/sheet", format!(r#"{{"choices": {{"form": "handout", "drill": "{path}"}}}}"#)),
            ("/sheet", format!(r#"{{"choices": {{"form": "handout", "template": "{path}"}}}}"#)),
            ("/sheet", format!(r#"{{"choices": {{"course": ["{path}"]}}}}"#)),
            ("/sheet", format!(r#"{{"choices": {{"form": "handout", "logo": "{path}"}}}}"#)),
            ("/drill/library", format!(r#"{{"name": "{path}"}}"#)),
            ("/tune", format!(r#"{{"text": "{path}"}}"#)),
            ("/packet", format!(r#"{{"texts": ["{path}"]}}"#)),
            ("/track", format!(r#"{{"text": "{path}"}}"#)),
            ("/track", format!(r#"{{"choices": {{"drill": "{path}"}}}}"#)),
            ("/class", format!(r#"{{"name": "{path}", "text": "name\nAda\n", "choices": {{}}}}"#)),
            ("/open", format!(r#"{{"name": "{path}", "data": ""}}"#)),
        ] {
            let (status, body) = page.post(route, &body);
            let said = String::from_utf8_lossy(&body).into_owned();
            assert_eq!(status, 200, "{route} {path}: {said}");
            assert!(
                !said.contains("the secret") && !said.contains("root:"),
                "{route} {path}: {said}"
            );
            let is_list = route == "/class";
            let is_refused = said.contains("\"refused\"") || said.contains("\"line\"");
            // A picture that is named and not handed in is none.
            assert!(
                is_list || is_refused || said.contains("\"drawing\""),
                "{route} {path}: {said}"
            );
        }
    }
}

/// Seventh line: a body that does not come is not waited for.
#[test]
fn a_body_that_does_not_come_is_let_go() {
    let page = Page::open();
    let mut stream = page.connect();
    stream.set_read_timeout(Some(Duration::from_secs(40))).unwrap();
    let start = Instant::now();
    stream.write_all(page.head("POST", "/choices", "Content-Length: 20\r\n").as_bytes()).unwrap();
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    assert!(answer.starts_with(b"HTTP/1.1 408"), "{}", String::from_utf8_lossy(&answer));
    assert!(start.elapsed() > Duration::from_secs(5));
}

/// Eighth line: whatever is answered, granted or refused, may load nothing and be kept nowhere.
#[test]
fn every_answer_says_what_may_be_done_with_it() {
    let page = Page::open();
    let json = |path: &str| page.head("POST", path, "Content-Length: 2\r\n") + "{}";
    for (request, status) in [
        (page.head("GET", "/", ""), 200),
        (json("/choices"), 200),
        (json("/pdf"), 200),
        (page.head("GET", "/nowhere", ""), 404),
        (page.head("GET", "/choices", ""), 405),
        (json("/choices").replace(&page.token, "0"), 401),
        (json("/choices").replace("Host: 127", "Host: 128"), 421),
        (json("/choices").replace("application/json", "text/plain"), 415),
        (page.head("POST", "/choices", "Content-Length: 99999999\r\n"), 413),
        (page.head("GET", "/", "Origin: null\r\n"), 403),
    ] {
        let (found, head) = page.head_of(request.as_bytes());
        assert_eq!(found, status, "{head}");
        for line in [
            "content-security-policy: default-src 'none'; script-src 'self';",
            "frame-ancestors 'none'",
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "cross-origin-resource-policy: same-origin",
            "cross-origin-opener-policy: same-origin",
            "cache-control: no-store",
        ] {
            assert!(head.contains(line), "{status} without {line}: {head}");
        }
        assert!(!head.contains("access-control-"), "{head}");
    }
}
