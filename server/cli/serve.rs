//! `fusewright serve`: the server, from its first check to its last write.

use std::io::ErrorKind;
use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use tokio::net::TcpListener;
use tracing_subscriber::EnvFilter;

use super::{Failure, Outcome, say, seal};
use crate::config::{self, Settings};
use crate::documents::sign::SealKey;
use crate::storage::{Store, incoming, people, workshops};
use crate::web::{self, App, Cost, Ended, Origin, Parts};
use crate::world::{Clock, readable_code};

/// Requests that are under way when the server is told to stop may take this long.
const FINISH_WITHIN: Duration = Duration::from_secs(15);

pub(super) async fn run(settings: Settings) -> Outcome {
    start_log(&settings.log)?;
    config::origin(settings.listen, settings.origin.as_deref())?;
    let (listener, address) = listen(settings.listen).await?;
    let origin = config::origin(address, settings.origin.as_deref())?;
    let store = Store::open(&settings.folder.data).await?;
    let clock = Clock::system();
    let swept = incoming::sweep(&store, clock.now()).await;
    or_close(&store, swept.map_err(Into::into)).await?;
    let seal = seal::load_or_make(&store, &settings.key_folder(), clock.now()).await;
    let seal = or_close(&store, seal).await?;
    // What the console shows and the first owner types.
    let setup_code = readable_code()?;
    say(format!("Fusewright {}", env!("CARGO_PKG_VERSION")));
    say(format!("Data:  {}", settings.folder.data.display()));
    say(format!("Open:  {origin}"));
    if !origin.ends_with(&address.to_string()) {
        say(format!("Listening on {address}"));
    }
    if nobody(&store).await? {
        say(format!("First start: open the address and type the set-up code {setup_code}"));
    }
    say("Stop with Ctrl-C.");
    let (key_folder, proxies) = (settings.key_folder(), settings.trusted_proxy);
    serve(Ready { listener, store, seal, key_folder, origin, setup_code, clock, proxies }).await
}

/// Closes the database before a failure ends the program.
pub(super) async fn or_close<T>(store: &Store, done: Result<T, Failure>) -> Result<T, Failure> {
    if done.is_err() {
        store.close().await;
    }
    done
}

/// A server that only needs to be started.
pub(super) struct Ready {
    pub(super) listener: TcpListener,
    pub(super) store: Store,
    pub(super) seal: Arc<SealKey>,
    pub(super) key_folder: PathBuf,
    pub(super) origin: String,
    pub(super) setup_code: String,
    pub(super) clock: Clock,
    pub(super) proxies: Vec<IpAddr>,
}

/// Answers until told to stop, then finishes what is under way and closes the database.
pub(super) async fn serve(ready: Ready) -> Outcome {
    let store = ready.store.clone();
    let app = App::new(Parts {
        store: ready.store,
        clock: ready.clock,
        seal: ready.seal,
        key_folder: ready.key_folder,
        origin: Origin { address: ready.origin },
        setup_code: ready.setup_code,
        hashing: Cost::REAL,
        proxies: ready.proxies,
    });
    let ended = web::serve(ready.listener, app, asked_to_stop(), FINISH_WITHIN).await;
    store.close().await;
    match ended {
        Ended::Told { word, .. } => word.map(|()| 0),
        Ended::StoreFailed(why) => Err(Failure::new(format!("The server stopped storing: {why}"))),
        Ended::Broken(why) => {
            Err(Failure::new(format!("The server cannot answer any more ({why}).")))
        }
    }
}

/// Ctrl-C, or a polite request of the system.
async fn asked_to_stop() -> Result<(), Failure> {
    let deaf = |why| Failure::new(format!("The machine takes no signals ({why})."));
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut terminate = signal(SignalKind::terminate()).map_err(deaf)?;
        tokio::select! {
            _ = terminate.recv() => Ok(()),
            pressed = tokio::signal::ctrl_c() => pressed.map_err(deaf),
        }
    }
    #[cfg(not(unix))]
    tokio::signal::ctrl_c().await.map_err(deaf)
}

pub(super) fn start_log(filter: &str) -> Result<(), Failure> {
    let filter = EnvFilter::try_new(filter).map_err(|why| {
        Failure::new(format!("The log filter cannot be read ({why}). Try `info` or `warn`."))
    })?;
    tracing_subscriber::fmt()
        .with_env_filter(filter)
        .with_writer(std::io::stderr)
        .try_init()
        .map_err(|why| Failure::new(format!("The log cannot be started ({why}).")))
}

/// Takes the port; the address tells which one, where 0 was asked for.
pub(super) async fn listen(address: SocketAddr) -> Result<(TcpListener, SocketAddr), Failure> {
    let refused = |why: std::io::Error| {
        Failure::new(match why.kind() {
            ErrorKind::AddrInUse => format!(
                "Port {} on {} is in use by another program. Stop it, or choose another port with \
                 --listen.",
                address.port(),
                address.ip()
            ),
            _ => format!("The server cannot listen on {address} ({why}). Choose another --listen."),
        })
    };
    let listener = TcpListener::bind(address).await.map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    Ok((listener, address))
}

async fn nobody(store: &Store) -> Result<bool, Failure> {
    for workshop in workshops::list(store).await? {
        if !people::list(store, workshop.id).await?.is_empty() {
            return Ok(false);
        }
    }
    Ok(true)
}
