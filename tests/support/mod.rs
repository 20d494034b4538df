//! A whole server over a folder that goes away with the test, and people who use it.

mod acme;
mod authority;
mod client;
mod stamps;
mod work;

use std::net::{IpAddr, SocketAddr};
use std::path::PathBuf;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, OnceLock};

use fusewright::acts::By;
use fusewright::documents::sign::SealKey;
use fusewright::domain::certificate::PaperSize;
use fusewright::domain::ids::{DeviceId, Moment, PersonId, WorkshopId};
use fusewright::domain::limits::INSULATION_LEAST_MEGOHM;
use fusewright::domain::person::{Person, Role};
use fusewright::domain::seal::sha256;
use fusewright::storage::Store;
use fusewright::storage::devices::{self, Device};
use fusewright::storage::people::{self, NewPerson};
use fusewright::storage::sessions::{self, NewSession};
use fusewright::storage::workshops::{self, Papers, Workshop};
use fusewright::web::{App, Cost, Origin, Parts, hash_password, server};
use fusewright::world::Clock;
use tempfile::TempDir;
use tokio::net::TcpListener;
use uuid::Uuid;

pub(crate) use acme::{AcmeServer, Mood};
pub(crate) use authority::{Authority, pair_in, root_file};
pub(crate) use client::{Client, Reply, send};
pub(crate) use stamps::{Stamps, Temper};
pub(crate) use work::{KIT_TEXT, PLAN_TEXT};

/// 2026-11-25 08:00 UTC.
pub(crate) const MORNING: Moment = Moment(1_795_593_600_000);
/// Everybody's. Long enough, and of no use anywhere else.
pub(crate) const PASSWORD: &str = "nine grey herons wade";
pub(crate) const SETUP_CODE: &str = "7RTM-0K2V-QX9C";

pub(crate) const WORKSHOP: WorkshopId = WorkshopId(Uuid::from_u128(0x01));
pub(crate) const OWNER: PersonId = PersonId(Uuid::from_u128(0x10));
pub(crate) const MANAGER: PersonId = PersonId(Uuid::from_u128(0x11));
pub(crate) const TECHNICIAN: PersonId = PersonId(Uuid::from_u128(0x12));
pub(crate) const DEVICE: DeviceId = DeviceId(Uuid::from_u128(0x20));

/// Sign-in names of the three.
pub(crate) const SIGN_INS: [(PersonId, &str, &str, Role); 3] = [
    (OWNER, "olga", "Olga Tamm", Role::Owner),
    (MANAGER, "mika", "Mika Saari", Role::Manager),
    (TECHNICIAN, "tove", "Tove Lind", Role::Technician),
];

/// A running server.
pub(crate) struct TestApp {
    _folder: TempDir,
    pub(crate) store: Store,
    /// What it is made of, to serve it once more.
    pub(crate) app: App,
    /// `http://127.0.0.1:…`
    pub(crate) address: String,
    now_ms: Arc<AtomicI64>,
}

impl TestApp {
    /// A workshop with an owner, a manager and a technician.
    pub(crate) async fn start() -> Self {
        Self::empty().await.with_people().await
    }

    /// The same behind a proxy that it believes.
    pub(crate) async fn start_behind(proxies: Vec<IpAddr>) -> Self {
        Self::behind("http", proxies).await.with_people().await
    }

    pub(crate) async fn with_people(self) -> Self {
        let app = self;
        workshops::append(&app.store, &workshop()).await.unwrap();
        for (id, sign_in, name, role) in SIGN_INS {
            let (name, sign_in) = (name.to_owned(), sign_in.to_owned());
            let person = Person { id, workshop: WORKSHOP, name, sign_in, role, disabled: false };
            people::append(&app.store, with_password(person)).await.unwrap();
        }
        let label = "Bench".to_owned();
        let device = Device { id: DEVICE, first_seen: MORNING, label };
        devices::append(&app.store, WORKSHOP, device).await.unwrap();
        app
    }

    /// A server that nobody has set up yet.
    pub(crate) async fn empty() -> Self {
        Self::at("http").await
    }

    /// One that is reached through HTTPS, as its own pages see it.
    pub(crate) async fn at(scheme: &str) -> Self {
        Self::behind(scheme, Vec::new()).await
    }

