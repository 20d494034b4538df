//! `fusewright serve`: the server, from its first check to its last write.

use std::future::Future;
use std::io::ErrorKind;
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use tokio::net::TcpListener;
use tracing_subscriber::EnvFilter;

use super::https::Secured;
use super::{Failure, Outcome, daily, https, say, seal};
use crate::acts::time_stamps::StampAuthority;
use crate::acts::trends;
use crate::config::Settings;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::storage::{Store, incoming, people, workshops};
use crate::web::tls::{HandshakeLimits, TlsListener};
use crate::web::{self, App, Cost, Ended, Origin, Parts, Patient};
use crate::world::{Clock, readable_code};

/// Requests that are under way when the server is told to stop may take this long.
const FINISH_WITHIN: Duration = Duration::from_secs(15);

pub(super) async fn run(settings: Settings) -> Outcome {
    start_log(&settings.log)?;
    let clock = Clock::system();
    // Whatever cannot be served with is refused before anything is made.
    let files = https::open_files(&settings.reach(settings.listen)?, &clock)?;
    let stamps = settings.time_stamp.as_deref().map(StampAuthority::at).transpose()?;
    let (listener, address) = listen(settings.listen, "--listen").await?;
    let redirect = listen_for_plain(settings.https.redirect_from).await?;
    let reach = settings.reach(address)?;
    let data = &settings.folder.data;
    let store = Store::open(data).await?;
    let seal = prepare(&store, &settings.key_folder(), clock.now()).await;
    let seal = or_close(&store, seal).await?;
    let acme = or_close(&store, https::open_acme(&reach, data, &clock)).await?;
    let secured = files.or(acme);
    // The code is what the console shows and the first owner types.
    let (setup_code, origin) = (readable_code()?, reach.origin);
    let stop = hear_stop()?;
    say(format!("Fusewright {}\nData:  {}", env!("CARGO_PKG_VERSION"), data.display()));
    let redirected = redirect.as_ref().map(|(_, from)| *from);
    greet(&origin, address, secured.as_ref(), redirected, seal::ends_soon(&seal, clock.now()));
    if nobody(&store).await? {
        say(format!("First start: open the address and type the set-up code {setup_code}"));
    }
    say("Stop with Ctrl-C.");
    let (key_folder, proxies) = (settings.key_folder(), settings.trusted_proxy);
    let redirect = redirect.map(|(listener, _)| listener);
    let ready = Ready {
        listener,
        secured,
        redirect,
        store,
        seal,
        stamps,
        key_folder,
        origin,
        setup_code,
        clock,
        proxies,
    };
    serve(ready, stop).await
}

/// What is done before anybody is served: left-over uploads go, the seal is there, the day is begun.
async fn prepare(store: &Store, key_folder: &Path, now: Moment) -> Result<Arc<SealKey>, Failure> {
    incoming::sweep(store, now).await?;
    let seal = seal::load_or_make(store, key_folder, now).await?;
    daily::day(store, key_folder, now).await?;
    Ok(seal)
}

fn greet(
    origin: &str,
    listening: SocketAddr,
    secured: Option<&Secured>,
    redirect: Option<SocketAddr>,
    warning: Option<String>,
) {
    say(format!("Open:  {origin}"));
    if !origin.ends_with(&listening.to_string()) {
        say(format!("Listening on {listening}"));
    }
    if let Some(secured) = secured {
        say(secured.greeting());
    }
    if let Some(from) = redirect {
        say(format!("Plain http on {from} leads there"));
    }
    if let Some(warning) = warning {
        say(warning);
    }
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
    /// The certificate, if the server serves HTTPS by itself.
    pub(super) secured: Option<Secured>,
    /// Where plain http is led on to the origin, if anywhere.
    pub(super) redirect: Option<TcpListener>,
    pub(super) store: Store,
    pub(super) seal: Arc<SealKey>,
    pub(super) stamps: Option<StampAuthority>,
    pub(super) key_folder: PathBuf,
    pub(super) origin: String,
    pub(super) setup_code: String,
    pub(super) clock: Clock,
    pub(super) proxies: Vec<IpAddr>,
}

/// Results of jobs from before they were derived: in the background, since nobody waits for them but the
/// page of trends, which says so, and a year of jobs takes longer than a start may.
async fn fill(store: Store) {
    if let Err(why) = trends::fill(&store).await {
        tracing::error!("trends stay incomplete until the next start: {why}");
    }
}

