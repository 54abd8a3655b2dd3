//! Listening on this machine, and ending once the last page is closed.

use std::convert::Infallible;
use std::fs::File;
use std::io::{self, Read as _};
use std::net::{Ipv4Addr, TcpListener};
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use hyper::body::{Body, Bytes, Frame, Incoming};
use hyper::header::{CONNECTION, HeaderValue};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper::{Request, Response, StatusCode};
use tokio::sync::{Semaphore, watch};
use tokio::time::{sleep, timeout};

use super::answer::{STAY, admitted, answer};
use super::door::Door;
use super::guard::{self, MOST_CONNECTIONS, MOST_HEAD, MOST_HEADERS, SECONDS};
use super::lately::Lately;
use super::reply::{ReplyContent, refusal};
use super::state::WindowState;
use super::wire::{NoBody, WakeClock, Wire, whole};
use super::{browser, peer};
use crate::desk::show::memory::Memory;
use crate::source::Complaint;

/// How long the program goes on once the last page is closed: enough to load one anew.
const GRACE: Duration = Duration::from_secs(20);

/// The page, ready to be shown.
pub(crate) struct Window {
    listener: TcpListener,
    state: Arc<WindowState>,
}

impl Window {
    /// Listens on this machine: on a port, or on whichever is free.
    ///
    /// Errors if the port is taken or the system gives none.
    pub(crate) fn open(port: Option<u16>) -> Result<Self, Complaint> {
        let failed = |error: io::Error| cannot_listen(port, &error);
        let listener =
            TcpListener::bind((Ipv4Addr::LOCALHOST, port.unwrap_or(0))).map_err(failed)?;
        listener.set_nonblocking(true).map_err(failed)?;
        let port = listener.local_addr().map_err(failed)?.port();
        let state = Arc::new(WindowState {
            door: Door::new()?,
            port,
            memory: Memory::usual(),
            lately: Lately::default(),
        });
        Ok(Self { listener, state })
    }

    /// The address of the page, with the token that opens it.
    pub(crate) fn address(&self) -> String {
        let WindowState { port, door, .. } = &*self.state;
        format!("http://127.0.0.1:{port}/#{}", door.token)
    }

    /// Shows the page in the browser. Errors if none can be started.
    ///
    /// The address that it is started with opens the page once, since others may read it.
    pub(crate) fn show(&self) -> Result<(), Complaint> {
        let WindowState { port, door, .. } = &*self.state;
        browser::open(&format!("http://127.0.0.1:{port}/#once-{}", door.code)).map_err(|_| {
            let problem = "no browser could be started";
            Complaint::new(problem).mend("open the address in one yourself")
        })
    }

    /// Answers until the last page has been closed for a while.
    pub(crate) fn serve(self) -> Result<(), Complaint> {
        let failed = |error: io::Error| cannot_listen(Some(self.state.port), &error);
        let runtime =
            tokio::runtime::Builder::new_current_thread().enable_io().enable_time().build();
        let runtime = runtime.map_err(failed)?;
        let (pages, mut watched) = watch::channel(0);
        let served = runtime.block_on(async {
            let listener = tokio::net::TcpListener::from_std(self.listener).map_err(failed)?;
            tokio::spawn(accept(listener, Arc::clone(&self.state), Arc::new(pages)));
            all_closed(&mut watched, GRACE).await;
            Ok(())
        });
        // Whoever still waits for an answer has gone.
        runtime.shutdown_background();
        served
    }
}

fn cannot_listen(port: Option<u16>, error: &io::Error) -> Complaint {
    match (port, error.kind()) {
        (Some(port), io::ErrorKind::AddrInUse) => {
            let problem = format!("port {port} is taken by another program");
            Complaint::new(problem).mend("choose another, or none, and a free one is found")
        }
        (Some(port), io::ErrorKind::PermissionDenied) => {
            let problem = format!("port {port} is not permitted");
            Complaint::new(problem).mend("choose one from 1024 to 65535")
        }
        _ => Complaint::new(format!("the page cannot be offered: {error}")).mend("try again"),
    }
}

