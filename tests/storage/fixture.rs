//! A workshop with one of everything, in a folder that goes away with the test.

use std::path::PathBuf;

use fusewright::domain::certificate::PaperSize;
use fusewright::domain::entry::{BODY_VERSION, Body, Payload};
use fusewright::domain::ids::{
    CustomerId, DeviceId, EntryId, JobId, KitId, Moment, PersonId, WorkshopId,
};
use fusewright::domain::number::Decimal;
use fusewright::domain::person::{Person, Role};
use fusewright::storage::customers::{self, Customer};
use fusewright::storage::devices::{self, Device};
use fusewright::storage::entries::{NewEntries, NewEntry};
use fusewright::storage::jobs::{self, NewJob};
use fusewright::storage::kits::{self, NewKit};
use fusewright::storage::people::{self, NewPerson};
use fusewright::storage::workshops::{self, Papers, Workshop};
use fusewright::storage::{Store, plans};
use sqlx::sqlite::SqliteConnectOptions;
use sqlx::{ConnectOptions as _, SqliteConnection};
use tempfile::TempDir;
use uuid::Uuid;

pub(crate) const WORKSHOP: WorkshopId = WorkshopId(Uuid::from_u128(0x01));
pub(crate) const OTHER_WORKSHOP: WorkshopId = WorkshopId(Uuid::from_u128(0x02));
pub(crate) const MANAGER: PersonId = PersonId(Uuid::from_u128(0x10));
pub(crate) const TECHNICIAN: PersonId = PersonId(Uuid::from_u128(0x11));
pub(crate) const DEVICE: DeviceId = DeviceId(Uuid::from_u128(0x20));
pub(crate) const CUSTOMER: CustomerId = CustomerId(Uuid::from_u128(0x30));
pub(crate) const KIT: KitId = KitId(Uuid::from_u128(0x40));
pub(crate) const JOB: JobId = JobId(Uuid::from_u128(0x50));
pub(crate) const OTHER_JOB: JobId = JobId(Uuid::from_u128(0x51));
/// 2026-11-25 08:00 UTC.
pub(crate) const MORNING: Moment = Moment(1_795_593_600_000);

pub(crate) fn after(minutes: i64) -> Moment {
    Moment(MORNING.0 + minutes * 60_000)
}

pub(crate) struct Bench {
    folder: TempDir,
    pub(crate) store: Store,
}

impl Bench {
    /// An empty data folder.
    pub(crate) async fn empty() -> Self {
        let folder = TempDir::new().unwrap();
        let store = Store::open(folder.path()).await.unwrap();
        Self { folder, store }
    }

    /// Workshop, two people, a device, a customer, a kit.
    pub(crate) async fn staffed() -> Self {
        let bench = Self::empty().await;
        let store = &bench.store;
        workshops::append(store, &workshop(WORKSHOP, "HV")).await.unwrap();
        people::append(store, person(MANAGER, "Ines Okafor", Role::Manager)).await.unwrap();
        people::append(store, person(TECHNICIAN, "Tom Reyes", Role::Technician)).await.unwrap();
        devices::append(store, WORKSHOP, device(DEVICE)).await.unwrap();
        customers::append(store, WORKSHOP, customer(CUSTOMER, "Lena Sommer")).await.unwrap();
        kits::append(store, WORKSHOP, kit(KIT, 1, b"code = \"dock-30\"\n")).await.unwrap();
        bench
    }

    /// The same with two open jobs.
    pub(crate) async fn working() -> Self {
        let bench = Self::staffed().await;
        jobs::append(&bench.store, WORKSHOP, job(JOB, "Van, long", "AB12 CDE")).await.unwrap();
        jobs::append(&bench.store, WORKSHOP, job(OTHER_JOB, "Pick-up", "XY 99")).await.unwrap();
        bench
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Somebody else's connection to the database file, as of a person with a tool.
    pub(crate) async fn intruder(&self) -> SqliteConnection {
        let options = SqliteConnectOptions::new().filename(self.path("fusewright.db"));
        options.connect().await.unwrap()
    }

    /// The same once the engine has counted its tables, as it does in a workshop that is used: what it counted
    /// decides which index it takes.
    pub(crate) async fn counted(&self) -> SqliteConnection {
        self.tamper(&["analyze"]).await;
        self.intruder().await
    }

    /// What a person with a tool does to the file.
    pub(crate) async fn tamper(&self, statements: &'static [&'static str]) {
        let mut intruder = self.intruder().await;
        for statement in statements {
            sqlx::query(*statement).execute(&mut intruder).await.unwrap();
        }
    }