/// Answers until told to stop, then finishes what is under way and closes the database.
pub(super) async fn serve(
    ready: Ready,
    stop: impl Future<Output = Result<(), Failure>>,
) -> Outcome {
    let store = ready.store.clone();
    let days = daily::keep(store.clone(), &ready.key_folder, ready.clock.clone());
    let filling = tokio::spawn(fill(store.clone()));
    let redirecting =
        ready.redirect.map(|from| tokio::spawn(web::redirect(from, ready.origin.clone())));
    let app = App::new(Parts {
        store: ready.store,
        clock: ready.clock,
        seal: ready.seal,
        stamps: ready.stamps,
        key_folder: ready.key_folder,
        origin: Origin { address: ready.origin },
        setup_code: ready.setup_code,
        hashing: Cost::REAL,
        proxies: ready.proxies,
    });
    let ended = answer(ready.listener, ready.secured, app, stop).await;
    if let Some(redirecting) = redirecting {
        redirecting.abort();
    }
    days.abort();
    filling.abort();
    store.close().await;
    match ended? {
        Ended::Told { word, .. } => word.map(|()| 0),
        Ended::StoreFailed(why) => Err(Failure::new(format!("The server stopped storing: {why}"))),
        Ended::Broken(why) => {
            Err(Failure::new(format!("The server cannot answer any more ({why}).")))
        }
    }
}

type Stopped = Ended<Result<(), Failure>>;

/// Answers with TLS or without.
async fn answer(
    listener: TcpListener,
    secured: Option<Secured>,
    app: App,
    stop: impl Future<Output = Result<(), Failure>>,
) -> Result<Stopped, Failure> {
    let Some(secured) = secured else {
        return Ok(web::serve(Patient::new(listener), app, stop, FINISH_WITHIN).await);
    };
    let listener = TlsListener::new(listener, secured.shown(), HandshakeLimits::default());
    let listener = listener
        .map_err(|why| Failure::new(format!("The server cannot serve with TLS ({why}).")))?;
    let keeping = secured.keep();
    let ended = web::serve(Patient::new(listener), app, stop, FINISH_WITHIN).await;
    keeping.abort();
    Ok(ended)
}

/// Ctrl-C, or a polite request of the system. It is heard from now on, so this comes before anybody is
/// told that the server is there: whoever starts it may stop it at once.
pub(super) fn hear_stop() -> Result<impl Future<Output = Result<(), Failure>>, Failure> {
    let deaf = |why| Failure::new(format!("The machine takes no signals ({why})."));
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut terminate = signal(SignalKind::terminate()).map_err(deaf)?;
        let mut interrupt = signal(SignalKind::interrupt()).map_err(deaf)?;
        Ok(async move {
            tokio::select! {
                _ = terminate.recv() => {}
                _ = interrupt.recv() => {}
            }
            Ok(())
        })
    }
    #[cfg(not(unix))]
    Ok(async move { tokio::signal::ctrl_c().await.map_err(deaf) })
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

async fn listen_for_plain(
    from: Option<SocketAddr>,
) -> Result<Option<(TcpListener, SocketAddr)>, Failure> {
    match from {
        Some(from) => listen(from, "--redirect-from").await.map(Some),
        None => Ok(None),
    }
}

/// Takes the port that an option names; the address tells which one, where 0 was asked for.
pub(super) async fn listen(
    address: SocketAddr,
    option: &str,
) -> Result<(TcpListener, SocketAddr), Failure> {
    let refused = |why: std::io::Error| {
        Failure::new(match why.kind() {
            ErrorKind::AddrInUse => format!(
                "Port {} on {} is in use by another program. Stop it, or choose another port with \
                 {option}.",
                address.port(),
                address.ip()
            ),
            // Ports below 1024 belong to the system.
            ErrorKind::PermissionDenied => format!(
                "This account may not listen on {address}. Give the service the capability \
                 CAP_NET_BIND_SERVICE (README.md says how), or choose another port with {option}."
            ),
            _ => format!("The server cannot listen on {address} ({why}). Choose another {option}."),
        })
    };
    let listener = TcpListener::bind(address).await.map_err(refused)?;
    let address = listener.local_addr().map_err(refused)?;
    Ok((listener, address))
}

async fn nobody(store: &Store) -> Result<bool, Failure> {
    for workshop in workshops::list(store).await? {
        if people::anybody_may_enter(store, workshop.id).await? {
            return Ok(false);
        }
    }
    Ok(true)
}