/// Waits until a page was open and none has been for a while.
async fn all_closed(pages: &mut watch::Receiver<usize>, grace: Duration) {
    if pages.wait_for(|count| *count > 0).await.is_err() {
        return;
    }
    loop {
        if pages.wait_for(|count| *count == 0).await.is_err() {
            return;
        }
        let again = timeout(grace, pages.wait_for(|count| *count > 0)).await;
        if again.is_err() {
            return;
        }
    }
}

/// Accepts connections, so many at a time.
async fn accept(
    listener: tokio::net::TcpListener,
    state: Arc<WindowState>,
    pages: Arc<watch::Sender<usize>>,
) {
    let places = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    loop {
        let Ok(place) = Arc::clone(&places).acquire_owned().await else { return };
        let (stream, peer) = match listener.accept().await {
            Ok(accepted) => accepted,
            Err(_) => {
                // Out of files for the moment; there is nobody to tell.
                sleep(Duration::from_millis(50)).await;
                continue;
            }
        };
        let (state, pages) = (Arc::clone(&state), Arc::clone(&pages));
        tokio::spawn(async move {
            if stream.local_addr().is_ok_and(|own| peer::is_strange(peer, own)) {
                return;
            }
            // Otherwise the end of a large answer may wait until its beginning has been acknowledged.
            let _ = stream.set_nodelay(true);
            let service = service_fn(|request| {
                let (state, pages) = (Arc::clone(&state), Arc::clone(&pages));
                async move { Ok::<_, Infallible>(served(state, pages, request).await) }
            });
            let mut http = http1::Builder::new();
            http.timer(WakeClock)
                .header_read_timeout(Duration::from_secs(SECONDS))
                .max_headers(MOST_HEADERS)
                .max_buf_size(MOST_HEAD);
            // Whoever breaks off has gone; there is nobody to tell.
            let _ = http.serve_connection(Wire(stream), service).await;
            drop(place);
        });
    }
}

/// Reads a request as far as it is let pass, and answers it on another thread, so that a slow answer
/// keeps nobody else waiting and one that panics ends nothing but itself.
async fn served(
    state: Arc<WindowState>,
    pages: Arc<watch::Sender<usize>>,
    request: Request<Incoming>,
) -> Response<Reply> {
    let (head, body) = request.into_parts();
    let limit = match admitted(&state, &head) {
        Ok(limit) => limit,
        Err(refusal) => return closing(*refusal),
    };
    let most = usize::try_from(limit).unwrap_or(usize::MAX);
    let body = match timeout(Duration::from_secs(SECONDS), whole(body, most)).await {
        Err(_) => {
            return closing(refusal(StatusCode::REQUEST_TIMEOUT, "the request took too long"));
        }
        Ok(Err(NoBody::TooLarge)) => return closing(guard::too_large()),
        Ok(Err(NoBody::Broken)) => {
            return closing(refusal(StatusCode::BAD_REQUEST, "the request did not arrive whole"));
        }
        Ok(Ok(body)) => body,
    };
    let stays = head.uri.path() == STAY;
    let request = Request::from_parts(head, body);
    let response = apart(move || answer(&state, request)).await;
    if stays && response.status() == StatusCode::OK {
        pages.send_modify(|count| *count += 1);
        return response.map(|_| Reply::Open(OpenPage(pages)));
    }
    response.map(Reply::from)
}

/// Makes an answer on another thread.
async fn apart(
    make: impl FnOnce() -> Response<ReplyContent> + Send + 'static,
) -> Response<ReplyContent> {
    tokio::task::spawn_blocking(make).await.unwrap_or_else(|_| {
        let words = "something is wrong with the program; choose otherwise, and tell its makers";
        refusal(StatusCode::INTERNAL_SERVER_ERROR, words)
    })
}

/// A refusal after which the connection ends, since the rest of the request is not read.
fn closing(mut response: Response<ReplyContent>) -> Response<Reply> {
    response.headers_mut().insert(CONNECTION, HeaderValue::from_static("close"));
    response.map(Reply::from)
}

/// A page that is open.
struct OpenPage(Arc<watch::Sender<usize>>);

