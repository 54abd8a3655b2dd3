//! The page in the browser: a front beside the command line, for whoever never opened a terminal.
//!
//! `serve` listens on this machine alone (`wire` is how bytes come in, `peer` whose they are) and hands
//! each request, once `guard` and `door` let it pass, to `answer`, a function of the request and of
//! what was known at the start (`lately` keeps what it gave); `browser` opens the page. The routes are in `sheet`, `track`, `tune`, `packet`,
//! `class` and `drill`, what can be chosen at all in `choices`; each turns JSON into an errand of the
//! desk and what comes back into JSON, in the `words` of a page. The page itself stands in `page/`,
//! as it is sent.
//!
//! The page can do nothing that a command cannot, and names no file: what it brings it hands in, and
//! what it takes goes through the browser.

mod answer;
mod browser;
mod choices;
mod class;
mod door;
mod drill;
mod guard;
mod lately;
mod packet;
mod peer;
mod reply;
mod serve;
mod sheet;
mod state;
mod track;
mod tune;
mod wire;
mod words;

pub(crate) use serve::Window;
