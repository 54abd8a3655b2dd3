//! From a request to its answer: a function of the two and of what was known at the start, without
//! a socket and without a clock.

use hyper::body::Bytes;
use hyper::{Method, Request, Response, StatusCode};
use serde_json::{Map, Value};

use super::reply::{JSON, MadeReply, ReplyContent, faults, good, refusal, reply};
use super::state::WindowState;
use super::{choices, class, drill, guard, packet, sheet, track, tune};
use crate::glyphs::MusicFace;
use crate::typeset::TextFace;

/// A file of the page itself.
enum PageFile {
    Words(&'static str, &'static str),
    Face(fn() -> &'static [u8]),
}

macro_rules! pieces {
    ($($path:literal $file:literal $kind:literal),* $(,)?) => {
        &[$(($path, PageFile::Words($kind, include_str!(concat!("page/", $file))))),*]
    };
}

const PIECES: &[(&str, PageFile)] = pieces![
    "/" "page.html" "text/html; charset=utf-8",
    "/style.css" "style.css" "text/css; charset=utf-8",
    "/main.js" "main.js" "text/javascript; charset=utf-8",
    "/engine.js" "engine.js" "text/javascript; charset=utf-8",
    "/parts.js" "parts.js" "text/javascript; charset=utf-8",
    "/focus.js" "focus.js" "text/javascript; charset=utf-8",
    "/history.js" "history.js" "text/javascript; charset=utf-8",
    "/ring.js" "ring.js" "text/javascript; charset=utf-8",
    "/form.js" "form.js" "text/javascript; charset=utf-8",
    "/drills.js" "drills.js" "text/javascript; charset=utf-8",
    "/paper.js" "paper.js" "text/javascript; charset=utf-8",
    "/class.js" "class.js" "text/javascript; charset=utf-8",
    "/own.js" "own.js" "text/javascript; charset=utf-8",
    "/tune.js" "tune.js" "text/javascript; charset=utf-8",
    "/packet.js" "packet.js" "text/javascript; charset=utf-8",
    "/track.js" "track.js" "text/javascript; charset=utf-8",
    "/judge.js" "judge.js" "text/javascript; charset=utf-8",
];

const FACES: &[(&str, PageFile)] = &[
    ("/face/music.otf", PageFile::Face(|| MusicFace::BYTES)),
    ("/face/0.otf", PageFile::Face(|| TextFace::Regular.bytes())),
    ("/face/1.otf", PageFile::Face(|| TextFace::Italic.bytes())),
    ("/face/2.otf", PageFile::Face(|| TextFace::Semibold.bytes())),
    ("/face/3.otf", PageFile::Face(|| TextFace::Bold.bytes())),
];

/// What is asked for by its path, and how large the body may be.
struct Route {
    path: &'static str,
    limit: u64,
    make: fn(&WindowState, &Map<String, Value>) -> MadeReply,
}

/// Most bytes of a body without a file in it: choices with a drill's text, or a class list.
const SMALL: u64 = 1024 * 1024;
/// The same where a picture may be among the choices.
const LARGE: u64 = guard::MOST_BYTES;

const ROUTES: &[Route] = &[
    Route { path: BEGIN, limit: SMALL, make: choices::begin },
    Route { path: "/choices", limit: SMALL, make: choices::all },
    Route { path: "/keep", limit: SMALL, make: choices::keep },
    Route { path: "/stay", limit: SMALL, make: |_, _| Ok(good(&Value::Null)) },
    Route { path: "/sheet", limit: LARGE, make: sheet::page },
    Route { path: "/line", limit: SMALL, make: sheet::line },
    Route { path: "/pdf", limit: LARGE, make: sheet::pdf },
    Route { path: "/recipe", limit: LARGE, make: sheet::recipe },
    Route { path: "/open", limit: LARGE, make: sheet::open },
    Route { path: "/class", limit: LARGE, make: class::table },
    Route { path: "/class/sheet", limit: LARGE, make: class::sheet },
    Route { path: "/class/pdf", limit: LARGE, make: class::pdf },
    Route { path: "/class/all", limit: LARGE, make: class::all },
    Route { path: "/class/next", limit: LARGE, make: class::next },
    Route { path: "/notes", limit: LARGE, make: sheet::notes },
    Route { path: "/track", limit: LARGE, make: track::track },
    Route { path: "/track/about", limit: LARGE, make: track::about },
    Route { path: "/tune", limit: SMALL, make: tune::page },
    Route { path: "/tune/pdf", limit: SMALL, make: tune::pdf },
    Route { path: "/packet", limit: LARGE, make: packet::page },
    Route { path: "/packet/pdf", limit: LARGE, make: packet::pdf },
    Route { path: "/tune/library", limit: SMALL, make: tune::library },
    Route { path: "/drill", limit: SMALL, make: drill::judged },
    Route { path: "/drill/library", limit: SMALL, make: drill::library },
];

/// The route that stays open as long as its page is.
pub(super) const STAY: &str = "/stay";
/// The routes that show what was chosen, whose answers depend on what was asked alone.
const SHOWN: &[&str] =
    &["/sheet", "/line", "/tune", "/packet", "/tune/library", "/drill", "/drill/library"];
/// The route by which the page comes by what all others ask for.
const BEGIN: &str = "/begin";

fn piece(path: &str) -> Option<&'static PageFile> {
    PIECES.iter().chain(FACES).find(|(own, _)| *own == path).map(|(_, piece)| piece)
}

