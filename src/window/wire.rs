//! What lies between the connection and the reading of requests: bytes, naps and whole bodies.

use std::future::{Future, poll_fn};
use std::io;
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::{Duration, Instant};

use hyper::body::{Body, Bytes};
use hyper::rt::{Read, ReadBufCursor, Sleep, Timer, Write};
use tokio::io::{AsyncRead as _, AsyncWrite as _, ReadBuf};
use tokio::net::TcpStream;

/// Bytes that are read at once.
const AT_ONCE: usize = 8 * 1024;

/// A connection.
pub(super) struct Wire(pub(super) TcpStream);

impl Read for Wire {
    fn poll_read(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
        mut into: ReadBufCursor<'_>,
    ) -> Poll<io::Result<()>> {
        let mut bytes = [0; AT_ONCE];
        let most = into.remaining().min(AT_ONCE);
        let mut read = ReadBuf::new(&mut bytes[..most]);
        ready!(Pin::new(&mut self.get_mut().0).poll_read(context, &mut read))?;
        into.put_slice(read.filled());
        Poll::Ready(Ok(()))
    }
}

impl Write for Wire {
    fn poll_write(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.get_mut().0).poll_write(context, bytes)
    }

    fn poll_flush(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().0).poll_flush(context)
    }

    fn poll_shutdown(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().0).poll_shutdown(context)
    }
}

/// Wakes whoever waits for a time.
#[derive(Clone, Copy)]
pub(super) struct WakeClock;

struct Nap(Pin<Box<tokio::time::Sleep>>);

impl Future for Nap {
    type Output = ();

    fn poll(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<()> {
        self.0.as_mut().poll(context)
    }
}

impl Sleep for Nap {}

impl Timer for WakeClock {
    fn sleep(&self, duration: Duration) -> Pin<Box<dyn Sleep>> {
        Box::pin(Nap(Box::pin(tokio::time::sleep(duration))))
    }

    fn sleep_until(&self, deadline: Instant) -> Pin<Box<dyn Sleep>> {
        Box::pin(Nap(Box::pin(tokio::time::sleep_until(deadline.into()))))
    }
}

/// Why a body is not there.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum NoBody {
    /// It is larger than it may be.
    TooLarge,
    /// It broke off.
    Broken,
}

/// A whole body, of so many bytes at the most.
pub(super) async fn whole(
    mut body: impl Body<Data = Bytes> + Unpin,
    most: usize,
) -> Result<Bytes, NoBody> {
    let mut all = Vec::new();
    while let Some(frame) = poll_fn(|context| Pin::new(&mut body).poll_frame(context)).await {
        let frame = frame.map_err(|_| NoBody::Broken)?;
        // What is no data comes after all data, and says nothing here.
        let Ok(data) = frame.into_data() else { continue };
        if data.len() > most - all.len() {
            return Err(NoBody::TooLarge);
        }
        all.extend_from_slice(&data);
    }
    Ok(all.into())
}
