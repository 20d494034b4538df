//! What every handler is given: the record, the clock, the seal, and how much may run at once.

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use tokio::sync::{Mutex, Semaphore};

use super::sign_in::SetupTries;
use crate::acts::certificate::Sealer;
use crate::acts::time_stamps::StampAuthority;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::storage::Store;
use crate::world::{Clock, NoChance};

/// Password hashes worked out at the same time.
const HASHING_MAX: usize = 2;
/// Documents set and photos re-encoded at the same time.
const HEAVY_MAX: usize = 2;

/// Where people reach this server, as written in links and checked against requests.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin {
    /// `https://jobs.example` or `http://127.0.0.1:8080`, without a slash at the end.
    pub address: String,
}

impl Origin {
    pub fn is_https(&self) -> bool {
        self.address.starts_with("https://")
    }
}

/// What a server is made of.
pub struct Parts {
    pub store: Store,
    pub clock: Clock,
    pub seal: Arc<SealKey>,
    /// Who puts the time to what is sealed, if anybody.
    pub stamps: Option<StampAuthority>,
    /// Where the seal came from; what PINs are mixed with lies beside it.
    pub key_folder: PathBuf,
    pub origin: Origin,
    /// Printed to the console; whoever types it may make the owner while there is none.
    pub setup_code: String,
    /// Work factor of password hashes; tests take a small one.
    pub hashing: super::password::Cost,
    /// Proxies in front whose word on where a request comes from is believed; nobody else's is.
    pub proxies: Vec<IpAddr>,
}

#[derive(Clone)]
pub struct App {
    parts: Arc<Parts>,
    pub(super) hashing: Arc<Semaphore>,
    pub(super) heavy: Arc<Semaphore>,
    setup_tries: Arc<SetupTries>,
    /// Held while a PIN is given: the first of all makes the pepper.
    pub(super) giving_pin: Arc<Mutex<()>>,
}

impl App {
    pub fn new(parts: Parts) -> Self {
        // As sockets give them, whichever way they were written.
        let proxies = parts.proxies.iter().map(IpAddr::to_canonical).collect();
        let parts = Parts { proxies, ..parts };
        Self {
            parts: Arc::new(parts),
            hashing: Arc::new(Semaphore::new(HASHING_MAX)),
            heavy: Arc::new(Semaphore::new(HEAVY_MAX)),
            setup_tries: Arc::default(),
            giving_pin: Arc::default(),
        }
    }

    pub fn store(&self) -> &Store {
        &self.parts.store
    }

    pub fn now(&self) -> Moment {
        self.parts.clock.now()
    }

    pub fn new_id(&self) -> Result<uuid::Uuid, NoChance> {
        crate::world::new_id(self.now())
    }

    pub fn seal(&self) -> &Arc<SealKey> {
        &self.parts.seal
    }

    /// What certificates are sealed with.
    pub(super) fn sealer(&self) -> Sealer {
        Sealer { key: Arc::clone(&self.parts.seal), stamps: self.parts.stamps.clone() }
    }

    pub fn origin(&self) -> &Origin {
        &self.parts.origin
    }

    pub(super) fn key_folder(&self) -> &Path {
        &self.parts.key_folder
    }

    pub(super) fn setup_code(&self) -> &str {
        &self.parts.setup_code
    }

    pub(super) fn setup_tries(&self) -> &SetupTries {
        &self.setup_tries
    }

    pub(super) fn proxies(&self) -> &[IpAddr] {
        &self.parts.proxies
    }

    pub(super) fn hash_cost(&self) -> super::password::Cost {
        self.parts.hashing
    }

    /// Runs heavy work off the request threads, at most [`HEAVY_MAX`] at a time.
    pub async fn heavy<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, super::error::WebError> {
        let _permit = self.heavy.acquire().await.map_err(super::error::ours)?;
        tokio::task::spawn_blocking(work).await.map_err(super::error::ours)
    }
}
