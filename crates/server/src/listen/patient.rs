//! A stream that gives up on somebody who takes nothing any more.

use std::io::{self, IoSlice};
use std::pin::Pin;
use std::task::{Context, Poll, ready};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep};

/// How long the other end may take nothing (judgement: a phone that changes its access point is
/// back before).
const TAKES_NOTHING_MAX: Duration = Duration::from_secs(30);

/// The stream.
#[derive(Debug)]
pub(super) struct Patient<S> {
    stream: S,
    /// Runs while something waits to be taken.
    patience: Pin<Box<Sleep>>,
    waits: bool,
}

impl<S> Patient<S> {
    pub(super) fn new(stream: S) -> Self {
        let patience = Box::pin(tokio::time::sleep(TAKES_NOTHING_MAX));
        Self { stream, patience, waits: false }
    }

    /// Passes on what became of an attempt to send; an error where it has waited for too long.
    fn within<T>(
        &mut self,
        context: &mut Context<'_>,
        sent: Poll<io::Result<T>>,
    ) -> Poll<io::Result<T>> {
        if sent.is_ready() {
            self.waits = false;
            return sent;
        }
        if !self.waits {
            self.waits = true;
            self.patience.as_mut().reset(Instant::now() + TAKES_NOTHING_MAX);
        }
        ready!(self.patience.as_mut().poll(context));
        Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
    }
}

impl<S: AsyncRead + Unpin> AsyncRead for Patient<S> {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, into)
    }
}

impl<S: AsyncWrite + Unpin> AsyncWrite for Patient<S> {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let sent = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.within(context, sent)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
        parts: &[IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let sent = Pin::new(&mut self.stream).poll_write_vectored(context, parts);
        self.within(context, sent)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let sent = Pin::new(&mut self.stream).poll_flush(context);
        self.within(context, sent)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let sent = Pin::new(&mut self.stream).poll_shutdown(context);
        self.within(context, sent)
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::AsyncWriteExt;

    use super::Patient;

    #[tokio::test(start_paused = true)]
    async fn one_who_takes_nothing_is_given_up() {
        let (near, far) = tokio::io::duplex(8);
        let mut stream = Patient::new(near);
        stream.write_all(b"12345678").await.expect("there is room");
        let late = stream.write_all(b"9").await.expect_err("nobody takes it");
        assert_eq!(late.kind(), std::io::ErrorKind::TimedOut);
        drop(far);
    }
}