    /// Ends the server and starts it again on the same folder.
    pub(crate) async fn restarted(self) -> Self {
        self.store.close().await;
        let store = Store::open(self.folder.path()).await.unwrap();
        Self { folder: self.folder, store }
    }
}

pub(crate) fn workshop(id: WorkshopId, prefix: &str) -> Workshop {
    Workshop {
        id,
        name: "Harbour Vehicle Electrics".to_owned(),
        address: "4 Quay Lane".to_owned(),
        phone: "0100 555 010".to_owned(),
        email: "desk@harbour.example".to_owned(),
        certificate_prefix: prefix.to_owned(),
        place: "Northport".to_owned(),
        one_person_release: false,
        insulation_least_megohm: Decimal::new(50, 2),
        paper: PaperSize::A4,
        papers: Papers::default(),
        created: MORNING,
    }
}

pub(crate) fn person(id: PersonId, name: &str, role: Role) -> NewPerson {
    let sign_in = name.split(' ').next().unwrap_or_default().to_lowercase();
    let (name, workshop) = (name.to_owned(), WORKSHOP);
    let person = Person { id, workshop, name, sign_in, role, disabled: false };
    NewPerson { person, password_hash: "$argon2id$made-up".to_owned(), created: MORNING }
}

pub(crate) fn device(id: DeviceId) -> Device {
    Device { id, first_seen: MORNING, label: "Bay 2 phone".to_owned() }
}

pub(crate) fn customer(id: CustomerId, name: &str) -> Customer {
    let address = "12 Elm Row".to_owned();
    Customer { id, name: name.to_owned(), contact: "0100 555 020".to_owned(), address }
}

pub(crate) fn kit(id: KitId, edition: u32, source: &[u8]) -> NewKit {
    NewKit {
        id,
        code: "dock-30".to_owned(),
        edition,
        title: "Power pack dock, 30 A".to_owned(),
        source: source.to_vec(),
        imported: MORNING,
        imported_by: MANAGER,
    }
}

pub(crate) fn job(id: JobId, vehicle: &str, registration: &str) -> NewJob {
    NewJob {
        id,
        customer: CUSTOMER,
        kit: KIT,
        vehicle: vehicle.to_owned(),
        registration: registration.to_owned(),
        technician: Some(TECHNICIAN),
        opened: MORNING,
        opened_by: MANAGER,
    }
}

pub(crate) fn plan(job: JobId, edition: u32, source: &[u8]) -> plans::NewPlan {
    let source = source.to_vec();
    plans::NewPlan { job, edition, source, saved: MORNING, saved_by: MANAGER }
}

/// An entry by number, with a note that names it.
pub(crate) fn note(number: u128, job: JobId) -> NewEntry {
    note_saying(number, job, &format!("note {number}"))
}

pub(crate) fn note_saying(number: u128, job: JobId, text: &str) -> NewEntry {
    let body = Body {
        v: BODY_VERSION,
        id: EntryId(Uuid::from_u128(0xe000 + number)),
        job,
        sheet: 1,
        step: "before.condition".to_owned(),
        at: after(1).rfc3339(),
        supersedes: Vec::new(),
        improbable: false,
        payload: Payload::Note { text: text.to_owned() },
    };
    NewEntry { bytes: body.write().unwrap(), body, salt: [7; 16] }
}

pub(crate) fn from_technician(entries: Vec<NewEntry>) -> NewEntries {
    let (person, received) = (TECHNICIAN, after(2));
    NewEntries {
        device: DEVICE,
        person,
        received,
        clock_ahead_ms: None,
        expect_count: None,
        entries,
    }
}
