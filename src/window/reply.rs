//! What is sent back.

use std::fs::File;

use hyper::body::Bytes;
use hyper::header::{self, HeaderValue};
use hyper::{Response, StatusCode};
use serde_json::{Value, json};

use super::words;
use crate::source::Complaint;

/// What every answer says of itself: it is for this page alone, and the page loads nothing that does
/// not come from here.
const HEADERS: [(&str, &str); 7] = [
    (
        "content-security-policy",
        "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src blob: \
         data:; connect-src 'self'; frame-src blob:; media-src blob:; base-uri 'none'; form-action 'none'; \
         frame-ancestors 'none'",
    ),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "no-referrer"),
    ("cross-origin-resource-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cache-control", "no-store"),
    ("x-frame-options", "DENY"),
];

/// What an answer holds.
#[derive(Debug)]
pub(super) enum ReplyContent {
    /// Bytes.
    Whole(Bytes),
    /// A file without a name, from its beginning, and how long it is: sound and whole classes are
    /// too large to be held in memory. It is gone once it is sent.
    File(File, u64),
}

impl<T: Into<Bytes>> From<T> for ReplyContent {
    fn from(bytes: T) -> Self {
        Self::Whole(bytes.into())
    }
}

/// An answer.
pub(super) fn reply(
    status: StatusCode,
    kind: &'static str,
    body: impl Into<ReplyContent>,
) -> Response<ReplyContent> {
    let mut response = Response::new(body.into());
    *response.status_mut() = status;
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    for (name, value) in HEADERS {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

/// The kind of an answer in JSON.
pub(super) const JSON: &str = "application/json";

/// JSON.
pub(super) fn json_of(status: StatusCode, value: &Value) -> Response<ReplyContent> {
    reply(status, JSON, value.to_string())
}

/// What was asked for.
pub(super) fn good(value: &Value) -> Response<ReplyContent> {
    json_of(StatusCode::OK, value)
}

/// A refusal of the request itself, in a sentence.
pub(super) fn refusal(status: StatusCode, words: &str) -> Response<ReplyContent> {
    json_of(status, &json!({ "refused": [{ "words": words }] }))
}

/// What cannot be made of what was chosen: an answer as good as any, of which no browser complains.
pub(super) fn faults(wrong: &[Complaint]) -> Response<ReplyContent> {
    let faults: Vec<Value> = wrong.iter().map(words::fault).collect();
    good(&json!({ "refused": faults }))
}

/// An answer or what is wrong.
pub(super) type MadeReply = Result<Response<ReplyContent>, Vec<Complaint>>;
