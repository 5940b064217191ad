//! The whole of it for a terminal: listen, run as time goes by, end at Ctrl-C.

use std::net::SocketAddr;
use std::sync::atomic::{AtomicBool, Ordering};

use halfglass_core::description::Loop;
use halfglass_core::design::Sheets;
use halfglass_core::dynamics::scenario::Scenario;
use halfglass_core::dynamics::start::RunError;

use crate::{VirtualPlant, serve};

/// Why a virtual plant does not run, or ended.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum LinkError {
    /// The address cannot be listened on.
    #[error("cannot listen on {address}: {source}")]
    Listen {
        /// Which.
        address: SocketAddr,
        /// What the system said.
        source: std::io::Error,
    },
    /// The system gives no threads or connections.
    #[error("the server ended: {0}")]
    Server(std::io::Error),
    /// The scenario cannot start in this vessel.
    #[error(transparent)]
    Start(RunError),
}

/// Serves a scenario on an address until Ctrl-C, `speed` times as fast as time goes by. `started` hears the address with the port
/// it got, `ended` why the vessel left the model, should it; the server goes on answering with the last sample and says so there too.
///
/// # Errors
/// [`LinkError`].
pub fn practise(
    (described, sheets, scenario): (&Loop, &Sheets, &Scenario),
    (address, speed): (SocketAddr, f64),
    started: impl FnOnce(SocketAddr),
    ended: impl FnOnce(&RunError) + Send,
) -> Result<(), LinkError> {
    let mut plant = VirtualPlant::new(described, sheets, scenario).map_err(LinkError::Start)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(1)
        .enable_all()
        .build()
        .map_err(LinkError::Server)?;
    let listen = |source| LinkError::Listen { address, source };
    let listener = runtime
        .block_on(tokio::net::TcpListener::bind(address))
        .map_err(listen)?;
    started(listener.local_addr().map_err(listen)?);
    let exchange = plant.exchange();
    let is_over = AtomicBool::new(false);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            if let Err(why) = plant.run(speed, || is_over.load(Ordering::Relaxed)) {
                ended(&why);
            }
        });
        let served = runtime.block_on(serve(listener, exchange, async {
            // Without a handler the system ends the process itself.
            if tokio::signal::ctrl_c().await.is_err() {
                std::future::pending::<()>().await;
            }
        }));
        is_over.store(true, Ordering::Relaxed);
        served.map_err(LinkError::Server)
    })
}
