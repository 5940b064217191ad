//! Runs the workbench on an address until it is told to stop.
//!
//! Connections are accepted by hand so that their number, the time for a handshake and the time and size of a request's
//! head have limits of their own; what comes after the head is limited in `access`.

use std::convert::Infallible;
use std::future::Future;
use std::net::{IpAddr, SocketAddr, UdpSocket};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use axum::extract::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpListener;
use tokio::sync::Semaphore;
use tokio_rustls::TlsAcceptor;
use tower::ServiceExt as _;

use crate::access::{Access, PassCode, Peer};
use crate::routes::routes;
use crate::workbench::Workbench;

/// Most connections at a time; more have to wait.
const MOST_CONNECTIONS: usize = 512;
/// Longest time for the head of a request, and between two requests of a connection.
const HEAD_TIME: Duration = Duration::from_secs(20);
/// Longest time for a handshake.
const HANDSHAKE_TIME: Duration = Duration::from_secs(10);
/// Largest head of a request, bytes.
const LARGEST_HEAD_BYTES: usize = 32 << 10;
/// Most headers of a request.
const MOST_HEADERS: usize = 64;
/// Longest wait for open requests when told to stop.
const FAREWELL: Duration = Duration::from_secs(5);

/// Where to listen, and to whom.
#[derive(Debug, Clone)]
pub struct Listen {
    /// Address and port; port 0 takes any free one.
    pub address: SocketAddr,
    /// What the network has to know; demanded on any address but this machine's own.
    pub pass_code: Option<PassCode>,
    /// Names under which browsers may ask for this workbench, beside its addresses and `localhost`.
    pub host_names: Vec<String>,
    /// Certificate chain and private key, PEM.
    pub certificate: Option<(PathBuf, PathBuf)>,
}

impl Listen {
    /// This machine only.
    pub const fn loopback(port: u16) -> Self {
        Self {
            address: SocketAddr::new(IpAddr::V4(std::net::Ipv4Addr::LOCALHOST), port),
            pass_code: None,
            host_names: Vec::new(),
            certificate: None,
        }
    }
}

/// Why the workbench cannot run.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ServeError {
    /// The network may ask, and there is no pass-code.
    #[error("{0} can be reached from the network, and no pass-code is set")]
    NoPassCode(SocketAddr),
    /// The address cannot be listened on.
    #[error("cannot listen on {address}")]
    Listen {
        /// Which.
        address: SocketAddr,
        /// What the system said.
        #[source]
        source: std::io::Error,
    },
    /// Certificate or key cannot be used.
    #[error("the certificate in {path} cannot be used: {why}")]
    Certificate {
        /// Where.
        path: PathBuf,
        /// What is wrong with it.
        why: String,
    },
    /// The system gives no threads or timers.
    #[error("the server cannot start")]
    Start(#[source] std::io::Error),
}

/// A workbench that listens.
#[derive(Debug, Clone)]
pub struct Serving {
    /// Where it listens, with the port it got.
    pub address: SocketAddr,
    /// The address to open in a browser.
    pub url: String,
    /// Is the traffic encrypted.
    pub encrypted: bool,
    /// Can it be reached from the network.
    pub reachable: bool,
}

/// Runs the workbench until Ctrl-C; `started` is called once it listens.
///
/// # Errors
/// [`ServeError`].
pub fn serve(
    bench: Workbench,
    listen: &Listen,
    started: impl FnOnce(&Serving),
) -> Result<(), ServeError> {
    let reachable = !listen.address.ip().is_loopback();
    if reachable && listen.pass_code.is_none() {
        return Err(ServeError::NoPassCode(listen.address));
    }
    let acceptor = match &listen.certificate {
        Some((chain, key)) => Some(acceptor(chain, key)?),
        None => None,
    };
    let encrypted = acceptor.is_some();
    let access = match &listen.pass_code {
        Some(code) => Access::with_pass_code(code, listen.host_names.clone(), encrypted),
        None => Access::of_this_machine(listen.host_names.clone(), encrypted),
    };
    let bench = Arc::new(bench.with_access(access));
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(ServeError::Start)?;
    runtime.block_on(async {
        let failed = |source| ServeError::Listen {
            address: listen.address,
            source,
        };
        let listener = TcpListener::bind(listen.address).await.map_err(failed)?;
        let address = listener.local_addr().map_err(failed)?;
        let scheme = if encrypted { "https" } else { "http" };
        started(&Serving {
            address,
            url: format!("{scheme}://{}/", seen_from_outside(address)),
            encrypted,
            reachable,
        });
        accept(listener, acceptor, routes(bench), stopped()).await;
        Ok(())
    })
}

