//! Who may ask, and how much: everything that can be known from the head of a request is checked
//! before its body is read.
//!
//! Only this machine can reach the page, but any program and any page of the web that this machine's
//! browser shows could try to: a name of theirs may lead here, so `Host` is checked; a page of theirs
//! may send here, so `Origin` and `Sec-Fetch-Site` are; and what is asked for must bear the token of
//! this run, which stands behind the `#` of the address and is never sent by itself.

use hyper::header::{self, HeaderMap, HeaderName, HeaderValue};
use hyper::http::request::Parts;
use hyper::{Method, Response, StatusCode};

use super::reply::{ReplyContent, refusal};
use super::state::WindowState;

/// Where a request bears its token.
const TOKEN: &str = "x-token";

/// Most bytes of a body: a sheet with a large picture, in base64.
pub(super) const MOST_BYTES: u64 = 24 * 1024 * 1024;
/// Most headers of a request, and most bytes of its head.
pub(super) const MOST_HEADERS: usize = 64;
pub(super) const MOST_HEAD: usize = 32 * 1024;
/// Most connections at once.
pub(super) const MOST_CONNECTIONS: usize = 64;
/// Seconds for a head, and for a body.
pub(super) const SECONDS: u64 = 10;

/// Lets a request pass, or gives the refusal. `needs_token` says whether it asks for anything but the
/// page itself; `limit` how large its body may be.
pub(super) fn check(
    state: &WindowState,
    head: &Parts,
    needs_token: bool,
    limit: u64,
) -> Result<(), Box<Response<ReplyContent>>> {
    let no = |status, words: &str| Err(Box::new(refusal(status, words)));
    let headers = &head.headers;
    // What comes at once may be longer than what is waited for.
    let length = |(name, value): (&HeaderName, &HeaderValue)| name.as_str().len() + value.len();
    let bytes = head.uri.path().len() + headers.iter().map(length).sum::<usize>();
    if headers.len() > MOST_HEADERS || bytes > MOST_HEAD {
        let words = "the head of the request is too large";
        return no(StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE, words);
    }
    if head.uri.scheme().is_some() || head.uri.authority().is_some() {
        return no(StatusCode::MISDIRECTED_REQUEST, "this is no proxy");
    }
    let own = [format!("127.0.0.1:{}", state.port), format!("localhost:{}", state.port)];
    let is_own = |host: &str| own.iter().any(|own| own == host);
    if !only(headers, header::HOST.as_str()).is_some_and(is_own) {
        return no(StatusCode::MISDIRECTED_REQUEST, "nothing of that name is here");
    }
    if headers.contains_key(header::ORIGIN) {
        let origin = only(headers, header::ORIGIN.as_str());
        let host = origin.and_then(|origin| origin.strip_prefix("http://"));
        if !host.is_some_and(is_own) {
            return no(StatusCode::FORBIDDEN, "another page asks");
        }
    }
    let is_get = head.method == Method::GET;
    if headers.contains_key("sec-fetch-site") {
        match only(headers, "sec-fetch-site") {
            Some("same-origin") => {}
            Some("none") if is_get => {}
            _ => return no(StatusCode::FORBIDDEN, "another page asks"),
        }
    }
    if !is_get && head.method != Method::POST {
        return no(StatusCode::METHOD_NOT_ALLOWED, "only GET and POST are known here");
    }
    if needs_token {
        let found = only(headers, TOKEN).unwrap_or_default();
        if !state.door.admits(found) {
            let words = "this page is of an earlier run; open the address that was told last";
            return no(StatusCode::UNAUTHORIZED, words);
        }
    }
    if head.method == Method::POST {
        let kind = only(headers, header::CONTENT_TYPE.as_str()).unwrap_or_default();
        let kind = kind.split(';').next().unwrap_or_default().trim();
        if !kind.eq_ignore_ascii_case("application/json") {
            return no(StatusCode::UNSUPPORTED_MEDIA_TYPE, "only JSON is understood here");
        }
    }
    // A claim alone is enough, so that nothing is waited for.
    let stated = only(headers, header::CONTENT_LENGTH.as_str());
    let stated = stated.and_then(|length| length.parse::<u64>().ok()).unwrap_or(0);
    if stated > limit {
        return Err(Box::new(too_large()));
    }
    Ok(())
}

/// The refusal of a body that is too large.
pub(super) fn too_large() -> Response<ReplyContent> {
    let words =
        format!("it is larger than {} MiB; choose another file", (MOST_BYTES / 4 * 3) >> 20);
    refusal(StatusCode::PAYLOAD_TOO_LARGE, &words)
}

/// A header that is there once.
fn only<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    let mut all = headers.get_all(name).iter();
    let first = all.next()?;
    if all.next().is_some() { None } else { first.to_str().ok() }
}