fn route(path: &str) -> Option<&'static Route> {
    ROUTES.iter().find(|route| route.path == path)
}

/// Lets the head of a request pass and gives how large its body may be, or refuses it.
pub(super) fn admitted(
    state: &WindowState,
    head: &hyper::http::request::Parts,
) -> Result<u64, Box<Response<ReplyContent>>> {
    let path = head.uri.path();
    let is_piece = head.method == Method::GET && piece(path).is_some();
    let limit = if is_piece { 0 } else { route(path).map_or(SMALL, |route| route.limit) };
    let needs_token = !is_piece && path != BEGIN;
    guard::check(state, head, needs_token, limit)?;
    Ok(limit)
}

/// The answer to a request.
pub(super) fn answer(state: &WindowState, request: Request<Bytes>) -> Response<ReplyContent> {
    let (head, body) = request.into_parts();
    let limit = match admitted(state, &head) {
        Ok(limit) => limit,
        Err(refusal) => return *refusal,
    };
    if body.len() as u64 > limit {
        return guard::too_large();
    }
    let path = head.uri.path();
    match (head.method == Method::GET, piece(path), route(path)) {
        (true, Some(PageFile::Words(kind, words)), _) => reply(StatusCode::OK, kind, *words),
        (true, Some(PageFile::Face(bytes)), _) => reply(StatusCode::OK, "font/otf", bytes()),
        (false, _, Some(route)) => match serde_json::from_slice::<Value>(&body) {
            Ok(Value::Object(asked)) => made(state, route, &asked, &body),
            _ => refusal(StatusCode::BAD_REQUEST, "the request is not understood"),
        },
        (_, None, None) => refusal(StatusCode::NOT_FOUND, "there is no such place"),
        _ => refusal(StatusCode::METHOD_NOT_ALLOWED, "that place is asked in another way"),
    }
}

/// What a route gives: what it gave before, where it is one that shows and does nothing else.
fn made(
    state: &WindowState,
    route: &Route,
    asked: &Map<String, Value>,
    body: &Bytes,
) -> Response<ReplyContent> {
    let is_shown = SHOWN.contains(&route.path);
    if is_shown && let Some(given) = state.lately.given(route.path, body) {
        return reply(StatusCode::OK, JSON, given);
    }
    match (route.make)(state, asked) {
        Ok(made) => {
            if is_shown && let ReplyContent::Whole(bytes) = made.body() {
                state.lately.keep(route.path, body, bytes);
            }
            made
        }
        Err(wrong) => faults(&wrong),
    }
}

#[cfg(test)]
mod tests;