/// An address that listens everywhere, as the network sees it: that of the interface which leads out. Nothing is sent.
fn seen_from_outside(address: SocketAddr) -> SocketAddr {
    if !address.ip().is_unspecified() {
        return address;
    }
    let (any, out) = if address.is_ipv4() {
        ("0.0.0.0:0", "192.0.2.1:9")
    } else {
        ("[::]:0", "[2001:db8::1]:9")
    };
    let outward = UdpSocket::bind(any)
        .and_then(|socket| socket.connect(out).and_then(|()| socket.local_addr()));
    outward.map_or(address, |outward| {
        SocketAddr::new(outward.ip(), address.port())
    })
}

/// Ends when the person or the system says so.
async fn stopped() {
    let told = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut ended) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = told => {}
                _ = ended.recv() => {}
            }
            return;
        }
    }
    // Without a handler the system ends the process itself.
    if told.await.is_err() {
        std::future::pending::<()>().await;
    }
}

async fn accept(
    listener: TcpListener,
    acceptor: Option<TlsAcceptor>,
    router: axum::Router,
    stopped: impl Future<Output = ()>,
) {
    let places = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let graceful = GracefulShutdown::new();
    let mut stopped = std::pin::pin!(stopped);
    loop {
        let Ok(place) = Arc::clone(&places).acquire_owned().await else {
            return;
        };
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stopped => break,
        };
        let (stream, from) = match accepted {
            Ok(accepted) => accepted,
            Err(_) => {
                // Out of file handles, or a peer that left: neither is gone at once.
                tokio::time::sleep(Duration::from_millis(50)).await;
                continue;
            }
        };
        // Answers are small and complete; waiting for more to send costs time only.
        let _ = stream.set_nodelay(true);
        let (router, watcher, acceptor) = (router.clone(), graceful.watcher(), acceptor.clone());
        tokio::spawn(async move {
            match acceptor {
                None => answer(stream, from, router, watcher).await,
                Some(acceptor) => {
                    let handshake = tokio::time::timeout(HANDSHAKE_TIME, acceptor.accept(stream));
                    if let Ok(Ok(stream)) = handshake.await {
                        answer(stream, from, router, watcher).await;
                    }
                }
            }
            drop(place);
        });
    }
    let _ = tokio::time::timeout(FAREWELL, graceful.shutdown()).await;
}

/// Answers the requests of one connection.
async fn answer(
    stream: impl AsyncRead + AsyncWrite + Unpin + Send + 'static,
    from: SocketAddr,
    router: axum::Router,
    watcher: hyper_util::server::graceful::Watcher,
) {
    let service = tower::service_fn(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(Peer(from));
        let router = router.clone();
        async move { Ok::<_, Infallible>(answered(router, request).await) }
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_TIME)
        .max_buf_size(LARGEST_HEAD_BYTES)
        .max_headers(MOST_HEADERS)
        .serve_connection(TokioIo::new(stream), TowerToHyperService::new(service));
    // A connection that breaks off concerns its peer alone.
    let _ = watcher.watch(connection).await;
}

async fn answered(router: axum::Router, request: Request<Incoming>) -> axum::response::Response {
    match router.oneshot(request.map(axum::body::Body::new)).await {
        Ok(response) => response,
        Err(never) => match never {},
    }
}

fn acceptor(chain: &Path, key: &Path) -> Result<TlsAcceptor, ServeError> {
    let refuse = |path: &Path, why: String| ServeError::Certificate {
        path: path.to_owned(),
        why,
    };
    let certificates = CertificateDer::pem_file_iter(chain)
        .and_then(|certificates| certificates.collect::<Result<Vec<_>, _>>())
        .map_err(|error| refuse(chain, error.to_string()))?;
    if certificates.is_empty() {
        return Err(refuse(chain, "it holds no certificate (PEM)".into()));
    }
    let private =
        PrivateKeyDer::from_pem_file(key).map_err(|error| refuse(key, error.to_string()))?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut config = rustls::ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()
        .map_err(|error| refuse(chain, error.to_string()))?
        .with_no_client_auth()
        .with_single_cert(certificates, private)
        .map_err(|error| refuse(chain, error.to_string()))?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(TlsAcceptor::from(Arc::new(config)))
}
