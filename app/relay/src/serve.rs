//! Sockets: takes connections, keeps each within its time, and stops in order.

use std::future::Future;
use std::net::IpAddr;
use std::pin::pin;
use std::time::Duration;

use axum::Router;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::{Service, service_fn};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};
use tokio_rustls::TlsAcceptor;

/// What one client, or all of them, may take. Without bounds a few phones on a
/// bad network, or one ill-meaning program, would hold every connection.
#[derive(Clone, Copy, Debug)]
pub struct Limits {
    /// Connections at a time; more wait in the system's queue.
    pub connections: usize,
    /// For the TLS handshake.
    pub handshake: Duration,
    /// From one answer to the end of the next request's head, so also how long an
    /// idle connection is kept.
    pub head: Duration,
    /// After this long a connection takes no further request.
    pub life: Duration,
    /// Then for the answer that is on its way, however slowly it is read.
    pub last_answer: Duration,
    /// For all answers on their way when the process is told to stop.
    pub stop: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            connections: 512,
            handshake: Duration::from_secs(10),
            head: Duration::from_secs(15),
            life: Duration::from_secs(120),
            // The first load is about 350 KB: 3 KB a second are enough for it.
            last_answer: Duration::from_secs(60),
            stop: Duration::from_secs(5),
        }
    }
}

/// Where a connection comes from. It is for counting alone and never logged.
#[derive(Clone, Copy, Debug)]
pub struct Peer(pub IpAddr);

/// The longest request head, in bytes.
const MAX_HEAD_BYTES: usize = 16 * 1024;

/// Serves until `stop` is done, then lets answers on their way end within
/// [`Limits::stop`] and returns.
pub async fn serve(
    listener: TcpListener,
    site: Router,
    tls: Option<TlsAcceptor>,
    limits: Limits,
    stop: impl Future<Output = ()>,
) {
    let (stopping, told) = watch::channel(false);
    let mut connections = JoinSet::new();
    let mut stop = pin!(stop);
    loop {
        tokio::select! {
            () = &mut stop => break,
            Some(_) = connections.join_next() => {}
            taken = listener.accept(), if connections.len() < limits.connections => match taken {
                Ok((socket, from)) => {
                    let (site, tls, told) = (site.clone(), tls.clone(), told.clone());
                    let peer = Peer(from.ip().to_canonical());
                    connections.spawn(connection(socket, peer, site, tls, limits, told));
                }
                Err(error) => {
                    // Out of file handles, most likely: they come back as
                    // connections end, and asking again at once would only spin.
                    tracing::warn!(%error, "a connection could not be taken");
                    sleep(Duration::from_millis(100)).await;
                }
            }
        }
    }
    drop(listener);
    stopping.send_replace(true);
    let all_ended = async { while connections.join_next().await.is_some() {} };
    if timeout(limits.stop, all_ended).await.is_err() {
        tracing::warn!(connections = connections.len(), "cut off at the stop");
        connections.shutdown().await;
    }
    tracing::info!("stopped");
}

async fn connection(
    socket: TcpStream,
    peer: Peer,
    site: Router,
    tls: Option<TlsAcceptor>,
    limits: Limits,
    told: watch::Receiver<bool>,
) {
    if let Err(error) = socket.set_nodelay(true) {
        tracing::debug!(%error, "small answers may come late");
    }
    let Some(tls) = tls else {
        return requests(socket, peer, site, limits, told).await;
    };
    match timeout(limits.handshake, tls.accept(socket)).await {
        Ok(Ok(stream)) => requests(stream, peer, site, limits, told).await,
        Ok(Err(error)) => tracing::debug!(%error, "no TLS handshake"),
        Err(_) => tracing::debug!("no TLS handshake in time"),
    }
}

/// Answers the requests of one connection. HTTP/1.1 alone: the client is a dozen
/// files that the phone asks for once, and then holds, and one waiting request
/// covers all notebooks of a phone.
async fn requests(
    stream: impl AsyncRead + AsyncWrite + Unpin + Send + 'static,
    peer: Peer,
    site: Router,
    limits: Limits,
    mut told: watch::Receiver<bool>,
) {
    let site = TowerToHyperService::new(site);
    let service = service_fn(move |mut request: hyper::Request<Incoming>| {
        request.extensions_mut().insert(peer);
        site.call(request)
    });
    let mut connection = pin!(
        http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(limits.head)
            .max_buf_size(MAX_HEAD_BYTES)
            .serve_connection(TokioIo::new(stream), service)
    );
    let bound = tokio::select! {
        ended = connection.as_mut() => return note(ended),
        // The stop has its own bound, around all connections.
        _ = told.wait_for(|&told| told) => None,
        () = sleep(limits.life) => Some(limits.last_answer),
    };
    connection.as_mut().graceful_shutdown();
    let ended = match bound {
        Some(bound) => timeout(bound, connection).await,
        None => Ok(connection.await),
    };
    match ended {
        Ok(ended) => note(ended),
        Err(_) => tracing::debug!("a connection was cut off"),
    }
}

fn note(ended: hyper::Result<()>) {
    if let Err(error) = ended {
        tracing::debug!(%error, "a connection broke");
    }
}
