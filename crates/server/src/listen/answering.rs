//! Answers on one connection: what its first byte says it speaks, then request after request.

use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::Router;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::Request;
use hyper::body::{Frame, Incoming, SizeHint};
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpStream;
use tokio::sync::watch;
use tower_service::Service;

use super::connections::{Asked, Place};
use super::patient::Patient;
use super::peer::Peer;
use crate::tls::Tls;

/// How long the head of a request may take, and a connection be silent between two of them; also how
/// long it may take to agree on a cipher. Judgement: a page asks in milliseconds.
const HEAD_READ_MAX: Duration = Duration::from_secs(10);
/// Most header lines of a request (judgement: browsers send some twenty).
const HEADERS_MAX: usize = 64;
/// Most bytes of a request's head. Browsers send the cookies of every port of a name, so it is not
/// less: 32 KiB, judgement.
const HEAD_BYTES_MAX: usize = 32 * 1024;
/// First byte of somebody who wants to agree on a cipher (RFC 8446, section 5.1: handshake).
const HANDSHAKE: u8 = 22;

/// What answers, and over what.
#[derive(Clone)]
pub(crate) struct Answering {
    /// All routes.
    pub(crate) router: Router,
    /// The certificate, where there is one.
    pub(crate) tls: Option<Tls>,
}

/// The life of a connection.
pub(super) async fn answer(
    stream: TcpStream,
    peer: Peer,
    answering: Answering,
    place: Place,
    stopping: watch::Receiver<bool>,
) {
    tokio::select! {
        () = place.shed() => {}
        () = speak(stream, peer, answering, &place, stopping) => {}
    }
}

async fn speak(
    stream: TcpStream,
    mut peer: Peer,
    answering: Answering,
    place: &Place,
    stopping: watch::Receiver<bool>,
) {
    let Answering { router, tls } = answering;
    let Some(tls) = tls else { return requests(stream, peer, router, place, stopping).await };
    let mut first = [0];
    match tokio::time::timeout(HEAD_READ_MAX, stream.peek(&mut first)).await {
        Ok(Ok(1)) => {}
        _ => return,
    }
    if first[0] != HANDSHAKE {
        return requests(stream, peer, router, place, stopping).await;
    }
    peer.tls = true;
    if let Ok(Ok(stream)) = tokio::time::timeout(HEAD_READ_MAX, tls.accept(stream)).await {
        requests(stream, peer, router, place, stopping).await;
    }
}

async fn requests(
    stream: impl AsyncRead + AsyncWrite + Unpin,
    peer: Peer,
    router: Router,
    place: &Place,
    mut stopping: watch::Receiver<bool>,
) {
    let service = service_fn(move |request: Request<Incoming>| {
        let asked = place.ask();
        let mut request = request.map(Body::new);
        request.extensions_mut().insert(peer);
        let mut router = router.clone();
        async move {
            let answer = router.call(request).await;
            answer.map(|answer| answer.map(|body| Body::new(Held { body, _asked: asked })))
        }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_READ_MAX)
        .max_headers(HEADERS_MAX)
        .max_buf_size(HEAD_BYTES_MAX)
        .serve_connection(TokioIo::new(Patient::new(stream)), service);
    tokio::pin!(connection);
    // Told before this began, or while it goes on.
    let told = async {
        let _ = stopping.wait_for(|stop| *stop).await;
    };
    tokio::select! {
        // What the other end broke is no fault of ours.
        _ = connection.as_mut() => return,
        () = told => connection.as_mut().graceful_shutdown(),
    }
    let _ = connection.await;
}

/// The body of an answer: a feed is being answered until its last byte.
struct Held {
    body: Body,
    _asked: Asked,
}

impl HttpBody for Held {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        Pin::new(&mut self.body).poll_frame(context)
    }

    fn is_end_stream(&self) -> bool {
        self.body.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.body.size_hint()
    }
}

#[cfg(test)]
mod tests {
    use std::net::SocketAddr;
    use std::sync::Arc;

    use axum::Router;
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::sync::watch;

    use super::super::connections::Connections;
    use super::{Peer, requests};

    #[tokio::test(start_paused = true)]
    async fn a_head_that_never_ends_is_given_up() {
        let (near, mut far) = tokio::io::duplex(1024);
        let here = SocketAddr::from(([127, 0, 0, 1], 1));
        let peer = Peer { remote: here, local: here, tls: false };
        let place = Arc::new(Connections::default()).place().unwrap();
        let (_stop, stopping) = watch::channel(false);
        far.write_all(b"GET / HTTP/1.1\r\nHost: a").await.unwrap();
        requests(near, peer, Router::new(), &place, stopping).await;
        let mut answer = String::new();
        far.read_to_string(&mut answer).await.unwrap();
        assert!(!answer.contains(" 200 "), "{answer}");
    }
}