    /// One that believes some proxies in front of it.
    pub(crate) async fn behind(scheme: &str, proxies: Vec<IpAddr>) -> Self {
        let folder = TempDir::new().unwrap();
        let store = Store::open(folder.path()).await.unwrap();
        let now_ms = Arc::new(AtomicI64::new(MORNING.0));
        let told = Arc::clone(&now_ms);
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let socket = listener.local_addr().unwrap();
        let app = App::new(Parts {
            store: store.clone(),
            clock: Clock::from(move || Moment(told.load(Ordering::SeqCst))),
            seal: seal(),
            stamps: None,
            key_folder: folder.path().join("keys"),
            origin: Origin { address: format!("{scheme}://{socket}") },
            setup_code: SETUP_CODE.to_owned(),
            hashing: Cost::LIGHT,
            proxies,
        });
        let service = server(app.clone()).into_make_service_with_connect_info::<SocketAddr>();
        tokio::spawn(async move { axum::serve(listener, service).await });
        Self { _folder: folder, store, app, address: format!("http://{socket}"), now_ms }
    }

    /// Where its keys lie.
    pub(crate) fn keys(&self) -> PathBuf {
        self.store.folder().join("keys")
    }

    pub(crate) fn now(&self) -> Moment {
        Moment(self.now_ms.load(Ordering::SeqCst))
    }

    /// Lets time pass.
    pub(crate) fn pass_minutes(&self, minutes: i64) {
        self.now_ms.fetch_add(minutes * 60_000, Ordering::SeqCst);
    }

    /// A browser that has never been here.
    pub(crate) fn nobody(&self) -> Client {
        Client::new(&self.address)
    }

    pub(crate) async fn owner(&self) -> Client {
        self.signed_in("olga").await
    }

    pub(crate) async fn manager(&self) -> Client {
        self.signed_in("mika").await
    }

    pub(crate) async fn technician(&self) -> Client {
        self.signed_in("tove").await
    }

    /// Somebody who came through the page.
    pub(crate) async fn signed_in(&self, name: &str) -> Client {
        let client = self.nobody();
        let reply = client.post("/sign-in", &[("name", name), ("password", PASSWORD)]).await;
        assert_eq!(reply.status, 303, "{}", reply.text);
        client
    }

    /// The owner of another workshop on this server, with a session that was not started here: the
    /// sign-in knows one workshop.
    pub(crate) async fn stranger(&self) -> Client {
        let other = Workshop {
            id: WorkshopId(Uuid::from_u128(0x02)),
            name: "Other Yard".to_owned(),
            certificate_prefix: "OY".to_owned(),
            ..workshop()
        };
        workshops::append(&self.store, &other).await.unwrap();
        let (name, sign_in) = ("Ute Berg".to_owned(), "ute".to_owned());
        let (id, workshop) = (PersonId(Uuid::from_u128(0x13)), other.id);
        let person = Person { id, workshop, name, sign_in, role: Role::Owner, disabled: false };
        people::append(&self.store, with_password(person)).await.unwrap();
        let device = Device { id: DEVICE, first_seen: MORNING, label: "Bench".to_owned() };
        devices::append(&self.store, workshop, device).await.unwrap();
        let session = NewSession {
            token: sha256(b"token-of-the-other-workshop"),
            workshop,
            person: id,
            device: DEVICE,
            created: self.now(),
            expires: self.now().plus_days(1),
        };
        sessions::append(&self.store, session).await.unwrap();
        self.nobody().with_cookie("session=token-of-the-other-workshop")
    }

    /// Somebody who acts without a page.
    pub(crate) fn by(&self, id: PersonId) -> By {
        let (_, sign_in, name, role) = *SIGN_INS.iter().find(|one| one.0 == id).unwrap();
        let (name, sign_in) = (name.to_owned(), sign_in.to_owned());
        let person = Person { id, workshop: WORKSHOP, name, sign_in, role, disabled: false };
        By { person, device: DEVICE, now: self.now() }
    }
}

pub(crate) fn workshop() -> Workshop {
    Workshop {
        id: WORKSHOP,
        name: "Birch Yard Vehicle Electrics".to_owned(),
        address: "7 Birch Yard".to_owned(),
        phone: "0100 555 070".to_owned(),
        email: "desk@birchyard.example".to_owned(),
        certificate_prefix: "BY".to_owned(),
        place: "Westhaven".to_owned(),
        one_person_release: false,
        insulation_least_megohm: INSULATION_LEAST_MEGOHM,
        paper: PaperSize::A4,
        papers: Papers::default(),
        created: MORNING,
    }
}

/// Somebody whose password is [`PASSWORD`].
pub(crate) fn with_password(person: Person) -> NewPerson {
    static HASH: OnceLock<String> = OnceLock::new();
    let hash = HASH.get_or_init(|| hash_password(PASSWORD, Cost::LIGHT).unwrap());
    NewPerson { person, password_hash: hash.clone(), created: MORNING }
}

/// Made once: keys are slow to make, and the tests only use it.
fn seal() -> Arc<SealKey> {
    static SEAL: OnceLock<Arc<SealKey>> = OnceLock::new();
    let make = || Arc::new(SealKey::create("Test seal", [7; 48], MORNING.utc(), 10).unwrap());
    Arc::clone(SEAL.get_or_init(make))
}