impl Drop for OpenPage {
    fn drop(&mut self) {
        self.0.send_modify(|count| *count = count.saturating_sub(1));
    }
}

/// Most bytes of a file that are in memory at once.
const AT_ONCE: usize = 64 * 1024;

/// A body: whole, a file, or without an end as long as its page is open.
enum Reply {
    Whole(Bytes),
    /// A file, and how much of it is yet to be sent.
    File(File, u64),
    Open(#[expect(dead_code, reason = "it is there to be dropped")] OpenPage),
}

impl From<ReplyContent> for Reply {
    fn from(content: ReplyContent) -> Self {
        match content {
            ReplyContent::Whole(bytes) => Self::Whole(bytes),
            ReplyContent::File(file, length) => Self::File(file, length),
        }
    }
}

/// The next bytes of a file of which so many are yet to be sent. Errors if it ends before that.
fn next_of(file: &mut File, left: &mut u64) -> io::Result<Bytes> {
    let most = usize::try_from(*left).unwrap_or(AT_ONCE).min(AT_ONCE);
    let mut bytes = vec![0; most];
    file.read_exact(&mut bytes)?;
    *left -= most as u64;
    Ok(bytes.into())
}

impl Body for Reply {
    type Data = Bytes;
    type Error = io::Error;

    fn poll_frame(
        self: Pin<&mut Self>,
        _: &mut Context<'_>,
    ) -> Poll<Option<io::Result<Frame<Bytes>>>> {
        match self.get_mut() {
            Self::Whole(bytes) if bytes.is_empty() => Poll::Ready(None),
            Self::Whole(bytes) => Poll::Ready(Some(Ok(Frame::data(std::mem::take(bytes))))),
            Self::File(_, 0) => Poll::Ready(None),
            // It was written a moment ago, so the system has it in memory: nobody waits long.
            Self::File(file, left) => Poll::Ready(Some(next_of(file, left).map(Frame::data))),
            Self::Open(_) => Poll::Pending,
        }
    }

    fn is_end_stream(&self) -> bool {
        match self {
            Self::Whole(bytes) => bytes.is_empty(),
            Self::File(_, left) => *left == 0,
            Self::Open(_) => false,
        }
    }

    fn size_hint(&self) -> hyper::body::SizeHint {
        match self {
            Self::Whole(bytes) => hyper::body::SizeHint::with_exact(bytes.len() as u64),
            Self::File(_, left) => hyper::body::SizeHint::with_exact(*left),
            Self::Open(_) => hyper::body::SizeHint::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn runtime() -> tokio::runtime::Runtime {
        tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap()
    }

    #[test]
    fn an_answer_that_panics_ends_nothing_but_itself() {
        let response = runtime().block_on(apart(|| panic!("on purpose")));
        assert_eq!(response.status(), StatusCode::INTERNAL_SERVER_ERROR);
        assert!(response.headers().contains_key("content-security-policy"));
    }

    #[test]
    fn it_ends_once_the_last_page_has_been_closed_for_a_while() {
        let grace = Duration::from_millis(60);
        runtime().block_on(async {
            let (pages, mut watched) = watch::channel(0);
            let pages = Arc::new(pages);
            // Before the first page there is nothing to end for.
            assert!(timeout(3 * grace, all_closed(&mut watched, grace)).await.is_err());
            let open = |pages: &Arc<watch::Sender<usize>>| {
                pages.send_modify(|count| *count += 1);
                OpenPage(Arc::clone(pages))
            };
            let (first, second) = (open(&pages), open(&pages));
            drop(first);
            assert!(timeout(3 * grace, all_closed(&mut watched, grace)).await.is_err());
            // A page that is loaded anew is away for a moment.
            drop(second);
            let again = open(&pages);
            assert!(timeout(3 * grace, all_closed(&mut watched, grace)).await.is_err());
            let ended = timeout(10 * grace, all_closed(&mut watched, grace));
            let closed = async move {
                sleep(grace / 4).await;
                drop(again);
            };
            let task = tokio::task::LocalSet::new();
            task.spawn_local(closed);
            assert!(task.run_until(ended).await.is_ok());
        });
    }
}
